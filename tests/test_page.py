"""The field page: what stands on it equals the log, everything is escaped, what lacks is said."""

from __future__ import annotations

import csv
import re
import subprocess
import sys
import zlib
from collections.abc import Callable, Sequence
from datetime import date
from html import escape
from io import BytesIO
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from pypdf import PdfReader

from calllog.commands.page import page as page_command
from calllog.errors import ReportError
from calllog.journal import Journal
from calllog.office import line_results, standing, summarise, write_report
from calllog.page import chart as drawing
from calllog.page import write_pages
from calllog.page.content import build_pages
from calllog.page.history import read_history
from calllog.page.paper import PAPERS, page_pdf
from calllog.page.plots import NAMES as NAMES_ROOM
from calllog.page.plots import _spanning
from calllog.page.render import page_html
from calllog.page.write import PagesWritten
from calllog.session import Job
from calllog.session.keys import SigningKey
from calllog.values import (
    CheckPolicy,
    Choice,
    Conditions,
    Decision,
    Kind,
    Outcome,
    ReadingUnit,
    Role,
    Style,
)
from tests.fieldjob import CHIEF, ODD, TAPE, Paper, field_job, long_job, settings
from tests.reading_html import Reader
from tests.tapes import certificate

NAMES = ("day", "line-1", "line-2")
FIGURES = {
    2: "take_length_ft",
    3: "check_length_ft",
    4: "check_difference_ft",
    6: "length_read_ft",
    7: "standardisation_ft",
    8: "temperature_ft",
    9: "tension_ft",
    10: "sag_ft",
    11: "slope_ft",
    12: "sum_ft",
    13: "horizontal_ft",
    14: "running_total_ft",
}
"""Columns of the field table, and those of the log that they show."""


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Write the fixed job."""
    return field_job(tmp_path_factory.mktemp("field") / "job <7>")


@pytest.fixture(scope="module")
def written(job: Path, tmp_path_factory: pytest.TempPathFactory) -> PagesWritten:
    """Write its pages."""
    return write_pages(job, summarise(job), tmp_path_factory.mktemp("pages"))


@pytest.fixture(scope="module")
def pages(written: PagesWritten) -> dict[str, Reader]:
    """Read its pages."""
    return read_pages(written.files)


def read_pages(files: Sequence[Path]) -> dict[str, Reader]:
    """Read those of the files that are pages, by their names."""
    return {path.stem: Reader(path.read_text("utf-8")) for path in files if path.suffix == ".html"}


def first_figure(cell: str) -> str:
    """Give the figure that a cell begins with, without a plus; empty for what is not known."""
    words = cell.replace("struck: ", "").replace("\u2212", "-").split()
    figure = words[0].strip("+*") if words else ""
    return figure if re.fullmatch(r"-?[0-9]+\.[0-9]+", figure) else ""


def pulls(page: Reader) -> list[list[str]]:
    """Give the cells of each pull, what is said of it last."""
    rows = page.table("Field notes").body
    figures, said = rows[::2], rows[1::2]
    assert {len(row) for row in figures} <= {15}
    assert {len(row) for row in said} <= {1}
    return [one + other for one, other in zip(figures, said, strict=True)]


def test_every_figure_equals_the_log(job: Path, pages: dict[str, Reader], tmp_path: Path) -> None:
    """Readings, corrections, lengths and totals are those of the CSV, digit for digit."""
    log, *_ = write_report(summarise(job), tmp_path, is_full=True)
    with log.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    shown = [row for name in NAMES[1:] for row in pulls(pages[name])]
    assert len(shown) == len(rows) == 9
    for cells, row in zip(shown, rows, strict=True):
        assert cells[0].startswith(row["pull"])
        for place, column in FIGURES.items():
            assert first_figure(cells[place]) == row[column], (row["pull"], column)
        for column in ("temperature_degf", "tension_lb", "rise_ft"):
            assert (row[column] or "?") in cells[5]


def test_totals_equal_the_log(job: Path, pages: dict[str, Reader]) -> None:
    """A line's length on the day's page is the last running total, and the pulls are counted."""
    corrected = summarise(job).corrected
    there = [each for each in corrected if each.segment.line_from == "Heron"]
    row = pages["day"].table("Lines of the day").body[0]
    assert (row[0], row[2]) == (f"Heron to {ODD}", "6")
    assert row[4] == f"{there[-1].running_total_ft:.4f} slope distance"
    assert f"{there[-1].running_total_ft:.4f} ft" in pages["line-1"].text


def test_lengths_lead_with_what_they_are_good_for(job: Path, pages: dict[str, Reader]) -> None:
    """Length and expanded uncertainty (k = 2) first; k = 1 and k = 2 beside each other below."""
    there, back = line_results(summarise(job))
    assert there.told(ReadingUnit.FOOT) == ""  # a pull of it cannot be corrected
    told = back.told(ReadingUnit.FOOT)
    rows = {row[0]: row for row in pages["day"].table("Lines of the day").body}
    assert rows[f"{ODD} to Heron"][1] == told
    text = " ".join(pages["line-2"].text.split())
    assert f"{told}, horizontal length (k = 2, 95 %)" in text.replace(" ,", ",")
    assert back.budget is not None
    u_ft = back.budget.u_ft
    assert f"Standard uncertainty (k = 1){u_ft:.5f} ft" in text
    assert f"Expanded uncertainty (k = 2, 95 %){2 * u_ft:.5f} ft" in text
    assert "checked pull that needed a decision" in " ".join(pages["line-1"].text.split())


def test_names_of_strangers_are_only_words(pages: dict[str, Reader], written: PagesWritten) -> None:
    """No name becomes a tag, in page or drawing, and no mark turns the direction of writing."""
    for name, page in pages.items():
        tags = {tag for tag, _ in page.tags}
        assert not tags & {"script", "b>", "i", "u", "office", "iframe", "object", "img"}, name
        assert ODD in page.text
    assert CHIEF in pages["line-1"].text
    assert TAPE.replace("\u202e", " ") in pages["line-1"].text
    assert "the <office>" in pages["day"].text
    assert not any("\u202e" in path.read_text("utf-8") for path in written.files)


def test_struck_values_stay_beside_the_right_one(pages: dict[str, Reader]) -> None:
    """Measured again, not kept, scratched: each is struck, legible, and followed by what stands."""
    line = pages["line-1"]
    struck = {each.removeprefix("struck: ") for each in line.struck}
    assert {"98.07", "33.87", "40.00", "41.00", "100.0 ft", "C-1"} <= struck
    assert all(each.startswith("struck: ") for each in line.struck)
    rows = pulls(line)
    assert "98.07 (the other was kept); stands: 99.07" in rows[1][-1]
    assert "33.87 (call 7 was struck); stands: 38.87" in rows[2][-1]
    assert "40.00 (measured again or overruled); stands: 41.00" in rows[3][-1]


def test_who_decided_what_and_when(pages: dict[str, Reader]) -> None:
    """Decisions by word and by command, strikes and corrected certificates, each with its time."""
    deeds = pages["line-1"].table("Decisions").body
    said = [(row[1], row[2], row[3]) for row in deeds]
    assert said[:3] == [
        ("2", "the first was kept", CHIEF),
        ("3", "call 7 was struck", "rear, said"),
        ("4", "the pull is measured again", "rear, said"),
    ]
    assert said[3][2] == "the <office>"
    assert "was replaced by that of entry" in said[3][1]
    assert "the bench misread it" in said[3][1]
    assert all(re.fullmatch(r"2031-05-04 15:\d\d:\d\d UTC", row[0]) for row in deeds)
    assert len(pages["line-2"].table("Decisions").body) == 1


def test_who_signed_it_off(pages: dict[str, Reader], tmp_path: Path) -> None:
    """By whom, when, and which state; that it was changed since is said with a sign of its own."""
    assert "Nobody has signed this job off" in pages["day"].text
    folder = long_job(tmp_path / "job", pulls=2)
    with Job.open_existing(folder) as work:
        work.sign(by="<b>Office</b>", day=date(2031, 5, 5), remark="as read")
        state = work.replay.signed[0].state_hash
    text = read_small(folder, tmp_path / "signed")["line-1"].text
    assert "by <b>Office</b> on 2031-05-05 (as read), without a signature" in text
    assert f"hash {state}; unchanged since" in text
    with Job.open_existing(folder) as work:
        work.record(Conditions())
    text = read_small(folder, tmp_path / "changed")["line-1"].text
    assert "Changed since by 1 entry: by <b>Office</b>" in text


def test_key_of_a_signature_is_printed(tmp_path: Path) -> None:
    """Fingerprint and public key stand by the sign-off, to be compared with the signer's own."""
    folder = long_job(tmp_path / "job", pulls=2)
    key = SigningKey(Ed25519PrivateKey.generate())
    with Job.open_existing(folder) as work:
        one = work.sign(by="the office", day=date(2031, 5, 5), key=key)
    text = " ".join(read_small(folder, tmp_path / "signed")["day"].text.split())
    assert f"with key {one.fingerprint}, signature good ({key.public})" in text


