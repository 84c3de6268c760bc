"""Report: station and offset notes in, a CSV file for spreadsheets out; shell.

Written as the segments are (see `calllog.report.segments_csv`), also where there are no notes, so
that a file of an earlier report never stands for this one.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from calllog.report.atomic import write_whole
from calllog.report.record import JobHeader, NoteRecord, note_record
from calllog.report.segments_csv import BETWEEN, guard_cell
from calllog.values import LineNote, Remark

if TYPE_CHECKING:
    from pathlib import Path

NOTE_COLUMNS_VERSION = 1
"""Raised whenever a column is added, taken out, moved or given another meaning."""


@dataclass(frozen=True, slots=True)
class NoteColumn:
    """One column: its name in the header row, its meaning, and how its cell is written."""

    name: str
    description: str
    cell: Callable[[JobHeader, NoteRecord], str]


NOTE_COLUMNS: tuple[NoteColumn, ...] = (
    NoteColumn("job", "Name of the job", lambda job, _: job.job),
    NoteColumn("line_from", "The named point where the line begins", lambda _, n: n.line_from),
    NoteColumn("line_to", "The named point where the line ends", lambda _, n: n.line_to),
    NoteColumn(
        "run", "Which run between the two points, in that direction", lambda _, n: str(n.run)
    ),
    NoteColumn("foot", "The foot of all lengths", lambda job, _: job.foot),
    NoteColumn("station", "Along the line, hundreds before the plus", lambda _, n: n.station),
    NoteColumn("station_ft", "The same from the line's beginning", lambda _, n: n.station_ft),
    NoteColumn("side", "left or right, looking the way it is taped", lambda _, n: n.side),
    NoteColumn("offset_ft", "Square off the line", lambda _, n: n.offset_ft),
    NoteColumn("call", "Number of the call that stated it", lambda _, n: str(n.call)),
    NoteColumn("clip", "Its sound, a path inside the job", lambda _, n: n.clip),
    NoteColumn(
        "remark_clips",
        "Sound of the remarks that were said right after it",
        lambda _, n: BETWEEN.join(n.remark_clips),
    ),
    NoteColumn("time_utc", "When it was taken in, ISO 8601", lambda _, n: n.time_utc),
    NoteColumn(
        "columns_version", "Version of this list of columns", lambda *_: str(NOTE_COLUMNS_VERSION)
    ),
)
"""The columns in their order; version `NOTE_COLUMNS_VERSION`."""


def write_notes_csv(
    path: Path, notes: Sequence[LineNote], remarks: Sequence[Remark], job: JobHeader
) -> None:
    """Write notes as CSV, one row per note, columns as in `NOTE_COLUMNS`.

    Args:
        path: the file; its folder must exist. Replaced as a whole if it exists.
        notes: in the order of their rows; none writes the header row alone.
        remarks: all remarks of the job.
        job: what holds for all notes.

    Raises:
        ReportError: the file cannot be written.
    """
    text = io.StringIO(newline="")
    rows = csv.writer(text, lineterminator="\r\n")
    rows.writerow(column.name for column in NOTE_COLUMNS)
    for note in notes:
        record = note_record(note, remarks)
        rows.writerow(guard_cell(column.cell(job, record)) for column in NOTE_COLUMNS)
    write_whole(path, text.getvalue())
