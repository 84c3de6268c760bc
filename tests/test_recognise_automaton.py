"""The automaton says what the expression tree says, each sequence once."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calllog.recognise.automaton import Automaton, build_automaton
from calllog.spoken import Grammar, SaidKind
from calllog.spoken.compile import parts
from calllog.spoken.expression import Expression, OneOf, Phrase, Sequence, phrases
from calllog.values import Expectation

WORD = st.lists(st.sampled_from("abc"), min_size=1, max_size=3).map(" ".join).map(Phrase)
TREES = st.recursive(
    WORD,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda each: OneOf(tuple(each))),
        st.lists(inner, min_size=1, max_size=3).map(lambda each: Sequence(tuple(each))),
    ),
    max_leaves=8,
)


def sentences(automaton: Automaton) -> Iterator[tuple[str, ...]]:
    """Enumerate everything that an automaton can say."""
    waiting: list[tuple[tuple[str, ...], int]] = [((), automaton.start)]
    while waiting:
        said, state = waiting.pop()
        if automaton.accepting[state]:
            yield said
        waiting += [((*said, word), target) for word, target in automaton.arcs[state].items()]


@given(st.lists(TREES, min_size=1, max_size=3))
def test_automaton_says_what_the_trees_say(trees: list[Expression]) -> None:
    """All their word sequences, no others, none of them twice; arcs lead to lower states."""
    automaton = build_automaton(tuple(trees))
    said = [" ".join(sentence) for sentence in sentences(automaton)]
    assert sorted(said) == sorted({phrase for tree in trees for phrase in phrases(tree)})
    for state, arcs in enumerate(automaton.arcs):
        assert all(target < state for target in arcs.values())


@given(st.lists(TREES, min_size=1, max_size=3))
def test_automaton_is_the_smallest(trees: list[Expression]) -> None:
    """No two states say the same from there on."""
    automaton = build_automaton(tuple(trees))
    onward: list[frozenset[tuple[str, ...]]] = []
    for state, arcs in enumerate(automaton.arcs):
        said = {(word, *rest) for word, target in arcs.items() for rest in onward[target]}
        onward.append(frozenset(said | ({()} if automaton.accepting[state] else set())))
    assert len(set(onward)) == len(onward)


@pytest.mark.parametrize("expects", Expectation)
def test_shipped_readings_are_said_in_full(grammar: Grammar, expects: Expectation) -> None:
    """Fifty thousand readings are one small automaton that says exactly them."""
    trees = tuple(parts(grammar, expects, (SaidKind.READING, SaidKind.NUMBER)).values())
    automaton = build_automaton(trees)
    assert len(automaton.arcs) < 40
    said = {" ".join(sentence) for sentence in sentences(automaton)}
    assert said == {phrase for tree in trees for phrase in phrases(tree)}
