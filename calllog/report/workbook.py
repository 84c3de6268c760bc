"""Report: tables and a summary in, one XLSX workbook out; shell.

Each sheet but the first holds one table: the names of its columns in the first row, as a program
reads them, rows below it and nothing else. Rows are written as they come, so that the workbook of
a thousand jobs takes no more memory than that of one. The first sheet is for people: the state of
the job, then its lines. The cells are those of the CSV files: numbers as numbers with the same
digits, texts as texts, which no spreadsheet runs whatever they begin with, so they need no
apostrophe in front.
"""

from __future__ import annotations

import importlib
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from itertools import accumulate, count
from tempfile import TemporaryDirectory
from textwrap import wrap
from types import ModuleType
from typing import TYPE_CHECKING, Any

from calllog.errors import ReportError
from calllog.report.atomic import write_whole
from calllog.report.columns import Column, Holds, RowT, Sheet, sheet_in
from calllog.report.header import JobHeader
from calllog.report.notes_csv import NOTE_SHEET
from calllog.report.record import NoteRecord, SegmentRecord
from calllog.report.segments_csv import SEGMENT_SHEET
from calllog.wording import ENGLISH

if TYPE_CHECKING:
    from pathlib import Path

    from xlsxwriter import Workbook
    from xlsxwriter.worksheet import Worksheet

SUMMARY, SEGMENTS, NOTES, JOBS = "Summary", "Segments", "Notes", "Jobs"
_TITLE_SIGNS = 31
_NOT_IN_TITLES = str.maketrans(dict.fromkeys("[]:*?/\\", "-"))
_LEAST_WIDTH, _MOST_WIDTH = 8, 40
"""Of a column, in signs."""
_STATE = "state"
"""Name of the column that says what must be known of a row."""
_LINE_PT = 15
"""Height of a line in a cell."""
_PRINTED_WIDTH = 200
"""Signs beside each other that can still be read on paper; what is beyond is on the screen."""
_MEASURED = 50
"""Rows that the width of a column is taken from."""
_MOST_HEAD = 255
"""Signs that fit into the head of a printed sheet."""
MOST_ROWS = 1_048_576
"""Of a sheet, its head too (ECMA-376, part 1, 18.3.1.73 and what programs hold to)."""
_A4 = 9
_BRIEF = frozenset({"crew", "instruments"})
"""Facts of a job that are pairs of a name and a text."""
_LEAD = ("job", "line", "length", "+-", "unit", "1:N", "kind", "pulls", "finished", "state")
_LEAD_NUMBERS = frozenset({"length", "+-", "pulls"})


@dataclass(frozen=True, slots=True)
class Table:
    """One sheet with one table."""

    title: str
    sheet: Sheet[Any]
    rows: Iterable[tuple[JobHeader, Any]]
    """Each with the header of its job; taken one by one."""


@dataclass(frozen=True, slots=True)
class LeadLine:
    """A line in the summary of a workbook; lengths in the unit of the job."""

    job: str
    name: str
    length: float
    expanded: float | None
    """Expanded uncertainty (k = 2); None where it is not known."""
    unit: str
    digits: int
    """Decimals to which the tapes are read."""
    one_in: str
    kind: str
    """Which way the length lies."""
    pulls: int
    is_finished: bool
    state: tuple[str, ...]
    """What must be known of the line before its length."""


@dataclass(frozen=True, slots=True)
class Lead:
    """The first sheet of a workbook, which is for people."""

    state: tuple[str, ...] = ()
    """What must be known before any figure, in words; empty where nothing speaks against one."""
    lines: tuple[LeadLine, ...] = ()


def write_workbook(
    path: Path,
    segments: Iterable[tuple[JobHeader, SegmentRecord]],
    notes: Iterable[tuple[JobHeader, NoteRecord]],
    jobs: Sequence[JobHeader],
    *,
    beside: Sequence[Table] = (),
    lead: Lead | None = None,
) -> None:
    """Write a segment log as XLSX: a summary, then one table a sheet.

    Each table has filters, a head that stays in sight, and prints lying, as wide as the paper: the
    columns from the first on that can be read there, which the foot of the sheet names. The state
    of the job stands at the head of each printed sheet.

    Args:
        path: the file; its folder must exist. Replaced as a whole if it exists.
        segments: each with the header of its job.
        notes: each with the header of its job.
        jobs: what holds for all of a job, one row each.
        beside: other tables, such as lines and certificates, which stand before the segments.
        lead: what stands on the first sheet; None leaves it out.

    Raises:
        ReportError: the library for it is not installed, a table is longer than a sheet can be, or
            the file cannot be written.
    """
    unit = jobs[0].unit_read
    tables = (
        *beside,
        Table(SEGMENTS, sheet_in(SEGMENT_SHEET, unit), segments),
        Table(NOTES, sheet_in(NOTE_SHEET, unit), notes),
    )
    into = io.BytesIO()
    try:
        with TemporaryDirectory() as scratch:
            kind = {"constant_memory": True, "tmpdir": scratch, "use_zip64": False}
            workbook = _library().Workbook(into, kind)
            try:
                _fill(workbook, tables, jobs, lead)
            finally:
                workbook.close()
    except OSError as error:
        raise ReportError(
            f"the workbook cannot be put together ({error.strerror})",
            where=str(path),
            next_step="make room for temporary files, or use the CSV files",
        ) from error
    write_whole(path, into.getvalue())


