"""Report: corrected segments in, a CSV file for spreadsheets out; shell.

RFC 4180: a header row, comma, CRLF, quotes where needed; UTF-8 without a byte order mark. An empty
cell is unknown or does not apply.

A spreadsheet takes a cell that begins with ``=``, ``+``, ``-``, ``@``, a tab or a line end for a
formula (OWASP ASVS 5.0, requirement 1.2.10). So a cell that begins so, also in full-width form or
after blanks, gets an apostrophe in front, unless it is a plain number such as ``-0.01``. A cell
that begins with an apostrophe gets one more: taking one off every cell that begins with one gives
back the text.
"""

from __future__ import annotations

import csv
import io
import re
import unicodedata
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from calllog.report.atomic import write_whole
from calllog.report.record import JobHeader, ObservationRecord, SegmentRecord, segment_record
from calllog.values import CorrectedSegment

if TYPE_CHECKING:
    from pathlib import Path

COLUMNS_VERSION = 2
"""Raised whenever a column is added, taken out, moved or given another meaning."""

BETWEEN = " | "
"""Between several findings or struck observations in one cell."""

_PLAIN_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?")
_FORMULA_STARTS = frozenset("=+-@\u2212")
_CORRECTION_DIGITS = 5
_LENGTH_DIGITS = 4


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its name in the header row, its meaning, and how its cell is written."""

    name: str
    description: str
    cell: Callable[[JobHeader, SegmentRecord], str]


def write_segments_csv(path: Path, corrected: Sequence[CorrectedSegment], job: JobHeader) -> None:
    """Write a segment log as CSV, one row per segment, columns as in `SEGMENT_COLUMNS`.

    Args:
        path: the file; its folder must exist. Replaced as a whole if it exists.
        corrected: the segments in the order of their rows.
        job: what holds for all of them.

    Raises:
        ReportError: the file cannot be written.
    """
    text = io.StringIO(newline="")
    rows = csv.writer(text, lineterminator="\r\n")
    rows.writerow(column.name for column in SEGMENT_COLUMNS)
    for segment in corrected:
        record = segment_record(segment)
        rows.writerow(guard_cell(column.cell(job, record)) for column in SEGMENT_COLUMNS)
    write_whole(path, text.getvalue())


def guard_cell(cell: str) -> str:
    """Put an apostrophe before a cell that a spreadsheet might take for a formula.

    Example:
        >>> guard_cell("=1+1"), guard_cell("-0.01"), guard_cell("3+00")
        ("'=1+1", '-0.01', '3+00')
    """
    if not cell or _PLAIN_NUMBER.fullmatch(cell):
        return cell
    visible = next((sign for sign in cell if unicodedata.category(sign)[0] not in "ZC"), "")
    is_risky = cell[0] in "'\t\r\n\0" or not _FORMULA_STARTS.isdisjoint(
        unicodedata.normalize("NFKC", visible)[:1]
    )
    return f"'{cell}" if is_risky else cell


def _exact(value: float | None) -> str:
    return "" if value is None else format(Decimal(repr(value)), "f")


def _fixed(value: float | None, digits: int) -> str:
    return "" if value is None else f"{value:z.{digits}f}"


def _numbers(calls: Iterable[int]) -> str:
    return " ".join(str(call) for call in calls)


def _struck(observation: ObservationRecord) -> str:
    return f"{observation.length_ft} (calls {_numbers(observation.calls)})"


def _observation_columns(
    name: str, words: str, pick: Callable[[SegmentRecord], ObservationRecord | None]
) -> tuple[Column, ...]:
    def cell(field: str) -> Callable[[JobHeader, SegmentRecord], str]:
        def write(_: JobHeader, segment: SegmentRecord) -> str:
            observation = pick(segment)
            return (observation and getattr(observation, field)) or ""

        return write

    return (
        Column(f"{name}_whole_ft", f"{words}: the whole foot called", cell("whole_ft")),
        Column(f"{name}_fraction_ft", f"{words}: the hundredths called", cell("fraction_ft")),
        Column(f"{name}_reading_ft", f"{words}: the full reading called", cell("reading_ft")),
        Column(f"{name}_hold_ft", f"{words}: what the other end held", cell("hold_ft")),
        Column(
            f"{name}_length_ft",
            f"{words}: the length read, reduced by the tape's graduation",
            cell("length_ft"),
        ),
    )


def _correction_column(name: str, words: str) -> Column:
    return Column(
        name,
        f"{words}, added to the length read; empty if it cannot be known",
        lambda _, segment: _fixed(getattr(segment.corrections, name), _CORRECTION_DIGITS),
    )


SEGMENT_COLUMNS: tuple[Column, ...] = (
    Column("job", "Name of the job", lambda job, _: job.job),
    Column("line_from", "The named point where the line begins", lambda _, s: s.line_from),
    Column("line_to", "The named point where the line ends", lambda _, s: s.line_to),
    Column("pull", "Number of the pull within its line", lambda _, s: str(s.pull)),
    Column("tape", "Identity of the tape, as its certificate states it", lambda _, s: s.tape),
    Column("style", "How the tape is graduated: full, add, cut or inset", lambda _, s: s.style),
    Column("foot", "The foot of all lengths: international or us_survey", lambda job, _: job.foot),
    *_observation_columns("take", "First observation", lambda s: s.take),
    *_observation_columns("check", "Observation after switching ends", lambda s: s.check),
    Column("check_difference_ft", "Check minus take", lambda _, s: s.check_difference_ft or ""),
    Column(
        "booking",
        "Why it stands: agreed, first (take kept), check (check kept), unchecked",
        lambda _, s: s.booking,
    ),
    Column("decided_by", "policy, or who decided", lambda _, s: s.decided_by),
    Column(
        "finding_codes",
        "Codes of the findings about the pull",
        lambda _, s: BETWEEN.join(finding.code for finding in s.findings),
    ),
    Column(
        "finding_words",
        "The same findings in plain words",
        lambda _, s: BETWEEN.join(finding.words for finding in s.findings),
    ),
    Column(
        "superseded_ft",
        "Observations struck because the pull was measured again: length and call numbers",
        lambda _, s: BETWEEN.join(map(_struck, s.superseded)),
    ),
    Column(
        "temperature_degf",
        "Temperature of the tape, degrees Fahrenheit",
        lambda _, s: _exact(s.conditions.temperature_degf),
    ),
    Column("tension_lb", "Tension, pounds", lambda _, s: _exact(s.conditions.tension_lb)),
    Column(
        "spans",
        "Support: 0 throughout, 1 at the ends only, n at n equal spans",
        lambda _, s: "" if s.conditions.spans is None else str(s.conditions.spans),
    ),
    Column(
        "position",
        "Where the tape was held: ground, knee, waist or chest",
        lambda _, s: s.conditions.position or "",
    ),
    Column(
        "rise_ft",
        "Difference of height between the two ends",
        lambda _, s: _exact(s.conditions.rise_ft),
    ),
    Column(
        "length_read_ft",
        "What is booked (take, check, or their mean), in the tape's own marks",
        lambda _, s: _fixed(s.length_read_ft, _LENGTH_DIGITS),
    ),
    _correction_column("standardisation_ft", "Correction for the tape's certified length"),
    _correction_column("temperature_ft", "Correction for temperature"),
    _correction_column("tension_ft", "Correction for tension"),
    _correction_column("sag_ft", "Correction for sag"),
    _correction_column("slope_ft", "Correction for slope"),
    _correction_column("sum_ft", "Sum of the known corrections"),
    Column(
        "horizontal_ft",
        "Length read and the sum of the corrections",
        lambda _, s: _fixed(s.horizontal_ft, _LENGTH_DIGITS),
    ),
    Column(
        "running_total_ft",
        "Sum of the horizontal lengths of the line up to here",
        lambda _, s: _fixed(s.running_total_ft, _LENGTH_DIGITS),
    ),
    Column(
        "u_random_ft",
        "Standard uncertainty (k = 1) of the horizontal length, from what differs from pull to"
        " pull; adds in squares along a line",
        lambda _, s: _fixed(s.u_random_ft, _CORRECTION_DIGITS),
    ),
    Column(
        "u_common_ft",
        "The same from what is common to all pulls; adds in proportion along a line",
        lambda _, s: _fixed(s.u_common_ft, _CORRECTION_DIGITS),
    ),
    Column(
        "take_calls",
        "Numbers of the calls of the first observation",
        lambda _, s: _numbers(s.take.calls),
    ),
    Column(
        "check_calls",
        "Numbers of the calls of the check",
        lambda _, s: _numbers(s.check.calls if s.check else ()),
    ),
    Column("columns_version", "Version of this list of columns", lambda *_: str(COLUMNS_VERSION)),
)
"""The columns of the CSV in their order; version `COLUMNS_VERSION`."""