def test_last_hash_is_printed_to_be_signed_on_paper(tmp_path: Path) -> None:
    """In groups of 8 with its entry's number, and what is typed later to compare it works."""
    folder = long_job(tmp_path / "job", pulls=2)
    with Journal.open(folder, read_only=True) as journal:
        last = journal.last()
    assert last is not None
    pages = read_small(folder, tmp_path / "pages")
    assert all(last.hash[:8] in page.text for page in pages.values())
    for name in ("day",):
        text = " ".join(pages[name].text.split())
        groups = " ".join(last.hash[at : at + 8] for at in range(0, 64, 8))
        assert f"Last entry of the journal: {last.sequence}. Its hash: {groups} Signed:" in text
        assert "Signed: Date: Kept apart from the job" in text
        (typed,) = re.findall(r"calllog verify JOB --last-hash ([0-9a-f]{8}) ", text)
        assert standing(folder, head=typed).is_as_asked
        assert standing(folder, head=groups).is_as_asked


def test_both_certificates_stand(pages: dict[str, Reader]) -> None:
    """The one in force and the one replaced, what was changed struck."""
    rows = {row[0]: row[1:] for row in pages["line-1"].table("Tape T-1").body}
    assert rows["Certified length"] == ["struck: 100.0 ft", "100.007 ft"]
    assert rows["Weight"] == ["0.0128 lb/ft", "0.0128 lb/ft"]


