"""The workbook: numbers as numbers with the CSV's digits, texts as texts, one table a sheet."""

from __future__ import annotations

import sys
import tracemalloc
from dataclasses import replace
from itertools import cycle, islice
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from calllog.errors import ReportError
from calllog.report import (
    SEGMENT_SHEET,
    JobHeader,
    Lead,
    LeadLine,
    Sheet,
    SignOffRecord,
    Table,
    workbook,
    write_workbook,
)
from calllog.report.columns import Holds
from calllog.report.notes_csv import NOTE_SHEET
from calllog.report.record import NoteRecord, SegmentRecord, note_record, segment_record
from calllog.values import CorrectedSegment, LineNote
from tests.golden.make_segments import HEADER, NOTES, REMARKS, SEGMENTS
from tests.segments import corrected_segments, headers, line_notes
from tests.test_report_csv import renamed

GOLDEN = Path(__file__).parent / "golden"
LOG = [(HEADER, segment_record(each)) for each in SEGMENTS]


def write(path: Path, *corrected: CorrectedSegment, notes: tuple[LineNote, ...] = ()) -> Workbook:
    """Write a workbook of the golden job and open it with another library."""
    rows = [(HEADER, segment_record(each)) for each in corrected]
    write_workbook(path, rows, [(HEADER, note_record(each, REMARKS)) for each in notes], [HEADER])
    return load_workbook(path)


def expected(
    sheet: Sheet[Any], job: JobHeader, row: SegmentRecord | NoteRecord
) -> list[str | float | None]:
    """Give a row's cells as a reader must find them: numbers where the column holds one each."""
    cells: list[str | float | None] = []
    for column in sheet.columns:
        text = column.cell(job, row)
        is_number = column.holds in {Holds.WHOLE, Holds.DECIMAL} and not column.between
        cells.append(None if not text else float(text) if is_number else str(text))
    return cells


def cells(page: Worksheet, first: int = 2) -> list[list[Any]]:
    """Read the rows of a sheet."""
    return [[cell.value for cell in row] for row in page.iter_rows(min_row=first)]


@settings(
    deadline=None, max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    job=headers,
    corrected=st.lists(corrected_segments, min_size=1, max_size=4),
    notes=st.lists(line_notes, max_size=2),
)
def test_what_is_read_back_is_equal(
    tmp_path: Path, job: JobHeader, corrected: list[CorrectedSegment], notes: list[LineNote]
) -> None:
    """Every segment and note is found in some sheet, each value as the CSV file has it."""
    path = tmp_path / "log.xlsx"
    rows = [(job, segment_record(each)) for each in corrected]
    noted = [(job, note_record(each, ())) for each in notes]
    write_workbook(path, rows, noted, [job])
    segments, beside, _ = load_workbook(path).worksheets
    found = cells(segments)
    wanted = [expected(SEGMENT_SHEET, each, row) for each, row in rows]
    assert sorted(map(repr, map(plain, found))) == sorted(map(repr, map(plain, wanted)))
    assert list(map(plain, cells(beside))) == [
        plain(expected(NOTE_SHEET, each, row)) for each, row in noted
    ]


def plain(row: list[Any]) -> list[Any]:
    """Write whole numbers as floats, as a spreadsheet holds them."""
    return [float(value) if isinstance(value, int) else value for value in row]


def test_golden_workbook_says_what_the_log_says() -> None:
    """A workbook kept from when the columns were last changed reads back to the same values."""
    book = load_workbook(GOLDEN / "segments.xlsx")
    assert book.sheetnames == ["Segments", "Notes", "Jobs"]
    segments, notes, jobs = book.worksheets
    wanted = [plain(expected(SEGMENT_SHEET, *row)) for row in LOG]
    assert list(map(plain, cells(segments))) == wanted
    assert list(map(plain, cells(notes))) == [
        plain(expected(NOTE_SHEET, HEADER, note_record(NOTES[0], REMARKS)))
    ]
    names, values = cells(jobs, first=1)
    told = dict(zip(names, values, strict=True))
    assert told["state_hash"] == HEADER.state_hash
    assert told["crew"] == "head: J. Marsh; rear: T. Fenn; chief: R. Field"
    assert told["instruments"] == "thermometer: no. 7, certificate 31-2"
    assert (told["project"], told["weather"]) == ("=West meadow", None)


