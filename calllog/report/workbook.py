"""Report: segments and notes in, one XLSX workbook out, a sheet for each run of a line; shell.

The cells are those of the CSV files: numbers as numbers with the same digits, texts as texts, which
no spreadsheet runs whatever they begin with, so they need no apostrophe in front.
"""

from __future__ import annotations

import importlib
import io
from collections.abc import Iterator, Sequence
from datetime import datetime
from decimal import Decimal
from itertools import count
from types import ModuleType
from typing import TYPE_CHECKING

from calllog.errors import ReportError
from calllog.report.atomic import write_whole
from calllog.report.columns import Column, Holds, RowT, Sheet, sheet_in
from calllog.report.header import JobHeader
from calllog.report.notes_csv import NOTE_SHEET
from calllog.report.record import NoteRecord, SegmentRecord
from calllog.report.segments_csv import SEGMENT_SHEET

if TYPE_CHECKING:
    from pathlib import Path

    from xlsxwriter import Workbook
    from xlsxwriter.format import Format
    from xlsxwriter.worksheet import Worksheet

NOTES, JOBS = "Notes", "Jobs"
_HEADER_ROWS = 2
_TITLE_SIGNS = 31
_NOT_IN_TITLES = str.maketrans(dict.fromkeys("[]:*?/\\", "-"))
_WIDTH_SIGNS = 16
_BRIEF = frozenset({"crew", "instruments"})
"""Facts of a job that are pairs of a name and a text."""


def write_workbook(
    path: Path,
    segments: Sequence[tuple[JobHeader, SegmentRecord]],
    notes: Sequence[tuple[JobHeader, NoteRecord]],
    jobs: Sequence[JobHeader],
) -> None:
    """Write a segment log as XLSX: a sheet for each run of a line, one of notes, one of jobs.

    On each sheet of segments or notes the first row names the columns, the second their units;
    both stay in sight. The names are those of the CSV files.

    Args:
        path: the file; its folder must exist. Replaced as a whole if it exists.
        segments: each with the header of its job.
        notes: each with the header of its job.
        jobs: what holds for all of a job, one row each.

    Raises:
        ReportError: the library for it is not installed, or the file cannot be written.
    """
    into = io.BytesIO()
    workbook = _library().Workbook(into, {"in_memory": True, "use_zip64": False})
    written = max(datetime.fromisoformat(job.written_utc) for job in jobs)
    unit = jobs[0].unit_read
    lengths = f"{jobs[0].foot} feet" if unit.is_feet else unit.plural
    workbook.set_properties({"created": written, "comments": f"calllog, {lengths}"})
    titles = _Titles()
    for name, rows in _by_run(segments):
        _write_sheet(workbook, titles.unused(name), sheet_in(SEGMENT_SHEET, unit), rows)
    _write_sheet(workbook, titles.unused(NOTES), sheet_in(NOTE_SHEET, unit), notes)
    _write_jobs(workbook, titles.unused(JOBS), jobs)
    workbook.close()
    write_whole(path, into.getvalue())


def _library() -> ModuleType:
    try:
        return importlib.import_module("xlsxwriter")
    except ImportError as error:
        raise ReportError(
            "workbooks need a library that is not installed",
            where="--xlsx",
            next_step="install it: pip install 'calllog[xlsx]'",
        ) from error


class _Titles:
    """The titles of a workbook's sheets: short, free of forbidden signs, none twice."""

    def __init__(self) -> None:
        self._used: set[str] = {"history"}  # the format keeps this one for itself

    def unused(self, name: str) -> str:
        """Give a title near a name."""
        signs = "".join(sign if sign.isprintable() else " " for sign in name)
        plain = signs.translate(_NOT_IN_TITLES).strip("' ") or "-"
        for ending in self._endings():
            title = plain[: _TITLE_SIGNS - len(ending)].rstrip("' ") + ending
            if title.casefold() not in self._used:
                self._used.add(title.casefold())
                break
        return title

    @staticmethod
    def _endings() -> Iterator[str]:
        yield ""
        for number in count(2):
            yield f" ({number})"


def _by_run(
    segments: Sequence[tuple[JobHeader, SegmentRecord]],
) -> Iterator[tuple[str, list[tuple[JobHeader, SegmentRecord]]]]:
    lines: dict[tuple[str, str, int], list[tuple[JobHeader, SegmentRecord]]] = {}
    for job, segment in segments:
        name = (segment.line_from, segment.line_to, segment.run)
        lines.setdefault(name, []).append((job, segment))
    for (line_from, line_to, run), rows in lines.items():
        yield f"{line_from} to {line_to}" + (f" run {run}" if run > 1 else ""), rows


def _write_sheet(
    workbook: Workbook, title: str, sheet: Sheet[RowT], rows: Sequence[tuple[JobHeader, RowT]]
) -> None:
    page = workbook.add_worksheet(title)
    bold, italic = workbook.add_format({"bold": True}), workbook.add_format({"italic": True})
    page.freeze_panes(_HEADER_ROWS, 0)
    page.set_column(0, len(sheet.columns) - 1, _WIDTH_SIGNS)
    page.repeat_rows(0, _HEADER_ROWS - 1)
    formats: dict[str, Format] = {}
    for x, column in enumerate(sheet.columns):
        page.write_string(0, x, column.name, bold)
        if column.unit:
            page.write_string(1, x, column.unit, italic)
        for y, (job, row) in enumerate(rows, start=_HEADER_ROWS):
            cell = column.cell(job, row)
            if not _is_number(column, cell):
                _write_text(page, y, x, cell)
                continue
            form = _form(cell)
            if form not in formats:
                formats[form] = workbook.add_format({"num_format": form})
            page.write_number(y, x, float(Decimal(cell)), formats[form])


def _write_text(page: Worksheet, y: int, x: int, text: str) -> None:
    if text and page.write_string(y, x, text):
        raise ReportError(
            f"a text of {len(text)} signs is longer than a cell of a workbook can be",
            where=f"sheet {page.name}",
            next_step="use the CSV or JSON file, which hold all of it",
        )


def _is_number(column: Column[RowT], cell: str) -> bool:
    return bool(cell) and not column.between and column.holds in {Holds.WHOLE, Holds.DECIMAL}


def _form(cell: str) -> str:
    """Give the number format that shows a cell with its own digits."""
    _, point, decimals = cell.partition(".")
    return "0" + point + "0" * len(decimals)


def _write_jobs(workbook: Workbook, title: str, jobs: Sequence[JobHeader]) -> None:
    page = workbook.add_worksheet(title)
    bold = workbook.add_format({"bold": True})
    page.freeze_panes(1, 0)
    names = tuple(jobs[0].model_dump(mode="json"))
    page.set_column(0, len(names) - 1, _WIDTH_SIGNS)
    for x, name in enumerate(names):
        page.write_string(0, x, name, bold)
        for y, job in enumerate(jobs, start=1):
            value = job.model_dump(mode="json")[name]
            if isinstance(value, int | float):
                page.write_number(y, x, value)
            else:
                text = value if isinstance(value, str) else _listed(value, is_brief=name in _BRIEF)
                _write_text(page, y, x, text)


def _listed(rows: list[dict[str, object]], *, is_brief: bool) -> str:
    if is_brief:
        return "; ".join(": ".join(map(str, row.values())) for row in rows)
    return "; ".join(", ".join(f"{name} {value}" for name, value in row.items()) for row in rows)
