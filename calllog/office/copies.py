"""Folders of jobs in, which of them are copies of one job and how they stand out; reads only.

A job is known by its identity, whatever its folder is called: a copy of a job is no other job, and
its pulls count once.
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import takewhile
from pathlib import Path

from calllog.journal import Journal


@dataclass(frozen=True, slots=True)
class Copies:
    """Several folders that hold one job."""

    identity: str
    folders: tuple[Path, ...]
    """The one with the most entries first; of equal ones in the order in which they were given."""
    words: str
    """How they stand to each other, in plain words."""
    have_parted: bool
    """Whether some were gone on with apart, so that none holds all there is."""


def find_copies(identities: Mapping[Path, str]) -> tuple[Copies, ...]:
    """Find the jobs that lie in more than one folder.

    Raises:
        JournalError: a job of several folders cannot be read.
    """
    groups: defaultdict[str, list[Path]] = defaultdict(list)
    for folder, identity in identities.items():
        groups[identity].append(folder)
    return tuple(
        _compared(identity, folders) for identity, folders in groups.items() if len(folders) > 1
    )


def _compared(identity: str, folders: list[Path]) -> Copies:
    chains = {folder: _chain(folder) for folder in folders}
    furthest, *others = sorted(folders, key=lambda folder: -len(chains[folder]))
    names = _names(folders)
    whole = chains[furthest]
    said, have_parted = [], False
    for folder in others:
        chain = chains[folder]
        pairs = zip(whole, chain, strict=False)
        shared = sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], pairs))
        name = names[folder]
        if shared < len(chain):
            have_parted = True
            after = f"after entry {shared}" if shared else "from the first entry on"
            said.append(f"{names[furthest]} and {name} went apart {after}")
        elif shared < len(whole):
            more = len(whole) - shared
            entries = "entry" if more == 1 else "entries"
            said.append(f"{names[furthest]} is ahead of {name} by {more} {entries}")
        else:
            said.append(f"{name} is in the same state as {names[furthest]}")
    *most, last = (names[folder] for folder in folders)
    words = f"{', '.join(most)} and {last} are copies of one job ({identity}): {'; '.join(said)}"
    return Copies(identity, (furthest, *others), words, have_parted)


def _names(folders: list[Path]) -> dict[Path, str]:
    """Name folders shortly, or by their paths where two are called alike."""
    short = [folder.resolve().name for folder in folders]
    is_clear = len(set(short)) == len(short)
    return dict(zip(folders, short if is_clear else map(str, folders), strict=True))


def _chain(folder: Path) -> list[str]:
    with Journal.open(folder, read_only=True) as journal:
        return [entry.hash for entry in journal.entries()]
