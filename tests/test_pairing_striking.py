"""What striking a call does to the others of its pull: they go as they went, or are called again.

Each case goes another way without the struck call. By edition 1 it was taken so, without a word:
what the chief had decided against counted, a pull was gone that nobody had booked.
"""

from __future__ import annotations

import pytest

from calllog.pairing import EDITION, Phase
from calllog.spoken import Parser
from calllog.values import Choice, Void
from tests.crew import Crew, settings

TAKEN = ("r: fifteen", "h: forty two", "h: switch ends")


def recorded(parser: Parser, edition: int = EDITION) -> Crew:
    """A crew that heard nothing of what followed from its calls."""
    return Crew(parser, settings(pairing=edition), gap_s=25.0)


def struck(crew: Crew) -> list[int]:
    """Numbers of the calls that were struck."""
    return [each.call for each in crew.followed if isinstance(each, Void)]


def contradicted(crew: Crew, later: str) -> Crew:
    """The chief keeps "sixteen" of the check; a key replaces it; the key is struck."""
    crew.say(*TAKEN, "h: sixteen", f"r: {later}").decide(Choice.FIRST)
    return crew.say(f"r: {later}").decide(Choice.FIRST).say("kr: seventeen forty two")


@pytest.mark.parametrize("later", ["fifteen forty four", "fifteen forty two"])
def test_calls_that_the_chief_decided_against_do_not_come_back(parser: Parser, later: str) -> None:
    """Struck with the key that replaced what was kept; the check is called again."""
    crew = contradicted(recorded(parser), later).say("u: strike that")
    assert struck(crew) == [4, 7, 5, 6]
    assert crew.questions == ["call-both-again"]
    assert (crew.state.phase, crew.state.pull) == (Phase.CHECKING, 1)
    assert (crew.state.held, crew.state.parts.is_empty) == ((), True)
    crew.say("r: fifteen forty two", "h: thirty three eighteen")
    assert [each.take.calls for each in crew.segments] == [(1, 2)]
    assert [each.check and each.check.calls for each in crew.segments] == [(9,)]
    assert (crew.state.phase, crew.state.pull) == (Phase.TAKEN, 2)


def test_edition_1_opened_the_next_pull_with_a_call_of_this_one(parser: Parser) -> None:
    """As jobs were recorded, so they are replayed: a call held over a stop that came earlier."""
    crew = contradicted(recorded(parser, 1), "fifteen forty four").say("u: strike that")
    assert [each.number for each in crew.state.held] == [6]
    crew.decide(Choice.FIRST)
    assert (crew.state.phase, crew.state.pull) == (Phase.TAKEN, 2)
    assert crew.state.take is not None
    assert crew.state.take.calls == (6,)


def test_edition_1_lost_a_pull(parser: Parser) -> None:
    """As jobs were recorded, so they are replayed: the pull went by, and nothing was booked."""
    crew = contradicted(recorded(parser, 1), "fifteen forty two").say("u: strike that")
    assert (crew.state.pull, crew.segments) == (2, [])


def test_calls_that_go_as_they_went_are_not_asked_again(parser: Parser) -> None:
    """What was chosen counts again after a later call is struck, and so does the take's foot."""
    crew = recorded(parser).say("r: fifteen", "r: fifty").decide(Choice.CHECK)
    crew.say("h: forty two", "h: strike that", "h: forty two", "h: switch ends", "h: strike that")
    assert (crew.questions, struck(crew)) == ([], [3, 5])
    assert (crew.state.phase, crew.state.parts.whole) == (Phase.OPEN, 5000)


def test_what_was_replaced_by_choice_is_not_chosen_by_striking(parser: Parser) -> None:
    """The chief chose "fifty" over "fifteen", and the crew strikes it: neither of them stands."""
    crew = recorded(parser).say("r: fifteen", "r: fifty").decide(Choice.CHECK).say("r: strike that")
    assert (struck(crew), crew.questions) == ([2, 1], ["call-both-again"])
    assert (crew.state.phase, crew.state.parts.is_empty) == (Phase.OPEN, True)


def test_striking_what_brought_the_stop_undoes_it(parser: Parser) -> None:
    """Nobody had chosen: the first one stands, and nothing is asked."""
    crew = recorded(parser).say("r: fifteen", "r: fifty", "r: strike that")
    assert (struck(crew), crew.questions, crew.state.parts.whole) == ([2], [], 1500)


def test_check_is_not_taken_for_the_take_that_was_struck(parser: Parser) -> None:
    """An answer replaced the take's hundredths; struck too, it takes the check with it."""
    crew = Crew(parser, settings(pairing=EDITION, decoding=4), is_live=True)
    crew.hear("r: fifteen 0.99", "h: forty two 0.5 | forty three 0.45").say("h: switch ends")
    crew.hear("h: fifteen 0.99", "r: forty four 0.99", "h: forty three 0.99")
    assert (struck(crew), crew.state.phase) == ([2], Phase.CHECKING)
    crew.say("h: strike that")
    assert struck(crew) == [2, 6, 1, 4, 5]
    assert crew.codes[-1] == "call-both-again"
    assert (crew.state.phase, crew.state.parts.is_empty) == (Phase.OPEN, True)
    crew.say("h: fifteen", "r: forty three")
    assert crew.state.take is not None, "they stand switched"
    assert crew.state.take.length == 1543


def test_call_that_waits_over_a_stop_is_the_last_one(parser: Parser) -> None:
    """Nobody told who holds the foot; "strike that" strikes the call that brought the question."""
    crew = recorded(parser).say("h: fifteen", "r: forty two")
    assert crew.findings == ["who-holds-whole"]
    crew.say("r: strike that")
    assert struck(crew) == [2]
    assert [each.number for each in crew.state.history] == [1]
    assert crew.state.phase is Phase.OPEN


@pytest.mark.parametrize("order", ["strike that", "add tape"])
def test_live_command_lets_go_of_no_recorded_call(parser: Parser, order: str) -> None:
    """A recording went on over its stop; who works on live decides it first."""
    crew = recorded(parser).say(*TAKEN, "h: sixteen", "r: forty two", "r: twenty", "h: thirty one")
    crew.is_live = True
    crew.say(f"h: {order}")
    assert (crew.questions, struck(crew)) == (["stop-stands pull=1"], [])
    assert [each.number for each in crew.state.held] == [6, 7]
    crew.say("h: keep the first")
    assert (crew.lengths, crew.state.phase) == ([15.42], Phase.TAKEN)
    assert crew.state.take is not None
    assert crew.state.take.length == 2031
