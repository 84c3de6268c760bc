"""A damaged job in, a new job of what is sound out, which says so; the old one is only read."""

import contextlib
import os
import shutil
import stat
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from tempfile import mkdtemp
from typing import BinaryIO

from calllog import __version__
from calllog.errors import ConfigError, Fault, JournalError
from calllog.files import COPIED_BYTES, bring_all_to_disk, make_folder, open_new, write_new
from calllog.journal import (
    EXPUNGED,
    RESCUED,
    Entry,
    Rescue,
    Salvaged,
    clip_faults,
    is_own_file,
    open_plain,
    salvage,
    seal,
    write_database,
)
from calllog.office.probable_pulls import probable_pulls
from calllog.office.summary import verify_job
from calllog.session.clock import Clock, system_clock
from calllog.session.consent import Consent, Expunged, Removed, own_part
from calllog.session.kinds import FOLLOWS, content_of, read_body
from calllog.session.remark_words import FOLDER as WORDS
from calllog.session.removal import left_over
from calllog.session.replay import Replay, replay
from calllog.values import Frozen, Message, ReadingUnit, message

CHANGED = ".changed"
"""Stands after the name of a sound that is not the one that was recorded."""


def rescue_job(folder: Path, out: Path, clock: Clock = system_clock) -> Rescue:
    """Make a new job of what is sound in one that may be damaged, which is left as it is.

    The new journal is the beginning of the old one, entry by entry with the same hashes, up to the
    first that is missing, changed, or does not follow; then an entry that tells of the rescue.
    Later entries that can be read are not carried over, since what stood before them may have
    changed what they mean; they are kept in a plain file, for a person to read. Sounds, reports
    and all other files are copied. The new folder appears when it is whole, or not at all.

    Raises:
        ConfigError: the new folder holds something, or lies in the old one.
        JournalError: nothing can be rescued, or the new job cannot be written.
    """
    _refuse(folder, out)
    salvaged = salvage(folder)
    sound, words = _following(salvaged.chain)
    if not sound:
        raise JournalError(
            "nothing can be rescued: the first entry of the journal cannot be read",
            where=str(folder),
            next_step="bring back a copy of the folder; the sounds in it are as they were",
        )
    salvaged = salvaged.model_copy(
        update={"chain": sound, "apart": salvaged.chain[len(sound) :] + salvaged.apart}
    )
    wrong = words or _wrong(folder)
    try:
        make_folder(out.parent)
        _require_room(folder, out.parent)
        making = Path(mkdtemp(prefix=f".{out.name}-", dir=out.parent))
        try:
            told = _make(folder, making, salvaged, wrong, clock)
            bring_all_to_disk()
            making.rename(out)
        finally:
            shutil.rmtree(making, ignore_errors=True)
    except OSError as error:
        raise JournalError(
            f"the new job cannot be written ({error.strerror or error})",
            where=str(out),
            next_step="name another folder with --out, on a disk with room",
        ) from error
    return told


def _refuse(folder: Path, out: Path) -> None:
    if out.exists() and (not out.is_dir() or any(out.iterdir())):
        raise ConfigError(
            "the folder is not empty", where=str(out), next_step="name a new one with --out"
        )
    if out.resolve().is_relative_to(folder.resolve()):
        raise ConfigError(
            "the new job would lie in the old one, which is left as it is",
            where=str(out),
            next_step="name a folder elsewhere with --out",
        )


def _following(chain: tuple[Entry, ...]) -> tuple[tuple[Entry, ...], str]:
    """Cut a chain before the first entry that does not follow from the inputs, and say why."""
    again = Replay()
    for place, entry in enumerate(chain):
        try:
            replay((entry,), again)
        except JournalError as error:
            return chain[:place], error.what
        if again.wrong:
            return chain[:place], again.wrong
    return chain, ""


def _is_sound(name: str) -> bool:
    return not name.startswith(f"{WORDS}/")


def _wrong(folder: Path) -> str:
    try:
        return verify_job(folder).wrong
    except JournalError as error:
        return error.what


def _told(wrong: str) -> Message | None:
    """Keep what is wrong by its code and facts; what the system says keeps its own words."""
    if isinstance(wrong, Fault):
        return Message(code=wrong.code, facts=dict(wrong.facts))
    return message("fault-other", reason=wrong) if wrong else None


def _make(folder: Path, making: Path, salvaged: Salvaged, wrong: str, clock: Clock) -> Rescue:
    """Write the new job into a folder of its own; give what is told of it."""
    chain = salvaged.chain
    kept_on = tuple(_kept_on(salvaged))
    gone = _removed(folder, salvaged)
    clips = tuple(each for each in clip_faults(folder, chain) if each.clip not in gone)
    changed = frozenset(each.clip for each in clips if each.is_changed)
    files_lost = tuple(_carry(folder, making, changed, gone))
    kept_in = pulls_in = ""
    if salvaged.apart:
        kept_in = _unused(making, f"entries-after-{len(chain)}", ".jsonl")
        write_new(
            making / kept_in, (f"{each.model_dump_json()}\n".encode() for each in salvaged.apart)
        )
    if listed := probable_pulls(salvaged.apart, _unit(chain), folder.resolve().name, len(chain)):
        pulls_in = _unused(making, f"probable-pulls-after-{len(chain)}", ".txt")
        write_new(making / pulls_in, (f"{line}\n".encode() for line in listed))
    told = Rescue(
        job=folder.resolve().name,
        entries=len(chain),
        wrong=_told(wrong),
        mended=tuple(each for each in salvaged.mended if each <= len(chain)),
        lost=salvaged.written - len(chain),
        apart=len({each.sequence for each in salvaged.apart}),
        kept_in=kept_in,
        clips_lost=tuple(dict.fromkeys(each.clip for each in clips if _is_sound(each.clip))),
        files_lost=tuple(
            dict.fromkeys((*files_lost, *(e.clip for e in clips if not _is_sound(e.clip))))
        ),
        calllog=__version__,
        pulls_in=pulls_in,
    )
    write_database(making, (*chain, *_added(chain, kept_on, told, clock)))
    found = verify_job(making)
    if not found.ok:
        raise JournalError(
            f"what was carried over does not verify ({found.wrong})",
            where=str(folder),
            next_step="report it, with the folder",
        )
    return told


