"""Word sums and what may be said in; likelihoods of the whole and the best sentences, out; pure.

A sentence is words with blanks before, between and after them, at least one between two words where
the first ends with the unit that the next begins with. Its likelihood is the sum over all layouts.
Backward through the automaton of what may be said go vectors: at frame t the likelihood of
everything that may still follow from there. With them the sum over millions of sentences costs no
more than that over each word's places, and a search from the start always knows how much
likelihood lies ahead, so that the best sentences come out in order and each exactly.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numpy.lib.stride_tricks import sliding_window_view

from calllog.recognise.automaton import Automaton
from calllog.recognise.word_sums import BLANK, Array, Indices, WordSums

MOST_STEPS = 600
"""Prefixes that the search for the best sentences may go on from: at most some 40 ms."""
AT_ONCE = 16
"""Rows of the word sums that are weighed together: more would not stay in the processor's cache."""
HEADROOM_NATS = 500.0
"""Scaled likelihoods reach up to its exponential, so that they vanish the later by as much."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """Something that may have been said."""

    text: str
    nats: float
    """Log-likelihood of the frames under it, summed over all layouts [nat]."""


@dataclass(frozen=True, slots=True, eq=False)
class _Onward:
    """What leads on from a state."""

    words: tuple[str, ...]
    targets: tuple[int, ...]
    rows: tuple[tuple[int, ...], ...]
    """For each word, its rows of the word sums."""
    arc: Indices
    """For each of these rows, one after the other, which word it belongs to."""
    first: Indices
    """Their first units."""


class Sentences:
    """An automaton of words, ready to be weighed against frames.

    Args:
        automaton: what may be said.
        sums: the pronunciations of all its words.
        units: how many units there are, the blank among them.
    """

    def __init__(self, automaton: Automaton, sums: WordSums, units: int) -> None:
        self.automaton = automaton
        self.sums = sums
        self._differs = 1.0 - np.eye(units)
        self.onward: list[_Onward] = []
        """For each state, what leads on from it."""
        entries: list[dict[int, int]] = [{} for _ in automaton.arcs]
        """For each state the rows that lead to it, each with its place among them."""
        for arcs in automaton.arcs:
            rows = tuple(sums.rows[word] for word in arcs)
            flat = [row for of_word in rows for row in of_word]
            for of_word, target in zip(rows, arcs.values(), strict=True):
                for row in of_word:
                    entries[target].setdefault(row, len(entries[target]))
            self.onward.append(
                _Onward(
                    tuple(arcs),
                    tuple(arcs.values()),
                    rows,
                    np.array([i for i, of in enumerate(rows) for _ in of], np.intp),
                    np.array([sums.ends[row].first for row in flat], np.intp),
                )
            )
        begins = [0, *itertools.accumulate(len(each) for each in entries)]
        self._entries = [
            (
                begin,
                np.array([*rows], np.intp),
                np.array([sums.ends[row].last for row in rows], np.intp),
            )
            for begin, rows in zip(begins, entries, strict=False)
        ]
        """For each state the rows that lead to it: their first place, they, and their last units.

        All states' stand in one list, in the order of the states.
        """
        self._places = [
            np.array(
                [
                    begins[target] + entries[target][row]
                    for of_word, target in zip(each.rows, each.targets, strict=True)
                    for row in of_word
                ],
                np.intp,
            )
            for each in self.onward
        ]
        """For each state the places of the rows that lead on from it."""

    def weigh(self, frames: HeardFrames) -> WeighedSentences:
        """Weigh everything that may be said against frames."""
        count, longest = frames.count, frames.sums.shape[1]
        units = len(self._differs)
        ahead: list[Array] = []
        """For each state and each unit that came last, what is ahead of each frame."""
        from_row: list[Array] = []
        """For each state and each row that leads on, what is ahead from that row's first frame."""
        found = np.zeros((sum(len(rows) for _, rows, _ in self._entries), count + 1))
        """For each row that leads to a state, what is ahead from the row's first frame."""
        padded = np.zeros((units, count + 1 + longest))
        windows = sliding_window_view(padded[:, 1:], count, axis=1)[:, :longest]
        """For each last unit, length and first frame, what is ahead of the frame after both."""
        for state, onward in enumerate(self.onward):
            here = found[self._places[state]]
            entered = np.zeros((units, count + 1))
            np.add.at(entered, onward.first, here)
            total = frames.gaps @ entered.sum(axis=0)
            if self.automaton.accepting[state]:
                total = total + frames.after
            ahead.append(self._differs @ entered + total)
            from_row.append(here)
            padded[:, : count + 1] = ahead[state]
            begin, rows, lasts = self._entries[state]
            for part in range(0, len(rows), AT_ONCE):
                some = slice(part, part + AT_ONCE)
                place = begin + part
                found[place : place + len(rows[some]), :count] = np.einsum(
                    "rdt,rdt->rt", frames.sums[rows[some]], windows[lasts[some]]
                )
        return WeighedSentences(self, frames, ahead, from_row)


