"""Calls that may be none, or not that one, are asked first (rules: common practice, no source)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from calllog.pairing import EDITION, Phase, step
from calllog.spoken import Parser
from calllog.values import Call, Kind, Question, Role, Segment, Void
from tests.crew import Crew, made_call, settings

AGREED = ("r: fifteen", "h: forty two", "h: switch ends", "h: fifteen", "r: forty two")


@pytest.fixture
def crew(parser: Parser) -> Crew:
    """Begin a line by today's rules."""
    return Crew(parser, settings(pairing=EDITION))


def heard_by(channel: int, kind: Kind, value: int | None, text: str, at_s: float) -> Call:
    """Make a call that a microphone heard; the head wears the first, the rear the second."""
    return made_call(
        round(at_s * 10) + channel,
        kind,
        at_s,
        source=f"live-1#{channel}",
        role=(Role.HEAD, Role.REAR)[channel - 1],
        text=text,
        value=value,
        name="scratch" if kind is Kind.COMMAND else "",
        end_s=at_s + 0.6,
    )


def test_a_lone_short_word_that_opens_a_pull_is_asked_first(crew: Crew) -> None:
    """Talk heard as nine opens no pull ("fine"); nine feet, said again, does."""
    crew.hear("r: nine 0.95 | five 0.03")
    assert crew.state.parts.is_empty
    assert crew.questions == ["lone-word said=nine"]
    crew.hear("r: nine 0.9 | five 0.03").say("h: forty two", "h: switch ends", "h: nine")
    assert crew.say("r: forty two").lengths == [9.42]


@pytest.mark.parametrize(
    "said", ["r: nine 0.98", "r: fifteen 0.7", "r: seven 0.8", "r: four two 0.8"]
)
def test_what_is_sure_or_longer_opens_a_pull(crew: Crew, said: str) -> None:
    """A question is asked only where talk is as short."""
    crew.hear(said)
    assert (crew.questions, crew.state.parts.is_empty) == ([], False)


def test_another_word_or_another_voice_does_not_answer(crew: Crew) -> None:
    """Only the same number from the same caller, soon, is the answer."""
    crew.hear("r: nine 0.9", "r: five 0.9")
    assert (len(crew.questions), crew.state.parts.is_empty) == (2, True)
    crew.gap_s = 30.0
    crew.hear("r: five 0.9")
    assert (len(crew.questions), crew.state.parts.is_empty) == (3, True)


def test_a_lone_word_that_opens_the_check_is_asked_where_it_differs(crew: Crew) -> None:
    """It would stop the pull; what the take says already needs no question."""
    crew.say("r: five", "h: forty two", "h: switch ends").hear("h: nine 0.9")
    assert (len(crew.questions), crew.state.phase) == (1, Phase.CHECKING)
    crew.hear("h: five 0.9").say("r: forty two")
    assert (len(crew.questions), crew.lengths) == (1, [5.42])


def test_talk_heard_as_a_full_tape_is_asked_first(crew: Crew) -> None:
    """Talk ("pull it tight") opens no pull of 100 ft, nor stops a check; said again, it does."""
    crew.hear("h: full tape 0.6")
    assert (crew.questions, crew.state.parts.is_empty) == (
        ["lone-word said=full tape"],
        True,
    )
    crew.say("r: eighty three", "h: forty four", "h: switch ends").hear("h: full tape 0.7")
    crew.say("h: eighty three", "r: forty four")
    assert (crew.lengths, len(crew.questions)) == ([83.44], 2)
    crew.gap_s = 11.0
    crew.hear("r: full tape 0.8", "r: full tape 0.7").say("h: switch ends", "h: full tape")
    assert (crew.lengths, len(crew.questions)) == ([83.44, 100.0], 3)


def test_full_tapes_one_after_the_other_are_not_asked(crew: Crew) -> None:
    """What was just measured speaks for it, and a check that says it again."""
    crew.hear("r: full tape 0.98").say("r: switch ends").hear("h: full tape 0.7")
    crew.gap_s = 11.0
    crew.hear("h: full tape 0.7").say("h: switch ends").hear("r: full tape 0.7")
    assert (crew.lengths, crew.questions) == ([100.0, 100.0], [])


def test_what_was_asked_and_said_again_can_be_struck_and_kept(crew: Crew) -> None:
    """Striking a later call takes the others of the pull again and asks nobody twice."""
    crew.hear("r: nine 0.9", "r: nine 0.9").say("h: forty two", "h: strike that", "h: forty three")
    assert crew.state.take is not None
    assert crew.state.take.length == 943
    assert len(crew.questions) == 1


