"""Report: corrected segments in, a CSV file for spreadsheets and its description out; shell."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from calllog.report.cells import exact, fixed
from calllog.report.columns import BETWEEN, Column, ColumnUnit, Holds, Sheet, feet
from calllog.report.header import JobHeader
from calllog.report.record import ObservationRecord, SegmentRecord
from calllog.values import Booking, BookPolicy, DistanceKind, Style

if TYPE_CHECKING:
    pass

COLUMNS_VERSION = 8
"""Raised whenever a column is added, taken out, moved or given another meaning."""

_CORRECTION_DIGITS = 5
_LENGTH_DIGITS = 4


def _numbers(calls: Iterable[int]) -> str:
    return " ".join(str(call) for call in calls)


def _struck(observation: ObservationRecord) -> str:
    return f"{observation.length} (calls {_numbers(observation.calls)})"


def _observation_columns(
    name: str, words: str, pick: Callable[[SegmentRecord], ObservationRecord | None]
) -> tuple[Column[SegmentRecord], ...]:
    def cell(field: str) -> Callable[[JobHeader, SegmentRecord], str]:
        def write(_: JobHeader, segment: SegmentRecord) -> str:
            observation = pick(segment)
            return (observation and getattr(observation, field)) or ""

        return write

    return (
        feet(f"{name}_whole_ft", f"{words}: the whole foot called", cell("whole")),
        feet(f"{name}_fraction_ft", f"{words}: the hundredths called", cell("fraction")),
        feet(f"{name}_reading_ft", f"{words}: the full reading called", cell("reading")),
        feet(f"{name}_hold_ft", f"{words}: what the other end held", cell("hold")),
        feet(
            f"{name}_length_ft",
            f"{words}: the length read, reduced by the tape's graduation",
            cell("length"),
        ),
    )


def _calls_column(
    name: str, words: str, pick: Callable[[SegmentRecord], ObservationRecord | None]
) -> Column[SegmentRecord]:
    def cell(_: JobHeader, segment: SegmentRecord) -> str:
        observation = pick(segment)
        return _numbers(observation.calls) if observation else ""

    return Column(name, words, cell, Holds.WHOLE, between=" ")


def _correction_column(name: str, words: str) -> Column[SegmentRecord]:
    return feet(
        name,
        f"{words}, added to the length read; empty if it cannot be known",
        lambda _, segment: fixed(
            getattr(segment.corrections, name.removesuffix("_ft")), _CORRECTION_DIGITS
        ),
    )


_COLUMNS: tuple[Column[SegmentRecord], ...] = (
    Column("job", "Name of the job", lambda job, _: job.job),
    Column("line_from", "The named point where the line begins", lambda _, s: s.line_from),
    Column("line_to", "The named point where the line ends", lambda _, s: s.line_to),
    Column(
        "run",
        "Which run between the two points, in that direction",
        lambda _, s: str(s.run),
        Holds.WHOLE,
    ),
    Column("pull", "Number of the pull within its job", lambda _, s: str(s.pull), Holds.WHOLE),
    Column("day", "Day of the field work, as the crew states it", lambda _, s: s.day, Holds.DAY),
    Column("tape", "Identity of the tape, as its certificate states it", lambda _, s: s.tape),
    Column(
        "style",
        "How the tape is graduated: full, add, cut or inset (zero in from the ring)",
        lambda _, s: s.style,
        choices=tuple(Style),
    ),
    Column(
        "foot",
        "The foot of all lengths: international or us_survey",
        lambda job, _: job.foot,
        choices=("international", "us_survey"),
    ),
    *_observation_columns("take", "The first", lambda s: s.take),
    *_observation_columns("check", "The check, after switching ends", lambda s: s.check),
    feet("check_difference_ft", "Check minus first", lambda _, s: s.check_difference or ""),
    Column(
        "booking",
        "Why it stands: agreed, first (the first kept), check (the check kept), unchecked",
        lambda _, s: s.booking,
        choices=tuple(Booking),
    ),
    Column("decided_by", "policy, or who decided", lambda _, s: s.decided_by),
    Column(
        "finding_codes",
        "Codes of the findings about the pull",
        lambda _, s: BETWEEN.join(finding.code for finding in s.findings),
        between=BETWEEN,
    ),
    Column(
        "finding_words",
        "The same findings in plain words",
        lambda _, s: BETWEEN.join(finding.words for finding in s.findings),
        between=BETWEEN,
    ),
    Column(
        "superseded",
        "Observations struck because the pull was measured again: length and call numbers",
        lambda _, s: BETWEEN.join(map(_struck, s.superseded)),
        between=BETWEEN,
    ),
    Column(
        "temperature_degf",
        "Temperature of the tape, degrees Fahrenheit",
        lambda _, s: exact(s.conditions.temperature),
        Holds.DECIMAL,
        ColumnUnit.DEGF,
    ),
    Column(
        "tension_lb",
        "Tension, pounds",
        lambda _, s: exact(s.conditions.tension),
        Holds.DECIMAL,
        ColumnUnit.LB,
    ),
    Column(
        "spans",
        "Support: 0 throughout, 1 at the ends only, n at n equal spans",
        lambda _, s: "" if s.conditions.spans is None else str(s.conditions.spans),
        Holds.WHOLE,
    ),
    Column(
        "position",
        "Where the tape was held: ground, knee, waist or chest",
        lambda _, s: s.conditions.position or "",
    ),
    feet(
        "rise_ft",
        "Difference of height between the two ends",
        lambda _, s: exact(s.conditions.rise),
    ),
    feet(
        "length_read_ft",
        "What is recorded (first, check, or their mean), in the tape's own marks",
        lambda _, s: fixed(s.length_read, _LENGTH_DIGITS),
    ),
    _correction_column("standardisation_ft", "Correction for the tape's certified length"),
    _correction_column("temperature_ft", "Correction for temperature"),
    _correction_column("tension_ft", "Correction for tension"),
    _correction_column("sag_ft", "Correction for sag"),
    _correction_column("slope_ft", "Correction for slope"),
    _correction_column("sum_ft", "Sum of the known corrections"),
    feet(
        "horizontal_ft",
        "Length read and the sum of the corrections; a slope distance where distance_kind says so",
        lambda _, s: fixed(s.horizontal, _LENGTH_DIGITS),
    ),
    feet(
        "running_total_ft",
        "Sum of these lengths of the line up to here; of slope distances where running_kind says"
        " so",
        lambda _, s: fixed(s.running_total, _LENGTH_DIGITS),
    ),
    feet(
        "u_random_ft",
        "Standard uncertainty (k = 1) of that length, from what differs from pull to"
        " pull; adds in squares along a line",
        lambda _, s: fixed(s.u_random, _CORRECTION_DIGITS),
    ),
    feet(
        "u_common_ft",
        "The same from what is common to all pulls; that of a line is in lines.csv, since it is"
        " their sum only where tape, signs and conditions are alike",
        lambda _, s: fixed(s.u_common, _CORRECTION_DIGITS),
    ),
    _calls_column("take_calls", "Numbers of the calls of the first observation", lambda s: s.take),
    _calls_column("check_calls", "Numbers of the calls of the check", lambda s: s.check),
    Column(
        "columns_version",
        "Version of this list of columns",
        lambda *_: str(COLUMNS_VERSION),
        Holds.WHOLE,
    ),
    Column(
        "take_head",
        "Who held the head in the first observation, by the names in force when the pull was"
        " recorded; empty if nobody is named",
        lambda _, s: s.take_head,
    ),
    Column("take_rear", "Who held the rear in the first observation", lambda _, s: s.take_rear),
    Column(
        "check_head",
        "Who held the head in the check, after switching ends; empty without one",
        lambda _, s: s.check_head,
    ),
    Column("check_rear", "Who held the rear in the check", lambda _, s: s.check_rear),
    Column(
        "distance_kind",
        "Which way the length lies: horizontal; or slope, along the tape, since the rise of its"
        " ends is not known",
        lambda _, s: s.distance_kind or "",
        choices=tuple(DistanceKind),
    ),
    Column(
        "running_kind",
        "The same of the running total: horizontal only if all pulls up to here are",
        lambda _, s: s.running_kind or "",
        choices=tuple(DistanceKind),
    ),
    Column(
        "book_policy",
        "What the line records when first and check agree: first, mean or check",
        lambda _, s: s.book_policy or "",
        choices=tuple(BookPolicy),
    ),
    feet(
        "u_expanded_ft",
        "Expanded uncertainty (k = 2, about 95 %) of the length: twice the root of the sum of the"
        " squares of its random and its common part",
        lambda _, s: fixed(s.u_expanded, _CORRECTION_DIGITS),
    ),
    Column(
        "state",
        "What must be known before any figure, in words; empty if it was recorded as it should be",
        lambda _, s: BETWEEN.join(s.state),
        between=BETWEEN,
    ),
    Column(
        "state_codes",
        "The same by codes, for programs",
        lambda _, s: BETWEEN.join(s.state_codes),
        between=BETWEEN,
    ),
    Column(
        "from_station",
        "Where the pull begins along its line, hundreds before the plus",
        lambda _, s: s.from_station,
    ),
    Column(
        "heard_utc",
        "When the first of its calls was written into the journal, ISO 8601 with its zone; of a"
        " recording, when that was taken in",
        lambda _, s: s.heard_utc,
        Holds.TIME,
    ),
    Column("recorded_utc", "When the pull was recorded", lambda _, s: s.recorded_utc, Holds.TIME),
    Column(
        "certificate_number",
        "Number of the tape's certificate in force; empty if it states none",
        lambda _, s: s.certificate_number,
    ),
    Column(
        "certificate_key", "Names that certificate in tapes.csv", lambda _, s: s.certificate_key
    ),
    Column(
        "job_id", "Identity of the job, the same in all its copies", lambda job, _: job.identity
    ),
    Column("line_key", "Names the run of the line in lines.csv", lambda _, s: s.line_key),
)
SHORT = (
    "state",
    "job",
    "line_from",
    "line_to",
    "run",
    "pull",
    "from_station",
    "foot",
    "length_read_ft",
    "sum_ft",
    "horizontal_ft",
    "u_expanded_ft",
    "distance_kind",
    "booking",
    "take_head",
    "take_rear",
    "recorded_utc",
    "certificate_key",
    "job_id",
    "line_key",
)
"""What most readers want, in their order."""
_BY_NAME = {column.name: column for column in _COLUMNS}
SEGMENT_COLUMNS = (
    *(_BY_NAME[name] for name in SHORT),
    *(column for column in _COLUMNS if column.name not in SHORT),
)
"""All columns in their order, those of the short form first; version `COLUMNS_VERSION`."""
SEGMENT_SHEET = Sheet(
    "Segments of taped lines",
    COLUMNS_VERSION,
    SEGMENT_COLUMNS,
    ("job", "line_from", "line_to", "run", "pull"),
)
SHORT_SHEET = Sheet(
    "Segments of taped lines, in short",
    COLUMNS_VERSION,
    SEGMENT_COLUMNS[: len(SHORT)],
    SEGMENT_SHEET.key,
)
