"""Orders of the chief: what each does, and that it is only taken on what its sender saw."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import settings as settings_of_hypothesis
from hypothesis import strategies as st
from pydantic import ValidationError

from calllog.errors import JournalError
from calllog.keypad import KeyedEntry, press
from calllog.keypad.strokes import ENTER
from calllog.pairing import Phase
from calllog.phone.orders import Deed, RemarkOrder, judge, last_order, stands
from calllog.server.messages import Does, Order
from calllog.session import PHONE, Replay
from calllog.values import (
    Call,
    Choice,
    Conditions,
    Decision,
    Expectation,
    Kind,
    ReadingUnit,
    Style,
)
from tests.crew import made_call, settings
from tests.panel import AGREED, STOPPED, replayed
from tests.phone import ANNA, ordered

REPEATED = ("r: thirty three", "r: thirty four")
"""A repetition that differs: a stop without a check."""


def typed(entry: KeyedEntry, name: str = ANNA) -> Call:
    """Make a call of an entry as the session does."""
    return made_call(
        99,
        entry.kind or Kind.NOTE,
        900.0,
        source=f"live-1#{PHONE}{name}",
        text=entry.text,
        value=entry.value,
        name=entry.name,
        amount=entry.amount,
        is_live=True,
        is_keyed=True,
    )


def judged(replay: Replay, does: Does, text: str = "", on: str | None = None) -> Deed | str:
    """Judge an order on a job."""
    order = ordered(replay, does, text, on=on).order
    return judge(replay, order, Expectation.ANY, typed, by=ANNA)


@pytest.mark.parametrize(
    ("does", "choice"),
    [(Does.FIRST, Choice.FIRST), (Does.CHECK, Choice.CHECK), (Does.AGAIN, Choice.AGAIN)],
)
@pytest.mark.parametrize("said", [STOPPED, REPEATED])
def test_stop_is_decided_in_the_senders_name(
    does: Does, choice: Choice, said: tuple[str, ...]
) -> None:
    """Each of the three ways out of a stop is a decision by the phone that ordered it."""
    assert judged(replayed(*said), does) == Decision(pull=1, choice=choice, by=ANNA)


def test_stop_is_decided_after_the_crew_has_gone_on() -> None:
    """Calls held behind the stop do not keep the chief from deciding it."""
    replay = replayed(*STOPPED, "r: fifteen", "h: forty two", "h: switch ends")
    assert replay.state is not None
    assert len(replay.state.held) == 3
    assert isinstance(judged(replay, Does.FIRST), Decision)
    assert judged(replay, Does.SCRATCH) == (
        "not taken: pull 1 waits for a decision, 3 calls held: keep first, keep check or measure"
        " again"
    )


def test_nothing_is_decided_where_nothing_stopped() -> None:
    """Without a stop there is no first to keep; the words say where the pull stands."""
    words = judged(replayed(*AGREED[:3]), Does.FIRST)
    assert words == "not taken: pull 1 waits for the check; there is nothing to decide"


@pytest.mark.parametrize(
    ("does", "text", "kind", "name", "value"),
    [
        (Does.SCRATCH, "", Kind.COMMAND, "scratch", None),
        (Does.AGAIN, "", Kind.COMMAND, "again", None),
        (Does.VALUE, "34.", Kind.WHOLE, "", 3400),
        (Does.VALUE, ".05", Kind.FRACTION, "", 5),
        (Does.VALUE, "34.05", Kind.READING, "", 3405),
        (Does.CONDITION, "1*-5", Kind.CONDITION, "temperature", None),
        (Does.CONDITION, "5*1.25", Kind.CONDITION, "rise", None),
    ],
)
def test_order_enters_what_a_keypad_would(
    does: Does, text: str, kind: Kind, name: str, value: int | None
) -> None:
    """The key language of the keypad is the only one; nothing is read in another way."""
    deed = judged(replayed(*AGREED[:2]), does, text)
    assert isinstance(deed, KeyedEntry), deed
    assert (deed.kind, deed.name, deed.value) == (kind, name, value)
    typed_so_far = ""
    for key in f"{deed.text}{ENTER}":
        typed_so_far, pressed = press(typed_so_far, key, Expectation.ANY, 10_000)
    assert pressed == deed


@pytest.mark.parametrize(
    ("does", "text", "said"),
    [
        (Does.VALUE, "5", "that is no value"),
        (Does.VALUE, "1*68", "that is no value"),
        (Does.VALUE, ".5", "that is no value"),
        (Does.VALUE, "34.05\n+", "that is no value"),
        (Does.VALUE, "999.", "999 is beyond"),
        (Does.CONDITION, "34.", "that states no condition"),
        (Does.CONDITION, "7*2", "that states no condition"),
        (Does.CONDITION, "1*999", "temperature cannot be 999"),
        (Does.REMARK, "  ", "write the remark in plain words"),
        (Does.REMARK, "a\u202eb", "write the remark in plain words"),
    ],
)
def test_what_means_nothing_is_refused(does: Does, text: str, said: str) -> None:
    """A value that may be another, a command in a value's place, hidden signs: not taken."""
    words = judged(replayed(*AGREED[:2]), does, text)
    assert isinstance(words, str)
    assert words.startswith(f"not taken: {said}")


