"""What is said on a tape that is read to the millimetre or to 0.005 ft: three figures, or asked.

The forms are common practice, no published source.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from calllog.resources import read_grammar
from calllog.spoken import Grammar, Meaning, Parser, Rejection, Why
from calllog.spoken.compile import parts
from calllog.spoken.expression import Expression, phrases
from calllog.spoken.fine import fine_forms
from calllog.spoken.grammar import SaidKind
from calllog.spoken.numbers import number_forms
from calllog.values import Expectation, Kind, ReadingUnit
from calllog.wording import ENGLISH

FINE_FOOT, FINE_METRE = ReadingUnit.FINE_FOOT, ReadingUnit.FINE_METRE
METRES, FEET = 30_000, 20_000
"""Greatest readings of a tape of 30 m, and of one of 100 ft [least counts]."""
WHOLE, FRACTION, READING, ANY = (
    Expectation.WHOLE,
    Expectation.FRACTION,
    Expectation.READING,
    Expectation.ANY,
)


@pytest.fixture(scope="module")
def metres() -> Parser:
    """Read what a crew says whose tape is read to the millimetre."""
    return Parser(read_grammar("en-metric").reading(FINE_METRE))


@pytest.fixture(scope="module")
def feet() -> Parser:
    """Read what a crew says whose tape is read to 0.005 ft."""
    return Parser(read_grammar().reading(FINE_FOOT))


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("three four six", 346),
        ("three forty six", 346),
        ("point three four six", 346),
        ("oh oh five", 5),
        ("zero zero five", 5),
        ("oh forty six", 46),
        ("three oh six", 306),
        ("three hundred", 300),
        ("three hundred and forty six", 346),
        ("one zero zero", 100),
        ("zero zero zero", 0),
        ("nine nine niner", 999),
    ],
)
@pytest.mark.parametrize("expects", [FRACTION, ANY])
def test_millimetres_are_three_figures(
    metres: Parser, said: str, value: int, expects: Expectation
) -> None:
    """One by one, or the last two together."""
    assert metres.parse(said, expects, METRES) == Meaning(Kind.FRACTION, value)


@pytest.mark.parametrize("said", ["forty six", "four six", "oh six", "six", "point four six"])
def test_fewer_figures_are_asked(metres: Parser, said: str) -> None:
    """One may not have been heard: never filled up."""
    found = metres.parse(said, FRACTION, METRES)
    assert isinstance(found, Rejection)
    assert found.why is Why.SINGLE_DIGIT
    told = ENGLISH.measured_in(FINE_METRE).say(found.reason)
    assert told.endswith("is not three digits; say all three")


@pytest.mark.parametrize(
    ("said", "kind", "value"),
    [
        ("fifteen", Kind.NUMBER, 15),
        ("five", Kind.NUMBER, 5),
        ("one five", Kind.NUMBER, 15),
    ],
)
def test_shorter_numbers_may_be_marks(metres: Parser, said: str, kind: Kind, value: int) -> None:
    """Which part they are is not the parser's to say."""
    assert metres.parse(said, ANY, METRES) == Meaning(kind, value)
    assert metres.parse(said, WHOLE, METRES) == Meaning(Kind.WHOLE, 1000 * value)


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("fifteen three four six", 15_346),
        ("fifteen three forty six", 15_346),
        ("fifteen point three four six", 15_346),
        ("fifteen oh oh five", 15_005),
        ("twenty oh oh five", 20_005),
        ("twenty point three four six", 20_346),
        ("twenty three three forty six", 23_346),
        ("one five three four six", 15_346),
        ("five three hundred and forty six", 5_346),
        ("five point three forty six", 5_346),
        ("full tape", 30_000),
    ],
)
def test_full_readings(metres: Parser, said: str, value: int) -> None:
    """The whole metre and three figures, where there is one way to read it."""
    for expects in (READING, ANY):
        found = metres.parse(said, expects, METRES)
        assert isinstance(found, Meaning), found
        assert (found.kind, found.value) == (Kind.READING, value)


@pytest.mark.parametrize(
    "said",
    [
        "twenty three forty six",  # 20.346, or 23 and a figure that was lost
        "twenty three four six",
        "five three four six",
        "five three forty six",
        "fifteen forty six",
        "fifteen four six",
        "fifteen six",
        "fifteen point four six",
        "one zero zero zero",
        "thirty five oh oh five",
    ],
)
def test_what_may_lack_a_figure_is_asked(metres: Parser, said: str) -> None:
    """Never guessed, and never booked by what was heard of it."""
    for expects in (READING, ANY):
        found = metres.parse(said, expects, METRES)
        assert isinstance(found, Rejection), found
        assert found.outcome.value == "ask"


@pytest.mark.parametrize(
    ("said", "counts"),
    [
        ("forty two", 84),
        ("forty two five", 85),
        ("four two five", 85),
        ("forty two zero", 84),
        ("forty two oh", 84),
        ("forty five", 90),
        ("forty oh", 80),
        ("oh five five", 11),
        ("oh five", 10),
        ("point forty two five", 85),
        ("fifteen five", 31),
    ],
)
def test_half_hundredths(feet: Parser, said: str, counts: int) -> None:
    """Hundredths, and five or a zero after them; a tens word takes the digit that follows it."""
    assert feet.parse(said, FRACTION, FEET) == Meaning(Kind.FRACTION, counts)


