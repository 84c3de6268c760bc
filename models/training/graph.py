"""Writes the decoding graph of an expectation: words in, an OpenFst file out; pure.

A static graph over CTC units: each word's phones, each held as long as it lasts, blanks between,
and at least one blank between two equal phones. It is strict: only what the grammar says.
"""

from __future__ import annotations

import struct
from collections import defaultdict
from collections.abc import Mapping, Sequence

from calllog.recognise.automaton import Automaton

MAGIC, VERSION = 2125659606, 2
EXPANDED_AND_MUTABLE = 0x3
BLANK = 0

Arc = tuple[int, int, int]
"""Unit, word's number (0 for none), next state."""


class _Graph:
    """States and their arcs, as they are added."""

    def __init__(self) -> None:
        self.arcs: list[list[Arc]] = []

    def new(self) -> int:
        self.arcs.append([])
        return len(self.arcs) - 1

    def chain(self, way: Sequence[int]) -> tuple[int, int]:
        """Add a word's units; give the state that holds the first, and the one after the last."""
        held = [self.new() for _ in way]
        after = [self.new() for _ in way]
        for index, unit in enumerate(way):
            self.arcs[held[index]].append((unit, 0, held[index]))
            for state in (held[index], after[index]):
                self.arcs[state].append((BLANK, 0, after[index]))
        for index, unit in enumerate(way[1:]):
            self.arcs[after[index]].append((unit, 0, held[index + 1]))
            if way[index] != unit:
                self.arcs[held[index]].append((unit, 0, held[index + 1]))
        return held[0], after[-1]


def expand(
    automaton: Automaton, lexicon: Mapping[str, Sequence[Sequence[int]]], words: Mapping[str, int]
) -> tuple[list[list[Arc]], set[int]]:
    """Expand words to units; state 0 is the start.

    Args:
        automaton: what may be said.
        lexicon: for each word, how it is said, in units.
        words: each word's number, from 1.

    Returns:
        For each state its arcs, and the states in which a sentence may end.
    """
    graph = _Graph()
    start, silent = graph.new(), graph.new()
    for state in (start, silent):
        graph.arcs[state].append((BLANK, 0, silent))
    entries: dict[int, list[Arc]] = defaultdict(list)
    chains: list[tuple[int, int, int, int]] = []
    for place, leads in enumerate(automaton.arcs):
        for word, target in leads.items():
            for way in lexicon[word]:
                first, after = graph.chain(way)
                entries[place].append((way[0], words[word], first))
                chains.append((target, way[-1], first + len(way) - 1, after))
    for state in (start, silent):
        graph.arcs[state] += entries[automaton.start]
    final: set[int] = set()
    for target, last, held, after in chains:
        if automaton.accepting[target]:
            final.update((held, after))
        graph.arcs[after] += entries[target]
        graph.arcs[held] += [arc for arc in entries[target] if arc[0] != last]
    return graph.arcs, final


def fst(arcs: list[list[Arc]], final: set[int]) -> bytes:
    """Write states and arcs as an OpenFst vector of the tropical semiring."""

    def text(value: str) -> bytes:
        return struct.pack("<i", len(value)) + value.encode()

    parts = [
        struct.pack("<i", MAGIC) + text("vector") + text("standard"),
        struct.pack("<iiQqqq", VERSION, 0, EXPANDED_AND_MUTABLE, 0, len(arcs), 0),
    ]
    for state, leads in enumerate(arcs):
        cost = 0.0 if state in final else float("inf")
        parts.append(struct.pack("<fq", cost, len(leads)))
        parts += [struct.pack("<iifi", 2 * unit + 1, word, 0.0, to) for unit, word, to in leads]
    return b"".join(parts)