@pytest.mark.parametrize(
    ("unit", "text", "kind", "value"),
    [
        (ReadingUnit.FINE_FOOT, ".425", Kind.FRACTION, 85),
        (ReadingUnit.FINE_FOOT, "34.42", Kind.READING, 6_884),
        (ReadingUnit.FINE_FOOT, "34.425", Kind.READING, 6_885),
        (ReadingUnit.METRE, "34.42", Kind.READING, 3_442),
        (ReadingUnit.FINE_METRE, ".005", Kind.FRACTION, 5),
        (ReadingUnit.FINE_METRE, "34.425", Kind.READING, 34_425),
    ],
)
def test_value_is_typed_as_finely_as_the_tape_is_read(
    unit: ReadingUnit, text: str, kind: Kind, value: int
) -> None:
    """0.005 ft, centimetres and millimetres."""
    replay = replayed(line=settings(unit=unit, limit=100 * unit.counts))
    deed = judged(replay, Does.VALUE, text)
    assert isinstance(deed, KeyedEntry), deed
    assert (deed.kind, deed.value) == (kind, value)


@pytest.mark.parametrize(
    ("unit", "text", "said"),
    [
        (ReadingUnit.FOOT, ".425", "425 is not two digits"),
        (ReadingUnit.FINE_FOOT, ".423", ""),
        (ReadingUnit.FINE_METRE, ".42", ""),
    ],
)
def test_value_between_two_marks_of_the_tape_is_refused(
    unit: ReadingUnit, text: str, said: str
) -> None:
    """In the keypad's words."""
    replay = replayed(line=settings(unit=unit, limit=100 * unit.counts))
    words = judged(replay, Does.VALUE, text)
    assert isinstance(words, str)
    assert words.startswith("not taken: ")
    assert said in words or unit is ReadingUnit.FOOT


def test_remark_keeps_its_words() -> None:
    """A remark is written as it stands, blanks put together."""
    assert judged(replayed(), Does.REMARK, " wet \n tape ") == RemarkOrder("wet tape")


def test_scratch_with_nothing_to_strike_is_refused() -> None:
    """An order that would do nothing is not taken, and the machine's own words say why."""
    words = judged(replayed(), Does.SCRATCH)
    assert words == "not taken: there is no call to strike"


@pytest.mark.parametrize("does", [Does.FIRST, Does.AGAIN, Does.SCRATCH, Does.VALUE])
def test_order_on_a_pull_that_moved_is_refused(does: Does) -> None:
    """What was ordered while another question stood is never taken on this one."""
    before = stands(replayed(*STOPPED)).question
    replay = replayed(*STOPPED)
    replay.record(Decision(pull=1, choice=Choice.CHECK, by="Bo"))
    words = judged(replay, does, "33.", on=before)
    assert words == "not taken: pull 1 was decided meanwhile, the check was kept by Bo"


def test_every_number_changes_the_question() -> None:
    """Each call that counts, and striking it, makes another question; talk makes none."""
    seen = [stands(replayed(*AGREED[:length])).question for length in range(len(AGREED) + 1)]
    assert len(set(seen)) == len(seen)
    assert stands(replayed(*AGREED[:2], "h: wait a minute")).question == seen[2]
    assert stands(replayed(*AGREED[:2], "h: strike that")).question == seen[1]


