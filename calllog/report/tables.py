"""Report: the tables beside the segments: lines, calls, tapes and jobs; no files touched.

They are made to be joined. ``job_id`` is the same in all copies of a job. ``line_key`` names a run
of a line, ``certificate_key`` the journal entry that states a certificate; ``pull`` and ``call``
are numbers within their job. The keys never change, since a journal only grows.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from calllog.report.columns import (
    BETWEEN,
    FOOT_COLUMN,
    JOB_COLUMN,
    JOB_ID_COLUMN,
    UNIT_COLUMN,
    Column,
    ColumnUnit,
    Holds,
    Sheet,
    feet,
    version_column,
)
from calllog.report.header import JobHeader
from calllog.tape import METRIC_NAMES, Certificate
from calllog.values import BookPolicy, DistanceKind, Outcome, ReadingUnit, Style

LENGTH_DIGITS = 4
CORRECTION_DIGITS = 5
LINE_COLUMNS_VERSION = CALL_COLUMNS_VERSION = TAPE_COLUMNS_VERSION = JOB_COLUMNS_VERSION = 1
"""Each raised whenever a column of it is added, taken out, moved or given another meaning."""
YES_NO = ("yes", "no")


@dataclass(frozen=True, slots=True)
class RowState:
    """What must be known of a row before its figures."""

    codes: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    """One sentence for each fact."""


@dataclass(frozen=True, slots=True)
class LineRow:
    """One run of a line; lengths in the unit of the job."""

    line_key: str
    line_from: str
    line_to: str
    run: int
    is_finished: bool
    pulls: int
    length_read: float | None
    """None, as all lengths, of a line without pulls."""
    horizontal: float | None
    distance_kind: DistanceKind | None
    u: float | None
    """Standard uncertainty (k = 1); None where it is not known."""
    u_expanded: float | None
    """The same with k = 2."""
    u_random: float | None
    u_common: float | None
    one_in: int | None
    """N of 1:N by the expanded uncertainty, rounded down."""
    closure: float | None
    """This run less the first one; None for the first one."""
    closure_one_in: int | None
    closure_with: str
    """Key of the first run; empty for the first one."""
    stops: int
    decided_pulls: tuple[int, ...]
    unchecked_pulls: tuple[int, ...]
    book_policy: tuple[BookPolicy, ...]
    certificate_keys: tuple[str, ...]
    days: tuple[str, ...]
    first_utc: str
    last_utc: str
    state: RowState = field(default_factory=RowState)


@dataclass(frozen=True, slots=True)
class CallRow:
    """One call, as it was heard and what became of it."""

    call: int
    heard_utc: str
    who: str
    """Name of the caller; empty if nobody is named."""
    role: str
    line_key: str
    pull: int | None
    """The pull that it is in, or was in when it was struck."""
    place: str
    """take, check, struck or none."""
    is_typed: bool
    kind: str
    text: str
    value: str
    """In figures; empty for what is no number."""
    probability: float
    outcome: Outcome
    reason: str
    """Why it was asked again or passed over."""
    sound: str
    """Its path inside the job; empty if none is kept."""
    sound_sha256: str
    withheld: str
    """Why sound or words are not here; empty if they are, or never were kept."""
    source: str
    start_s: float
    end_s: float
    state: RowState = field(default_factory=RowState)


@dataclass(frozen=True, slots=True)
class TapeRow:
    """A tape's certificate, in force or replaced since."""

    certificate_key: str
    certificate: Certificate
    entry: int
    is_in_force: bool
    replaced_by: str
    """Key of the certificate that replaced it; empty if it is in force."""
    by: str
    why: str
    stated_utc: str


@dataclass(frozen=True, slots=True)
class JobRow:
    """One job, or a folder that could not be read."""

    job: str
    job_id: str
    folder: str
    days: tuple[str, ...] = ()
    lines: int = 0
    pulls: int = 0
    lengths_in: str = ""
    signed_by: str = ""
    signed_on: str = ""
    entries: int = 0
    state_hash: str = ""
    wrong: str = ""
    """Why it could not be reported; empty if it was."""
    state: RowState = field(default_factory=RowState)


