"""A job on a tape that is read to the millimetre, by key and voice, from journal to office."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import jsonschema
import pytest

from calllog.commands.line import line as show_line
from calllog.corrections import line_budget
from calllog.corrections.practice import LEAST_FINE_METRIC_COUNT
from calllog.errors import ConfigError
from calllog.keypad import KeyedEntry
from calllog.keypad.strokes import ENTER, Refused, press, rows
from calllog.lines import group_lines
from calllog.office import summarise, weigh_pull, write_report
from calllog.office.summary import verify_job
from calllog.page import write_pages
from calllog.readback import answer
from calllog.report import field_table
from calllog.resources import read_grammar
from calllog.session import Course, Job
from calllog.spoken import Parser
from calllog.values import (
    Booking,
    Expectation,
    Kind,
    LineSettings,
    ReadingUnit,
    Role,
    Segment,
    Style,
)
from calllog.wording import ENGLISH
from tests.crew import Crew
from tests.fieldjob import Paper
from tests.metricjob import line
from tests.panel import text_of
from tests.tapes import certificate, metric_tape

FINE_FOOT, FINE_METRE = ReadingUnit.FINE_FOOT, ReadingUnit.FINE_METRE
TAPE = metric_tape(identity="F-1", least_count=0.001, tolerance=0.002)


def settled(**changes: object) -> LineSettings:
    """State a line on the tape."""
    fine = {"tape": "F-1", "unit": FINE_METRE, "limit": 30_000, "tolerance": 2, "pairing": 1}
    return line().model_copy(update={**fine, **changes})


@pytest.fixture
def crew() -> Crew:
    """Let a crew call on paper."""
    rules = settled(style=Style.ADD, limit=30_999)
    return Crew(Parser(read_grammar("en-metric").reading(FINE_METRE)), rules)


def typed(
    keys: str, expects: Expectation = Expectation.ANY, unit: ReadingUnit = FINE_METRE
) -> object:
    """Type keys and Enter: what the last one made."""
    so_far, made = "", None
    for key in (*keys, ENTER):
        so_far, made = press(so_far, key, expects, 30 * unit.counts, unit)
    return made


@pytest.mark.parametrize(
    ("keys", "expects", "kind", "value"),
    [
        (".346", Expectation.WHOLE, Kind.FRACTION, 346),
        (".005", Expectation.ANY, Kind.FRACTION, 5),
        ("346", Expectation.FRACTION, Kind.FRACTION, 346),
        ("346", Expectation.ANY, Kind.FRACTION, 346),
        ("005", Expectation.ANY, Kind.FRACTION, 5),
        ("15.346", Expectation.ANY, Kind.READING, 15_346),
        ("15.", Expectation.ANY, Kind.WHOLE, 15_000),
        ("15", Expectation.WHOLE, Kind.WHOLE, 15_000),
        ("15", Expectation.ANY, Kind.NUMBER, 15),
    ],
)
def test_millimetres_are_typed_with_three_digits(
    keys: str, expects: Expectation, kind: Kind, value: int
) -> None:
    """With the point or without it."""
    made = typed(keys, expects)
    assert isinstance(made, KeyedEntry), made
    assert (made.kind, made.value) == (kind, value)


@pytest.mark.parametrize(
    ("keys", "expects", "code"),
    [
        (".34", Expectation.FRACTION, "key-three-digits"),
        ("15.3", Expectation.READING, "key-three-digits"),
        ("34", Expectation.FRACTION, "key-three-digits"),
        ("05", Expectation.ANY, "key-three-digits"),
        ("31", Expectation.ANY, "key-three-digits"),
        ("31", Expectation.WHOLE, "words-beyond-tape"),
    ],
)
def test_fewer_digits_are_refused(keys: str, expects: Expectation, code: str) -> None:
    """Nothing is filled up."""
    made = typed(keys, expects)
    assert isinstance(made, Refused), made
    assert made.reason.code == code
    assert ENGLISH.measured_in(FINE_METRE).say(made.reason)


@pytest.mark.parametrize(
    ("keys", "value"), [(".42", 84), (".425", 85), ("42", 84), ("425", 85), (".420", 84)]
)
def test_half_hundredths_are_typed(keys: str, value: int) -> None:
    """A third digit, 0 or 5, where it is read."""
    made = typed(keys, Expectation.FRACTION, FINE_FOOT)
    assert isinstance(made, KeyedEntry), made
    assert made.value == value
    wrong = typed(".423", Expectation.FRACTION, FINE_FOOT)
    assert isinstance(wrong, Refused)
    assert wrong.reason.code == "key-least-count"


def test_keys_are_shown_for_the_tape() -> None:
    """The examples have the digits of the tape."""
    shown = {row.keys for row in rows(FINE_METRE)}
    assert {".346 Enter", "15.346 Enter"} <= shown
    assert ".425 Enter" in {row.keys for row in rows(FINE_FOOT)}


def test_pull_is_called_in_millimetres(crew: Crew) -> None:
    """The whole metre by one, three figures by the other; agreed within the tape's tolerance."""
    crew.say("r: fifteen", "h: three four six", "h: switch ends", "h: fifteen")
    crew.say("r: three forty eight")
    (segment,) = crew.segments
    assert segment.booking is Booking.AGREED
    assert (segment.take.length, segment.difference) == (15_346, 2)
    assert segment.length_read_ft == pytest.approx(15.346 / 0.3048, rel=1e-15)


