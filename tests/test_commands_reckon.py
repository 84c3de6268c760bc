"""The commands `reckon ...` as an office runs them, with typed lengths and lines of a job."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from calllog.cli import app
from calllog.errors import ConfigError
from calllog.session import Job
from tests.fieldjob import Paper, settings
from tests.tapes import certificate
from tests.test_commands_line import write_job

Reckon = Callable[..., str]
WORDS = (
    ["parts", "25.02ft", "50.01ft", "24.99ft", "--whole", "100.00ft", "--plus-minus", "0.02ft"],
    ["rectangle", "60.02ft", "40.01ft", "60.00ft", "40.00ft", "--diagonal", "1:3=72.13ft"],
    ["lot", "120.05ft", "85.50ft", "118.20ft", "90.10ft", "--diagonal", "1:3=147.30ft"],
    ["misclosure", "0.33ft", "2.24ft", "--of", "2614.85ft", "--class", "1:1000"],
)
"""As each command's help says."""


@pytest.fixture
def reckon() -> Reckon:
    """Run a command and give what it prints; errors are raised."""

    def run(*words: str) -> str:
        done = CliRunner().invoke(app, ["reckon", *words], catch_exceptions=False)
        assert done.exit_code == 0, done.output
        return done.stdout

    return run


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """Make a job of a lot of 60 by 80 ft and its diagonal, in US survey feet."""
    lines = (
        ("A:B", [6000]),
        ("B:C", [8001]),
        ("C:D", [6002]),
        ("D:A", [8000]),
        ("A:C", [5001, 4999]),
        ("B:A", [6001]),
    )
    return write_job(tmp_path / "job", *lines, finish=True)


@pytest.mark.parametrize("words", WORDS, ids=lambda words: words[0])
def test_examples_of_the_help_work(reckon: Reckon, words: list[str]) -> None:
    """Each help shows a command, which prints an answer, its foot, and that it decides nothing."""
    for given in (words, [*words, "--foot", "us-survey"]):
        text = reckon(*given)
        foot = "US survey feet" if "--foot" in given else "international feet"
        assert f"All lengths in {foot}. This is arithmetic" in text
    document = json.loads(reckon(*words, "--json"))
    assert (document["format"], document["reckoned"]) == ("calllog-reckoning", words[0])
    help_text = " ".join(reckon(words[0], "--help").replace("\u2502", " ").split())
    assert f"calllog reckon {words[0]} {words[1]}" in help_text


def test_parts_against_the_whole(reckon: Reckon) -> None:
    """By hand: 25.02 + 50.01 + 24.99 is 100.02; 0.02 * sqrt(4) is 0.04 (k = 2); 1:5000."""
    text = reckon(*WORDS[0], "--class", "1:5000")
    assert "Sum less whole: +0.020 \u00b1 0.040 ft, within its uncertainty (k = 2, 95 %)" in text
    assert "1:5000; meets 1:5000" in text
    assert "sum of the parts: 100.020 \u00b1 0.035 ft" in text
    alone = reckon("parts", "25.02ft", "74.98 ft", "--whole", "100.00ft", "--class", "1:20000")
    assert "1:10000 or better (nothing under 0.010 ft is told by these figures)" in alone
    assert "! not shown to meet 1:20000" in alone
    assert "\u00b1" not in alone
    assert "not known: part 1, part 2, whole" in alone
    wrong = reckon("parts", "25.10ft", "75.00 ft", "--whole", "100 ft", "--plus-minus", "0.01 ft")
    assert "+0.100 \u00b1 0.018 ft, ! more than its uncertainty" in wrong


def test_a_rectangle_and_its_area(reckon: Reckon) -> None:
    """By hand: 0.02 and 0.01 are 0.022 ft of 200.03, 1:8900; 60.01 by 40.005 are 2400.70."""
    text = reckon(*WORDS[1], "--class", "1:5000")
    assert "Misclosure 0.022 ft: 1:8900; meets 1:5000" in text
    assert "first side less third: +0.020 ft" in text
    assert "Area 2400.70 sq ft" in text
    assert "= 0.055112 ac, by the international and by the US survey foot" in text
    # sqrt(60.01^2 + 40.005^2) = 72.122
    assert "diagonal 1:3 less what the sides make (72.122 ft): +0.008 ft" in text