def _fill(
    workbook: Workbook, tables: Sequence[Table], jobs: Sequence[JobHeader], lead: Lead | None
) -> None:
    """Write the sheets."""
    written = max(datetime.fromisoformat(job.written_utc) for job in jobs)
    unit = jobs[0].unit_read
    lengths = f"{jobs[0].foot} feet" if unit.is_feet else unit.plural
    workbook.set_properties({"created": written, "comments": f"calllog, {lengths}"})
    titles, state = _Titles(), "; ".join(lead.state) if lead else ""
    if lead is not None:
        _write_lead(workbook, titles.unused(SUMMARY), lead, jobs)
    for one in tables:
        _write_table(workbook, titles.unused(one.title), one, state)
    _write_jobs(workbook, titles.unused(JOBS), jobs, state)


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


class _Sheet:
    """A sheet under way: its cells, and how wide its columns must be."""

    def __init__(self, workbook: Workbook, title: str, state: str) -> None:
        self.page: Worksheet = workbook.add_worksheet(title)
        self._book = workbook
        self._forms: dict[str, Any] = {}
        self._widths: dict[int, int] = {}
        self.page.set_landscape()
        self.page.set_paper(_A4)
        self.page.fit_to_pages(1, 0)
        if state:
            self.page.set_header(f"&L{_head(f'State: {state}')}", {"margin": 0.3})

    def form(self, **facts: object) -> Any:  # noqa: ANN401 - the library has no types
        """Give a format, made once."""
        key = repr(sorted(facts.items()))
        if key not in self._forms:
            self._forms[key] = self._book.add_format(facts)
        return self._forms[key]

    def begin_row(self, y: int) -> None:
        """Make sure that a sheet has this row; ReportError if it has not."""
        if y >= MOST_ROWS:
            raise ReportError(
                f"a sheet of a workbook has {MOST_ROWS:,} rows, and this table has more",
                where=f"sheet {self.page.name}",
                next_step="use the CSV files or the dataset, or report fewer jobs at once",
            )

    def text(self, y: int, x: int, text: str, form: object = None) -> None:
        """Write a text."""
        form = form or self.form(indent=1, valign="top")
        if text and self.page.write_string(y, x, text, form):
            raise ReportError(
                f"a text of {len(text)} characters is longer than a cell of a workbook can be",
                where=f"sheet {self.page.name}",
                next_step="use the CSV or JSON file, which hold all of it",
            )
        self._measure(y, x, text)

    def state(self, y: int, x: int, text: str) -> None:
        """Write what must be known, all of it in sight; the first cell of a row that is written."""
        if len(text) > _MOST_WIDTH:
            self.page.set_row(y, _LINE_PT * len(wrap(text, _MOST_WIDTH)))
        self.text(y, x, text, self.form(text_wrap=True, valign="top"))

    def number(self, y: int, x: int, cell: str) -> None:
        """Write a number with its own digits."""
        self.page.write_number(
            y, x, float(Decimal(cell)), self.form(num_format=_form(cell), valign="top")
        )
        self._measure(y, x, cell)

    def finish(self, names: Sequence[str], rows: int, *, first: int = 0) -> None:
        """Give the table its filters, keep its head in sight, and make its columns wide enough."""
        self.page.freeze_panes(first + 1, 0)
        self.page.repeat_rows(first)
        self.page.autofilter(first, 0, first + max(rows, 1), len(names) - 1)
        widths = [
            min(_MOST_WIDTH, max(_LEAST_WIDTH, self._widths.get(x, 0) + 3))
            for x in range(len(names))
        ]
        for x, width in enumerate(widths):
            self.page.set_column(x, x, width)
        printed = max(1, sum(total <= _PRINTED_WIDTH for total in accumulate(widths)))
        told = ""
        if printed < len(names):
            self.page.print_area(0, 0, first + rows, printed - 1)
            told = f", columns 1 to {printed} of {len(names)}"
        self.page.set_footer(f"&L&F, &A{told}&RPage &P of &N")

    def _measure(self, y: int, x: int, text: str) -> None:
        if y < _MEASURED:
            self._widths[x] = max(self._widths.get(x, 0), len(text))


