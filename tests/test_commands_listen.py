"""How a line begins: editions, long tapes, and how the tape reads."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from calllog.cli import app
from calllog.commands import listen
from calllog.commands.field import Start
from calllog.decoding import NEWEST
from calllog.pairing import EDITION
from calllog.session import Job
from calllog.tape import how_it_reads
from calllog.wording import ENGLISH
from tests.tapes import metric_tape

ROOT = Path(__file__).parents[1]
TAPE = ROOT / "calllog" / "demo" / "tapes" / "add-100.toml"
CLIP = ROOT / "tests" / "audio" / "flite-slt" / "fifteen.flac"


@pytest.mark.parametrize(
    ("options", "edition"),
    [
        ((), 3),
        (("--weigh-alone",), 0),
        (("--check", "wanted"), 0),
        (("--check", "none", "--weigh-together"), 3),
        (("--engine", "pocketsphinx"), 0),
        (("--engine", "pocketsphinx", "--weigh-together"), 1),
        (("--engine", "numbers", "--engine", "pocketsphinx"), 2),
        (("--engine", "encoder", "--engine", "numbers"), 0),
        (("--engine", "vosk", "--engine", "numbers"), 0),
        (("--engine", "numbers", "--weigh-together"), NEWEST),
    ],
)
def test_live_line_is_weighed_together_where_that_was_measured(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, options: tuple[str, ...], edition: int
) -> None:
    """Listeners that were measured, and a required check; else where it is asked for."""
    begun: list[Start] = []
    monkeypatch.setattr(listen, "run_field", lambda start, *_: begun.append(start))
    words = ("listen", str(tmp_path / "job"), "--tape", str(TAPE), "--line", "Elm:Ash", *options)
    assert CliRunner().invoke(app, words).exit_code == 0
    assert begun[0].course.rules.decoding == edition
    assert begun[0].course.rules.pairing == EDITION


@pytest.mark.parametrize(("options", "edition"), [((), 0), (("--weigh-together",), 3)])
def test_recorded_line_is_weighed_together_only_if_asked(
    tmp_path: Path, options: tuple[str, ...], edition: int
) -> None:
    """Who was recorded cannot answer."""
    words = (
        *("listen", str(tmp_path / "job"), "--from", str(CLIP), "--channels", "unsaid"),
        *("--tape", str(TAPE), "--line", "Elm:Ash", *options),
    )
    assert CliRunner().invoke(app, words).exit_code == 0
    with Job.open(tmp_path / "job") as job:
        assert job.state.settings.decoding == edition


def test_a_long_tape_is_called_up_to_its_end_and_the_start_says_how_it_reads(
    tmp_path: Path,
) -> None:
    """200 ft go, longer than can be called do not; 30 m have an example of their own."""
    text = TAPE.read_text("utf-8").replace('"add"', '"cut"')
    tape = tmp_path / "cut-200.toml"
    words = ("listen", str(tmp_path / "job"), "--tape", str(tape), "--line", "Elm:Ash")
    for nominal, code in ((600, 1), (200, 0)):
        at = f"nominal_ft = {nominal}\ncertified_length_ft = {nominal}.004"
        tape.write_text(re.sub(r"nominal_ft = 100\n.*", at, text), "utf-8")
        recorded = ("--from", str(CLIP), "--channels", "unsaid", "--engine", "numbers")
        done = CliRunner().invoke(app, (*words, *recorded))
        assert done.exit_code == code
        assert ("calls go up to 500 ft" in str(done.exception)) is bool(code)
    assert "cuts: 48 held, 36 read: 47.64." in done.output
    with Job.open(tmp_path / "job") as job:
        assert job.state.settings.limit == 200_00


def test_an_example_fits_on_a_short_tape() -> None:
    """The last whole mark of 30 m stands in for 48; what is held is taken off."""
    for style, hold, words in (
        ("cut", 0, "cuts: 29 held, 36 read: 28.64."),
        ("add", 0, "adds: 29 held, 36 read: 29.36."),
        ("full", 0, "is read at one end: 0.00 held, 29.36 read: 29.36."),
        ("zero-in", 100, "one end reads all, 1.00 held, 29.36 read: 28.36."),
    ):
        tape = metric_tape(style=style, **({"hold": hold} if hold else {}))
        assert words in ENGLISH.measured_in(tape.unit).say(how_it_reads(tape))
