"""The command `line` as its user runs it, on jobs of a paper crew."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from calllog.commands.line import line
from calllog.errors import ConfigError
from calllog.session import Job
from calllog.values import (
    Call,
    CheckPolicy,
    Choice,
    Decision,
    Expectation,
    Kind,
    LineSettings,
    Role,
    Style,
)
from tests.crew import made_call
from tests.fieldjob import Paper
from tests.fieldjob import settings as field_settings
from tests.tapes import certificate

Show = Callable[..., str]


def reading(number: int, value: int | None, text: str = "") -> Call:
    """Make a full reading of the rear, or the command of that name."""
    return made_call(
        number,
        Kind.COMMAND if text else Kind.READING,
        30.0 * number,
        source="paper",
        role=Role.REAR,
        expects=Expectation.READING,
        text=text,
        value=value,
        name=text,
    )


def write_job(folder: Path, *lines: tuple[str, list[int]], finish: bool = False) -> Path:
    """Write a job whose lines were read with a full tape, each pull once, finished or not."""
    tape, number = certificate(), 0
    with Job.open(folder) as job:
        for name, values in lines:
            line_from, line_to = name.split(":")
            settings = LineSettings(
                line_from=line_from,
                line_to=line_to,
                tape=tape.identity,
                style=Style.FULL,
                nominal=100,
                limit=10_000,
                policy=CheckPolicy.NONE,
            )
            job.begin_line(settings, tape)
            for value in values:
                number += 1
                job.record(reading(number, value))
                number += 1
                is_last = finish and value is values[-1]
                job.record(reading(number, None, "finish" if is_last else "next"))
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
    assert "  2 pulls, read 150.25 ft" in text
    assert "not checked: pulls 1, 2" in text
    assert "random" in text
    assert "adds the most" in text
    for kind in ("temperature", "tension", "sag", "slope"):
        assert f"* correction for {kind} not known: pulls 1, 2" in text
    rows = [" ".join(row.split()) for row in text.splitlines()]
    first = rows.index("= 0+00.00 0.00 ft in pull 1")
    assert rows[first + 1 : first + 5] == [
        "0+50.00 50.00 ft in pull 1",
        "= 1+00.00 100.00 ft in pull 1",
        "1+50.00 50.00 ft in pull 2",
        "1+50.25 50.25 ft in pull 2",
    ]
    assert "pulls end along the slope: 1 at 1+00.00, 2 at 1+50.25" in text
    assert "No pull was measured twice and agreed" in text
    assert "US survey foot" in text


def test_budget_is_six_rows_by_what_they_contribute_and_the_rest_in_one(
    tmp_path: Path, show: Show
) -> None:
    """The shares add up to the whole, the rest among them; what is one-sided is said plainly."""
    rows = show(write_job(tmp_path / "job", ("A:B", [10_000, 5025]))).splitlines()
    first = next(at for at, row in enumerate(rows) if row.split() == ["from", "ft", "share"])
    table = [row.rsplit(maxsplit=3) for row in rows[first + 1 : first + 8]]
    contributions = [float(each[1]) for each in table[:-1]]
    assert contributions == sorted(contributions, reverse=True)
    assert re.fullmatch(r" *\d+ more, together", table[-1][0])
    assert sum(int(each[2]) for each in table) == pytest.approx(100, abs=3)
    assert any("(one-sided, always the same way)" in each[0] for each in table)
    assert "one-way" not in "".join(rows)


def test_forward_and_back_meet_a_class_or_not(tmp_path: Path, show: Show) -> None:
    """0.02 in 100.01 ft is 1:5000.5: it meets 1:5000 and not 1:10,000."""
    job = write_job(tmp_path / "job", ("A:B", [10_000]), ("B:A", [5001, 5001]))
    text = show(job, line_class="1:5000")
    assert "1:5000\n  meets 1:5000" in text
    assert "1:5000, in print: third order, class II: FGCC, Standards" in text
    assert "A to B and back: slope distance 100.000 and 100.020 ft" in text
    assert "! does not meet 1:10000" in show(job, line_class="1:10,000")
    document = json.loads(show(job, line_class="1:5000", as_json=True))
    (found,) = document["closures"]
    assert (found["one_in"], found["meets_class"], found["is_back"]) == (5000, True, True)
    assert found["one_in_unrounded"] == 5000.5
    assert document["foot"] == "us-survey"
    assert document["lines"][0]["budget"]["u_ft"] > 0


def test_a_record_is_set_beside_it(tmp_path: Path, show: Show) -> None:
    """1 ch 52 lk are 100.32 ft of the tape's own foot; the ratio is said to be information."""
    job = write_job(tmp_path / "job", ("A:B", [10_000]))
    text = show(job, records=["1 ch 52 lk"])
    assert "= 100.320 ft, measured slope distance 100.000 ft, difference -0.320 ft" in text
    assert "for information only" in text
    document = json.loads(show(job, records=["1 ch 52 lk"], stations=100, as_json=True))
    (found,) = document["lines"]
    assert found["record"]["index_for_information"] == pytest.approx(100 / 100.32)
    assert found["record"]["record"] == "1 ch 52.000 lk (US survey foot)"
    # 100 ft less 66 ft, in links of 0.66 ft: 51.515 (BLM 1973, sec. 2-1: read).
    assert found["record"]["measured"] == "1 ch 51.515 lk (US survey foot)"
    assert found["record"]["difference"] == "-0 ch 0.485 lk (US survey foot)"
    assert [(mark["station"], mark["is_full"]) for mark in found["marks"]] == [
        ("0+00.00", True),
        ("1+00.00", True),
    ]
    assert "record 30.500 m, measured 30.480 m, difference -0.020 m" in show(
        job, records=["30.5 m"]
    )