def test_a_program_reads_the_first_row_as_names(tmp_path: Path) -> None:
    """One table a sheet: the names of its columns, then rows; filters, and the head in sight."""
    for page in write(tmp_path / "log.xlsx", *SEGMENTS).worksheets:
        names, *rows = cells(page, first=1)
        assert None not in names
        assert len(set(names)) == len(names)
        assert page.freeze_panes == "A2"
        last = f"{page.cell(1, len(names)).column_letter}{max(len(rows), 1) + 1}"
        assert page.auto_filter.ref == f"A1:{last}"
        assert page.print_title_rows == "$1:$1"
        assert page.page_setup.orientation == "landscape"
        assert page.sheet_properties.pageSetUpPr.fitToPage
        assert (page.page_setup.fitToWidth or 1, page.page_setup.fitToHeight) == (1, 0)


def lead_line(**changes: object) -> LeadLine:
    """Sum up a line."""
    line = LeadLine(
        job="day",
        name="A to B",
        length=315.1274,
        expanded=0.08,
        unit="ft",
        digits=2,
        one_in="1:4000",
        kind="slope distance",
        pulls=5,
        is_finished=False,
        state=("A to B: the crew did not finish this line",),
    )
    return replace(line, **changes)  # type: ignore[arg-type]


def test_state_stands_before_any_figure_and_on_each_printed_sheet(tmp_path: Path) -> None:
    """The first sheet begins with it; the others have it at the head of each printed page."""
    path = tmp_path / "log.xlsx"
    told = ("a & b are unfinished", "pull 3 waits for a decision")
    lead = Lead(told, (lead_line(), lead_line(name="=B", expanded=None, is_finished=True)))
    write_workbook(path, LOG, [], [HEADER], lead=lead)
    first, *others = load_workbook(path).worksheets
    rows = cells(first, first=1)
    assert [row[0] for row in rows[:3]] == [
        "State of this job",
        "A & b are unfinished.",
        "Pull 3 waits for a decision.",
    ]
    head = next(at for at, row in enumerate(rows) if row[1] == "line")
    assert rows[head + 1][:5] == ["day", "A to B", 315.13, 0.08, "ft"]
    assert rows[head + 2][1:4] == ["=B", 315.13, None]
    assert first.freeze_panes == f"A{head + 2}"
    assert any(str(row[0]).startswith("Signed:") for row in rows)
    for page in others:
        assert "a && b are unfinished; pull 3" in page.oddHeader.left.text.replace("&&", "&&")


def test_what_is_printed_can_be_read_and_the_rest_is_named(tmp_path: Path) -> None:
    """Sixty columns on one sheet of paper are dust: the first are printed, the foot says so."""
    state = ("A to B: the crew did not finish this line", "A to B: correction for slope not known")
    rows = [(HEADER, row.model_copy(update={"state": state})) for _, row in LOG]
    write_workbook(tmp_path / "log.xlsx", rows, [], [HEADER])
    page = load_workbook(tmp_path / "log.xlsx")["Segments"]
    names = [cell.value for cell in page[1]]
    printed = page[page.print_area.split("!")[-1].replace("$", "")][0]
    shown = [cell.value for cell in printed]
    assert shown == names[: len(shown)]
    assert {"state", "job", "pull", "length_read_ft", "horizontal_ft", "u_expanded_ft"} < {*shown}
    assert sum(page.column_dimensions[each.column_letter].width for each in printed) < 210
    assert page.oddFooter.left.text.endswith(f", columns 1 to {len(shown)} of {len(names)}")
    assert page["A2"].alignment.wrap_text
    assert page.row_dimensions[2].height == 45, "all of the state is in sight"


def test_a_long_state_is_cut_at_the_head_of_a_sheet_and_whole_on_the_first(tmp_path: Path) -> None:
    """A printed head holds 255 signs; nothing is lost, since the summary has all of it."""
    path = tmp_path / "log.xlsx"
    told = tuple(f"pull {number} waits & waits" for number in range(40))
    write_workbook(path, LOG, [], [HEADER], lead=Lead(told))
    first, segments, *_ = load_workbook(path).worksheets
    assert len(segments.oddHeader.left.text) < 255
    assert [row[0] for row in cells(first, first=2)[:40]] == [f"P{each[1:]}." for each in told]


def test_nothing_against_a_job_is_said_too(tmp_path: Path) -> None:
    """An empty banner would be taken for a forgotten one."""
    path = tmp_path / "log.xlsx"
    write_workbook(path, LOG, [], [HEADER], lead=Lead((), (lead_line(state=()),)))
    assert str(load_workbook(path).worksheets[0]["A2"].value).startswith("Complete: every line")


