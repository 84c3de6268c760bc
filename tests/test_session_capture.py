"""A recording that was broken off: gone on with as if the same listener had heard all of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from calllog.session import Course, Job, Listener, Told, hear_recording
from calllog.session import capture as capturing
from calllog.spoken import Parser
from calllog.values import Role
from tests.crew import settings as line
from tests.test_session_job import TAPE, PaperClock
from tests.test_session_notes import Scripted, recording

WORDS = ("fifteen", "forty two", "switch ends", "fifteen", "forty two")
COURSE = Course((TAPE,), (("A", "B"),), line())


class KilledError(Exception):
    """Stands for a kill."""


def broken_off(folder: Path, parser: Parser, sound: Path, after: int) -> Scripted:
    """Take a recording in up to a call, then be killed; give who heard."""

    def kill(told: Told) -> None:
        if told.call.number == after:
            raise KilledError

    heard = Scripted(*WORDS)
    listener = Listener(heard, parser, (Role.UNSAID,), COURSE)
    with Job.open(folder, PaperClock()) as job:
        job.begin_line(line(), TAPE)
        with pytest.raises(KilledError):
            hear_recording(job, sound, listener, on_told=kill)
    return heard


@pytest.mark.parametrize("again", [24, 2])
def test_new_listener_gets_used_to_the_voices_first(
    tmp_path: Path, parser: Parser, monkeypatch: pytest.MonkeyPatch, again: int
) -> None:
    """What is in the job already is heard again, the last of it, and not taken again."""
    monkeypatch.setattr(capturing, "HEARD_AGAIN", again)
    sound = recording(tmp_path / "day.wav", 1.5, 1.5, 1.5, 1.5, 1.5)
    before = broken_off(tmp_path / "job", parser, sound, 3)
    heard = Scripted(*WORDS[3 - min(again, 3) :])
    with Job.open(tmp_path / "job", PaperClock()) as job:
        taken = hear_recording(job, sound, Listener(heard, parser, (Role.UNSAID,), COURSE))
        assert (taken, len(job.replay.calls), len(job.replay.segments)) == (2, 5, 1)
    assert heard.is_done
    assert heard.expected[: min(again, 3)] == before.expected[3 - min(again, 3) :]


def test_recording_that_is_taken_in_is_not_heard_again(tmp_path: Path, parser: Parser) -> None:
    """Where nothing is left to take, nobody listens."""
    sound = recording(tmp_path / "day.wav", 1.5, 1.5)
    with Job.open(tmp_path / "job", PaperClock()) as job:
        job.begin_line(line(), TAPE)
        hear_recording(job, sound, Listener(Scripted(*WORDS), parser, (Role.UNSAID,), COURSE))
        nobody = Scripted()
        assert hear_recording(job, sound, Listener(nobody, parser, (Role.UNSAID,), COURSE)) == 0
        assert nobody.expected == []
