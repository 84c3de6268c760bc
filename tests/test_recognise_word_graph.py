"""The graph that PocketSphinx searches says what the trees say, each alternative with its share."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pocketsphinx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calllog.recognise.word_graph import STEP_NATS, WordGraph, build_word_graph
from calllog.spoken import Grammar
from calllog.spoken.compile import parts
from calllog.spoken.expression import Choice, Expression, Phrase, Sequence, choice, phrases
from calllog.values import Expectation
from tests.test_recognise_automaton import TREES

LAST = {"a": frozenset({"AH"}), "b": frozenset({"IY"}), "c": frozenset({"IY", "UW"})}
"""What the words of the trees end with; silence stands between IY and UW in the engine's order."""


def sentences(graph: WordGraph) -> Iterator[tuple[str, int]]:
    """Enumerate everything that a graph can say, with its weight in steps; each way by itself."""
    waiting: list[tuple[str, int, int]] = [("", 0, graph.begin)]
    while waiting:
        said, weight, state = waiting.pop()
        if state == graph.final:
            yield said.strip(), weight
        waiting += [
            (f"{said} {word}", weight + more, after)
            for (before, after, word), more in graph.words.items()
            if before == state
        ]
        waiting += [
            (said, weight + more, after)
            for (before, after), more in graph.empty.items()
            if before == state
        ]


def jsgf(tree: Expression) -> str:
    """Write a tree in the JSpeech Grammar Format (W3C Note 2000), for the engine to unfold."""
    match tree:
        case Phrase(text):
            return text
        case Choice(options):
            return f"( {' | '.join(map(jsgf, options))} )"
        case Sequence(those):
            return " ".join(map(jsgf, those))


@given(st.lists(TREES, min_size=1, max_size=3))
def test_a_graph_says_what_the_trees_say(trees: list[Expression]) -> None:
    """All their word sequences, no others, none of them twice, none likelier than sure."""
    graph = build_word_graph(tuple(trees), LAST.__getitem__)
    said = list(sentences(graph))
    assert sorted(each for each, _ in said) == sorted({p for tree in trees for p in phrases(tree)})
    assert all(weight <= 0 for weight in (*graph.words.values(), *graph.empty.values()))


@given(st.lists(TREES, min_size=1, max_size=3))
def test_no_chain_of_empty_ways_is_needed(trees: list[Expression]) -> None:
    """The engine follows one empty way after a word, so two in a row lead nowhere new."""
    graph = build_word_graph(tuple(trees), LAST.__getitem__)
    for before, after in graph.empty:
        if before != graph.begin:
            assert all(start != after for start, _ in graph.empty)


def test_each_alternative_has_the_same_share() -> None:
    """As in JSGF: four beginnings share, then what goes on shares with the end."""
    tree = Choice((*choice(("a", "a b", "a c", "b", "c")).options, Sequence((Phrase("b"),) * 2)))
    weights = dict(sentences(build_word_graph((tree,), LAST.__getitem__)))
    shares = {"a": 12, "a b": 12, "a c": 12, "b": 4, "c": 4, "b b": 4}
    for said, share in shares.items():
        assert weights[said] * STEP_NATS == pytest.approx(-math.log(share), abs=2 * STEP_NATS)


def test_words_begin_apart_after_unlike_phones() -> None:
    """The engine takes the first phone before a state for all: unlike ones have their own."""
    both = choice(("a", "b", "c"))
    graph = build_word_graph((Sequence((both, both)),), LAST.__getitem__)
    ends = {word: after for (_, after, word) in graph.words if (after, graph.final) in graph.empty}
    assert ends.keys() == {"a", "b", "c"}
    onward = {
        word: {to for start, to in graph.empty if start == after}
        for (before, after, word) in graph.words
        if (after, graph.final) not in graph.empty
    }
    assert onward["a"].isdisjoint(onward["b"])
    assert onward["b"] == onward["c"]
    assert {state for _, state, _ in graph.words} <= graph.silent


@pytest.mark.parametrize("expects", Expectation)
@pytest.mark.parametrize("which", ["first", "also"])
def test_the_engine_says_what_it_unfolds_itself(
    grammar: Grammar, expects: Expectation, which: str
) -> None:
    """Outside check: the engine's own reading of the same as a JSGF grammar accepts the same."""
    trees = tuple(parts(grammar, expects, getattr(grammar.listens[expects], which)).values())
    graph = build_word_graph(trees, lambda word: frozenset({word[-1].upper()}))
    leads: dict[int, list[tuple[str, int]]] = {}
    for before, after, word in graph.words:
        leads.setdefault(before, []).append((word, after))
    empty: dict[int, list[int]] = {}
    for before, after in graph.empty:
        empty.setdefault(before, []).append(after)

    def says(text: str) -> bool:
        here = {graph.begin, *empty[graph.begin]}
        for word in text.split():
            after = {to for state in here for said, to in leads.get(state, ()) if said == word}
            here = {to for state in after for to in (state, *empty.get(state, ()))}
        return graph.final in here

    decoder = pocketsphinx.Decoder(lm=None, loglevel="FATAL")
    text = f"#JSGF V1.0; grammar all; public <all> = {jsgf(Choice(trees))};"
    unfolded = decoder.parse_jsgf(text)
    tried = [p for tree in trees for p in some(tree)]
    assert len(tried) > 20
    assert all(says(each) and unfolded.accept(each) for each in tried)
    for each in tried[::7]:
        first, *rest = each.split()
        for other in (" ".join(rest), f"{each} {first}", " ".join((*rest, first))):
            assert says(other) == bool(other and unfolded.accept(other)), other


def some(tree: Expression, most: int = 60) -> list[str]:
    """Give some of the phrases that a tree can say, from all its parts."""
    match tree:
        case Phrase(text):
            return [text]
        case Choice(options):
            each = [some(option, most) for option in options]
            deep = [p for those in each for p in those[: max(1, most // len(options))]]
            return deep[:: max(1, len(deep) // most)]
        case Sequence(those):
            lists = [some(part, most) for part in those]
            longest = max(map(len, lists))
            return [" ".join(one[i % len(one)] for one in lists) for i in range(longest)]
