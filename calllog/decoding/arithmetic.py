"""How an edition adds, takes powers and tells what is likelier; pure.

What was called must lead to the same question on every computer. numpy adds in an order of its
own for each kind of processor, Python adds otherwise since 3.12, and each C library has powers of
its own: the last bits differ, and where two calls are in equal doubt these alone chose the one
that was asked. From edition 5 on the decoding takes only steps of which IEEE 754 or a document
says each bit; and shares that differ by less than can be meant are equal
(decision 190).
"""

import math
from collections.abc import Iterable
from decimal import ROUND_HALF_EVEN, Context, Decimal
from functools import lru_cache, reduce
from operator import add
from typing import Protocol

import numpy as np

from calllog.decoding.blunders import Pairs
from calllog.decoding.repeatability import spread, spread_to_digits
from calllog.decoding.space import Vector

FIRST_EXACT = 5
"""The first edition whose arithmetic is the same on every computer."""
GRID = 2**30
"""Shares are told to one part in so many: far finer than any prior is known, far coarser than what
rounding leaves (about 1e-13)."""
DIGITS = Context(prec=25, rounding=ROUND_HALF_EVEN)
"""Of powers, before they are rounded to a float: `decimal` rounds its `ln` and `exp` correctly."""
QUARTER = 0.25
FEW = 256
"""Numbers that are added one by one in less time than it takes to gather them."""
MANTISSA = 53
"""Bits of a float."""
LARGE = 2.0**900
PASSES = 6
"""In which numbers are gathered: enough for those that differ by a factor of 2^200."""


class Arithmetic(Protocol):
    """What the joint decoding needs beside single steps, each of which is rounded correctly."""

    def total(self, values: Vector) -> float:
        """Add the values of a vector."""

    def listed(self, values: Iterable[float]) -> float:
        """Add a few values."""

    def product(self, one: Vector, other: Vector) -> float:
        """Add the products of two vectors, one by one."""

    def toward(self, pairs: Pairs, other: Vector) -> Vector:
        """Add over the pairs of each length the weight times the other one's value."""

    def power(self, base: float, exponent: float) -> float:
        """Take a power of a share above 0."""

    def quarter_power(self, values: Vector) -> Vector:
        """Take the power of a quarter."""

    def spread(self, deviation: float) -> Vector:
        """Give the probability of each difference (`calllog.decoding.repeatability.spread`)."""

    def told(self, share: float) -> float:
        """Give a share as it is compared with others and with what things cost."""


class AsBuilt:
    """The arithmetic of editions 1 to 4, whose last bits are the computer's.

    A few values are added as Python 3.11 adds them, which is what those jobs were recorded by.
    """

    def total(self, values: Vector) -> float:
        """Add in numpy's order."""
        return float(values.sum())

    def listed(self, values: Iterable[float]) -> float:
        """Add from left to right."""
        return reduce(add, values, 0.0)

    def product(self, one: Vector, other: Vector) -> float:
        """Add as the library for vectors does."""
        return float(one @ other)

    def toward(self, pairs: Pairs, other: Vector) -> Vector:
        """Add in numpy's order."""
        return pairs.toward(other)

    def power(self, base: float, exponent: float) -> float:
        """Take the C library's."""
        return float(base**exponent)

    def quarter_power(self, values: Vector) -> Vector:
        """Take numpy's."""
        return np.asarray(values**QUARTER, dtype=np.float64)

    def spread(self, deviation: float) -> Vector:
        """Take the C library's error function."""
        return spread(deviation)

    def told(self, share: float) -> float:
        """Compare to the last bit."""
        return share


class Exact:
    """The arithmetic since edition 5: the same bits wherever floats are those of IEEE 754."""

    def total(self, values: Vector) -> float:
        """Round the true sum once, whatever the order."""
        return math.fsum(_gathered(values))

    def listed(self, values: Iterable[float]) -> float:
        """Round the true sum once, whatever the order."""
        return math.fsum(values)

    def product(self, one: Vector, other: Vector) -> float:
        """Round each product, then their true sum once."""
        return self.total(one * other)

    def toward(self, pairs: Pairs, other: Vector) -> Vector:
        """Add in the order of the list."""
        shares = pairs.weight * other[pairs.second]
        return np.asarray(np.bincount(pairs.first, shares, other.size), dtype=np.float64)

    def power(self, base: float, exponent: float) -> float:
        """Round a power of 25 digits."""
        return _power(base, exponent)

    def quarter_power(self, values: Vector) -> Vector:
        """Take two square roots, each of which is rounded correctly."""
        return np.asarray(np.sqrt(np.sqrt(values)), dtype=np.float64)

    def spread(self, deviation: float) -> Vector:
        """Round what is summed to many digits."""
        return spread_to_digits(deviation)

    def told(self, share: float) -> float:
        """Round to a grid, so that equal doubts are equal."""
        return round(share * GRID) / GRID


def _gathered(values: Vector) -> list[float]:
    """Give few numbers whose true sum is that of a vector.

    Beside a power of two that is larger than any sum of them, numbers leave their upper bits, which
    are added without rounding, in any order (Rump, Ogita and Oishi, "Accurate floating-point
    summation part I", SIAM Journal on Scientific Computing 31, 2008).
    """
    greatest = float(np.abs(values).max(initial=0.0))
    if values.size < FEW or not greatest < LARGE:
        return [*values.tolist()]
    spare = (values.size + 2).bit_length()
    above, found = math.frexp(greatest)[1] + spare, []
    for _ in range(PASSES):
        room = math.ldexp(1.0, above)
        upper = (values + room) - room
        found.append(float(upper.sum()))
        values = values - upper
        if not values.any():
            return found
        above += spare - MANTISSA
    return [*found, *values[values != 0.0].tolist()]


@lru_cache(maxsize=4096)
def _power(base: float, exponent: float) -> float:
    logarithm = DIGITS.multiply(DIGITS.ln(Decimal(base)), Decimal(exponent))
    return float(DIGITS.exp(logarithm))


AS_BUILT: Arithmetic = AsBuilt()
EXACT: Arithmetic = Exact()


def arithmetic_of(edition: int) -> Arithmetic:
    """Give the arithmetic of an edition of the joint decoding."""
    return EXACT if edition >= FIRST_EXACT else AS_BUILT
