"""What follows from the same calls stays the same within an edition, whatever is called."""

from __future__ import annotations

import json
import math

import pytest

from calllog.pairing import EDITION
from calllog.values import Alternative, Call
from tests.golden import make_talks
from tests.golden.make_walks import (
    ASKED_LESS,
    JOBS,
    KEPT,
    WEIGHED,
    WEIGHED_JOBS,
    followed,
    followed_asked_less,
    followed_weighed,
)
from tests.torture.orders import Walk

AT_ONCE = 10
WALKED: dict[str, list[str]] = json.loads(KEPT.read_text("utf-8"))


KEPT_BY = [
    (edition, begun)
    for edition in range(EDITION + 1)
    for begun in range(0, JOBS if edition == EDITION else JOBS // 5, AT_ONCE)
]
"""A fifth of the jobs of older editions, whose rules nobody works on; all are kept."""


@pytest.mark.parametrize(("edition", "begun"), KEPT_BY)
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


@pytest.mark.parametrize("begun", range(0, WEIGHED_JOBS, AT_ONCE))
def test_what_was_asked_is_asked_on_every_computer(begun: int) -> None:
    """Calls weighed together, often in equal doubt: whoever runs this asks what was kept."""
    found = [followed_weighed(seed) for seed in range(begun, begun + AT_ONCE)]
    assert found == WALKED[WEIGHED][begun : begun + AT_ONCE]
    found = [followed_asked_less(seed) for seed in range(begun, begun + AT_ONCE)]
    assert found == WALKED[ASKED_LESS][begun : begun + AT_ONCE]


class Nudged(Walk):
    """A crew that is heard by another computer: every share is off by its last bit."""

    def _alternatives(self, call: Call) -> tuple[Alternative, ...]:
        made = super()._alternatives(call)
        return tuple(
            each._replace(
                probability=math.nextafter(each.probability, float((call.number + place) % 3 > 0)),
            )
            for place, each in enumerate(made)
        )


@pytest.mark.parametrize("seed", [12])
def test_the_last_bit_decides_nothing(seed: int) -> None:
    """Until edition 5 it chose which of two calls in equal doubt was asked again here."""
    assert followed_weighed(seed, Nudged) == WALKED[WEIGHED][seed]