def test_line_and_its_way_back(pages: dict[str, Reader]) -> None:
    """Both pages and the day's show forward against back with 1:N."""
    for name in NAMES:
        (row,) = pages[name].table("Runs of one line").body
        assert re.fullmatch(r"1:[0-9]+", row[-1])
        assert "not both are finished" in row[0]
        first, second = (float(first_figure(each)) for each in row[1:3])
        difference = float(first_figure(row[3]))
        assert second - first == pytest.approx(difference, abs=1e-4)


def test_budget_stands_greatest_first(pages: dict[str, Reader]) -> None:
    """Six contributions that fall, all the rest in one more row; the shares add up to the whole."""
    rows = pages["line-1"].table("Budget").body
    contributions = [float(row[5]) for row in rows]
    assert len(rows) == 7
    assert contributions[:6] == sorted(contributions[:6], reverse=True)
    assert re.fullmatch(r"[0-9]+ more, together", rows[-1][0])
    assert sum(float(row[6].removesuffix(" %")) for row in rows) == pytest.approx(100, abs=0.5)
    assert not any("e-" in cell for row in rows for cell in row)


def test_notes_remarks_and_questions(pages: dict[str, Reader]) -> None:
    """A note stands with its remark; what was asked stands with its pull."""
    (row,) = pages["line-1"].table("Station").body
    assert row[:3] == ["1+25.00", "right", "18.40"]
    assert "Remark, call" in row[-1]
    assert "asked: not sure of <u>fifty</u>" in pages["line-1"].text


def test_what_lacks_is_said(pages: dict[str, Reader]) -> None:
    """A stop, an unfinished line, unchecked and uncorrected pulls are named in words."""
    back, there = pages["line-2"].text, pages["line-1"].text
    assert "Not checked: pulls 7, 8, 9" in back
    assert "the crew did not finish this line" in back
    assert "Pull 10 of" in back
    assert "was begun and not recorded" in back
    assert "State of this job" in back
    assert "waits for a decision" in back
    assert "waits for a decision" not in there
    assert "not corrected, stands as it was read: pull 5" in there
    assert "correction for slope not known: pull 6" in there
    for page in pages.values():
        assert "Boundaries are decided by licensed practice" in page.text


