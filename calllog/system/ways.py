"""What each system does in a way of its own: files, folders, locks, ends and keys; no code.

`calllog.system.SYSTEM` is the one at hand. A refusal is an `OSError`; one with ``errno.EINVAL``
means that what stands there is no plain file or folder, or that the name cannot be one's.
"""

from __future__ import annotations

import os
import signal
from pathlib import Path
from typing import Final, Protocol, Self

NO_FILE: Final = "it is no plain file but a link, a pipe, a folder or a device"
NO_FOLDER: Final = "it is no plain folder but a link or a file"
NO_NAME: Final = "it cannot be the name of a file here"
OTHERS_WRITE: Final = 0o022
"""Rights of others to change a file or folder, as `os.stat_result.st_mode` has them."""
OTHERS: Final = 0o077
"""All rights of others."""


class Folder(Protocol):
    """A folder that is held while what is in it is looked at; a context manager.

    Where the system can, nobody puts another one in its place meanwhile. Names are single names.
    """

    def found(self) -> os.stat_result:
        """Tell what the system knows of the folder itself."""

    def found_in(self, name: str) -> os.stat_result:
        """Tell what the system knows of what stands there; a link is not followed.

        Raises:
            OSError: nothing does.
        """

    def below(self, name: str) -> Folder:
        """Hold a folder in this one; OSError if it is not there, or no plain folder."""

    def open(self, name: str, how: int, mode: int = 0o600) -> int:
        """Open a file (see `System.open`)."""

    def name_once(self, made: str, name: str) -> None:
        """Give a file that was made here another name, unless something has that.

        Raises:
            OSError: it cannot be done; `FileExistsError` where something has it.
        """

    def remove(self, name: str) -> None:
        """Remove a file; OSError if it cannot be done."""

    def sync(self) -> None:
        """Bring the names in it to the disk; OSError if the disk refused."""

    def close(self) -> None:
        """Let it go."""

    def __enter__(self) -> Self: ...

    def __exit__(self, *_: object) -> None: ...


class RawKeys(Protocol):
    """The keys of a terminal as they come, without echo and without Enter; Ctrl-C interrupts."""

    def read(self, timeout_s: float) -> str | None:
        """Wait for keys.

        Args:
            timeout_s: how long at most [s].

        Returns:
            What was typed, other keys as the escape sequences that terminals send; empty if the
            terminal is gone, None if nothing came.
        """

    def close(self) -> None:
        """Put the terminal back as it was, dropping what was not read."""


class System(Protocol):
    """The ways of one system."""

    @property
    def name(self) -> str:
        """What people call it."""

    @property
    def hands_down(self) -> bool:
        """Whether a process can be begun with open connections of this one."""

    @property
    def ends(self) -> tuple[signal.Signals, ...]:
        """By which signals somebody, or the system, ends the program."""

    def folder(self, path: Path, *, may_be_link: bool = True) -> Folder:
        """Hold a folder; OSError if it is not there, no folder, or a link where none may be."""

    def open(self, path: Path, how: int, mode: int = 0o600) -> int:
        """Open a plain file as bytes, without following a link or waiting for a pipe.

        Args:
            path: the file.
            how: ``os.O_WRONLY``, ``os.O_CREAT`` and what else every system knows.
            mode: rights of one that is made.

        Returns:
            A descriptor, which no child gets.

        Raises:
            OSError: it cannot be opened, or is no plain file.
        """

    def lock(self, file: int) -> None:
        """Take the lock of an open file, which ends with its descriptor.

        Raises:
            BlockingIOError: somebody has it, be it in this process.
            OSError: this disk has no locks.
        """

    def replace(self, made: Path, path: Path) -> None:
        """Give a file another's name, whose content is then gone, at once or not at all.

        Raises:
            OSError: it cannot be done.
        """

    def sync(self, file: int) -> None:
        """Bring an open file to the disk; OSError if the disk refused."""

    def sync_all(self) -> None:
        """Bring all that was written to the disks, as far as the system can be asked to."""

    def is_mine(self, found: os.stat_result) -> bool:
        """Tell whether a file belongs to who runs the program."""

    def others_may(self, path: Path, found: os.stat_result) -> int:
        """Tell which rights others have to a file or folder: bits of `OTHERS`."""

    def read_at(self, file: int, most: int, at: int) -> bytes:
        """Read from a place in an open file, less at its end; OSError if the disk refused."""

    def write_at(self, file: int, content: bytes, at: int) -> None:
        """Write at a place in an open file; OSError if the disk refused."""

    def free_memory(self) -> None:
        """Give the system the memory that the process no longer uses, where it can be asked."""

    def keys(self, fd: int) -> RawKeys:
        """Take a terminal's keys as they are typed; OSError if it cannot be set so."""

    def quoted(self, word: str) -> str:
        """Write a word as the system's command line takes it for one."""