def test_a_finished_line_begun_again_is_another_run(tmp_path: Path, show: Show) -> None:
    """Three runs of one line: three lengths, each later one against the first, and their spread."""
    job = write_job(
        tmp_path / "job", ("A:B", [9_998]), ("A:B", [10_000]), ("A:B", [5000, 4999]), finish=True
    )
    text = show(job)
    assert "  1 pull, read 99.98 ft" in text
    assert "  1 pull, read 100.00 ft" in text
    assert "  2 pulls, read 99.99 ft" in text
    assert "pulls end along the slope: 3 at 0+50.00, 4 at 0+99.99" in text
    assert "A to B and again: slope distance 99.980 and 100.000 ft, difference +0.020 ft" in text
    # By hand: mean 99.99, s = sqrt((0.01^2 + 0.01^2) / 2) = 0.0100, of the mean 0.0058.
    assert (
        "3 runs: slope distance, mean 99.990 ft, standard deviation 0.0100 ft of one, 0.0058 ft of"
        " the mean, 1:17000"
    ) in text
    document = json.loads(show(job, as_json=True))
    assert [one["run"] for one in document["lines"]] == [1, 2, 3]
    assert [one["runs"] for one in document["closures"]] == [[1, 2], [1, 3]]
    assert document["spreads"][0]["one_in"] == 17_000


def test_an_unfinished_line_is_gone_on_with(tmp_path: Path, show: Show) -> None:
    """Without "line finished" the pulls that follow another line belong to the same run."""
    job = write_job(tmp_path / "job", ("A:B", [10_000]), ("B:C", [5000]), ("A:B", [2500]))
    assert "2 pulls, read 125.00 ft" in show(job)


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
        show(job, records=["1 ch"])


def test_every_line_has_a_verdict_and_says_by_what(tmp_path: Path, show: Show) -> None:
    """A line run once is judged by its uncertainty, one run twice by its closure."""
    job = write_job(tmp_path / "job", ("A:B", [10_000]), ("B:A", [9_998]), ("C:D", [10_000]))
    text = show(job, line_class="1:500")
    assert "meets 1:500 by the measured closure: 1:4900" in text
    document = json.loads(show(job, line_class="1:500", as_json=True))
    forward, back, once = (one["verdict"] for one in document["lines"])
    assert (forward["by"], forward["meets_class"], forward["one_in"]) == ("closure", True, 4900)
    assert back == forward
    # N is the length over its expanded uncertainty, k = 2.
    budget = document["lines"][2]["budget"]
    expected = document["lines"][2]["horizontal_ft"] / (2 * budget["u_ft"])
    assert once["by"] == "uncertainty"
    assert once["one_in"] == pytest.approx(expected, rel=0.1)
    assert once["meets_class"] is (expected >= 500)
    assert budget["expanded_ft"] == 2 * budget["u_ft"]
    assert "! does not meet 1:100000 by its uncertainty (k = 2): 1:" in show(
        job, line_class="1:100000", only="C:D"
    )
    assert "1:500, in print" not in show(job, line_class="1:500", only="C:D")


