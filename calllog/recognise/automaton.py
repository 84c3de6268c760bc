"""An expression tree in; the smallest automaton of its word sequences out; pure.

What a grammar can say is finite, so the automaton has no loops: its states are numbered so that
every arc leads to a lower number, and state 0 is the end that nothing follows.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from calllog.spoken.expression import Expression, OneOf, Phrase, Sequence


@dataclass(frozen=True, slots=True)
class Automaton:
    """A deterministic automaton over words: each word sequence has one path."""

    arcs: tuple[dict[str, int], ...]
    """For each state, the words that may follow and the states they lead to."""
    accepting: tuple[bool, ...]
    """Whether the words up to a state may be all."""
    start: int


class _Loose:
    """States joined as the tree reads, several ways for one word allowed."""

    def __init__(self) -> None:
        self.arcs: list[defaultdict[str, set[int]]] = []

    def new(self) -> int:
        self.arcs.append(defaultdict(set))
        return len(self.arcs) - 1

    def add(self, tree: Expression, begin: int, end: int) -> None:
        """Join two states by everything that the tree can say."""
        match tree:
            case Phrase(text):
                *before, last = text.split()
                for word in before:
                    after = self.new()
                    self.arcs[begin][word].add(after)
                    begin = after
                self.arcs[begin][last].add(end)
            case OneOf(options):
                for option in options:
                    self.add(option, begin, end)
            case Sequence(parts):
                *first, final = parts
                for part in first:
                    after = self.new()
                    self.add(part, begin, after)
                    begin = after
                self.add(final, begin, end)


def build_automaton(trees: tuple[Expression, ...]) -> Automaton:
    """Build the automaton of everything that some trees can say; what several say, it says once."""
    loose = _Loose()
    begin, end = loose.new(), loose.new()
    for tree in trees:
        loose.add(tree, begin, end)
    arcs: list[dict[str, int]] = []
    accepting: list[bool] = []
    alike: dict[tuple[bool, tuple[tuple[str, int], ...]], int] = {}
    built: dict[frozenset[int], int] = {}

    def state(places: frozenset[int]) -> int:
        if (known := built.get(places)) is not None:
            return known
        following: defaultdict[str, set[int]] = defaultdict(set)
        for place in places:
            for word, targets in loose.arcs[place].items():
                following[word] |= targets
        leads = {word: state(frozenset(following[word])) for word in sorted(following)}
        leads = {word: to for word, to in leads.items() if accepting[to] or arcs[to]}
        key = (end in places, tuple(leads.items()))
        if key not in alike:
            alike[key] = len(arcs)
            arcs.append(leads)
            accepting.append(end in places)
        built[places] = alike[key]
        return alike[key]

    state(frozenset({end}))
    start = state(frozenset({begin}))
    return Automaton(tuple(arcs), tuple(accepting), start)
