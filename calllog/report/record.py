"""Report: corrected segments in, records as they are written out; no files touched.

A record is what leaves the house: units in the names, readings as exact decimal text.
"""

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from functools import partial
from typing import Annotated, Any, Literal

from pydantic import Field, WithJsonSchema

from calllog.lines import COVERAGE, station_text
from calllog.report.header import JobHeader, MetricJobHeader, Record
from calllog.report.metric import code_of, named, renamed, schema_in_metres
from calllog.units import in_unit, stated_temperature, stated_tension
from calllog.values import (
    Booking,
    BookPolicy,
    CorrectedSegment,
    DistanceKind,
    Fact,
    Finding,
    LineNote,
    Observation,
    ReadingUnit,
    Remark,
    Severity,
    Side,
    Style,
)
from calllog.wording import ENGLISH

Hundredths = Annotated[str, Field(pattern=r"^-?[0-9]+\.[0-9]{2,3}$")]
"""Feet as decimal text with two digits, or three on a tape that is read to less than hundredths,
exactly as read: ``15.42``."""
DIALECT = "https://json-schema.org/draft/2020-12/schema"


class ObservationRecord(Record):
    """One complete measurement of a pull."""

    whole: Hundredths | None = Field(alias="whole_ft")
    """The whole foot called; null if one reading was called."""
    fraction: Hundredths | None = Field(alias="fraction_ft")
    """The hundredths called; null if one reading was called."""
    reading: Hundredths | None = Field(alias="reading_ft")
    """The full reading called; null if whole and fraction were called."""
    hold: Hundredths = Field(alias="hold_ft")
    """What the other end held."""
    length: Hundredths = Field(alias="length_ft")
    """The length read, in the tape's own marks, reduced by its graduation."""
    calls: tuple[int, ...]
    """Numbers of the calls it was made of."""


class FindingRecord(Record):
    """Something noticed about a pull."""

    code: str
    severity: Severity
    """stop: it needed a decision; note: for the record."""
    words: str
    """What was found, in English as the program says it today."""
    remedy: str
    """What to do about it; empty where there is nothing to do."""
    first: Hundredths | None = Field(alias="first_ft")
    second: Hundredths | None = Field(alias="second_ft")
    """The two values that do not go together, where there are two."""
    calls: tuple[int, ...]
    facts: dict[str, Fact] = Field(default_factory=dict)
    """What else its words are made of; readings in hundredths of the unit."""


class ConditionsRecord(Record):
    """The conditions in force; null means not known."""

    temperature: float | None = Field(alias="temperature_degf")
    tension: float | None = Field(alias="tension_lb")
    spans: int | None
    """Support: 0 throughout, 1 at the ends only, n at n equal spans."""
    position: str | None
    """Where the tape was held: ground, knee, waist or chest."""
    rise: float | None = Field(alias="rise_ft")
    """Difference of height between the two ends."""


class CorrectionsRecord(Record):
    """What is added to the length read, each apart, in feet; null cannot be known."""

    standardisation: float | None = Field(alias="standardisation_ft")
    temperature: float | None = Field(alias="temperature_ft")
    tension: float | None = Field(alias="tension_ft")
    sag: float | None = Field(alias="sag_ft")
    slope: float | None = Field(alias="slope_ft")
    sum: float = Field(alias="sum_ft")


