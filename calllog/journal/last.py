"""Journal: the last entry's number and hash, noted beside the database; folder in and out; shell.

A journal whose end is missing is a sound journal too: a log that was deleted, or a page that was
brought back from a copy, takes acknowledged entries away and leaves no gap. So after each entry is
on the disk its number and hash are noted in a small file of their own. The note is never ahead of
the journal, does not wait for the disk, and may be missing: then the end is as sure as without it.
"""

import os
from collections.abc import Sequence
from contextlib import suppress
from hashlib import sha256
from pathlib import Path

from calllog.errors import Fault
from calllog.files import open_own, write_at
from calllog.journal.plain import open_plain
from calllog.values import Frozen

LAST = "job.last"
EARLIER = "job.head"
"""Name of the note in jobs of before; it is read, and replaced as soon as the job is written."""
_LONGEST = 256
_CHECK_SIGNS = 16


class Last(Frozen):
    """The last entry that was written, as it was noted."""

    sequence: int
    hash: str


def note_last(folder: Path, last: Last) -> None:
    """Note the last entry; a note that cannot be written stays as it was, which is no harm."""
    with suppress(OSError):
        file = open_own(folder / LAST, os.O_WRONLY)
        try:
            write_at(file, _line(last), 0)
        finally:
            os.close(file)


def take_over_note(folder: Path, last: Last) -> None:
    """Note the last entry of a job that is opened for writing; then an earlier note is removed."""
    note_last(folder, last)
    if _read(folder, LAST) == last:
        with suppress(OSError):
            (folder / EARLIER).unlink(missing_ok=True)


def read_last(folder: Path) -> Last | None:
    """Read the note, whichever name it has; None if there is none that can be read whole.

    An earlier program may have written beside a note of today's: the later of the two counts.
    """
    notes = [note for name in (EARLIER, LAST) if (note := _read(folder, name)) is not None]
    return max(notes, key=lambda note: note.sequence, default=None)


def _read(folder: Path, name: str) -> Last | None:
    try:
        with open_plain(folder, name) as file:
            line = file.read(_LONGEST)
        sequence, noted, _ = line.decode("ascii").split()
        last = Last(sequence=int(sequence), hash=noted)
    except (OSError, ValueError):
        return None
    return last if last.sequence > 0 and _line(last) == line else None


def last_fault(last: Last | None, hashes: Sequence[str]) -> str:
    """Say what the note tells of a journal that is sound in itself.

    Args:
        last: the note, read before the journal was.
        hashes: those of all entries, in order.

    Returns:
        One clause; empty if the journal holds what was noted, whatever has followed since.
    """
    if last is None:
        return ""
    first = len(hashes) + 1
    if last.sequence == first:
        words = f"entry {first} is missing at the end, though it was written"
        return Fault(words, "fault-end-missing", first=first, last=first)
    if last.sequence > first:
        words = f"entries {first} to {last.sequence} are missing at the end, though written"
        return Fault(words, "fault-end-missing", first=first, last=last.sequence)
    if hashes[last.sequence - 1] == last.hash:
        return ""
    words = f"entry {last.sequence} is not the one that was written"
    return Fault(words, "fault-other-end", entry=last.sequence)


def _line(last: Last) -> bytes:
    text = f"{last.sequence:012d} {last.hash}"
    return f"{text} {sha256(text.encode()).hexdigest()[:_CHECK_SIGNS]}\n".encode()