def test_three_millimetres_stop(crew: Crew) -> None:
    """One more than the tolerance is no agreement."""
    crew.say("h: fifteen three four six", "h: switch ends", "r: fifteen three four nine")
    assert not crew.segments
    assert crew.findings == ["six-nine"]
    assert (crew.state.findings[-1].first, crew.state.findings[-1].second) == (15_346, 15_349)


def test_two_figures_are_asked_of_the_reader(crew: Crew) -> None:
    """Nothing is taken, and the one who reads is told what is due."""
    crew.say("r: fifteen", "h: forty six")
    assert crew.state.parts.fraction is None
    reason = crew.heard[-1].reason
    assert reason is not None
    assert reason.code == "three-digits-due"


def test_two_figures_from_nobody_are_asked_too() -> None:
    """Where one microphone serves both, a short number beside a metre is no millimetres."""
    parser = Parser(read_grammar("en-metric").reading(FINE_METRE))
    crew = Crew(parser, settled(style=Style.ADD, limit=30_999, whole_by=Role.UNSAID), is_live=True)
    crew.say("u: fifteen", "u: forty six")
    assert crew.state.parts.fraction is None
    assert not crew.segments


def test_job_is_kept_reduced_and_shown_in_millimetres(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Journal, proof, CSV, JSON with its schema, terminal, screen and read-back."""
    folder = tmp_path / "job"
    with Job.open(folder) as job:
        Course((TAPE,), (("Heron", "Alder"),), settled()).go_on(job)
        job.begin_sitting({"grammar": "en-metric"})
        paper = Paper(job)
        paper.call(Kind.READING, value=15_346, text="15.346")
        view = text_of(job.replay)
        assert str(view.take) == "15.346"
        paper.say("switch")
        paper.call(Kind.READING, value=15_347, text="15.347")
        segment = job.replay.segments[-1]
        assert isinstance(segment, Segment)
        said = answer(read_grammar("en-metric").reading(FINE_METRE), None, [segment])
        assert "fifteen point three four six" in said.words
    assert verify_job(folder).ok
    summary = summarise(folder)
    assert summary.header.tolerance_hundredths == pytest.approx(0.2)
    write_report(summary, tmp_path, as_xlsx=True, is_full=True)
    (row,) = csv.DictReader((tmp_path / "segments.csv").read_text("utf-8").splitlines())
    assert (row["unit"], row["take_reading_m"], row["check_difference_m"]) == (
        *("metre", "15.346", "0.001"),
    )
    assert row["length_read_m"].startswith("15.346")
    document = json.loads((tmp_path / "segments.json").read_text("utf-8"))
    schema = json.loads((tmp_path / "segments.schema.json").read_text("utf-8"))
    jsonschema.validate(document, schema)
    assert document["segments"][0]["take"]["length_m"] == "15.346"
    assert "read" not in document["job"]
    cells = field_table(summary.corrected, unit=summary.header.unit_read).columns
    assert "15.346" in [cell for column in cells for cell in column.cells]
    with pytest.raises(ConfigError, match="not weighed together"):
        weigh_pull(folder, 1)
    pages = write_pages(folder, summary, tmp_path / "page").files
    shown = "".join(page.read_text("utf-8") for page in pages if page.suffix == ".html")
    for figures in ("15.346", "0.001 m", "0.002 m", "0+015.34"):
        assert figures in shown, figures
    (taped,) = group_lines(summary.corrected)
    budget = line_budget([each.segment for each in taped.corrected], summary.replay.tapes)
    assert LEAST_FINE_METRIC_COUNT in {row.source for row in budget.rows}
    show_line(folder, stations=25)
    assert "  15.34" in capsys.readouterr().out


def test_job_has_one_least_count(tmp_path: Path) -> None:
    """A tape that is read otherwise would have its figures counted otherwise."""
    other = metric_tape(identity="F-2")
    with Job.open(tmp_path / "job") as job:
        Course((TAPE,), (("A", "B"),), settled()).go_on(job)
        rules = settled(tape="F-2", unit=ReadingUnit.METRE, limit=3000)
        with pytest.raises(
            ConfigError, match=r"this job is read to 0\.001 m, tape F-2 is read to 0"
        ):
            Course((other,), (("B", "C"),), rules).go_on(job)


def test_held_mark_and_add_tape_are_counted() -> None:
    """The held mark is taken off, and what adds is added, in the tape's own counts."""
    parser = Parser(read_grammar().reading(FINE_FOOT))
    tape = certificate(style=Style.ADD, least_count=0.005)
    rules = LineSettings(
        line_from="A",
        line_to="B",
        tape="T-1",
        style=Style.ADD,
        nominal=100,
        limit=20_199,
        unit=tape.unit,
        pairing=1,
    )
    crew = Crew(parser, rules).say("r: fifteen", "h: forty two five")
    assert crew.state.take is not None
    assert crew.state.take.length == 3085
