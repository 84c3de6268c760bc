"""Journal: the last entry's number and hash, noted beside the database; folder in and out; shell.

A journal whose end is missing is a sound journal too: a log that was deleted, or a page that was
brought back from a copy, takes acknowledged entries away and leaves no gap. So after each entry is
on the disk its number and hash are noted in a small file of their own. The note is never ahead of
the journal, does not wait for the disk, and may be missing: then the end is as sure as without it.
"""

from __future__ import annotations

import os
from contextlib import suppress
from hashlib import sha256
from typing import TYPE_CHECKING

from calllog.errors import Fault
from calllog.files import open_own
from calllog.journal.plain import open_plain
from calllog.values import Frozen

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

HEAD = "job.head"
_LONGEST = 256
_CHECK_SIGNS = 16


class Head(Frozen):
    """The last entry that was written, as it was noted."""

    sequence: int
    hash: str


def note_head(folder: Path, head: Head) -> None:
    """Note the last entry; a note that cannot be written stays as it was, which is no harm."""
    with suppress(OSError):
        file = open_own(folder / HEAD, os.O_WRONLY)
        try:
            os.pwrite(file, _line(head), 0)
        finally:
            os.close(file)


def read_head(folder: Path) -> Head | None:
    """Read the note; None if there is none, or it cannot be read whole."""
    try:
        with open_plain(folder, HEAD) as file:
            line = file.read(_LONGEST)
        sequence, noted, _ = line.decode("ascii").split()
        head = Head(sequence=int(sequence), hash=noted)
    except (OSError, ValueError):
        return None
    return head if head.sequence > 0 and _line(head) == line else None


def head_fault(head: Head | None, hashes: Sequence[str]) -> str:
    """Say what the note tells of a journal that is sound in itself.

    Args:
        head: the note, read before the journal was.
        hashes: those of all entries, in order.

    Returns:
        One clause; empty if the journal holds what was noted, whatever has followed since.
    """
    if head is None:
        return ""
    first = len(hashes) + 1
    if head.sequence == first:
        words = f"entry {first} is missing at the end, though it was written"
        return Fault(words, "fault-end-missing", first=first, last=first)
    if head.sequence > first:
        words = f"entries {first} to {head.sequence} are missing at the end, though written"
        return Fault(words, "fault-end-missing", first=first, last=head.sequence)
    if hashes[head.sequence - 1] == head.hash:
        return ""
    words = f"entry {head.sequence} is not the one that was written"
    return Fault(words, "fault-other-end", entry=head.sequence)


def _line(head: Head) -> bytes:
    text = f"{head.sequence:012d} {head.hash}"
    return f"{text} {sha256(text.encode()).hexdigest()[:_CHECK_SIGNS]}\n".encode()
