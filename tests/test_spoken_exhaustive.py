"""What each grammar can say, said: the space is finite, so it is enumerated.

Of the largest kinds some thousands of phrases are parsed, from all over; `tests.torture.phrases`
parses all of them.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from calllog.readback.figures import say_count
from calllog.resources import grammar_text
from calllog.spoken import Grammar, Meaning, Parser, say, spoken_forms, words
from calllog.spoken.compile import parts
from calllog.spoken.expression import Expression, OneOf, Phrase, Sequence, phrases
from calllog.spoken.grammar import SaidKind
from calllog.spoken.numbers import NumberForms, number_forms
from calllog.values import Expectation, Kind
from tests.torture.phrases import (
    HUNDRED_FOOT_ADD_TAPE,
    SHIPPED,
    say_notes,
    say_readings,
    shipped,
    sweep,
)

BASE = {"en-metric": "en-us-feet", "es-metric": "es-feet"}
"""Grammars that say their numbers as another does, which is asked in full."""
STEP = 23
"""Of values that were asked elsewhere, one in so many is asked again."""
AGAIN = 101
"""Of phrases that were asked elsewhere, one in so many is asked again."""


@pytest.fixture(scope="module", params=SHIPPED)
def grammar(request: pytest.FixtureRequest) -> Grammar:
    """Load each grammar that travels with the program, one after the other."""
    return shipped(request.param)


@pytest.fixture(scope="module")
def parser(grammar: Grammar) -> Parser:
    """Build the parser of the grammar."""
    return Parser(grammar)


def test_grammar_is_named_as_its_file(grammar: Grammar) -> None:
    """A job notes the grammar's name, by which its file is found again."""
    assert grammar.name in SHIPPED
    assert grammar_text(grammar.name)[1].stem == grammar.name


def test_every_phrase_has_exactly_one_meaning(grammar: Grammar) -> None:
    """No phrase stands twice under an expectation, and each means what its kind promises."""
    like = shipped(BASE[grammar.name]) if grammar.name in BASE else None
    sweep(grammar, AGAIN, like)


def _words_alone(grammar: Grammar) -> NumberForms:
    """Give a grammar's numbers, whatever of them sounds like the word of its unit."""
    return replace(number_forms(grammar), like_unit=())


def test_readings_can_be_said_and_parse_back(grammar: Grammar) -> None:
    """Values from 0.00 to 100.00, each hundredth among them, parse back from each of their forms.

    A grammar whose numbers are another's to the letter is asked fewer of them.
    """
    base = BASE.get(grammar.name)
    if base:
        assert _words_alone(grammar) == _words_alone(shipped(base))
    assert say_readings(grammar, STEP if base else 7) > 1_000


def test_spoken_forms_are_all_that_the_grammar_can_say(grammar: Grammar) -> None:
    """The generator and the compiled grammar list the same phrases, no more and no fewer."""
    for expects, kind, top in (
        (Expectation.WHOLE, Kind.WHOLE, range(0, 10_001, 100)),
        (Expectation.FRACTION, Kind.FRACTION, range(100)),
        (Expectation.READING, Kind.READING, range(10_100)),
    ):
        part = "reading" if kind is Kind.READING else "number"
        compiled = {*phrases(parts(grammar, expects)[SaidKind(part)])}
        said = {p for value in top for p in spoken_forms(grammar, kind, value)}
        assert said | set(grammar.terms.full_tape) == compiled | set(grammar.terms.full_tape)


@pytest.mark.parametrize(
    ("kind", "expects", "values"),
    [
        (Kind.WHOLE, Expectation.WHOLE, range(0, 10_001, 100)),
        (Kind.FRACTION, Expectation.FRACTION, range(100)),
    ],
)
def test_every_part_can_be_said_and_parses_back(
    grammar: Grammar, parser: Parser, kind: Kind, expects: Expectation, values: range
) -> None:
    """Each whole foot and each hundredth has spoken forms that parse back to it."""
    for value in values:
        assert say(grammar, kind, value)
        for phrase in spoken_forms(grammar, kind, value):
            assert parser.parse(phrase, expects, HUNDRED_FOOT_ADD_TAPE) == Meaning(kind, value)


def test_word_list_covers_every_phrase(grammar: Grammar) -> None:
    """A dictionary made of the grammar's words can pronounce all that the grammar can say."""
    known = words(grammar)
    for expects in Expectation:
        for tree in parts(grammar, expects).values():
            assert known.issuperset(leaf_words(tree)), expects


def leaf_words(tree: Expression) -> set[str]:
    """List the words of a tree: every phrase that it can say is made of its leaves."""
    match tree:
        case Phrase(text):
            return {*text.split()}
        case OneOf(below) | Sequence(below):
            return {word for each in below for word in leaf_words(each)}


def test_every_count_of_a_condition_parses_back(grammar: Grammar, parser: Parser) -> None:
    """Each temperature from 0 to 130 is understood as it is read back."""
    pattern = next(c.phrases[0] for c in grammar.conditions if c.name == "temperature")
    for count in range(131):
        said = pattern.replace("{decimal}", say_count(grammar, count))
        found = parser.parse(said, Expectation.WHOLE, HUNDRED_FOOT_ADD_TAPE)
        assert found == Meaning(Kind.CONDITION, name="temperature", amount=float(count)), said


def test_every_pull_has_a_number_of_its_own(grammar: Grammar) -> None:
    """No two pulls of a long day are read back alike."""
    said = [say_count(grammar, count) for count in range(3000)]
    assert len(set(said)) == len(said)


def test_notes_parse_back(grammar: Grammar) -> None:
    """Stations and offsets, to either side, have forms that parse back to them."""
    assert say_notes(grammar, 4) > 1_000
