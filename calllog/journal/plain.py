"""Journal: a place inside a job folder in, its plain file opened or refused; shell.

A job folder may come from a stranger. A link in it could lead anywhere, and opening a pipe or a
device may never come back; so nothing but plain files in plain folders is opened, and a refusal
is an `OSError` like that of a file which is not there.
"""

import errno
import hashlib
import os
import stat
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from io import BufferedReader
from pathlib import Path

from calllog import system
from calllog.errors import JournalError
from calllog.system import Folder

NOT_PLAIN = "no plain file or folder but a link, a pipe, a device or the other of the two"


def open_plain(folder: Path, *names: str) -> BufferedReader:
    """Open a plain file for reading.

    Args:
        folder: where it is trusted to be, itself a link or not.
        names: the folders below and the file, each one name.

    Raises:
        OSError: it is not there, or is no plain file, or is in no plain folder.
    """
    with _held(folder, names) as inside:
        return os.fdopen(inside.open(names[-1], os.O_RDONLY), "rb")


def read_plain(folder: Path, *names: str, most_bytes: int) -> bytes:
    """Read a plain file that is not too large (see `open_plain`).

    Raises:
        OSError: it cannot be opened, or has more bytes.
    """
    with open_plain(folder, *names) as file:
        content = file.read(most_bytes + 1)
    if len(content) > most_bytes:
        raise OSError(errno.EFBIG, f"more than {most_bytes} bytes")
    return content


def digest_plain(folder: Path, *names: str) -> str:
    """Give the SHA-256 of a plain file, hexadecimal (see `open_plain`)."""
    with open_plain(folder, *names) as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def remove_plain(folder: Path, *names: str) -> bool:
    """Remove a plain file for good, and bring that to the disk (see `open_plain`).

    Returns:
        Whether it was there.

    Raises:
        OSError: it is no plain file, is in no plain folder, or cannot be removed.
    """
    try:
        with _held(folder, names) as inside:
            if not stat.S_ISREG(inside.found_in(names[-1]).st_mode):
                raise OSError(errno.EINVAL, f"it is {NOT_PLAIN}")
            inside.remove(names[-1])
            inside.sync()
    except FileNotFoundError:
        return False
    return True


def is_plain_file(path: Path) -> bool:
    """Tell whether a plain file stands there; a link to one is none."""
    return _kind(path) == stat.S_IFREG


def is_plain_folder(path: Path) -> bool:
    """Tell whether a plain folder stands there; a link to one is none."""
    return _kind(path) == stat.S_IFDIR


def is_free(path: Path) -> bool:
    """Tell whether nothing stands there, not even a link that leads nowhere."""
    return not os.path.lexists(path)


def own_folder(job: Path, *names: str) -> Path:
    """Name a folder inside a job that the program may write into.

    Args:
        job: the job's folder.
        names: the folders below it, each one name; they need not be there.

    Raises:
        JournalError: one is a link or no folder, so that what is written would go elsewhere.
    """
    path = job
    for name in names:
        path /= name
        if not (is_free(path) or is_plain_folder(path)):
            raise JournalError(
                f"is {NOT_PLAIN}",
                where=str(path),
                next_step="name another folder with --out",
            )
    return path


@contextmanager
def _held(folder: Path, names: Sequence[str]) -> Iterator[Folder]:
    """Hold the folder in which the last of the names stands, and say in this room's words why not.

    Raises:
        OSError: one of them is not there, or is not plain.
    """
    with ExitStack() as held:
        try:
            inside = held.enter_context(system.SYSTEM.folder(folder))
            for name in names[:-1]:
                inside = held.enter_context(inside.below(name))
            yield inside
        except OSError as error:
            if error.errno == errno.EINVAL:
                raise OSError(errno.EINVAL, f"it is {NOT_PLAIN}") from error
            raise


def _kind(path: Path) -> int:
    try:
        return stat.S_IFMT(os.lstat(path).st_mode)
    except (OSError, ValueError):
        return 0
