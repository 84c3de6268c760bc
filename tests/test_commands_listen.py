"""What a line begins with, and who wears the microphones of a recording."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import soundfile
from typer.testing import CliRunner

from calllog.cli import app
from calllog.commands import listen
from calllog.commands.field import Start
from calllog.decoding import NEWEST
from calllog.pairing import EDITION
from calllog.session import Job, Listener
from calllog.values import Role

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

    monkeypatch.setattr(listen, "take_recording", take)
    words = ("listen", str(tmp_path / "job"), "--from", str(both), "--from", str(CLIP))
    done = CliRunner().invoke(app, (*words, "--tape", str(TAPE), "--line", "Elm:Ash"))
    assert done.exit_code == 0, done.output
    assert taken == [("both.wav", (Role.HEAD, Role.REAR)), (CLIP.name, (Role.UNSAID,))]
