"""What is said beside a pull moves nothing: notes, remarks, another tape or line."""

from __future__ import annotations

import pytest

from calllog.pairing import Phase, pulls_ahead
from calllog.spoken import Parser
from calllog.values import CheckPolicy, Choice, Conditions, Held, Kind, Question, Reopened, Void
from tests.crew import Crew, settings

TAKE = ("r: fifteen", "h: forty two")
CHECK = ("h: fifteen", "r: forty two")
AGREED = (*TAKE, "h: switch ends", *CHECK)
STOPPED = (*TAKE, "h: switch ends", "h: sixteen", "r: forty two")
NOTE = "h: station zero plus fifty left ten point five"
PHASES: dict[str, tuple[str, ...]] = {
    "open": (),
    "begun": ("r: fifteen",),
    "taken": TAKE,
    "checking": (*TAKE, "h: switch ends", "h: fifteen"),
    "repetition differs": ("r: fifteen", "r: fifty"),
    "check differs": STOPPED,
    "gone on": (*STOPPED, *AGREED),
    "finished": (*AGREED, "r: line finished"),
}
"""Everything that a pull can be in the middle of."""


def crew_in(parser: Parser, phase: str) -> Crew:
    """Bring a crew into a phase."""
    return Crew(parser).say(*PHASES[phase])


@pytest.mark.parametrize("phase", PHASES)
def test_remark_and_its_command_move_nothing(parser: Parser, phase: str) -> None:
    """In no phase is anything changed, held or asked by a remark."""
    crew = crew_in(parser, phase)
    state, followed = crew.state, list(crew.followed)
    crew.say("r: remark follows").remark("r")
    assert [each.kind for each in crew.heard[-2:]] == [Kind.COMMAND, Kind.REMARK]
    assert (crew.state, crew.followed) == (state, followed)


@pytest.mark.parametrize("phase", PHASES)
def test_note_moves_nothing_and_scratch_strikes_it(parser: Parser, phase: str) -> None:
    """In every phase a note is taken at once; scratch strikes it and leaves all as before."""
    crew = crew_in(parser, phase)
    before = crew.state
    crew.say(NOTE)
    number = len(crew.heard)
    assert (crew.state.phase, crew.state.pull, crew.state.parts, crew.state.held) == (
        before.phase,
        before.pull,
        before.parts,
        before.held,
    )
    count = len(crew.followed)
    crew.say("h: strike that")
    assert crew.followed[count:] == [Void(call=number, pull=before.pull)]
    assert crew.state == before


def test_scratch_strikes_what_was_said_last(parser: Parser) -> None:
    """Note and number in turn: each scratch strikes the later one."""
    crew = Crew(parser).say("r: fifteen", NOTE, "h: forty two", NOTE)
    for last in (4, 3, 2, 1):
        crew.say("r: strike that")
        assert crew.followed[-1] == Void(call=last, pull=1)
    assert crew.questions == []
    assert crew.state.parts.is_empty


def test_scratch_over_a_stop_strikes_a_note_before_the_number_held(parser: Parser) -> None:
    """The number is held, the note came later: the note goes first, then the number."""
    crew = Crew(parser).say(*STOPPED, "h: point eleven", NOTE, "h: strike that")
    assert crew.followed[-1] == Void(call=7, pull=1)
    assert len(crew.state.held) == 1
    crew.say("h: strike that")
    assert crew.followed[-1] == Void(call=6, pull=1)


def test_scratch_of_a_number_keeps_the_note(parser: Parser) -> None:
    """Numbers said after a note are struck without it, and it can still be struck."""
    crew = Crew(parser).say(*TAKE, NOTE, "h: switch ends", "h: sixteen", "h: strike that")
    assert crew.followed[-1] == Void(call=5, pull=1)
    assert crew.state.phase is Phase.CHECKING
    crew.say("h: strike that")
    assert crew.followed[-1] == Void(call=3, pull=1)
    assert crew.say(*CHECK).lengths == [15.42]


def test_note_said_before_moving_on_is_struck_without_reopening(parser: Parser) -> None:
    """The last thing said before "next pull" was a note: the booked pull stays booked."""
    crew = Crew(parser, settings(policy=CheckPolicy.NONE)).say(*TAKE, NOTE, "r: next pull")
    crew.say("r: strike that")
    assert crew.followed[-1] == Void(call=3, pull=2)
    crew.say("r: strike that")
    assert crew.followed[-2:] == [Reopened(pull=1), Void(call=2, pull=1)]


def test_note_between_does_not_hide_a_repetition(parser: Parser) -> None:
    """A reading said again right after the booking repeats it, a note or not."""
    crew = Crew(parser).say(*AGREED, NOTE, "h: fifteen forty two")
    assert (crew.state.pull, crew.state.parts.is_empty) == (2, True)


@pytest.mark.parametrize("what", ["tape", "line"])
@pytest.mark.parametrize("phase", ["open", "finished"])
def test_tape_and_line_may_change_between_pulls(parser: Parser, what: str, phase: str) -> None:
    """Between pulls nothing follows here: what changes is the session's, not a condition's."""
    crew = crew_in(parser, phase)
    state, count = crew.state, len(crew.followed)
    crew.say(f"r: {what} number two")
    assert (crew.heard[-1].name, crew.heard[-1].amount) == (what, 2.0)
    assert (crew.state, len(crew.followed)) == (state, count)
    assert crew.state.conditions == Conditions()


@pytest.mark.parametrize("what", ["tape", "line"])
@pytest.mark.parametrize("phase", ["begun", "taken", "checking"])
def test_tape_and_line_wait_for_the_pull(parser: Parser, what: str, phase: str) -> None:
    """In the middle of a pull it is refused, with what to do first."""
    crew = crew_in(parser, phase)
    state = crew.state
    crew.say(f"r: {what} number two")
    assert crew.questions == [f"finish-pull-first pull=1 what={what}"]
    assert crew.state == state


def test_there_is_no_tape_0(parser: Parser) -> None:
    """Tapes and lines are numbered from 1."""
    assert Crew(parser).say("r: tape number zero").questions == ["numbered-from-one what=tape"]


def test_change_over_a_stop_is_held_and_asked_again(parser: Parser) -> None:
    """It is held as all calls are; once decided it must be said again."""
    crew = Crew(parser).say(*STOPPED, "r: tape number two")
    assert crew.followed[-1] == Held(call=6, pull=1)
    crew.decide(Choice.FIRST)
    assert crew.questions == ["said-while-waiting later=0 number=2 what=tape"]
    assert (crew.lengths, crew.status) == ([15.42], "pull-waits measurement=take part=all pull=2")


def test_nothing_said_after_a_held_change_is_booked_on_the_old_tape(parser: Parser) -> None:
    """What was called after it belongs to another tape: struck, and asked for again."""
    crew = Crew(parser).say(*STOPPED, *AGREED, "r: tape number two", *AGREED)
    crew.decide(Choice.FIRST)
    assert crew.lengths == [15.42, 15.42]
    assert [each.call for each in crew.followed if isinstance(each, Void)] == [12, 13, 14, 15, 16]
    assert isinstance(crew.followed[-1], Question)
    assert crew.questions[-1] == "said-while-waiting later=5 number=2 what=tape"
    assert crew.state.parts.is_empty


def test_crew_that_went_on_is_so_many_pulls_ahead(parser: Parser) -> None:
    """Pulls called over a stop count, so that a note there is not refused."""
    crew = Crew(parser).say(*AGREED)
    assert pulls_ahead(crew.state) == 0
    assert pulls_ahead(crew.say(*STOPPED, *AGREED, *AGREED).state) == 3
