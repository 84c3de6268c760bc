"""Sheets of segments and notes, written as the reports write them: what tests and makers need."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from calllog.report import JobHeader
from calllog.report.columns import Sheet, sheet_in
from calllog.report.notes_csv import NOTE_SHEET
from calllog.report.record import SegmentRecord, note_record, segment_record
from calllog.report.segments_csv import SEGMENT_SHEET
from calllog.report.sheet_csv import write_sheet_csv
from calllog.values import CorrectedSegment, LineNote, Remark


def write_segments_csv(
    path: Path,
    corrected: Sequence[CorrectedSegment],
    job: JobHeader,
    sheet: Sheet[SegmentRecord] | None = None,
) -> None:
    """Write a segment log as CSV, one row per segment.

    Its description stands beside it under the same name with ``-metadata.json``.

    Args:
        path: the file; its folder must exist. Replaced as a whole if it exists.
        corrected: the segments in the order of their rows.
        job: what holds for all of them.
        sheet: the columns; all of `SEGMENT_COLUMNS` if left out.

    Raises:
        ReportError: a file cannot be written.
    """
    unit = job.unit_read
    rows = [(job, segment_record(segment, unit)) for segment in corrected]
    write_sheet_csv(path, sheet_in(sheet or SEGMENT_SHEET, unit), rows, job.foot)


def write_notes_csv(
    path: Path, notes: Sequence[LineNote], remarks: Sequence[Remark], job: JobHeader
) -> None:
    """Write notes as CSV, one row per note, columns as in `NOTE_COLUMNS`.

    Its description stands beside it under the same name with ``-metadata.json``.

    Args:
        path: the file; its folder must exist. Replaced as a whole if it exists.
        notes: in the order of their rows; none writes the header row alone.
        remarks: all remarks of the job.
        job: what holds for all notes.

    Raises:
        ReportError: a file cannot be written.
    """
    unit = job.unit_read
    rows = [(job, note_record(note, remarks, unit)) for note in notes]
    write_sheet_csv(path, sheet_in(NOTE_SHEET, unit), rows, job.foot)