@dataclass(frozen=True, slots=True, eq=False)
class AsAnybody:
    """What a voice leaves as it is for anybody, and by what its words are multiplied."""

    log_probabilities: npt.NDArray[np.floating]
    """Natural, of each unit in each frame without the voice, shape (T, units)."""
    said: WordSums
    """The words that the voice said when it was learned: they alone are heard by it."""
    factors: Mapping[str, Array]
    """For words of it, by what their sums are multiplied, shape (lengths, T)."""


class HeardFrames:
    """The frames of one utterance, with the word sums and the blanks worked out.

    Args:
        log_probabilities: natural, of each unit in each frame, shape (T, units).
        sums: the pronunciations of all words that may be said.
        floor: the least probability that counts: no frame rules a unit out.
        anybody: for the frames of a known voice, what is heard as for anybody; None for all by
            these frames.
    """

    def __init__(
        self,
        log_probabilities: npt.NDArray[np.floating],
        sums: WordSums,
        floor: float,
        anybody: AsAnybody | None = None,
    ) -> None:
        floored = np.maximum(log_probabilities.astype(np.float64), math.log(floor))
        self.count = len(floored)
        most = floored.max(axis=1, keepdims=True)
        if anybody is not None:
            neutral = np.maximum(anybody.log_probabilities.astype(np.float64), math.log(floor))
            most = np.maximum(most, neutral.max(axis=1, keepdims=True))
        scale = most - HEADROOM_NATS / max(self.count, 1)
        self.probabilities: Array = np.exp(floored - scale)
        """Each frame scaled alike for all units, so that long products stay in range."""
        self.nats = float(scale.sum())
        """What the scaling took from every log-likelihood."""
        if anybody is None:
            self.sums = sums.sums(self.probabilities)
        else:
            self.sums = sums.sums(np.exp(neutral - scale))
            self._hear_by(anybody, sums)
        blank = self.probabilities[:, BLANK]
        self.gaps: Array = np.zeros((self.count + 1, self.count + 1))
        """Probability of blanks alone from one frame to a later one, at least one of them."""
        for frame in range(self.count):
            self.gaps[: frame + 1, frame + 1] = self.gaps[: frame + 1, frame] * blank[frame]
            self.gaps[frame, frame + 1] = blank[frame]
        self.before: Array = self.gaps[0].copy()
        """Probability of blanks alone up to each frame."""
        self.before[0] = 1.0
        self.after: Array = self.gaps[:, -1].copy()
        """Probability of blanks alone from each frame on."""
        self.after[-1] = 1.0

    def _hear_by(self, anybody: AsAnybody, sums: WordSums) -> None:
        """Put in the sums of the words that a voice said."""
        said = anybody.said
        by_voice = said.sums(self.probabilities)
        for word, rows in said.rows.items():
            by = anybody.factors.get(word)
            for row, its in zip(sums.rows[word], rows, strict=True):
                self.sums[row] = by_voice[its] if by is None else by_voice[its] * by

    def in_nats(self, likelihood: float) -> float:
        """Turn a likelihood of the scaled frames into a log-likelihood; none becomes -inf."""
        return math.log(likelihood) + self.nats if likelihood > 0.0 else -math.inf

    @property
    def spoken(self) -> float:
        """Share of the frames whose likeliest unit is no blank, from 0 to 1."""
        return float(np.mean(self.probabilities.argmax(axis=1) != BLANK)) if self.count else 0.0

    def loop_nats(self, weight: float) -> float:
        """Sum over every sequence of units, of any length, whether words or not.

        Args:
            weight: factor that each unit of a sequence costs.

        Returns:
            Log-likelihood [nat]: what free speech explains, whatever the grammar.
        """
        in_unit = np.zeros(self.probabilities.shape[1])
        in_blank, nats = 1.0, self.nats
        for frame in self.probabilities:
            total = in_unit.sum() + in_blank
            in_unit = (in_unit + weight * (total - in_unit)) * frame
            in_unit[BLANK] = 0.0
            in_blank = total * frame[BLANK]
            scale = in_unit.sum() + in_blank
            in_unit, in_blank = in_unit / scale, in_blank / scale
            nats += math.log(scale)
        return nats


