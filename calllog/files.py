"""Files as the program wants them: made private, replaced whole, locked, opened with care; shell.

How each system does it is `calllog.system`'s. What the program makes, its maker alone may read,
whatever the umask says; a folder that stood there before stays as it was. A file whose name a
stranger may have taken is opened without following a link and without waiting for a pipe, and is
looked at before it is used.
"""

import errno
import os
import stat
from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import IO, BinaryIO, Final

from calllog import system
from calllog.system import NO_FILE, OTHERS

PRIVATE_FILE: Final = 0o600
PRIVATE_FOLDER: Final = 0o700
COPIED_BYTES: Final = 1 << 20
"""At once."""


def make_folder(path: Path) -> None:
    """Make a folder, and those above it that are missing; one that is there stays as it is.

    Raises:
        OSError: it cannot be made, or something else stands there.
    """
    try:
        path.mkdir(PRIVATE_FOLDER, exist_ok=True)
    except FileNotFoundError:
        if path.parent == path:
            raise
        make_folder(path.parent)
        path.mkdir(PRIVATE_FOLDER, exist_ok=True)


def open_new(path: Path) -> BinaryIO:
    """Make a file and open it for writing.

    Raises:
        OSError: it cannot be made, or something stands there, be it a link that leads nowhere.
    """
    how = os.O_WRONLY | os.O_CREAT | os.O_EXCL
    return os.fdopen(system.SYSTEM.open(path, how, PRIVATE_FILE), "wb")


def open_own(path: Path, how: int) -> int:
    """Open a file of ours for writing, made if it is not there, and see that it is one.

    Args:
        path: the file.
        how: `os.O_WRONLY`, `os.O_RDWR`, and what goes with them.

    Returns:
        A descriptor, which no child gets.

    Raises:
        OSError: it cannot be opened; or it is a link, a pipe, a device or a folder.
    """
    return system.SYSTEM.open(path, how | os.O_CREAT, PRIVATE_FILE)


def require_mine(file: int, path: Path) -> None:
    """Pass if an open file is a plain one and belongs to who runs the program.

    Raises:
        OSError: it is another's, or no plain file; it is closed then.
    """
    found = os.fstat(file)
    wrong = ""
    if not stat.S_ISREG(found.st_mode):
        wrong = NO_FILE
    elif not system.SYSTEM.is_mine(found):
        wrong = "it belongs to somebody else"
    if wrong:
        os.close(file)
        raise OSError(errno.EPERM, wrong, str(path))


def read_mine(path: Path, *, most_bytes: int) -> bytes:
    """Read a plain file that belongs to who runs the program.

    Raises:
        OSError: it cannot be read, is another's, no plain file, or has more bytes.
    """
    file = system.SYSTEM.open(path, os.O_RDONLY)
    require_mine(file, path)
    with os.fdopen(file, "rb") as opened:
        return _limited(opened.read(most_bytes + 1), most_bytes)


def read_limited(path: Path, *, most_bytes: int) -> bytes:
    """Read a file that the user named; no more of it than there may be.

    Raises:
        OSError: it cannot be read, or has more bytes.
    """
    with path.open("rb") as file:
        return _limited(file.read(most_bytes + 1), most_bytes)


def _limited(content: bytes, most_bytes: int) -> bytes:
    if len(content) > most_bytes:
        raise OSError(errno.EFBIG, f"it has more than {most_bytes:,} bytes")
    return content


def make_mine(path: Path) -> None:
    """Make a folder in which nobody else can read or plant files, or see that it is one.

    Raises:
        OSError: it cannot be made; or it is a link, another's, or open to others.
    """
    make_folder(path)
    if not is_mine_alone(path):
        raise OSError(errno.EPERM, "it is a link, somebody else's, or open to others", str(path))


def is_mine_alone(path: Path) -> bool:
    """Tell whether a folder is there that nobody else can look into; a link to one is none."""
    try:
        found = os.lstat(path)
    except OSError:
        return False
    is_seen = system.SYSTEM.others_may(path, found) & OTHERS
    return stat.S_ISDIR(found.st_mode) and system.SYSTEM.is_mine(found) and not is_seen


def write_new(path: Path, parts: Iterable[bytes]) -> None:
    """Write a file that is not there yet, piece by piece.

    Raises:
        OSError: something stands there, or the disk refused.
    """
    with open_new(path) as file:
        file.writelines(parts)


def write_whole(path: Path, content: bytes) -> None:
    """Write a file so that its name shows the whole new content or what stood there before.

    It is written beside it under a name ending in ``.part``, brought to the disk, then renamed.

    Raises:
        OSError: the folder is missing or cannot be written, or the name is taken by a folder.
    """
    if not path.name:
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    part = path.with_name(f".{path.name}.part")
    try:
        part.unlink(missing_ok=True)  # a link in its place would be followed
        with open_new(part) as file:
            file.write(content)
            bring_to_disk(file)
        replace(part, path)
    except OSError:
        with suppress(OSError):  # where the folder is unusable, which is reported
            part.unlink(missing_ok=True)
        raise


def bring_to_disk(file: IO[bytes] | IO[str]) -> None:
    """Bring what was written into an open file to the disk; OSError if the disk refused."""
    file.flush()
    system.SYSTEM.sync(file.fileno())


def bring_all_to_disk() -> None:
    """Bring all that was written to the disks, as far as the system can be asked to."""
    system.SYSTEM.sync_all()


def replace(made: Path, path: Path) -> None:
    """Give a file another's name, whose content is then gone, at once or not at all.

    Raises:
        OSError: it cannot be done.
    """
    system.SYSTEM.replace(made, path)


def sync_folder(folder: Path) -> None:
    """Bring a folder's names to the disk; OSError if it cannot be opened, or the disk refused."""
    with system.SYSTEM.folder(folder) as held:
        held.sync()


def read_at(file: int, most: int, at: int) -> bytes:
    """Read from a place in an open file, less at its end; OSError if the disk refused."""
    return system.SYSTEM.read_at(file, most, at)


def write_at(file: int, content: bytes, at: int) -> None:
    """Write at a place in an open file; OSError if the disk refused."""
    system.SYSTEM.write_at(file, content, at)


def lock_file(path: Path) -> int:
    """Take the system's lock of a file, made if it is not there; nothing is read or written.

    The lock ends when the descriptor is closed, at the latest with the process, however that dies.
    It shuts out all others, those of the same process too.

    Returns:
        The descriptor that holds it, which no child gets.

    Raises:
        BlockingIOError: somebody has it.
        OSError: the file cannot be opened, or is no plain file.
    """
    file = open_own(path, os.O_RDWR)
    try:
        system.SYSTEM.lock(file)
    except OSError:
        os.close(file)
        raise
    return file
