"""A crew with a metric tape: the commands as they are typed, from first key to log and page."""

from __future__ import annotations

import csv
import json
import os
from pathlib import Path

import pytest

from calllog.demo import load_day
from calllog.office import replay_job
from calllog.office.summary import verify_job
from calllog.resources import PACKAGE
from tests.commanding import run
from tests.reading_html import Reader
from tests.terminal import Terminal, wait_for

TAPE = str(PACKAGE / "demo" / "tapes" / "full-30m.toml")
FEET = str(load_day().lines[1].tape)
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(Path(__file__).parent.parent)}
SAID = {
    "en-metric": (
        "15.4 may be 15.04 or 15.40; type both digits",
        "31 is beyond this 30 m tape; type meters, point and both digits",
        "exactly one meter apart",
        "15.42 m read",
        "temperature 25 C",
    ),
    "es-metric": (
        "15.4 puede ser 15.04 o 15.40; teclee",
        "31 queda fuera de esta cinta de 30 m; teclee metros",
        "justo un metro de diferencia",
        "leídos 15.42 m",
        "temperatura 25 °C",
    ),
}


@pytest.mark.slow
@pytest.mark.parametrize("grammar", SAID)
def test_metric_crew_types_a_line_and_the_office_gets_metres(tmp_path: Path, grammar: str) -> None:
    """Prompts, questions, a stop, measured again; then log, workbook, page and proof in metres."""
    job = tmp_path / "day"
    kit = ("--tape", TAPE, "--line", "Heron:Alder", "--keys-only", "--output", "none")
    stated = ("--tension", "5kg", "--support", "throughout", "--rise", "0m")
    one_digit, beyond, stop, total, warm = (each.encode() for each in SAID[grammar])
    live = Terminal(ENVIRONMENT, "listen", str(job), "--grammar", grammar, *kit, *stated)
    try:
        wait_for(lambda: b"30 m, " in live.seen, live)
        live.type("1*25\r15.4\r")
        wait_for(lambda: one_digit in live.seen, live)
        wait_for(lambda: warm in live.seen, live)
        live.type("31\r")
        wait_for(lambda: beyond in live.seen, live)
        live.type("15.42\r+16.42\r")
        wait_for(lambda: stop in live.seen, live)
        live.type("0/\r15.42\r+15.42\r")
        wait_for(lambda: total in live.seen, live)
        live.type("9/")
        wait_for(lambda: "termin" in live.seen.decode() or b"finished" in live.seen, live)
        assert live.end() == 0
    finally:
        live.close()
    assert b" ft" not in live.seen
    assert verify_job(job).ok
    (segment,) = replay_job(job).segments
    assert segment.length_read_ft == 15.42 / 0.3048
    assert segment.conditions.temperature_degf == 77.0
    assert segment.conditions.tension_lb == pytest.approx(11.0231, abs=1e-4)
    told = run("report", str(job), "--xlsx", "--full")
    assert told.returncode == 0
    assert "All lengths in meters." in told.stdout
    with (job / "out" / "segments.csv").open(encoding="utf-8", newline="") as file:
        (row,) = csv.DictReader(file)
    assert (row["take_length_m"], row["superseded"][:5]) == ("15.42", "15.42")
    assert float(row["temperature_m"]) == pytest.approx(1.16e-5 * 5 * 15.42, abs=1e-5)
    assert (job / "out" / "segments.xlsx").is_file()
    assert run("page", str(job)).returncode == 0
    page = Reader((job / "out" / "page" / "line-1.html").read_text("utf-8")).text
    assert SAID[grammar][2] in page
    assert "15.42" in page
    assert " ft" not in page.replace("102 ft of one tape", "")
    for command in (
        ("verify",),
        ("line",),
        ("sign", "--by", "the office"),
        ("compare", "--since", "9"),
    ):
        done = run(command[0], str(job), *command[1:])
        assert done.returncode == 0, done.stderr
        assert " ft" not in done.stdout


@pytest.mark.parametrize(
    ("grammar", "tapes", "said"),
    [
        ("en-us-feet", (TAPE,), "tape OTTER-30 is in meters, but grammar en-us-feet calls feet"),
        ("en-metric", (FEET,), "is in feet, but grammar en-metric calls meters"),
        (
            "es-metric",
            (TAPE, FEET),
            "está en pies, pero con la gramática es-metric se dicen metros",
        ),
    ],
)
def test_tape_in_another_unit_than_is_called_is_refused(
    tmp_path: Path, grammar: str, tapes: tuple[str, ...], said: str
) -> None:
    """No metre is booked as a foot, no foot as a metre: what, where, what next, as they speak."""
    named = (word for tape in tapes for word in ("--tape", tape))
    done = run(
        *("listen", str(tmp_path / "job"), "--grammar", grammar, *named),
        *("--line", "A:B", "--keys-only"),
    )
    assert done.returncode == 1
    assert said in done.stderr
    assert "--tape, --grammar" in done.stderr
    step = "nombre con --grammar" if grammar.startswith("es") else "name a grammar in"
    assert step in done.stderr
    assert not (tmp_path / "job").exists()


