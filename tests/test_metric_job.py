"""A job on a metric tape from the journal to the office: metres everywhere, and nowhere feet."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from csvw import CSVW
from openpyxl import load_workbook

from calllog.commands.line import line as show_line
from calllog.commands.report import report_one
from calllog.corrections.practice import PRACTICE, Practice
from calllog.corrections.uncertainty import Uncertain
from calllog.errors import ConfigError
from calllog.journal import Journal
from calllog.lines import WantedSegments
from calllog.office import difference, job_state, merge_jobs, rereduce, summarise, write_report
from calllog.office.summary import verify_job
from calllog.page import write_pages
from calllog.report import (
    SEGMENT_SHEET,
    MetricJobHeader,
    named,
    read_segments_json,
    sheet_in,
    write_line_log,
)
from calllog.report.segments_csv import SEGMENT_COLUMNS
from calllog.session import Job
from calllog.values import ReadingUnit
from calllog.wording import language_words
from tests.fieldjob import field_job
from tests.metricjob import TAPE, metric_job
from tests.reading_html import Reader
from tests.tapes import metric_tape

METRE = ReadingUnit.METRE
SOURCES = [
    given.source
    for given in (getattr(PRACTICE, name) for name in Practice.model_fields)
    if isinstance(given, Uncertain) and re.search("Mahun|Hicks|publish", given.source)
]
FOOT = re.compile(r"(?<![\w/])(ft|feet|foot|lb|°F|degF|psi|Fahrenheit|pounds?)(?!\w)|_ft\b|_lb\b")


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Write the job once."""
    return metric_job(tmp_path_factory.mktemp("metric") / "job")


@pytest.fixture(scope="module")
def out(job: Path) -> Path:
    """Write its report once."""
    write_report(summarise(job), job / "out", as_xlsx=True, is_full=True)
    return job / "out"


def feet_in(text: str) -> list[str]:
    """List words of feet, pounds and Fahrenheit, but for those in the titles of sources."""
    for source in SOURCES:
        text = text.replace(source, "").replace(source.replace(" to ", " a "), "")
    return [text[max(0, found.start() - 60) : found.end() + 20] for found in FOOT.finditer(text)]


def rows_of(path: Path) -> list[dict[str, str]]:
    """Read a CSV."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_journal_says_its_unit_and_proves_itself(job: Path) -> None:
    """Tape and line state the unit; what is booked in the journal's feet are feet."""
    assert verify_job(job).ok
    with Journal.open(job, read_only=True) as journal:
        entries = list(journal.entries())
    bodies: dict[str, list[Any]] = {}
    for entry in entries:
        bodies.setdefault(entry.kind, []).append(entry.content)
    assert bodies["tape"][0]["metric"]["nominal_m"] == 30
    assert [each["unit"] for each in bodies["line"]] == ["metre", "metre"]
    first = bodies["segment"][0]
    assert (first["take"]["length"], first["length_read_ft"]) == (2542, 25.42 / 0.3048)
    (stop,) = [each for each in bodies["finding"] if each["severity"] == "stop"]
    assert (stop["code"], stop["first"], stop["second"]) == ("one-metre", 2907, 2807)
    assert "words" not in stop


def test_columns_are_those_of_feet_under_their_own_names(out: Path) -> None:
    """The same columns in the same places; no name, description or unit of a foot is left."""
    columns = sheet_in(SEGMENT_SHEET, METRE).columns
    assert len(columns) == len(SEGMENT_COLUMNS)
    for metric, feet in zip(columns, SEGMENT_COLUMNS, strict=True):
        assert metric.name == ("unit" if feet.name == "foot" else named(feet.name, METRE))
        assert metric.holds is feet.holds
    for name in ("segments.csv", "notes.csv"):
        described = (out / f"{name}-metadata.json").read_text("utf-8")
        assert not feet_in(described)
        assert not feet_in((out / name).read_text("utf-8"))
        checked = CSVW(str(out / f"{name}-metadata.json"), validate=True)
        assert checked.is_valid
        assert checked.warnings == []
    units = {
        column["name"]: column["http://qudt.org/schema/qudt/unit"]["@id"].rpartition("/")[2]
        for column in json.loads((out / "segments.csv-metadata.json").read_text("utf-8"))[
            "tableSchema"
        ]["columns"]
        if "http://qudt.org/schema/qudt/unit" in column
    }
    assert (units["length_read_m"], units["temperature_degc"], units["tension_n"]) == (
        *("M", "DEG_C", "N"),
    )


