"""The command `about` and where its facts appear; copies of one job told by identity."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from calllog.about import load_about
from calllog.commands.about import about, read_about
from calllog.commands.compare import compare
from calllog.commands.course_options import one_line
from calllog.commands.extract import extract
from calllog.commands.line import line as show_line
from calllog.commands.listen import listen
from calllog.commands.report import report
from calllog.commands.start import Start
from calllog.demo import load_day
from calllog.errors import ConfigError, JournalError
from calllog.office import find_copies, job_state, replay_job, rescue_job, summarise
from calllog.page import write_pages
from calllog.report import LineLog, read_segments_json
from calllog.session import Job
from calllog.values import Holders
from calllog.wording import language_words
from tests.fieldjob import KNOWN, Paper, settings
from tests.reading_html import Reader
from tests.tapes import certificate
from tests.test_commands_line import write_job

Show = Callable[..., str]
FULL = certificate(identity="T-100-3")
FACTS = """
client = "The <Millrace> estate"
weather = "gusty"
by = "R. Field"
[crew]
head = "J. Marsh"
rear = "T. Fenn"
recorder = "P. Reed"
[instruments]
thermometer = "no. 7"
"""


@pytest.fixture
def show(capsys: pytest.CaptureFixture[str]) -> Show:
    """Run a command and give what it prints."""

    def run(command: Callable[..., None], *jobs: object, **options: object) -> str:
        capsys.readouterr()
        command(*jobs, **options)
        return capsys.readouterr().out

    return run


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """Make a job of two pulls, the second after the ends had changed hands."""
    folder = tmp_path / "day-1"
    with Job.open(folder) as job:
        job.state_about(load_about(FACTS, "about.toml"), at_start=True)
        job.begin_line(settings("Heron", "Alder", tape=FULL.identity), FULL)
        job.record(KNOWN)
        paper = Paper(job).pull(1542, 1541).pull(2542, 2542)
    about(folder, rear="P. Reed", by="R. Field", why="T. Fenn went home")
    with Job.open(folder) as job:
        paper.job = job
        paper.pull(3542, 3542).say("finish")
    return folder


def test_facts_in_force_and_their_history_are_shown(job: Path, show: Show) -> None:
    """Identity, each fact, and every entry that stated one with its old value."""
    text = show(about, job)
    assert f"Job day-1, identity {replay_job(job).identity}\n" in text
    assert "  client: The <Millrace> estate\n  weather: gusty\n  crew head: J. Marsh\n" in text
    assert "by R. Field, as the work began:\n  client: none -> The <Millrace> estate\n" in text
    assert "by R. Field (T. Fenn went home):\n  crew rear: T. Fenn -> P. Reed\n" in text
    document = json.loads(show(about, job, as_json=True))
    assert document["identity"] == replay_job(job).identity
    assert [each["role"] for each in document["crew"]] == ["head", "rear", "recorder"]
    assert [each["by"] for each in document["history"]] == ["R. Field", "R. Field"]
    assert document["history"][1]["changed"] == [
        {"fact": "crew", "name": "rear", "old": "T. Fenn", "new": "P. Reed"}
    ]


def test_facts_are_amended_by_options_or_a_file(job: Path, show: Show, tmp_path: Path) -> None:
    """Single facts change alone; a table of a file counts as a whole; an empty text takes back."""
    show(
        about,
        job,
        project="West meadow",
        client="",
        others=["recorder=", "brush=A. Sedge"],
        instruments=["balance=no. 3"],
        by="the office",
    )
    facts = replay_job(job).about
    assert (facts.client, facts.project, facts.weather) == ("", "West meadow", "gusty")
    assert [(each.role, each.name) for each in facts.crew] == [
        ("head", "J. Marsh"),
        ("rear", "P. Reed"),
        ("brush", "A. Sedge"),
    ]
    assert [one.kind for one in facts.instruments] == ["thermometer", "balance"]
    file = tmp_path / "other.toml"
    file.write_text('[crew]\nhead = "A. Sedge"\n', "utf-8")
    show(about, job, file=file, by="the office")
    facts = replay_job(job).about
    assert [(each.role, each.name) for each in facts.crew] == [("head", "A. Sedge")]
    assert facts.project == "West meadow"


def test_what_cannot_be_stated_is_refused(job: Path, tmp_path: Path) -> None:
    """What, where and what next; nothing is recorded, and no job is made."""
    before = replay_job(job)
    bad = tmp_path / "bad.toml"
    bad.write_text("[crew]\nhead = 7\n", "utf-8")
    binary = tmp_path / "binary.toml"
    binary.write_bytes(b"\xff\xfe")
    refused: tuple[tuple[dict[str, object], str], ...] = (
        ({"head": "X"}, "nobody is named who states the facts; say who: --by"),
        ({"by": "the office"}, "--by: nothing is stated"),
        ({"head": "X", "file": bad}, "--from: a file and single facts are given"),
        ({"file": bad, "by": "the office"}, r"bad\.toml: 1 of the facts .*crew\.head: 7 is no"),
        ({"file": tmp_path / "none.toml"}, r"none\.toml: the facts of the job cannot be read"),
        (
            {"file": binary},
            r"binary\.toml: the facts of the job .*: it is no plain text",
        ),
        ({"instruments": ["balance"], "by": "x"}, "--instrument: 'balance' names nothing"),
        ({"others": [" =x"], "by": "x"}, "--crew: ' =x' names nothing"),
        (
            {"head": "X", "by": "a\u202eb"},
            r"--by: it has a character that cannot be seen \(U\+202E",
        ),
        ({"head": "X", "by": "x", "why": "y" * 301}, "--why: 301 characters; at most 300"),
        ({"head": "a\u202eb", "by": "x"}, r"crew\.head: it has a character that cannot be seen"),
        ({"head": "J. Marsh", "by": "x"}, "the job says so already; `calllog about"),
    )
    for options, message in refused:
        with pytest.raises(ConfigError, match=f"(?s){message}"):
            about(job, **options)  # type: ignore[arg-type]
    assert replay_job(job).amended == before.amended
    with pytest.raises(JournalError):
        about(tmp_path / "none", head="X", by="the office")
    assert not (tmp_path / "none").exists()


def test_listening_states_the_facts_of_its_file_once(tmp_path: Path) -> None:
    """A job that begins with a file has its facts before the first call; going on adds none."""
    stated = read_about(load_day().about)
    start = Start(
        tmp_path / "job", one_line(FULL, "A:B"), {}, date(2131, 5, 4), is_day_stated=True,
        about=stated,
    )  # fmt: skip
    for _ in range(2):
        with start.open(is_live=True) as job:
            assert job.replay.about.client == "The Millrace estate"
            assert len(job.replay.amended) == 1
            assert job.replay.calls == []


def test_listening_with_a_bad_file_makes_no_job(tmp_path: Path) -> None:
    """The file is read before anything is begun."""
    bad, tape = tmp_path / "bad.toml", Path("calllog/demo/tapes/add-100.toml")
    bad.write_text('client = "a"\nclient = "b"\n', "utf-8")
    with pytest.raises(ConfigError, match=r"bad\.toml: not valid TOML: .*line 2"):
        listen(tmp_path / "job", tapes=[tape], lines=["A:B"], about=bad, recordings=[tape])
    assert not (tmp_path / "job").exists()


def test_shipped_facts_can_be_used() -> None:
    """The file beside the demo's tapes is one, and names both ends."""
    stated = read_about(load_day().about).amendment
    assert {"head", "rear", "chief"} == {each.role for each in stated.crew}
    assert {"tape", "thermometer", "balance"} == {one.kind for one in stated.instruments}
    assert all((stated.client, stated.project, stated.weather, stated.by))


