"""What a crew calls after a stop: live it hears it; a recording went on over it.

Rules: common practice, no published source. Crews read the marks again at once after a stop.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from calllog.pairing import EDITION, Phase, expects, pulls_ahead
from calllog.spoken import Parser
from calllog.values import (
    Choice,
    Expectation,
    Finding,
    Held,
    Question,
    Role,
    Severity,
    Style,
    Void,
)
from tests.crew import Crew, settings

LINE = settings(pairing=EDITION)
STOPPED = ("r: fifteen", "h: forty two", "h: switch ends", "h: sixteen", "r: forty two")
AGREED = ("r: fifteen", "h: forty two", "h: switch ends", "h: fifteen", "r: forty two")
FULL = settings(Style.FULL, pairing=EDITION)
READ_STOPPED = ("h: fifteen forty two", "h: switch ends", "r: sixteen forty two")


def live(parser: Parser, line: object = LINE, gap_s: float = 4.0) -> Crew:
    """A crew that hears what follows."""
    return Crew(parser, line=line, is_live=True, gap_s=gap_s)  # type: ignore[arg-type]


def voids(crew: Crew) -> list[int]:
    """Numbers of the calls that were struck."""
    return [each.call for each in crew.followed if isinstance(each, Void)]


@pytest.mark.parametrize(
    ("answer", "length"),
    [("keep the first", 15.42), ("keep the second", 16.42)],
)
@pytest.mark.parametrize("typed", ["", "k"])
def test_decision_answers_a_stop_whatever_was_called_after_it(
    parser: Parser, answer: str, length: float, typed: str
) -> None:
    """Two numbers that crossed the stop, and "switch ends": the decision is about the stop."""
    crew = live(parser, FULL, gap_s=1.0).say(*READ_STOPPED, "h: fifty eight eighteen")
    crew.say("u: switch ends", f"{typed}h: {answer}")
    assert crew.lengths == [length]
    assert voids(crew) == [4]
    assert (crew.state.phase, crew.state.held, crew.state.pull) == (Phase.OPEN, (), 2)


def test_measure_again_is_never_held_live(parser: Parser) -> None:
    """It strikes what crossed the stop and measures the pull again."""
    crew = live(parser, FULL, gap_s=0.4).say(
        *READ_STOPPED, "h: fifty eight eighteen", "r: fifty eight nineteen", "h: measure again"
    )
    assert voids(crew) == [4, 5]
    assert (crew.state.phase, crew.state.pull, crew.segments) == (Phase.OPEN, 1, [])


def test_marks_read_again_are_another_try_at_the_same_pull(parser: Parser) -> None:
    """Not the next pull: two pulls of 15.42 were booked where the crew had measured one."""
    crew = live(parser, FULL).say(*READ_STOPPED)
    crew.say("h: fifteen forty two", "h: switch ends", "r: fifteen forty two")
    (segment,) = crew.segments
    assert (segment.pull, segment.length_read_ft, segment.take.calls) == (1, 15.42, (4,))
    assert [each.length for each in segment.superseded] == [1542, 1642]
    assert "tried-again" in [each.code for each in segment.findings]
    assert not [each for each in crew.followed if isinstance(each, Held)]


def test_marks_are_read_again_as_the_two_stand(parser: Parser) -> None:
    """After a check that differs the ends are switched: the head holds the foot, none is asked."""
    crew = live(parser).say(*STOPPED, "h: fifteen", "r: forty two")
    assert (crew.questions, crew.state.phase, crew.state.pull) == ([], Phase.TAKEN, 1)
    crew.say("h: switch ends", "r: fifteen", "h: forty two")
    assert (crew.lengths, crew.questions) == ([15.42], [])


def test_parts_read_again_are_another_try(parser: Parser) -> None:
    """The same where the two call a part each; a decision of the chief finds nothing held."""
    crew = live(parser).say(*STOPPED, "h: fifteen", "r: forty two")
    assert (crew.state.phase, crew.state.pull) == (Phase.TAKEN, 1)
    crew.say("h: switch ends", "r: fifteen", "h: forty two")
    assert crew.lengths == [15.42]
    assert crew.state.pull == 2


def test_crew_that_changed_back_before_another_try_is_asked(parser: Parser) -> None:
    """Nothing tells which of them holds the foot: nothing is booked by a guess."""
    crew = live(parser).say(*STOPPED, "r: fifteen", "h: forty two")
    assert (len(crew.questions), crew.state.take) == (1, None)
    crew.say("h: fifteen forty two")
    assert crew.state.take is not None
    assert crew.state.take.length == 1542


def test_scratch_after_another_try_keeps_its_trace(parser: Parser) -> None:
    """The pull is taken again without the call that was struck, and still is another try."""
    crew = live(parser).say(*STOPPED, "h: fifteen", "r: forty three", "h: strike that")
    crew.say("r: forty two", "h: switch ends", "r: fifteen", "h: forty two")
    (segment,) = crew.segments
    assert "tried-again" in [each.code for each in segment.findings]
    assert [each.length for each in segment.superseded] == [1542, 1642]


def test_what_differs_in_a_repetition_is_measured_again_too(parser: Parser) -> None:
    """Fifteen, then fifty: the foot said once more begins the pull again."""
    crew = live(parser).say("r: fifteen", "r: fifty", "r: fifteen", "h: forty two")
    assert crew.state.take is not None
    assert (crew.state.take.length, crew.state.take.calls) == (1542, (3, 4))


def test_typed_part_still_settles_a_repetition_that_differs(parser: Parser) -> None:
    """What is typed decides between two that were heard; nothing is measured again."""
    crew = live(parser).say("r: fifteen", "r: fifty", "kr: fifteen", "h: forty two")
    assert crew.state.take is not None
    assert crew.state.take.length == 1542
    assert "tried-again" not in crew.findings


def test_number_that_crossed_a_stop_begins_nothing(parser: Parser) -> None:
    """Begun before the stop can have been heard it may belong anywhere: it is held, then struck."""
    crew = live(parser, FULL, gap_s=1.2).say(*READ_STOPPED, "h: thirty ten")
    assert crew.followed[-1] == Held(call=4, pull=1)
    assert crew.state.phase is Phase.STOPPED
    crew.gap_s = 6.0
    crew.say("h: fifteen forty two")
    assert voids(crew) == [4]
    assert crew.state.take is not None
    assert (crew.state.pull, crew.state.take.length) == (1, 1542)


def test_chief_decides_and_what_crossed_is_struck(parser: Parser) -> None:
    """A held call booked a phantom pull after the chief's decision."""
    crew = live(parser, FULL, gap_s=1.2).say(*READ_STOPPED, "h: fifteen forty two")
    crew.decide(Choice.FIRST)
    assert (crew.lengths, voids(crew)) == ([15.42], [4])
    assert crew.state.take is None