class SegmentRecord(Record):
    """The accepted length of one pull, with all that it rests on."""

    pull: int
    line_from: str
    line_to: str
    tape: str
    style: Style
    take: ObservationRecord
    """The first observation."""
    check: ObservationRecord | None
    """The observation after switching ends; null if there is none."""
    check_difference: Hundredths | None = Field(alias="check_difference_ft")
    """Check minus take."""
    booking: Booking
    decided_by: str
    """policy, or who decided."""
    findings: tuple[FindingRecord, ...]
    superseded: tuple[ObservationRecord, ...]
    """Observations struck because the pull was measured again."""
    conditions: ConditionsRecord
    length_read: float = Field(alias="length_read_ft")
    """What is recorded, in the tape's own marks."""
    corrections: CorrectionsRecord
    horizontal: float = Field(alias="horizontal_ft")
    """Length read and the sum of the corrections; horizontal only where distance_kind says so."""
    running_total: float = Field(alias="running_total_ft")
    """Sum of these lengths of the line up to here; horizontal only where running_kind says so."""
    u_random: float | None = Field(None, alias="u_random_ft")
    """Standard uncertainty (k = 1) of that length, from what differs from pull to pull;
    null for a pull that is not corrected. Along a line it adds in squares."""
    u_common: float | None = Field(None, alias="u_common_ft")
    """The same from what is common to all pulls. Along a line it adds up to its sum at the most:
    tapes, signs and conditions that differ leave less; the line's own uncertainty says how much."""
    run: int = 1
    """Which run between the two points, in that direction."""
    day: str = ""
    """Day of the field work, ISO 8601; empty if the job states none."""
    take_head: str = ""
    """Who held the head in the first observation, by the names in force when the pull was recorded;
    empty if nobody is named."""
    take_rear: str = ""
    check_head: str = ""
    """The same in the check, after switching ends; empty without one."""
    check_rear: str = ""
    distance_kind: DistanceKind | None = None
    """horizontal; or slope, where the rise of the ends is not known, so that the length lies along
    the tape and may be too long; null in files that are older than this field."""
    running_kind: DistanceKind | None = None
    """The same of the running total: horizontal only if all pulls up to here are."""
    book_policy: BookPolicy | None = None
    """What the line records when first and check agree: first, mean or check; null in files that
    are older than this field."""
    u_expanded: float | None = Field(None, alias="u_expanded_ft")
    """Expanded uncertainty (k = 2, about 95 %) of the length: twice the root of the sum of the
    squares of its random and its common part; null where they are, and in files that are older than
    this field."""
    state: tuple[str, ...] = ()
    """What must be known before any figure, one sentence each; empty if it was recorded as it
    should be, as are all fields that follow in files that are older than they."""
    state_codes: tuple[str, ...] = ()
    """The same by codes, for programs."""
    from_station: str = ""
    """Where the pull begins along its line."""
    heard_utc: str = ""
    """When the first of its calls was written into the journal, ISO 8601 with its zone; of a
    recording, when that was taken in."""
    recorded_utc: str = ""
    """When the pull was recorded."""
    certificate_number: str = ""
    """Of the tape's certificate in force."""
    certificate_key: str = ""
    """Names that certificate, in all tables."""
    line_key: str = ""
    """Names the run of the line, in all tables."""


class NoteRecord(Record):
    """Where something lies beside a line."""

    line_from: str
    line_to: str
    run: int
    """Which run between the two points, in that direction."""
    station: str
    """Along the line, hundreds of feet before the plus: 1+25.00."""
    at: Hundredths = Field(alias="station_ft")
    """The same from the line's beginning: 125.00."""
    side: Side
    """left or right, looking the way the line is taped."""
    offset: Hundredths = Field(alias="offset_ft")
    """Square off the line."""
    call: int
    """Number of the call that stated it."""
    clip: str
    """Its sound, a path inside the job, or why it is not shown; empty if none was kept."""
    remark_clips: tuple[str, ...]
    """Sound of the remarks that were said right after it."""
    time_utc: str
    """When it was taken in, ISO 8601 with its zone."""
    state: tuple[str, ...] = ()
    """What must be known of its line before any figure, in words."""


class RemarkRecord(Record):
    """A remark, kept as sound."""

    line_from: str
    line_to: str
    run: int
    """Which run between the two points, in that direction."""
    pull: int
    """The pull in progress."""
    call: int
    """Number of its call."""
    clip: str
    """Its sound, a path inside the job, or why it is not shown; empty if none was kept."""
    time_utc: str
    """When it was taken in, ISO 8601 with its zone."""
    note_call: int | None
    """Number of the call of the note that it was said right after; null if none."""


