"""Calls mended in one breath or a figure too long, numbers inside talk, and own conditions."""

from __future__ import annotations

import re

import pytest

from calllog.recognise import TENTATIVE, Hypothesis, understand
from calllog.resources import grammar_text, read_grammar
from calllog.spoken import Meaning, Parser, Rejection, Why, load_grammar, words
from calllog.values import Expectation, Kind, Outcome
from calllog.wording import ENGLISH

LIMIT = 10_099


@pytest.mark.parametrize("expects", Expectation)
@pytest.mark.parametrize(
    "said",
    [
        "fifteen no sixteen",
        "fifteen sorry sixteen",
        "fifteen scratch that sixteen",
        "fifteen strike that sixteen",
        "fifteen correction sixteen",
        "fifteen make that sixteen",
        "forty two i mean forty three",
        "fifteen forty two no forty three",
        "fifteen no six",
        "point four two sorry four three",
        "no sixteen",
        "forty two no",
        "head fifteen no sixteen",
        "scratch that",
    ],
)
def test_a_call_mended_in_one_breath_is_asked(
    parser: Parser, said: str, expects: Expectation
) -> None:
    """Two numbers, of which one is wrong, are never a reading: "fifteen, no, sixteen"."""
    found = parser.parse(said, expects, LIMIT)
    assert isinstance(found, Rejection)
    assert (found.why, found.outcome) == (Why.MENDED, Outcome.ASK)
    assert ENGLISH.say(found.reason) == "two calls in one; say the right one alone"


@pytest.mark.parametrize("said", ["no", "sorry", "no sorry", "sorry watch your step"])
def test_no_number_no_question(parser: Parser, said: str) -> None:
    """A "no" that is said to the other one is talk."""
    found = parser.parse(said, Expectation.WHOLE, LIMIT)
    is_talk = isinstance(found, Meaning) and found.kind is Kind.CHATTER
    assert is_talk or (isinstance(found, Rejection) and found.outcome is Outcome.IGNORED)


@pytest.mark.parametrize("expects", Expectation)
@pytest.mark.parametrize(
    "said",
    [
        "two trucks coming",
        "wait ten minutes",
        "twenty five more minutes",
        "give me two feet",
        "one at a time",
        "one more pin",
    ],
)
def test_numbers_inside_talk_are_no_calls(parser: Parser, said: str, expects: Expectation) -> None:
    """Whatever is expected, they are crew talk."""
    found = parser.parse(said, expects, LIMIT)
    assert found == Meaning(Kind.CHATTER)


@pytest.mark.parametrize(
    ("said", "name", "amount"),
    [
        ("temperature sixty eight degrees", "temperature", 68.0),
        ("temperature sixty eight point five", "temperature", 68.5),
        ("temperature one hundred five point five degrees", "temperature", 105.5),
        ("tension fifteen point five pounds", "tension", 15.5),
        ("tension twenty pounds", "tension", 20.0),
        ("fall two point one", "rise", -2.1),
        ("fall two point one zero", "rise", -2.1),
        ("rise two point one", "rise", 2.1),
        ("rise zero point oh five", "rise", 0.05),
    ],
)
def test_conditions_in_the_crews_words(parser: Parser, said: str, name: str, amount: float) -> None:
    """Units may be said, tenths may be stated, and a fall is a rise downward."""
    found = parser.parse(said, Expectation.FRACTION, LIMIT)
    assert found == Meaning(Kind.CONDITION, name=name, amount=amount)


@pytest.mark.parametrize("said", ["rise two", "fall two", "tape number two point five"])
def test_conditions_without_their_number_are_asked(parser: Parser, said: str) -> None:
    """A rise without a point, and half a tape, are no conditions."""
    found = parser.parse(said, Expectation.WHOLE, LIMIT)
    assert isinstance(found, Rejection)
    assert found.outcome is Outcome.ASK


@pytest.mark.parametrize(
    ("said", "name"),
    [("strike that", "scratch"), ("say again", "repeat"), ("who's got it", "who")],
)
def test_commands_of_the_crew(parser: Parser, said: str, name: str) -> None:
    """Striking keeps the name that it has in journals."""
    assert parser.parse(said, Expectation.WHOLE, LIMIT) == Meaning(Kind.COMMAND, name=name)


def test_a_grammar_of_ones_own_may_lack_the_newest_words() -> None:
    """Files written before there were "say again", mending words and a fall still load."""
    text, _ = grammar_text()
    older = re.sub(r"^(repeat|who|mends) = .*$", "", text, flags=re.MULTILINE)
    grammar = load_grammar(older)
    assert not {"repeat", "who"} & set(grammar.commands)
    found = Parser(grammar).parse("fifteen no sixteen", Expectation.WHOLE, LIMIT)
    assert isinstance(found, Rejection)


