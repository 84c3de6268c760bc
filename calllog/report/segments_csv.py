"""Report: corrected segments in, a CSV file for spreadsheets and its description out; shell."""

from collections.abc import Callable

from calllog.report.columns import (
    BETWEEN,
    FOOT_COLUMN,
    JOB_COLUMN,
    JOB_ID_COLUMN,
    Column,
    ColumnUnit,
    Holds,
    Sheet,
    feet,
    version_column,
)
from calllog.report.header import JobHeader
from calllog.report.record import ObservationRecord, SegmentRecord
from calllog.values import Booking, BookPolicy, DistanceKind, Style

COLUMNS_VERSION = 8
"""Raised whenever a column is added, taken out, moved or given another meaning."""

_CORRECTION_DIGITS = 5
_LENGTH_DIGITS = 4


def _struck(observation: ObservationRecord) -> str:
    return f"{observation.length} (calls {' '.join(map(str, observation.calls))})"


def _of(part: str, field: str) -> Callable[[JobHeader, SegmentRecord], object]:
    """Give what a part of a segment has under a name; nothing where it has no such part."""
    return lambda _, segment: getattr(getattr(segment, part), field, None)


def _observation_columns(part: str, words: str) -> tuple[Column[SegmentRecord], ...]:
    meanings = {
        "whole": "the whole foot called",
        "fraction": "the hundredths called",
        "reading": "the full reading called",
        "hold": "what the other end held",
        "length": "the length read, reduced by the tape's graduation",
    }
    return tuple(
        feet(f"{part}_{field}_ft", f"{words}: {meaning}", _of(part, field))
        for field, meaning in meanings.items()
    )


def _correction_column(name: str, words: str) -> Column[SegmentRecord]:
    words = f"{words}, added to the length read; empty if it cannot be known"
    return feet(f"{name}_ft", words, _of("corrections", name), digits=_CORRECTION_DIGITS)


