"""How a line begins: editions, recordings, a rise for one pull, long tapes, how a tape reads."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import numpy as np
import pytest
import soundfile
from typer.testing import CliRunner

from calllog.cli import app
from calllog.commands import listen, recorded
from calllog.commands.course_options import one_line
from calllog.commands.start import Start
from calllog.commands.tape_file import read_tape
from calllog.commands.told import CAUTION, CAUTION_AGAIN, caution
from calllog.decoding import NEWEST
from calllog.pairing import EDITION
from calllog.session import Job, Listener
from calllog.tape import how_it_reads
from calllog.values import AfterCheck, CalledFirst, Role, message
from calllog.wording import ENGLISH
from tests.commanding import run
from tests.demo.cuts import cut
from tests.tapes import metric_tape

ROOT = Path(__file__).parents[1]
TAPE = ROOT / "calllog" / "demo" / "tapes" / "add-100.toml"
FULL_TAPE = TAPE.with_name("full-100.toml")
MILL_TO_GATE = ROOT / "calllog" / "demo" / "recordings" / "mill-to-gate.flac"
FINISHED_S = (62.5, 66.0)
"""Of that recording: "line finished"."""
CLIP = ROOT / "tests" / "audio" / "flite-slt" / "fifteen.flac"


@pytest.mark.parametrize(
    ("options", "edition"),
    [
        ((), NEWEST),
        (("--weigh-alone",), 0),
        (("--check", "wanted"), 0),
        (("--check", "none", "--weigh-together"), NEWEST),
        (("--engine", "encoder"), NEWEST),
        (("--engine", "numbers"), 0),
        (("--engine", "numbers", "--weigh-together"), NEWEST),
    ],
)
def test_live_line_is_weighed_together_where_that_was_measured(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, options: tuple[str, ...], edition: int
) -> None:
    """The listener that was measured, and a required check; else where it is asked for."""
    begun: list[Start] = []
    monkeypatch.setattr(listen, "run_field", lambda start, *_: begun.append(start))
    words = ("listen", str(tmp_path / "job"), "--tape", str(TAPE), "--line", "Elm:Ash", *options)
    assert CliRunner().invoke(app, words).exit_code == 0
    assert begun[0].course.rules.decoding == edition
    assert begun[0].course.rules.pairing == EDITION


@pytest.mark.parametrize(("options", "edition"), [((), 0), (("--weigh-together",), NEWEST)])
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


def test_line_begins_with_the_habit_that_the_crew_states(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Unsaid is learned; what is stated holds from the first pull on."""
    begun: list[Start] = []
    monkeypatch.setattr(listen, "run_field", lambda start, *_: begun.append(start))
    words = ("listen", str(tmp_path / "job"), "--tape", str(TAPE), "--line", "Elm:Ash")
    assert CliRunner().invoke(app, words).exit_code == 0
    stated = (*words, "--after-check", "on", "--first", "fraction")
    assert CliRunner().invoke(app, stated).exit_code == 0
    rules = [each.course.rules for each in begun]
    assert [each.after_check for each in rules] == [AfterCheck.UNSAID, AfterCheck.ON]
    assert [each.called_first for each in rules] == [CalledFirst.UNSAID, CalledFirst.FRACTION]


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