def test_half_hundredths_whatever_is_expected(feet: Parser) -> None:
    """Nothing else is meant by them; the hundredths alone may be a mark as well."""
    assert feet.parse("forty two five", ANY, FEET) == Meaning(Kind.FRACTION, 85)
    assert feet.parse("forty two", ANY, FEET) == Meaning(Kind.NUMBER, 42)


@pytest.mark.parametrize(
    ("said", "expects", "why"),
    [
        ("five", FRACTION, Why.SINGLE_DIGIT),
        ("four two three", FRACTION, Why.SINGLE_DIGIT),
        ("four two five", ANY, Why.AMBIGUOUS),
        ("forty two five", READING, Why.WRONG_PART),
        ("one five four five", READING, Why.AMBIGUOUS),
        ("five four two", READING, Why.AMBIGUOUS),
    ],
)
def test_half_hundredths_that_may_be_else_are_asked(
    feet: Parser, said: str, expects: Expectation, why: Why
) -> None:
    """Forty-two and a figure may be a mark; .423 is no reading of such a tape."""
    found = feet.parse(said, expects, FEET)
    assert isinstance(found, Rejection), found
    assert found.why is why
    assert found.outcome.value == "ask"


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("fifteen forty two", 3084),
        ("fifteen forty two five", 3085),
        ("fifteen four two five", 3085),
        ("fifteen point oh five five", 3011),
        ("one hundred point zero zero", 20_000),
    ],
)
def test_full_readings_in_feet(feet: Parser, said: str, value: int) -> None:
    """As ever, with a half where it is said."""
    assert feet.parse(said, READING, FEET) == Meaning(Kind.READING, value)


@pytest.mark.parametrize("name", ["en-us-feet", "es-feet", "en-metric", "es-metric"])
def test_every_count_can_be_said_and_parses_back(name: str) -> None:
    """Each count of the unit, alone and after a mark; with "point" always, else never another."""
    plain = read_grammar(name)
    unit = FINE_FOOT if plain.unit.is_feet else FINE_METRE
    grammar = plain.reading(unit)
    parser, limit, forms = Parser(grammar), 30 * unit.counts, number_forms(grammar)
    fine = fine_forms(grammar)
    assert fine is not None
    for counts in range(0, unit.counts, 7):
        after = [phrase for phrase, said in fine.said.items() if said == counts]
        pointed = [f"{point} {phrase}" for point in forms.point for phrase in after]
        for phrase in some((*after, *pointed)):
            assert parser.parse(phrase, FRACTION, limit) == Meaning(Kind.FRACTION, counts)
        value = (counts % 29 + 1) * unit.counts + counts
        marks = [p for p, number in forms.whole.items() if number.value == value // unit.counts]
        for phrase in some([f"{mark} {part}" for mark in marks for part in pointed]):
            assert parser.parse(phrase, READING, limit) == Meaning(Kind.READING, value)
        for phrase in some([f"{mark} {part}" for mark in marks for part in after]):
            found = parser.parse(phrase, READING, limit)
            assert isinstance(found, Rejection) or found == Meaning(Kind.READING, value), phrase


def some(forms: Sequence[str]) -> Sequence[str]:
    """Take a few of them, from all over; there must be one."""
    assert forms
    return forms[:: max(1, len(forms) // 4)]


def listened(grammar: Grammar, expects: Expectation, *kinds: SaidKind) -> set[str]:
    """List what is listened for."""
    trees: dict[SaidKind, Expression] = parts(grammar, expects, kinds)
    return {phrase for tree in trees.values() for phrase in phrases(tree)}


@pytest.mark.parametrize("name", ["en-us-feet", "en-metric", "es-metric"])
def test_what_is_taken_is_listened_for(name: str) -> None:
    """Every part that the parser takes can be heard, and what lacks a figure too."""
    plain = read_grammar(name)
    grammar = plain.reading(FINE_FOOT if plain.unit.is_feet else FINE_METRE)
    fine = fine_forms(grammar)
    assert fine is not None
    assert sorted(phrases(fine.tree)) == sorted(fine.said)
    heard = listened(grammar, FRACTION, SaidKind.NUMBER, SaidKind.SHORT)
    assert set(fine.said) <= heard
    lacking = "forty two" if name.startswith("en") else "cuarenta y dos"
    assert {lacking} <= heard


@pytest.mark.parametrize("name", ["en-us-feet", "es-feet", "en-metric", "es-metric"])
def test_grammar_of_hundredths_stays_as_it_is(name: str) -> None:
    """A line whose tape is read to hundredths is listened to as before."""
    grammar = read_grammar(name)
    assert grammar.reading(grammar.unit) is grammar
    assert fine_forms(grammar) is None
    fine = grammar.reading(FINE_FOOT if grammar.unit.is_feet else FINE_METRE)
    for expects in Expectation:
        kinds = (SaidKind.COMMAND, SaidKind.CONDITION, SaidKind.NOTE, SaidKind.CHATTER)
        assert parts(fine, expects, kinds) == parts(grammar, expects, kinds)
        assert parts(fine, expects) != parts(grammar, expects) or expects is WHOLE
