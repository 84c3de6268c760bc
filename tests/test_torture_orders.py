"""Whatever is called, typed and decided, in any order: what is booked was said; and the umpire."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calllog.decoding import NEWEST
from calllog.pairing import EDITION, Phase, start, step
from calllog.spoken import Parser
from calllog.values import (
    Alternative,
    Booking,
    Call,
    CheckPolicy,
    Choice,
    Conditions,
    Consequence,
    Decision,
    Kind,
    LineSettings,
    Question,
    ReadingUnit,
    Segment,
    Style,
)
from calllog.wording import ENGLISH
from tests.crew import Crew, made_call
from tests.crew import settings as line
from tests.torture.orders import walk
from tests.torture.umpire import Fed, Umpire

SEEDS = st.integers(10**6, 10**9)
"""None that the long run tries."""
SAID = ("r: fifteen", "h: forty two", "h: switch ends", "h: fifteen", "r: forty two")


@settings(max_examples=60, deadline=None, database=None, derandomize=True)
@given(SEEDS)
def test_any_order_books_only_what_was_said(seed: int) -> None:
    """Calls late, twice or lost, keys, decisions, orders, other tapes and lines, a kill between."""
    walk(seed, is_weighed=False)


@settings(max_examples=6, deadline=None, database=None, derandomize=True)
@given(SEEDS)
def test_any_order_weighed_together_books_only_what_was_said(seed: int) -> None:
    """The same where all calls of a pull are weighed together and asked again by name."""
    walk(seed, is_weighed=True)


@settings(max_examples=30, deadline=None, database=None, derandomize=True)
@given(SEEDS)
def test_any_order_by_the_newest_edition_books_only_what_was_said(seed: int) -> None:
    """The same by the newest rules of pairing: no mark counts that was held in another pull."""
    walk(seed, is_weighed=seed % 4 == 0, edition=EDITION)


def test_a_reading_beyond_the_tape_over_a_stop_strikes_nothing() -> None:
    """Found by the long run: what was told to be struck stood, and was booked."""
    assert walk(20_602_164, is_weighed=False, edition=EDITION).fed


def test_a_check_beyond_the_marks_that_the_take_can_have_is_weighed() -> None:
    """Found by the long run: both were held at other marks, and the check was the longer."""
    assert walk(2_000_144, is_weighed=True, edition=EDITION).fed


def test_what_the_chief_decided_against_opens_no_pull() -> None:
    """A job that edition 1 booked wrong without a word: a call of one pull opened the next."""
    with pytest.raises(AssertionError, match="call 46 was for an earlier pull"):
        walk(15_079, is_weighed=False, edition=1)
    assert walk(15_079, is_weighed=False, edition=EDITION).fed


def _judged(
    parser: Parser,
    *spoken: str,
    settled: LineSettings | None = None,
    change: Callable[[Segment], Segment] = lambda each: each,
    leave_out: tuple[int, ...] = (),
) -> Umpire:
    """Let the umpire see a crew at work, with segments that were tampered with."""
    crew = Crew(parser, settled or line())
    umpire = Umpire(crew.line)
    umpire.events.append(Conditions())
    seen: list[Fed] = []
    for each in spoken:
        before = len(crew.followed)
        crew.say(each)
        follows: list[Consequence] = [
            change(one) if isinstance(one, Segment) else one for one in crew.followed[before:]
        ]
        call = crew.heard[-1]
        seen.append(call)
        if call.number not in leave_out:
            umpire.saw(call, follows, is_stopped=crew.state.phase is Phase.STOPPED)
    return umpire


def test_umpire_lets_a_fair_pull_pass(parser: Parser) -> None:
    """A pull that was said, checked and agrees is no reason to protest."""
    assert _judged(parser, *SAID).booked == 1


@pytest.mark.parametrize(
    ("changes", "protest"),
    [
        ({"booking": Booking.FIRST}, "no question stood"),
        ({"length_read_ft": 15.43}, "another length was booked"),
        ({"difference": 5}, "the two are 0 apart"),
        ({"check": None}, "the two are None apart"),
        ({"tape": "T-2"}, "T-2"),
    ],
)
def test_umpire_protests_against_another_booking(
    parser: Parser, changes: dict[str, object], protest: str
) -> None:
    """A segment that says what was not decided, or another length, is found."""
    with pytest.raises(AssertionError, match=protest):
        _judged(parser, *SAID, change=lambda each: each.model_copy(update=changes))


@pytest.mark.parametrize(
    ("observed", "protest"),
    [
        ({"fraction": 43, "length": 1543}, "nobody called fraction 43"),
        ({"whole": 1600, "length": 1642}, "nobody called whole 1600"),
        ({"calls": (1, 2, 9)}, "call 9 was never made"),
        ({"calls": (1,)}, "nobody called fraction"),
        ({"length": 1541}, "another length was read"),
        ({"hold": 100}, "nobody held 100"),
        ({"calls": (1, 2, 4, 5)}, "one call counts for take and check"),
    ],
)
def test_umpire_protests_against_an_observation_that_was_not_made(
    parser: Parser, observed: dict[str, object], protest: str
) -> None:
    """Each part needs its call, made for this pull."""
    with pytest.raises(AssertionError, match=protest):
        _judged(
            parser,
            *SAID,
            change=lambda each: each.model_copy(
                update={"take": each.take.model_copy(update=observed)}
            ),
        )


def test_umpire_protests_where_an_end_was_not_switched(parser: Parser) -> None:
    """A check counts only after switching ends."""
    with pytest.raises(AssertionError, match="ends were not switched"):
        _judged(parser, *SAID, leave_out=(3,))


def test_umpire_protests_against_what_was_called_for_an_earlier_pull(parser: Parser) -> None:
    """What was said before "measure again" counts no more."""
    umpire = _judged(parser, "r: fifteen", "h: forty two", "r: measure again")
    crew = Crew(parser).say("r: fifteen", "h: forty two", "h: next pull", *SAID[2:])
    (segment,) = crew.segments
    with pytest.raises(AssertionError, match="was for an earlier pull"):
        umpire.saw(crew.heard[3], [segment], is_stopped=False)


def test_umpire_protests_when_a_stop_is_walked_over(parser: Parser) -> None:
    """Without an answer a pull that stopped stays stopped."""
    umpire = _judged(parser, "r: fifteen", "r: fifty")
    call = Crew(parser).say("r: six", "r: six", "h: forty two").heard[-1]
    with pytest.raises(AssertionError, match="the work went on over a stop"):
        umpire.saw(call, [], is_stopped=False)


def test_umpire_protests_against_a_decision_on_nothing(parser: Parser) -> None:
    """A decision while nothing is in question may only be asked about."""
    umpire = _judged(parser, "r: fifteen")
    segment = Crew(parser).say(*SAID).segments[0]
    with pytest.raises(AssertionError):
        umpire.saw(Decision(pull=1, choice=Choice.FIRST, by="x"), [segment], is_stopped=False)


def test_scratching_does_not_ask_again_what_was_decided(parser: Parser) -> None:
    """A repetition that the chief decided stays decided when a later call is struck."""
    crew = Crew(parser).say("r: fifteen", "r: fifty").decide(Choice.CHECK)
    crew.say("h: forty two", "h: switch ends", "h: fifty", "h: strike that")
    assert crew.state.phase is Phase.CHECKING
    assert crew.state.take is not None
    assert (crew.state.take.length, crew.state.parts.is_empty) == (5_042, True)
    crew.say("h: fifty", "r: forty two", "r: strike that", "r: forty two")
    assert crew.lengths == [50.42, 50.42], "booked, opened again, booked"
    assert crew.findings == ["repeat-differs"], "asked once"
    before = Crew(parser).say("r: fifteen", "r: fifty").decide(Choice.FIRST).say("h: forty two")
    assert before.say("h: strike that", "h: four three").state.take is not None
    assert before.state.take is not None
    assert before.state.take.length == 1_543
    before.say("h: strike that", "r: strike that", "r: fifteen", "h: forty two")
    assert before.state.phase is Phase.TAKEN, "the struck repetition needs no decision"


@pytest.mark.parametrize("is_anew", [False, True])
def test_scratching_keeps_the_mark_that_was_held_when_each_was_called(is_anew: bool) -> None:  # noqa: FBT001 - a case
    """The take was read with nothing held; striking a call of the check cannot change it."""
    state = start(line(Style.FULL))
    held = _number(Kind.CONDITION, None, 1, name="hold", amount=1.0, alternatives=())
    events: tuple[Fed, ...] = (
        held,
        Conditions(),
        _number(Kind.READING, 1_542, 2),
        Conditions(hold=100) if is_anew else held.model_copy(update={"number": 3}),
        _number(Kind.COMMAND, None, 4, name="switch", alternatives=()),
        _number(Kind.READING, 1_742, 5),
        _number(Kind.COMMAND, None, 6, name="scratch", alternatives=()),
    )
    for event in events:
        state = step(state, event).state
    assert state.take is not None
    assert (state.take.hold, state.take.length, state.conditions.hold) == (0, 1_542, 100)
    (segment,) = step(state, _number(Kind.READING, 1_642, 7)).consequences
    assert isinstance(segment, Segment)
    assert segment.difference == 0


def test_scratching_does_not_bring_back_conditions(parser: Parser) -> None:
    """What was stated anew, as when the work is resumed, is not undone by a call struck later."""
    crew = Crew(parser).say("r: temperature fifty", "r: fifteen")
    crew.state = step(crew.state, Conditions(temperature_degf=68.0)).state
    crew.say("h: forty two", "h: strike that")
    assert crew.state.conditions.temperature_degf == 68.0


def _number(kind: Kind, value: int | None, number: int, **changes: object) -> Call:
    listed = (Alternative(text="said", kind=kind, value=value, probability=0.6),)
    made: dict[str, object] = {"value": value, "probability": 0.6, "alternatives": listed}
    return made_call(number, kind, float(number), is_live=True, **(made | changes))


@pytest.mark.parametrize("decoding", [0, NEWEST])
@pytest.mark.parametrize("policy", [CheckPolicy.REQUIRED, CheckPolicy.NONE])
def test_parts_beyond_the_tape_are_asked_again(decoding: int, policy: CheckPolicy) -> None:
    """Thirty, then .42, on a 30 m tape: no such mark. It was booked; weighed, it was a fault."""
    state = start(
        line(
            Style.FULL,
            nominal=30,
            limit=3_000,
            unit=ReadingUnit.METRE,
            decoding=decoding,
            policy=policy,
        )
    )
    state = step(state, _number(Kind.WHOLE, 3_000, 1)).state
    done = step(state, _number(Kind.FRACTION, 42, 2))
    (question,) = done.consequences
    assert isinstance(question, Question)
    assert (
        ENGLISH.measured_in(ReadingUnit.METRE).question(question)
        == "30.42 is beyond this 30 m tape; say both parts again"
    )
    assert done.state.phase is Phase.OPEN
    zero = step(state, _number(Kind.FRACTION, 0, 3)).state
    assert zero.phase is Phase.TAKEN


def test_whole_mark_beyond_the_tape_is_asked_again() -> None:
    """Seventy as a foot of a 50 ft tape is not taken, whoever lets it through."""
    state = start(line(Style.ADD, nominal=50, limit=5_099))
    (question,) = step(state, _number(Kind.NUMBER, 70, 1)).consequences
    assert isinstance(question, Question)
    assert ENGLISH.question(question) == "70.00 is beyond this 50 ft tape"


def test_position_that_is_none_is_asked_about() -> None:
    """A condition of a stranger's journal that names no position was a fault."""
    call = _number(Kind.CONDITION, None, 1, name="position", amount=9.0, alternatives=())
    (question,) = step(start(line()), call).consequences
    assert isinstance(question, Question)
    assert ENGLISH.question(question) == "that states no condition"
