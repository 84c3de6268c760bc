"""The ways of Windows; shell.

Read in Python's documentation of ``msvcrt`` and ``os`` and in Microsoft's of files, links and the
console; tried only by standing in for what Windows has. What Windows lacks: links can be looked
for before and after a file is opened, not while; folders are not brought to the disk by order;
who owns a file is not asked. A folder that the program makes is its maker's and the
administrators' alone (``os.mkdir`` with mode 0700, from Python 3.11.10 and 3.12.4 on), and what
is made in it follows; else what lies in the user's own profile is taken for theirs alone.
"""

from __future__ import annotations

import errno
import importlib
import os
import re
import signal
import stat
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

from calllog.closing import Closes
from calllog.system.names import is_everywhere_a_name
from calllog.system.ways import NO_FILE, NO_FOLDER, NO_NAME, OTHERS

_BYTES: Final = getattr(os, "O_BINARY", 0) | getattr(os, "O_NOINHERIT", 0)
"""Without the first, line ends would be changed and a byte 26 would end a file."""
_LINKS: Final = frozenset({0xA000000C, 0xA0000003})
"""Reparse tags of symbolic links and of junctions; those of files kept elsewhere are none."""
_LOCKED_AT: Final = 1 << 30
"""Place of the one byte that is locked: past all that is read, since others cannot read it."""
_HELD: Final = frozenset({errno.EACCES, errno.EDEADLK, getattr(errno, "EDEADLOCK", 0)})
_AGAIN_S: Final = 0.05
_TRIES: Final = 20
"""Scanners and indexers hold a new file for moments, which another name is refused for."""
_LOOK_S: Final = 0.01
"""How often the console is asked for keys: it cannot be waited for."""
_LEADS: Final = ("\0", "\xe0")
"""Before the code of a key that is no character."""
_OTHER: Final = "\x1b[~"
"""A key that is no character, as a terminal might send it."""
_INTERRUPT: Final = "\x03"
_BARE: Final = re.compile(r"[\w.:\\/+@~-]+")
"""Words that need no quotes."""


class WindowsFolder(Closes):
    """A folder by its path (see `calllog.system.ways.Folder`)."""

    def __init__(self, path: Path, system: Windows) -> None:
        self._path = path
        self._system = system

    def found(self) -> os.stat_result:
        """Tell what the system knows of the folder itself."""
        return self._path.lstat()

    def found_in(self, name: str) -> os.stat_result:
        """Tell what the system knows of what stands there."""
        return self._below(name).lstat()

    def below(self, name: str) -> WindowsFolder:
        """Hold a folder in this one."""
        return self._system.folder(self._below(name), may_be_link=False)

    def open(self, name: str, how: int, mode: int = 0o600) -> int:
        """Open a file."""
        return self._system.open(self._below(name), how, mode)

    def name_once(self, made: str, name: str) -> None:
        """Give a file another name, which Windows does only where nothing has it."""
        new = self._below(name)
        if os.path.lexists(new):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(new))
        self._below(made).rename(new)

    def remove(self, name: str) -> None:
        """Remove a file."""
        self._below(name).unlink()

    def sync(self) -> None:
        """Leave the names to the system, which takes no such order."""

    def close(self) -> None:
        """Let it go."""

    def _below(self, name: str) -> Path:
        if not is_everywhere_a_name(name):
            raise OSError(errno.EINVAL, NO_NAME, name)
        return self._path / name


class WindowsKeys:
    """The console's keys (see `calllog.system.ways.RawKeys`)."""

    def __init__(self, console: Any) -> None:  # noqa: ANN401 - a module that is not everywhere
        self._console = console

    def read(self, timeout_s: float) -> str | None:
        """Wait for keys, asking a hundred times a second."""
        until_s = time.monotonic() + timeout_s
        while not self._console.kbhit():
            left_s = until_s - time.monotonic()
            if left_s <= 0:
                return None
            time.sleep(min(_LOOK_S, left_s))
        typed = ""
        while self._console.kbhit():
            typed += self._key()
        return typed or None

    def close(self) -> None:
        """Drop what was not read; the console itself was never set otherwise."""
        while self._console.kbhit():
            self._console.getwch()

    def _key(self) -> str:
        key = str(self._console.getwch())
        if key in _LEADS and self._console.kbhit():
            self._console.getwch()
            return _OTHER
        if key == _INTERRUPT:
            signal.raise_signal(signal.SIGINT)
            return ""
        return key


