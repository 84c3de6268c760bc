"""Report: station and offset notes in, a CSV file for spreadsheets and its description out; shell.

Written as the segments are, also where there are no notes, so that a file of an earlier report
never stands for this one.
"""

from calllog.report.columns import (
    BETWEEN,
    JOB_COLUMN,
    JOB_ID_COLUMN,
    Column,
    Holds,
    Sheet,
    feet,
    version_column,
)
from calllog.report.record import NoteRecord
from calllog.values import Side

NOTE_COLUMNS_VERSION = 3
"""Raised whenever a column is added, taken out, moved or given another meaning."""

NOTE_COLUMNS: tuple[Column[NoteRecord], ...] = (
    Column(
        "state",
        "What must be known of its line before any figure, in words; empty if it was"
        " recorded as it should be",
        between=BETWEEN,
    ),
    JOB_COLUMN,
    Column("line_from", "The named point where the line begins"),
    Column("line_to", "The named point where the line ends"),
    Column("run", "Which run between the two points, in that direction", Holds.WHOLE),
    Column(
        "foot",
        "The foot of all lengths",
        value=lambda job, _: job.foot,
        choices=("international", "us_survey"),
    ),
    Column("station", "Along the line, hundreds before the plus"),
    feet("station_ft", "The same from the line's beginning", value=lambda _, n: n.at),
    Column("side", "left or right, looking the way it is taped", choices=tuple(Side)),
    feet("offset_ft", "Square off the line"),
    Column("call", "Number of the call that stated it", Holds.WHOLE),
    Column("clip", "Its sound, a path inside the job, or why it is not shown"),
    Column("remark_clips", "Sound of the remarks that were said right after it", between=BETWEEN),
    Column("time_utc", "When it was taken in, ISO 8601", Holds.TIME),
    JOB_ID_COLUMN,
    version_column(NOTE_COLUMNS_VERSION),
)
"""The columns in their order; version `NOTE_COLUMNS_VERSION`."""
NOTE_SHEET = Sheet("Notes beside taped lines", NOTE_COLUMNS_VERSION, NOTE_COLUMNS, ("job", "call"))
