"""The ways of POSIX systems: Linux, and what macOS has in common with it; shell."""

from __future__ import annotations

import contextlib
import ctypes
import errno
import fcntl
import os
import select
import shlex
import signal
import stat
import termios
import tty
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from calllog.closing import Closes
from calllog.system.ways import NO_FILE, NO_FOLDER, NO_NAME, OTHERS

_SAFE: Final = os.O_NOFOLLOW | os.O_NONBLOCK | os.O_CLOEXEC
_FOLDER: Final = os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC
_NO_FILE: Final = frozenset({errno.ELOOP, errno.ENXIO, errno.EISDIR, errno.EOPNOTSUPP})
"""What opening a link, a pipe, a folder and a socket ends with."""
_NO_FOLDER: Final = frozenset({errno.ELOOP, errno.ENOTDIR})
_AT_ONCE: Final = 4096
"""Characters of a terminal [bytes]."""


class PosixFolder(Closes):
    """A folder by its descriptor (see `calllog.system.ways.Folder`)."""

    def __init__(self, file: int, sync: Callable[[int], None]) -> None:
        self._file = file
        self._sync = sync

    def found(self) -> os.stat_result:
        """Tell what the system knows of the folder itself."""
        return os.fstat(self._file)

    def found_in(self, name: str) -> os.stat_result:
        """Tell what the system knows of what stands there."""
        return os.stat(_named(name), dir_fd=self._file, follow_symlinks=False)

    def below(self, name: str) -> PosixFolder:
        """Hold a folder in this one."""
        return PosixFolder(_folder(_named(name), os.O_NOFOLLOW, self._file), self._sync)

    def open(self, name: str, how: int, mode: int = 0o600) -> int:
        """Open a file."""
        return _opened(_named(name), how, mode, self._file)

    def name_once(self, made: str, name: str) -> None:
        """Give a file that was made here another name, unless something has that."""
        os.link(
            _named(made),
            _named(name),
            src_dir_fd=self._file,
            dst_dir_fd=self._file,
            follow_symlinks=False,
        )
        self.remove(made)

    def remove(self, name: str) -> None:
        """Remove a file."""
        os.unlink(_named(name), dir_fd=self._file)

    def sync(self) -> None:
        """Bring the names in it to the disk."""
        self._sync(self._file)

    def close(self) -> None:
        """Let it go."""
        if self._file >= 0:
            file, self._file = self._file, -1
            os.close(file)


class PosixKeys:
    """A terminal in cbreak mode without echo (see `calllog.system.ways.RawKeys`)."""

    def __init__(self, fd: int) -> None:
        self._fd = fd
        try:
            self._before: list[Any] = termios.tcgetattr(fd)
        except termios.error as error:
            raise _as_os_error(error) from error
        try:
            tty.setcbreak(fd)
        except termios.error as error:
            self.close()
            raise _as_os_error(error) from error
        except BaseException:
            self.close()
            raise

    def read(self, timeout_s: float) -> str | None:
        """Wait for keys."""
        if not select.select([self._fd], [], [], timeout_s)[0]:
            return None
        try:
            return os.read(self._fd, _AT_ONCE).decode("utf-8", "replace")
        except OSError:
            return ""

    def close(self) -> None:
        """Put the terminal back as it was."""
        with contextlib.suppress(termios.error):  # a terminal that is gone needs nothing
            termios.tcflush(self._fd, termios.TCIFLUSH)
            termios.tcsetattr(self._fd, termios.TCSANOW, self._before)


class Posix:
    """The ways of Linux (see `calllog.system.ways.System`)."""

    name = "Linux"
    hands_down = True
    ends = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)

    def folder(self, path: Path, *, may_be_link: bool = True) -> PosixFolder:
        """Hold a folder."""
        return PosixFolder(_folder(path, 0 if may_be_link else os.O_NOFOLLOW), self.sync)

    def open(self, path: Path, how: int, mode: int = 0o600) -> int:
        """Open a plain file."""
        return _opened(path, how, mode)

    def lock(self, file: int) -> None:
        """Take the lock of an open file."""
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def replace(self, made: Path, path: Path) -> None:
        """Give a file another's name."""
        made.replace(path)

    def sync(self, file: int) -> None:
        """Bring an open file to the disk."""
        os.fsync(file)

    def sync_all(self) -> None:
        """Bring all that was written to the disks."""
        os.sync()

    def is_mine(self, found: os.stat_result) -> bool:
        """Tell whether a file belongs to who runs the program."""
        return found.st_uid == os.geteuid()

    def others_may(self, path: Path, found: os.stat_result) -> int:  # noqa: ARG002 - Windows asks
        """Tell which rights others have."""
        return found.st_mode & OTHERS

    def read_at(self, file: int, most: int, at: int) -> bytes:
        """Read from a place in an open file."""
        return os.pread(file, most, at)

    def write_at(self, file: int, content: bytes, at: int) -> None:
        """Write at a place in an open file."""
        os.pwrite(file, content, at)

    def free_memory(self) -> None:
        """Give memory back, by the GNU library's `malloc_trim`; others do it by themselves."""
        with contextlib.suppress(AttributeError):
            ctypes.CDLL(None).malloc_trim(0)

    def keys(self, fd: int) -> PosixKeys:
        """Take a terminal's keys as they are typed."""
        return PosixKeys(fd)

    def quoted(self, word: str) -> str:
        """Write a word as a shell takes it for one."""
        return shlex.quote(word)


def _named(name: str) -> str:
    if name in {"", ".", ".."} or "/" in name or "\0" in name:
        raise OSError(errno.EINVAL, NO_NAME, name)
    return name


def _folder(path: Path | str, more: int, inside: int | None = None) -> int:
    try:
        return os.open(path, _FOLDER | more, dir_fd=inside)
    except OSError as error:
        if more and error.errno in _NO_FOLDER:
            raise OSError(errno.EINVAL, NO_FOLDER, str(path)) from error
        raise


def _opened(path: Path | str, how: int, mode: int, inside: int | None = None) -> int:
    try:
        file = os.open(path, how | _SAFE, mode, dir_fd=inside)
    except OSError as error:
        if error.errno in _NO_FILE:
            raise OSError(errno.EINVAL, NO_FILE, str(path)) from error
        raise
    if not stat.S_ISREG(os.fstat(file).st_mode):
        os.close(file)
        raise OSError(errno.EINVAL, NO_FILE, str(path))
    return file


def _as_os_error(error: termios.error) -> OSError:
    return OSError(*error.args)