def test_rise_that_is_stated_for_the_work_counts_for_one_pull(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is said which; the same command states it for no other pull, and it ends with its own."""
    begun: list[Start] = []
    monkeypatch.setattr(listen, "run_field", lambda start, *_: begun.append(start))
    words = ("listen", str(tmp_path / "job"), "--tape", str(TAPE), "--line", "Elm:Ash")
    assert CliRunner().invoke(app, (*words, "--rise", "1.25ft")).exit_code == 0
    told = "the rise of 1.25 ft counts for pull 1 alone; state it for each pull that has one"
    capsys.readouterr()
    with begun[0].open(is_live=True) as job:
        assert capsys.readouterr().out.strip() == told
        assert job.state.conditions.rise_ft == 1.25
        job.begin_sitting({"stated": begun[0].stated})
        course = begun[0].course
        other = course.settings(0, 0).model_copy(update={"line_to": "Oak"})
        job.begin_line(other, course.tapes[0])
        assert job.state.conditions.rise_ft is None
    with begun[0].open(is_live=True) as job:
        assert capsys.readouterr().out == ""
        assert job.state.conditions.rise_ft is None


def test_recording_of_another_line_says_what_pull_it_leaves(tmp_path: Path) -> None:
    """Nobody is there to be asked; it is told, once, and the work goes on."""
    words = ("listen", str(tmp_path / "job"), "--tape", str(TAPE))
    recorded = ("--from", str(CLIP), "--channels", "rear")
    done = CliRunner().invoke(app, (*words, "--line", "Elm:Ash", *recorded))
    assert (done.exit_code, "unrecorded" in done.output) == (0, False)
    again = tmp_path / "again.flac"
    again.write_bytes(CLIP.read_bytes())
    other = ("--from", str(again), "--channels", "rear", "--line", "Ash:Fir")
    done = CliRunner().invoke(app, (*words, *other))
    assert done.exit_code == 0, done.output
    told = "! Elm to Ash: pull 1 waits for the hundredths of the first; it stays unrecorded"
    assert done.output.count(told) == 1
    done = CliRunner().invoke(app, (*words, *other))
    assert "unrecorded" not in done.output


@pytest.mark.parametrize("options", [(), ("--channels", "unsaid")])
def test_one_channel_of_both_needs_no_word_of_it(tmp_path: Path, options: tuple[str, ...]) -> None:
    """A recording of one channel is of both people, whichever of them speaks."""
    job = tmp_path / "job"
    words = ("listen", str(job), "--from", str(CLIP), "--tape", str(TAPE), "--line", "Elm:Ash")
    done = CliRunner().invoke(app, (*words, *options))
    assert done.exit_code == 0, done.output
    with Job.open(job) as opened:
        assert opened.replay.voices.roles == {CLIP.name: (Role.UNSAID,)}
        assert {call.role for call in opened.replay.calls} == {Role.UNSAID}


def test_two_channels_are_head_and_rear_beside_a_recording_of_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each recording has its own number of channels."""
    samples, rate_hz = soundfile.read(CLIP, dtype="int16")
    both = tmp_path / "both.wav"
    soundfile.write(both, np.stack([samples, np.zeros_like(samples)], axis=1), rate_hz)
    taken: list[tuple[str, tuple[Role, ...]]] = []

    def take(_job: Job, path: Path, listener: Listener, **_: object) -> int:
        taken.append((path.name, listener.roles))
        return 0

    monkeypatch.setattr(recorded, "hear_recording", take)
    words = ("listen", str(tmp_path / "job"), "--from", str(both), "--from", str(CLIP))
    done = CliRunner().invoke(app, (*words, "--tape", str(TAPE), "--line", "Elm:Ash"))
    assert done.exit_code == 0, done.output
    assert taken == [("both.wav", (Role.HEAD, Role.REAR)), (CLIP.name, (Role.UNSAID,))]


def test_caution_is_told_in_full_once_a_job(tmp_path: Path) -> None:
    """The second time a short line sends to the card, which has all; another job tells all."""
    words = ("--from", str(CLIP), "--tape", str(TAPE), "--line", "Elm:Ash")
    first, again, other = (
        CliRunner().invoke(app, ("listen", str(tmp_path / name), *words)).output
        for name in ("job", "job", "other")
    )
    assert "overhead lines" in first
    assert "overhead lines" in other
    assert "overhead lines" not in again
    assert "calllog card has them all" in again
    card = tmp_path / "card.html"
    assert CliRunner().invoke(app, ("card", "--out", str(card))).exit_code == 0
    assert "overhead lines" in card.read_text("utf-8")


def test_caution_is_told_in_full_until_work_with_a_crew_began(tmp_path: Path) -> None:
    """A job that was opened and never worked in has not shown it to a crew that could heed it."""
    certificate = read_tape(TAPE, date(2026, 11, 28))
    with Job.open(tmp_path / "job") as job:
        one_line(certificate, "Elm:Ash").go_on(job)
        assert caution(job) == message(CAUTION)
        job.begin_sitting({"keypads": ["terminal"]})
        assert caution(job) == message(CAUTION_AGAIN)


@pytest.mark.usefixtures("hears_once")
def test_same_recording_twice_changes_nothing(tmp_path: Path) -> None:
    """Who runs a command twice began another run of a finished line, and its rise anew."""
    folder = tmp_path / "job"
    said = cut(MILL_TO_GATE, tmp_path / "said.wav", FINISHED_S)
    words = (
        *("listen", str(folder), "--tape", str(FULL_TAPE), "--line", "Mill:Gate"),
        *("--channels", "head,rear", "--rise", "1ft"),
    )
    assert run(*words, "--from", str(said)).stdout.endswith("the line is finished.\n")
    before = (folder / "job.last").read_bytes()
    assert run(*words, "--from", str(said)).stdout.endswith("the line is finished.\n")
    assert (folder / "job.last").read_bytes() == before
    other = cut(MILL_TO_GATE, tmp_path / "other.wav", FINISHED_S)
    assert run(*words, "--from", str(other)).returncode == 0
    assert (folder / "job.last").read_bytes() != before
