"""Strangers at the page and in job folders, by the thousand: each refused or harmless.

Run with ``python -m tests.torture.security [REQUESTS [FOLDERS]]``; 5,000 and 2,000 if left out.
"""

from __future__ import annotations

import sys

from tests.torture import hostile_folders, hostile_requests
from tests.torture.hostile_requests import served
from tests.torture.strangers import FOLDERS
from tests.torture.tally import Tally, report

REQUESTS = 5_000
FOLDERS_TRIED = 2_000
SLOW = 70
SLOW_S = 60.0
SEED = 1126
MOST_SHOWN = 20


def ask(requests: int, slow: int = SLOW) -> tuple[list[Tally], list[str]]:
    """Send hostile requests, then connect slowly."""
    with served() as server:
        found = hostile_requests.rage(server, requests, SEED)
        held = hostile_requests.crowd(server, slow, SLOW_S) if slow else []
    answers = ", ".join(f"{status} {n}" for status, n in sorted(found.answers.items()))
    kinds = ", ".join(f"{kind} {n}" for kind, n in found.tried.items())
    note = f"{kinds}; answers: {answers} (0: hung up); codes compared: {found.codes_tried}"
    tallies = [
        Tally("hostile requests to the page", requests, requests - len(found.wrong), note=note)
    ]
    if slow:
        kept = slow if not held else 0
        tallies.append(
            Tally("slow connections to the page", slow, kept, note="hung up on, page served")
        )
    return tallies, found.wrong + held


def read(folders: int, begin: int = 0) -> tuple[list[Tally], list[str]]:
    """Give hostile folders to the commands; the first ones are odd folders, then odd journals."""
    found = hostile_folders.rage(folders, begin)
    odd = max(0, min(folders, len(FOLDERS) - begin))
    bad = len({each.partition(": ")[0] for each in found.wrong})
    note = (
        f"{odd} odd folders, {folders - odd} spoilt journals; commands: refused"
        f" {found.refused.total()}, done {found.done.total()}"
    )
    return [Tally("hostile job folders", folders, folders - bad, note=note)], found.wrong


def main(requests: int, folders: int) -> int:
    """Try both; say what was wrong."""
    asked, wrong = ask(requests)
    taken, more = read(folders)
    for words in (*wrong, *more)[:MOST_SHOWN]:
        sys.stdout.write(f"! {words[:500]}\n")
    return report("security", [*asked, *taken])


if __name__ == "__main__":
    given = [int(each) for each in sys.argv[1:]]
    sys.exit(main(*(given + [REQUESTS, FOLDERS_TRIED][len(given) :])))