def test_job_in_metres_takes_no_grammar_in_feet_later(tmp_path: Path) -> None:
    """A job that was begun in metres is gone on with in metres alone."""
    line = load_day().lines[1]
    common = ("--line", "A:B", "--from", str(line.recording), "--channels", "head,rear")
    done = run("listen", str(tmp_path / "job"), "--tape", TAPE, *common)
    assert done.returncode == 1
    assert "grammar en-us-feet calls feet" in done.stderr


@pytest.mark.slow
def test_crew_types_millimetres(tmp_path: Path) -> None:
    """The certificate alone makes it: told within what it agrees, asked for all digits, booked."""
    tape = tmp_path / "fine.toml"
    stated = "least_count = 0.001\ntolerance = 0.002\n"
    text = Path(TAPE).read_text("utf-8").replace("OTTER-30", "STOAT-30")
    tape.write_text(text + stated, "utf-8")
    job = tmp_path / "day"
    kit = ("--tape", str(tape), "--line", "A:B", "--keys-only", "--output", "none")
    live = Terminal(ENVIRONMENT, "listen", str(job), "--grammar", "en-metric", *kit)
    try:
        wait_for(lambda: b"30 m, " in live.seen, live)
        assert b"STOAT-30 agree within 0.002 m" in live.seen
        live.type("15.34\r")
        wait_for(lambda: b"is not three digits; type all three" in live.seen, live)
        live.type("15.346\r+15.348\r")
        wait_for(lambda: b"15.346 m read" in live.seen, live)
        assert live.end() == 0
    finally:
        live.close()
    (segment,) = replay_job(job).segments
    assert (segment.take.length, segment.difference) == (15_346, 2)
    assert verify_job(job).ok
    wrong = run(
        *("listen", str(tmp_path / "two"), "--grammar", "en-metric", "--keys-only"),
        *("--tape", str(tape), "--tape", TAPE, "--line", "A:B"),
    )
    assert wrong.returncode == 1
    assert "read to 0.001 m, tape OTTER-30 to 0.01 m" in " ".join(wrong.stderr.split())


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--tolerance", "0.015m"), "state whole hundredths of a meter, from 0m to 1m"),
        (("--tolerance", "1.01m"), "such as 0.02m"),
        (("--tolerance", "0.01ft"), "'0.01ft' is no tolerance"),
    ],
)
def test_tolerance_is_stated_in_the_unit_of_the_tape(
    tmp_path: Path, options: tuple[str, ...], said: str
) -> None:
    """What agrees is a whole number of the tape's own hundredths."""
    done = run(
        *("listen", str(tmp_path / "job"), "--grammar", "en-metric", "--tape", TAPE),
        *("--line", "A:B", "--keys-only", *options),
    )
    assert done.returncode == 1
    assert said in done.stderr


@pytest.mark.parametrize("grammar", ["en-metric", "es-metric"])
def test_card_of_a_metric_crew_speaks_of_metres(tmp_path: Path, grammar: str) -> None:
    """Keys, conditions and numbers of the card are in metres, newtons and Celsius."""
    path = tmp_path / "card.html"
    assert run("card", "--grammar", grammar, "--out", str(path)).returncode == 0
    text = Reader(path.read_text("utf-8")).text
    words = {"en-metric": ("meter mark", "whole meter", "18.4 m"), "es-metric": ("metro", "18.4 m")}
    for each in words[grammar]:
        assert each in text
    for feet in ("foot", "feet", " ft", "pie ", "pies", "Fahrenheit", "pounds", "libras"):
        assert feet not in text, feet
    assert "1*20" in text
    assert "2*50" in text


def test_length_is_corrected_and_laid_out_by_hand_in_metres() -> None:
    """What the office works by hand with a metric certificate is said in metres, and undone."""
    common = ("--tape", TAPE, "--temperature", "30C", "--tension", "80N", "--support", "ends")
    done = run("correct", *common, "--reading", "25.42m", "--rise", "1.25m", "--elevation", "400m")
    assert done.returncode == 0, done.stderr
    assert " ft" not in done.stdout.replace("102 ft of one tape", "")
    assert "All lengths in meters." in done.stdout
    read = run("correct", *common, "--reading", "25.42m", "--percent", "0%", "--json")
    document = json.loads(read.stdout)
    amounts = {each["name"]: each["amount_m"] for each in document["parts"]}
    assert amounts["temperature"] == pytest.approx(1.16e-5 * 25.42 * 10, rel=1e-6)
    assert amounts["tension"] == pytest.approx(30 * 25.42 / (2.4e-6 * 200e9), rel=1e-6)
    situation = document["situation"]
    assert (situation["temperature_degc"], situation["tension_n"]) == (30.0, 80.0)
    assert not [name for name in read.stdout.split('"') if name.endswith(("_ft", "_lb", "_degf"))]
    wanted = f"{document['horizontal_m']}m"
    laid = run("layout", *common, "--length", wanted, "--percent", "0%", "--table")
    assert laid.returncode == 0, laid.stderr
    assert "25.4200 m on the tape, in one pull" in laid.stdout
    assert "30 m, ends only" in laid.stdout
    assert " ft" not in laid.stdout
    assert " lb" not in laid.stdout