class SegmentLog(Record):
    """A segment log as one file.

    What was read on the tape (``Hundredths``) is decimal text, exactly as called; what was computed
    from it is a JSON number, rounded to nine digits after the point.
    """

    schema_name: str = Field("segments.schema.json", alias="$schema")
    """The schema that this file holds to, beside it."""
    format: Literal["calllog-segments"] = "calllog-segments"
    version: Annotated[Literal[1, 2], WithJsonSchema({"const": 2, "type": "integer"})] = 2
    """Raised whenever a field is taken out or changes its meaning; one more does not raise it, and
    holds to the schema of before. Version 1 was the same, but its schema allowed no more fields."""
    job: JobHeader
    segments: tuple[SegmentRecord, ...]
    notes: tuple[NoteRecord, ...] = ()
    """What lies beside the lines, in the order in which it was said."""
    remarks: tuple[RemarkRecord, ...] = ()


class MetricSegmentLog(SegmentLog):
    """A segment log as one file.

    What was read on the tape (``Hundredths``) is decimal text, exactly as called; what was computed
    from it is a JSON number, rounded to nine digits after the point.
    """

    format: Literal["calllog-segments-metric"] = "calllog-segments-metric"  # type: ignore[assignment]
    job: MetricJobHeader


def hundredths_text(hundredths: int) -> str:
    """Write hundredths as a decimal number, exactly.

    Example:
        >>> hundredths_text(1542), hundredths_text(-1)
        ('15.42', '-0.01')
    """
    return ReadingUnit.FOOT.text(hundredths)


@dataclass(frozen=True, slots=True)
class Beside:
    """What a job knows of a segment beside its measurement; fields as those of the record."""

    state: tuple[str, ...] = ()
    state_codes: tuple[str, ...] = ()
    from_station: str = ""
    heard_utc: str = ""
    recorded_utc: str = ""
    certificate_number: str = ""
    certificate_key: str = ""
    line_key: str = ""


NOTHING_BESIDE = Beside()


def segment_record(
    corrected: CorrectedSegment,
    unit: ReadingUnit = ReadingUnit.FOOT,
    beside: Beside = NOTHING_BESIDE,
) -> SegmentRecord:
    """Turn a corrected segment into the record that is written.

    Args:
        corrected: the segment; what was computed is in feet.
        unit: what its tape is graduated in, in which it is written.
        beside: what its job knows of it besides.

    Raises:
        ValidationError: a number is not finite (a bug of whoever computed it).
    """
    segment = corrected.segment
    conditions, corrections = segment.conditions, corrected.corrections
    turn = partial(_in_unit, unit)
    degf, pull_lb = conditions.temperature_degf, conditions.tension_lb
    return SegmentRecord(
        pull=segment.pull,
        line_from=segment.line_from,
        line_to=segment.line_to,
        tape=segment.tape,
        style=segment.style,
        take=_observation_record(segment.take, unit),
        check=_observation_record(segment.check, unit) if segment.check else None,
        check_difference=_known(segment.difference, unit),
        booking=segment.booking,
        decided_by=segment.decided_by,
        findings=tuple(_finding_record(finding, unit) for finding in segment.findings),
        superseded=tuple(_observation_record(struck, unit) for struck in segment.superseded),
        conditions=ConditionsRecord(
            temperature=None if degf is None else stated_temperature(degf, unit),
            tension=None if pull_lb is None else stated_tension(pull_lb, unit),
            spans=conditions.spans,
            position=conditions.position,
            rise=turn(conditions.rise_ft),
        ),
        length_read=in_unit(segment.length_read_ft, unit),
        corrections=CorrectionsRecord(
            standardisation=turn(corrections.standardisation_ft),
            temperature=turn(corrections.temperature_ft),
            tension=turn(corrections.tension_ft),
            sag=turn(corrections.sag_ft),
            slope=turn(corrections.slope_ft),
            sum=in_unit(corrections.sum_ft, unit),
        ),
        horizontal=in_unit(corrected.horizontal_ft, unit),
        running_total=in_unit(corrected.running_total_ft, unit),
        u_random=turn(corrected.u_random_ft),
        u_common=turn(corrected.u_common_ft),
        run=corrected.run,
        day=corrected.day,
        **corrected.held_by.model_dump(),
        distance_kind=corrected.kind,
        running_kind=corrected.running_kind,
        book_policy=corrected.book,
        u_expanded=turn(_expanded_ft(corrected)),
        **asdict(beside),
    )


