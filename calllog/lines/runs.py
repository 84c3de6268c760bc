"""Corrected segments in, lines and what two runs of a line say of each other out; pure."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from calllog.lines.totals import NOT_CORRECTED, kind_of_all
from calllog.units import reading_ft
from calllog.values import Booking, BookPolicy, CorrectedSegment, DistanceKind, ReadingUnit, RunName

FIGURES = 2
"""Significant figures of a printed N."""
STEPS = 10**6
"""Lengths are compared in millionths of their unit, finer than any tape, so that binary rounding
does not decide whether a class is met."""


@dataclass(frozen=True, slots=True)
class Line:
    """One run of pulls between two named points."""

    line_from: str
    line_to: str
    corrected: tuple[CorrectedSegment, ...]
    run: int = 1
    """Which run in this direction."""

    @property
    def name(self) -> RunName:
        """Its name."""
        return RunName(self.line_from, self.line_to, self.run)

    @property
    def length_read_ft(self) -> float:
        """Sum of the lengths read, in the tapes' own marks [ft]."""
        return math.fsum(each.segment.length_read_ft for each in self.corrected)

    @property
    def horizontal_ft(self) -> float:
        """Sum of the corrected lengths; horizontal only where `kind` says so [ft]."""
        return math.fsum(each.horizontal_ft for each in self.corrected)

    @property
    def kind(self) -> DistanceKind:
        """Whether that sum is horizontal, or lies along a slope that is not known."""
        return kind_of_all(each.kind for each in self.corrected)

    @property
    def policies(self) -> tuple[BookPolicy, ...]:
        """What is recorded of its pulls when first and check agree; one policy as a rule."""
        return tuple(dict.fromkeys(each.book for each in self.corrected))

    @property
    def unchecked(self) -> tuple[int, ...]:
        """Numbers of the pulls that were not measured twice."""
        return tuple(
            each.segment.pull
            for each in self.corrected
            if each.segment.booking is Booking.UNCHECKED
        )

    @property
    def lacking(self) -> dict[str, tuple[int, ...]]:
        """Corrections that are not known for some pull that is corrected, with their pulls."""
        found: dict[str, tuple[int, ...]] = {}
        for each in self.corrected:
            pull = each.segment.pull
            for name, value in each.corrections.model_dump().items():
                if value is None and pull not in self.uncorrected:
                    kind = name.removesuffix("_ft")
                    found[kind] = (*found.get(kind, ()), pull)
        return found

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
    """A line forward against the same line back, or once more forward."""

    forward: Line
    again: Line

    @property
    def is_back(self) -> bool:
        """Whether the second run went the other way."""
        return self.again.line_from != self.forward.line_from

    @property
    def kind(self) -> DistanceKind:
        """Which way the two lie: horizontal only if both do."""
        return kind_of_all((self.forward.kind, self.again.kind))

    @property
    def difference_ft(self) -> float:
        """The second less the first [ft]."""
        return self.again.horizontal_ft - self.forward.horizontal_ft

    @property
    def mean_ft(self) -> float:
        """Mean of both [ft]."""
        return (self.again.horizontal_ft + self.forward.horizontal_ft) / 2


@dataclass(frozen=True, slots=True)
class Spread:
    """What several runs of one line say together."""

    runs: int
    mean_ft: float
    s_one_ft: float
    """Standard deviation of one run, with n - 1 degrees of freedom [ft]."""

    @property
    def s_mean_ft(self) -> float:
        """Standard deviation of the mean [ft]."""
        return self.s_one_ft / math.sqrt(self.runs)

    def floored(self, unit: ReadingUnit) -> tuple[Spread, bool]:
        """Give the figures no finer than what is read, and whether they had to be raised.

        Of a reading to the least count, anywhere within half of it: that over ``sqrt(3)`` (GUM
        F.2.2.1).
        """
        raised = replace(self, s_one_ft=max(self.s_one_ft, least_spread_ft(unit)))
        return raised, raised.s_one_ft > self.s_one_ft


def least_spread_ft(unit: ReadingUnit) -> float:
    """Give the standard deviation that reading to the least count alone has [ft]."""
    return reading_ft(0.5, unit) / math.sqrt(3)


def group_lines(corrected: Sequence[CorrectedSegment]) -> tuple[Line, ...]:
    """Put segments together that are of one run between the same two points in the same order.

    They come as they were booked, lines interleaved or not; runs in the order of their beginnings.
    """
    found: dict[RunName, list[CorrectedSegment]] = {}
    for each in corrected:
        found.setdefault(each.run_name, []).append(each)
    return tuple(
        Line(line_from, line_to, tuple(pulls), run)
        for (line_from, line_to, run), pulls in found.items()
    )


def repeated(lines: Sequence[Line]) -> tuple[tuple[Line, ...], ...]:
    """Find the lines that were run more than once, either way, each with its runs in order."""
    found: dict[frozenset[str], list[Line]] = {}
    for line in lines:
        found.setdefault(frozenset({line.line_from, line.line_to}), []).append(line)
    return tuple(tuple(runs) for runs in found.values() if len(runs) > 1)


def closures(lines: Sequence[Line]) -> tuple[Closure, ...]:
    """Set each later run of a line against its first one, which counts as forward."""
    return tuple(Closure(runs[0], later) for runs in repeated(lines) for later in runs[1:])


def spread(lengths_ft: Sequence[float]) -> Spread:
    """Find mean and standard deviation of the lengths of several runs.

    ``s = sqrt(sum (x - mean)^2 / (n - 1))``, of the mean ``s / sqrt(n)``; University of Calgary,
    error analysis (read).

    Args:
        lengths_ft: at least two [ft].

    Example:
        >>> round(spread([1.18, 1.16, 1.18, 1.19, 1.21]).s_one_ft, 4)
        0.0182
    """
    return Spread(len(lengths_ft), statistics.fmean(lengths_ft), statistics.stdev(lengths_ft))


def one_in(error: float, length: float) -> Fraction | None:
    """Give N of the relative precision 1:N of a length, exactly.

    ``N = L / |e|``, both in whole millionths of their unit.

    Args:
        error: difference, or standard deviation, of either sign.
        length: that it is of, in the same unit.

    Returns:
        N, or None where there is no error to a millionth of the unit.

    Example:
        >>> one_in(0.01, 50.0)
        Fraction(5000, 1)
    """
    steps = abs(round(error * STEPS))
    return Fraction(round(length * STEPS), steps) if steps else None


def shown_one_in(n: Fraction | float, figures: int = FIGURES) -> int:
    """Round N of 1:N down to a few significant figures, as it is printed: never better than it was.

    Raises:
        ValueError: N is no positive number.

    Example:
        >>> shown_one_in(11_693), shown_one_in(11_693, 3), shown_one_in(5_049.9)
        (11000, 11600, 5000)
    """
    if not 0 < n < math.inf:
        message = f"{n} is no relative precision"
        raise ValueError(message)
    whole = math.floor(n)
    step: int = 10 ** max(0, len(str(whole)) - figures)
    return whole // step * step
