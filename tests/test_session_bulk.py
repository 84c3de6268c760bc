"""Folders of jobs at any depth: found, done several at once, together in one table or dataset."""

from __future__ import annotations

import csv
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from types import SimpleNamespace

import duckdb
import pyarrow.dataset
import pytest
import typer
from csvw import CSVW
from openpyxl import load_workbook

from calllog.commands.extract import extract
from calllog.commands.line import line
from calllog.commands.page import page
from calllog.commands.report import report
from calllog.commands.verify import verify
from calllog.errors import ConfigError, ReportError
from calllog.office import Office, bulk, each_job, find_copies, find_jobs, summarise
from calllog.report import DATASET
from calllog.report.csv_description import SUFFIX
from calllog.session import Job
from calllog.values import CheckPolicy
from tests.fieldjob import Paper, settings
from tests.metricjob import metric_job
from tests.tapes import certificate
from tests.test_commands_line import write_job
from tests.test_commands_report import damage

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def years(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make jobs at several depths: one in metres, one broken, three copies of one."""
    root = tmp_path_factory.mktemp("years")
    write_job(root / "2031" / "may" / "day-1", ("A:B", [5000, 5001]), finish=True)
    write_job(root / "2031" / "june" / "day-1", ("A:C", [5000, 5002]), finish=True)
    write_job(root / "day-3", ("A:D", [5000]), finish=True)
    for copy in ("copies/day-3", "copies/x/day-3"):
        shutil.copytree(root / "day-3", root / copy)
    damage(write_job(root / "2031" / "june" / "broken", ("A:D", [5000])))
    metric_job(root / "2030" / "metric")
    (root / "photos" / "more").mkdir(parents=True)
    (root / ".hidden").mkdir()
    return root


@pytest.fixture(autouse=True)
def _in_this_process(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Do the work in threads, but where a test is about processes: they take a second to begin."""
    if "slow" not in request.keywords:
        monkeypatch.setattr(bulk, "_processes", _threads)


def _threads(_: int) -> object:
    return ThreadPoolExecutor(1)


def rows_of(path: Path) -> list[dict[str, str]]:
    """Read a CSV back by its header row."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


def test_jobs_are_found_at_any_depth_and_not_in_each_other(years: Path, tmp_path: Path) -> None:
    """Folders without any are named by the topmost; hidden ones and links are passed over."""
    jobs, others = find_jobs(years)
    assert [job.relative_to(years).as_posix() for job in jobs] == [
        "2030/metric",
        "2031/june/broken",
        "2031/june/day-1",
        "2031/may/day-1",
        "copies/day-3",
        "copies/x/day-3",
        "day-3",
    ]
    assert [other.name for other in others] == ["photos"]
    (tmp_path / "link").symlink_to(years)
    with pytest.raises(ReportError, match="none lies in it"):
        find_jobs(tmp_path)


def test_three_copies_of_one_job_are_noticed(years: Path) -> None:
    """Whatever their folders are called: by their paths where two are called alike."""
    folders = [years / "day-3", years / "copies" / "day-3", years / "copies" / "x" / "day-3"]
    (found,) = find_copies({each: summarise(each).header.identity for each in folders})
    assert len(found.folders) == 3
    assert found.words.startswith(f"{folders[0]}, {folders[1]} and {folders[2]} are copies of one")
    assert found.words.count("is in the same state as") == 2


def test_report_of_all_gives_one_table_of_jobs_and_of_lines(
    years: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The day's distances with uncertainty and state; copies count once, the broken is named."""
    office = tmp_path / "office"
    with pytest.raises(typer.Exit):
        report(years, office, as_xlsx=True, as_parquet=True)
    text = capsys.readouterr()
    assert "6 of 7 jobs reported, 11 pulls, of copies once." in text.out
    assert "! Not reported: 2031/june/broken" in text.out
    assert "no report: " in text.err
    jobs = {row["folder"]: row for row in rows_of(office / "jobs.csv")}
    assert jobs["2031/june/broken"]["state"] == "this job could not be reported"
    assert "calllog rescue" in jobs["2031/june/broken"]["wrong"]
    counts = [row for name, row in jobs.items() if "day-3" in name]
    assert sorted("another copy" in row["state"] for row in counts) == [False, True, True]
    feet = rows_of(office / "lines-us-survey-feet.csv")
    assert sorted(row["job"] for row in feet) == ["day-1", "day-1", "day-3"]
    assert all(row["u_expanded_ft"] and row["horizontal_ft"] for row in feet)
    assert rows_of(office / "lines-metres.csv")[0]["horizontal_m"]
    for name in ("jobs.csv", "lines-metres.csv", "lines-us-survey-feet.csv"):
        assert CSVW(str(office / f"{name}{SUFFIX}"), validate=True).is_valid
    own = rows_of(office / "2031" / "may" / "day-1" / "lines.csv")
    assert own == [row for row in feet if row["line_to"] == "B"]
    for name in ("jobs-metres.xlsx", "jobs-us-survey-feet.xlsx"):
        assert len(load_workbook(office / name).sheetnames) > 2
    table = pyarrow.dataset.dataset(office / DATASET / "segments", partitioning="hive").to_table()
    assert table.num_rows == 11
    assert Counter(table["job"].to_pylist())["day-3"] == 1
    with pytest.raises(typer.Exit):
        report(years, office)
    assert not (office / DATASET).exists()
    assert not list(office.glob("*.xlsx"))
    assert f"removed: {office / 'jobs-metres.xlsx'}, of an earlier run" in capsys.readouterr().out


def test_places_may_be_named_from_where_one_stands(
    years: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Folders below the present one, as they are typed: all is written, twice and as before."""
    shutil.copytree(years / "2031" / "may", tmp_path / "may")
    monkeypatch.chdir(tmp_path)
    for _ in range(2):
        report(Path("may"), Path("office"), as_xlsx=True, as_parquet=True)
        assert "office/dataset, a dataset of 6 parts" in capsys.readouterr().out
    report(Path("may"), Path("office"))
    assert not Path("office/dataset").exists()
    assert Path("office/lines.csv").is_file()


def test_dataset_of_several_jobs_needs_a_place(years: Path) -> None:
    """Each job's own folder is no place for all of them."""
    with pytest.raises(ConfigError, match="needs a place"):
        report(years, as_parquet=True)


def test_verify_goes_through_all(years: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What is not consistent is named, the rest is done, and the exit code says so."""
    with pytest.raises(typer.Exit) as ended:
        verify(years)
    assert ended.value.exit_code == 1
    text = capsys.readouterr()
    assert "2031/may/day-1:\n  consistent in itself: " in text.out
    assert "6 of 7 jobs without a fault." in text.out
    assert "! With a fault: 2031/june/broken" in text.out
    assert "are copies of one job" in text.out
    assert "NOT CONSISTENT" in text.err


def test_lines_of_all_are_one_document(years: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The documents of the jobs, each as it is alone; the broken one has its reason."""
    with pytest.raises(typer.Exit):
        line(years, as_json=True)
    document = json.loads(capsys.readouterr().out)
    found = {Path(each["job"]).relative_to(years).as_posix(): each for each in document["jobs"]}
    assert "malformed" in found["2031/june/broken"]["reason"]
    line(years / "2031" / "may" / "day-1", as_json=True)
    assert found["2031/may/day-1"]["lines"] == json.loads(capsys.readouterr().out)


def test_pages_of_all_have_places_of_their_own(
    years: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As the jobs lie, so do their pages."""
    page(years / "2031" / "may", folder=tmp_path / "pages", clips=False)
    place = tmp_path / "pages" / "day-1"
    assert (place / "day.html").is_file()
    told = capsys.readouterr().out
    assert "1 of 1 job without a fault." in told
    assert f"  written: 4 files in {place}\n" in told
    assert "summary.html" not in told, "of many jobs not each file is named"


def go_on(folder: Path, to: str) -> None:
    """Go on with a job by one pull of another line."""
    tape = certificate()
    with Job.open(folder) as job:
        job.begin_line(settings("B", to, tape=tape.identity, policy=CheckPolicy.NONE), tape)
        Paper(job, first=100).read(4000).say("next")


def test_log_of_a_folder_takes_copies_once_and_refuses_those_that_parted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The copy that holds all there is counts; of two that went apart none does."""
    jobs = tmp_path / "jobs"
    write_job(jobs / "a-later", ("A:B", [5000]))
    shutil.copytree(jobs / "a-later", jobs / "b-older")
    shutil.copytree(jobs / "a-later", tmp_path / "c-parted")
    go_on(jobs / "a-later", "C")
    extract([jobs], tmp_path / "out")
    words = f"left out: {jobs / 'b-older'}: a copy of {jobs / 'a-later'}, which holds all there is"
    assert words in capsys.readouterr().err
    rows = rows_of(tmp_path / "out" / "log.csv")
    assert [(row["job"], row["line_to"]) for row in rows] == [("a-later", "B"), ("a-later", "C")]
    go_on(tmp_path / "c-parted", "D")
    (tmp_path / "c-parted").rename(jobs / "c-parted")
    with pytest.raises(ConfigError, match="went apart"):
        extract([jobs], tmp_path / "out")


def test_log_takes_a_folder_by_the_time_of_its_work(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The later job has the earlier name; a broken one is left out and told."""
    write_job(tmp_path / "jobs" / "z-first", ("A:B", [5000]), finish=True)
    write_job(tmp_path / "jobs" / "deep" / "a-second", ("A:B", [5000, 4000]), finish=True)
    damage(write_job(tmp_path / "jobs" / "broken", ("A:B", [5000])))
    with pytest.raises(typer.Exit):
        extract([tmp_path / "jobs"], tmp_path / "out")
    told = capsys.readouterr()
    assert "left out: " in told.err
    assert "A:B of z-first is another run in a-second." in told.out
    rows = rows_of(tmp_path / "out" / "log.csv")
    assert [(row["job"], row["run"]) for row in rows] == [
        ("z-first", "1"),
        ("a-second", "2"),
        ("a-second", "2"),
    ]
    assert [row["from_station"] for row in rows] == ["0+00.00", "0+00.00", "0+50.00"]
    assert all("correction for" in row["state"] for row in rows)


def test_a_thousand_jobs_are_one_query(tmp_path: Path) -> None:
    """DuckDB reads the whole dataset at once, typed, and joins its tables by their keys.

    The part of a job does not hold its identity, which is the folder's name: so that of one job
    stands for a thousand.
    """
    job = write_job(tmp_path / "job", ("A:B", [10_000, 5025]), finish=True)
    office = Office(summarise(job))
    report(job, tmp_path / "out", as_parquet=True)
    dataset = tmp_path / "out" / DATASET
    for name in ("segments", "lines"):
        (part,) = dataset.glob(f"{name}/*/*.parquet")
        content = part.read_bytes()
        part.unlink()
        for at in range(1000):
            folder = dataset / name / f"job_id=id-{at:04}"
            folder.mkdir()
            (folder / part.name).write_bytes(content)
    (line_row,) = office.lines
    query = """
        select count(distinct s.job_id), count(*), sum(s.length_read_ft), max(l.u_expanded_ft),
               max(s.recorded_utc) < now()::timestamptz + interval 1 day, sum(s.length_read_m)
        from read_parquet($segments, hive_partitioning = true) s
        join read_parquet($lines, hive_partitioning = true) l using (line_key, job_id)
        where l.is_finished = 'yes'
    """
    names = {name: str(dataset / name / "*" / "*.parquet") for name in ("segments", "lines")}
    found = duckdb.execute(query, names).fetchone()
    assert found is not None
    jobs, pulls, total_ft, expanded_ft, is_time, total_m = found
    assert (jobs, pulls, is_time, total_m) == (1000, 2000, True, None)
    assert total_ft == pytest.approx(150_250.0)
    assert expanded_ft == pytest.approx(line_row.u_expanded, abs=1e-5)


ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT), "OMP_NUM_THREADS": "1"}


def wait_until(is_so: Callable[[], bool]) -> None:
    """Look again and again, for a minute at most."""
    for _ in range(3000):
        if is_so():
            return
        time.sleep(0.02)
    raise TimeoutError


@pytest.mark.slow
def test_cluster_loses_a_worker_in_the_middle_and_no_job(tmp_path: Path) -> None:
    """Two workers share the work; one is killed: each job is reported once, none is lost."""
    root, out, pid = tmp_path / "jobs", tmp_path / "out", tmp_path / "pid"
    names = [f"job-{at}" for at in range(6)]
    for at, name in enumerate(names):
        write_job(root / name, ("A:B", [5000 + at]), finish=True)
    words = ("report", str(root), "--out", str(out), "--json")
    with (tmp_path / "told.txt").open("wb") as told:
        command = subprocess.Popen(
            [sys.executable, "-m", "tests.cluster", str(pid), *words],
            env=ENVIRONMENT,
            stdout=subprocess.PIPE,
            stderr=told,
        )
    wait_until(lambda: next(out.glob("*/segments.csv"), None) is not None)
    os.kill(int(pid.read_text("utf-8")), signal.SIGKILL)
    printed, _ = command.communicate(timeout=60)
    assert command.returncode == 0
    jobs = json.loads(printed)["jobs"]
    assert [Path(each["job"]).name for each in jobs] == names
    assert [(each["pulls"], each["reason"]) for each in jobs] == [(1, "")] * len(names)
    for at, name in enumerate(names):
        (row,) = rows_of(out / name / "segments.csv")
        assert row["length_read_ft"] == f"{50 + at / 100:.4f}"
    lines = rows_of(out / "lines.csv")
    assert [row["job"] for row in lines] == names


def test_no_scheduler_is_told_with_its_address(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody answers: it is said where, and what to give."""

    def refuse(address: str, **_: object) -> None:
        raise OSError(f"Timed out trying to connect to {address}")

    monkeypatch.setitem(sys.modules, "distributed", SimpleNamespace(Client=refuse))
    job = write_job(tmp_path / "jobs" / "one", ("A:B", [100]))
    with pytest.raises(ConfigError, match=r"10\.0\.0\.9:1: no scheduler answers"):
        list(each_job([job], str, scheduler="tcp://10.0.0.9:1"))


def test_missing_library_is_named_with_its_extra(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is not installed is told, and how to install it."""
    job = write_job(tmp_path / "jobs" / "one", ("A:B", [100]))
    for library in ("pyarrow", "distributed"):
        monkeypatch.setitem(sys.modules, library, None)
    with pytest.raises(ReportError, match=r"calllog\[parquet\]"):
        report(job, as_parquet=True)
    with pytest.raises(ConfigError, match=r"calllog\[cluster\]"):
        list(each_job([job], str, scheduler="tcp://10.0.0.9:1"))
