"""Bytes of a model's file, or an error that says what is next; shell."""

from __future__ import annotations

from pathlib import Path

from calllog.errors import ModelError
from calllog.recognise.kaldi_model import NEXT_STEP


def model_bytes(path: Path, next_step: str = NEXT_STEP) -> bytes:
    """Read a file.

    Raises:
        ModelError: it cannot be read.
    """
    try:
        return path.read_bytes()
    except OSError as error:
        raise ModelError(
            f"the file cannot be read: {error.strerror}", where=str(path), next_step=next_step
        ) from error
