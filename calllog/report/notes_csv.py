"""Report: station and offset notes in, a CSV file for spreadsheets and its description out; shell.

Written as the segments are, also where there are no notes, so that a file of an earlier report
never stands for this one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from calllog.report.columns import BETWEEN, Column, Holds, Sheet, feet
from calllog.report.record import NoteRecord
from calllog.values import Side

if TYPE_CHECKING:
    pass

NOTE_COLUMNS_VERSION = 3
"""Raised whenever a column is added, taken out, moved or given another meaning."""

NOTE_COLUMNS: tuple[Column[NoteRecord], ...] = (
    Column(
        "state",
        "What must be known of its line before any figure, in words; empty if it was recorded as"
        " it should be",
        lambda _, n: BETWEEN.join(n.state),
        between=BETWEEN,
    ),
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
