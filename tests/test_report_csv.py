"""The CSV segment log: exact numbers, safe cells, whole files, stable columns."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calllog.errors import ReportError
from calllog.report import hundredths_text, write_segments_json
from calllog.report.columns import guard_cell
from calllog.report.segments_csv import COLUMNS_VERSION, SEGMENT_COLUMNS
from calllog.values import CorrectedSegment
from tests.golden.make_segments import HEADER, METRIC, SEGMENTS, main
from tests.sheets import write_segments_csv

GOLDEN = Path(__file__).parent / "golden"

# OWASP ASVS 5.0, requirement 1.2.10 (read): = + - @ tab and null at the start of a field; line
# ends and full-width forms from the OWASP page on CSV injection (from memory).
STARTS = "=+-@\t\r\n\0＝＋－＠"  # noqa: RUF001 - full-width on purpose

HOSTILE = [
    "=1+1",
    "+cmd|' /C calc'!A0",
    "@SUM(A1:A9)",
    "-2+3",
    "-1e5",
    "--1",
    "-0.01\n",
    "-",
    "\t=1",
    "\r=1",
    "\n=1",
    "  =1+1",
    "\u00a0=1",
    "\u200b=1",
    "\ufeff=1",
    "＝1+1",  # noqa: RUF001
    "＋1",  # noqa: RUF001
    "－2+3",  # noqa: RUF001
    "＠SUM(A1)",  # noqa: RUF001
    "−2+3",  # noqa: RUF001
]

HARMLESS = [
    "3+00",
    "Höhe 7",
    'the "old" mark',
    "a,b;c",
    "two\r\nlines",
    "木 5",
    "15.42",
    "-0.01",
    "",
]


def rows_of(path: Path) -> list[dict[str, str]]:
    """Read a CSV back by its header row."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


def renamed(text: str) -> CorrectedSegment:
    """Give the first golden segment the same text as station, tape and decider."""
    first = SEGMENTS[0]
    names = {"line_from": text, "line_to": text, "tape": text, "decided_by": text}
    return first.model_copy(update={"segment": first.segment.model_copy(update=names)})


def test_golden_files_are_made_again_byte_for_byte(tmp_path: Path) -> None:
    """The reports of a fixed log do not change by a byte unless their version does."""
    main(tmp_path)
    made = sorted(path for path in tmp_path.rglob("*") if path.suffix not in ("", ".xlsx"))
    assert len([path for path in made if path.parent.name == METRIC]) == len(made) / 2
    for path in made:
        name = path.relative_to(tmp_path)
        assert path.read_bytes() == (GOLDEN / name).read_bytes(), name


def test_form_is_rfc_4180(tmp_path: Path) -> None:
    """Header row, CRLF ends, equal field counts (RFC 4180 section 2, read in a copy); no BOM."""
    path = tmp_path / "out.csv"
    write_segments_csv(path, SEGMENTS, HEADER)
    raw = path.read_bytes()
    assert raw.startswith(b"state,job,line_from,")
    assert raw.endswith(b"\r\n")
    assert raw.count(b"\n") == raw.count(b"\r\n") == 1 + len(SEGMENTS)
    table = list(csv.reader(io.StringIO(raw.decode("utf-8"), newline=""), strict=True))
    assert {len(row) for row in table} == {len(SEGMENT_COLUMNS)}


def test_cells_say_what_the_segment_says(tmp_path: Path) -> None:
    """Every cell of a segment with findings and struck observations, checked by hand."""
    path = tmp_path / "out.csv"
    write_segments_csv(path, SEGMENTS, HEADER)
    assert rows_of(path)[1] == {
        "job": "Millrace 7",
        "line_from": "Heron",
        "line_to": "Alder",
        "run": "1",
        "pull": "2",
        "day": "2031-05-04",
        "tape": "T-100-3",
        "style": "add",
        "foot": "us_survey",
        "take_whole_ft": "99.00",
        "take_fraction_ft": "0.07",
        "take_reading_ft": "",
        "take_hold_ft": "0.00",
        "take_length_ft": "99.07",
        "check_whole_ft": "98.00",
        "check_fraction_ft": "0.07",
        "check_reading_ft": "",
        "check_hold_ft": "0.00",
        "check_length_ft": "98.07",
        "check_difference_ft": "-1.00",
        "booking": "first",
        "decided_by": 'R. "Field", chief',
        "finding_codes": "one-foot | long-gap",
        "finding_words": "first 99.07, check 98.07: exactly one foot apart: another foot mark was"
        " held, read or called | 600 seconds between the parts of one measurement",
        "superseded": "90.07 (calls 7 8) | 90.70 (calls 9 10)",
        "temperature_degf": "",
        "tension_lb": "",
        "spans": "0",
        "position": "ground",
        "rise_ft": "",
        "length_read_ft": "99.0700",
        "standardisation_ft": "0.00297",
        "temperature_ft": "",
        "tension_ft": "",
        "sag_ft": "",
        "slope_ft": "",
        "sum_ft": "0.00297",
        "horizontal_ft": "99.0730",
        "running_total_ft": "114.4933",
        "u_random_ft": "",
        "u_common_ft": "",
        "take_calls": "11 12",
        "check_calls": "14 15",
        "columns_version": "8",
        "take_head": "",
        "take_rear": "",
        "check_head": "",
        "check_rear": "",
        "distance_kind": "slope",
        "running_kind": "slope",
        "book_policy": "first",
        "u_expanded_ft": "",
        "state": "",
        "state_codes": "",
        "from_station": "",
        "heard_utc": "",
        "recorded_utc": "",
        "certificate_number": "",
        "certificate_key": "",
        "job_id": HEADER.identity,
        "line_key": "",
    }