def test_the_last_call_said_again_after_a_booking_is_not_the_next_foot(crew: Crew) -> None:
    """The one who read the hundredths calls the foot next: 42 must not become it."""
    crew.say(*AGREED, "r: forty two")
    assert (crew.lengths, crew.state.parts.is_empty) == ([15.42], True)
    assert crew.questions == ["again-or-next-pull said=forty two"]
    crew.say("r: thirty three", "h: eighty seven", "h: switch ends", "h: thirty three")
    assert crew.say("r: eighty seven").lengths == [15.42, 33.87]


def test_a_next_foot_alike_is_taken_when_it_is_said_again(crew: Crew) -> None:
    """Forty two feet after forty two hundredths, in a hurry: one question, the right length."""
    crew.say(*AGREED, "r: forty two", "r: forty two", "h: eleven", "h: switch ends")
    crew.say("h: forty two", "r: eleven")
    assert (crew.lengths, len(crew.questions)) == ([15.42, 42.11], 1)


def test_a_next_foot_alike_later_on_is_not_asked(crew: Crew) -> None:
    """Whole tapes follow each other; to carry the tape takes its time."""
    crew.say(*AGREED)
    crew.gap_s = 11.0
    crew.say("r: forty two")
    assert (crew.questions, crew.state.parts.whole) == ([], 4200)


def test_older_lines_keep_their_rules(parser: Parser) -> None:
    """A line begun before edition 1 takes the same calls as it did."""
    crew = Crew(parser).hear("r: nine 0.95 | five 0.03")
    assert (crew.questions, crew.state.parts.whole) == ([], 900)
    assert Crew(parser).say(*AGREED, "r: forty two").state.parts.whole == 4200
    assert Crew(parser).hear("h: full tape 0.6").state.take is not None
    both = step(crew.state, heard_by(1, Kind.FRACTION, 9, "nine", 1.0)).state
    assert both.take is not None


def test_the_same_words_on_both_microphones_are_no_pull(crew: Crew) -> None:
    """A radio says fifteen between the two: neither 15 ft nor .15, and surely not 15.15."""
    first = step(crew.state, heard_by(2, Kind.WHOLE, 1500, "fifteen", 5.0))
    assert first.state.parts.whole == 1500
    done = step(first.state, heard_by(1, Kind.FRACTION, 15, "fifteen", 5.1))
    assert done.state.parts.is_empty
    void, question = done.consequences
    assert isinstance(void, Void)
    assert isinstance(question, Question)
    assert question.asks.code == "heard-on-both"


def test_a_booking_by_what_both_microphones_heard_opens_again(crew: Crew) -> None:
    """The hundredths that completed the check were anybody's: the segment goes with them."""
    crew.say("r: fifteen", "h: forty two", "h: switch ends", "h: fifteen")
    booked = step(crew.state, heard_by(2, Kind.FRACTION, 42, "forty two", 50.0))
    assert any(isinstance(each, Segment) for each in booked.consequences)
    done = step(booked.state, heard_by(1, Kind.WHOLE, 4200, "forty two", 50.2))
    assert (done.state.pull, done.state.phase) == (1, Phase.CHECKING)
    assert done.state.parts.fraction is None


def test_a_held_number_that_both_microphones_heard_is_struck(parser: Parser) -> None:
    """What waits behind a stop is anybody's too; the others that wait stay."""
    recorded = Crew(parser, settings(pairing=EDITION)).say(*AGREED[:3], "h: sixteen")
    recorded.say("r: forty two", "h: thirty three", "r: eighty three")
    last = recorded.heard[-1]
    assert [each.number for each in recorded.state.held] == [6, 7]
    echo = last.model_copy(update={"number": 8, "source": "paper#1", "role": Role.HEAD})
    done = step(recorded.state, echo)
    void, question = done.consequences
    assert void == Void(call=7, pull=1)
    assert isinstance(question, Question)
    assert question.asks.code == "heard-on-both"
    assert [each.number for each in done.state.held] == [6]


def test_a_command_on_both_microphones_is_one(crew: Crew) -> None:
    """Striking is not done twice."""
    crew.say("r: fifteen", "h: forty two")
    first = step(crew.state, heard_by(1, Kind.COMMAND, None, "strike that", 40.0))
    done = step(first.state, heard_by(2, Kind.COMMAND, None, "strike that", 40.1))
    assert (done.consequences, done.state.parts.whole) == ((), 1500)


