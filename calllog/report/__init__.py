"""The office's segment log and the crew's field page, written from values; shell."""

from calllog.report.atomic import write_whole
from calllog.report.columns import Sheet, sheet_in
from calllog.report.dataset import DATASET
from calllog.report.field_table import field_table, notes_table
from calllog.report.header import JobHeader, MetricJobHeader, RescueRecord, SignOffRecord
from calllog.report.kind import SLOPE_LEGEND, kind_words, marked, policy_words
from calllog.report.line_log import (
    CertificatesApart,
    JoinRecord,
    LineLog,
    LoggedNote,
    LoggedSegment,
    MetricLineLog,
    Selection,
    StatedRecord,
    left_out,
    write_line_log,
)
from calllog.report.metric import document_in, named
from calllog.report.owned import MADE, Written, keep_changed, settle
from calllog.report.record import SegmentLog, SegmentRecord, hundredths_text
from calllog.report.segments_csv import SEGMENT_SHEET
from calllog.report.segments_json import SCHEMA_NAME, read_segments_json, write_segments_json
from calllog.report.sheet_csv import write_sheet_csv
from calllog.report.workbook import Lead, LeadLine, Table, write_workbook

__all__ = [
    "DATASET",
    "MADE",
    "SCHEMA_NAME",
    "SEGMENT_SHEET",
    "SLOPE_LEGEND",
    "CertificatesApart",
    "JobHeader",
    "JoinRecord",
    "Lead",
    "LeadLine",
    "LineLog",
    "LoggedNote",
    "LoggedSegment",
    "MetricJobHeader",
    "MetricLineLog",
    "RescueRecord",
    "SegmentLog",
    "SegmentRecord",
    "Selection",
    "Sheet",
    "SignOffRecord",
    "StatedRecord",
    "Table",
    "Written",
    "document_in",
    "field_table",
    "hundredths_text",
    "keep_changed",
    "kind_words",
    "left_out",
    "marked",
    "named",
    "notes_table",
    "policy_words",
    "read_segments_json",
    "settle",
    "sheet_in",
    "write_line_log",
    "write_segments_json",
    "write_sheet_csv",
    "write_whole",
    "write_workbook",
]
