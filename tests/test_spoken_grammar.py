"""The grammar file as data: what is refused, and what the compiled forms look like."""

from __future__ import annotations

import re

import pytest

from calllog.errors import GrammarError
from calllog.resources import grammar_text
from calllog.spoken import Grammar, load_grammar, to_phrases
from calllog.values import Expectation


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('name = "en-us-feet"', "name = ", "not valid TOML"),
        ('8 = ["eight"]\n9 = ["nine", "niner"]', "", "digits: no entry for 8, 9"),
        ('switch = ["switch ends", "swap ends"]', "", "commands: no entry for switch"),
        ('finish = ["line', 'vanish = ["line', "commands: vanish has no meaning here"),
        ('"strike that"', '"keep the first"', "'keep the first' stands in 2 places"),
        ('["i have it"', '["got it"', "'got it' stands in 2 places"),
        ('caller-holds = ["i have it"', 'next = ["i have it"', "answers: next has no meaning here"),
        (
            '"strike that"',
            '"Scratch That!"',
            "commands.scratch.0: value error, 'Scratch That!' is no phrase",
        ),
        (
            '"rise {reading}"',
            '"rise {feet}"',
            "{feet} is no slot; there are number, decimal, whole, reading",
        ),
        ('"rise {reading}"', '"rise"', "'rise' needs either a slot or a fixed amount"),
        ('"rise {reading}"', '"rise {whole} {number}"', "more than one slot"),
        ('name = "rise"', 'name = "rain"', "conditions: rain is none of"),
        ('unit = "foot"', 'unit = "vara"', "unit: input should be 'foot' or 'metre'"),
        ('20 = ["twenty"]', '20 = ["twenty"]\n21 = ["a score and one"]', "cardinals: 21 has no"),
        ("[listens.any]", "[listens.some]", "listens.some"),
        ('also = ["reading", ', 'also = ["number", ', "listens.whole: number stands twice"),
        ('also = ["reading", ', 'also = ["song", ', "listens.whole.also.0"),
    ],
)
def test_broken_grammar_is_refused_with_its_place(old: str, new: str, message: str) -> None:
    """A grammar that cannot work is refused; the error names the entry and its fault."""
    text, _ = grammar_text()
    assert old in text
    with pytest.raises(GrammarError, match=re.escape(message)) as caught:
        load_grammar(text.replace(old, new), "some.toml")
    assert str(caught.value).startswith("some.toml: ")
    assert caught.value.next_step


@pytest.mark.parametrize("text", ["", "  \n\t\n"])
def test_empty_grammar_is_refused(text: str) -> None:
    """An empty file is not a grammar that hears nothing; it is an error that says what to do."""
    with pytest.raises(GrammarError, match=r"the grammar is empty.*copy grammars/en-us-feet.toml"):
        load_grammar(text, "some.toml")


def test_missing_grammar_lists_those_there_are() -> None:
    """A grammar that is not there is an error that lists the ones there are."""
    with pytest.raises(GrammarError, match=r"no grammar xx.*there are: .*en-us-feet"):
        grammar_text("xx")


def test_phrase_list_ends_with_the_unknown_token(grammar: Grammar) -> None:
    """An engine that takes a bag of phrases must be able to hear anything else as unknown."""
    listed = to_phrases(grammar, Expectation.WHOLE)
    assert listed[-1] == "[unk]"
    assert len(set(listed)) == len(listed)
    assert {"forty two", "four two", "point", "switch ends", "give me a foot"} <= set(listed)
    assert "head" not in listed
    assert "head" in to_phrases(grammar, Expectation.ANY)
