"""Spanish calls: the words that differ in kind from English ones."""

from __future__ import annotations

import pytest

from calllog.readback.figures import say_count, say_length
from calllog.resources import grammar_text
from calllog.spoken import Grammar, Parser, Rejection, Why, load_grammar, to_phrases, words
from calllog.values import Expectation, Kind

LIMIT = 10_099


@pytest.fixture(scope="module")
def grammar() -> Grammar:
    """Load the Spanish grammar."""
    text, path = grammar_text("es-feet")
    return load_grammar(text, str(path))


@pytest.fixture(scope="module")
def parser(grammar: Grammar) -> Parser:
    """Build its parser."""
    return Parser(grammar)


@pytest.mark.parametrize(
    ("said", "expects", "kind", "value"),
    [
        ("dieciséis", Expectation.WHOLE, Kind.WHOLE, 1600),
        ("diez y seis", Expectation.WHOLE, Kind.WHOLE, 1600),
        ("veintidós", Expectation.FRACTION, Kind.FRACTION, 22),
        ("treinta y uno", Expectation.FRACTION, Kind.FRACTION, 31),
        ("tres uno", Expectation.FRACTION, Kind.FRACTION, 31),
        ("cero cinco", Expectation.FRACTION, Kind.FRACTION, 5),
        ("coma cero cinco", Expectation.FRACTION, Kind.FRACTION, 5),
        ("cien", Expectation.WHOLE, Kind.WHOLE, 10_000),
        ("Treinta y tres ochenta y siete", Expectation.READING, Kind.READING, 3387),
        ("treinta cuarenta y dos", Expectation.READING, Kind.READING, 3042),
        ("veinte coma cero cero", Expectation.READING, Kind.READING, 2000),
        ("cien cero cero", Expectation.READING, Kind.READING, 10_000),
    ],
)
def test_call_means_its_value(
    parser: Parser, said: str, expects: Expectation, kind: Kind, value: int
) -> None:
    """Fused twenties, "y", both words for the point, and "cien"."""
    found = parser.parse(said, expects, LIMIT)
    assert not isinstance(found, Rejection), found
    assert (found.kind, found.value) == (kind, value)


@pytest.mark.parametrize(
    ("said", "expects", "why"),
    [
        ("cinco", Expectation.FRACTION, Why.SINGLE_DIGIT),
        ("treinta cinco", Expectation.FRACTION, Why.SINGLE_DIGIT),
        ("veinte cinco", Expectation.READING, Why.SINGLE_DIGIT),
        ("treinta uno dos", Expectation.READING, Why.AMBIGUOUS),
        ("uno cero cero", Expectation.READING, Why.AMBIGUOUS),
        ("cinco cuatro dos", Expectation.READING, Why.AMBIGUOUS),
        ("ciento cinco", Expectation.WHOLE, Why.OFF_TAPE),
        ("dieciseis", Expectation.WHOLE, Why.UNKNOWN_WORD),
    ],
)
def test_what_may_mean_two_things_is_not_taken(
    parser: Parser, said: str, expects: Expectation, why: Why
) -> None:
    """Where "y" was not heard, 30.05, 30.50 and 35 are all possible, so nobody guesses."""
    found = parser.parse(said, expects, LIMIT)
    assert isinstance(found, Rejection), found
    assert found.why is why


def test_hundreds_are_said_as_the_language_says_them(grammar: Grammar) -> None:
    """The number of a pull: ciento cinco, quinientos, setecientos treinta y uno."""
    assert say_count(grammar, 100) == "cien"
    assert say_count(grammar, 105) == "ciento cinco"
    assert say_count(grammar, 500) == "quinientos"
    assert say_count(grammar, 731) == "setecientos treinta y uno"


def test_length_is_read_back_as_it_is_called(grammar: Grammar) -> None:
    """A read-back has one meaning, in the words of the crew."""
    assert say_length(grammar, 3387) == "treinta y tres ochenta y siete"
    assert say_length(grammar, 2005) == "veinte cero cinco"
    assert say_length(grammar, 542) == "cinco cuarenta y dos"


def test_engine_is_given_every_word(grammar: Grammar) -> None:
    """A phrase list has the words beside a slot, and what a hundred that goes on is called."""
    listed = to_phrases(grammar, Expectation.ANY)
    assert {"libras", "tensión", "ciento", "treinta y uno", "delantero"} <= set(listed)
    assert not any("  " in phrase for phrase in listed)
    assert {"libras", "ciento", "y"} <= words(grammar)
