"""This computer playing one that has Windows's ways: for child processes of tests alone.

What POSIX alone has is gone, what Windows refuses is refused: other threads of the standard
library keep what they took before. A console and locks stand in for ``msvcrt``.
"""

from __future__ import annotations

import builtins
import errno
import fcntl
import importlib
import io
import os
import select
import shutil
import signal
import socket
import stat
import sys
import time
from collections import deque
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

LOADED_BEFORE = """
    asyncio multiprocessing.context subprocess tempfile uuid numpy onnxruntime platformdirs
    scipy.signal soundfile soxr sounddevice uvicorn vosk
""".split()
"""They have branches of their own for Windows, and here take the other one before."""
GONE_MODULES = frozenset(
    "fcntl termios tty pty pwd grp resource syslog _posixsubprocess _posixshmem".split()
)
GONE_OF_OS = """
    O_NOFOLLOW O_NONBLOCK O_CLOEXEC O_DIRECTORY O_SYNC O_DSYNC O_NOCTTY O_ASYNC O_NOATIME O_PATH
    chown chroot fchdir fchmod fchown fdatasync fork forkpty fpathconf fstatvfs getegid geteuid
    getgid getgroups getloadavg getpgid getpgrp getpriority getresuid getsid getuid initgroups
    killpg lchown lockf mkfifo mknod nice openpty pathconf pipe2 posix_fadvise posix_fallocate
    posix_spawn pread preadv pwrite pwritev sched_getaffinity sched_yield sendfile setegid seteuid
    setgid setgroups setpgid setpriority setsid setuid sync sysconf tcgetpgrp tcsetpgrp
    ttyname uname wait wait3 wait4 waitid
""".split()
"""What Python's documentation of ``os`` marks as Unix's alone."""
GONE = {
    signal: "SIGHUP SIGALRM SIGUSR1 SIGUSR2 SIGWINCH SIGPIPE SIGKILL alarm setitimer".split(),
    time: ["tzset"],
    socket: ["AF_UNIX"],
    select: ["poll", "epoll"],
}
REFUSED_SIGNS = '<>:"|?*'
DEVICES = frozenset(
    {"con", "prn", "aux", "nul", *(f"{kind}{n}" for kind in ("com", "lpt") for n in range(10))}
)

_open, _replace, _rename, _unlink = os.open, os.replace, os.rename, os.unlink
_fstat, _flock, _io_open = os.fstat, fcntl.flock, io.open


class Console(ModuleType):
    """Stands in for ``msvcrt``: keys that a test typed, and locks of one byte."""

    LK_NBLCK = 2

    def __init__(self) -> None:
        super().__init__("msvcrt")
        self.typed: deque[str] = deque()

    def kbhit(self) -> bool:
        """Tell whether a key was typed."""
        return bool(self.typed)

    def getwch(self) -> str:
        """Give the next key."""
        return self.typed.popleft()

    def locking(self, file: int, mode: int, count: int) -> None:
        """Lock a byte at the place of an open file, or refuse as Windows does."""
        assert (mode, count) == (self.LK_NBLCK, 1)
        assert os.lseek(file, 0, os.SEEK_CUR) > _fstat(file).st_size, "others may not read it then"
        try:
            _flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError as error:
            raise PermissionError(errno.EACCES, "Permission denied") from error


CONSOLE = Console()


def play_windows() -> None:
    """Take away what Windows has not, and refuse what it refuses."""
    for name in LOADED_BEFORE:
        importlib.import_module(name)
    for module, names in {os: GONE_OF_OS, **GONE}.items():
        for name in names:
            if hasattr(module, name):
                delattr(module, name)
    for name in GONE_MODULES:
        sys.modules.pop(name, None)
    sys.modules["msvcrt"] = CONSOLE
    builtins.__import__ = _importing(builtins.__import__)
    shutil._use_fd_functions = False  # type: ignore[attr-defined]
    for name in ("stat", "lstat", "mkdir", "rmdir", "chmod", "scandir", "listdir", "utime"):
        setattr(os, name, _without_descriptors(getattr(os, name)))
    for module, ways in (
        (os, {"open": _opening, "unlink": _unlinking, "remove": _unlinking}),
        (os, {"rename": _renaming, "replace": _replacing}),
        (io, {"open": _io_opening}),
        (builtins, {"open": _io_opening}),
    ):
        for name, way in ways.items():
            setattr(module, name, way)


def _importing(before: Callable[..., Any]) -> Callable[..., Any]:
    """Refuse modules of POSIX to whatever is no part of Python itself or of a package."""

    def wanted(name: str, scope: Any = None, *more: Any, **other: Any) -> Any:  # noqa: ANN401
        asks = str((scope or {}).get("__name__", ""))
        if name in GONE_MODULES and asks.partition(".")[0] in {"calllog", "__main__"}:
            message = f"No module named {name!r}"
            raise ModuleNotFoundError(message, name=name)
        return before(name, scope, *more, **other)

    return wanted


def _without_descriptors(before: Callable[..., Any]) -> Callable[..., Any]:
    def called(path: Any = ".", *more: Any, dir_fd: int | None = None, **other: Any) -> Any:  # noqa: ANN401
        _require_path(path, dir_fd)
        return before(path, *more, **other)

    return called


def _require_path(path: Any, dir_fd: int | None) -> None:  # noqa: ANN401
    if dir_fd is not None or isinstance(path, int):
        message = "dir_fd unavailable on this platform"
        raise NotImplementedError(message)


def _require_name(path: Any) -> None:  # noqa: ANN401
    if isinstance(path, int):
        return
    name = Path(os.fsdecode(path)).name
    is_device = name.partition(".")[0].rstrip().casefold() in DEVICES
    if is_device or set(name) & set(REFUSED_SIGNS) or name.endswith((".", " ")):
        raise OSError(errno.EINVAL, "The filename, directory name, or volume label syntax", name)


def _opening(path: Any, how: int, mode: int = 0o777, *, dir_fd: int | None = None) -> int:  # noqa: ANN401
    _require_path(path, dir_fd)
    _require_name(path)
    if Path(path).is_dir():
        raise PermissionError(errno.EACCES, "Permission denied", str(path))
    return _open(path, how, mode)


def _io_opening(path: Any, *more: Any, **other: Any) -> Any:  # noqa: ANN401
    _require_name(path)
    return _io_open(path, *more, **other)


def _unlinking(path: Any, *, dir_fd: int | None = None) -> None:  # noqa: ANN401
    _require_path(path, dir_fd)
    _require_unused(path)
    _unlink(path)


def _replacing(made: Any, path: Any) -> None:  # noqa: ANN401
    _require_name(path)
    _require_unused(made)
    _require_unused(path)
    _replace(made, path)


def _renaming(made: Any, path: Any) -> None:  # noqa: ANN401
    _require_name(path)
    _require_unused(made)
    if os.path.lexists(path):
        raise FileExistsError(errno.EEXIST, "Cannot create a file when that file already exists")
    _rename(made, path)


def _require_unused(path: Any) -> None:  # noqa: ANN401
    """Refuse what is open, in this process, as Windows does."""
    try:
        found = os.lstat(path)
    except FileNotFoundError:
        return
    if not stat.S_ISREG(found.st_mode):
        return
    for each in Path("/proc/self/fd").iterdir():
        try:
            held = _fstat(int(each.name))
        except OSError:
            continue
        if os.path.samestat(held, found):
            raise PermissionError(errno.EACCES, "it is being used by another process", str(path))
