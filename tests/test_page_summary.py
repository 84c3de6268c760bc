"""The page that is signed and the list of distances: one sheet, figures of the log, the state."""

from __future__ import annotations

import csv
from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from calllog.commands.page import page as page_command
from calllog.errors import ConfigError
from calllog.lines import parse_class
from calllog.office import line_results, summarise, write_report
from calllog.page import SetAgainst, write_pages
from calllog.page.content import build_pages
from calllog.page.history import read_history
from calllog.page.paper import page_pdf
from calllog.page.render import page_html
from calllog.session import Job
from calllog.values import ReadingUnit
from calllog.wording import language_words
from tests.fieldjob import ODD, field_job, long_job
from tests.metricjob import metric_job
from tests.reading_html import Reader

ENDS = frozenset(("Heron", ODD))


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Write the fixed job."""
    return field_job(tmp_path_factory.mktemp("field") / "job")


def written(job: Path, out: Path, wanted: SetAgainst | None = None) -> tuple[Reader, str]:
    """Write the pages; read the summary, and give the list of distances."""
    write_pages(job, summarise(job), out, has_clips=False, wanted=wanted)
    page = Reader((out / "summary.html").read_text("utf-8"))
    return page, (out / "distances.txt").read_text("utf-8")


def test_state_stands_before_any_figure(job: Path, tmp_path: Path) -> None:
    """On every page the banner comes before the first length, and names what speaks against it."""
    files = write_pages(job, summarise(job), tmp_path, has_clips=False).files
    for path in files:
        if path.suffix != ".html":
            continue
        text = Reader(path.read_text("utf-8")).text
        start = text.index("State of this job")
        assert start < text.index("All lengths in")
        for words in ("Not corrected", "After a stop"):
            if path.stem != "line-2":
                assert words.lower() in text[start:].split("All lengths in")[0].lower()
    summary = (tmp_path / "distances.txt").read_text("utf-8")
    assert summary.index("State of this job") < summary.index(" ft ")


def test_a_sound_job_says_so_and_who_signed_it(tmp_path: Path) -> None:
    """Nothing against it is said in words too; a change after the sign-off takes that back."""
    folder = long_job(tmp_path / "job", pulls=2)
    page, _ = written(folder, tmp_path / "a")
    assert "Complete: every line is finished" in page.text
    assert "nobody has signed it off yet" in page.text
    with Job.open_existing(folder) as work:
        work.sign(by="R. Field", day=date(2031, 5, 5))
    page, _ = written(folder, tmp_path / "b")
    assert "signed off by R. Field on 2031-05-05 and unchanged since" in page.text
    (banner,) = [given for tag, given in page.tags if given.get("aria-labelledby") == "standing"]
    assert banner["class"] == "standing sound"
    with Job.open_existing(folder) as work:
        work.record(work.state.conditions)
    page, _ = written(folder, tmp_path / "c")
    assert "Complete" not in page.text
    assert "since R. Field signed it off" in page.text


def test_lengths_are_those_of_the_log(job: Path, tmp_path: Path) -> None:
    """Each line stands with its length and k = 2, on the page and in the list alike."""
    results = line_results(summarise(job))
    page, text = written(job, tmp_path)
    rows = page.table("Length with its expanded").body
    assert len(rows) == len(results) == 2
    for row, result in zip(rows, results, strict=True):
        told = result.told(ReadingUnit.FOOT)
        assert (told or f"{result.line.horizontal_ft:.2f} ft \u00b1 ?") in row[2]
        assert row[2].split(" slope")[0].split(" \u00b1")[0] in text
    assert "Boundaries are decided by licensed practice" in page.text
    assert "not where a boundary lies" in text


def test_class_and_record_are_set_beside_the_lines(job: Path, tmp_path: Path) -> None:
    """A class gets its verdict; a record its difference, whichever way the line is named."""
    wanted = SetAgainst(parse_class("1:5000"), {ENDS: "20 rod"})
    page, _ = written(job, tmp_path, wanted)
    there, back = page.table("Length with its expanded").body
    assert "1:5000" in there[4]
    assert there[5] == back[5] == "20 rod"
    measured = line_results(summarise(job))[0].line.horizontal_ft
    assert there[6] == f"{measured - 330:+.2f} ft".replace("-", "\u2212")


def test_record_of_no_line_is_refused(job: Path, tmp_path: Path) -> None:
    """It names the lines that there are, and nothing is half written."""
    wanted = SetAgainst(None, {frozenset(("A", "B")): "20 rod"})
    with pytest.raises(ConfigError, match="no line A:B") as raised:
        write_pages(job, summarise(job), tmp_path, has_clips=False, wanted=wanted)
    assert "Heron" in raised.value.next_step
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("records", "wrong"),
    [
        (["20 rod"], "says which it is of"),
        (["A:B=20 rod", "B:A=21 rod"], "two records of one line"),
    ],
)
def test_record_that_names_no_line_or_one_twice_is_refused(
    job: Path, tmp_path: Path, records: list[str], wrong: str
) -> None:
    """What is typed is answered with what to type."""
    with pytest.raises(ConfigError, match=wrong):
        page_command(job, folder=tmp_path, records=records)


def test_stops_equipment_and_two_signatures(job: Path, tmp_path: Path) -> None:
    """Who decided what, the tapes with their certificates, the last hash, two lines to sign on."""
    page, _ = written(job, tmp_path)
    said = [(row[1], row[2]) for row in page.table("Decisions").body]
    assert ("2", "the first was kept") in said
    assert not any("struck" in what for _, what in said)
    text = " ".join(page.text.split())
    assert "C-2" in text
    assert "100.007 ft" in text
    assert text.count("Signed: Date:") == 2
    header = summarise(job).header
    assert header.state_hash in text.replace(" ", "")


def test_summary_is_one_sheet_with_a_running_head(job: Path) -> None:
    """On each paper; above it stand job, page, day and the beginning of the last hash."""
    summary = summarise(job)
    (page,) = [one for one in build_pages(summary, read_history(()), {}) if one.sheet]
    html = page_html(page, is_printed=True)
    for paper in ("letter", "a4"):
        (sheet,) = PdfReader(BytesIO(page_pdf(html, paper))).pages
        text = " ".join(sheet.extract_text().split())
        assert f"journal {summary.header.state_hash[:8]}" in text
        assert "job \u00b7 Summary of the day" in text
        assert "1 / 1" in text


def test_names_of_strangers_end_no_style(job: Path, tmp_path: Path) -> None:
    """The running head is a style: what a name has in it stays a text."""
    out = write_pages(job, summarise(job), tmp_path, has_clips=False)
    for path in out.files:
        if path.suffix == ".html":
            styles = path.read_text("utf-8").split("<style>")[1].split("</style>")[0]
            assert "<" not in styles
            assert "script>" not in styles


def test_metric_and_spanish(tmp_path: Path) -> None:
    """Another unit and another language have the same page and list."""
    job = metric_job(tmp_path / "job")
    words = language_words("es")
    write_pages(job, summarise(job), tmp_path / "out", has_clips=False, words=words)
    text = (tmp_path / "out" / "distances.txt").read_text("utf-8")
    assert " m  " in text
    assert "Distancias de job" in text
    assert "Estado, antes de cualquier cifra" in text


def test_length_is_not_told_finer_than_it_is_known(job: Path, tmp_path: Path) -> None:
    """A pull that cannot be corrected has no uncertainty: pages, list and data say that alike."""
    summary = summarise(job)
    (result,) = [one for one in line_results(summary) if one.line.uncorrected]
    page, text = written(job, tmp_path)
    told = f"{result.line.horizontal_ft:.2f} ft \u00b1 ?"
    assert told in page.text
    assert told in text
    for name in ("day", "line-1"):
        shown = Reader((tmp_path / f"{name}.html").read_text("utf-8")).text
        assert told in shown
        assert "Standard uncertainty of the length" not in shown
    write_report(summary, tmp_path / "data")
    with (tmp_path / "data" / "lines.csv").open("r", newline="") as file:
        row = next(csv.DictReader(file))
    assert (row["u_ft"], row["u_expanded_ft"], row["one_in"]) == ("", "", "")
