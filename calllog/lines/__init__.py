"""What becomes of segments together: totals, lines, repeatability, stations, records; pure."""

from calllog.lines.record import RecordComparison, compare_record
from calllog.lines.repeatability import Repeatability, differences_ft, repeatability
from calllog.lines.rereduction import Change, changes
from calllog.lines.runs import Closure, Line, closures, group_lines, shown_one_in
from calllog.lines.stations import INTERVALS_FT, marks, parse_station, station_text
from calllog.lines.totals import build_corrected, running_totals

__all__ = [
    "INTERVALS_FT",
    "Change",
    "Closure",
    "Line",
    "RecordComparison",
    "Repeatability",
    "build_corrected",
    "changes",
    "closures",
    "compare_record",
    "differences_ft",
    "group_lines",
    "marks",
    "parse_station",
    "repeatability",
    "running_totals",
    "shown_one_in",
    "station_text",
]
