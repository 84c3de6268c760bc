"""The shipped day heard for real: every pull right or questioned, none wrong."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pytest

from calllog.office import summarise, write_report
from calllog.office.summary import verify_job
from calllog.values import NUMBERS, CorrectedSegment, Outcome
from tests.demo.made import made_demo

DEMO = Path(__file__).parent.parent / "calllog" / "demo"
SPOKEN: dict[str, Any] = json.loads((DEMO / "spoken.json").read_text("utf-8"))
PULLS = {pull["pull"]: pull for recording in SPOKEN["recordings"] for pull in recording["pulls"]}

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Run the demo as its user does."""
    return made_demo(tmp_path_factory).job


@pytest.fixture(scope="module")
def booked(job: Path) -> tuple[CorrectedSegment, ...]:
    """Read back what was booked."""
    return summarise(job).corrected


def test_no_pull_is_wrong_and_all_are_there(booked: tuple[CorrectedSegment, ...]) -> None:
    """What was spoken stands beside the recordings; every booked length is that one."""
    assert len(PULLS) >= 12
    assert {each.segment.pull: each.segment.length_read_ft for each in booked} == {
        number: pull["length_read_ft"] for number, pull in PULLS.items()
    }


def test_findings_and_struck_observations_are_those_of_the_script(
    booked: tuple[CorrectedSegment, ...],
) -> None:
    """The foot blunder, the 0.01 difference and the struck lengths are in the log."""
    for each in booked:
        pull = PULLS[each.segment.pull]
        assert [finding.code for finding in each.segment.findings] == pull["findings"]
        assert [s.length / 100 for s in each.segment.superseded] == pull["superseded_ft"]
        assert each.segment.booking.value == pull["booking"]
        conditions = each.segment.conditions
        for name in ("temperature_degf", "tension_lb", "spans", "position", "rise_ft"):
            assert getattr(conditions, name) == pull[name], (each.segment.pull, name)
    codes = {code for pull in PULLS.values() for code in pull["findings"]}
    assert {"foot-mark", "within-tolerance"} <= codes


def test_scratched_call_stays_in_the_journal(job: Path) -> None:
    """A struck call is still a call of the job, with its sound."""
    replay = summarise(job).replay
    taken = [call for call in replay.calls if call.outcome is Outcome.CALL]
    assert all((job / call.clip).is_file() for call in taken)
    used = {
        number
        for segment in replay.segments
        for seen in (segment.take, segment.check, *segment.superseded)
        if seen
        for number in seen.calls
    }
    numbers = [call.number for call in taken if call.kind in NUMBERS]
    assert len(set(numbers) - used) >= 1


def test_job_is_proved_and_its_log_opens(
    job: Path, booked: tuple[CorrectedSegment, ...], tmp_path: Path
) -> None:
    """Verified, and the CSV has a row for each pull with a running total for each line."""
    assert verify_job(job).ok
    with (job / "out" / "segments.csv").open(encoding="utf-8", newline="") as file:
        short = list(csv.DictReader(file))
    write_report(summarise(job), tmp_path, is_full=True)
    with (tmp_path / "segments.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == len(short) == len(booked)
    last: dict[str, float] = {}
    for row in rows:
        line = row["line_from"]
        total = last.get(line, 0.0) + float(row["horizontal_ft"])
        assert float(row["running_total_ft"]) == pytest.approx(total, abs=0.0006)
        last[line] = float(row["running_total_ft"])
