"""Pronunciations and frames of unit probabilities in; how probable each word is where, out; pure.

Connectionist temporal classification (Graves et al., ICML 2006): a network tells for each frame a
probability of each unit and of a blank. A unit lasts one frame or more, blanks may stand anywhere,
and between two equal units one must. The probability that a word is said from one frame to another
is the sum over all ways to lay out its units there; here that sum is computed for all words, all
first frames and all lengths at once. Words that begin alike share the work.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Indices = npt.NDArray[np.intp]
Units = tuple[int, ...]

BLANK = 0
"""Index of the blank."""


@dataclass(frozen=True, slots=True)
class Ends:
    """All pronunciations of a word that begin and end with the same units."""

    word: str
    first: int
    last: int


class WordSums:
    """The pronunciations of some words, ready to be summed.

    Args:
        pronunciations: for each word its ways to be said, each a sequence of unit indices, none of
            them empty or with a blank.
        longest: output frames of the longest word; sums leave out what would be longer.
    """

    def __init__(self, pronunciations: Mapping[str, tuple[Units, ...]], longest: int) -> None:
        ways: dict[Ends, list[Units]] = {}
        for word, said in pronunciations.items():
            for units in said:
                ways.setdefault(Ends(word, units[0], units[-1]), []).append(units)
        self.ends = tuple(ways)
        """What the rows of the sums are."""
        self.rows: dict[str, tuple[int, ...]] = dict.fromkeys(pronunciations, ())
        """The rows of each word."""
        for row, ends in enumerate(self.ends):
            self.rows[ends.word] += (row,)
        begun = {u[:n] for said in ways.values() for u in said for n in range(1, len(u) + 1)}
        parts = sorted(begun, key=lambda part: (len(part), part))
        place = {part: index for index, part in enumerate(parts)}
        self._units: Indices = np.array([part[-1] for part in parts], np.intp)
        self._first = sum(len(part) == 1 for part in parts)
        later = parts[self._first :]
        self._before: Indices = np.array([place[part[:-1]] for part in later], np.intp)
        """For each part of more than one unit, where the part without its last unit stands."""
        self._repeats: Indices = np.array(
            [i for i, part in enumerate(later) if part[-1] == part[-2]], np.intp
        )
        counts = [len(said) for said in ways.values()]
        self._ends: Indices = np.array([place[u] for said in ways.values() for u in said], np.intp)
        self._starts: Indices = np.cumsum([0, *counts[:-1]], dtype=np.intp)
        self._longest = longest

    def sums(self, frames: Array) -> Array:
        """Sum the probability of each word over all its layouts.

        Args:
            frames: probability of each unit, shape (T, units); any scale.

        Returns:
            Shape (words' ends, lengths, T): at [k, d, t] the probability that word k's first unit
            begins at frame t and its last unit's last frame is t + d.
        """
        count = len(frames)
        lengths = min(count, self._longest)
        blank = frames[:, BLANK]
        spoken = np.ascontiguousarray(frames.T[self._units])
        result = np.zeros((len(self.ends), lengths, count))
        in_unit = np.zeros_like(spoken)
        in_unit[: self._first] = spoken[: self._first]
        in_blank = np.zeros_like(spoken)
        for longer in range(lengths):
            left = count - longer
            if longer:
                in_unit, in_blank = in_unit[:, :left], in_blank[:, :left]
                either = in_unit + in_blank
                entering = either[self._before]
                entering[self._repeats] = in_blank[self._before[self._repeats]]
                in_unit[self._first :] += entering
                in_unit *= spoken[:, longer:]
                np.multiply(either, blank[longer:], out=in_blank)
            np.add.reduceat(in_unit[self._ends], self._starts, axis=0, out=result[:, longer, :left])
        return result