def test_second_diagonal_that_cannot_be_is_told_without_any_uncertainty(reckon: Reckon) -> None:
    """A misfit of a foot in a hundred is none of taping; one of a hundredth may be."""
    sides = ("lot", "30ft", "40ft", "30ft", "40ft", "--diagonal", "1:3=50ft", "--diagonal")
    assert "-1.000 ft, ! 1:50: look at the sides and the diagonals" in reckon(*sides, "2:4=49ft")
    assert "look at" not in reckon(*sides, "2:4=50.02ft")


def test_a_lot_with_both_diagonals(reckon: Reckon) -> None:
    """A rectangle of 30 by 40 m: both diagonals 50; 1200 m2, 0.12 ha, and acres by both feet."""
    text = reckon(
        "lot", "A:B=30.000m", "B:C=40.000 m", "C:D=30.000m", "D:A=40.000m",
        "--diagonal", "A:C=50.000 m", "--diagonal", "B:D=50.020 m", "--plus-minus", "0.01 m",
    )  # fmt: skip
    assert "Area 1200.00 \u00b1 0.3" in text
    assert " m2 (k = 2, 95 %)" in text
    assert "= 0.120000 \u00b1 0.000036 ha" in text
    assert "= 0.296526 \u00b1 0.000088 ac, by the international foot" in text
    assert "= 0.296525 \u00b1 0.000088 ac, by the US survey foot" in text
    assert "diagonal B:D less what all else makes (50.000 m): +0.020 \u00b1 0.0" in text
    assert "All lengths in meters." in text


def test_lines_of_a_job(reckon: Reckon, job: Path) -> None:
    """Lengths and their budgets from the journal, in the foot of its tape, with what lacks said."""
    words = ("A:B#1", "B:C", "C:D", "D:A", "--diagonal", "A:C", "--job", str(job))
    text = reckon("lot", *words)
    assert "A:B: 60.000 \u00b1 0." in text
    assert "(uncertainty by its budget)" in text
    assert "All lengths in US survey feet." in text
    assert "! B:C is a slope distance, a rise not known: too long" in text
    assert "! B:C has pulls that were not checked" in text
    document = json.loads(reckon("lot", *words, "--json"))
    area = document["area"]
    assert area["ft2"]["value"] == pytest.approx(4801, abs=1)
    assert area["ft2"]["expanded"] == pytest.approx(2 * area["ft2"]["u"])
    assert area["acres_us_survey"]["value"] == pytest.approx(area["ft2"]["value"] / 43_560)
    ratio = area["acres_international"]["value"] / area["acres_us_survey"]["value"]
    assert ratio == pytest.approx(1 + 4e-6, abs=1e-9)
    line = json.loads(
        reckon("rectangle", "A:B#mean", "B:C", "C:D", "D:A", "--job", str(job), "--json")
    )
    assert line["given"][0]["length"]["value"] == pytest.approx(60.005)
    assert line["given"][0]["uncertainty_from"] == "by its budget, mean of 2 runs"


def test_uncertainty_of_a_job_line_is_that_of_the_line_command(reckon: Reckon, job: Path) -> None:
    """The budget of one line comes out of `reckon` as it came out of `line`."""
    done = CliRunner().invoke(app, ["line", str(job), "--json"], catch_exceptions=False)
    by_line = {
        f"{one['line_from']}:{one['line_to']}": one["budget"]
        for one in json.loads(done.stdout)["lines"]
    }
    text = reckon("parts", "A:C", "--whole", "A:C=100.00ft", "--job", str(job), "--json")
    (one, _) = json.loads(text)["given"]
    assert one["length"]["u"] == pytest.approx(by_line["A:C"]["u_ft"], abs=1e-9)


@pytest.mark.parametrize(
    ("words", "wrong"),
    [
        (["parts", "A:B", "--whole", "A:C"], "A:B has 2 runs.*A:B#1 .60.000 ft.*A:B#mean"),
        (["parts", "A:X", "--whole", "A:C"], "no line 'A:X'"),
        (["parts", "A:B#3", "--whole", "A:C"], "A:B has 2 runs"),
        (["parts", "B:C#2", "--whole", "A:C"], "B:C has one run"),
        (["parts", "A:B:C", "--whole", "A:C"], "two points"),
        (["parts", "1ft", "--whole", "A:C", "--foot", "international"], "in the US survey foot"),
        (["parts", "-1ft", "--whole", "A:C"], "above 0"),
    ],
)
def test_a_line_that_is_not_plain_is_asked(
    reckon: Reckon, job: Path, words: list[str], wrong: str
) -> None:
    """Which run, which line: said with what to state, never guessed."""
    with pytest.raises(ConfigError, match=wrong):
        reckon(*words, "--job", str(job))


