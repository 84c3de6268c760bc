"""Makes ``walks.json``: what followed from the calls of crews that were drawn by chance.

``python -m tests.golden.make_walks``. What is kept is a digest of all consequences of a
job, for each edition of the pairing: what follows from the same calls may not change within an
edition (decision 48). Calls are not weighed together here: such crews are often in equal doubt
about two calls, and which one is asked then lies in the last bit of a sum. It is made again only
when `tests.torture.orders` draws other crews, or an entry has another form; whoever changes what
follows makes a new edition first, and old digests stay.
"""

from __future__ import annotations

import json
from hashlib import sha256
from pathlib import Path
from random import Random

from calllog.pairing import EDITION
from calllog.session.kinds import FOLLOWS
from tests.torture.orders import WALK, Walk

KEPT = Path(__file__).parent / "walks.json"
JOBS = 100
"""Of each edition."""


def followed(seed: int, edition: int) -> str:
    """Work one job; give the digest of all that followed in it, without when and after what.

    Its journal is not read again at the end: `tests.test_torture_orders` does so with such jobs.
    """
    kinds = frozenset(FOLLOWS.values())
    made = Walk(Random(seed), is_weighed=False, edition=edition)  # noqa: S311 - no secret
    while made.fed < WALK:
        made.do()
    entries = made.paper.kept
    told = [(each.kind, each.content) for each in entries if each.kind in kinds]
    return sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()[:12]


def main() -> None:
    """Make it."""
    found = {
        f"edition {edition}": [followed(seed, edition) for seed in range(JOBS)]
        for edition in range(EDITION + 1)
    }
    KEPT.write_text(json.dumps(found, indent=1) + "\n", "utf-8")


if __name__ == "__main__":
    main()
