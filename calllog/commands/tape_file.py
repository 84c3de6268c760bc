"""Read a tape's certificate from its file, and warn of what is unlikely in it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from calllog.errors import ConfigError
from calllog.tape import Certificate, load_certificate, plausibility

TapeOption = Annotated[Path, typer.Option("--tape", help="The tape's certificate, a TOML file.")]
err = Console(stderr=True, soft_wrap=True, highlight=False)


def read_tape(path: Path) -> Certificate:
    """Read and check a certificate; warnings go to standard error.

    Raises:
        ConfigError: it cannot be read, or its entries cannot be used.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "is no text"
        raise ConfigError(
            f"the tape's certificate cannot be read: {reason}",
            where=str(path),
            next_step="give a certificate file, such as calllog/demo/tapes/add-100.toml",
        ) from error
    certificate = load_certificate(text, str(path))
    for warning in plausibility(certificate):
        err.print(f"look again: {path}: {warning}", markup=False)
    return certificate