def _head(text: str) -> str:
    """Shorten what stands at the head of a printed sheet; a sign of its own has two meanings."""
    plain = text.replace("&", "&&")
    room = _MOST_HEAD - len("&L&R&A")
    return plain if len(plain) <= room else plain[: room - 1].rstrip("&") + "\u2026"


def _write_table(workbook: Workbook, title: str, table: Table, state: str) -> None:
    sheet = _Sheet(workbook, title, state)
    bold = sheet.form(bold=True, indent=1)
    right = sheet.form(bold=True, align="right")
    columns: Sequence[Column[Any]] = table.sheet.columns
    for x, column in enumerate(columns):
        sheet.text(0, x, column.name, right if _is_number(column, "0") else bold)
    y = 0
    for y, (job, row) in enumerate(table.rows, start=1):
        sheet.begin_row(y)
        for x, column in enumerate(columns):
            cell = column.cell(job, row)
            if column.name == _STATE:
                sheet.state(y, x, cell)
            elif _is_number(column, cell):
                sheet.number(y, x, cell)
            else:
                sheet.text(y, x, cell)
    sheet.finish([column.name for column in columns], y)


def _write_lead(workbook: Workbook, title: str, lead: Lead, jobs: Sequence[JobHeader]) -> None:
    """Write the summary: the state in words, then a line a row, then what the rows rest on."""
    sheet = _Sheet(workbook, title, "; ".join(lead.state))
    bold = sheet.form(bold=True, indent=1)
    sheet.page.write_string(0, 0, ENGLISH("page-standing"), sheet.form(bold=True, font_size=14))
    told = lead.state or (ENGLISH("page-complete-book"),)
    for y, words in enumerate(told, start=1):
        sheet.page.write_string(y, 0, f"{words[:1].upper()}{words[1:]}.", bold)
    first = len(told) + 2
    right = sheet.form(bold=True, align="right")
    for x, name in enumerate(_LEAD):
        told_as = name.replace("+-", "\u00b1 (k = 2, 95 %)")
        sheet.text(first, x, told_as, right if name in _LEAD_NUMBERS else bold)
    for y, line in enumerate(lead.lines, start=first + 1):
        sheet.state(y, len(_LEAD) - 1, "; ".join(line.state))
        sheet.text(y, 0, line.job)
        sheet.text(y, 1, line.name)
        sheet.number(y, 2, f"{line.length:.{line.digits}f}")
        if line.expanded is not None:
            sheet.number(y, 3, f"{line.expanded:.{line.digits}f}")
        for x, words in enumerate((line.unit, line.one_in, line.kind), start=4):
            sheet.text(y, x, words)
        sheet.number(y, 7, str(line.pulls))
        sheet.text(y, 8, "yes" if line.is_finished else "no")
    sheet.finish(_LEAD, len(lead.lines), first=first)
    y = first + len(lead.lines) + 2
    for job in jobs if len(jobs) == 1 else ():
        for words in (
            f"Journal of job {job.job}: {job.state_hash}",
            f"Written {job.written_utc} by calllog {job.software_version}",
            "Signed: ______________________  Date: ____________",
            "Signed: ______________________  Date: ____________",
        ):
            sheet.page.write_string(y, 0, words)
            y += 1


def _is_number(column: Column[RowT], cell: str) -> bool:
    return bool(cell) and not column.between and column.holds in {Holds.WHOLE, Holds.DECIMAL}


def _form(cell: str) -> str:
    """Give the number format that shows a cell with its own digits."""
    _, point, decimals = cell.partition(".")
    return "0" + point + "0" * len(decimals)


def _write_jobs(workbook: Workbook, title: str, jobs: Sequence[JobHeader], state: str) -> None:
    sheet = _Sheet(workbook, title, state)
    bold = sheet.form(bold=True, indent=1)
    names = list(jobs[0].model_dump(mode="json"))
    for x, name in enumerate(names):
        sheet.text(0, x, name, bold)
    for y, job in enumerate(jobs, start=1):
        row = job.model_dump(mode="json")
        for x, name in enumerate(names):
            value = row[name]
            if isinstance(value, int | float):
                sheet.page.write_number(y, x, value)
            else:
                text = value if isinstance(value, str) else _listed(value, is_brief=name in _BRIEF)
                sheet.text(y, x, text)
    sheet.finish(names, len(jobs))


def _listed(rows: list[dict[str, object]], *, is_brief: bool) -> str:
    if is_brief:
        return "; ".join(": ".join(map(str, row.values())) for row in rows)
    return "; ".join(", ".join(f"{name} {value}" for name, value in row.items()) for row in rows)
