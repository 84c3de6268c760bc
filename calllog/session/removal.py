"""Files that an ``expunged`` entry names, removed for good; shell.

The entry is on disk first, then the files go; where the program was killed between, opening the job
for work removes what is left. Nothing is overwritten: on flash the old blocks would stay all the
same.
"""

import os
from collections.abc import Collection, Iterable, Iterator
from pathlib import Path, PurePosixPath

from calllog.journal import digest_plain, remove_plain
from calllog.session.replay import Replay


def finish_removals(folder: Path, replay: Replay) -> tuple[str, ...]:
    """Remove what an entry says was removed and is still there, since the program was killed.

    Returns:
        Files that could not be removed.
    """
    failed = []
    for name in left_over(folder, replay):
        try:
            remove_plain(folder, *PurePosixPath(name).parts)
        except OSError:
            failed.append(name)
    return tuple(failed)


def left_over(folder: Path, replay: Replay) -> tuple[str, ...]:
    """List what an entry says was removed and is still there."""
    hashes, own = _hashes(replay), {each.clip for each in replay.calls}
    found = []
    for each in replay.voices.removed:
        found += [name for name in each.body.files if os.path.lexists(folder / name)]
        copies = (name for name in each.body.copies if name not in own)
        found += [name for name in copies if _digest(folder, name) in hashes]
    return tuple(dict.fromkeys(found))


def copies_of(folder: Path, hashes: Collection[str], beside: Iterable[str]) -> Iterator[str]:
    """Find files in a job's folder that hold the same as others, by their SHA-256."""
    known = set(beside)
    for name in files_in(folder):
        if hashes and name not in known and _digest(folder, name) in hashes:
            yield name


def _hashes(replay: Replay) -> frozenset[str]:
    """Give the hashes of the sounds that were removed."""
    gone = replay.voices.gone
    found = {each.clip_sha256 for each in replay.calls if each.number in gone}
    return frozenset(found - {""})


def files_in(folder: Path) -> Iterator[str]:
    """List the plain files in a job's folder, no link followed."""
    for root, folders, names in os.walk(folder):
        folders.sort()
        for name in sorted(names):
            path = Path(root) / name
            if not path.is_symlink() and path.is_file():
                yield path.relative_to(folder).as_posix()


def _digest(folder: Path, name: str) -> str | None:
    """Hash a plain file in a job's folder; None where it cannot be read."""
    parts = PurePosixPath(name).parts
    if not parts or ".." in parts or PurePosixPath(name).is_absolute():
        return None
    try:
        return digest_plain(folder, *parts)
    except (OSError, ValueError):
        return None