def test_columns_are_versioned_and_described() -> None:
    """The list of columns of version 8 is fixed; every column is described, no name twice."""
    names = (GOLDEN / "segments.csv").read_text(encoding="utf-8").splitlines()[0].split(",")
    assert COLUMNS_VERSION == 8
    assert [column.name for column in SEGMENT_COLUMNS] == names
    assert len(set(names)) == len(names)
    assert all(len(column.description) > 5 for column in SEGMENT_COLUMNS)


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_starts_no_formula(tmp_path: Path, text: str) -> None:
    """Text that a spreadsheet could run is written behind an apostrophe, and can be got back."""
    path = tmp_path / "out.csv"
    write_segments_csv(path, [renamed(text)], HEADER.model_copy(update={"job": text}))
    (row,) = rows_of(path)
    for column in ("job", "line_from", "line_to", "tape", "decided_by"):
        assert row[column] == f"'{text}"


@pytest.mark.parametrize("text", HARMLESS)
def test_harmless_text_stays_as_it_is(tmp_path: Path, text: str) -> None:
    """Names with quotes, commas, line ends and other letters survive the CSV unchanged."""
    path = tmp_path / "out.csv"
    write_segments_csv(path, [renamed(text)], HEADER)
    assert rows_of(path)[0]["line_to"] == text


@given(text=st.text(max_size=8) | st.text(alphabet=STARTS + " '1.e", max_size=6))
def test_guard_is_safe_and_can_be_undone(text: str) -> None:
    """No guarded cell begins like a formula unless it is a plain number; nothing is lost."""
    cell = guard_cell(text)
    assert not cell or cell[0] not in STARTS or re.fullmatch(r"-\d+(\.\d+)?", cell, re.ASCII)
    assert cell.removeprefix("'") == text
    assert (cell != text) == (cell.startswith("'"))


@given(hundredths=st.integers(-100_000, 100_000))
def test_hundredths_are_written_exactly(hundredths: int) -> None:
    """Hundredths come out with two digits and are got back by leaving out the point."""
    text = hundredths_text(hundredths)
    assert re.fullmatch(r"-?\d+\.\d\d", text)
    assert int(text.replace(".", "")) == hundredths


@settings(deadline=None, max_examples=30)
@given(value=st.floats(-1, 1))
def test_corrections_have_fixed_digits_and_no_negative_zero(
    value: float, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Corrections show five decimals within half of the last one; a zero has no sign."""
    first = SEGMENTS[0]
    corrections = first.corrections.model_copy(update={"sag_ft": value})
    path = tmp_path_factory.mktemp("csv") / "out.csv"
    write_segments_csv(path, [first.model_copy(update={"corrections": corrections})], HEADER)
    cell = rows_of(path)[0]["sag_ft"]
    assert re.fullmatch(r"-?\d\.\d{5}", cell)
    assert cell != "-0.00000"
    assert abs(float(cell) - value) <= 0.50001e-5


def test_a_number_that_is_none_is_refused(tmp_path: Path) -> None:
    """A length that is not a number never reaches a file: it is a bug of whoever computed it."""
    broken = SEGMENTS[0].model_copy(update={"horizontal_ft": float("nan")})
    with pytest.raises(ValueError, match="finite number"):
        write_segments_csv(tmp_path / "out.csv", [broken], HEADER)
    corrections = SEGMENTS[0].corrections.model_copy(update={"sag_ft": float("inf")})
    broken = SEGMENTS[0].model_copy(update={"corrections": corrections})
    with pytest.raises(ValueError, match="finite number"):
        write_segments_csv(tmp_path / "out.csv", [broken], HEADER)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("write", [write_segments_csv, write_segments_json])
def test_an_unusable_folder_is_reported(tmp_path: Path, write: Callable[..., object]) -> None:
    """A missing folder, a file in its place, or a folder of that name give a clear error."""
    (tmp_path / "file").write_text("mine")
    (tmp_path / "taken").mkdir()
    for name in ("missing/out", "file/out", "taken"):
        with pytest.raises(ReportError, match=r"cannot be written \(.+\); check that its folder"):
            write(tmp_path / name, SEGMENTS, HEADER)
    assert not list(tmp_path.rglob("*.part"))


def test_a_failed_write_leaves_the_old_report(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """If the disk fills up, the old report still stands whole and no remnant is left."""
    path = tmp_path / "out.csv"
    write_segments_csv(path, SEGMENTS[:1], HEADER)
    before = path.read_bytes()

    def fail(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("os.fsync", fail)
        with pytest.raises(ReportError, match="No space left on device"):
            write_segments_csv(path, SEGMENTS, HEADER)
    assert path.read_bytes() == before
    assert not list(tmp_path.glob(".*"))
    write_segments_csv(path, SEGMENTS, HEADER)
    assert len(rows_of(path)) == len(SEGMENTS)
