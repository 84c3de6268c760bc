"""Values and figures in texts, as they are spoken."""

from __future__ import annotations

import pytest

from calllog.readback.figures import say_count, say_hundredths, say_length, say_text
from calllog.spoken import Grammar, Meaning, Parser
from calllog.values import Expectation, Kind


def test_every_length_is_said_so_that_it_is_that_length(grammar: Grammar, parser: Parser) -> None:
    """What is read back parses to the value that is in the job, for each on the tape."""
    for value in range(10_100):
        said = say_length(grammar, value)
        assert parser.parse(said, Expectation.READING, 10_099) == Meaning(Kind.READING, value), said


def test_every_part_is_said_so_that_it_is_that_part(grammar: Grammar, parser: Parser) -> None:
    """Whole feet and hundredths parse back as well."""
    for feet in range(1, 101):
        found = parser.parse(say_count(grammar, feet), Expectation.WHOLE, 10_099)
        assert found == Meaning(Kind.WHOLE, 100 * feet)
    for hundredths in range(100):
        found = parser.parse(say_hundredths(grammar, hundredths), Expectation.FRACTION, 10_099)
        assert found == Meaning(Kind.FRACTION, hundredths)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (3387, "thirty three eighty seven"),
        (1505, "fifteen oh five"),
        (100, "one point zero zero"),
        (42, "zero forty two"),
        (10_000, "one hundred zero zero"),
        (21_342, "two hundred thirteen point forty two"),
    ],
)
def test_lengths_are_said_as_the_crew_says_them(grammar: Grammar, value: int, words: str) -> None:
    """No "point" where it is not needed, and one where two readings would be possible."""
    assert say_length(grammar, value) == words


@pytest.mark.parametrize(
    ("count", "words"),
    [(0, "zero"), (113, "one hundred thirteen"), (200, "two hundred"), (2041, "two zero four one")],
)
def test_pulls_beyond_a_hundred_have_words(grammar: Grammar, count: int, words: str) -> None:
    """A day has more pulls than the tape has feet."""
    assert say_count(grammar, count) == words


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            "take 33.87, check 32.05: 1 ft off",
            "take thirty three point eighty seven, check thirty two point oh five. one foot off",
        ),
        ("7 may be .07 or .70; say both", "seven may be point oh seven or point seventy. say both"),
        ("5.42 or 54.2", "five point forty two or fifty four point two"),
        ("a pull of 20 lb at 41.5 °F", "a pull of twenty pounds at forty one point five degrees"),
        ("-0.01 ft", "minus zero point oh one feet"),
        ("0.125", "zero point one two five"),
        ("Eighty-seven is beyond 100 ft.", "eighty seven is beyond one hundred feet"),
        (
            "1+25/18.4, 1-.40",
            "one plus twenty five slash eighteen point four, one minus point forty",
        ),
        ("2*41 means nothing; */ next", "two star forty one means nothing. star slash next"),
        ("A-4 (or 5)", "a four or five"),
        (": ; .", ""),
    ],
)
def test_figures_inside_a_text_keep_their_places(grammar: Grammar, text: str, words: str) -> None:
    """Feet and hundredths are never run together or read as one number; marks are pauses."""
    assert say_text(grammar, text) == words
