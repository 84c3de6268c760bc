"""Report: text or bytes in, a whole file on the disk or none; shell."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from calllog.errors import ReportError

if TYPE_CHECKING:
    from pathlib import Path


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file so that its name shows the whole new content or what stood there before.

    It is written beside it under a name ending in ``.part``, then renamed.

    Args:
        path: the file; its folder must exist.
        content: text is written in UTF-8, line ends as they are.

    Raises:
        ReportError: the folder is missing or cannot be written, or the name is taken by a folder.
    """
    part = path.with_name(f".{path.name}.part")
    try:
        part.unlink(missing_ok=True)  # a link in its place would be followed
        with part.open("xb") as file:
            file.write(content.encode() if isinstance(content, str) else content)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except OSError as error:
        _remove(part)
        raise ReportError(
            f"the report cannot be written ({error.strerror})",
            where=str(path),
            next_step="check that its folder exists and is writable, and that the disk is not full",
        ) from error


def _remove(part: Path) -> None:
    try:
        part.unlink(missing_ok=True)
    except OSError:
        return  # the folder itself is unusable, which is reported
