"""Lengths and their errors in, as they are told out: k = 2, and 1:N no finer than is read; pure."""

import math
from dataclasses import dataclass
from fractions import Fraction

from calllog.lines.classes import PrecisionClass
from calllog.lines.runs import one_in
from calllog.units import in_unit, reading_ft
from calllog.values import ReadingUnit

COVERAGE = 2
"""The k of an expanded uncertainty: about 95 % (GUM 6.3.3, G.6.6)."""
NEAR = 1e-9
"""Of a last digit: what the binary form of a number may add to it."""


def plus_minus(length_ft: float, u_ft: float, unit: ReadingUnit) -> str:
    """Say a length with its expanded uncertainty, k = 2, to the last digit that is read.

    The uncertainty is rounded up, so that it is never told too small, and never 0.00.

    Args:
        length_ft: the length [ft].
        u_ft: its standard uncertainty, k = 1 [ft].
        unit: what the tape is graduated in, in which it is said.

    Example:
        >>> plus_minus(315.1274, 0.0371, ReadingUnit.FOOT)
        '315.13 \u00b1 0.08 ft'
    """
    one, digits = 10**unit.digits, unit.digits
    expanded = max(1, math.ceil(one * in_unit(COVERAGE * u_ft, unit) - NEAR)) / one
    return f"{in_unit(length_ft, unit):z.{digits}f} \u00b1 {expanded:.{digits}f} {unit.symbol}"


@dataclass(frozen=True, slots=True)
class Ratio:
    """A relative precision 1:N as it may be told."""

    n: Fraction
    """Exact where it is not floored."""
    is_floored: bool = False
    """The error is less than one least count: it was taken for one, since less cannot be read."""

    def meets(self, wanted: PrecisionClass) -> bool | None:
        """Tell whether it is as good as a class; None where the readings cannot show it."""
        if wanted.is_met(self.n):
            return True
        return None if self.is_floored else False


def ratio_as_read(error_ft: float, length_ft: float, unit: ReadingUnit) -> Ratio | None:
    """Give 1:N of an error that was found by reading tapes: no smaller than one least count.

    Returns:
        The ratio, or None for a length that is not above 0.

    Example:
        >>> ratio_as_read(0.0, 315.0, ReadingUnit.FOOT)
        Ratio(n=Fraction(31500, 1), is_floored=True)
    """
    least_ft = reading_ft(1, unit)
    is_floored = abs(error_ft) < least_ft * (1 - NEAR)
    told_ft = least_ft if is_floored else error_ft
    n = one_in(in_unit(told_ft, unit), in_unit(length_ft, unit))
    return None if n is None or n <= 0 else Ratio(n, is_floored)
