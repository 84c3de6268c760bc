"""The command `line` as its user runs it, on jobs of a paper crew."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from calllog.commands.line import line
from calllog.errors import ConfigError
from calllog.session import Job
from calllog.values import (
    Call,
    CheckPolicy,
    Expectation,
    Kind,
    LineSettings,
    Outcome,
    Role,
    Style,
)
from tests.tapes import certificate

Show = Callable[..., str]


def reading(number: int, value: int | None, text: str = "") -> Call:
    """Make a full reading of the rear, or the command of that name."""
    return Call(
        number=number,
        source="paper",
        role=Role.REAR,
        expects=Expectation.READING,
        kind=Kind.COMMAND if text else Kind.READING,
        text=text,
        value=value,
        name=text,
        amount=None,
        probability=1.0,
        alternatives=(),
        outcome=Outcome.CALL,
        reason="",
        start_s=30.0 * number,
        end_s=30.0 * number + 1.0,
        clip="",
    )


def write_job(folder: Path, *lines: tuple[str, list[int]]) -> Path:
    """Write a job whose lines were read with a full tape, each pull once."""
    tape, number = certificate(), 0
    with Job.open(folder) as job:
        for name, values in lines:
            line_from, line_to = name.split(":")
            settings = LineSettings(
                line_from=line_from,
                line_to=line_to,
                tape=tape.identity,
                style=Style.FULL,
                nominal_ft=100,
                limit=10_000,
                policy=CheckPolicy.NONE,
            )
            job.begin_line(settings, tape)
            for value in values:
                number += 1
                job.take(reading(number, value))
                number += 1
                job.take(reading(number, None, "next"))
    return folder


@pytest.fixture
def show(capsys: pytest.CaptureFixture[str]) -> Show:
    """Run the command and give what it prints."""

    def run(job: Path, **options: object) -> str:
        line(job, **options)  # type: ignore[arg-type]
        return capsys.readouterr().out

    return run


def test_a_line_is_shown_with_its_uncertainty(tmp_path: Path, show: Show) -> None:
    """Length, unchecked pulls, what dominates, where pulls end, marks, and the foot by name."""
    job = write_job(tmp_path / "job", ("A:B", [10_000, 5025]))
    text = show(job, stations=50)
    assert "A to B: 2 pulls, read 150.25 ft" in text
    assert "not checked: pull 1, 2" in text
    assert "random" in text
    assert "adds the most" in text
    assert "marks: 0+00.00, 0+50.00, 1+00.00, 1+50.00, 1+50.25" in text
    assert "pulls end: 1 at 1+00.00, 2 at 1+50.25" in text
    assert "No pull was measured twice" in text
    assert "US survey foot" in text


def test_forward_and_back_meet_a_class_or_not(tmp_path: Path, show: Show) -> None:
    """0.02 in 100.01 ft is 1:5000.5: it meets 1:5000 and not 1:10,000."""
    job = write_job(tmp_path / "job", ("A:B", [10_000]), ("B:A", [5001, 5001]))
    assert "1:5,000\n  meets 1:5,000" in show(job, line_class="1:5000")
    assert "! does not meet 1:10,000" in show(job, line_class="1:10,000")
    document = json.loads(show(job, line_class="1:5000", as_json=True))
    (found,) = document["closures"]
    assert (found["one_in"], found["meets_class"]) == (5000, True)
    assert document["foot"] == "us-survey"
    assert document["lines"][0]["budget"]["u_ft"] > 0


def test_a_record_is_set_beside_it(tmp_path: Path, show: Show) -> None:
    """1 ch 52 lk are 100.32 ft of the tape's own foot; the ratio is said to be information."""
    job = write_job(tmp_path / "job", ("A:B", [10_000]))
    text = show(job, record="1 ch 52 lk")
    assert "= 100.320 ft, measured 100.000 ft, difference -0.320 ft" in text
    assert "for information only" in text
    document = json.loads(show(job, record="1 ch 52 lk", stations=100, as_json=True))
    (found,) = document["lines"]
    assert found["record"]["index_for_information"] == pytest.approx(100 / 100.32)
    assert found["marks"] == ["0+00.00", "1+00.00"]


@pytest.mark.parametrize("given", ["5000", "1:0", "2:5000", "1:x"])
def test_what_is_no_class_is_refused(tmp_path: Path, show: Show, given: str) -> None:
    """A class is one in so many."""
    job = write_job(tmp_path / "job", ("A:B", [10_000]))
    with pytest.raises(ConfigError, match="no class"):
        show(job, line_class=given)


def test_a_record_is_of_one_line(tmp_path: Path, show: Show) -> None:
    """With two lines in the job nobody can say which one the record is of."""
    job = write_job(tmp_path / "job", ("A:B", [10_000]), ("B:C", [5000]))
    with pytest.raises(ConfigError, match="several lines"):
        show(job, record="1 ch")