class Windows:
    """The ways of Windows (see `calllog.system.ways.System`).

    Args:
        console: what has the console's keys and the locks; Python's ``msvcrt`` if left out.
        rename: gives a file a name that another may have.
    """

    name = "Windows"
    hands_down = False
    ends = tuple(
        getattr(signal, each) for each in ("SIGINT", "SIGTERM", "SIGBREAK") if hasattr(signal, each)
    )

    def __init__(
        self,
        console: Any = None,  # noqa: ANN401 - a module that is not everywhere
        rename: Callable[[Path, Path], object] = Path.replace,
    ) -> None:
        self._given = console
        self._rename = rename

    def folder(self, path: Path, *, may_be_link: bool = True) -> WindowsFolder:
        """Hold a folder."""
        found = path.stat() if may_be_link else path.lstat()
        if not stat.S_ISDIR(found.st_mode) or (not may_be_link and _is_link(found)):
            raise NotADirectoryError(errno.EINVAL, NO_FOLDER, str(path))
        return WindowsFolder(path, self)

    def open(self, path: Path, how: int, mode: int = 0o600) -> int:
        """Open a plain file: what stands there is looked at before, and whether it was that."""
        try:
            before = path.lstat()
        except FileNotFoundError:
            before = None
        if before is not None and (not stat.S_ISREG(before.st_mode) or _is_link(before)):
            raise OSError(errno.EINVAL, NO_FILE, str(path))
        file = os.open(path, how | _BYTES, mode)
        try:
            is_it = os.path.samestat(os.fstat(file), path.lstat() if before is None else before)
        except BaseException:
            os.close(file)
            raise
        if not is_it:
            os.close(file)
            raise OSError(errno.EINVAL, NO_FILE, str(path))
        return file

    def lock(self, file: int) -> None:
        """Take the lock of an open file: of one byte of it, past its end."""
        console = self._console()
        os.lseek(file, _LOCKED_AT, os.SEEK_SET)
        try:
            console.locking(file, console.LK_NBLCK, 1)
        except OSError as error:
            if error.errno in _HELD:
                raise BlockingIOError(error.errno, error.strerror) from error
            raise

    def replace(self, made: Path, path: Path) -> None:
        """Give a file another's name; again for a second where somebody looks at one of them."""
        for left in reversed(range(_TRIES)):
            try:
                self._rename(made, path)
            except PermissionError:
                if not left or path.is_dir():
                    raise
                time.sleep(_AGAIN_S)
            else:
                return

    def sync(self, file: int) -> None:
        """Bring an open file to the disk."""
        os.fsync(file)

    def sync_all(self) -> None:
        """Leave it to the system, which takes no such order."""

    def is_mine(self, found: os.stat_result) -> bool:  # noqa: ARG002 - POSIX asks
        """Take a file for the user's: its owner is not asked."""
        return True

    def others_may(self, path: Path, found: os.stat_result) -> int:  # noqa: ARG002 - POSIX asks
        """Tell which rights others have: none in the user's own profile, else any."""
        return 0 if path.resolve().is_relative_to(Path.home().resolve()) else OTHERS

    def read_at(self, file: int, most: int, at: int) -> bytes:
        """Read from a place in an open file."""
        os.lseek(file, at, os.SEEK_SET)
        return os.read(file, most)

    def write_at(self, file: int, content: bytes, at: int) -> None:
        """Write at a place in an open file."""
        os.lseek(file, at, os.SEEK_SET)
        os.write(file, content)

    def free_memory(self) -> None:
        """Do nothing: what is freed goes back by itself."""

    def keys(self, fd: int) -> WindowsKeys:  # noqa: ARG002 - a process has one console
        """Take the console's keys as they are typed."""
        keys = WindowsKeys(self._console())
        keys.close()
        return keys

    def quoted(self, word: str) -> str:
        """Write a word as Windows's command line takes it for one."""
        inner = word.replace('"', '\\"')
        return word if _BARE.fullmatch(word) else f'"{inner}"'

    def _console(self) -> Any:  # noqa: ANN401 - a module that is not everywhere
        if self._given is None:
            self._given = importlib.import_module("msvcrt")
        return self._given


def _is_link(found: os.stat_result) -> bool:
    return stat.S_ISLNK(found.st_mode) or getattr(found, "st_reparse_tag", 0) in _LINKS