def test_proof_stands_on_each_page(job: Path, pages: dict[str, Reader]) -> None:
    """Version and the journal's last hash, so that paper and journal can be compared."""
    header = summarise(job).header
    for page in pages.values():
        assert header.state_hash in page.text
        assert f"calllog {header.software_version}" in page.text


def test_a_job_that_goes_on_does_not_mix(tmp_path: Path) -> None:
    """What is recorded after the summary was computed is not on its pages."""
    job = field_job(tmp_path / "job")
    summary = summarise(job)
    with Job.open_existing(job) as work:
        paper = Paper(work)
        paper.say("again")
    written = write_pages(job, summary, tmp_path / "out")
    assert Reader(written.files[0].read_text("utf-8")).table("Decisions").body[-1][3] == (
        "the <office>"
    )


def test_page_needs_nothing_else(pages: dict[str, Reader], written: PagesWritten) -> None:
    """No script, no style from elsewhere, no address of a network; links lead beside the page."""
    for path in written.files:
        text = path.read_text("utf-8")
        assert not re.search(r"@import|url\((?!#)", text)
    for page in pages.values():
        for tag, given in page.tags:
            assert tag not in ("script", "link", "base", "form")
            assert not any(name.startswith("on") for name in given)
            for name in ("src", "href", "xlink:href"):
                target = given.get(name, "")
                assert not re.match(r"[a-z]+:|//|/", target), target
                if name == "href" and tag == "a":
                    assert target.removesuffix(".html") in pages


def test_page_is_marked_up_for_all_readers(pages: dict[str, Reader]) -> None:
    """Language, one heading of the first rank, landmarks, captions, scopes, unique identifiers."""
    for page in pages.values():
        tags = [tag for tag, _ in page.tags]
        assert dict(page.tags)["html"]["lang"] == "en"
        assert [tags.count(each) for each in ("h1", "main", "header", "footer", "nav")] == [1] * 5
        identifiers = [given["id"] for _, given in page.tags if "id" in given]
        assert len(identifiers) == len(set(identifiers))
        for table in page.tables:
            assert table.caption.strip()
            heads = [cell for row in table.rows for cell in row if cell.is_head]
            scopes = ("col", "row", "colgroup", "rowgroup")
            assert all(cell.scope in scopes for cell in heads)
            widths = {len(row) for row in table.rows if any(not cell.is_head for cell in row)}
            assert len(widths - {1}) == 1, "one row of figures, one of words for each pull"


def test_sounds_lie_beside_the_page(
    job: Path, written: PagesWritten, pages: dict[str, Reader]
) -> None:
    """A clip is copied and linked; one that is gone or leads outside is counted and not linked."""
    (copied,) = (written.files[0].parent / "audio").iterdir()
    assert copied.read_bytes() == (job / "audio" / "000001.flac").read_bytes()
    assert (written.clips, written.clips_missing) == (1, 2)
    (sound,) = [given for tag, given in pages["line-1"].tags if tag == "audio"]
    assert sound["src"] == "audio/000001.flac"
    assert sound["preload"] == "none"
    assert sound["aria-label"] == "Call 1, fifteen forty two"


def test_sounds_can_be_left_out(job: Path, tmp_path: Path) -> None:
    """Nothing is copied, no player shown."""
    written = write_pages(job, summarise(job), tmp_path, has_clips=False)
    assert not (tmp_path / "audio").exists()
    assert all("<audio" not in path.read_text("utf-8") for path in written.files)


def test_pages_may_lie_in_the_job(tmp_path: Path) -> None:
    """The sounds are there already then, and stay whole."""
    job = field_job(tmp_path / "job")
    write_pages(job, summarise(job), job)
    assert (job / "audio" / "000001.flac").read_bytes() == b"sound one"


def test_folder_that_cannot_be_made_is_an_error(job: Path, tmp_path: Path) -> None:
    """It says which, and what to do."""
    (tmp_path / "taken").write_text("")
    with pytest.raises(ReportError, match="name another folder with --out"):
        write_pages(job, summarise(job), tmp_path / "taken" / "page")


