"""Journal: a job folder in, a `Verification` out; reads only; shell."""

import re
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import ExitStack
from pathlib import Path, PurePosixPath
from typing import NamedTuple

from calllog.errors import ConfigError, Fault
from calllog.journal.database import (
    NEWER_NEXT,
    connect_snapshot,
    database_fault,
    read_entries,
    require_job,
    rescue_next,
)
from calllog.journal.entry import NO_PREVIOUS, Entry, fault_of, is_newer
from calllog.journal.last import last_fault, read_last
from calllog.journal.plain import digest_plain
from calllog.journal.salvage import RESCUED
from calllog.values import Call, Frozen

EXPUNGED = "expunged"
"""Kind of the entry that says which files were removed at a person's request."""
WORDS = "remark_words"
"""Kind of the entry that says where the words of the typed remark that follows are."""
HEAD_SIGNS = 8
"""Fewest digits of a hash that may stand for it."""
_HEXADECIMAL = re.compile(r"[0-9a-f]*")
_CLIP_FIELDS = ("clip", "clip", "clip_sha256")


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
    next_step: str = ""
    """What to do if something is wrong."""
    noted: int | None = None
    """Sequence of the entry that has the hash noted elsewhere, 0 before the first; None if none was
    given, or none has it."""


def verify(folder: Path, *, expect_last: str | None = None) -> Verification:
    """Check every entry of a job, the chain that binds them, and the clips that they name.

    Nothing is changed: the work is done on a private copy, so the folder may be read-only or in
    use. Seen are: an entry changed, put in, taken out or moved; damage to the database; entries
    missing at the end that were noted as written (`calllog.journal.last`); guards against rewriting
    taken off; a clip (``clip`` and ``clip_sha256`` in the body) or the words of a remark
    (``words_in`` and ``words_sha256``) that are missing or changed, unless a rescue told of it or a
    person asked for their removal. Not seen without ``expect_last``: entries at the end that are
    missing together with that note, or a journal written anew from some entry on, the note as well.
    With it all up to the entry that has the noted hash is the same as when it was noted; whoever
    can write the folder may have written anew what follows.

    Args:
        folder: a job.
        expect_last: the state hash noted for this job, any 8 of its hexadecimal digits or more,
            in a row, in groups or not; None if there is none.

    Raises:
        ConfigError: what was noted is no hash, too short, or fits more than one entry.
        JournalError: the folder is no job that this program can read.
    """
    wanted = "" if expect_last is None else _noted_digits(expect_last)
    require_job(folder)
    last = read_last(folder)  # before the journal, so that it is never ahead of it
    with ExitStack() as resources:
        connection = connect_snapshot(folder, resources)
        sound, wrong, is_later = _read(connection)
        hashes = [entry.hash for entry in sound]
        first_bad = len(sound) + 1 if wrong else None
        clip = next(clip_faults(folder, sound), None)
        if clip is not None:
            first_bad, wrong, is_later = clip.sequence, clip.wrong, False
        elif not wrong:
            wrong = database_fault(connection)
    if not wrong and (wrong := last_fault(last, hashes)):
        first_bad = min(last.sequence if last else 1, len(hashes) + 1)
    next_step = NEWER_NEXT if is_later else rescue_next(folder)
    noted = None
    if not wrong and wanted and (noted := _noted(hashes, wanted)) is None:
        wrong = "no entry has the noted hash: entries at the end are missing or were written anew"
        next_step = "compare the hash with the paper, and look for another copy of the job"
    hashes = hashes[: first_bad - 1] if first_bad else hashes
    return Verification(
        entries=len(hashes),
        ok=not wrong,
        first_bad=first_bad,
        wrong=wrong,
        state_hash=hashes[-1] if hashes else NO_PREVIOUS,
        next_step=next_step if wrong else "",
        noted=noted,
    )


class ClipFault(NamedTuple):
    """A sound that is not what its entry says."""

    sequence: int
    """Of the entry that names it."""
    clip: str
    """Its path inside the job folder."""
    wrong: str
    """In plain words."""
    is_changed: bool
    """It can be read, but it is not the sound that was recorded."""


def has_changed_sound(folder: Path, calls: Iterable[Call]) -> bool:
    """Tell whether the sound of any call is there, but is not the one that was recorded."""
    return any(
        _is_changed(folder, each.clip, each.clip_sha256)
        for each in calls
        if each.clip and each.clip_sha256
    )


def _is_changed(folder: Path, clip: str, noted: str) -> bool:
    try:
        return digest_plain(folder, *PurePosixPath(clip).parts) != noted
    except (OSError, ValueError):
        return False


