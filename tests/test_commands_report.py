"""The command `report` over a folder of jobs: all are done, a broken one is named."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import typer

from calllog.commands.report import report
from calllog.errors import CalllogError, ReportError
from calllog.office import each_job, summarise
from calllog.report import read_segments_json
from tests.demo.made import run_apart
from tests.dying import die
from tests.test_commands_line import write_job


def write_jobs(folder: Path, number: int) -> Path:
    """Write small jobs of different lengths."""
    for at in range(1, number + 1):
        write_job(folder / f"job-{at:02}", ("A:B", [100 * at, 200 * at]), finish=True)
    return folder


def damage(job: Path) -> None:
    """Overwrite the middle of a journal."""
    raw = bytearray((job / "job.sqlite").read_bytes())
    raw[4096:] = bytes(len(raw) - 4096)
    (job / "job.sqlite").write_bytes(raw)
    for name in ("job.sqlite-wal", "job.sqlite-shm"):
        (job / name).unlink(missing_ok=True)


@pytest.mark.slow
def test_twelve_jobs_one_of_them_damaged(tmp_path: Path) -> None:
    """Eleven are reported as they would be alone, the twelfth is named with its reason, exit 1."""
    jobs = write_jobs(tmp_path / "jobs", 12)
    damage(jobs / "job-07")
    (jobs / "photos").mkdir()
    done = run_apart("report", str(jobs), "--out", str(tmp_path / "office"), "--xlsx", cwd=tmp_path)
    assert done.returncode == 1
    assert "11 of 12 jobs reported, 22 pulls." in done.stdout
    assert "! Not reported: job-07" in done.stdout
    assert "No jobs, left alone: photos" in done.stdout
    with pytest.raises(CalllogError) as alone:
        summarise(jobs / "job-07")
    assert alone.value.what in done.stderr
    office = [path for path in sorted((tmp_path / "office").iterdir()) if path.is_dir()]
    assert [path.name for path in office] == [f"job-{at:02}" for at in range(1, 13) if at != 7]
    for folder in office:
        found = read_segments_json(folder / "segments.json")
        job = summarise(jobs / folder.name)
        assert [each.horizontal for each in found.segments] == [
            round(each.horizontal_ft, 9) for each in job.corrected
        ]
        assert found.job.state_hash == job.header.state_hash
        assert (folder / "segments.xlsx").stat().st_size > 0


def test_several_jobs_are_told_as_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One document with all jobs, the reason of the damaged one, and what is no job."""
    jobs = write_jobs(tmp_path / "jobs", 2)
    damage(jobs / "job-02")
    (jobs / "photos").mkdir()
    with pytest.raises(typer.Exit) as end:
        report(jobs, jobs / "office", as_json=True)
    assert end.value.exit_code == 1
    document = json.loads(capsys.readouterr().out)
    assert [Path(each["job"]).name for each in document["jobs"]] == ["job-01", "job-02"]
    assert [Path(each["job"]).name for each in document["jobs"] if each["reason"]] == ["job-02"]
    assert [Path(each).name for each in document["no_jobs"]] == ["photos"]


@pytest.mark.slow
def test_a_process_that_dies_does_not_stop_the_others(tmp_path: Path) -> None:
    """A job that kills its process, and a fault in another, are named; the rest is done."""
    jobs = [tmp_path / f"job-{at:02}" for at in range(1, 6)]
    results = list(each_job(jobs, die, workers=2))
    found = {each.folder.name: each for each in results}
    assert sorted(found) == [job.name for job in jobs]
    assert "its process died" in found["job-02"].reason
    assert "a fault of calllog (TypeError: job-03)" in found["job-03"].reason
    assert all(found[f"job-{at:02}"].value == 1 for at in (1, 4, 5))


def test_one_job_is_told_as_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same document, with one job; its files are there."""
    job = write_job(tmp_path / "job", ("A:B", [100]))
    report(job, as_json=True, as_xlsx=True)
    (told,) = json.loads(capsys.readouterr().out)["jobs"]
    assert told["pulls"] == 1
    assert told["state_hash"] == summarise(job).header.state_hash
    assert [Path(file).name for file in told["files"]] == [
        *(
            f"{name}.csv{ending}"
            for name in ("segments", "lines", "calls", "tapes", "notes")
            for ending in ("", "-metadata.json")
        ),
        "segments.json",
        "segments.schema.json",
        "csv-metadata.json",
        "segments.xlsx",
    ]
    assert all(Path(file).is_file() for file in told["files"])


def test_a_folder_without_jobs_is_refused(tmp_path: Path) -> None:
    """A folder of other things is neither a job nor one of jobs."""
    (tmp_path / "photos").mkdir()
    with pytest.raises(ReportError, match="this is no job, and none lies in it"):
        report(tmp_path)


def test_jobs_without_a_common_place_keep_their_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Left out, --out means the `out` of each job; one good job alone exits 0."""
    jobs = write_jobs(tmp_path / "jobs", 1)
    report(jobs)
    assert (jobs / "job-01" / "out" / "segments.csv").is_file()
    assert "1 of 1 job reported, 2 pulls." in capsys.readouterr().out
    damage(jobs / "job-01")
    with pytest.raises(typer.Exit):
        report(jobs)
