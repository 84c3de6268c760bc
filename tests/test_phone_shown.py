"""What the page shows: what the panel shows, the open decision first, and booked pulls whole."""

from __future__ import annotations

from dataclasses import replace

import pytest

from calllog.phone.shown import Card, Shown, card, shown
from calllog.resources import read_grammar
from calllog.server.messages import Does
from calllog.session import Replay
from calllog.spoken import Parser
from calllog.values import Call, Choice, Decision, Kind, LineSettings, Outcome, ReadingUnit, Style
from calllog.wording import ENGLISH
from tests.crew import Crew, settings
from tests.panel import AGREED, MICROPHONES, STOPPED, replayed, text_of

FINE = {
    ReadingUnit.FINE_FOOT: ("en-us-feet", "forty two five", ".425", "15.425"),
    ReadingUnit.METRE: ("en-metric", "forty two", ".42", "15.42"),
    ReadingUnit.FINE_METRE: ("en-metric", "four two six", ".426", "15.426"),
}
"""Units other than hundredths of a foot: grammar, a part as it is said, it and a length."""


def page(*said: str, line: LineSettings | None = None) -> Shown:
    """Show a job after a crew has said something."""
    return seen(replayed(*said, line=line))


def seen(replay: Replay) -> Shown:
    """Show a job."""
    return shown(text_of(replay, {}), replay)


def cards(replay: Replay) -> list[Card]:
    """Show the booked pulls of a job."""
    pairs = zip(replay.segments, [None, *replay.segments], strict=False)
    return [card(segment, before, replay.calls) for segment, before in pairs]


def test_observations_stand_in_figures_as_they_are_heard() -> None:
    """Take and check grow with each part, and say what they were made of."""
    assert page().take.figures == ""
    assert page(*AGREED[:1]).take.figures == "33 + .__"
    whole = page(*AGREED[:2]).take
    assert (whole.figures, whole.made_of) == ("33.87", "33 + .87")
    stopped = page(*STOPPED)
    assert (stopped.take.figures, stopped.check.figures) == ("33.87", "32.87")


def test_stop_offers_what_each_choice_keeps() -> None:
    """Three ways out with their lengths; without a stop there is nothing to choose."""
    choices = page(*STOPPED).choices
    assert [(each.does, each.keeps) for each in choices] == [
        (Does.FIRST, "33.87"),
        (Does.CHECK, "32.87"),
        (Does.AGAIN, ""),
    ]
    assert page(*AGREED).choices == ()
    assert page(*AGREED).sign == "AGREES"


def test_repetition_that_differs_offers_the_parts() -> None:
    """A stop without a check keeps what was said first or second, and shows no check."""
    for said, kept in (
        (("r: thirty three", "r: thirty four"), ("33", "34")),
        ((*AGREED[:2], "h: eighty six"), (".87", ".86")),
        ((*AGREED[:4], "r: eighty seven point", "h: thirty four"), ("33", "34")),
    ):
        stopped = page(*said)
        assert [each.label for each in stopped.choices[:2]] == ["Keep first", "Keep later"]
        assert tuple(each.keeps for each in stopped.choices[:2]) == kept, said
    assert page(*AGREED[:2], "h: eighty six").check.figures == ""
    full = page("u: fifteen point four two", "u: sixteen point four two", line=settings(Style.FULL))
    assert [each.keeps for each in full.choices] == ["15.42", "16.42", ""]


def test_chief_is_asked_though_the_crew_went_on() -> None:
    """Calls held behind the stop do not send the chief to another command."""
    gone_on = page(*STOPPED, "r: fifteen", "h: forty two", "h: switch ends")
    assert gone_on.held == 3
    assert gone_on.expected == "a decision of the chief"
    assert len(gone_on.choices) == 3


def test_what_cannot_be_done_is_not_offered() -> None:
    """Scratch says what it strikes and is empty without a number; a finished line takes none."""
    assert (page().scratch, page().can_repeat) == ("", False)
    assert page(*AGREED[:1]).scratch == "strikes the last number"
    assert page(*AGREED).scratch == "strikes the last number, opens pull 1 again"
    assert page(*AGREED[:2]).can_repeat
    assert page(*AGREED, "h: line finished").values == ()
    assert [each.name for each in page(line=settings(Style.FULL)).values] == ["reading"]


def test_value_is_said_to_count_for_take_or_check() -> None:
    """Before switching ends a value changes the take, after it the check."""
    assert page(*AGREED[:2]).counts_for == "first"
    assert page(*AGREED[:4]).counts_for == "check"
    assert page(*STOPPED).counts_for == "check"


def test_calls_stand_newest_first_without_talk() -> None:
    """The last call is on top with its number; talk is none, a struck one is said to be."""
    calls = page("r: fifteen", "h: wait a minute", "h: forty two", "h: strike that").calls
    assert [(each.words, each.figures, each.standing) for each in calls] == [
        ("strike that", "", ""),
        ("forty two", ".42", "struck"),
        ("fifteen", "15", ""),
    ]
    assert calls[-1].number == 1
    assert calls[-1].sure == "100%"


def test_typed_commands_are_spelt_out() -> None:
    """A chief need not know the keys: plus is "switch ends"."""
    view = text_of(replayed(*AGREED[:2]), {})
    keyed = replace(view.calls[0], words="+", is_keyed=True)
    view = replace(view, calls=(keyed, replace(keyed, words="-"), replace(keyed, words="33.")))
    words = [each.words for each in shown(view, replayed(*AGREED[:2])).calls]
    assert words == ["33.", "strike the last call", "switch ends"]