PLACES = ("take", "check", "struck", "none")
STATE_COLUMNS: tuple[Column[Any], ...] = (
    Column(
        "state",
        "What must be known before any figure, in words; empty if it was recorded as it should be",
        value=lambda _, row: row.state.words,
        between=BETWEEN,
    ),
    Column(
        "state_codes",
        "The same by codes, for programs",
        value=lambda _, row: row.state.codes,
        between=BETWEEN,
    ),
)
LINE_SHEET: Sheet[LineRow] = Sheet(
    "Taped lines, one row a run",
    LINE_COLUMNS_VERSION,
    (
        STATE_COLUMNS[0],
        JOB_COLUMN,
        Column("line_from", "The named point where the line begins"),
        Column("line_to", "The named point where the line ends"),
        Column("run", "Which run between the two points, in that direction", Holds.WHOLE),
        Column("is_finished", "Whether the crew said that it is finished", choices=YES_NO),
        FOOT_COLUMN,
        feet(
            "horizontal_ft",
            "Length of the line, corrected; a slope distance where distance_kind says so",
            digits=LENGTH_DIGITS,
        ),
        feet(
            "u_expanded_ft",
            "Its expanded uncertainty (k = 2, about 95 %); empty if it is not known",
            digits=CORRECTION_DIGITS,
        ),
        Column(
            "one_in",
            "N of the relative precision 1:N by the expanded uncertainty, rounded down",
            Holds.WHOLE,
        ),
        Column(
            "distance_kind",
            "Which way the length lies: horizontal only if all its pulls do",
            choices=tuple(DistanceKind),
        ),
        Column("pulls", "How many pulls it has", Holds.WHOLE),
        feet(
            "length_read_ft",
            "Sum of what was recorded, in the tapes' own marks",
            digits=LENGTH_DIGITS,
        ),
        feet(
            "u_ft",
            "Standard uncertainty (k = 1) of the length; empty if that of a pull is not known",
            digits=CORRECTION_DIGITS,
        ),
        feet(
            "u_random_ft",
            "The part of it from what differs from pull to pull",
            digits=CORRECTION_DIGITS,
        ),
        feet(
            "u_common_ft", "The part of it from what is common to pulls", digits=CORRECTION_DIGITS
        ),
        feet(
            "closure_ft",
            "This run less the first run of the line, either way; empty for the first",
            digits=LENGTH_DIGITS,
        ),
        Column(
            "closure_one_in",
            "N of 1:N by that difference, rounded down; of one less than can be read, that of"
            " one least count",
            Holds.WHOLE,
        ),
        Column("closure_with", "line_key of that first run"),
        Column("stops", "How often its pulls needed a decision", Holds.WHOLE),
        Column(
            "decided_pulls", "Pulls that were decided after a stop", Holds.WHOLE, between=BETWEEN
        ),
        Column(
            "unchecked_pulls", "Pulls that were not measured twice", Holds.WHOLE, between=BETWEEN
        ),
        Column(
            "book_policy",
            "What is recorded when first and check agree: first, mean or check",
            between=BETWEEN,
        ),
        Column(
            "certificate_keys",
            "Certificates in force of its tapes, as in tapes.csv",
            between=BETWEEN,
        ),
        Column("days", "Days of the field work, as the crew states them", Holds.DAY, between=" "),
        Column("first_utc", "When its first pull was recorded, ISO 8601 with its zone", Holds.TIME),
        Column("last_utc", "When its last pull was", Holds.TIME),
        STATE_COLUMNS[1],
        JOB_ID_COLUMN,
        Column("line_key", "Names this run, in all tables"),
        version_column(LINE_COLUMNS_VERSION),
    ),
    ("line_key",),
)