def test_reports_say_whose_job_it_is(job: Path, show: Show, tmp_path: Path) -> None:
    """Heads of `report` and `line`, header and rows of the log, and the table of `log`."""
    text = show(report, job, folder=tmp_path / "office")
    head = "Client: The <Millrace> estate; weather: gusty.\nCrew: head J. Marsh, rear P. Reed,"
    assert head in text
    assert "Instruments: thermometer no. 7.\n" in text
    found = read_segments_json(tmp_path / "office" / "segments.json")
    assert (found.job.client, found.job.identity) == (
        "The <Millrace> estate",
        replay_job(job).identity,
    )
    assert [(each.take_rear, each.check_head, each.check_rear) for each in found.segments] == [
        ("T. Fenn", "T. Fenn", "J. Marsh"),
        ("T. Fenn", "T. Fenn", "J. Marsh"),
        ("P. Reed", "P. Reed", "J. Marsh"),
    ]
    assert head in show(show_line, job)
    document = json.loads(show(show_line, job, as_json=True))
    assert document["about"]["client"] == "The <Millrace> estate"
    assert document["identity"] == found.job.identity
    text = show(extract, [job])
    ends = (
        "Head J. Marsh, rear {} in the first measurement, turned round in the check: day-1,"
        " pull {}.\n"
    )
    assert ends.format("T. Fenn", "1, 2") in text
    assert ends.format("P. Reed", "3") in text
    logged = LineLog.model_validate_json(show(extract, [job], as_json=True))
    assert [each.segment.take_rear for each in logged.segments] == ["T. Fenn", "T. Fenn", "P. Reed"]


