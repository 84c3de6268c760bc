"""Stretches of known words in; how a voice says them, out; arrays, no file.

Ridge regression of which word it is on what the stretch holds, solved at once: with five examples
of a word there is nothing to search for. Each stretch is taken a frame longer and shorter too, as
sums over layouts take it. How sharp the scores are comes from calls that were left out, so that
words which do not tell each other apart count for little.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calllog.recognise.alignment import aligned
from calllog.recognise.known_words import POINTS, KnownWords, places
from calllog.recognise.shift import Array, of_rank
from calllog.recognise.word_sums import Units

PENALTY = 0.03
"""What the square of the weights costs, against the mean variance of what they read."""
RANK = 32
"""Of what is kept."""
FEWEST = 2
"""Of a word that was said in fewer calls nothing is learned: it is heard as by its units."""
ABOUT = ((0, 0), (-1, 1), (1, -1), (0, 1), (1, 0), (-1, 0), (0, -1))
"""Frames by which first and last of a stretch are moved."""
AS_IT_IS = ((0, 0),)
SHARPNESSES = (2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0)
"""The sharpest is what two dozen calls without an error can show."""
LEAST_RIGHT = 0.75
"""Words are kept if so many of the stretches that were left out are told right."""


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """A word of a call."""

    word: str
    call: int
    """Which call it is of."""
    inner: Array
    """What the call's frames are read from, shape (frames, 288)."""
    first: int
    last: int


def stretches(
    words: Sequence[tuple[str, Units]], outputs: Array, inner: Array, call: int
) -> tuple[Stretch, ...]:
    """Find the words of a call in it.

    Args:
        words: its words, each with its units.
        outputs: log-probabilities of the units, shape (frames, units).
        inner: of the same frames, shape (frames, 288).
        call: which call it is.
    """
    units = [unit for _, of_word in words for unit in of_word]
    if len(outputs) < 2 * len(units):
        return ()
    path, _ = aligned(outputs, units)
    found, begin = [], 0
    for word, of_word in words:
        end = begin + len(of_word)
        there = np.flatnonzero((path % 2 == 1) & (path // 2 >= begin) & (path // 2 < end))
        begin = end
        if len(there):
            found.append(Stretch(word, call, inner, int(there[0]), int(there[-1])))
    return tuple(found)


def learn_words(
    taught: Sequence[Stretch],
    sharpness: float,
    before: KnownWords | None = None,
    moved: Sequence[tuple[int, int]] = ABOUT,
) -> KnownWords | None:
    """Learn how a voice says its words.

    Args:
        taught: stretches of its calls.
        sharpness: what makes log-odds of scores.
        before: what was learned of it before, from which nothing is taken back without reason.
        moved: frames by which the stretches are moved.

    Returns:
        None where there are not two words to tell apart.
    """
    calls = Counter(word for word, _ in {(each.word, each.call) for each in taught})
    known = () if before is None else before.words
    words = tuple(sorted({*known, *(word for word, count in calls.items() if count >= FEWEST)}))
    of = [each for each in taught if each.word in words]
    if len({each.word for each in of}) < 2:  # noqa: PLR2004 - one word is told from none
        return before
    read = [(_read(each, by), words.index(each.word)) for each in of for by in moved]
    rows = np.array([row for row, _ in read if row is not None], np.float32)
    word = np.array([place for row, place in read if row is not None], np.intp)
    counts = np.bincount(word, minlength=len(words))
    share = (1.0 / counts[word]) / np.count_nonzero(counts)
    mean = np.asarray(share @ rows, np.float32)
    wanted = np.eye(len(words))[word]
    usual = share @ wanted
    root = np.sqrt(share)[:, None].astype(np.float32)
    rows = (rows - mean) * root
    start = _of(before, words, rows.shape[1])
    missing = (wanted - usual) * root - rows @ start
    penalty = PENALTY * float(np.square(rows).sum()) / rows.shape[1]
    weights = start + _ridge(rows, missing, penalty)
    by_point = weights.reshape(POINTS, -1, len(words)).transpose(1, 0, 2)
    kept = of_rank(by_point.reshape(by_point.shape[0], -1), np.zeros(0), RANK)
    found = KnownWords(words, kept.reads, kept.moves, np.zeros(len(words), np.float32), sharpness)
    bias = np.asarray(usual - mean @ found.weights, np.float32)
    return KnownWords(words, kept.reads, kept.moves, bias, sharpness)


def _read(stretch: Stretch, by: tuple[int, int]) -> Array | None:
    """Read a stretch at its points; None where it is too short to be moved so."""
    first = max(0, stretch.first + by[0])
    last = min(len(stretch.inner) - 1, stretch.last + by[1])
    return stretch.inner[first + places(last - first)].ravel() if last >= first else None


def _of(before: KnownWords | None, words: tuple[str, ...], values: int) -> npt.NDArray[np.float32]:
    start = np.zeros((values, len(words)), np.float32)
    if before is not None:
        start[:, [words.index(word) for word in before.words]] = before.weights
    return start


def _ridge(
    rows: Array, wanted: npt.NDArray[np.floating], penalty: float
) -> npt.NDArray[np.float64]:
    """Solve ridge regression, by rows or by values, whichever are fewer."""
    count, values = rows.shape
    inner = rows @ rows.T if count < values else rows.T @ rows
    inner = inner.astype(np.float64) + penalty * np.eye(len(inner))
    if count < values:
        return np.asarray(rows.T @ np.linalg.solve(inner, wanted), np.float64)
    return np.asarray(np.linalg.solve(inner, rows.T @ wanted), np.float64)


def sharpness_of(left_out: Sequence[tuple[KnownWords, Sequence[Stretch]]]) -> float:
    """Tell how sharp scores are, from stretches that were left out of what was learned.

    Returns:
        The sharpness by which they are likeliest; 0 where too few of them are told right.
    """
    scores: list[tuple[npt.NDArray[np.float64], int]] = []
    for known, tested in left_out:
        weights = known.weights
        for each in tested:
            row = _read(each, (0, 0))
            if each.word in known.words and row is not None:
                one = np.asarray(row @ weights + known.bias, np.float64)
                scores.append((one, known.words.index(each.word)))
    if not scores:
        return 0.0
    if np.mean([one.argmax() == word for one, word in scores]) < LEAST_RIGHT:
        return 0.0

    def nats(sharpness: float) -> float:
        return float(
            np.mean(
                [
                    sharpness * (one[word] - one.max())
                    - np.log(np.exp(sharpness * (one - one.max())).sum())
                    for one, word in scores
                ]
            )
        )

    return max(SHARPNESSES, key=nats)