def small_job(folder: Path, conditions: Conditions, *steps: Callable[[Paper], object]) -> Path:
    """Write a job of one line without checks."""
    with Job.open(folder) as job:
        paper = Paper(job)
        job.begin_line(settings("A", "B", policy=CheckPolicy.NONE), certificate(identity=TAPE))
        job.record(conditions)
        for step in steps:
            step(paper)
    return folder


def read_small(job: Path, out: Path) -> dict[str, Reader]:
    """Write and read its pages."""
    files = write_pages(job, summarise(job), out).files
    return read_pages(files)


def test_job_without_a_pull(tmp_path: Path) -> None:
    """The day's page comes out, and says that nothing is booked."""
    job = small_job(tmp_path / "job", Conditions())
    pages = read_small(job, tmp_path / "out")
    assert list(pages) == ["day", "summary"]
    text = pages["day"].text
    for words in (
        "No pull has been recorded",
        "No pull was measured twice",
        "No pull was recorded.",
        "No temperature was stated",
        "No call was heard",
    ):
        assert words in text


def test_first_pull_stopped(tmp_path: Path) -> None:
    """Without a segment, what was called stands on the day's page."""

    def stop(paper: Paper) -> None:
        paper.pull(2000, 3000)

    pages = read_small(small_job(tmp_path / "job", Conditions(), stop), tmp_path / "out")
    assert "Pull 1 of A to B was begun and not recorded" in pages["day"].text
    assert "30.00" in pages["day"].text


def test_checked_pulls_are_counted_where_none_agreed(tmp_path: Path) -> None:
    """No repeatability is known then, and it is said how many checks needed a decision."""

    def decided(paper: Paper) -> None:
        paper.pull(9907, 9807)
        paper.job.record(Decision(pull=1, choice=Choice.FIRST, by=CHIEF))

    pages = read_small(small_job(tmp_path / "job", Conditions(), decided), tmp_path / "out")
    text = " ".join(pages["line-1"].text.split())
    assert (
        "No pull was measured twice and agreed, so the crew\u2019s repeatability is not known. "
        "Left out: 1 checked pull that needed a decision." in text
    )


def test_one_pull_without_check_that_cannot_be_corrected(tmp_path: Path) -> None:
    """It stands as read, and every figure that is not known is said to be so."""

    def one(paper: Paper) -> None:
        paper.read(5000).say("next")

    hangs = Conditions(temperature_degf=68.0, tension_lb=0.1, spans=1)
    pages = read_small(small_job(tmp_path / "job", hangs, one), tmp_path / "out")
    (row,) = pulls(pages["line-1"])
    assert row[13] == "50.0000 slope distance"
    assert row[7:12] == ["?not known"] * 5
    assert "Stop: not corrected" in row[-1]
    assert "its uncertainty is not known" in pages["line-1"].text
    assert "repeatability is not known" in pages["line-1"].text
    assert "no forward against back" in pages["line-1"].text


@pytest.mark.parametrize(
    ("style", "called", "shown"),
    [
        (Style.ADD, ((Kind.WHOLE, 1500), (Kind.FRACTION, 42)), "15.42 15 + .42"),
        (Style.CUT, ((Kind.WHOLE, 1600), (Kind.FRACTION, 58)), "15.42 16 \u2212 .58"),
        (Style.CUT, ((Kind.WHOLE, 1600), (Kind.FRACTION, 0)), "16.00 16 \u2212 .00"),
        (Style.INSET, ((Kind.READING, 1642),), "15.42 16.42 \u2212 1.00"),
    ],
)
def test_observation_shows_what_was_called(
    tmp_path: Path, style: Style, called: tuple[tuple[Kind, int], ...], shown: str
) -> None:
    """The length stands with its parts, as the tape is graduated."""
    tape = certificate(style=style)
    held = 100 if style is Style.INSET else 0
    with Job.open(tmp_path / "job") as work:
        paper = Paper(work)
        line = settings("A", "B", policy=CheckPolicy.NONE, style=style, tape=tape.identity)
        work.begin_line(line, tape)
        work.record(Conditions(hold=held))
        for kind, value in called:
            role = Role.HEAD if kind is Kind.FRACTION else Role.REAR
            paper.call(kind, value=value, role=role)
        paper.say("next")
    pages = read_small(tmp_path / "job", tmp_path / "out")
    assert pulls(pages["line-1"])[0][2] == shown


