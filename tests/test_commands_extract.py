"""The command `log` as the office runs it: choose, merge, refuse what cannot be told apart."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import pytest
from csvw import Table
from jsonschema import Draft202012Validator
from openpyxl import load_workbook

from calllog.commands.extract import extract
from calllog.errors import ConfigError
from calllog.lines import Unfinished
from calllog.office import rereduce
from calllog.report import LineLog
from calllog.session import Job
from calllog.spoken import Parser
from calllog.tape import Foot
from calllog.values import Booking, CheckPolicy, Choice, Decision
from tests.crew import Crew
from tests.crew import settings as line
from tests.tapes import certificate
from tests.test_commands_line import write_job
from tests.test_session_job import AGREED, STOPPED, PaperClock

Told = Callable[..., LineLog]


@pytest.fixture
def told(capsys: pytest.CaptureFixture[str]) -> Told:
    """Run the command and give its document."""

    def run(*jobs: Path, **options: object) -> LineLog:
        capsys.readouterr()
        extract(list(jobs), as_json=True, **options)  # type: ignore[arg-type]
        return LineLog.model_validate_json(capsys.readouterr().out)

    return run


@pytest.fixture
def two(tmp_path: Path) -> tuple[Path, Path]:
    """Make two jobs, both of line A:B finished, the first with a line B:C as well."""
    return (
        write_job(tmp_path / "mon", ("A:B", [10_000, 5_000]), ("B:C", [2_000]), finish=True),
        write_job(tmp_path / "tue", ("A:B", [9_999, 5_001]), finish=True),
    )


def test_several_jobs_of_one_line_are_one_log(told: Told, two: tuple[Path, Path]) -> None:
    """Each segment names its job, keeps its pull number, and has the run of the whole."""
    found = told(*two, lines=["A:B"])
    rows = [(each.job, each.segment.run, each.segment.pull) for each in found.segments]
    assert rows == [("mon", 1, 1), ("mon", 1, 2), ("tue", 2, 1), ("tue", 2, 2)]
    assert [each.segment.running_total for each in found.segments] == pytest.approx(
        [100.0, 150.0, 99.99, 150.0]
    )
    assert [job.job for job in found.jobs] == ["mon", "tue"]
    assert [join.goes_on for join in found.joins] == [False]
    assert found.left_out == ()


def test_certificates_that_are_not_alike_are_told(
    told: Told, two: tuple[Path, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    """A line of two days, of which one alone was reduced again, is not summed in silence."""
    mon, tue = two
    assert told(mon, tue).certificates_apart == ()
    rereduce(tue, certificate(certified_length_ft=100.02), by="office", why="")
    (apart,) = told(mon, tue).certificates_apart
    assert (apart.tape, apart.entry) == ("T-1", "certified_length_ft")
    assert [(one.job, one.value) for one in apart.stated] == [("mon", "100.0"), ("tue", "100.02")]
    extract([mon, tue])
    told_of = "! The certificates of tape T-1 are not alike, certified_length_ft: mon 100.0, tue"
    assert told_of in capsys.readouterr().out


def test_only_accepted_leaves_the_totals_as_they_are(
    told: Told, tmp_path: Path, parser: Parser, capsys: pytest.CaptureFixture[str]
) -> None:
    """An unchecked pull is left out and listed; what comes after keeps its place on the line."""
    job = tmp_path / "job"
    crew = Crew(parser).say(*AGREED, *STOPPED)
    with Job.open(job, PaperClock()) as opened:
        opened.begin_line(line(), certificate())
        for each in crew.heard:
            opened.record(each)
        opened.record(Decision(pull=2, choice=Choice.CHECK, by="chief"))
        opened.begin_line(line(policy=CheckPolicy.NONE), certificate())
        spare = Crew(parser, line(policy=CheckPolicy.NONE)).say(
            "r: twenty", "h: eleven", "h: next pull"
        )
        for each in spare.heard:
            opened.record(each.model_copy(update={"number": len(crew.heard) + each.number}))
        opened.begin_line(line(), certificate())
        for each in Crew(parser).say(*AGREED).heard:
            opened.record(each.model_copy(update={"number": 90 + each.number}))
    everything = told(job)
    assert [each.segment.booking for each in everything.segments] == [
        Booking.AGREED,
        Booking.CHECK,
        Booking.UNCHECKED,
        Booking.AGREED,
    ]
    found = told(job, accepted=True)
    assert [each.segment.pull for each in found.segments] == [1, 2, 4]
    (gap,) = found.left_out
    assert (gap.job, gap.pulls) == ("job", (3,))
    kept = [each for each in everything.segments if each.segment.pull != 3]
    assert found.segments == tuple(kept)
    only = told(job, bookings=[Booking.UNCHECKED])
    assert [each.segment.pull for each in only.segments] == [3]
    extract([job], accepted=True)
    text = capsys.readouterr().out
    assert "! Left out, but in the totals: A:B of job, pull 3\n" in text
    assert "3 segments, all lengths in us survey feet." in text


def test_days_and_tapes_choose(told: Told, tmp_path: Path, two: tuple[Path, Path]) -> None:
    """Days are those of the field work; a job that states none refuses to be chosen by day."""
    for folder, day in zip(two, (4, 5), strict=True):
        shutil.rmtree(folder)
        with Job.open(folder) as job:
            job.use_day(date(2031, 5, day), is_stated=True)
        write_job(folder, ("A:B", [1_000 * day]), finish=True)
    found = told(*two, last_day=datetime(2031, 5, 4))  # noqa: DTZ001 - as typer gives it
    assert [(each.job, each.segment.day) for each in found.segments] == [("mon", "2031-05-04")]
    assert [gap.job for gap in found.left_out] == ["tue"]
    with pytest.raises(ConfigError, match="no segment is as asked for"):
        told(*two, tapes=["T-9"])
    with pytest.raises(ConfigError, match=r"--line: no segment is of line A:C; .*: A:B$"):
        told(*two, lines=["A:B", "A:C"], tapes=["T-9"])
    undated = write_job(tmp_path / "undated", ("A:B", [1_000]), finish=True)
    with pytest.raises(ConfigError, match="undated: pulls of this job state no day"):
        told(*two, undated, first_day=datetime(2031, 5, 4))  # noqa: DTZ001
    with pytest.raises(ConfigError, match="mon was begun on 2031-05-04, before tue"):
        told(two[1], two[0])


def test_the_files_say_the_same(
    told: Told, two: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """CSV by its description, JSON by its schema and the workbook give the printed lengths."""
    office = tmp_path / "office"
    found = told(*two)
    extract(list(two), folder=office, as_xlsx=True, is_full=True)
    text = capsys.readouterr().out
    assert "A:B of mon is another run in tue." in text
    assert f"written: {office / 'log.xlsx'}" in text
    document = json.loads((office / "log.json").read_text("utf-8"))
    schema = json.loads((office / "log.schema.json").read_text("utf-8"))
    Draft202012Validator(schema).validate(document)
    document["segments"][0]["segment"]["pull"] = "1"
    assert not Draft202012Validator(schema).is_valid(document)
    written = LineLog.model_validate_json((office / "log.json").read_bytes())
    assert written.segments == found.segments
    rows = list(Table.from_file(office / "log.csv-metadata.json"))
    assert [(row["job"], row["run"], float(row["running_total_ft"])) for row in rows] == [
        (each.job, each.segment.run, round(each.segment.running_total, 4))
        for each in found.segments
    ]
    titles = load_workbook(office / "log.xlsx").sheetnames
    assert titles == ["Segments", "Notes", "Jobs"]


def test_what_cannot_be_told_apart_is_refused(
    told: Told, two: tuple[Path, Path], tmp_path: Path
) -> None:
    """One job twice, two of one name, one recording twice, two feet, a line left unfinished."""
    mon, tue = two
    shutil.copytree(mon, tmp_path / "copy")
    with pytest.raises(
        ConfigError, match=r"mon and copy are copies of one job \(.*\): copy is in the same"
    ):
        told(mon, tmp_path / "copy")
    namesake = write_job(tmp_path / "else" / "mon", ("A:B", [100]))
    where = re.escape(f"{mon}, {namesake}: two jobs are called mon")
    with pytest.raises(ConfigError, match=where):
        told(mon, namesake)
    for folder in two:
        with Job.open(folder) as job:
            job.note("recording", {"name": "day.flac", "sha256": "5d" * 32})
    with pytest.raises(ConfigError, match=r"both hold the recording day\.flac"):
        told(mon, tue)
    with Job.open(tmp_path / "feet") as job:
        job.begin_line(line(), certificate(foot=Foot.INTERNATIONAL))
    with pytest.raises(
        ConfigError, match="mon is in us survey feet, feet is in international feet"
    ):
        told(mon, tmp_path / "feet")
    wed = write_job(tmp_path / "wed", ("A:B", [100]))
    thu = write_job(tmp_path / "thu", ("A:B", [200]), finish=True)
    with pytest.raises(ConfigError, match="A:B was not finished in wed"):
        told(wed, thu)
    assert [
        each.segment.running_total
        for each in told(wed, thu, unfinished=Unfinished.GOES_ON).segments
    ] == [1.0, 3.0]
    with pytest.raises(ConfigError, match="no segment is of line B:A; name one as"):
        told(wed, lines=["A:B", "B:A"])
    with pytest.raises(ConfigError, match="choose the same thing"):
        told(wed, accepted=True, bookings=[Booking.AGREED])
    with pytest.raises(ConfigError, match="a workbook needs a place"):
        told(wed, as_xlsx=True)