def test_nothing_is_shown_where_nothing_is_stated(tmp_path: Path, show: Show) -> None:
    """A job without facts has no empty lines about them."""
    job = write_job(tmp_path / "job", ("A:B", [1_000]), finish=True)
    for command, given in ((report, job), (show_line, job), (extract, [job])):
        text = show(command, given)
        for word in ("Client", "Crew:", "Instruments", "in the first measurement"):
            assert word not in text
    assert "  Nothing is stated about it.\n" in show(about, job)
    html = write_pages(job, summarise(job), tmp_path / "pages").files[1].read_text("utf-8")
    for word in ("Client", "Project", "Weather", "Instruments", "From here"):
        assert f">{word}" not in html
    assert replay_job(job).held_by == [Holders()]


def test_page_names_the_job_and_who_held_which_end(job: Path, tmp_path: Path) -> None:
    """The head of each page, each pull's details, and a line where the ends change hands."""
    files = write_pages(job, summarise(job), tmp_path / "pages").files
    day, line, *_ = (Reader(path.read_text("utf-8")) for path in files)
    for page in (day, line):
        for words in (
            "ClientThe <Millrace> estate",
            "Crewhead J. Marsh, rear P. Reed, recorder P. Reed",
            "Weathergusty",
            "Instrumentsthermometer no. 7",
            f"Identity of the job{replay_job(job).identity}",
        ):
            assert words in page.text
        deeds = [row[2:4] for row in page.table("Decisions").body]
        assert ["facts of the job were stated", "R. Field"] in deeds
        assert ["facts of the job were stated anew", "R. Field"] in deeds
    _, first, _, second, _, third = (row[-1] for row in line.table("Field notes").body)
    ends = "first: head J. Marsh, rear {0}; check: head {0}, rear J. Marsh"
    assert f"From here, {ends.format('T. Fenn')}" in first
    assert "From here" not in second
    assert f"F{ends.format('T. Fenn')[1:]}" in second
    assert f"From here, {ends.format('P. Reed')}" in third


def test_page_in_spanish_tells_the_facts_too(job: Path, tmp_path: Path) -> None:
    """Words are told, names stay as they are."""
    files = write_pages(job, summarise(job), tmp_path / "pages", words=language_words("es")).files
    text = Reader(files[1].read_text("utf-8")).text
    for words in (
        "Cliente",
        "Cuadrilladelantero J. Marsh, trasero P. Reed",
        "Instrumentostermómetro no. 7",
        "Desde aquí, primera: delantero J. Marsh, trasero T. Fenn; segunda: delantero T. Fenn",
    ):
        assert words in text
    assert "rear" not in text