def test_scratch_after_booking_and_typed_over_heard(tmp_path: Path) -> None:
    """A pull opened again, and a heard value that a typed one overruled, are told with who did."""

    def befall(paper: Paper) -> None:
        paper.read(5000).say("next").say("scratch").read(5100).say("next")
        paper.read(6000).read(6001, is_keyed=True, source="keys#0").say("next")

    pages = read_small(small_job(tmp_path / "job", Conditions(), befall), tmp_path / "out")
    deeds = [row[1:4] for row in pages["line-1"].table("Decisions").body]
    assert deeds == [
        ["1", "the pull was opened again after it was recorded", "rear, said"],
        ["1", "call 1 was struck", "rear, said"],
        ["2", "call 6 was struck, since another value was typed", "rear, typed"],
    ]
    rows = pulls(pages["line-1"])
    assert "50.00 (call 1 was struck); stands: 51.00" in rows[0][-1]
    assert "60.00 (call 6 was struck); stands: 60.01" in rows[1][-1]


def test_orders_of_a_phone_stand_with_its_name(tmp_path: Path) -> None:
    """Who struck a call on the chief's page is named, and a written remark keeps its words."""
    with Job.open(tmp_path / "job") as opened:
        paper = Paper(opened)
        opened.begin_line(settings("A", "B"), certificate(identity=TAPE))
        phone = {"source": "live-1#phone Anna", "is_keyed": True}
        paper.read(1542).call(Kind.COMMAND, name="scratch", **phone)
        remark = {"text": "tape <wet>", "outcome": Outcome.IGNORED}
        paper.call(Kind.REMARK, **phone, **remark).pull(1542, 1542)
    made = write_pages(tmp_path / "job", summarise(tmp_path / "job"), tmp_path / "out")
    text = read_pages(made.files)["line-1"].text
    assert "Anna, on the phone" in text
    assert "tape <wet>" in text
    assert "its sound is not here" not in text


def test_drawings_show_what_they_say(pages: dict[str, Reader], written: PagesWritten) -> None:
    """Four of them, with titles, words and units; off the scale is written out."""
    drawings = [given for tag, given in pages["line-1"].tags if tag == "svg"]
    assert len(drawings) == 4
    assert all(given["role"] == "img" and given["aria-labelledby"] for given in drawings)
    text = pages["line-1"].text
    for words in (
        "check minus first, ft",
        "correction, ft",
        "temperature, °F",
        "ft per 100 ft",
        "certainty, %",
        "beyond it: pull 2 \u22121.00 ft.",
        "1 led to a question",
    ):
        assert words in text
    svg = re.findall(r"<svg.*?</svg>", written.files[1].read_text("utf-8"), re.DOTALL)
    assert ">\u22121.00<" in svg[0]


def test_drawings_have_no_colour_that_the_page_does_not_name(written: PagesWritten) -> None:
    """Each colour has a name, so that light and dark pages give their own."""
    for path in written.files:
        for svg in re.findall(r"<svg.*?</svg>", path.read_text("utf-8"), re.DOTALL):
            named = re.sub(r"var\(--[a-z0-9-]+, #[0-9a-f]{6}\)", "", svg)
            assert not re.findall(r"#[0-9a-f]{6}\b|#[0-9a-f]{3}\b(?=[;\"])", named)


