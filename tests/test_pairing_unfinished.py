"""A line that was finished by mistake is open again by a strike right after it."""

from __future__ import annotations

import pytest

from calllog.pairing import EDITION, Phase
from calllog.spoken import Parser
from calllog.values import CheckPolicy, Void
from tests.crew import Crew, settings

AGREED = ("r: fifteen", "h: forty two", "h: switch ends", "h: fifteen", "r: forty two")
NEXT = ("r: forty seven", "h: twelve", "h: switch ends", "h: forty seven", "r: twelve")


@pytest.fixture
def crew(parser: Parser) -> Crew:
    """A live crew that has finished its line after one pull."""
    crew = Crew(parser, settings(pairing=EDITION), is_live=True, gap_s=30.0)
    return crew.say(*AGREED, "h: line finished")


@pytest.mark.parametrize("by", ["u", "ku"])
def test_strike_opens_the_line_again(crew: Crew, by: str) -> None:
    """Nothing of its pulls is struck, and the next one goes on with it."""
    crew.say(f"{by}: strike that")
    assert (crew.state.phase, crew.state.pull) == (Phase.OPEN, 2)
    assert crew.followed[-1] == Void(call=6, pull=2)
    assert crew.say(*NEXT, "h: line finished").lengths == [15.42, 47.12]
    assert (crew.state.phase, crew.codes) == (Phase.FINISHED, [])


def test_second_strike_is_of_the_pull(crew: Crew) -> None:
    """The last call of the pull before, as without the end of the line between."""
    crew.say("u: strike that", "u: strike that")
    assert (crew.state.phase, crew.state.pull) == (Phase.CHECKING, 1)


def test_what_was_said_since_is_struck_first(crew: Crew) -> None:
    """A condition that runs on, then the end of the line."""
    crew.say("u: temperature eighty", "u: strike that")
    assert (crew.state.phase, crew.state.conditions.temperature_degf) == (Phase.FINISHED, None)
    crew.say("u: strike that")
    assert crew.state.phase is Phase.OPEN


def test_note_before_the_end_is_not_struck_in_its_place(parser: Parser) -> None:
    """The end of the line was said last."""
    crew = Crew(parser, settings(pairing=EDITION), is_live=True).say(*AGREED)
    note = "u: station zero plus ten right eighteen point four"
    crew.say(note, "u: line finished", "u: strike that")
    assert (crew.state.phase, crew.followed[-1]) == (Phase.OPEN, Void(call=7, pull=2))


def test_pull_that_was_recorded_with_the_line_stays(parser: Parser) -> None:
    """Unchecked, the end of the line records it."""
    line = settings(pairing=EDITION, policy=CheckPolicy.NONE)
    crew = Crew(parser, line, is_live=True).say(*AGREED[:2], "u: line finished", "u: strike that")
    assert (crew.lengths, crew.state.phase, crew.state.pull) == ([15.42], Phase.OPEN, 2)


def test_older_line_stays_finished(parser: Parser) -> None:
    """A journal always leads to the pulls that were booked from it."""
    crew = Crew(parser, settings(pairing=2), is_live=True).say(*AGREED)
    crew.say("u: line finished", "u: strike that")
    assert (crew.state.phase, crew.codes) == (Phase.FINISHED, ["no-call-to-scratch"])
