"""Expression trees in; the graph of words that PocketSphinx searches out; pure.

The engine looks at each state of a graph twice in each frame, whether anything is going on there or
not, so a graph costs by its states. A JSGF grammar, as the engine itself unfolds it, has a state
for each word of each phrase and several for each pair of brackets: ten times as many as are needed.
Here phrases that begin alike share their beginning (weighted determinisation: Mohri,
"Finite-state transducers in language and speech processing", Computational Linguistics 23, 1997)
and what goes on alike shares the rest. Each alternative of a choice has the same share, as in JSGF.

Between words stand two kinds of states:

- *Ends*: where a word ends that leads to the same rest. What is said there is held apart from what
  other words said, and silence may follow, so that other wordings are not lost to the best one.
- *Beginnings*: where words begin, one for each phone that the engine takes to stand before them.
  It knows one alone for a state, the first of all in the order of their names, silence among them.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

from calllog.spoken.expression import Choice, Expression, Phrase, Sequence

STEP_NATS = 1024 * math.log(1.0001)
"""The engine's scores are whole numbers of this [nat]."""
SILENCE = "SIL"
"""The phone that silence has in the model; it may stand before every word."""


@dataclass(frozen=True, slots=True)
class WordGraph:
    """States, numbered from 0, and what leads from one to another; weights in steps, 0 or less."""

    states: int
    begin: int
    final: int
    words: Mapping[tuple[int, int, str], int]
    """From, to and word: its weight."""
    empty: Mapping[tuple[int, int], int]
    """From and to, without a word: its weight. No chain of them is needed."""
    silent: frozenset[int]
    """States at which there may be silence."""


def build_word_graph(
    trees: tuple[Expression, ...], last_phones: Callable[[str], frozenset[str]]
) -> WordGraph:
    """Build the graph of everything that some trees can say.

    Args:
        trees: each as likely as the others.
        last_phones: the phones that a word may end with.
    """
    junctions, start = _determined(trees)
    numbers: dict[tuple[str | int, ...], int] = {}
    words: dict[tuple[int, int, str], int] = {}
    empty: dict[tuple[int, int], int] = {}

    def state(*name: str | int) -> int:
        return numbers.setdefault(name, len(numbers))

    begin, final, first = state("begin"), state("final"), state("words", start, SILENCE)
    # Two states of silence at either end: with one alone the engine's list of hypotheses leaves out
    # what the silence costs, and all that did not pass through that one.
    empty[begin, first] = 0
    silent = {begin, final, first}
    waiting, met = [(start, SILENCE)], {(start, SILENCE)}
    while waiting:
        here, before = waiting.pop()
        for word, (weight, after) in junctions[here].leads.items():
            end = state("end", after, word)
            silent.add(end)
            words[state("words", here, before), end, word] = weight
            if junctions[after].leads:
                then = (after, min({SILENCE} | last_phones(word)))
                empty[end, state("words", *then)] = 0
                if then not in met:
                    met.add(then)
                    waiting.append(then)
            if (last := junctions[after].last) is not None:
                empty[end, final] = last
    return WordGraph(len(numbers), begin, final, words, empty, frozenset(silent))


@dataclass(frozen=True, slots=True)
class _Junction:
    """What may follow after some words."""

    leads: dict[str, tuple[int, int]]
    """For each word its weight in steps, and the junction after it."""
    last: int | None
    """What it weighs in steps that nothing follows; None: something must."""


@dataclass(slots=True)
class _Loose:
    """States joined as the trees read; weights are natural logarithms."""

    words: list[list[tuple[str, float, int]]] = field(default_factory=list)
    """For each state the words that lead on, their weights, and where they lead."""
    empty: list[list[tuple[float, int]]] = field(default_factory=list)

    def new(self) -> int:
        self.words.append([])
        self.empty.append([])
        return len(self.words) - 1

    def add(self, tree: Expression, begin: int, end: int, weight: float) -> None:
        """Join two states by everything that the tree can say."""
        match tree:
            case Phrase(text):
                self._add_fixed([text.split()], begin, end, weight)
            case Choice(options):
                fixed = [option.text.split() for option in options if isinstance(option, Phrase)]
                others = [option for option in options if not isinstance(option, Phrase)]
                firsts = {said[0] for said in fixed}
                share = weight - math.log(max(1, len(firsts) + len(others)))
                self._add_fixed(fixed, begin, end, share)
                for option in others:
                    self.add(option, begin, end, share)
            case Sequence(parts):
                *before, last = parts
                for part in before:
                    after = self.new()
                    self.add(part, begin, after, weight)
                    begin, weight = after, 0.0
                self.add(last, begin, end, weight)

    def _add_fixed(self, fixed: list[list[str]], begin: int, end: int, weight: float) -> None:
        """Add phrases, given as words, that share their first words; each first word weighs so."""
        following: defaultdict[str, list[list[str]]] = defaultdict(list)
        for first, *rest in fixed:
            following[first].append(rest)
        for word, rests in following.items():
            longer = [rest for rest in rests if rest]
            if not longer:
                self.words[begin].append((word, weight, end))
                continue
            after, may_end = self.new(), len(longer) < len(rests)
            self.words[begin].append((word, weight, after))
            share = -math.log(len({rest[0] for rest in longer}) + may_end)
            if may_end:
                self.empty[after].append((share, end))
            self._add_fixed(longer, after, end, share)

    def reached(self, weights: Mapping[int, float]) -> dict[int, float]:
        """Add what is reached without a word; each state weighs what its best way does."""
        found, waiting = dict(weights), list(weights)
        while waiting:
            state = waiting.pop()
            for weight, after in self.empty[state]:
                total = found[state] + weight
                if total > found.get(after, -math.inf):
                    found[after] = total
                    waiting.append(after)
        return found

    def onward(self, weights: Mapping[int, float]) -> Iterator[tuple[str, dict[int, float]]]:
        """For each word that leads on, in order: the states that it leads to, and their weights."""
        found: defaultdict[str, dict[int, float]] = defaultdict(dict)
        for state, before in weights.items():
            for word, weight, after in self.words[state]:
                total = max(before + weight, found[word].get(after, -math.inf))
                found[word][after] = total
        for word in sorted(found):
            yield word, self.reached(found[word])


def _determined(trees: tuple[Expression, ...]) -> tuple[list[_Junction], int]:
    """Give junctions from which each word leads to one other alone, and the first of them."""
    loose = _Loose()
    begin, end = loose.new(), loose.new()
    for tree in trees:
        loose.add(tree, begin, end, -math.log(len(trees)))
    found: list[_Junction] = []
    alike: dict[tuple[object, ...], int] = {}
    built: dict[tuple[tuple[int, int], ...], int] = {}

    def junction(weights: Mapping[int, float]) -> int:
        """Give the junction at which one is in several states at once, each with what is left."""
        steps = {state: round(weight / STEP_NATS) for state, weight in weights.items()}
        name = tuple(sorted(steps.items()))
        if name in built:
            return built[name]
        leads = {}
        for word, after in loose.onward({s: n * STEP_NATS for s, n in steps.items()}):
            best = max(after.values())
            left = {s: w - best for s, w in after.items() if s == end or loose.words[s]}
            then = junction(left)
            if found[then].leads or found[then].last is not None:
                leads[word] = (round(best / STEP_NATS), then)
        made = _Junction(leads, steps.get(end))
        key = (made.last, tuple(leads.items()))
        if key not in alike:
            alike[key] = len(found)
            found.append(made)
        built[name] = alike[key]
        return built[name]

    return found, junction(loose.reached({begin: 0.0}))