def test_diff_names_facts_stated_since(job: Path, show: Show) -> None:
    """Each amendment after the entry, with old and new."""
    since = str(job_state(job).entry)
    about(job, head="A. Sedge", weather="", by="the office", why="misheard")
    text = show(compare, job, since=since)
    assert "about the job, entry " in text
    assert ", by the office (misheard):\n    weather: gusty -> none\n" in text
    assert "    crew head: J. Marsh -> A. Sedge\n" in text
    assert "0 added, 0 gone, 0 changed." in text
    (one,) = json.loads(show(compare, job, since=since, as_json=True))["about"]
    assert (one["entry"], one["by"]) == (int(since) + 1, "the office")
    assert len(one["changed"]) == 2


def test_copies_of_one_job_are_named_and_count_once(
    tmp_path: Path, show: Show, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three copies in a folder beside another job: named with how they stand, not added up."""
    jobs = tmp_path / "jobs"
    write_job(jobs / "mon", ("A:B", [1_000, 2_000]), finish=True)
    write_job(jobs / "tue", ("A:B", [3_000]), finish=True)
    for name in ("mon (2)", "mon-usb"):
        shutil.copytree(jobs / "mon", jobs / name)
    with Job.open(jobs / "mon-usb") as job:
        job.note("disk_slow", {"seconds": 2.0})
    monkeypatch.setattr("calllog.office.bulk.os.cpu_count", lambda: 1)
    text = show(report, jobs)
    identity = replay_job(jobs / "mon").identity
    assert "4 of 4 jobs reported, 3 pulls, of copies once.\n" in text
    assert "written: the tables of each job, in its folder out\n" in text
    assert (
        f"! mon, mon (2) and mon-usb are copies of one job ({identity}): mon-usb is ahead of mon by"
        " 1 entry; mon-usb is ahead of mon (2) by 1 entry\n"
    ) in text
    document = json.loads(show(report, jobs, as_json=True))
    (copies,) = document["copies"]
    assert (copies["identity"], copies["have_parted"]) == (identity, False)
    assert [Path(each).name for each in copies["jobs"]] == ["mon-usb", "mon", "mon (2)"]
    assert len({each["identity"] for each in document["jobs"]}) == 2
    three = [jobs / name for name in ("mon", "mon (2)", "mon-usb")]
    with pytest.raises(ConfigError, match=r"mon, mon \(2\) and mon-usb are copies of one") as said:
        extract([*three, jobs / "tue"])
    assert f"such as {jobs / 'mon-usb'}, which holds all" in said.value.next_step


def test_copies_that_went_apart_and_namesakes_are_told(tmp_path: Path) -> None:
    """A job gone on with in two places; a rescued one; the same name in two folders."""
    mon = write_job(tmp_path / "mon", ("A:B", [1_000]), finish=True)
    copy = tmp_path / "usb" / "mon"
    shutil.copytree(mon, copy)
    entries = job_state(mon).entry
    for folder, times in ((mon, 1), (copy, 2)):
        with Job.open(folder) as job:
            for _ in range(times):
                job.note("disk_slow", {"seconds": 2.0})
    (found,) = find_copies({each: replay_job(each).identity for each in (mon, copy)})
    assert found.have_parted
    assert found.folders == (copy, mon)
    assert f"{copy} and {mon} went apart after entry {entries}" in found.words
    with pytest.raises(ConfigError, match="find out with `calllog compare`"):
        extract([mon, copy])
    rescue_job(mon, tmp_path / "rescued")
    with pytest.raises(ConfigError, match="rescued is ahead of mon by 1 entry"):
        extract([mon, tmp_path / "rescued"])
    with pytest.raises(ConfigError, match="one job is named twice"):
        extract([mon, tmp_path / "usb" / ".." / "mon"])
    other = write_job(tmp_path / "else" / "mon", ("A:B", [1_000]), finish=True)
    with pytest.raises(ConfigError, match="two jobs are called mon"):
        extract([mon, other])
    assert find_copies({mon: "a", other: "b"}) == ()
