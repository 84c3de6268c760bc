"""The command `rereduce` as its user runs it, on a job of a paper crew."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from calllog.commands.report import report
from calllog.commands.rereduce import rereduce
from calllog.errors import ConfigError, JournalError
from calllog.office import summarise
from calllog.report import read_segments_json
from calllog.session import Job
from tests.tapes import certificate
from tests.test_commands_line import write_job

GOOD = """
identity = "T-1"
style = "full"
nominal_ft = 100
certified_length_ft = 100.02
certified_spans = 0
certified_temperature_degf = 68
certified_tension_lb = 10
weight_lb_per_ft = 0.0128
area_in2 = 0.00375
foot = "us-survey"
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """Make a job of two lines; its tape is certified as exactly 100 ft."""
    return write_job(tmp_path / "job", ("A:[b]", [10_000] * 5), ("B:C", [5000]))


@pytest.fixture
def tape(tmp_path: Path) -> Path:
    """Write the corrected certificate."""
    path = tmp_path / "new.toml"
    path.write_text(GOOD, "utf-8")
    return path


def test_old_new_and_difference_are_listed(
    job: Path, tape: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """500.00 with a tape of 100.02 ft are 500.10: slides "Taping Corrections" (read)."""
    rereduce(job, tape, by="the office", why="misread")
    text = capsys.readouterr().out
    rows = [" ".join(row.split()) for row in text.splitlines()]
    assert "of entry 2, by the office: misread" in rows[0]
    assert "certified_length_ft: 100.0 -> 100.02" in rows
    assert "5 of A:[b] 100.0000 sl 100.0200 sl +0.0200" in rows
    assert "A:[b] in all 500.0000 sl 500.1000 sl +0.1000" in rows
    assert "B:C in all 50.0000 sl 50.0100 sl +0.0100" in rows
    (told,) = [row for row in rows if row.startswith("A:[b]: 500.10 \u00b1 ")]
    assert "ft, slope distance (k = 2, 95 %); before 500.00 \u00b1 " in told
    last = "Horizontal lengths in us survey feet; difference: new less old; sl = slope distance,"
    assert f"{last} not horizontal: its rise is not known." in rows


def test_both_versions_are_written(
    job: Path, tape: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each log stands in a folder of its own, the differences beside them as they are printed.

    What somebody else called so is kept, and told.
    """
    (tmp_path / "office").mkdir()
    (tmp_path / "office" / "differences.json").write_text("of the office", "utf-8")
    rereduce(job, tape, folder=tmp_path / "office", as_json=True)
    document = json.loads(capsys.readouterr().out)
    assert json.loads((tmp_path / "office" / "differences.json").read_text("utf-8")) == document
    kept = tmp_path / "office" / "differences.kept.json"
    assert kept.read_text("utf-8") == "of the office"
    before = read_segments_json(tmp_path / "office" / "before" / "segments.json")
    after = read_segments_json(tmp_path / "office" / "after" / "segments.json")
    for log, key in ((before, "old_ft"), (after, "new_ft")):
        assert [one.horizontal for one in log.segments] == [one[key] for one in document["pulls"]]
    assert "replaced since" in before.job.tape
    assert "in force" in after.job.tape
    assert document["foot"] == "us_survey"
    assert document["in_force"]["certificate"]["certified_length_ft"] == 100.02
    assert document["replaced"]["certificate"] == certificate().document
    assert [one["difference_ft"] for one in document["lines"]] == pytest.approx([0.1, 0.01])
    assert all(one["coverage_k"] == 2 for one in document["lines"])
    assert [one["new_expanded_ft"] for one in document["lines"]] == pytest.approx(
        [2 * one["new_u_ft"] for one in document["lines"]]
    )


def test_the_report_tells_of_both(
    job: Path, tape: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Files go into a folder of the correction by default; a later report names its entry."""
    report(job)
    assert "Tapes:" not in capsys.readouterr().out
    rereduce(job, tape)
    (folder,) = (job / "out").glob("rereduced-*")
    assert (folder / "before" / "segments.csv").is_file()
    capsys.readouterr()
    report(job)
    entry = folder.name.removeprefix("rereduced-")
    assert f"Tapes: T-1 (certificate of entry {entry}, in force)" in capsys.readouterr().out


def test_a_new_certificate_is_judged_by_the_days_of_the_job(
    job: Path, tape: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It must hold for the day of the field work, not for the day in the office."""
    with Job.open(job) as opened:
        opened.use_day(date(2031, 5, 4), is_stated=True)
    tape.write_text(GOOD + "valid_from = 2031-05-05\n", "utf-8")
    rereduce(job, tape)
    assert "valid_from: 2031-05-05, but the tape is used on 2031-05-04" in " ".join(
        capsys.readouterr().err.split()
    )


def test_what_cannot_be_is_refused(job: Path, tape: Path, tmp_path: Path) -> None:
    """No job, and a tape that the job never used; nothing is written for either."""
    with pytest.raises(JournalError):
        rereduce(tmp_path / "none", tape)
    tape.write_text(GOOD.replace("T-1", "T-9"), "utf-8")
    with pytest.raises(ConfigError, match="T-9 was not used in this job"):
        rereduce(job, tape)
    assert list((job / "out").iterdir()) == []


def test_second_time_says_that_nothing_was_written(
    job: Path, tape: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The table is shown again; that the certificate was in force already is said before it."""
    rereduce(job, tape, as_json=True)
    assert json.loads(capsys.readouterr().out)["is_new"]
    entries = summarise(job).header.state_hash
    rereduce(job, tape)
    text = capsys.readouterr().out
    assert text.startswith("This certificate is already in force: nothing was written to ")
    assert "A:[b] in all" in text
    assert summarise(job).header.state_hash == entries
