"""Calls that name what they count: "cinco pies y cuarenta y dos", "cinco centésimas"."""

from __future__ import annotations

import pytest

from calllog.errors import GrammarError
from calllog.resources import grammar_text, read_grammar
from calllog.spoken import (
    Grammar,
    Meaning,
    Parser,
    Rejection,
    Why,
    load_grammar,
    named_forms,
    say,
)
from calllog.spoken.compile import parts
from calllog.spoken.expression import phrases
from calllog.spoken.grammar import SaidKind
from calllog.values import Expectation, Kind, ReadingUnit

ANY, FRACTION, READING, WHOLE = (
    Expectation.ANY,
    Expectation.FRACTION,
    Expectation.READING,
    Expectation.WHOLE,
)
LIMIT = 10_099
VALUES = {Kind.WHOLE: range(0, 10_001, 100), Kind.FRACTION: range(100), Kind.READING: range(10_100)}
"""What can be said: hundredths."""


@pytest.fixture(scope="module", params=["es-feet", "es-metric"])
def grammar(request: pytest.FixtureRequest) -> Grammar:
    """Load each grammar that names units."""
    return read_grammar(request.param)


@pytest.fixture(scope="module")
def feet() -> Parser:
    """Build the parser of the grammar in feet."""
    return Parser(read_grammar("es-feet"))


@pytest.mark.parametrize(
    ("said", "kind", "value"),
    [
        ("quince pies", Kind.WHOLE, 1500),
        ("un pie", Kind.WHOLE, 100),
        ("veintiún pies", Kind.WHOLE, 2100),
        ("treinta y un pies", Kind.WHOLE, 3100),
        ("cuarenta y dos centésimas", Kind.FRACTION, 42),
        ("cinco centésimas", Kind.FRACTION, 5),
        ("una centésima", Kind.FRACTION, 1),
        ("cero cinco centésimas", Kind.FRACTION, 5),
        ("cinco pies y cuarenta y dos", Kind.READING, 542),
        ("cinco pies con cuarenta y dos centésimas", Kind.READING, 542),
        ("cinco pies cinco centésimas", Kind.READING, 505),
        ("cinco pies cero cinco", Kind.READING, 505),
        ("quince pies punto cuarenta y dos", Kind.READING, 1542),
        ("quince punto cuarenta y dos pies", Kind.READING, 1542),
        ("quince cuarenta y dos centésimas", Kind.READING, 1542),
        ("cien pies y una centésima", Kind.READING, 10_001),
    ],
)
def test_unit_says_which_part_it_is(feet: Parser, said: str, kind: Kind, value: int) -> None:
    """Where anything may be called it is what it says; five hundredths are no single digit."""
    assert feet.parse(said, ANY, LIMIT) == Meaning(kind, value)


@pytest.mark.parametrize(
    ("said", "expects", "why"),
    [
        ("cinco pies cinco", READING, Why.SINGLE_DIGIT),
        ("cinco pies y cinco", FRACTION, Why.SINGLE_DIGIT),
        ("quince pies", FRACTION, Why.WRONG_PART),
        ("cuarenta y dos centésimas", WHOLE, Why.WRONG_PART),
        ("quince pies", READING, Why.WRONG_PART),
        ("treinta dos centésimas", ANY, Why.SINGLE_DIGIT),
        ("quince diez", READING, Why.AMBIGUOUS),
        ("ciento cinco pies", WHOLE, Why.OFF_TAPE),
        ("cien pies y noventa y nueve punto", READING, Why.NO_CALL),
        ("quince pies no dieciséis pies", WHOLE, Why.MENDED),
        ("cuatro dos pies", WHOLE, Why.NO_CALL),
        ("cuatro dos centésimas", FRACTION, Why.NO_CALL),
        ("cinco metros", WHOLE, Why.UNKNOWN_WORD),
    ],
)
def test_what_is_named_is_no_licence_to_guess(
    feet: Parser, said: str, expects: Expectation, why: Why
) -> None:
    """One digit without its unit, the other part, a lost "y", another unit: not taken."""
    found = feet.parse(said, expects, LIMIT)
    assert isinstance(found, Rejection), found
    assert found.why is why


def test_hundredths_that_sound_like_the_unit_need_the_point(feet: Parser) -> None:
    """One weak sound tells "quince pies" from "quince diez": 15.10 is said otherwise."""
    found = feet.parse("quince diez", ANY, LIMIT)
    assert isinstance(found, Rejection)
    assert found.reason.facts["may_be_1"] == "15.10"
    for said in ("quince punto diez", "quince pies y diez", "quince uno cero"):
        assert feet.parse(said, ANY, LIMIT) == Meaning(Kind.READING, 1510)
    spanish = read_grammar("es-feet")
    assert say(spanish, Kind.READING, 1510) == "quince uno cero"
    listened = {*phrases(parts(spanish, ANY, (SaidKind.READING,))[SaidKind.READING])}
    assert "quince punto diez" in listened
    assert "quince diez" not in listened
    assert feet.parse("diez", FRACTION, LIMIT) == Meaning(Kind.FRACTION, 10)


@pytest.mark.parametrize("said", ["dame cinco pies", "cinco pies más", "un pie más", "dame un pie"])
def test_talk_of_feet_stays_talk(feet: Parser, said: str) -> None:
    """A foot that is asked for is no mark."""
    assert feet.parse(said, WHOLE, LIMIT) == Meaning(Kind.CHATTER)


def test_all_that_is_listened_for_can_be_said_and_means_that(grammar: Grammar) -> None:
    """Tree and generator list the same phrases, but for those that are asked; each parses back."""
    parser = Parser(grammar)
    heard = {*phrases(parts(grammar, ANY, (SaidKind.NAMED,))[SaidKind.NAMED])}
    said = {
        phrase: Meaning(kind, value)
        for kind, values in VALUES.items()
        for value in values
        for phrase in named_forms(grammar, kind, value)
    }
    assert len(said) > 100_000
    assert said.keys() <= heard
    for phrase in sorted(heard - said.keys())[::7]:
        assert isinstance(parser.parse(phrase, ANY, LIMIT), Rejection), phrase
    for phrase, meaning in sorted(said.items())[::101]:
        assert parser.parse(phrase, ANY, LIMIT) == meaning, phrase


def test_fine_tape_names_its_whole_unit_alone() -> None:
    """On a tape read to the millimetre "centésimas" says nothing that can be read on it."""
    fine = read_grammar("es-metric").reading(ReadingUnit.FINE_METRE)
    parser = Parser(fine)
    limit = 31 * fine.unit.counts
    found = parser.parse("cinco metros tres cuatro seis", READING, limit)
    assert found == Meaning(Kind.READING, 5346)
    assert parser.parse("cinco metros", WHOLE, limit) == Meaning(Kind.WHOLE, 5000)
    assert isinstance(parser.parse("cinco metros y cuarenta y dos", READING, limit), Rejection)
    assert isinstance(parser.parse("cuarenta y dos centésimas", FRACTION, limit), Rejection)


def test_unit_of_another_part_is_refused() -> None:
    """A grammar may name whole units and their hundredths, nothing else."""
    text, _ = grammar_text("es-feet")
    with pytest.raises(GrammarError, match="should be 'whole' or 'fraction'"):
        load_grammar(text.replace('part = "fraction"', 'part = "command"'))
