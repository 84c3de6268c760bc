"""A length whose rise is not known is a slope distance, and says so in every output.

That a length along a slope is longer than the horizontal one is common practice, no published
source.
"""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from calllog.cli import app
from calllog.lines import JobPart, Unfinished, build_corrected, closures, group_lines, merge_parts
from calllog.office import replay_job, summarise, write_report
from calllog.page import write_pages
from calllog.session import Job
from calllog.values import BookPolicy, Conditions, DistanceKind
from tests.fieldjob import Paper, settings
from tests.reading_html import Reader
from tests.tapes import certificate
from tests.test_lines_totals import STANDARD, segment

HORIZONTAL, SLOPE = DistanceKind.HORIZONTAL, DistanceKind.SLOPE
UNKNOWN = STANDARD.model_copy(update={"rise_ft": None})


def test_total_is_horizontal_only_if_all_its_pulls_are() -> None:
    """From the first pull of unknown rise on, up to the end of that run and no further."""
    pulls = [
        segment(1, 9000),
        segment(2, 9000, conditions=UNKNOWN),
        segment(3, 9000),
        segment(4, 9000, "B:A"),
    ]
    corrected = build_corrected(pulls, {"T-1": certificate()})
    assert [each.kind for each in corrected] == [HORIZONTAL, SLOPE, HORIZONTAL, HORIZONTAL]
    assert [each.running_kind for each in corrected] == [HORIZONTAL, SLOPE, SLOPE, HORIZONTAL]
    forward, back = group_lines(corrected)
    assert (forward.kind, back.kind) == (SLOPE, HORIZONTAL)
    assert [each.kind for each in closures([forward, back])] == [SLOPE]


def test_pull_that_cannot_be_corrected_is_no_horizontal_length() -> None:
    """It stands as it was read, along the tape."""
    steep = STANDARD.model_copy(update={"rise_ft": 120.0})
    (one,) = build_corrected([segment(1, 9000, conditions=steep)], {"T-1": certificate()})
    assert (one.kind, one.running_kind) == (SLOPE, SLOPE)


def test_line_that_goes_on_in_another_job_keeps_its_slope() -> None:
    """A total over two jobs is a slope distance if a pull of the first is one."""
    parts = [
        JobPart(
            job=f"day-{day}",
            corrected=build_corrected([segment(1, 9000, conditions=each)], {"T-1": certificate()}),
            finished={("A", "B"): day - 1},
        )
        for day, each in ((1, UNKNOWN), (2, STANDARD))
    ]
    merged = merge_parts(parts, Unfinished.GOES_ON)
    assert [each.running_kind for rows in merged.corrected for each in rows] == [SLOPE, SLOPE]


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Tape a line of a level pull and one whose rise nobody stated; the mean is recorded."""
    folder = tmp_path_factory.mktemp("kind") / "job"
    tape = certificate(identity="T-1")
    with Job.open(folder) as job:
        job.begin_line(settings("A", "B", tape="T-1", book=BookPolicy.MEAN), tape)
        paper = Paper(job)
        job.record(Conditions(rise_ft=0.0))
        paper.read(3387).say("switch").read(3387)
        job.record(Conditions())
        paper.read(9000).say("switch").read(9001).say("finish")
    return folder


def run(*words: str) -> str:
    """Run a command and give what it prints."""
    result = CliRunner().invoke(app, list(words), catch_exceptions=False)
    assert result.exit_code == 0
    return result.output


def test_csv_and_json_say_it_beside_the_value(job: Path, tmp_path: Path) -> None:
    """Two columns more, for the length and for the total; and the crew's policy."""
    write_report(summarise(job), tmp_path, is_full=True)
    with (tmp_path / "segments.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    said = [(each["distance_kind"], each["running_kind"], each["book_policy"]) for each in rows]
    assert said == [("horizontal", "horizontal", "mean"), ("slope", "slope", "mean")]
    log = json.loads((tmp_path / "segments.json").read_text("utf-8"))
    assert [each["distance_kind"] for each in log["segments"]] == ["horizontal", "slope"]
    assert [each["book_policy"] for each in log["segments"]] == ["mean", "mean"]
    assert log["version"] == 2


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (
            ("report",),
            (
                "33.8700",
                " sl ",
                "sl = slope distance, not horizontal",
                "where first and check agree, their mean is recorded",
            ),
        ),
        (
            ("line",),
            (
                "slope distance 123.875 ft; where first and check agree, their mean is recorded",
                "pulls end along the slope:",
            ),
        ),
        (("extract",), (" sl ", "sl = slope distance", "their mean is recorded")),
    ],
)
def test_printed_tables_mark_the_value(
    job: Path, tmp_path: Path, words: tuple[str, ...], told: tuple[str, ...]
) -> None:
    """At the value itself, with what the mark means; a total is not called horizontal."""
    out = ("--out", str(tmp_path)) if words == ("report",) else ()
    printed = " ".join(run(*words, str(job), *out).split())
    for each in told:
        assert each.strip() in printed


def test_line_document_names_the_kind(job: Path) -> None:
    """A program reads which way the total lies, and what is recorded."""
    (line,) = json.loads(run("line", str(job), "--json"))["lines"]
    assert (line["distance_kind"], line["book_policies"]) == ("slope", ["mean"])


def test_page_says_slope_distance_at_the_value(job: Path, tmp_path: Path) -> None:
    """In the table, in the facts at the head, and in the row of the line."""
    folder = tmp_path / "page"
    write_pages(job, summarise(job), folder)
    line = Reader((folder / "line-1.html").read_text("utf-8")).text
    day = Reader((folder / "day.html").read_text("utf-8")).text
    flat = " ".join(line.split())
    assert "Slope distance123.87" in flat
    assert "Horizontal length" not in flat
    assert flat.count("slope distance") >= 2
    assert "where they agree their mean is recorded" in flat
    assert "slope distance" in " ".join(day.split())


def test_no_rise_and_a_rise_of_nothing_are_not_the_same(job: Path) -> None:
    """Level was stated for the first pull alone."""
    assert [each.conditions.rise_ft for each in replay_job(job).segments] == [0.0, None]
