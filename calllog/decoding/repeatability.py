"""Differences of the day's accepted pairs in, how well the crew repeats itself out; pure."""

import math
from collections.abc import Sequence
from decimal import ROUND_HALF_EVEN, Context, Decimal
from functools import lru_cache
from itertools import pairwise

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
DIGITS = Context(prec=60, rounding=ROUND_HALF_EVEN)


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
    squares = WORTH * (DEFAULT * DEFAULT) + sum(each * each for each in used)
    return min(max(math.sqrt(squares / (WORTH + len(used))), LEAST), MOST)


def spread(deviation: float) -> Vector:
    """Give the probability of each difference from -REACH to REACH hundredths; sums to one."""
    edges = np.arange(-REACH, REACH + 2) - 0.5
    below = np.array([0.5 * math.erfc(-edge / (deviation * math.sqrt(2.0))) for edge in edges])
    shares = np.diff(below)
    return np.asarray(shares / shares.sum(), dtype=np.float64)


@lru_cache(maxsize=64)
def spread_to_digits(deviation: float) -> Vector:
    """Give the same as `spread`, each share the true one rounded once.

    What lies between two edges is the difference of the error function there,
    erf(x) = 2/sqrt(pi) exp(-x^2) sum of 2^n x^(2n+1) / (1 3 5 ... (2n+1))
    (Abramowitz and Stegun, 7.1.6), whose terms are all positive; the factor before it falls out.
    """
    scale = DIGITS.multiply(Decimal(deviation), DIGITS.sqrt(8))
    edges = [DIGITS.divide(2 * at + 1, scale) for at in range(REACH + 1)]
    within = [_error_function(edge) for edge in edges]
    beside = [DIGITS.subtract(more, less) for less, more in pairwise(within)]
    shares = [*reversed(beside), DIGITS.multiply(2, within[0]), *beside]
    whole = DIGITS.multiply(2, within[-1])
    return np.array([float(DIGITS.divide(each, whole)) for each in shares])


def _error_function(x: Decimal) -> Decimal:
    """Sum the series to all digits, but for the factor 2/sqrt(pi)."""
    square = DIGITS.multiply(x, x)
    twice = DIGITS.multiply(2, square)
    term = found = x
    at = 1
    while DIGITS.add(found, term) != found:
        at += 2
        term = DIGITS.divide(DIGITS.multiply(term, twice), at)
        found = DIGITS.add(found, term)
    return DIGITS.multiply(found, DIGITS.exp(DIGITS.minus(square)))
