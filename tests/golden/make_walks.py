"""Makes ``walks.json``: what followed from the calls of crews that were drawn by chance.

``python -m tests.golden.make_walks``. What is kept is a digest of all consequences of a
job, for each edition of the pairing: what follows from the same calls may not change within an
edition (decision 48). Of crews whose calls are weighed together none before edition 5 are kept:
they are often in equal doubt about two calls, and which one was asked before lay in the last bit
of a sum (decision 190). It is made again only when `tests.torture.orders` draws other crews, or an
entry has another form; whoever changes what follows makes a new edition first, and old digests
stay.
"""

from __future__ import annotations

import json
from hashlib import sha256
from pathlib import Path
from random import Random

from calllog.decoding.arithmetic import FIRST_EXACT
from calllog.decoding.decision import ASKS_LESS_SINCE
from calllog.pairing import EDITION
from calllog.session.kinds import FOLLOWS
from tests.torture.orders import WALK, Walk

KEPT = Path(__file__).parent / "walks.json"
JOBS = 100
"""Of each edition."""
WEIGHED = "weighed together"
ASKED_LESS = "weighed together, asked less"
"""By edition 6 of the decoding and 3 of the pairing."""
WEIGHED_JOBS = 20


def followed(seed: int, edition: int) -> str:
    """Work one job by the usual rules; give the digest of all that followed in it."""
    return digest(Walk(Random(seed), is_weighed=False, edition=edition))  # noqa: S311 - no secret


def followed_weighed(seed: int, made: type[Walk] = Walk) -> str:
    """Do the same with all calls of a pull weighed together, by the first exact arithmetic."""
    return digest(made(Random(seed), is_weighed=True, edition=1, decoding=FIRST_EXACT))  # noqa: S311 - no secret


def followed_asked_less(seed: int) -> str:
    """Do the same by the editions that ask less."""
    return digest(Walk(Random(seed), is_weighed=True, edition=3, decoding=ASKS_LESS_SINCE))  # noqa: S311 - no secret


def digest(job: Walk) -> str:
    """Work a job; give the digest of all that followed in it, without when and after what.

    Its journal is not read again at the end: `tests.test_torture_orders` does so with such jobs.
    """
    kinds = frozenset(FOLLOWS.values())
    while job.fed < WALK:
        job.do()
    told = [(each.kind, each.content) for each in job.paper.kept if each.kind in kinds]
    return sha256(json.dumps(told, sort_keys=True).encode()).hexdigest()[:12]


def main() -> None:
    """Make it."""
    found = {
        f"edition {edition}": [followed(seed, edition) for seed in range(JOBS)]
        for edition in range(EDITION + 1)
    }
    found[WEIGHED] = [followed_weighed(seed) for seed in range(WEIGHED_JOBS)]
    found[ASKED_LESS] = [followed_asked_less(seed) for seed in range(WEIGHED_JOBS)]
    KEPT.write_text(json.dumps(found, indent=1) + "\n", "utf-8")


if __name__ == "__main__":
    main()