def test_rows_are_the_metres_that_were_read(out: Path) -> None:
    """What was called, what it was corrected by, and what was stated, all in metric units."""
    first, second, *_ = rows_of(out / "segments.csv")
    assert (first["unit"], first["take_reading_m"], first["length_read_m"]) == (
        *("metre", "25.42", "25.4200"),
    )
    assert (first["temperature_degc"], first["tension_n"], first["rise_m"]) == (
        "25.0",
        "80.0",
        "1.25",
    )
    assert float(first["standardisation_m"]) == pytest.approx(25.42 * 0.003 / 30, abs=6e-6)
    assert float(first["temperature_m"]) == pytest.approx(1.16e-5 * 25.42 * 5, abs=6e-6)
    assert float(first["slope_m"]) == pytest.approx(-(1.25**2) / (2 * 25.42), rel=2e-3)
    weight_n = 0.0189 * 9.80665
    assert float(first["sag_m"]) == pytest.approx(
        -(weight_n**2) * 25.42**3 / (24 * 80**2), rel=5e-3
    )
    assert second["finding_codes"] == "one-metre"
    assert second["check_difference_m"] == "-1.00"
    (note,) = rows_of(out / "notes.csv")
    assert (note["station"], note["station_m"], note["offset_m"]) == ("0+050.00", "50.00", "18.40")


def test_json_has_a_schema_of_its_own_and_reads_back_equal(job: Path, out: Path) -> None:
    """A program that knows the file in feet cannot take this one for it."""
    text = (out / "segments.json").read_text("utf-8")
    schema = (out / "segments.schema.json").read_text("utf-8")
    assert not feet_in(text)
    assert not feet_in(schema)
    jsonschema.validate(json.loads(text), json.loads(schema))
    log = read_segments_json(out / "segments.json")
    summary = summarise(job)
    assert isinstance(log.job, MetricJobHeader)
    assert log.model_dump()["format"] == "calllog-segments-metric"
    assert log.segments[0].length_read == 25.42
    assert log.segments[0].take.length == "25.42"
    assert [each.horizontal for each in log.segments] == [
        pytest.approx(each.horizontal_ft * 0.3048, abs=1e-9) for each in summary.corrected
    ]
    as_feet = text.replace("calllog-segments-metric", "calllog-segments")
    (out / "renamed.json").write_text(as_feet, "utf-8")
    with pytest.raises(Exception, match="no segment log of this version"):
        read_segments_json(out / "renamed.json")


def test_workbook_is_metric(out: Path) -> None:
    """Names and units of the sheets are those of the CSV."""
    book = load_workbook(out / "segments.xlsx")
    sheet = book["Segments"]
    head = {cell.value: below.value for cell, below in zip(sheet[1], sheet[2], strict=True)}
    assert (head["length_read_m"], head["temperature_degc"], head["tension_n"]) == (25.42, 25, 80)
    assert book.properties.description == "calllog, meters"
    jobs = {cell.value: below.value for cell, below in zip(*book["Jobs"].rows, strict=True)}
    assert jobs["unit"] == "metre"
    assert "foot" not in jobs


