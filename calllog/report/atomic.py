"""Report: text or bytes in, a whole file on the disk or none; shell."""

import json
from pathlib import Path

from calllog import files
from calllog.errors import ReportError


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file so that its name shows the whole new content or what stood there before.

    It is written beside it under a name ending in ``.part``, then renamed. Its maker alone may read
    it.

    Args:
        path: the file; its folder must exist.
        content: text is written in UTF-8, line ends as they are.

    Raises:
        ReportError: the folder is missing or cannot be written, or the name is taken by a folder.
    """
    try:
        files.write_whole(path, content.encode() if isinstance(content, str) else content)
    except OSError as error:
        raise ReportError(
            f"the report cannot be written ({error.strerror})",
            where=str(path),
            next_step="check that its folder exists and is writable, and that the disk is not full;"
            " or write elsewhere with --out",
        ) from error


def pretty(document: object) -> str:
    """Write a JSON document as text that people read too; it holds finite numbers alone."""
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
