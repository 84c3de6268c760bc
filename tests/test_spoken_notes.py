"""Station and offset notes as they are said: every slot of them, and what is asked again."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calllog.spoken import (
    Grammar,
    Meaning,
    Parser,
    Rejection,
    SaidKind,
    Why,
    note_forms,
)
from calllog.spoken.compile import parts
from calllog.spoken.expression import Sequence
from calllog.values import Expectation, Kind, OffsetNote, Side
from calllog.wording import ENGLISH
from tests.torture.phrases import by_slot

LIMIT = 10_000


def parsed(parser: Parser, said: str) -> Meaning | Rejection:
    """Parse under one expectation; the note must not depend on it."""
    return parser.parse(said, Expectation.WHOLE, LIMIT)


def note(station: int, offset: int, side: Side = Side.RIGHT) -> OffsetNote:
    """State a note, all in hundredths of a foot."""
    return OffsetNote(station=station, side=side, offset=offset)


@pytest.mark.parametrize(
    ("said", "station", "side", "offset"),
    [
        # Common practice, no published source: stations by hundreds, offsets to tenths.
        ("station one plus twenty five right eighteen point four", 12_500, Side.RIGHT, 1840),
        ("station zero plus fifty left eighteen", 5000, Side.LEFT, 1800),
        ("station twelve plus oh five right eighteen point forty two", 120_500, Side.RIGHT, 1842),
        ("Station twelve plus oh five right eighteen point four two", 120_500, Side.RIGHT, 1842),
        ("station one two plus zero zero left point four", 120_000, Side.LEFT, 40),
        ("station one plus oh five left point four two", 10_500, Side.LEFT, 42),
        ("station one plus oh five left zero point oh four", 10_500, Side.LEFT, 4),
        ("station ninety nine plus ninety-nine left a hundred", 999_900, Side.LEFT, 10_000),
        ("station niner plus one niner right one hundred", 91_900, Side.RIGHT, 10_000),
    ],
)
def test_notes_mean_their_station_side_and_offset(
    parser: Parser, said: str, station: int, side: Side, offset: int
) -> None:
    """A note said as the trade says it has its values, whatever call is expected."""
    for expects in Expectation:
        found = parser.parse(said, expects, LIMIT)
        assert found == Meaning(Kind.NOTE, note=note(station, offset, side))


@pytest.mark.parametrize(
    ("said", "why", "word", "reason"),
    [
        ("station", Why.WRONG_PART, None, 'a station is hundreds, "plus" and two digits'),
        ("station one left", Why.WRONG_PART, None, 'a station is hundreds, "plus" and two digits'),
        (
            "station one hundred plus fifty left ten",
            Why.WRONG_PART,
            "one",
            'before "plus" comes a number from 0 to 99',
        ),
        (
            "station plus fifty left ten",
            Why.WRONG_PART,
            "plus",
            'before "plus" comes a number from 0 to 99',
        ),
        (
            "station one plus twenty five",
            Why.WRONG_PART,
            None,
            "after the station comes left or right",
        ),
        (
            "station one plus five left ten",
            Why.SINGLE_DIGIT,
            "five",
            "plus five may be 05 or 50; say both digits",
        ),
        (
            "station one plus one hundred left ten",
            Why.WRONG_PART,
            "one",
            'after "plus" come two digits',
        ),
        (
            "station one plus fifty left",
            Why.WRONG_PART,
            None,
            "after left come feet, or feet, point and tenths",
        ),
        (
            "station one plus fifty left eighteen forty two",
            Why.WRONG_PART,
            "eighteen",
            "after left come feet, or feet, point and tenths",
        ),
        (
            "station one plus fifty left eighteen point",
            Why.WRONG_PART,
            "eighteen",
            "after left come feet, or feet, point and tenths",
        ),
        (
            "station one plus fifty left zero zero point five",
            Why.WRONG_PART,
            "zero",
            "after left come feet, or feet, point and tenths",
        ),
        (
            "station one plus fifty left one hundred point one",
            Why.OFF_TAPE,
            "one",
            "an offset goes up to 100 ft",
        ),
    ],
)
def test_what_is_not_whole_is_asked_again(
    parser: Parser, said: str, why: Why, word: str | None, reason: str
) -> None:
    """Never guessed: the word that fails is named, in words fit to be spoken."""
    found = parsed(parser, said)
    assert isinstance(found, Rejection)
    assert (found.why, ENGLISH.say(found.reason)) == (why, reason)
    failing = found.words[found.index] if found.index < len(found.words) else None
    assert failing == word


L = Side.LEFT
STATIONS = [100 * feet for feet in (*range(1_000), *range(1_000, 10_000, 7))]
OFFSETS = range(10_001)
SOME_OFFSETS = (*OFFSETS[:1_000], *OFFSETS[1_000::7])


def test_stations_can_be_said_and_parses_back(grammar: Grammar, parser: Parser) -> None:
    """Stations from 0+00 to 99+99 have spoken forms; each parses back to it."""
    for station in STATIONS:
        wanted = note(station, 1840)
        forms = note_forms(grammar, wanted)
        assert forms, station
        for phrase in forms[:: max(1, len(forms) // 4)]:
            assert parsed(parser, phrase) == Meaning(Kind.NOTE, note=wanted), phrase


@pytest.mark.parametrize("side", Side)
def test_offsets_can_be_said_and_parse_back(grammar: Grammar, parser: Parser, side: Side) -> None:
    """Offsets from 0 to 100 ft, to the hundredth, on either side, parse back to them."""
    for offset in SOME_OFFSETS:
        wanted = note(0, offset, side)
        forms = note_forms(grammar, wanted)
        assert forms, offset
        for phrase in forms[:: max(1, len(forms) // 8)]:
            assert parsed(parser, phrase) == Meaning(Kind.NOTE, note=wanted), phrase


def test_spoken_forms_are_all_that_the_grammar_can_say(grammar: Grammar) -> None:
    """Slot by slot, the generator and the compiled grammar say the same, no more and no fewer."""
    tree = parts(grammar, Expectation.WHOLE)[SaidKind.NOTE]
    assert isinstance(tree, Sequence)
    compiled = list(by_slot(tree))
    slots = (
        ("station ", " plus ten left zero", [note(10_000 * n + 1000, 0, L) for n in range(100)]),
        ("station zero plus ", " left zero", [note(100 * n, 0, L) for n in range(100)]),
        ("station zero plus ten right zero", "", [note(1000, 0)]),
        ("station zero plus ten left ", "", [note(1000, n, L) for n in OFFSETS]),
    )
    said = {
        phrase
        for start, end, notes in slots
        for each in notes
        for phrase in note_forms(grammar, each)
        if phrase.startswith(start) and phrase.endswith(end) and "right zero " not in phrase
    }
    assert len(compiled) == len(set(compiled)) > 50_000
    assert said == set(compiled)


@pytest.mark.parametrize("offset", [-1, 10_001])
def test_what_cannot_be_said_has_no_form(grammar: Grammar, offset: int) -> None:
    """Beyond the offset's reach, and between feet of a station, there is nothing to say."""
    assert note_forms(grammar, note(0, offset)) == ()
    assert note_forms(grammar, note(12_550, 100)) == ()


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(STATIONS), st.sampled_from(list(Side)), st.integers(0, 10_000), st.data())
def test_any_combination_parses_back(
    grammar: Grammar, parser: Parser, station: int, side: Side, offset: int, data: st.DataObject
) -> None:
    """The slots do not disturb each other: any form of any note is that note."""
    wanted = note(station, offset, side)
    phrase = data.draw(st.sampled_from(note_forms(grammar, wanted)))
    assert parsed(parser, phrase) == Meaning(Kind.NOTE, note=wanted)
