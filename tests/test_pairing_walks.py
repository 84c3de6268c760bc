"""What follows from the same calls stays the same within an edition, whatever is called."""

from __future__ import annotations

import json

import pytest

from calllog.pairing import EDITION
from tests.golden import make_talks
from tests.golden.make_walks import JOBS, KEPT, followed

AT_ONCE = 10
WALKED: dict[str, list[str]] = json.loads(KEPT.read_text("utf-8"))


@pytest.mark.parametrize("begun", range(0, JOBS, AT_ONCE))
@pytest.mark.parametrize("edition", range(EDITION + 1))
def test_what_followed_follows(edition: int, begun: int) -> None:
    """Blunders, repetitions, keys, decisions, a kill between: as it was when it was kept.

    An old journal is only true while its calls give what was recorded (decision 48): whoever
    changes what follows makes a new edition, and leaves these as they are.
    """
    found = [followed(seed, edition) for seed in range(begun, begun + AT_ONCE)]
    assert found == WALKED[f"edition {edition}"][begun : begun + AT_ONCE]


TALKED: dict[str, list[str]] = json.loads(make_talks.KEPT.read_text("utf-8"))


@pytest.mark.parametrize("block", range(make_talks.BLOCKS))
@pytest.mark.parametrize("edition", range(EDITION + 1))
def test_what_followed_from_unsure_calls_follows(edition: int, block: int) -> None:
    """Echoes, talk, numbers said back, doubts weighed together, questions and whose turn it is."""
    assert make_talks.digest(block, edition) == TALKED[f"edition {edition}"][block]