def test_length_by_a_doubtful_certificate_is_told(
    reckon: Reckon, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As in the tables; in Spanish where that is asked for, as all else beside the figures."""
    with Job.open(tmp_path / "job") as job:
        job.begin_line(settings("A", "B", tape="T-1"), certificate(certified_length_ft=99.8))
        Paper(job).pull(1542, 1542).say("finish")
    words = ("parts", "A:B", "--whole", "15.42ft", "--job", str(tmp_path / "job"))
    assert "! A:B rests on a certificate that must be looked at again" in reckon(*words)
    monkeypatch.setenv("LC_ALL", "es")
    said = reckon(*words)
    assert "! A:B se apoya en un certificado que hay que volver a mirar" in said
    for english in ("slope distance", "budget", "boundary"):
        assert english not in said


def test_mark_of_a_run_in_the_name_of_a_point(reckon: Reckon, tmp_path: Path) -> None:
    """Iron #2 is a point; what may be that or a second run is asked, and can be said."""
    lines = (("A:Iron #2", [6000]), ("A:B", [7000, 7001]), ("A:B#2", [8000]))
    job = str(write_job(tmp_path / "job", *lines[:2], finish=True))

    def length(name: str) -> float:
        document = json.loads(reckon("parts", name, "--whole", "100ft", "--job", job, "--json"))
        return float(document["given"][0]["length"]["value"])

    assert [length(each) for each in ("A:Iron #2", "Iron #2:A#1")] == [60, 60]
    assert length("A:B#1") == pytest.approx(140.01)
    job = str(write_job(tmp_path / "both", *lines, lines[1], finish=True))
    with pytest.raises(ConfigError, match=r"write B#2:A for the line, B:A#2 for the run"):
        length("A:B#2")
    assert [length(each) for each in ("B#2:A", "B:A#2")] == [80, pytest.approx(140.01)]


@pytest.mark.parametrize(
    ("words", "wrong"),
    [
        (["parts", "A:B", "--whole", "1ft"], "no job is named"),
        (["parts", "3", "--whole", "1ft"], "unit"),
        (["parts", "3 ift", "--whole", "3 usft"], "in both feet"),
        (["parts", "9999999999 ft", "--whole", "1ft"], "beyond 1,000 km"),
        (["parts", "0.00000001 ft", "--whole", "1ft"], "a hair"),
        (["rectangle", "3ft", "4ft", "3ft"], "four sides, not 3"),
        (["lot", "3ft", "4ft", "5ft", "6ft", "--diagonal", "5ft"], "without its corners"),
        (["lot", "A:B=3ft", "4ft", "5ft"], "some sides have names"),
        (["lot", "3ft", "4ft", "9ft"], "make no triangle"),
        (["misclosure", "1ft", "--of", "0ft"], "above 0"),
        (["misclosure", "1ft", "1ft", "1ft", "--of", "9ft"], "3 misclosures"),
        (["parts", "3ft", "--whole", "3ft", "--plus-minus", "0ft"], "above 0"),
        (["parts", "3ft", "--whole", "3ft", "--class", "5000"], "no class"),
    ],
)
def test_what_cannot_be_reckoned_is_refused(reckon: Reckon, words: list[str], wrong: str) -> None:
    """Each with what is wrong and what to do."""
    with pytest.raises(ConfigError, match=wrong) as caught:
        reckon(*words)
    assert caught.value.next_step


def test_misclosure_has_either_sign(reckon: Reckon) -> None:
    """Two at right angles, one of them negative: 2.26 ft of 2614.85, 1:1157 in print (read)."""
    text = reckon("misclosure", "-0.33ft", "2.24ft", "--of", "1000ft", "--of", "1614.85ft")
    assert "1:1100\n  misclosure 2.264 ft in 2614.850 ft" in text
    document: dict[str, Any] = json.loads(
        reckon("misclosure", "0ft", "--of", "10 ft", "--class", "1:5", "--json")
    )
    assert document["misclosure"]["is_floored"]
    assert document["misclosure"]["meets_class"]
