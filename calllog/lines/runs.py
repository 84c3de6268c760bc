"""Corrected segments in, lines and what two runs of a line say of each other out; pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from calllog.lines.totals import NOT_CORRECTED
from calllog.values import Booking, CorrectedSegment

FIGURES = 2
"""Significant figures of a printed N."""


@dataclass(frozen=True, slots=True)
class Line:
    """One run of pulls between two named points."""

    line_from: str
    line_to: str
    corrected: tuple[CorrectedSegment, ...]

    @property
    def length_read_ft(self) -> float:
        """Sum of the lengths read, in the tapes' own marks [ft]."""
        return math.fsum(each.segment.length_read_ft for each in self.corrected)

    @property
    def horizontal_ft(self) -> float:
        """Sum of the horizontal lengths [ft]."""
        return math.fsum(each.horizontal_ft for each in self.corrected)

    @property
    def unchecked(self) -> tuple[int, ...]:
        """Numbers of the pulls that were not measured twice."""
        return tuple(
            each.segment.pull
            for each in self.corrected
            if each.segment.booking is Booking.UNCHECKED
        )

    @property
    def uncorrected(self) -> tuple[int, ...]:
        """Numbers of the pulls that stand as they were read."""
        return tuple(
            each.segment.pull
            for each in self.corrected
            if any(one.code == NOT_CORRECTED for one in each.segment.findings)
        )


@dataclass(frozen=True, slots=True)
class Closure:
    """A line forward against the same line back."""

    forward: Line
    back: Line

    @property
    def difference_ft(self) -> float:
        """Back less forward [ft]."""
        return self.back.horizontal_ft - self.forward.horizontal_ft

    @property
    def mean_ft(self) -> float:
        """Mean of both [ft]."""
        return (self.back.horizontal_ft + self.forward.horizontal_ft) / 2

    @property
    def one_in(self) -> float:
        """N of the relative precision 1:N: mean over difference; infinite where they are alike."""
        difference_ft = abs(self.difference_ft)
        return self.mean_ft / difference_ft if difference_ft else math.inf


def group_lines(corrected: Sequence[CorrectedSegment]) -> tuple[Line, ...]:
    """Put segments together that lie between the same two points in the same order.

    Args:
        corrected: in the order in which they were booked; lines may be interleaved.

    Returns:
        One line for each pair of points, in the order in which they were begun.
    """
    names = dict.fromkeys((each.segment.line_from, each.segment.line_to) for each in corrected)
    return tuple(
        Line(
            *name,
            tuple(
                each for each in corrected if (each.segment.line_from, each.segment.line_to) == name
            ),
        )
        for name in names
    )


def closures(lines: Sequence[Line]) -> tuple[Closure, ...]:
    """Find the lines that were run forward and back; the one begun first is forward."""
    by_name = {(line.line_from, line.line_to): line for line in lines}
    found: list[Closure] = []
    for index, line in enumerate(lines):
        back = by_name.get((line.line_to, line.line_from))
        if back is not None and back is not line and back in lines[index:]:
            found.append(Closure(line, back))
    return tuple(found)


def shown_one_in(one_in: float) -> int | None:
    """Round N of 1:N down to two significant figures, as it is printed; None for infinite.

    Raises:
        ValueError: N is no positive number.

    Example:
        >>> shown_one_in(11_693.0), shown_one_in(5_049.9), shown_one_in(math.inf)
        (11000, 5000, None)
    """
    if not one_in > 0:
        message = f"{one_in} is no relative precision"
        raise ValueError(message)
    if math.isinf(one_in):
        return None
    step: int = 10 ** max(0, math.floor(math.log10(one_in)) - FIGURES + 1)
    return math.floor(one_in / step) * step
