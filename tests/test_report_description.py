"""CSV described by an open standard, JSON by its schema: others read what was written, equal."""

from __future__ import annotations

import json
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from csvw import CSVW, Table
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from calllog.report import SEGMENT_SHEET, JobHeader, Sheet, read_segments_json, write_segments_json
from calllog.report.columns import Column, Holds
from calllog.report.notes_csv import NOTE_SHEET
from calllog.report.record import NoteRecord, SegmentRecord, note_record, segment_record
from calllog.report.segments_json import segments_schema
from calllog.values import CorrectedSegment, LineNote
from tests.golden.make_segments import HEADER, NOTES, REMARKS, SEGMENTS
from tests.segments import corrected_segments, headers, line_notes, unguarded
from tests.sheets import write_notes_csv, write_segments_csv

GOLDEN = Path(__file__).parent / "golden"
MANY = settings(
    deadline=None, max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def one(column: Column[Any], text: str) -> object:
    """Give the value that a cell's text stands for."""
    if not text:
        return None
    match column.holds:
        case Holds.WHOLE:
            return int(text)
        case Holds.DECIMAL:
            return Decimal(text)
        case Holds.DAY | Holds.TIME:
            return datetime.fromisoformat(text)
        case Holds.TEXT:
            return text


def values(sheet: Sheet[Any], job: JobHeader, row: SegmentRecord | NoteRecord) -> dict[str, Any]:
    """Give what a row says, column by column, as a reader must find it."""
    found: dict[str, Any] = {}
    for column in sheet.columns:
        text = column.cell(job, row)
        if column.between:
            found[column.name] = [one(column, part) for part in text.split(column.between) if text]
        else:
            found[column.name] = one(column, text)
    return found


def read(path: Path) -> list[dict[str, Any]]:
    """Read a CSV by the description beside it, taking off the guards."""
    table = Table.from_file(path.with_name(path.name + "-metadata.json"))
    return [{name: without_guard(value) for name, value in row.items()} for row in table]


def without_guard(value: object) -> object:
    """Take the guard off a cell, of several values off the first."""
    match value:
        case str():
            return unguarded(value)
        case [str(first), *others]:
            return [unguarded(first), *others]
    return value


@MANY
@given(job=headers, corrected=st.lists(corrected_segments, max_size=4))
def test_segments_read_by_their_description_are_equal(
    tmp_path: Path, job: JobHeader, corrected: list[CorrectedSegment]
) -> None:
    """A reader that knows only the standard finds every value with its type, text unchanged."""
    path = tmp_path / "segments.csv"
    write_segments_csv(path, corrected, job)
    assert read(path) == [values(SEGMENT_SHEET, job, segment_record(each)) for each in corrected]


@MANY
@given(job=headers, notes=st.lists(line_notes, max_size=4))
def test_notes_read_by_their_description_are_equal(
    tmp_path: Path, job: JobHeader, notes: list[LineNote]
) -> None:
    """The same for notes beside the line."""
    path = tmp_path / "notes.csv"
    write_notes_csv(path, notes, (), job)
    assert read(path) == [values(NOTE_SHEET, job, note_record(each, ())) for each in notes]


@pytest.mark.parametrize("name", ["segments.csv", "notes.csv"])
def test_golden_files_hold_to_the_standard(name: str) -> None:
    """The validator of the standard finds nothing wrong, types, choices and keys included."""
    checked = CSVW(str(GOLDEN / f"{name}-metadata.json"), validate=True)
    assert checked.is_valid
    assert checked.warnings == []


@pytest.mark.parametrize(
    ("old", "new"),
    [("agreed", "settled"), ("15.4204", "fifteen"), (",1 2,", ",1 two,"), ("2031-05-04", "May 4")],
)
def test_a_wrong_cell_is_found_by_the_description(tmp_path: Path, old: str, new: str) -> None:
    """A choice that is none, a length or a call number in words, a day of another form fail."""
    path = tmp_path / "segments.csv"
    write_segments_csv(path, SEGMENTS, HEADER)
    text = path.read_bytes().decode()
    assert old in text
    path.write_bytes(text.replace(old, new).encode())
    with pytest.raises(ValueError, match=r"."):
        read(path)


def test_every_length_names_its_foot(tmp_path: Path) -> None:
    """The unit of each column of lengths is the foot of the job; other numbers name theirs."""
    units = {}
    for foot in ("international", "us_survey"):
        write_segments_csv(tmp_path / foot, SEGMENTS, HEADER.model_copy(update={"foot": foot}))
        described = json.loads((tmp_path / f"{foot}-metadata.json").read_text("utf-8"))
        units[foot] = {
            column["name"]: column["http://qudt.org/schema/qudt/unit"]["@id"].rpartition("/")[2]
            for column in described["tableSchema"]["columns"]
            if "http://qudt.org/schema/qudt/unit" in column
        }
        assert described["schema:version"] == "8"
    lengths = {name for name in units["us_survey"] if name.endswith("_ft")}
    named = {column.name for column in SEGMENT_SHEET.columns if column.name.endswith("_ft")}
    assert lengths == named
    for name, unit in units["us_survey"].items():
        other = {"temperature_degf": "DEG_F", "tension_lb": "LB_F"}
        assert unit == other.get(name, "FT_US"), name
        assert units["international"][name] == other.get(name, "FT"), name


@MANY
@given(
    job=headers,
    corrected=st.lists(corrected_segments, max_size=3),
    notes=st.lists(line_notes, max_size=2),
)
def test_json_is_valid_and_reads_back_equal(
    tmp_path: Path, job: JobHeader, corrected: list[CorrectedSegment], notes: list[LineNote]
) -> None:
    """Whatever is written holds to the schema beside it and reads back to the last bit."""
    path = tmp_path / "segments.json"
    log = write_segments_json(path, corrected, job, notes)
    assert read_segments_json(path) == log
    schema = json.loads((tmp_path / "segments.schema.json").read_text("utf-8"))
    Draft202012Validator(schema).validate(json.loads(path.read_text("utf-8")))


@pytest.mark.parametrize(
    ("place", "wrong"),
    [
        (("version",), 3),
        (("job", "foot"), "feet"),
        (("segments", 0, "take", "length_ft"), 15.42),
        (("segments", 0, "take", "length_ft"), "15.4"),
        (("segments", 0, "booking"), "settled"),
        (("segments", 0, "horizontal_ft"), None),
        (("notes", 0, "side"), "up"),
        (("remarks", 0, "pull"), "2"),
    ],
)
def test_a_wrong_document_fails_by_the_schema(
    tmp_path: Path, place: tuple[str | int, ...], wrong: object
) -> None:
    """One wrong value anywhere, or one field too few, is no log by the schema alone."""
    write_segments_json(tmp_path / "log.json", SEGMENTS, HEADER, NOTES, REMARKS)
    document = json.loads((tmp_path / "log.json").read_text("utf-8"))
    validator = Draft202012Validator(json.loads(segments_schema()))
    Draft202012Validator.check_schema(validator.schema)
    assert validator.is_valid(document)
    *path, last = place
    part = document
    for step in path:
        part = part[step]
    part[last] = wrong
    assert not validator.is_valid(document)
    part.pop(last)
    assert not validator.is_valid(document)
