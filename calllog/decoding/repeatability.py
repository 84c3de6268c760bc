"""Differences of the day's accepted pairs in, how well the crew repeats itself out; pure."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from calllog.decoding.space import Vector

DEFAULT = 0.6
"""Standard deviation of check minus take before anything is known [hundredths]: a
crew's readings agree within 0.01 ft (common practice, no published source), so 98.8 % of pairs."""
WORTH = 20.0
"""How many pairs the default is worth."""
LEAST, MOST = 0.5, 1.5
"""Bounds [hundredths]: no crew is so good that 0.02 could not happen, none so bad that it could
not be told from a slip."""
KEPT = 60
"""Accepted pairs that count, the last ones."""
REACH = 6
"""Differences up to this are laid out one by one [hundredths]."""


def repeatability(differences: Sequence[int]) -> float:
    """Estimate the standard deviation of check minus take, shrunk towards the default.

    The mean of the default's square, as if from `WORTH` pairs, and of the squares found (the
    estimate under a scaled inverse chi-squared prior), within bounds.

    Args:
        differences: check minus take of accepted pairs, oldest first [hundredths].

    Returns:
        Standard deviation of a difference [hundredths].

    Example:
        >>> round(repeatability([]), 3), round(repeatability([0] * 60), 3)
        (0.6, 0.5)
    """
    used = differences[-KEPT:]
    squares = WORTH * DEFAULT**2 + sum(each * each for each in used)
    return min(max(math.sqrt(squares / (WORTH + len(used))), LEAST), MOST)


def spread(deviation: float) -> Vector:
    """Give the probability of each difference from -REACH to REACH hundredths; sums to one."""
    edges = np.arange(-REACH, REACH + 2) - 0.5
    below = np.array([0.5 * math.erfc(-edge / (deviation * math.sqrt(2.0))) for edge in edges])
    shares = np.diff(below)
    return np.asarray(shares / shares.sum(), dtype=np.float64)