def _unused(making: Path, name: str, ending: str) -> str:
    """Give a name near the wanted one that no file carried over has."""
    names = (f"{name}{'+' * more}{ending}" for more in count())
    return next(each for each in names if not (making / each).exists())


def _unit(chain: tuple[Entry, ...]) -> ReadingUnit:
    """Tell what the tapes of the entries carried over are graduated in."""
    tapes = replay(chain).tapes
    return next((tape.unit for tape in tapes.values()), ReadingUnit.FOOT)


def _kept_on(salvaged: Salvaged) -> Iterator[tuple[str, Frozen]]:
    """Give what persons asked for after the entries carried over: it holds all the same.

    A sound that was removed must not come back because the entry that says so stands behind a gap,
    and nobody is recorded again who took consent back. Of a removal that part counts whose calls
    are carried over; the numbers of the others will be those of other calls.
    """
    before = replay(salvaged.chain)
    for value in _asked_later(salvaged):
        if isinstance(value, Consent) and value.is_withdrawn:
            yield "consent", value
        elif (
            isinstance(value, Expunged)
            and (own := own_part(value, before.calls, before.kept_words)).calls
        ):
            yield EXPUNGED, own


def _asked_later(salvaged: Salvaged) -> Iterator[Frozen]:
    for entry in salvaged.apart:
        if entry.kind in (EXPUNGED, "consent"):
            with contextlib.suppress(JournalError):
                yield read_body(entry)


def _removed(folder: Path, salvaged: Salvaged) -> frozenset[str]:
    """List the files that were removed at a person's request, and copies of them."""
    again = replay(salvaged.chain)
    later = [each for each in _asked_later(salvaged) if isinstance(each, Expunged)]
    for each in later:
        again.voices.remove(Removed(0, "", each))
    named = {name for each in again.voices.removed for name in each.body.files}
    return frozenset(named | set(left_over(folder, again)))


def _added(
    chain: tuple[Entry, ...], kept_on: tuple[tuple[str, Frozen], ...], told: Rescue, clock: Clock
) -> Iterator[Entry]:
    """Give the entries that follow: what the last call owes, removals, and the rescue."""
    last = chain[-1]
    owed = [(FOLLOWS[type(each)], content_of(each)) for each in replay(chain).missing]
    again = [(kind, content_of(value)) for kind, value in kept_on]
    for kind, content in (*owed, *again, (RESCUED, content_of(told))):
        time_utc, monotonic_s = clock()
        last = seal(kind, content, time_utc=time_utc, monotonic_s=monotonic_s, after=last)
        yield last


def _copied(source: BinaryIO, to: Path) -> bool:
    """Copy a file piece by piece; where it cannot be read to its end, leave nothing of it."""
    with open_new(to) as target:
        while True:
            try:
                part = source.read(COPIED_BYTES)
            except OSError:
                to.unlink()
                return False
            if not part:
                return True
            target.write(part)


def _require_room(folder: Path, out: Path) -> None:
    """Pass if all files of the old job, as long as they say they are, fit on the new one's disk.

    Raises:
        JournalError: they do not.
    """
    needed = 0
    for root, _, names in os.walk(folder):
        for name in names:
            with contextlib.suppress(OSError):
                found = (Path(root) / name).lstat()
                needed += found.st_size if stat.S_ISREG(found.st_mode) else 0
    free = shutil.disk_usage(out).free
    if needed > free:
        raise JournalError(
            f"the files of this job have {needed // 1_000_000:,} MB, and"
            f" {free // 1_000_000:,} MB are free",
            where=str(out),
            next_step="name another folder with --out, or take out of the old one what is no job's",
        )


def _carry(
    folder: Path, making: Path, changed: frozenset[str], gone: frozenset[str]
) -> Iterator[str]:
    """Copy all files but the journal's and those removed at a person's request.

    Those that cannot be read are given; no link is followed.
    """
    unread: list[str] = []
    for root, folders, names in os.walk(
        folder, onerror=lambda error: unread.append(error.filename)
    ):
        here = Path(root).relative_to(folder)
        make_folder(making / here)
        for name in (*names, *(each for each in folders if (Path(root) / each).is_symlink())):
            if not here.parts and is_own_file(name):
                continue
            path = here / name
            if path.as_posix() in gone:
                continue
            to = making / (f"{path}{CHANGED}" if path.as_posix() in changed else path)
            try:
                source = open_plain(folder, *path.parts)
            except OSError:
                yield path.as_posix()
                continue
            with source:
                if not _copied(source, to):
                    yield path.as_posix()
    yield from (os.path.relpath(each, folder) for each in unread)