def clip_faults(folder: Path, entries: Iterable[Entry]) -> Iterator[ClipFault]:
    """Find the clips that are missing or changed.

    Left out are those of whose loss a rescue told, and those removed at a person's request.
    """
    entries = tuple(entries)
    told = {*_listed(entries, RESCUED, "clips_lost"), *_listed(entries, RESCUED, "files_lost")}
    removed = set(_listed(entries, EXPUNGED, "files"))
    for entry in _vouching(entries):
        found = _clip_fault(folder, entry)
        if found is None or found.clip in removed:
            continue
        if found.is_changed or found.clip not in told:
            yield found


def _vouching(entries: Iterable[Entry]) -> Iterator[Entry]:
    """Leave out words whose remark never came: the program was killed before its call."""
    words: Entry | None = None
    for entry in entries:
        if entry.kind == WORDS:
            words = entry
            continue
        if entry.kind == "call" and words is not None:
            if _is_remark_of(words, entry):
                yield words
            words = None
        yield entry


def _is_remark_of(words: Entry, entry: Entry) -> bool:
    named, call = words.content, entry.content
    if not (isinstance(named, dict) and isinstance(call, dict)):
        return False
    is_typed = (call.get("kind"), call.get("is_keyed")) == ("remark", True)
    return is_typed and named.get("call") == call.get("number")


def _listed(entries: Iterable[Entry], kind: str, name: str) -> Iterator[str]:
    """Give what the entries of a kind list under a name."""
    for entry in entries:
        if entry.kind == kind and isinstance(entry.content, dict):
            listed = entry.content.get(name)
            yield from map(str, listed) if isinstance(listed, list) else ()


def _read(connection: sqlite3.Connection) -> tuple[list[Entry], str, bool]:
    """Read the entries up to the first that is wrong, what is wrong, and whether it is later's."""
    sound: list[Entry] = []
    for row in read_entries(connection):
        if isinstance(row, str):
            return sound, row, False
        wrong = fault_of(row, sound[-1] if sound else None)
        if wrong:
            return sound, wrong, is_newer(row)
        sound.append(row)
    return sound, "", False


def _noted_digits(noted: str) -> str:
    """Read a hash as it was noted, in groups or not."""
    digits = "".join(noted.split()).lower()
    if len(digits) < HEAD_SIGNS or len(digits) > len(NO_PREVIOUS):
        raise ConfigError(
            f"{len(digits)} digits are no hash",
            where=f"--last-hash {noted}",
            next_step=f"give {HEAD_SIGNS} of its {len(NO_PREVIOUS)} digits, or more",
        )
    if not _HEXADECIMAL.fullmatch(digits):
        raise ConfigError(
            "a hash has the digits 0 to 9 and a to f alone",
            where=f"--last-hash {noted}",
            next_step="look again at what was noted: what looks like o is 0, like l or i is 1",
        )
    return digits


def _noted(hashes: list[str], digits: str) -> int | None:
    """Find the entry whose hash has these digits, one after the other.

    Raises:
        ConfigError: more than one does.
    """
    found = [at for at, each in enumerate((NO_PREVIOUS, *hashes)) if digits in each]
    if len(found) > 1:
        raise ConfigError(
            f"the hashes of entries {', '.join(map(str, found))} all have these digits",
            where=f"--last-hash {digits}",
            next_step="give more digits of what was noted",
        )
    return found[0] if found else None


def _clip_fault(folder: Path, entry: Entry) -> ClipFault | None:
    """Compare the clip, or the words of a remark, that an entry names with the hash there."""
    body = entry.content
    if not isinstance(body, dict):
        return None
    what, name, hashed = (
        ("words", "words_in", "words_sha256") if "words_in" in body else _CLIP_FIELDS
    )
    clip, noted = body.get(name), body.get(hashed)
    if not (isinstance(clip, str) and isinstance(noted, str) and clip):
        return None
    path = PurePosixPath(clip)
    named = f"the {what} {clip} of entry {entry.sequence}"
    if path.is_absolute() or ".." in path.parts:
        outside = Fault(
            f"{named} lies outside the job", "fault-clip-outside", entry=entry.sequence, clip=clip
        )
        return ClipFault(entry.sequence, clip, outside, is_changed=False)
    try:
        found = digest_plain(folder, *path.parts)
    except (OSError, ValueError) as error:
        words = f"{named} is missing or unreadable ({error})"
        facts: dict[str, float | str] = {"entry": entry.sequence, "clip": clip}
        wrong = Fault(words, "fault-clip-missing", reason=str(error), **facts)
        return ClipFault(entry.sequence, clip, wrong, is_changed=False)
    if found == noted:
        return None
    changed = Fault(f"{named} was changed", "fault-clip-changed", entry=entry.sequence, clip=clip)
    return ClipFault(entry.sequence, clip, changed, is_changed=True)