CALL_SHEET: Sheet[CallRow] = Sheet(
    "Calls of taping crews",
    CALL_COLUMNS_VERSION,
    (
        STATE_COLUMNS[0],
        JOB_COLUMN,
        Column("call", "Number of the call within its job", Holds.WHOLE),
        Column(
            "heard_utc",
            "When it was written into the journal, ISO 8601 with its zone; of a recording, when"
            " that was taken in",
            Holds.TIME,
        ),
        Column("who", "Name of the caller; empty if nobody is named"),
        Column(
            "role",
            "Whose microphone or keys: head, rear or unsaid",
            choices=("head", "rear", "unsaid"),
        ),
        Column("pull", "The pull in progress", Holds.WHOLE),
        Column(
            "place",
            "What it is part of now: take (the first), check, struck, or none",
            choices=PLACES,
        ),
        Column("kind", "What it turned out to be, such as whole or reading"),
        Column("text", "The words as they were heard, or what was typed"),
        FOOT_COLUMN,
        feet("value_ft", "Its value, exactly as called; empty if it is none"),
        Column(
            "probability",
            "How surely it was heard so, from 0 to 1, as the listener gave it",
            Holds.DECIMAL,
        ),
        Column(
            "outcome",
            "What became of it: call (taken), ask (asked again) or ignored",
            choices=tuple(Outcome),
        ),
        Column("reason", "Why it was asked again or ignored, in words"),
        Column("is_typed", "Whether it was typed instead of called", choices=YES_NO),
        Column("sound", "Its sound, a path inside the job; empty if none"),
        Column("sound_sha256", "SHA-256 of that file"),
        Column("withheld", "Why its sound or words are not here"),
        Column("source", "Recording or sitting, and channel"),
        Column(
            "start_s", "Where it begins in its source, seconds", Holds.DECIMAL, ColumnUnit.SECOND
        ),
        Column("end_s", "Where it ends", Holds.DECIMAL, ColumnUnit.SECOND),
        STATE_COLUMNS[1],
        JOB_ID_COLUMN,
        Column("line_key", "The run of a line it was called on"),
        version_column(CALL_COLUMNS_VERSION),
    ),
    ("job_id", "call"),
)


def _stated(
    name: str, words: str, holds: Holds = Holds.TEXT, unit: ColumnUnit = ColumnUnit.NONE
) -> Column[TapeRow]:
    """Make a column of what a certificate states under that name."""
    return Column(name, words, holds, unit, lambda _, row: row.certificate.document.get(name))


_TAPE_BEGIN: tuple[Column[TapeRow], ...] = (
    JOB_COLUMN,
    Column("tape", "Identity of the tape", value=lambda _, r: r.certificate.identity),
    Column(
        "is_in_force",
        "Whether the corrections are worked by it, or it was replaced since",
        choices=YES_NO,
    ),
    _stated("certificate_number", "Number of the certificate"),
    _stated("certificate_date", "Its date, as it is written there"),
    _stated("laboratory", "Who issued it"),
    _stated("valid_from", "First day that it holds for", Holds.DAY),
    _stated("valid_until", "Last day that it holds for", Holds.DAY),
    Column(
        "style",
        "How the tape is graduated: full, add, cut or inset (zero in from the ring)",
        value=lambda _, r: r.certificate.style,
        choices=tuple(Style),
    ),
    _stated(
        "certified_spans",
        "Support when certified: 0 throughout, 1 at the ends only, n at n equal spans",
        Holds.WHOLE,
    ),
)
_TAPE_END: tuple[Column[TapeRow], ...] = (
    Column("entry", "Journal entry that states it", Holds.WHOLE),
    Column("by", "Who corrected it; empty for the first one"),
    Column("why", "For what reason"),
    Column(
        "stated_utc", "When it was written into the journal, ISO 8601 with its zone", Holds.TIME
    ),
    Column("replaced_by", "certificate_key of what replaced it"),
    JOB_ID_COLUMN,
    Column("certificate_key", "Names it, in all tables"),
    version_column(TAPE_COLUMNS_VERSION),
)
_HOLD = (
    "hold_ft",
    "Mark that the other end holds in place of zero",
    lambda _, r: r.certificate.unit.text(r.certificate.hold_read),
)
_LEAST = ("least_count_ft", "To what it is read", lambda _, r: r.certificate.unit.text(1))
_TOLERANCE = (
    "tolerance_ft",
    "Greatest difference of first and check that agrees",
    lambda _, r: r.certificate.unit.text(r.certificate.tolerance_read),
)
TAPE_SHEET: Sheet[TapeRow] = Sheet(
    "Certificates of tapes in feet",
    TAPE_COLUMNS_VERSION,
    (
        *_TAPE_BEGIN,
        FOOT_COLUMN,
        _stated("nominal_ft", "Nominal length", Holds.DECIMAL, ColumnUnit.FT),
        _stated(
            "certified_length_ft", "Length between the end marks", Holds.DECIMAL, ColumnUnit.FT
        ),
        _stated(
            "u_certified_length_ft",
            "Its standard uncertainty (k = 1)",
            Holds.DECIMAL,
            ColumnUnit.FT,
        ),
        _stated(
            "certified_temperature_degf", "Temperature it holds at", Holds.DECIMAL, ColumnUnit.DEGF
        ),
        _stated("certified_tension_lb", "Tension it holds at", Holds.DECIMAL, ColumnUnit.LB),
        _stated("weight_lb_per_ft", "Weight, pounds per foot", Holds.DECIMAL),
        _stated("area_in2", "Cross section, square inches", Holds.DECIMAL),
        _stated("modulus_psi", "Modulus of elasticity, pounds per square inch", Holds.DECIMAL),
        _stated("alpha_per_degf", "Expansion per degree Fahrenheit", Holds.DECIMAL),
        feet(*_HOLD),
        feet(*_LEAST),
        feet(*_TOLERANCE),
        *_TAPE_END,
    ),
    ("certificate_key",),
)


