"""A damaged job in, a new job of what is sound out, which says so; the old one is only read."""

from __future__ import annotations

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
from calllog.errors import ConfigError, JournalError
from calllog.files import COPIED_BYTES, make_folder, open_new, write_new
from calllog.journal import (
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
from calllog.session.clock import Clock, system_clock
from calllog.session.replay import CONSEQUENCES, Replay, body, replay
from calllog.session.summary import verify_job

CHANGED = ".changed"
"""Stands after the name of a sound that is not the one that was recorded."""


def rescue_job(folder: Path, out: Path, clock: Clock = system_clock) -> Rescue:
    """Make a new job of what is sound in one that may be damaged.

    The new journal is the beginning of the old one, entry by entry with the same hashes, up to the
    first that is missing, changed, or does not follow; then an entry that tells of the rescue.
    Later entries that can be read are not carried over, since what stood before them may have
    changed what they mean; they are kept in a plain file, for a person to read. Sounds, reports
    and all other files are copied. The new folder appears when it is whole, or not at all.

    Args:
        folder: the job; nothing in it is changed.
        out: the new job's folder; must not exist, or be empty.
        clock: gives the time of the rescue.

    Returns:
        What was carried over, and what was not.

    Raises:
        ConfigError: the new folder holds something, or lies in the old one.
        JournalError: nothing can be rescued, or the new job cannot be written.
    """
    _refuse(folder, out)
    salvaged = salvage(folder)
    sound, words = _following(salvaged.chain)
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
            os.sync()
            making.rename(out)
        finally:
            shutil.rmtree(making, ignore_errors=True)
    except OSError as error:
        raise JournalError(
            f"the new job cannot be written ({error})",
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


def _wrong(folder: Path) -> str:
    try:
        return verify_job(folder).wrong
    except JournalError as error:
        return error.what


def _make(folder: Path, making: Path, salvaged: Salvaged, wrong: str, clock: Clock) -> Rescue:
    """Write the new job into a folder of its own; give what is told of it."""
    chain = salvaged.chain
    clips = tuple(clip_faults(folder, chain))
    changed = frozenset(each.clip for each in clips if each.is_changed)
    files_lost = tuple(_carry(folder, making, changed))
    kept_in = ""
    if salvaged.apart:
        names = (f"entries-after-{len(chain)}{'+' * more}.jsonl" for more in count())
        kept_in = next(name for name in names if not (making / name).exists())
        write_new(
            making / kept_in, (f"{each.model_dump_json()}\n".encode() for each in salvaged.apart)
        )
    told = Rescue(
        job=folder.resolve().name,
        entries=len(chain),
        wrong=wrong,
        mended=tuple(each for each in salvaged.mended if each <= len(chain)),
        lost=salvaged.written - len(chain),
        apart=len({each.sequence for each in salvaged.apart}),
        kept_in=kept_in,
        clips_lost=tuple(dict.fromkeys(each.clip for each in clips)),
        files_lost=files_lost,
        calllog=__version__,
    )
    write_database(making, (*chain, *_added(chain, told, clock)))
    proof = verify_job(making)
    if not proof.ok:
        raise JournalError(
            f"what was carried over does not verify ({proof.wrong})",
            where=str(folder),
            next_step="report it, with the folder",
        )
    return told


def _added(chain: tuple[Entry, ...], told: Rescue, clock: Clock) -> Iterator[Entry]:
    """Give the entries that follow: what the last call still owes, and the rescue."""
    last = chain[-1]
    owed = [(CONSEQUENCES[type(each)], body(each)) for each in replay(chain).missing]
    for kind, content in (*owed, (RESCUED, body(told))):
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


def _carry(folder: Path, making: Path, changed: frozenset[str]) -> Iterator[str]:
    """Copy all files but the journal's; give those that cannot be read. No link is followed."""
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
