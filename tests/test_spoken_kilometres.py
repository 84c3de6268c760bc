"""Notes beside a metric line: kilometres before the plus, three digits of metres after it."""

from __future__ import annotations

import pytest

from calllog.keypad import KeyedEntry
from calllog.keypad.strokes import ENTER, Mistyped, Refused, press
from calllog.resources import read_grammar
from calllog.spoken import Meaning, Parser, Rejection, Why, note_forms
from calllog.spoken.compile import parts
from calllog.spoken.expression import Sequence, phrases
from calllog.spoken.figures import three_figures
from calllog.spoken.grammar import SaidKind
from calllog.values import Expectation, Kind, OffsetNote, ReadingUnit, Side
from calllog.wording import ENGLISH

METRE = ReadingUnit.METRE
LIMIT = 3000


@pytest.fixture(scope="module", params=["en-metric", "es-metric"])
def language(request: pytest.FixtureRequest) -> str:
    """Name each metric grammar."""
    return str(request.param)


@pytest.mark.parametrize(
    ("said", "station"),
    [
        # Common practice, no published source: kilometres, plus, three digits.
        ("station one plus two three four right eighteen point four", 123_400),
        ("station one plus two thirty four right eighteen point four", 123_400),
        ("station one plus two hundred and thirty four right eighteen point four", 123_400),
        ("station zero plus oh two five right eighteen point four", 2_500),
        ("station zero plus oh twenty five right eighteen point four", 2_500),
        ("station zero plus zero zero zero right eighteen point four", 0),
        ("station twelve plus nine hundred right eighteen point four", 1_290_000),
        ("station twelve plus one oh five right eighteen point four", 1_210_500),
        ("station zero plus one hundred right eighteen point four", 10_000),
    ],
)
def test_metric_notes_have_kilometres(said: str, station: int) -> None:
    """A note said as the trade says it has its values, whatever call is expected."""
    parser = Parser(read_grammar("en-metric"))
    wanted = OffsetNote(station=station, side=Side.RIGHT, offset=1_840)
    for expects in Expectation:
        assert parser.parse(said, expects, LIMIT) == Meaning(Kind.NOTE, note=wanted)


@pytest.mark.parametrize("after", ["twenty five", "five", "two five", "fifty"])
def test_fewer_digits_are_asked(after: str) -> None:
    """Two may be those of a station by hundreds, or one that was not heard: never guessed."""
    said = f"station one plus {after} right eighteen point four"
    found = Parser(read_grammar("en-metric")).parse(said, Expectation.ANY, LIMIT)
    assert isinstance(found, Rejection)
    assert found.why is Why.WRONG_PART
    words = ENGLISH.measured_in(METRE)
    assert words.say(found.reason) == 'after "plus" come three digits'


def test_every_metre_can_be_said_and_parses_back(language: str) -> None:
    """Each metre of the kilometre has spoken forms; each parses back to it."""
    grammar = read_grammar(language)
    parser = Parser(grammar)
    for metres in range(1000):
        wanted = OffsetNote(station=100_000 + 100 * metres, side=Side.LEFT, offset=0)
        forms = note_forms(grammar, wanted)
        assert forms, metres
        for phrase in forms[:: max(1, len(forms) // 4)]:
            assert parser.parse(phrase, Expectation.ANY, LIMIT) == Meaning(Kind.NOTE, note=wanted)


def test_grammar_says_what_the_parser_knows(language: str) -> None:
    """Table and tree of the three figures have the same phrases."""
    figures = three_figures(read_grammar(language))
    assert sorted(phrases(figures.tree)) == sorted(figures.said)
    assert set(figures.said.values()) == set(range(1000))
    (note,) = parts(read_grammar(language), Expectation.ANY, (SaidKind.NOTE,)).values()
    assert isinstance(note, Sequence)
    assert figures.tree in note.parts


def typed(keys: str) -> object:
    """Type keys and Enter on a metric tape: what the last one made."""
    so_far = ""
    made: object = None
    for key in (*keys, ENTER):
        so_far, made = press(so_far, key, Expectation.ANY, LIMIT, METRE)
    return made


def test_typed_notes_have_kilometres() -> None:
    """1+234/18.4 is 1234 m, 18.4 to the right; tenths of a metre may follow."""
    found = typed("1+234/18.4")
    assert isinstance(found, KeyedEntry)
    assert found.note == (123_400, "right", 1_840)
    found = typed("0+025.5-3")
    assert isinstance(found, KeyedEntry)
    assert found.note == (2_550, "left", 300)


def test_typed_hundreds_are_refused() -> None:
    """Two digits after the plus are spoilt by the side, and told what belongs there."""
    so_far, made = press("1+25", "/", Expectation.ANY, LIMIT, METRE)
    assert isinstance(made, Mistyped)
    _, made = press(so_far, ENTER, Expectation.ANY, LIMIT, METRE)
    assert isinstance(made, Refused)
    assert "type it like 1+234/18.4" in ENGLISH.measured_in(METRE).say(made.reason)