def test_one_line_is_chosen_and_its_record_compared(tmp_path: Path, show: Show) -> None:
    """Of several lines --line takes one, either way; a record is then of that one."""
    job = write_job(tmp_path / "job", ("A:B", [10_000]), ("C:D", [5000]))
    text = show(job, only="B:A", records=["1 ch 52 lk"])
    assert "A to B" in text
    assert "C to D" not in text
    assert "difference -0.320 ft" in text
    both = show(job, records=["D:C = 50.10 ft", "A:B=1 ch 52 lk"])
    assert "record 50.10 ft = 50.100 ft, measured slope distance 50.000 ft" in both
    assert "record 1 ch 52 lk = 100.320 ft, measured slope distance 100.000 ft" in both
    assert "record" not in show(job, records=["C:D=50 ft"], only="C:D").partition("C to D")[0]
    with pytest.raises(ConfigError, match="two records of one line"):
        show(job, records=["C:D=50 ft", "D:C=50 ft"])
    with pytest.raises(ConfigError, match=r"has no line 'A:C'; name one that it has: A:B, C:D"):
        show(job, only="A:C")


@pytest.mark.parametrize(
    "wrong", [{"stations": 33}, {"records": ["12 chians"]}, {"records": ["A:C=12 ch"]}]
)
def test_what_is_wrong_is_refused_before_anything_is_printed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], wrong: dict[str, object]
) -> None:
    """A wrong station interval or record leaves no half of a list behind."""
    job = write_job(tmp_path / "job", ("A:B", [10_000]))
    with pytest.raises(ConfigError):
        line(job, **wrong)  # type: ignore[arg-type]
    assert capsys.readouterr().out == ""


def test_lengths_lead_with_what_they_are_good_for(tmp_path: Path, show: Show) -> None:
    """Length and expanded uncertainty first, to the hundredth; k = 1 and k = 2 side by side."""
    text = show(write_job(tmp_path / "job", ("A:B", [10_000])))
    u_ft = json.loads(show(tmp_path / "job", as_json=True))["lines"][0]["budget"]["u_ft"]
    (lead,) = [row for row in text.splitlines() if "\u00b1" in row]
    stated = float(lead.partition("\u00b1 ")[2].partition(" ft")[0])
    assert lead.startswith("A to B: 100.00 \u00b1 ")
    assert 2 * u_ft <= stated < 2 * u_ft + 0.01
    assert f"uncertainty {u_ft:.4f} ft (k = 1), {2 * u_ft:.4f} ft (k = 2, 95 %)" in text


def test_a_decided_pull_is_not_dropped_unmentioned(tmp_path: Path, show: Show) -> None:
    """Where no other pull was checked the crew's repeatability is not known, and it is said why."""
    with Job.open(tmp_path / "job") as job:
        job.begin_line(field_settings("A", "B", tape="T-1"), certificate())
        Paper(job).pull(9907, 9807)
        job.record(Decision(pull=1, choice=Choice.FIRST, by="the chief"))
    text = show(tmp_path / "job")
    assert "No pull was measured twice and agreed: the crew's repeatability is not known." in text
    assert "Left out: 1 checked pull that needed a decision." in text
    document = json.loads(show(tmp_path / "job", as_json=True))
    assert document["repeatability"] == {"pairs": 0, "left_out": 1}


def test_runs_that_are_alike_are_told_as_they_were_read(tmp_path: Path, show: Show) -> None:
    """Nothing under 0.01 ft is read, so 100 ft twice alike shows 1:10,000 and no more."""
    job = write_job(tmp_path / "job", ("A:B", [10_000]), ("B:A", [10_000]))
    better = "1:10000 or better: nothing under 0.01 ft is read"
    text = show(job, line_class="1:10000")
    assert f"difference +0.000 ft, mean 100.000 ft, {better}\n  meets 1:10000" in text
    assert f"meets 1:10000 by the measured closure: {better}" in text
    text = show(job, line_class="1:25000")
    assert f"! not shown to meet 1:25000 by the measured closure: {better}" in text
    (found,) = json.loads(show(job, line_class="1:25000", as_json=True))["closures"]
    assert (found["one_in"], found["is_floored"], found["meets_class"]) == (10_000, True, None)