def test_a_call_that_may_be_mended_is_asked(parser: Parser) -> None:
    """A reading that leads does not hide that a "no" may have been said in it."""
    leads = (Hypothesis("fifteen oh six", 0.7), Hypothesis("fifteen no six", 0.3))
    heard = understand(parser, leads, Expectation.WHOLE, LIMIT, TENTATIVE)
    assert heard.outcome is Outcome.ASK
    rare = (Hypothesis("fifteen oh six", 0.95), Hypothesis("fifteen no six", 0.05))
    heard = understand(parser, rare, Expectation.WHOLE, LIMIT, TENTATIVE)
    assert (heard.outcome, heard.value) == (Outcome.CALL, 1506)


@pytest.mark.parametrize("name", ["en-us-feet", "es-feet", "es-metric", "en-metric"])
@pytest.mark.parametrize("expects", Expectation)
def test_figures_too_many_are_asked(name: str, expects: Expectation) -> None:
    """Five figures are no call of anything on a tape of a hundred: none of them is left out."""
    grammar = read_grammar(name)
    said = " ".join(grammar.digits[each][0] for each in "78653")
    found = Parser(grammar).parse(said, expects, LIMIT)
    assert isinstance(found, Rejection)
    assert (found.why, found.outcome) == (Why.TOO_MANY, Outcome.ASK)
    assert found.reason.facts["count"] == 5


def test_a_number_that_may_have_a_figure_more_is_asked(parser: Parser) -> None:
    """A part that leads does not hide that a third figure may have been said."""
    leads = (Hypothesis("eight five", 0.8), Hypothesis("eight five three", 0.2))
    for part in (Expectation.WHOLE, Expectation.FRACTION):
        heard = understand(parser, leads, part, LIMIT, TENTATIVE)
        assert heard.outcome is Outcome.ASK
    said = (("eight five", 0.72), ("eight five three", 0.16), ("fine", 0.12))
    beside_talk = tuple(Hypothesis(text, likely) for text, likely in said)
    heard = understand(parser, beside_talk, Expectation.WHOLE, LIMIT, TENTATIVE)
    assert heard.outcome is Outcome.ASK
    rare = (Hypothesis("eight five", 0.95), Hypothesis("eight five three", 0.05))
    heard = understand(parser, rare, Expectation.FRACTION, LIMIT, TENTATIVE)
    assert (heard.outcome, heard.value) == (Outcome.CALL, 85)
    reading = (Hypothesis("eight oh five", 0.8), Hypothesis("eight five three", 0.2))
    heard = understand(parser, reading, Expectation.READING, LIMIT, TENTATIVE)
    assert (heard.outcome, heard.value) == (Outcome.CALL, 805)


def test_a_number_that_may_be_talk_is_asked(parser: Parser) -> None:
    """Where a quarter is enough for a number, talk that is nearly as likely is not passed over."""
    near = (Hypothesis("eighteen", 0.45), Hypothesis("break chain", 0.25))
    heard = understand(parser, near, Expectation.WHOLE, LIMIT, TENTATIVE)
    assert heard.outcome is Outcome.ASK
    sure = (Hypothesis("eighteen", 0.8), Hypothesis("break chain", 0.15))
    heard = understand(parser, sure, Expectation.WHOLE, LIMIT, TENTATIVE)
    assert (heard.outcome, heard.value) == (Outcome.CALL, 1800)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("en-metric", "fifteen no sixteen"),
        ("es-feet", "quince no dieciséis"),
        ("es-feet", "quince perdón dieciséis"),
        ("es-metric", "treinta y dos mejor dicho treinta y tres"),
    ],
)
def test_every_grammar_asks_about_mended_calls(name: str, said: str) -> None:
    """The words are the grammar's."""
    found = Parser(read_grammar(name)).parse(said, Expectation.WHOLE, LIMIT)
    assert isinstance(found, Rejection)
    assert found.why is Why.MENDED


@pytest.mark.parametrize("name", ["en-us-feet", "en-metric"])
@pytest.mark.parametrize("model", ["numbers-en-us", "encoder-en-us"])
def test_no_word_is_without_phones_in_the_models(name: str, model: str) -> None:
    """A word that a listener cannot pronounce is never heard."""
    from calllog.recognise.encoder_model import BLANK_NAME  # noqa: PLC0415 - heavy
    from calllog.resources import model_folder  # noqa: PLC0415

    folder = model_folder(model)
    lexicon = [line.split() for line in (folder / "lexicon.txt").read_text("utf-8").splitlines()]
    units = {line.split()[0] for line in (folder / "units.txt").read_text("utf-8").splitlines()}
    said = {word: ways for word, *ways in lexicon}
    assert set(words(read_grammar(name))) <= set(said)
    assert all(ways and set(ways) <= units - {BLANK_NAME} for ways in said.values())
