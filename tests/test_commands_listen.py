"""What a line begins with: the editions in force, and a rise for its first pull."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from calllog.cli import app
from calllog.commands import listen
from calllog.commands.field import Start
from calllog.decoding import NEWEST
from calllog.pairing import EDITION
from calllog.session import Job

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
