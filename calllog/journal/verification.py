"""Journal: a job folder in, a `Verification` out; reads only; shell."""

from __future__ import annotations

import sqlite3
from contextlib import ExitStack
from hashlib import sha256
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from calllog.journal.database import (
    DAMAGE,
    connect_snapshot,
    has_foreign_schema,
    has_own_schema,
    read_entries,
    require_job,
)
from calllog.journal.entry import NO_PREVIOUS, Entry, fault_of
from calllog.journal.plain import open_plain
from calllog.values import Frozen

if TYPE_CHECKING:
    from pathlib import Path


CHANGED = "the tables or the guards against rewriting were changed"
_READ_BYTES = 1 << 20


class Verification(Frozen):
    """What `verify` found in a job."""

    entries: int
    """How many entries, from the first, were found sound."""
    ok: bool
    """Whether nothing is wrong."""
    first_bad: int | None
    """Sequence of the first entry that is wrong or missing; None if the fault has no entry."""
    wrong: str
    """What is wrong, in plain words; empty if nothing is."""
    state_hash: str
    """Hash of the last sound entry; 64 zeros if there is none."""


def verify(folder: Path, *, expect_head: str = "") -> Verification:
    """Check every entry of a job, the chain that binds them, and the clips that they name.

    Nothing is changed: the work is done on a private copy, so the folder may be read-only or in
    use. Seen are: an entry changed, put in, taken out or moved; damage to the database; guards
    against rewriting taken off; a clip (``clip`` and ``clip_sha256`` in the body) that is missing
    or changed. Not seen without ``expect_head``: entries missing at the end (also where the
    write-ahead log of a killed process was damaged), or a journal written anew from some entry on.

    Args:
        folder: a job.
        expect_head: the state hash noted for this job, 64 hexadecimal digits; empty for none.

    Returns:
        How far it is sound, and the first fault.

    Raises:
        JournalError: the folder is no job that this program can read.
    """
    require_job(folder)
    after: Entry | None = None
    hashes: list[str] = []
    wrong = ""
    with ExitStack() as resources:
        connection = connect_snapshot(folder, resources)
        try:
            if has_foreign_schema(connection):
                return _nothing_proved(CHANGED)
            for row in read_entries(connection):
                if isinstance(row, str):
                    wrong = row
                    break
                wrong = fault_of(row, after) or _clip_fault(folder, row)
                if wrong:
                    break
                after = row
                hashes.append(row.hash)
        except DAMAGE as error:
            wrong = f"the database is malformed ({error})"
        first_bad = len(hashes) + 1 if wrong else None
        if not wrong:
            wrong = _database_fault(connection)
    if not wrong and expect_head:
        wrong = _head_fault(hashes, expect_head.strip().lower())
    return Verification(
        entries=len(hashes),
        ok=not wrong,
        first_bad=first_bad,
        wrong=wrong,
        state_hash=hashes[-1] if hashes else NO_PREVIOUS,
    )


def _nothing_proved(wrong: str) -> Verification:
    return Verification(entries=0, ok=False, first_bad=None, wrong=wrong, state_hash=NO_PREVIOUS)


def _database_fault(connection: sqlite3.Connection) -> str:
    try:
        (found,) = connection.execute("PRAGMA integrity_check(1)").fetchone()
        if found != "ok":
            return f"the database is malformed ({found})"
        if not has_own_schema(connection):
            return CHANGED
    except DAMAGE as error:
        return f"the database is malformed ({error})"
    return ""


def _head_fault(hashes: list[str], head: str) -> str:
    if (hashes[-1] if hashes else NO_PREVIOUS) == head:
        return ""
    if head in hashes:
        sequence = hashes.index(head) + 1
        return (
            f"the noted hash is that of entry {sequence}; {len(hashes) - sequence} entries follow"
        )
    return "no entry has the noted hash: entries at the end are missing or were written anew"


def _clip_fault(folder: Path, entry: Entry) -> str:
    body = entry.content
    if not isinstance(body, dict):
        return ""
    clip, noted = body.get("clip"), body.get("clip_sha256")
    if not (isinstance(clip, str) and isinstance(noted, str) and clip):
        return ""
    path = PurePosixPath(clip)
    if path.is_absolute() or ".." in path.parts:
        return f"the clip {clip} of entry {entry.sequence} lies outside the job"
    try:
        found = sha256()
        with open_plain(folder, *path.parts) as file:
            while part := file.read(_READ_BYTES):
                found.update(part)
    except (OSError, ValueError) as error:
        return f"the clip {clip} of entry {entry.sequence} is missing or unreadable ({error})"
    return (
        ""
        if found.hexdigest() == noted
        else f"the clip {clip} of entry {entry.sequence} was changed"
    )