_Lasts = dict[int, Array]
"""For each last unit, the likelihood that the words so far end right before each frame."""


@dataclass(frozen=True, slots=True, eq=False)
class _Prefix:
    """The first words of a sentence, or a whole one."""

    said: tuple[str, ...]
    state: int
    lasts: _Lasts | None
    """None: not worked out yet."""
    entering: tuple[_Entering, int] | None
    """The prefix before its last word, and that word's place among what leads on from there."""
    is_whole: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class _Entering:
    """How likely a next word begins at each frame after some words."""

    state: int
    common: Array
    """For a word whose first unit is not what came last."""
    special: dict[int, Array]
    """For the units that came last."""

    def of(self, unit: int) -> Array:
        return self.special.get(unit, self.common)


class WeighedSentences:
    """Everything that may be said, weighed against the frames of one utterance."""

    def __init__(
        self, sentences: Sentences, frames: HeardFrames, ahead: list[Array], from_row: list[Array]
    ) -> None:
        self._sentences = sentences
        self._frames = frames
        self._ahead = ahead
        self._from_row = from_row
        start = sentences.automaton.start
        # No unit is the blank, so its row holds what is ahead of any first word.
        self.total = float(frames.before[0] * ahead[start][BLANK][0])
        """Likelihood of the scaled frames under all that may be said."""

    @property
    def nats(self) -> float:
        """Log-likelihood of the frames under all that may be said, each sentence counted alike."""
        return self._frames.in_nats(self.total)

    def best(self) -> Iterator[Sentence]:
        """Yield sentences, likeliest first, as long as the search may go on."""
        frames, onward = self._frames, self._sentences.onward
        counter = itertools.count()
        heap: list[tuple[float, int, _Prefix]] = []

        def push(likelihood: float, prefix: _Prefix) -> None:
            if likelihood > 0.0:
                heapq.heappush(heap, (-likelihood, next(counter), prefix))

        start = self._sentences.automaton.start
        push(self.total, _Prefix((), start, {}, None))
        for _ in range(MOST_STEPS):
            if not heap:
                return
            negative, _, prefix = heapq.heappop(heap)
            if prefix.is_whole:
                yield Sentence(" ".join(prefix.said), frames.in_nats(-negative))
                continue
            lasts = self._lasts(prefix)
            if prefix.said and self._sentences.automaton.accepting[prefix.state]:
                whole = sum(float(v @ frames.after) for v in lasts.values())
                push(whole, _Prefix(prefix.said, prefix.state, None, None, is_whole=True))
            entering = self._entering(prefix.state, lasts)
            leads = onward[prefix.state]
            from_row = self._from_row[prefix.state]
            by_row = from_row @ entering.common
            for unit, vector in entering.special.items():
                which = np.flatnonzero(leads.first == unit)
                by_row[which] = from_row[which] @ vector
            by_word = np.bincount(leads.arc, by_row, len(leads.words))
            for index, likelihood in enumerate(by_word.tolist()):
                said = (*prefix.said, leads.words[index])
                target = leads.targets[index]
                push(likelihood, _Prefix(said, target, None, (entering, index)))

    def _entering(self, state: int, lasts: _Lasts) -> _Entering:
        frames = self._frames
        if not lasts:
            return _Entering(state, frames.before, {})
        total = sum(lasts.values(), np.zeros(frames.count + 1))
        spaced = total @ frames.gaps
        special = {
            unit: sum((v for other, v in lasts.items() if other != unit), spaced) for unit in lasts
        }
        return _Entering(state, spaced + total, special)

    def _lasts(self, prefix: _Prefix) -> _Lasts:
        if prefix.lasts is not None or prefix.entering is None:
            return prefix.lasts or {}
        entering, index = prefix.entering
        frames, sums = self._frames, self._sentences.sums
        lasts: _Lasts = {}
        for row in self._sentences.onward[entering.state].rows[index]:
            ends = sums.ends[row]
            said = entering.of(ends.first)[:-1] * frames.sums[row]
            longest = len(said)
            # Each row moves one frame further than the one above it: lengths become ends.
            spread = np.zeros((longest, frames.count + longest + 1))
            spread[:, : frames.count] = said
            moved = spread.ravel()[: longest * (frames.count + longest)].reshape(longest, -1)
            after = np.append(0.0, moved.sum(axis=0)[: frames.count])
            lasts[ends.last] = lasts.get(ends.last, 0.0) + after
        return lasts
