"""Notes and remarks beside a line: what cannot be on it, which utterance is a remark, of what."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from calllog.lines import awaits_remark, awaits_typed_remark, beyond_line, noted_before
from calllog.spoken import Parser
from calllog.values import Call, OffsetNote, Side
from calllog.wording import ENGLISH
from tests.crew import Crew

NOTE = "h: station zero plus fifty left ten"


def at(station: int) -> OffsetNote:
    """State a note at a station [hundredths of a foot]."""
    return OffsetNote(station=station, side=Side.LEFT, offset=0)


@pytest.mark.parametrize(
    ("station", "words"),
    [
        (0, ""),
        (41_240, ""),
        (41_300, "station 4+13 lies beyond this line, taped to 3+12.40"),
        (92_500, "station 9+25 lies beyond this line, taped to 3+12.40"),
    ],
)
def test_station_lies_within_one_tape_of_what_is_taped(station: int, words: str) -> None:
    """One tape length beyond what is booked may be in hand; more cannot be."""
    assert ENGLISH.say(beyond_line(at(station), 31_240, 10_000)) == words


def said(parser: Parser, *spoken: str) -> list[Call]:
    """Say calls 3 s apart, each 1 s long."""
    return Crew(parser).say(*spoken).heard


@pytest.mark.parametrize(
    ("spoken", "source", "start_s", "is_remark"),
    [
        (("h: remark follows",), "paper#1", 3.0, True),
        (("h: remark follows",), "paper#1", 11.0, True),
        (("h: remark follows",), "paper#1", 11.5, False),
        (("h: remark follows",), "paper#1", 0.5, False),
        (("h: remark follows",), "paper#0", 3.0, False),
        (("h: remark follows", "h: fifteen"), "paper#1", 6.0, False),
        (("h: fifteen",), "paper#1", 3.0, False),
        ((), "paper#1", 3.0, False),
    ],
)
def test_next_utterance_of_the_channel_is_the_remark(
    parser: Parser, spoken: tuple[str, ...], source: str, start_s: float, *, is_remark: bool
) -> None:
    """Only the next one, of that microphone, soon after: a call later on must not be lost."""
    assert awaits_remark(said(parser, *spoken), source, start_s) is is_remark


class Day(list[Call]):
    """Calls that count how many of them are looked at."""

    looked_at = 0

    def __reversed__(self) -> Iterator[Call]:
        for call in super().__reversed__():
            self.looked_at += 1
            yield call


def test_long_day_is_not_looked_through_for_each_utterance(parser: Parser) -> None:
    """With thousands of calls of others, asking whether a remark is awaited takes no longer."""
    day = Day(said(parser, "h: fifteen") * 5000)
    assert not awaits_remark(day, "paper#1", 3.0)
    assert not awaits_typed_remark(day, "keys#0", 3.0)
    assert day.looked_at < 200


def test_command_not_taken_makes_no_remark(parser: Parser) -> None:
    """A command that is asked again swallows nothing."""
    (call,) = said(parser, "h: remark follows")
    asked = call.model_copy(update={"outcome": "ask"})
    assert not awaits_remark([asked], "paper#0", 3.0)


@pytest.mark.parametrize(
    ("spoken", "noted"),
    [
        ((NOTE, "h: remark follows"), 1),
        (("h: fifteen", NOTE, "h: remark follows"), 2),
        ((NOTE, "h: fifteen", "h: remark follows"), None),
        (("h: remark follows",), None),
    ],
)
def test_remark_right_after_a_note_names_it(
    parser: Parser, spoken: tuple[str, ...], noted: int | None
) -> None:
    """Nothing but the command may lie between the note and its remark."""
    *before, remark = Crew(parser).say(*spoken).remark("h").heard
    assert noted_before(before, remark) == noted
