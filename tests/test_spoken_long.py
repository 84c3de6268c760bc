"""Marks of tapes longer than 100, as crews say them (common practice, no published source)."""

from __future__ import annotations

import random

import pytest

from calllog.errors import GrammarError
from calllog.resources import read_grammar
from calllog.spoken import Grammar, Meaning, Parser, Rejection, Why, spoken_forms
from calllog.spoken.compile import parts
from calllog.spoken.expression import phrases
from calllog.spoken.numbers import number_forms
from calllog.values import Expectation, Kind

LIMIT = 500_00
NAMES = ("en-us-feet", "en-metric", "es-feet", "es-metric")


@pytest.fixture(scope="module")
def long() -> Parser:
    """Read what a crew with a tape of 500 ft says."""
    return Parser(read_grammar().reaching(500))


@pytest.mark.parametrize(
    ("said", "mark"),
    [
        ("two hundred and twelve", 212),
        ("two hundred twelve", 212),
        ("two twelve", 212),
        ("one eighty three", 183),
        ("one hundred and eighty three", 183),
        ("a hundred and eighty three", 183),
        ("one oh five", 105),
        ("one hundred five", 105),
        ("two hundred", 200),
        ("three fifty", 350),
        ("five hundred", 500),
        ("four ninety nine", 499),
        ("forty two", 42),
        ("one hundred", 100),
    ],
)
def test_a_mark_is_called_as_crews_call_it(long: Parser, said: str, mark: int) -> None:
    """With and without "and", and short."""
    assert long.parse(said, Expectation.WHOLE, LIMIT) == Meaning(Kind.WHOLE, mark * 100)


@pytest.mark.parametrize(
    ("said", "reading"),
    [
        ("two twelve forty two", 212_42),
        ("two hundred and twelve forty two", 212_42),
        ("two hundred point forty two", 200_42),
        ("one eighty three point oh five", 183_05),
        ("three hundred fifteen oh five", 315_05),
        ("fifteen forty two", 15_42),
        ("five oh two", None),
        ("two forty two", None),
        ("two hundred forty two", None),
        ("two forty five two", None),
        ("one hundred four two", None),
        ("one hundred twelve", None),
        ("two twelve four", None),
    ],
)
def test_what_may_be_a_mark_or_a_reading_is_asked(
    long: Parser, said: str, reading: int | None
) -> None:
    """Two forty two is 242 or 2.42: neither is taken where a reading is called."""
    found = long.parse(said, Expectation.READING, LIMIT)
    if reading is None:
        assert isinstance(found, Rejection)
        assert found.why in (Why.AMBIGUOUS, Why.SINGLE_DIGIT)
    else:
        assert found == Meaning(Kind.READING, reading)


@pytest.mark.parametrize(
    ("said", "mark"), [("two forty two", 242), ("two hundred forty two", 242), ("one oh five", 105)]
)
def test_where_either_end_may_call_it_is_the_mark(long: Parser, said: str, mark: int) -> None:
    """Both ends read such a tape, so hundredths are still to come; nothing is booked before."""
    assert long.parse(said, Expectation.ANY, LIMIT) == Meaning(Kind.WHOLE, mark * 100)


def test_the_tape_decides_what_is_beyond_it(long: Parser) -> None:
    """A mark beyond the tape is refused; where a reading may be called it is the reading."""
    beyond = long.parse("two forty two", Expectation.WHOLE, 200_00)
    assert isinstance(beyond, Rejection)
    assert (beyond.why, beyond.reason.facts["tape"]) == (Why.OFF_TAPE, 200)
    found = long.parse("two forty two", Expectation.READING, 200_00)
    assert found == Meaning(Kind.READING, 242)


@pytest.mark.parametrize("name", NAMES)
def test_every_mark_and_reading_of_a_long_tape_comes_back(name: str) -> None:
    """All marks to 500, and one reading in each whole unit: every way to say them."""
    grammar, draw = read_grammar(name).reaching(500), random.Random(7)  # noqa: S311 - no secret
    parser = Parser(grammar)
    for mark in range(501):
        forms = spoken_forms(grammar, Kind.WHOLE, 100 * mark)
        assert forms
        for said in forms:
            found = parser.parse(said, Expectation.WHOLE, LIMIT)
            assert found == Meaning(Kind.WHOLE, 100 * mark), said
    for mark in range(0, 500, 7):
        value = 100 * mark + draw.randrange(100)
        forms = spoken_forms(grammar, Kind.READING, value)
        assert forms
        for said in forms:
            found = parser.parse(said, Expectation.READING, LIMIT)
            assert found == Meaning(Kind.READING, value), said


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("expects", [Expectation.WHOLE, Expectation.ANY])
def test_a_long_mark_is_listened_for(name: str, expects: Expectation) -> None:
    """The tree that recognisers hear by says each number of the table, and no other."""
    grammar = read_grammar(name).reaching(300)
    forms = number_forms(grammar)
    assert forms.long is not None
    said = set(phrases(forms.long))
    assert said == set(forms.whole) - set(forms.plain)
    heard = parts(grammar, expects)
    assert all(tree for tree in heard.values())


def test_a_crew_with_a_short_tape_loses_nothing(grammar: Grammar) -> None:
    """Up to 100 the grammar is the same, and so is what is listened for."""
    assert grammar.reaching(100) is grammar
    assert grammar.reaching(66) is grammar
    assert number_forms(grammar).long is None
    assert (grammar.reaching(101).reach, grammar.reaching(500).reach) == (200, 500)
    found = Parser(grammar).parse("two twelve", Expectation.WHOLE, 100_00)
    assert found == Meaning(Kind.READING, 212)


def test_a_tape_too_long_to_be_called_is_refused(grammar: Grammar) -> None:
    """The error says up to where marks can be called."""
    with pytest.raises(GrammarError, match="use a tape of at most 500 ft"):
        grammar.reaching(501)