def luminance(colour: str) -> float:
    """Give the relative luminance of a colour (WCAG 2.2)."""
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    ]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(first: str, second: str) -> float:
    """Give the contrast of two colours (WCAG 2.2)."""
    high, low = sorted((luminance(first), luminance(second)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_words_are_easy_to_see_in_light_and_dark() -> None:
    """Every colour of words has a contrast of 7 on both grounds, drawings 3."""
    css = (Path(drawing.__file__).parent / "page.css").read_text("utf-8")
    light, dark = (
        dict(re.findall(r"--([a-z0-9-]+): (#[0-9a-f]{6})", block))
        for block in re.findall(r":root \{(.*?)\}", css, re.DOTALL)
    )
    plain = drawing.COLOURS
    for colours in (light, dark):
        for ground in ("paper", "soft"):
            for words in ("ink", "muted", "link", "stop"):
                assert contrast(colours[words], colours[ground]) >= 7, (words, ground)
        for name, colour in (plain | colours).items():
            if name.startswith("plot"):
                assert contrast(colour, colours["paper"]) >= 3, name


def test_pdf_has_the_words_of_the_page(job: Path, pages: dict[str, Reader], tmp_path: Path) -> None:
    """One PDF a page on each paper, its text to be selected, struck values and figures in it."""
    summary = summarise(job)
    written = write_pages(job, summary, tmp_path, has_clips=False, paper="letter")
    assert [path.name for path in written.files if path.suffix == ".pdf"] == [
        f"{name}.pdf" for name in (*NAMES, "summary")
    ]
    pdf = PdfReader(tmp_path / "line-1.pdf")
    text = re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pdf.pages))
    assert 2 <= len(pdf.pages) <= 12
    assert pdf.metadata is not None
    assert ODD in (pdf.metadata.title or "")
    for row in pulls(pages["line-1"]):
        assert first_figure(row[13]) in text
    assert "98.07" in text
    assert "check minus first, ft" in text
    assert summary.header.state_hash in text.replace(" ", "")


def test_each_sheet_of_a_pdf_has_the_head_of_the_table(tmp_path: Path) -> None:
    """A table over several sheets says on each what its columns are; every pull is on one."""
    job = long_job(tmp_path / "job")
    write_pages(job, summarise(job), tmp_path, has_clips=False, paper="a4")
    sheets = [
        " ".join(sheet.extract_text().split()) for sheet in PdfReader(tmp_path / "line-1.pdf").pages
    ]
    with_rows = [text for text in sheets if "First and check agree, recorded" in text]
    assert len(with_rows) > 1
    assert all("Running total" in text for text in with_rows)
    assert sum(text.count("First and check agree, recorded") for text in with_rows) == 40


def test_paper_of_a_pdf(job: Path) -> None:
    """Letter and A4, both on their long side."""
    pages = build_pages(summarise(job), read_history(()), {})
    html = page_html(pages[0], is_printed=True)
    sizes = {}
    for paper in PAPERS:
        box = PdfReader(BytesIO(page_pdf(html, paper))).pages[0].mediabox
        sizes[paper] = (round(box.width), round(box.height))
    assert sizes == {"letter": (792, 612), "a4": (842, 595)}


def test_pdf_without_its_library_says_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """The error names the extra."""
    monkeypatch.setattr("calllog.page.paper.find_spec", lambda _: None)
    with pytest.raises(ReportError, match=r"calllog\[pdf\]"):
        page_pdf("<p>")


@pytest.mark.parametrize(
    "name",
    ['"); #panic("x', "\\u0041 \\\\ $x$ *y*", "// no comment", '#include "job.sqlite"', "<x> @y"],
)
def test_names_are_no_markup_of_the_typesetter(name: str) -> None:
    """What a stranger calls a job stands on paper as it was written."""
    html = (
        f"<html lang='en'><head><title>t</title></head><body><h1>{escape(name)}</h1>"
        f"<table class='deeds'><thead><tr><th>a</th><th>{escape(name)}</th><th>c</th><th>d</th>"
        f"<th>e</th></tr></thead><tbody><tr><td>{escape(name)}</td></tr></tbody></table></body></html>"
    )
    (sheet,) = PdfReader(BytesIO(page_pdf(html))).pages
    assert " ".join(sheet.extract_text().split()).count(" ".join(name.split())) == 3


def test_pdf_is_made_where_no_font_has_a_sign() -> None:
    """It is tagged all the same, but says that it holds to PDF/UA only where it does."""
    html = "<html lang='es'><title>t</title><body><h1>x Heron</h1></body></html>"
    whole, odd = (page_pdf(html.replace("x", sign)) for sign in ("x", "\U00012000"))
    for pdf in (whole, odd):
        assert "Heron" in PdfReader(BytesIO(pdf)).pages[0].extract_text()
        assert b"/StructTreeRoot" in pdf
    assert (b"pdfuaid" in whole, b"pdfuaid" in odd) == (True, False)