def test_two_that_speak_at_once_are_two(crew: Crew) -> None:
    """Other words, or another moment, are calls of their own."""
    state = step(crew.state, heard_by(2, Kind.WHOLE, 1500, "fifteen", 5.0)).state
    other = step(state, heard_by(1, Kind.FRACTION, 42, "forty two", 5.1)).state
    assert other.take is not None
    later = step(state, heard_by(1, Kind.FRACTION, 15, "fifteen", 6.0)).state
    assert later.take is not None


@pytest.mark.parametrize("name", ["repeat", "who"])
@pytest.mark.parametrize(
    "said", [(), AGREED[:1], AGREED[:3], (*AGREED[:3], "h: sixteen", "r: forty two")]
)
def test_asking_moves_no_pull(crew: Crew, name: str, said: tuple[str, ...]) -> None:
    """Who asks what was read back, or whose turn it is, changes and holds nothing."""
    crew.say(*said)
    state = replace(crew.state, last=None)
    count = len(crew.followed)
    crew.say({"repeat": "r: say again", "who": "h: who's got it"}[name])
    assert (replace(crew.state, last=None), crew.followed[count:]) == (state, [])


@pytest.mark.parametrize("echo", ["r: fifteen", "h: fifteen", "h: forty two"])
def test_any_number_of_a_booked_pull_said_again_is_not_the_next_foot(crew: Crew, echo: str) -> None:
    """Neither by the one who called last nor by the other, who repeats what was called."""
    crew.gap_s = 2.0
    crew.say(*AGREED, echo)
    assert (crew.lengths, crew.state.parts.is_empty) == ([15.42], True)
    assert crew.codes == ["again-or-next-pull"]
    crew.say("r: thirty three", "h: eighty seven", "h: switch ends", "h: thirty three")
    assert crew.say("r: eighty seven").lengths == [15.42, 33.87]


@pytest.mark.parametrize("mended", ["forty five", "fifty two", "four one", "thirty nine"])
def test_number_that_mends_the_last_one_is_not_the_next_foot(crew: Crew, mended: str) -> None:
    """The rear reads again and sees .45: it is asked, and struck and called again it counts."""
    crew.say(*AGREED, f"r: {mended}")
    assert (crew.lengths, crew.state.parts.is_empty) == ([15.42], True)
    assert crew.questions == [f"mended-or-next-pull said={mended}"]
    crew.say("r: strike that", "r: forty three")
    assert crew.findings[-1] == "within-tolerance"


def test_fifteen_for_fifty_mends_it(crew: Crew) -> None:
    """Sound-alikes differ in both figures."""
    crew.say("r: fifteen", "h: fifty", "h: switch ends", "h: fifteen", "r: fifty", "r: fifteen")
    assert (len(crew.questions), crew.lengths) == (1, [15.50])


@pytest.mark.parametrize("other", ["r: eighty three", "h: forty five"])
def test_crew_that_goes_on_quickly_is_not_asked(crew: Crew, other: str) -> None:
    """Another number than one of that pull, or by the other one, opens the next one."""
    crew.say(*AGREED, other)
    assert (crew.questions, crew.state.parts.is_empty) == ([], False)


def test_next_foot_that_looks_like_the_last_call_is_taken_later(crew: Crew) -> None:
    """To carry the tape takes longer than to mend a call."""
    crew.say(*AGREED)
    crew.gap_s = 8.0
    crew.say("r: forty five")
    assert (crew.questions, crew.state.parts.whole) == ([], 4500)


def test_a_lone_mark_after_the_callers_name_is_asked_too(crew: Crew) -> None:
    """A sentence was heard as "head six"."""
    crew.hear("h: head six 0.7")
    assert (crew.state.parts.is_empty, len(crew.questions)) == (True, 1)


@pytest.mark.parametrize("said", ["five", "one", "ten", "eight"])
def test_a_mark_that_sounds_as_talk_must_be_surer(crew: Crew, said: str) -> None:
    """Fine, plumb, pin and wait were heard so at up to 0.99; nine never was."""
    crew.hear(f"r: {said} 0.99")
    assert (crew.state.parts.is_empty, len(crew.questions)) == (True, 1)
    crew.hear(f"r: {said} 0.99")
    assert not crew.state.parts.is_empty
