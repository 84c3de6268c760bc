"""Report: corrected segments in, a JSON file with a schema out, and back in; shell."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from types import MappingProxyType

from pydantic import ValidationError
from pydantic_core import from_json, to_json

from calllog.errors import ReportError
from calllog.files import read_limited
from calllog.report.atomic import pretty, write_whole
from calllog.report.header import JobHeader
from calllog.report.metric import named, renamed
from calllog.report.record import (
    NOTHING_BESIDE,
    Beside,
    MetricSegmentLog,
    SegmentLog,
    document_of,
    note_record,
    remark_record,
    schema_of,
    segment_record,
)
from calllog.values import CorrectedSegment, LineNote, ReadingUnit, Remark, RunName

SCHEMA_NAME = "segments.schema.json"
MOST_BYTES = 1 << 28
"""Of a log that is read back; one of 12,000 pulls has about a tenth of it."""


def write_segments_json(
    path: Path,
    corrected: Sequence[CorrectedSegment],
    job: JobHeader,
    notes: Sequence[LineNote] = (),
    remarks: Sequence[Remark] = (),
    *,
    beside: Mapping[int, Beside] = MappingProxyType({}),
    states: Mapping[RunName, Sequence[str]] = MappingProxyType({}),
) -> SegmentLog:
    """Write a segment log as JSON, its schema beside it as ``segments.schema.json``.

    Args:
        path: the file; its folder must exist. Replaced as a whole if it exists.
        corrected: the segments in their order.
        job: what holds for all of them.
        notes: what lies beside the lines.
        remarks: what was kept as sound.
        beside: what the job knows of its segments besides, by the number of the pull.
        states: what must be known of a run of a line before any figure, in words.

    Returns:
        What was written; `read_segments_json` gives an equal value.

    Raises:
        ReportError: a file cannot be written.
    """
    unit = job.unit_read
    log = _of(unit)(
        job=job,
        segments=tuple(
            segment_record(each, unit, beside.get(each.segment.pull, NOTHING_BESIDE))
            for each in corrected
        ),
        notes=tuple(
            note_record(note, remarks, unit, states.get(note.run_name, ())) for note in notes
        ),
        remarks=tuple(remark_record(remark) for remark in remarks),
    )
    write_whole(path.with_name(SCHEMA_NAME), segments_schema(unit))
    write_whole(path, pretty(document_of(log, unit)))
    return log


def read_segments_json(path: Path) -> SegmentLog:
    """Read a segment log back; ReportError if it cannot be, or is none of this version."""
    try:
        text = read_limited(path, most_bytes=MOST_BYTES)
        if b'"calllog-segments-metric"' in text:
            return MetricSegmentLog.model_validate_json(_in_feet(text))
        return SegmentLog.model_validate_json(text)
    except OSError as error:
        raise ReportError(
            f"the segment log cannot be read ({error.strerror})",
            where=str(path),
            next_step="name a segment log that calllog wrote",
        ) from error
    except ValueError as error:
        place, wrong = "", str(error)
        if isinstance(error, ValidationError):
            first = error.errors()[0]
            place, wrong = ".".join(str(step) for step in first["loc"]), first["msg"]
        raise ReportError(
            f"no segment log of this version: {place or 'the file'}: {wrong}",
            where=str(path),
            next_step=f"compare it with {SCHEMA_NAME}, or write it again from the job",
        ) from error


def segments_schema(unit: ReadingUnit = ReadingUnit.FOOT) -> str:
    """Give the JSON Schema of a segment log of jobs in a unit as text."""
    return pretty(schema_of(_of(unit), unit))


def _of(unit: ReadingUnit) -> type[SegmentLog]:
    return SegmentLog if unit.is_feet else MetricSegmentLog


def _in_feet(text: bytes) -> bytes:
    """Give the fields of a metric document the names that records have; one in feet is unknown."""
    parts = SegmentLog.model_json_schema(mode="serialization")["$defs"].values()
    feet = {name for part in parts for name in part.get("properties", ())}
    known = {named(name, ReadingUnit.METRE): name for name in feet}
    known |= {name: f"{name}: feet" for name in feet - known.keys()}
    document = renamed(from_json(text), lambda name: known.get(name, name))
    return to_json(document, inf_nan_mode="constants")
