"""The ways of macOS where they are not those of Linux; shell.

Read in Apple's fcntl(2) and fsync(2), never run.
"""

import errno
import fcntl
import os
from typing import Final

from calllog.system.posix import Posix

_REFUSED: Final = frozenset({errno.ENOTSUP, errno.EINVAL, errno.ENOTTY, errno.ENODEV})
"""What disks say that know no such order, such as those of a network."""


class MacOS(Posix):
    """The ways of macOS: fsync(2) leaves what was written in the drive's own memory."""

    name = "macOS"

    def sync(self, file: int) -> None:
        """Bring an open file or folder to the disk, and out of its memory."""
        try:
            fcntl.fcntl(file, fcntl.F_FULLFSYNC)  # type: ignore[attr-defined, unused-ignore]
        except OSError as error:
            if error.errno not in _REFUSED:
                raise
            os.fsync(file)
