"""Report: wanted segments of one or more jobs in, one log as CSV, JSON and XLSX out; shell."""

from collections.abc import Sequence
from pathlib import Path
from typing import Literal

from pydantic import Field

from calllog.report.atomic import pretty, write_whole
from calllog.report.columns import sheet_in
from calllog.report.header import JobHeader, MetricJobHeader, Record
from calllog.report.notes_csv import NOTE_SHEET
from calllog.report.owned import Written, keep_changed, settle
from calllog.report.record import NoteRecord, SegmentRecord, document_of, schema_of
from calllog.report.segments_csv import SEGMENT_SHEET, SHORT_SHEET
from calllog.report.sheet_csv import write_sheet_csv
from calllog.report.workbook import write_workbook
from calllog.values import Booking


class Selection(Record):
    """What was asked for; an empty list or text asks for all."""

    lines: tuple[str, ...]
    """Lines, each FROM:TO."""
    tapes: tuple[str, ...]
    bookings: tuple[Booking, ...]
    first_day: str
    last_day: str
    """Days of the field work, ISO 8601, both included."""


class LoggedSegment(Record):
    """A segment, and the job that it is of."""

    job: str
    segment: SegmentRecord
    """Its run and running total are those of the whole log."""


class LoggedNote(Record):
    """A note, and the job that it is of."""

    job: str
    note: NoteRecord


class LeftOut(Record):
    """Pulls of a line in this log that were not asked for; they count in its running totals."""

    job: str
    line_from: str
    line_to: str
    run: int
    pulls: tuple[int, ...]


class JoinRecord(Record):
    """A line that a later job took up."""

    line_from: str
    line_to: str
    before: str
    """The earlier job."""
    after: str
    """The later job."""
    goes_on: bool
    """true: the later job goes on where the earlier ended; false: it is another run."""


class StatedRecord(Record):
    """What the certificate of a tape states in one job."""

    job: str
    value: str


class CertificatesApart(Record):
    """What the certificates of a tape do not state alike in the jobs of a log."""

    tape: str
    entry: str
    """What they state otherwise, by the name of the certificate's entry."""
    stated: tuple[StatedRecord, ...]


class LineLog(Record):
    """A log of wanted segments from one or more jobs, as one file."""

    schema_name: str = Field("log.schema.json", alias="$schema")
    """The schema that this file holds to, beside it."""
    format: Literal["calllog-log"] = "calllog-log"
    version: Literal[2] = 2
    """Raised whenever a field is taken out or changes its meaning; one more does not raise it, and
    holds to the schema of before. Version 1 was the same, but its schema allowed no more fields."""
    selection: Selection
    jobs: tuple[JobHeader, ...]
    """The jobs in the order of their work."""
    segments: tuple[LoggedSegment, ...]
    left_out: tuple[LeftOut, ...]
    joins: tuple[JoinRecord, ...]
    notes: tuple[LoggedNote, ...]
    """What lies beside the lines, whether the pull beside it was asked for or not."""
    certificates_apart: tuple[CertificatesApart, ...] = ()
    """Where certificates of one tape do not state the same in all jobs."""


class MetricLineLog(LineLog):
    """A log of wanted segments from one or more jobs, as one file."""

    format: Literal["calllog-log-metric"] = "calllog-log-metric"  # type: ignore[assignment]
    jobs: tuple[MetricJobHeader, ...]
    """The jobs in the order of their work."""


def write_line_log(
    out: Path, log: LineLog, *, as_xlsx: bool = False, is_full: bool = False
) -> Written:
    """Write a log: ``log.csv``, ``log-notes.csv``, ``log.json`` and their descriptions.

    The columns are those of ``segments.csv`` and ``notes.csv``.

    Args:
        out: the folder, which must exist.
        log: what is written.
        as_xlsx: write ``log.xlsx`` as well.
        is_full: all columns of the segments, not the short form.

    Raises:
        ReportError: a file cannot be written.
    """
    jobs = {job.job: job for job in log.jobs}
    foot, unit = log.jobs[0].foot, log.jobs[0].unit_read
    segments = [(jobs[each.job], each.segment) for each in log.segments]
    notes = [(jobs[each.job], each.note) for each in log.notes]
    sheet = SEGMENT_SHEET if is_full else SHORT_SHEET
    files: tuple[Path, ...]
    document, schema = out / "log.json", out / "log.schema.json"
    workbooks = ("log.xlsx",) if as_xlsx else ()
    kept = keep_changed(out, ("log.csv", "log-notes.csv", document.name, *workbooks))
    write_whole(schema, pretty(schema_of(type(log), unit)))
    write_whole(document, pretty(document_of(log, unit)))
    files = (
        *write_sheet_csv(out / "log.csv", sheet_in(sheet, unit), segments, foot),
        *write_sheet_csv(out / "log-notes.csv", sheet_in(NOTE_SHEET, unit), notes, foot),
        document,
        schema,
    )
    if as_xlsx:
        write_workbook(out / "log.xlsx", segments, notes, log.jobs)
        files = (*files, out / "log.xlsx")
    return settle(out, "log", files, kept=kept)


def left_out(rows: Sequence[tuple[str, SegmentRecord]]) -> tuple[LeftOut, ...]:
    """List pulls by job, line and run."""
    found: dict[tuple[str, str, str, int], list[int]] = {}
    for job, row in rows:
        found.setdefault((job, row.line_from, row.line_to, row.run), []).append(row.pull)
    return tuple(
        LeftOut(job=job, line_from=line_from, line_to=line_to, run=run, pulls=tuple(pulls))
        for (job, line_from, line_to, run), pulls in found.items()
    )
