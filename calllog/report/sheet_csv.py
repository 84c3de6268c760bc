"""Report: rows in, a CSV file and its description beside it out; shell.

RFC 4180: a header row, comma, CRLF, quotes where needed; UTF-8 without a byte order mark.
"""

import csv
import io
from collections.abc import Sequence
from pathlib import Path

from calllog.report.atomic import write_whole
from calllog.report.columns import RowT, Sheet, guard_cell
from calllog.report.csv_description import SUFFIX, FootName, csv_description
from calllog.report.header import JobHeader


def write_sheet_csv(
    path: Path, sheet: Sheet[RowT], rows: Sequence[tuple[JobHeader, RowT]], foot: FootName
) -> tuple[Path, Path]:
    """Write rows as CSV, and beside it ``NAME-metadata.json``, which describes the file.

    Args:
        path: the file; its folder must exist. Replaced as a whole if it exists.
        sheet: the columns.
        rows: each with the header of the job that it is of; none writes the header row alone.
        foot: the foot of all lengths in feet.

    Raises:
        ReportError: a file cannot be written.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(column.name for column in sheet.columns)
    for job, row in rows:
        writer.writerow(guard_cell(column.cell(job, row)) for column in sheet.columns)
    description = path.with_name(path.name + SUFFIX)
    write_whole(path, text.getvalue())
    write_whole(description, csv_description(path.name, sheet, foot))
    return path, description