def _expanded_ft(corrected: CorrectedSegment) -> float | None:
    if corrected.u_random_ft is None or corrected.u_common_ft is None:
        return None
    return COVERAGE * math.hypot(corrected.u_random_ft, corrected.u_common_ft)


def _in_unit(unit: ReadingUnit, length_ft: float | None) -> float | None:
    return None if length_ft is None else in_unit(length_ft, unit)


def note_record(
    noted: LineNote,
    remarks: Sequence[Remark],
    unit: ReadingUnit = ReadingUnit.FOOT,
    state: Sequence[str] = (),
) -> NoteRecord:
    """Turn a note into the record that is written, with the remarks about it."""
    return NoteRecord(
        line_from=noted.line_from,
        line_to=noted.line_to,
        run=noted.run,
        station=station_text(noted.note.station, unit.base),
        at=hundredths_text(noted.note.station),
        side=noted.note.side,
        offset=hundredths_text(noted.note.offset),
        call=noted.call,
        clip=noted.clip,
        remark_clips=tuple(each.clip for each in remarks if each.note == noted.call and each.clip),
        time_utc=noted.time_utc,
        state=tuple(state),
    )


def remark_record(remark: Remark) -> RemarkRecord:
    """Turn a remark into the record that is written."""
    return RemarkRecord(
        line_from=remark.line_from,
        line_to=remark.line_to,
        run=remark.run,
        pull=remark.pull,
        call=remark.call,
        clip=remark.clip,
        time_utc=remark.time_utc,
        note_call=remark.note,
    )


def _observation_record(observation: Observation, unit: ReadingUnit) -> ObservationRecord:
    return ObservationRecord(
        whole=_known(observation.whole, unit),
        fraction=_known(observation.fraction, unit),
        reading=_known(observation.reading, unit),
        hold=unit.text(observation.hold),
        length=unit.text(observation.length),
        calls=observation.calls,
    )


def _finding_record(finding: Finding, unit: ReadingUnit) -> FindingRecord:
    words = ENGLISH.measured_in(unit)
    return FindingRecord(
        code=code_of(finding.code, unit),
        severity=finding.severity,
        words=words.finding(finding),
        remedy=words.remedy(finding),
        first=_known(finding.first, unit),
        second=_known(finding.second, unit),
        calls=finding.calls,
        facts=finding.facts,
    )


def _known(counts: int | None, unit: ReadingUnit) -> str | None:
    return None if counts is None else unit.text(counts)


def document_of(log: Record, unit: ReadingUnit) -> Any:  # noqa: ANN401 - any JSON there is
    """Give a log as a JSON document, its fields named in the unit of the job."""
    document = log.model_dump(mode="json")
    return document if unit.is_feet else renamed(document, partial(named, unit=unit))


def schema_of(model: type[Record], unit: ReadingUnit) -> dict[str, Any]:
    """Give the JSON Schema of such a document, which names its dialect and itself."""
    schema = model.model_json_schema(mode="serialization")
    fields = model.model_fields
    name = f"urn:{fields['format'].default}:{fields['version'].default}"
    in_unit_of = schema if unit.is_feet else schema_in_metres(schema)
    return {"$schema": DIALECT, "$id": name, **in_unit_of}
