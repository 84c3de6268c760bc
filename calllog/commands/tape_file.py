"""Read a tape's certificate from its file, and warn of what is unlikely in it."""

from datetime import date, datetime
from pathlib import Path
from typing import Annotated

import typer

from calllog.commands.terminal import err
from calllog.errors import ConfigError
from calllog.files import read_limited
from calllog.tape import (
    Certificate,
    dated_after,
    load_certificate,
    plausibility,
    validity,
)

TapeOption = Annotated[Path, typer.Option("--tape", help="The tape's certificate, a TOML file.")]
DateOption = Annotated[
    datetime | None,
    typer.Option("--date", formats=["%Y-%m-%d"], help="Day of the work, if it is not today."),
]
MOST_BYTES = 40_000
"""Of a certificate's file."""
NO_TEXT = "it is no plain text (UTF-8)"
RELEASE_YEAR = 2026
"""No clock that is right shows an earlier one."""


def today() -> date:
    """Give the day by this machine's clock and zone.

    Raises:
        ConfigError: the clock stands before this program was made, as on a computer without one.
    """
    day = datetime.now().astimezone().date()
    if day.year < RELEASE_YEAR:
        raise ConfigError(
            f"the computer's clock says {day}, before this program was made",
            next_step="set its date and time, or state the day with --date where it is asked for",
        )
    return day


def day_of(stated: datetime | None) -> date:
    """Give the day that was stated, or today."""
    return stated.date() if stated else today()


def read_tape(path: Path, *used_on: date, is_stated: bool = False) -> Certificate:
    """Read and check a certificate; warnings go to standard error.

    Args:
        path: its file.
        used_on: the days on which the tape is used; today if none is given.
        is_stated: that day was stated, so that a certificate of a later day is warned of.

    Raises:
        ConfigError: it cannot be read, or its entries cannot be used.
    """
    try:
        text = read_limited(path, most_bytes=MOST_BYTES).decode("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else NO_TEXT
        raise ConfigError(
            f"the tape's certificate cannot be read: {reason}",
            where=str(path),
            next_step="give a certificate file, such as calllog/demo/tapes/add-100.toml",
        ) from error
    certificate = load_certificate(text, str(path))
    days = used_on or (today(),)
    outside = [warning for day in days for warning in validity(certificate, day)]
    late = [words for day in used_on for words in dated_after(certificate, day)]
    for warning in (*plausibility(certificate), *outside, *(late if is_stated else ())):
        err.print(f"look again: {path}: {warning}")
    return certificate