_COLUMNS: tuple[Column[SegmentRecord], ...] = (
    JOB_COLUMN,
    Column("line_from", "The named point where the line begins"),
    Column("line_to", "The named point where the line ends"),
    Column("run", "Which run between the two points, in that direction", Holds.WHOLE),
    Column("pull", "Number of the pull within its job", Holds.WHOLE),
    Column("day", "Day of the field work, as the crew states it", Holds.DAY),
    Column("tape", "Identity of the tape, as its certificate states it"),
    Column(
        "style",
        "How the tape is graduated: full, add, cut or inset (zero in from the ring)",
        choices=tuple(Style),
    ),
    FOOT_COLUMN,
    *_observation_columns("take", "The first"),
    *_observation_columns("check", "The check, after switching ends"),
    feet("check_difference_ft", "Check minus first"),
    Column(
        "booking",
        "Why it stands: agreed, first (the first kept), check (the check kept), unchecked",
        choices=tuple(Booking),
    ),
    Column("decided_by", "policy, or who decided"),
    Column(
        "finding_codes",
        "Codes of the findings about the pull",
        value=lambda _, s: [finding.code for finding in s.findings],
        between=BETWEEN,
    ),
    Column(
        "finding_words",
        "The same findings in plain words",
        value=lambda _, s: [finding.words for finding in s.findings],
        between=BETWEEN,
    ),
    Column(
        "superseded",
        "Observations struck because the pull was measured again: length and call numbers",
        value=lambda _, s: [_struck(each) for each in s.superseded],
        between=BETWEEN,
    ),
    Column(
        "temperature_degf",
        "Temperature of the tape, degrees Fahrenheit",
        Holds.DECIMAL,
        ColumnUnit.DEGF,
        value=_of("conditions", "temperature"),
    ),
    Column(
        "tension_lb",
        "Tension, pounds",
        Holds.DECIMAL,
        ColumnUnit.LB,
        value=_of("conditions", "tension"),
    ),
    Column(
        "spans",
        "Support: 0 throughout, 1 at the ends only, n at n equal spans",
        Holds.WHOLE,
        value=_of("conditions", "spans"),
    ),
    Column(
        "position",
        "Where the tape was held: ground, knee, waist or chest",
        value=_of("conditions", "position"),
    ),
    feet(
        "rise_ft",
        "Difference of height between the two ends",
        _of("conditions", "rise"),
    ),
    feet(
        "length_read_ft",
        "What is recorded (first, check, or their mean), in the tape's own marks",
        digits=_LENGTH_DIGITS,
    ),
    _correction_column("standardisation", "Correction for the tape's certified length"),
    _correction_column("temperature", "Correction for temperature"),
    _correction_column("tension", "Correction for tension"),
    _correction_column("sag", "Correction for sag"),
    _correction_column("slope", "Correction for slope"),
    _correction_column("sum", "Sum of the known corrections"),
    feet(
        "horizontal_ft",
        "Length read and the sum of the corrections; a slope distance where distance_kind says so",
        digits=_LENGTH_DIGITS,
    ),
    feet(
        "running_total_ft",
        "Sum of these lengths of the line up to here; of slope distances where running_kind"
        " says so",
        digits=_LENGTH_DIGITS,
    ),
    feet(
        "u_random_ft",
        "Standard uncertainty (k = 1) of that length, from what differs from pull to pull;"
        " adds in squares along a line",
        digits=_CORRECTION_DIGITS,
    ),
    feet(
        "u_common_ft",
        "The same from what is common to all pulls; that of a line is in lines.csv, since"
        " it is their sum only where tape, signs and conditions are alike",
        digits=_CORRECTION_DIGITS,
    ),
    Column(
        "take_calls",
        "Numbers of the calls of the first observation",
        Holds.WHOLE,
        value=_of("take", "calls"),
        between=" ",
    ),
    Column(
        "check_calls",
        "Numbers of the calls of the check",
        Holds.WHOLE,
        value=_of("check", "calls"),
        between=" ",
    ),
    version_column(COLUMNS_VERSION),
    Column(
        "take_head",
        "Who held the head in the first observation, by the names in force when the pull"
        " was recorded; empty if nobody is named",
    ),
    Column("take_rear", "Who held the rear in the first observation"),
    Column("check_head", "Who held the head in the check, after switching ends; empty without one"),
    Column("check_rear", "Who held the rear in the check"),
    Column(
        "distance_kind",
        "Which way the length lies: horizontal; or slope, along the tape, since the rise of"
        " its ends is not known",
        choices=tuple(DistanceKind),
    ),
    Column(
        "running_kind",
        "The same of the running total: horizontal only if all pulls up to here are",
        choices=tuple(DistanceKind),
    ),
    Column(
        "book_policy",
        "What the line records when first and check agree: first, mean or check",
        choices=tuple(BookPolicy),
    ),
    feet(
        "u_expanded_ft",
        "Expanded uncertainty (k = 2, about 95 %) of the length: twice the root of the sum"
        " of the squares of its random and its common part",
        digits=_CORRECTION_DIGITS,
    ),
    Column(
        "state",
        "What must be known before any figure, in words; empty if it was recorded as it should be",
        between=BETWEEN,
    ),
    Column("state_codes", "The same by codes, for programs", between=BETWEEN),
    Column("from_station", "Where the pull begins along its line, hundreds before the plus"),
    Column(
        "heard_utc",
        "When the first of its calls was written into the journal, ISO 8601 with its zone;"
        " of a recording, when that was taken in",
        Holds.TIME,
    ),
    Column("recorded_utc", "When the pull was recorded", Holds.TIME),
    Column(
        "certificate_number", "Number of the tape's certificate in force; empty if it states none"
    ),
    Column("certificate_key", "Names that certificate in tapes.csv"),
    JOB_ID_COLUMN,
    Column("line_key", "Names the run of the line in lines.csv"),
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
