"""Which calls are over as soon as they are heard, since nobody goes on after them."""

from __future__ import annotations

import pytest

from calllog.pairing import EDITION, Phase, completes
from calllog.spoken import Parser
from calllog.values import Call, Outcome, Role, Style
from tests.crew import SHORT, Crew, settings


def said(crew: Crew, spoken: str, probability: float = 1.0) -> Call:
    """Make the call that words would be, without taking it."""
    told: list[Call] = []
    before = crew.state
    crew.say(spoken)
    told.append(crew.heard.pop())
    crew.state = before
    return told[0].model_copy(update={"probability": probability})


def is_whole(parser: Parser, before: tuple[str, ...], last: str, **changes: object) -> bool:
    """Tell whether the last words would be over by themselves after others."""
    crew = Crew(parser, settings(Style.ADD, **{"pairing": EDITION} | changes), is_live=True)
    crew.say(*before)
    return completes(crew.state, said(crew, last))


@pytest.mark.parametrize(
    ("before", "last", "expected"),
    [
        ((), "r: fifteen", False),
        ((), "r: fifteen forty two", True),
        (("r: fifteen",), "h: forty two", True),
        (("r: fifteen",), "h: four two", True),
        (("r: fifteen",), "h: fourteen", True),
        (("r: fifteen",), "h: forty", False),
        (("r: fifteen",), "h: ten", False),
        (("r: fifteen",), "h: oh five", False),
        (("r: fifteen",), "h: fifteen", False),
        (("r: fifteen", "h: forty two"), "h: switch ends", True),
        (("r: fifteen", "h: forty two"), "h: forty two", False),
        (("r: fifteen", "h: forty two"), "h: forty three", False),
        (("r: fifteen",), "h: switch ends", False),
        (("r: fifteen", "h: forty two"), "h: measure again", False),
        (("r: fifteen", "h: forty two", "h: switch ends"), "h: fifteen", False),
        (("r: fifteen", "h: forty two", "h: switch ends", "h: fifteen"), "r: forty two", True),
        (("r: fifteen", "h: forty two", "h: switch ends", "h: fifteen"), "r: forty five", False),
    ],
)
def test_a_call_is_over_where_nothing_can_follow_it(
    parser: Parser, before: tuple[str, ...], last: str, *, expected: bool
) -> None:
    """Hundredths of two figures beside a foot, and switching ends; never what would stop."""
    assert is_whole(parser, before, last) is expected


def test_an_unsure_call_is_waited_for(parser: Parser) -> None:
    """Below 0.9 it may be another call, and what is asked is none."""
    crew = Crew(parser, settings(Style.ADD, pairing=EDITION), is_live=True).say("r: fifteen")
    assert completes(crew.state, said(crew, "h: forty two", 0.9))
    assert not completes(crew.state, said(crew, "h: forty two", 0.89))
    asked = said(crew, "h: forty two").model_copy(update={"outcome": Outcome.ASK})
    assert not completes(crew.state, asked)
    assert crew.state.phase is Phase.OPEN
    assert SHORT["h"] is Role.HEAD
