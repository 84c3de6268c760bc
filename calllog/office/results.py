"""A job's summary in, each line with its budget of uncertainty and as it is told out."""

from dataclasses import dataclass

from calllog.corrections import LineBudget, line_budget
from calllog.lines import COVERAGE, Line, group_lines, plus_minus
from calllog.office.summary import Summary
from calllog.pairing import Phase
from calllog.values import ReadingUnit


@dataclass(frozen=True, slots=True)
class LineResult:
    """A run of a line, and how well its length is known."""

    line: Line
    budget: LineBudget | None
    """None if no pull of it can be corrected."""

    @property
    def u_ft(self) -> float | None:
        """Standard uncertainty (k = 1) of its length; None if that of some pull is not known."""
        return None if self.budget is None or self.budget.left_out else self.budget.u_ft

    @property
    def expanded_ft(self) -> float | None:
        """The same with k = 2, about 95 %."""
        return None if self.u_ft is None else COVERAGE * self.u_ft

    def told(self, unit: ReadingUnit) -> str:
        """Say its length with k = 2, such as ``315.13 \u00b1 0.08 ft``; empty if u is not known."""
        return "" if self.u_ft is None else plus_minus(self.line.horizontal_ft, self.u_ft, unit)


def line_results(summary: Summary) -> tuple[LineResult, ...]:
    """Find the lines of a job and their uncertainty, by the certificates of the summary."""
    return tuple(LineResult(one, budget_of(one, summary)) for one in group_lines(summary.corrected))


def budget_of(line: Line, summary: Summary) -> LineBudget | None:
    """Find a line's budget; None if no pull of it can be corrected."""
    if len(line.uncorrected) == len(line.corrected):
        return None
    return line_budget([each.segment for each in line.corrected], summary.tapes)


def is_finished(line: Line, summary: Summary) -> bool:
    """Tell whether the crew said that this run is finished."""
    state, replay = summary.state, summary.replay
    is_last = replay.run_of(state.settings) == line.name
    return line.run <= replay.finished[line.name.ends] or (
        is_last and state.phase is Phase.FINISHED
    )