@pytest.mark.parametrize("language", ["en", "es"])
def test_page_has_the_metres_of_the_log_and_no_foot(
    job: Path, out: Path, tmp_path: Path, language: str
) -> None:
    """Notes, corrections, totals, uncertainty, plots and the certificate, in either language."""
    pages = write_pages(job, summarise(job), tmp_path, words=language_words(language)).files
    html = "".join(file.read_text("utf-8") for file in pages)
    text = Reader(html).text
    assert not feet_in(text)
    assert not re.search(r"\bpies?\b", text)
    for row in rows_of(out / "segments.csv"):
        for column in ("length_read_m", "horizontal_m", "running_total_m", "take_length_m"):
            assert row[column] in text, column
    for words in ("30.003 m", "25.0 °C", "80.0 N", "0.0189 kg/m", "200 GPa"):
        assert words in text, words
    assert ("one meter apart" if language == "en" else "un metro de diferencia") in text


def test_terminal_says_metres(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Report and line on the terminal, and the line's JSON."""
    report_one(summarise(job), tmp_path)
    show_line(job, line_class="1:1000", stations=25)
    told = capsys.readouterr().out
    assert "lengths in meters" in told
    assert "All lengths in meters" in told
    assert "read 72.49 m" in told
    assert not feet_in(told)
    show_line(job, stations=25, as_json=True)
    document = json.loads(capsys.readouterr().out)
    text = json.dumps(document)
    assert not feet_in(text)
    assert document["unit"] == "metre"
    line = document["lines"][0]
    assert line["length_read_m"] == pytest.approx(72.49)
    assert [each["station"] for each in line["marks"]][:3] == [
        "0+000.00",
        "0+025.00",
        "0+050.00",
    ]
    row = next(each for each in line["budget"]["rows"] if each["component"] == "reading")
    assert (row["unit"], row["u_input"]) == ("m", pytest.approx(0.005 / 3**0.5))
    assert row["u_input"] * row["sensitivity"] == pytest.approx(row["contribution_m"])


def test_reading_to_the_centimetre_is_less_certain_than_to_the_hundredth_of_a_foot(
    job: Path,
) -> None:
    """The least count of the tape decides how well it is read."""
    for each in summarise(job).corrected:
        assert each.u_random_ft is not None
        assert each.u_random_ft * 0.3048 > 0.005 / 3**0.5


def test_log_of_two_metric_jobs_and_none_with_feet(job: Path, tmp_path: Path) -> None:
    """Metres are merged with metres; a job in feet is refused beside them."""
    other = tmp_path / "later"
    with Job.open(other):
        pass
    metric_job(other)
    log = merge_jobs((job, other), WantedSegments())
    files = write_line_log(tmp_path, log, is_full=True)
    assert "running_total_m" in (tmp_path / "log.csv").read_text("utf-8")
    for file in files:
        assert not feet_in(file.read_text("utf-8"))
    feet = field_job(tmp_path / "feet")
    with pytest.raises(ConfigError, match="job is in meters, feet is in us survey feet"):
        merge_jobs((job, feet), WantedSegments())
    with pytest.raises(ConfigError, match="in different units"):
        difference(job_state(job), job_state(feet))


def test_corrected_certificate_changes_the_metres(job: Path, tmp_path: Path) -> None:
    """A job is reduced again by another metric certificate; never by one in feet."""
    again = metric_job(tmp_path / "job")
    better = metric_tape(certified_length_m=30.006, u_certified_length_m=0.0003)
    result = rereduce(again, better, by="the office", why="misread")
    assert result.entries_changed == ("certified_length_m",)
    read_m = 25.42
    assert result.pulls[0].difference_ft * 0.3048 == pytest.approx(read_m * 0.003 / 30, rel=2e-3)
    found = difference(job_state(again, at=str(job_state(job).entry)), job_state(again))
    assert {"horizontal_m", "corrections"} <= set(found.changed[0].changed)
    assert "running_total_m" not in found.changed[0].changed
    feet = TAPE.model_copy(update={"metric": None, "nominal_ft": 100})
    with Job.open_existing(again) as work, pytest.raises(ConfigError, match="unit, nominal_ft can"):
        work.correct_tape(feet, by="the office", why="")