def test_condition_and_remark_do_not_wait_for_the_pull() -> None:
    """Conditions are stated on conditions, remarks on the pull: calls meanwhile do no harm."""
    before = stands(replayed(*AGREED[:1]))
    now = replayed(*AGREED[:2])
    assert isinstance(judged(now, Does.CONDITION, "1*68", on=before.conditions), KeyedEntry)
    assert isinstance(judged(now, Does.REMARK, "wet", on=before.pull), RemarkOrder)
    now.record(Conditions(tension_lb=12.0))
    assert judged(now, Does.CONDITION, "1*68", on=before.conditions) == (
        "not taken: the conditions have changed meanwhile"
    )
    booked = replayed(*AGREED)
    words = judged(booked, Does.REMARK, "wet", on=before.pull)
    assert words == "not taken: the work has gone on meanwhile; pull 2 waits for the first"


def test_typed_part_settles_voices_that_differ() -> None:
    """Where a repetition differs, the chief may type the part instead of choosing a voice."""
    deed = judged(replayed(*REPEATED), Does.VALUE, "34.")
    assert isinstance(deed, KeyedEntry)


def test_full_tape_takes_readings_alone() -> None:
    """On a tape read at one end a whole foot is refused, in the machine's words."""
    replay = replayed(line=settings(Style.FULL))
    order = ordered(replay, Does.VALUE, "15.42").order
    deed = judge(replay, order, Expectation.READING, typed, by=ANNA)
    assert isinstance(deed, KeyedEntry)


def test_last_order_is_told_with_its_sender() -> None:
    """The other phones see who decided what."""
    replay = replayed(*STOPPED)
    assert last_order(replay) == ""
    replay.record(Decision(pull=1, choice=Choice.FIRST, by=ANNA))
    assert last_order(replay) == "Pull 1: the first was kept by Anna (k7f3)"
    replay.record(typed(KeyedEntry("33.", Kind.WHOLE, 3300), "Bo"))
    assert last_order(replay) == "33. by Bo"
    assert replay.state is not None
    assert replay.state.phase is Phase.OPEN


@given(
    st.sampled_from(list(Does)),
    st.one_of(
        st.text(max_size=12),
        st.from_regex(r"[0-9.*+/-]{0,8}", fullmatch=True),
        st.from_regex(r"[1-6]\*-?[0-9]{1,3}(\.[0-9]{2})?", fullmatch=True),
    ),
    st.sampled_from([(), AGREED[:1], AGREED[:2], AGREED[:4], AGREED, STOPPED, REPEATED]),
    st.sampled_from(list(Expectation)),
)
@settings_of_hypothesis(max_examples=300, deadline=None)
def test_no_order_is_a_fault(
    does: Does, text: str, said: tuple[str, ...], expects: Expectation
) -> None:
    """Whatever a phone sends, it is a deed that the machine takes, or words; never an error."""
    replay = replayed(*said)
    deed = judge(replay, ordered(replay, does, text).order, expects, typed, by=ANNA)
    assert isinstance(deed, str | Decision | KeyedEntry | RemarkOrder)
    if isinstance(deed, KeyedEntry):
        replay.record(typed(deed))
    elif isinstance(deed, Decision):
        replay.record(deed)


@pytest.mark.parametrize(
    "changes",
    [
        {"id": "short"},
        {"id": "G" * 32},
        {"does": "erase"},
        {"text": "x" * 201},
        {"on": "x" * 65},
        {"by": "somebody else"},
    ],
)
def test_order_is_held_to_its_form(changes: dict[str, str]) -> None:
    """A phone can send nothing but an order, and cannot say that it is another phone."""
    sound = {"id": "0" * 32, "does": "first", "on": "x", "text": ""}
    assert Order.model_validate(sound).does is Does.FIRST
    with pytest.raises(ValidationError):
        Order.model_validate(sound | changes)


def test_orders_need_a_line() -> None:
    """Without a line there is nothing to order about: the caller's fault."""
    with pytest.raises(JournalError, match="no line has been begun"):
        stands(Replay())
