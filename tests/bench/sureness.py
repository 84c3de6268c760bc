"""How sure a listener says it is, set beside how often it is right; pure.

Each thing heard is a pair: the probability that was told, and whether it was right. The expected
calibration error puts them into ten bins of equal width and adds up by how much the mean told in
each is off the share that is right, weighed by the bin's share of all (Guo, Pleiss, Sun and
Weinberger, "On calibration of modern neural networks", ICML 2017, eq. 3; from memory).

Of few calls it is never 0, not even for a listener that tells the truth; so beside its 95 %
interval stands what such a one would stay below.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
import numpy.typing as npt

BINS = 10
EDGES = (0.0, 0.5, 0.7, 0.8, 0.9, 0.95, 0.99, 1.0)
"""Of what is told, for reading; most of it is near 1."""
DRAWS = 2_000
SEED = 3011
WITHIN = (2.5, 97.5)
BELOW = 95.0
"""Percentiles."""

Told = tuple[float, bool]
"""The probability that was told, and whether it was right."""
Values = npt.NDArray[np.float64]


def calibration_error(told: Iterable[Told]) -> float:
    """Give the expected calibration error; 0 of nothing.

    Example:
        >>> round(calibration_error([(0.95, True), (0.95, True), (0.75, False), (0.75, True)]), 3)
        0.15
    """
    said, right = _arrays(told)
    if not said.size:
        return 0.0
    return float(_errors((said - right)[None, :], _bins(said))[0])


def error_interval(told: Iterable[Told]) -> tuple[float, float]:
    """Give the 95 % interval of the error: the calls drawn anew, by percentiles.

    It leans upward where the calls are few: each draw is a little farther off than the calls are.
    """
    said, right = _arrays(told)
    if not said.size:
        return 0.0, 0.0
    rng = np.random.default_rng(SEED)
    times = rng.multinomial(said.size, np.full(said.size, 1.0 / said.size), DRAWS)
    low, high = np.percentile(_errors(times * (said - right), _bins(said)), WITHIN)
    return float(low), float(high)


def error_if_true(told: Iterable[Told]) -> float:
    """Give what the error stays below, 95 times in 100, if what is told is true."""
    said, _ = _arrays(told)
    if not said.size:
        return 0.0
    rng = np.random.default_rng(SEED)
    right = rng.random((DRAWS, said.size)) < said
    return float(np.percentile(_errors(said - right, _bins(said)), BELOW))


def sureness(told: Sequence[Told]) -> dict[str, float]:
    """Give a row of a table: what is told at the mean, what is right, and the error."""
    said, right = _arrays(told)
    if not said.size:
        return {"n": 0}
    low, high = error_interval(told)
    return {
        "n": int(said.size),
        "told %": round(100 * float(said.mean()), 1),
        "right %": round(100 * float(right.mean()), 1),
        "error": round(calibration_error(told), 3),
        "from": round(low, 3),
        "to": round(high, 3),
        "if true, below": round(error_if_true(told), 3),
    }


def by_told(told: Sequence[Told]) -> dict[str, dict[str, float]]:
    """Give a row for each of `EDGES`' bins that holds anything."""
    said, right = _arrays(told)
    found = {}
    for low, high in pairwise(EDGES):
        inside = (said >= low) & ((said < high) | (high == EDGES[-1]))
        if inside.any():
            found[f"told {low:g} to {high:g}"] = {
                "n": int(inside.sum()),
                "told %": round(100 * float(said[inside].mean()), 1),
                "right %": round(100 * float(right[inside].mean()), 1),
            }
    return found


def _arrays(told: Iterable[Told]) -> tuple[Values, Values]:
    pairs = np.array([(said, float(right)) for said, right in told]).reshape(-1, 2)
    return pairs[:, 0], pairs[:, 1]


def _bins(said: Values) -> Values:
    """Tell which bin each is in, as a matrix of ones, shape (things, bins)."""
    found: Values = np.eye(BINS)[np.minimum((said * BINS).astype(int), BINS - 1)]
    return found


def _errors(off: Values, bins: Values) -> Values:
    """Add up what is off in each bin; shape (draws, things) in, (draws,) out."""
    found: Values = np.abs(off @ bins).sum(axis=1) / off.shape[1]
    return found