def test_call_that_goes_on_over_a_stop_is_asked_live(parser: Parser) -> None:
    """Switching ends, the next pull and the end of the line wait for a decision; none is held."""
    crew = live(parser).say(*STOPPED, "h: switch ends", "h: next pull", "h: line finished")
    assert crew.questions == ["stop-stands pull=1"] * 3
    assert crew.state.held == ()


def test_number_that_is_asked_begins_no_try(parser: Parser) -> None:
    """A full reading of a tape that cuts is asked: the stop stands."""
    crew = live(parser, settings(Style.CUT, pairing=EDITION)).say(*STOPPED)
    before = crew.state
    crew.say("u: fifteen forty two")
    assert isinstance(crew.followed[-1], Question)
    assert replace(crew.state, last=before.last) == before


def test_conditions_are_taken_over_a_stop(parser: Parser) -> None:
    """A temperature stated meanwhile holds from now on; a tape is changed after the decision."""
    crew = live(parser).say(*STOPPED, "u: temperature eighty")
    assert (crew.state.conditions.temperature_degf, crew.state.phase) == (80.0, Phase.STOPPED)
    crew.say("u: tape number two")
    assert isinstance(crew.followed[-1], Question)
    assert crew.state.held == ()


def test_expected_after_a_live_stop_is_the_take_again(parser: Parser) -> None:
    """The recogniser listens for what the crew will call; nobody is pulls ahead."""
    crew = live(parser).say(*STOPPED)
    assert expects(crew.state, Role.REAR) is Expectation.ANY
    assert pulls_ahead(crew.state) == 0


def test_recordings_go_on_over_a_stop(parser: Parser) -> None:
    """Nobody heard the stop: what follows is held, and booked after the decision."""
    crew = Crew(parser, line=LINE).say(*STOPPED, *AGREED, "h: measure again")
    assert len([each for each in crew.followed if isinstance(each, Held)]) == 6
    crew = Crew(parser, line=LINE).say(*STOPPED, *AGREED)
    assert crew.decide(Choice.CHECK).lengths == [16.42, 15.42]


def test_live_number_does_not_begin_a_try_before_recorded_ones(parser: Parser) -> None:
    """A recording went on, then the crew works live: it is asked, and the decision keeps all."""
    crew = Crew(parser, line=LINE).say(*STOPPED, *AGREED)
    crew.is_live = True
    crew.say("r: fifteen")
    assert isinstance(crew.followed[-1], Question)
    crew.say("u: keep the first")
    assert crew.lengths == [15.42, 15.42]


def test_line_of_an_older_edition_holds_as_before(parser: Parser) -> None:
    """A journal always leads to the pulls that were booked from it."""
    crew = live(parser, settings()).say(*STOPPED, *AGREED, "h: measure again")
    assert len(crew.state.held) == 6


def test_pull_that_repeats_the_one_before_says_so(parser: Parser) -> None:
    """The same marks read again, or a phantom: the hundredths alike are worth a look."""
    crew = Crew(parser, line=LINE).say(*AGREED, *AGREED)
    first, second = crew.segments
    assert first.findings == ()
    (found,) = second.findings
    assert (found.code, found.severity, found.calls) == (
        "repeats-pull",
        Severity.NOTE,
        (1, 2, 6, 7),
    )
    assert found.first == 1542
    assert isinstance(found, Finding)


def test_whole_feet_in_a_row_are_usual(parser: Parser) -> None:
    """Full tapes and the marks of a stationed line are alike, pull after pull."""
    whole = ("r: fifty", "h: zero zero", "h: switch ends", "h: fifty", "r: zero zero")
    crew = Crew(parser, line=LINE).say(*whole, *whole)
    assert [each.findings for each in crew.segments] == [(), ()]
