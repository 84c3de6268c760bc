"""Rows of lines in, what stands on the first sheet of a workbook out."""

import math
from collections.abc import Sequence

from calllog.lines import NEAR
from calllog.report import JobHeader, Lead, LeadLine, kind_words
from calllog.report.tables import LineRow

LINES, CERTIFICATES = "Lines", "Certificates"
"""Titles of sheets."""


def lead_of(state: Sequence[str], lines: Sequence[tuple[JobHeader, LineRow]]) -> Lead:
    """Sum up one job or several for their workbook; a line without a pull is left out."""
    found = [_line(job, row) for job, row in lines if row.horizontal is not None]
    return Lead(tuple(state), tuple(found))


def _line(job: JobHeader, row: LineRow) -> LeadLine:
    unit = job.unit_read
    run = f", run {row.run}" if row.run > 1 else ""
    one_in = row.closure_one_in if row.closure_with else row.one_in
    return LeadLine(
        job=job.job,
        name=f"{row.line_from} to {row.line_to}{run}",
        length=row.horizontal or 0.0,
        expanded=None if row.u_expanded is None else _rounded_up(row.u_expanded, unit.digits),
        unit=unit.symbol,
        digits=unit.digits,
        one_in="" if one_in is None else f"1:{one_in}",
        kind=kind_words(row.distance_kind),
        pulls=row.pulls,
        is_finished=row.is_finished,
        state=row.state.words,
    )


def _rounded_up(expanded: float, digits: int) -> float:
    """Round an uncertainty up to the last digit that is read: never told too small, never 0.

    Example:
        >>> _rounded_up(0.0742, 2), _rounded_up(0.0, 2), _rounded_up(0.08, 2)
        (0.08, 0.01, 0.08)
    """
    one: int = 10**digits
    return float(max(1, math.ceil(one * expanded - NEAR)) / one)