def test_dot_that_is_alone_is_drawn_on_paper() -> None:
    """As of one pull, or before its words above a drawing."""
    chart = drawing.Chart()
    chart.group(drawing.dotted("plot-1", 7), drawing.dots([(50, 50)]))
    shown = f"<figure><h3>t</h3>{chart.svg('n', 't', 'w')}<figcaption>w</figcaption></figure>"
    html = f"<html lang='en'><title>t</title><body><div class='plots'>{shown}</div></body></html>"
    streams = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", page_pdf(html), re.DOTALL)
    plain = [zlib.decompress(each) for each in streams if each[:1] == b"x"]
    blue = rb"0\.0431\d* 0\.3098\d* 0\.5411\d* (SCN|RG)"
    assert re.search(blue, b"\n".join(plain))


def test_names_of_lines_have_room_above_what_is_drawn() -> None:
    """The highest value of a scale that says so stays below them, however little it spans."""
    for values in ([68.0, 41.0, 45.0], [68.0, 68.0], [68.0, 67.0]):
        scale = _spanning(values, 122.0, 46.0, 2.0, NAMES_ROOM)
        assert scale(max(values)) >= 46.0 + NAMES_ROOM - 1e-9
        assert scale(min(values)) < 122.0


def test_end_of_a_page_takes_what_is_above_it_along() -> None:
    """No sheet has a line of the footer alone: it stands below the cautions, or not at all."""
    for count in range(30, 60):
        filled = "".join(f"<p>row {number}</p>" for number in range(count))
        html = (
            f"<html lang='en'><title>t</title><body>{filled}<div class='cautions'><h2>Cautions</h2>"
            "<ul><li>one</li></ul></div><footer><p>first words</p><p>last words</p></footer></body>"
            "</html>"
        )
        last = PdfReader(BytesIO(page_pdf(html))).pages[-1].extract_text()
        assert "last words" in last
        assert "first words" in last
        assert "Cautions" in last


def test_listening_loads_nothing_of_it() -> None:
    """The program starts without templates, plots and PDF, so that listening stays small."""
    code = (
        "import sys, calllog.cli;"
        "print([m for m in ('jinja2', 'typst', 'PIL', 'xlsxwriter') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert done.stdout.strip() == "[]"


def test_command_writes_beside_the_log(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without --out the pages go into the job's own folder, and what lacks is told."""
    job = field_job(tmp_path / "job")
    page_command(job, pdf=False, clips=True)
    said = capsys.readouterr().out
    assert "2 sounds are not in the job any more" in said
    assert "1 sound lies beside the pages" in said
    for name in NAMES:
        assert f"written: {job / 'out' / 'page' / name}.html" in said
        assert (job / "out" / "page" / f"{name}.html").is_file()


def test_page_that_somebody_wrote_on_is_kept(job: Path, tmp_path: Path) -> None:
    """Under another name, which is told; a page as it was written is written anew."""
    write_pages(job, summarise(job), tmp_path)
    (tmp_path / "summary.html").write_text("with remarks of the office", "utf-8")
    again = write_pages(job, summarise(job), tmp_path)
    kept = tmp_path / "summary.kept.html"
    assert kept.read_text("utf-8") == "with remarks of the office"
    assert [words for words in again.words if "kept" in words] == [
        f"! kept: {kept}, which no run wrote so: it stood where this run writes"
    ]
    assert not list(tmp_path.glob("day.kept*"))


def test_pages_of_lines_that_are_no_longer_there_are_removed(job: Path, tmp_path: Path) -> None:
    """A folder used again must not show another job's lines; what calllog did not write stays."""
    write_pages(job, summarise(job), tmp_path)
    old = tmp_path / "line-3.html"
    old.write_text((tmp_path / "line-2.html").read_text("utf-8"), "utf-8")
    old.with_suffix(".pdf").write_bytes(b"%PDF")
    kept = {
        tmp_path / "line-4.html": "a page of somebody else",
        tmp_path / "line-notes.html": (tmp_path / "line-2.html").read_text("utf-8"),
        tmp_path / "line-9.pdf": "a plan",
    }
    for path, text in kept.items():
        path.write_text(text, "utf-8")
    again = write_pages(job, summarise(job), tmp_path)
    assert again.removed == (old, old.with_suffix(".pdf"))
    assert not old.exists()
    assert not old.with_suffix(".pdf").exists()
    assert all(path.read_text("utf-8") == text for path, text in kept.items())
    assert all((tmp_path / f"{name}.html").exists() for name in NAMES)
