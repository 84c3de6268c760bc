"""Differences of double measurements in, the crew's repeatability out; pure.

``s = sqrt(sum d^2 / 2n)`` of one measurement, half of ``sqrt(sum d^2 / n)`` of the mean of a pair
(from memory: any text on adjustment). The differences are taken to have no mean of their own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from calllog.lines.runs import least_spread_ft
from calllog.units import reading_ft
from calllog.values import ReadingUnit, Segment

LEVEL = 0.95
"""Level of confidence of the interval."""


@dataclass(frozen=True, slots=True)
class Repeatability:
    """How well a crew repeats itself, from its checks."""

    pairs: int
    s_one_ft: float
    """Standard deviation of one measurement [ft]."""
    low_ft: float
    high_ft: float
    """Interval of that at 95 %, from chi-square with as many degrees of freedom as pairs [ft]."""

    @property
    def s_mean_ft(self) -> float:
        """Standard deviation of the mean of a pair [ft]."""
        return self.s_one_ft / math.sqrt(2)

    def floored(self, unit: ReadingUnit) -> tuple[Repeatability, bool]:
        """Give the figures no finer than what is read, and whether any had to be raised.

        Of a reading to the least count, anywhere within half of it: that over ``sqrt(3)`` (GUM
        F.2.2.1).
        """
        least_ft = least_spread_ft(unit)
        raised = replace(
            self,
            s_one_ft=max(self.s_one_ft, least_ft),
            low_ft=max(self.low_ft, least_ft),
            high_ft=max(self.high_ft, least_ft),
        )
        return raised, raised.s_one_ft > self.s_one_ft


def repeatability(differences_ft: Sequence[float]) -> Repeatability | None:
    """Find a crew's repeatability from its check differences.

    Args:
        differences_ft: check less take, one for each pair [ft].

    Returns:
        The figures, or None without a pair.

    Example:
        >>> found = repeatability([0.01, -0.01, 0.0, 0.01])
        >>> round(found.s_one_ft, 5), round(found.s_mean_ft, 5)
        (0.00612, 0.00433)
    """
    from scipy.special import chdtri  # noqa: PLC0415 - 20 MB that listening does not need

    pairs = len(differences_ft)
    if not pairs:
        return None
    squares = math.fsum(one * one for one in differences_ft)
    least, most = (float(chdtri(pairs, tail)) for tail in ((1 - LEVEL) / 2, (1 + LEVEL) / 2))
    return Repeatability(
        pairs=pairs,
        s_one_ft=math.sqrt(squares / (2 * pairs)),
        low_ft=math.sqrt(squares / 2 / least),
        high_ft=math.sqrt(squares / 2 / most),
    )


def differences_ft(
    segments: Sequence[Segment], unit: ReadingUnit = ReadingUnit.FOOT
) -> list[float]:
    """List check less take of the pulls whose two observations agreed, in order [ft].

    Blunders say nothing of repeatability, so pulls that needed a decision do not count.
    """
    return [
        reading_ft(one.difference, unit)
        for one in segments
        if one.difference is not None and one.decided_by == "policy"
    ]


def decided(segments: Sequence[Segment]) -> int:
    """Count the checked pulls that say nothing of repeatability, since they needed a decision."""
    return sum(one.difference is not None and one.decided_by != "policy" for one in segments)
