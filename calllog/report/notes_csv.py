"""Report: station and offset notes in, a CSV file for spreadsheets and its description out; shell.

Written as the segments are, also where there are no notes, so that a file of an earlier report
never stands for this one.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from calllog.report.columns import BETWEEN, Column, Holds, Sheet, feet, sheet_in
from calllog.report.header import JobHeader
from calllog.report.record import NoteRecord, note_record
from calllog.report.sheet_csv import write_sheet_csv
from calllog.values import LineNote, Remark, Side

if TYPE_CHECKING:
    from pathlib import Path

NOTE_COLUMNS_VERSION = 2
"""Raised whenever a column is added, taken out, moved or given another meaning."""

NOTE_COLUMNS: tuple[Column[NoteRecord], ...] = (
    Column("job", "Name of the job", lambda job, _: job.job),
    Column("line_from", "The named point where the line begins", lambda _, n: n.line_from),
    Column("line_to", "The named point where the line ends", lambda _, n: n.line_to),
    Column(
        "run",
        "Which run between the two points, in that direction",
        lambda _, n: str(n.run),
        Holds.WHOLE,
    ),
    Column(
        "foot",
        "The foot of all lengths",
        lambda job, _: job.foot,
        choices=("international", "us_survey"),
    ),
    Column("station", "Along the line, hundreds before the plus", lambda _, n: n.station),
    feet("station_ft", "The same from the line's beginning", lambda _, n: n.at),
    Column(
        "side",
        "left or right, looking the way it is taped",
        lambda _, n: n.side,
        choices=tuple(Side),
    ),
    feet("offset_ft", "Square off the line", lambda _, n: n.offset),
    Column("call", "Number of the call that stated it", lambda _, n: str(n.call), Holds.WHOLE),
    Column("clip", "Its sound, a path inside the job, or why it is not shown", lambda _, n: n.clip),
    Column(
        "remark_clips",
        "Sound of the remarks that were said right after it",
        lambda _, n: BETWEEN.join(n.remark_clips),
        between=BETWEEN,
    ),
    Column("time_utc", "When it was taken in, ISO 8601", lambda _, n: n.time_utc, Holds.TIME),
    Column(
        "job_id", "Identity of the job, the same in all its copies", lambda job, _: job.identity
    ),
    Column(
        "columns_version",
        "Version of this list of columns",
        lambda *_: str(NOTE_COLUMNS_VERSION),
        Holds.WHOLE,
    ),
)
"""The columns in their order; version `NOTE_COLUMNS_VERSION`."""
NOTE_SHEET = Sheet("Notes beside taped lines", NOTE_COLUMNS_VERSION, NOTE_COLUMNS, ("job", "call"))


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