def test_numbers_show_the_digits_of_the_csv(tmp_path: Path) -> None:
    """15.4200 is the number 15.42, shown with four digits; a pull has none."""
    page = write(tmp_path / "log.xlsx", *SEGMENTS).worksheets[0]
    names = [cell.value for cell in page[1]]
    row = dict(zip(names, page[2], strict=True))
    assert (row["length_read_ft"].value, row["length_read_ft"].number_format) == (15.42, "0.0000")
    assert (row["sag_ft"].value, row["sag_ft"].number_format) == (-0.00012, "0.00000")
    assert (row["pull"].value, row["pull"].number_format) == (1, "0")


def test_sign_offs_stand_beside_their_job(tmp_path: Path) -> None:
    """Who signed, when, which state, and how much has come since."""
    signed = SignOffRecord(
        by="=the office",
        date="2031-05-06",
        entry=57,
        state_hash="5d" * 32,
        remark="",
        later_entries=3,
    )
    path = tmp_path / "log.xlsx"
    write_workbook(path, LOG, [], [HEADER.model_copy(update={"signed": (signed,)})])
    names, row = cells(load_workbook(path)["Jobs"], first=1)
    told = dict(zip(names, row, strict=True))
    assert told["tolerance_hundredths"] == 1
    assert told["signed"].startswith("by =the office, date 2031-05-06, entry 57, state_hash 5d5d")
    assert told["signed"].endswith("later_entries 3")


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-2+3", "@SUM(A1:A9)", "{=1+1}", "http://a.example", "'x", "15.42"]
)
def test_no_text_becomes_a_formula_a_link_or_a_number(tmp_path: Path, text: str) -> None:
    """A name that begins like a formula is the text of its cell, as it is, and nothing else."""
    page = write(tmp_path / "log.xlsx", renamed(text)).worksheets[0]
    row = dict(zip([cell.value for cell in page[1]], page[2], strict=True))
    for name in ("line_from", "line_to", "tape", "decided_by"):
        assert row[name].value == text
        assert row[name].data_type == "s"
        assert row[name].hyperlink is None


def test_titles_are_short_allowed_and_never_twice(tmp_path: Path) -> None:
    """Long names, forbidden signs and one table called like another get titles of their own."""
    long = "the old stone at the upper mill"
    path = tmp_path / "log.xlsx"
    names = (long, long + " two", "a/b:c*d", "'", "notes")
    tables = [Table(name, NOTE_SHEET, []) for name in names]
    write_workbook(path, LOG, [], [HEADER], beside=tables)
    assert load_workbook(path).sheetnames == [
        "the old stone at the upper mill",
        "the old stone at the upper (2)",
        "a-b-c-d",
        "-",
        "notes",
        "Segments",
        "Notes (2)",
        "Jobs",
    ]


def test_without_the_library_the_extra_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Who has not installed the extra is told how, and no file is left."""
    monkeypatch.setitem(sys.modules, "xlsxwriter", None)
    with pytest.raises(ReportError, match=r"pip install 'calllog\[xlsx\]'"):
        write_workbook(tmp_path / "log.xlsx", LOG, [], [HEADER])
    assert list(tmp_path.iterdir()) == []


def test_a_text_too_long_for_a_cell_is_refused(tmp_path: Path) -> None:
    """Nothing is cut short silently."""
    with pytest.raises(ReportError, match="a text of 40000 characters is longer"):
        write(tmp_path / "log.xlsx", renamed("x" * 40_000))
    assert list(tmp_path.iterdir()) == []


def test_a_table_longer_than_a_sheet_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A program would lose the rows that do not fit without a word."""
    monkeypatch.setattr(workbook, "MOST_ROWS", 1 + len(LOG))
    write_workbook(tmp_path / "log.xlsx", LOG, [], [HEADER])
    with pytest.raises(ReportError, match="this table has more") as raised:
        write_workbook(tmp_path / "more.xlsx", [*LOG, LOG[0]], [], [HEADER])
    assert "sheet Segments" in str(raised.value)
    assert not (tmp_path / "more.xlsx").exists()


def test_memory_does_not_grow_with_the_rows(tmp_path: Path) -> None:
    """Rows are written as they come: five times as many take hardly more memory."""

    def peak(rows: int) -> int:
        tracemalloc.start()
        write_workbook(tmp_path / "log.xlsx", islice(cycle(LOG), rows), [], [HEADER])
        _, most = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        return most

    peak(1)
    assert peak(150) < 1.5 * peak(30)
