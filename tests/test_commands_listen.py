"""Which edition of the joint decoding a line begins with."""

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
from calllog.values import AfterCheck, CalledFirst

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