def test_microphones_warn_and_their_levels_change_nothing() -> None:
    """A warning is shown; a level, which changes eight times a second, makes no new state."""
    replay = replayed()
    heard = text_of(replay, {}, microphones=MICROPHONES)
    head, rear = MICROPHONES
    louder = text_of(replay, {}, microphones=(replace(head, level_dbfs=-9.0), rear))
    assert shown(heard, replay) == shown(louder, replay)
    assert "rear: clipping: hold it further away" in shown(heard, replay).notices


def test_code_is_not_shown_on_a_phone() -> None:
    """What lets another phone in stands on the logger's screen alone."""
    replay = replayed()
    view = text_of(replay, {}, phones="code 1234 5678", invitation=("1234",))
    assert "1234" not in repr(shown(view, replay))


def test_booked_pull_has_all_its_calls() -> None:
    """Each pull has the calls since the one before, those that were struck among them."""
    again = ("h: strike that", "h: eighty eight", "h: strike that", "h: eighty seven")
    replay = replayed(*AGREED[:2], *again, *AGREED[2:], *AGREED)
    first, second = cards(replay)
    assert (first.pull, first.length, first.take, first.check) == (1, "33.87", "33.87", "33.87")
    assert first.booking == "first and check agree, difference 0.00"
    assert first.line == "A to B"
    assert [each.number for each in first.calls] == list(range(1, 10))
    struck = [each.words for each in first.calls if each.standing == "struck"]
    assert struck == ["eighty seven", "eighty eight"]
    assert [each.number for each in second.calls] == list(range(10, 15))


def test_booked_pull_tells_who_kept_what() -> None:
    """A decision stands with its sender, what was measured again stays legible."""
    replay = replayed(*STOPPED)
    replay.record(Decision(pull=1, choice=Choice.CHECK, by="Anna"))
    (kept,) = cards(replay)
    assert kept.booking == "check kept by Anna, difference -1.00"
    assert kept.length == "32.87"
    assert "one foot apart" in kept.findings[0]
    again = cards(replayed(*STOPPED, "h: measure again", *AGREED))[0]
    assert again.struck == ("33.87", "32.87")


def test_asked_and_written_are_named() -> None:
    """A call asked again and a written remark are told from numbers that stand."""
    replay = replayed("r: fifteen", "r: seven point", *AGREED[:0])
    remark = replay.calls[0].model_copy(
        update={
            "number": len(replay.calls) + 1,
            "kind": Kind.REMARK,
            "outcome": Outcome.IGNORED,
            "text": "wet",
            "value": None,
        }
    )
    replay.record(Call.model_validate(remark.model_dump()))
    newest = seen(replay).calls[0]
    assert (newest.words, newest.standing) == ("remark: wet", "")


def measured(unit: ReadingUnit, *said: str) -> Replay:
    """Feed a crew on an add tape of 30 that is read in a unit."""
    grammar = read_grammar(FINE[unit][0]).reading(unit)
    rules = settings(unit=unit, nominal=30, limit=31 * unit.counts - 1)
    crew = Crew(Parser(grammar), rules).say(*said)
    job = Replay()
    job.begin_line(crew.line)
    for call in crew.heard:
        job.record(call)
    return job


@pytest.mark.parametrize("unit", FINE)
def test_lengths_have_the_figures_of_the_tape(unit: ReadingUnit) -> None:
    """Half hundredths, metres and millimetres: as it is read, never a hundredth of a foot."""
    _, part, shown_part, length = FINE[unit]
    said = ("r: fifteen", f"h: {part}", "h: switch ends", "h: fifteen", f"r: {part}")
    replay = measured(unit, *said)
    (booked,) = (
        card(each, None, replay.calls, words=ENGLISH.measured_in(unit)) for each in replay.segments
    )
    assert (booked.length, booked.take, booked.check) == (length, length, length)
    assert [each.figures for each in booked.calls if each.figures] == ["15", shown_part] * 2
    now = shown(text_of(replay, {}), replay)
    assert (now.total, now.symbol) == (length, unit.symbol)
    stopped = measured(unit, *said[:3], "h: sixteen", said[4])
    choices = shown(text_of(stopped, {}), stopped).choices
    assert [each.keeps for each in choices] == [length, length.replace("15", "16"), ""]
    differs = measured(unit, *said[:2], "r: sixteen")
    choices = shown(text_of(differs, {}), differs).choices
    assert [each.keeps for each in choices] == ["15", "16", ""]


@pytest.mark.parametrize(
    ("unit", "typed"),
    [
        (ReadingUnit.FOOT, [("Foot", ()), ("Hundredths", (2,)), ("Reading", (2,))]),
        (ReadingUnit.FINE_FOOT, [("Foot", ()), ("Hundredths", (2, 3)), ("Reading", (2, 3))]),
        (ReadingUnit.METRE, [("Meter", ()), ("Centimeters", (2,)), ("Reading", (2,))]),
        (ReadingUnit.FINE_METRE, [("Meter", ()), ("Millimeters", (3,)), ("Reading", (3,))]),
    ],
)
def test_as_many_digits_may_be_typed_as_the_tape_has(
    unit: ReadingUnit, typed: list[tuple[str, tuple[int, ...]]]
) -> None:
    """The page's keys ask for neither more nor fewer."""
    values = page(line=settings(unit=unit)).values
    assert [(each.label, each.places) for each in values] == typed