def _metres(name: str, words: str, value: Callable[[JobHeader, Any], str]) -> Column[Any]:
    return Column(f"{name.removesuffix('_ft')}_m", words, Holds.DECIMAL, ColumnUnit.M, value)


METRIC_TAPE_SHEET: Sheet[TapeRow] = Sheet(
    "Certificates of tapes in meters",
    TAPE_COLUMNS_VERSION,
    (
        *_TAPE_BEGIN,
        UNIT_COLUMN,
        _stated(METRIC_NAMES["nominal_ft"], "Nominal length", Holds.DECIMAL, ColumnUnit.M),
        _stated("certified_length_m", "Length between the end marks", Holds.DECIMAL, ColumnUnit.M),
        _stated(
            "u_certified_length_m", "Its standard uncertainty (k = 1)", Holds.DECIMAL, ColumnUnit.M
        ),
        _stated(
            "certified_temperature_degc", "Temperature it holds at", Holds.DECIMAL, ColumnUnit.DEGC
        ),
        _stated("certified_tension_n", "Tension it holds at", Holds.DECIMAL, ColumnUnit.N),
        _stated("mass_kg_per_m", "Mass, kilograms per meter", Holds.DECIMAL),
        _stated("area_mm2", "Cross section, square millimeters", Holds.DECIMAL),
        _stated("modulus_gpa", "Modulus of elasticity, gigapascals", Holds.DECIMAL),
        _stated("alpha_per_degc", "Expansion per degree Celsius", Holds.DECIMAL),
        _metres(*_HOLD),
        _metres(*_LEAST),
        _metres(*_TOLERANCE),
        *_TAPE_END,
    ),
    ("certificate_key",),
)

JOB_SHEET: Sheet[JobRow] = Sheet(
    "Jobs",
    JOB_COLUMNS_VERSION,
    (
        STATE_COLUMNS[0],
        Column("job", "Name of the job"),
        Column("folder", "Where it lies, from the folder that was named"),
        Column("wrong", "Why it could not be reported; empty if it was"),
        Column("days", "Days of the field work, as the crew states them", Holds.DAY, between=" "),
        Column("lines", "How many runs of lines", Holds.WHOLE),
        Column("pulls", "How many pulls", Holds.WHOLE),
        Column("lengths_in", "The unit of its lengths, in words"),
        Column("signed_by", "Who signed it off last"),
        Column("signed_on", "On which day", Holds.DAY),
        Column("entries", "How many journal entries it has", Holds.WHOLE),
        Column("state_hash", "Hash of the last of them"),
        STATE_COLUMNS[1],
        Column("job_id", "Identity of the job, the same in all its copies"),
        version_column(JOB_COLUMNS_VERSION),
    ),
    ("folder",),
)


def tape_sheet(unit: ReadingUnit) -> Sheet[TapeRow]:
    """Give the columns of certificates as a job in this unit has them."""
    return TAPE_SHEET if unit.is_feet else METRIC_TAPE_SHEET
