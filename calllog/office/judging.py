"""A line and its runs in, how precise it is and by what that is told out."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from calllog.lines import Closure, PrecisionClass, Ratio, one_in, ratio_as_read
from calllog.office.results import LineResult
from calllog.units import in_unit
from calllog.values import ReadingUnit


@dataclass(frozen=True, slots=True)
class Judged:
    """The relative precision of a line."""

    by: Literal["closure", "uncertainty", ""]
    """What it is told by: the measured closure, or else its uncertainty with k = 2; empty where
    neither is known."""
    ratio: Ratio | None
    """None where nothing is known."""

    def meets(self, wanted: PrecisionClass) -> bool | None:
        """Tell whether the line meets a class; None where it cannot be told."""
        return None if self.ratio is None else self.ratio.meets(wanted)


def judge(result: LineResult, runs: Sequence[Closure], unit: ReadingUnit) -> Judged:
    """Judge a line by its worst closure of these, or else by its uncertainty."""
    line, expanded_ft = result.line, result.expanded_ft
    measured = [each for each in runs if line is each.forward or line is each.again]
    if measured:
        worst = max(measured, key=lambda each: abs(each.difference_ft) / (each.mean_ft or 1.0))
        return Judged("closure", ratio_as_read(worst.difference_ft, worst.mean_ft, unit))
    if expanded_ft is None or line.horizontal_ft <= 0:
        return Judged("", None)
    n = one_in(in_unit(expanded_ft, unit), in_unit(line.horizontal_ft, unit))
    return Judged("uncertainty", Ratio(n) if n else None)
