"""What becomes of segments together: totals, lines, repeatability, stations, records; pure."""

from calllog.lines.classes import PrecisionClass, parse_class
from calllog.lines.expanded import COVERAGE, NEAR, Ratio, plus_minus, ratio_as_read
from calllog.lines.merging import (
    ACCEPTED,
    JobPart,
    LineName,
    Merged,
    Unfinished,
    WantedSegments,
    merge_parts,
)
from calllog.lines.notes import awaits_remark, awaits_typed_remark, beyond_line, noted_before
from calllog.lines.record import RecordComparison, compare_record
from calllog.lines.repeatability import Repeatability, decided, differences_ft, repeatability
from calllog.lines.rereduction import LengthChange, changes
from calllog.lines.runs import (
    Closure,
    Line,
    Spread,
    closures,
    group_lines,
    one_in,
    repeated,
    shown_one_in,
    spread,
)
from calllog.lines.stations import Mark, marks, station_text
from calllog.lines.totals import build_corrected, kind_of_all

__all__ = [
    "ACCEPTED",
    "COVERAGE",
    "NEAR",
    "Closure",
    "JobPart",
    "LengthChange",
    "Line",
    "LineName",
    "Mark",
    "Merged",
    "PrecisionClass",
    "Ratio",
    "RecordComparison",
    "Repeatability",
    "Spread",
    "Unfinished",
    "WantedSegments",
    "awaits_remark",
    "awaits_typed_remark",
    "beyond_line",
    "build_corrected",
    "changes",
    "closures",
    "compare_record",
    "decided",
    "differences_ft",
    "group_lines",
    "kind_of_all",
    "marks",
    "merge_parts",
    "noted_before",
    "one_in",
    "parse_class",
    "plus_minus",
    "ratio_as_read",
    "repeatability",
    "repeated",
    "shown_one_in",
    "spread",
    "station_text",
]
