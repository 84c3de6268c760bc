"""Journal: a job folder that may be damaged in, what is sound of its journal out; shell.

The files are read as bytes, never opened as a database, which would roll a log back or throw it
away. The note of the end is read first, then the log: what a writer adds meanwhile is not missed,
what it carries over is then in the database.
"""

import os
from contextlib import suppress
from pathlib import Path

from calllog.errors import JournalError
from calllog.files import read_at
from calllog.journal.carving import PAGE_BYTES, carve, longest_chain
from calllog.journal.database import DATABASE, MOST_BYTES, NEWER_NEXT, log_path, too_large
from calllog.journal.entry import Entry, is_newer
from calllog.journal.last import read_last
from calllog.journal.plain import open_plain
from calllog.values import Frozen, Message

RESCUED = "rescued"
"""Kind of the entry that says so."""


class Rescue(Frozen):
    """Body of a ``rescued`` entry: what the entries before it were carried over from."""

    job: str
    """Name of the folder."""
    entries: int
    """How many were carried over, from the first on."""
    wrong: Message | None
    """What was found wrong; None if nothing was."""
    mended: tuple[int, ...]
    """Entries carried over of which one flipped bit was turned back; their hashes fit again."""
    lost: int
    """How many later ones were written for certain, and are not carried over."""
    apart: int
    """How many of those can be read, but do not follow; they are kept aside."""
    kept_in: str
    """Name of the file in which they are; empty if there are none."""
    clips_lost: tuple[str, ...]
    """Sounds of entries carried over that are gone or changed."""
    files_lost: tuple[str, ...]
    """Other files that could not be read."""
    calllog: str
    """Version of the program that did it."""
    pulls_in: str = ""
    """Name of the file that lists the pulls in what is kept aside, for people to read; empty if
    there are none."""


class Salvaged(Frozen):
    """What is sound of a journal."""

    chain: tuple[Entry, ...]
    """From the first entry on, each following from the one before."""
    mended: tuple[int, ...]
    """Those of which a single bit had been flipped, turned back so that the hash fits."""
    apart: tuple[Entry, ...]
    """Later ones that are sound in themselves; what stood before them is missing."""
    written: int
    """How many entries were written at least."""


def salvage(folder: Path) -> Salvaged:
    """Find the sound entries of a journal, whatever has become of its files.

    Raises:
        JournalError: a file is larger than a journal can be, an entry was written by a later
            program, or none can be read.
    """
    last = read_last(folder)
    log, database = _read(log_path(folder)), _read(folder / DATABASE)
    found, mended = carve(database, log)
    if any(is_newer(entry) for entry in found):
        raise JournalError(
            "the journal has entries of a later calllog", where=str(folder), next_step=NEWER_NEXT
        )
    chain = longest_chain(found, last.hash if last else "")
    if not chain:
        raise JournalError(
            "nothing can be rescued: the first entry of the journal cannot be read"
            if found
            else "nothing can be rescued: no entry of a journal can be read",
            where=str(folder),
            next_step="bring back a copy of the folder; the sounds in it are as they were",
        )
    later = sorted(
        {entry.hash: entry for entry in found if entry.sequence > len(chain)}.values(),
        key=lambda entry: entry.sequence,
    )
    written = max(len(chain), last.sequence if last else 0, *(entry.sequence for entry in later))
    mended &= {entry.sequence for entry in chain}
    return Salvaged(chain=chain, mended=tuple(sorted(mended)), apart=tuple(later), written=written)


def _read(path: Path) -> bytes:
    """Read a file, page by page if need be; one that the disk does not give up reads as zeros.

    Raises:
        JournalError: it is larger than a journal can be.
    """
    try:
        opened = open_plain(path.parent, path.name)
    except OSError:
        return b""
    with opened:
        size = os.fstat(opened.fileno()).st_size
        if size > MOST_BYTES:
            raise too_large(path)
        file = opened.fileno()
        with suppress(OSError):
            content = read_at(file, size, 0)
            if len(content) == size:
                return content
        return b"".join(_page(file, at, size) for at in range(0, size, PAGE_BYTES))


def _page(file: int, at: int, size: int) -> bytes:
    wanted = min(PAGE_BYTES, size - at)
    try:
        return read_at(file, wanted, at).ljust(wanted, b"\0")
    except OSError:
        return bytes(wanted)
