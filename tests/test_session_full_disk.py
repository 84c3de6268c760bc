"""A recording on a disk that fails: a clear error, and a job that goes on where it stopped."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest
import soundfile

from calllog.audio import Utterance, write_clip
from calllog.demo import load_day
from calllog.errors import AudioError, CalllogError, JournalError
from calllog.journal import Journal
from calllog.journal.database import insert_entry
from calllog.journal.entry import Entry
from calllog.office.summary import verify_job
from calllog.recognise import Hypothesis
from calllog.session import Course, Job, Listener, hear_recording, replay
from calllog.spoken import Parser
from calllog.values import Call, Expectation, Role
from tests.consenting import agree
from tests.crew import settings as line
from tests.test_session_job import TAPE

LASTS_S = 24.0
"""Of the recording that is used: some ten calls."""
WORDS = ("fifteen", "forty two", "switch ends", "fifteen", "forty two")


class OnPaper:
    """Hears the same words in turn, by the place of the call in its recording."""

    identity = "on paper"

    def __init__(self, job: Callable[[], int]) -> None:
        self._calls = job

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Give the next words."""
        del utterance, expects
        return (Hypothesis(WORDS[self._calls() % len(WORDS)], 1.0),)

    def close(self) -> None:
        """Hold nothing."""


@pytest.fixture(scope="module")
def recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Cut the first pull out of the demo's recording."""
    path = load_day().lines[0].recording
    samples, rate_hz = soundfile.read(path)
    cut = tmp_path_factory.mktemp("recording") / "cut.wav"
    soundfile.write(cut, samples[: round(LASTS_S * rate_hz)], rate_hz)
    return cut


def listen(folder: Path, recording: Path, parser: Parser) -> None:
    """Take the recording in, as the command does."""
    course = Course((TAPE,), (("A", "B"),), line())
    with Job.open(folder) as job:
        course.go_on(job)
        if not job.replay.voices.people:
            agree(job)
        recogniser = OnPaper(lambda: len(job.replay.calls))
        roles = (Role.HEAD, Role.REAR)
        hear_recording(job, recording, Listener(recogniser, parser, roles, course))  # type: ignore[arg-type]


def taken(folder: Path) -> list[Call]:
    """Read the calls of a job, without their sound."""
    with Journal.open(folder, read_only=True) as journal:
        return [
            call.model_copy(update={"clip_sha256": ""}) for call in replay(journal.entries()).calls
        ]


@pytest.fixture(scope="module")
def undisturbed(
    tmp_path_factory: pytest.TempPathFactory, recording: Path, parser: Parser
) -> list[Call]:
    """Take the recording in without a fault."""
    folder = tmp_path_factory.mktemp("undisturbed") / "job"
    listen(folder, recording, parser)
    return taken(folder)


@pytest.mark.parametrize("at", [5, 6, 12])
def test_recording_goes_on_after_a_full_disk(
    tmp_path: Path,
    parser: Parser,
    recording: Path,
    monkeypatch: pytest.MonkeyPatch,
    undisturbed: list[Call],
    at: int,
) -> None:
    """Wherever the journal breaks off, nothing is lost, and nothing twice."""

    def insert(connection: sqlite3.Connection, entry: Entry) -> None:
        if entry.sequence >= at:
            raise sqlite3.OperationalError("database or disk is full")
        insert_entry(connection, entry)

    with monkeypatch.context() as patch:
        patch.setattr("calllog.journal.store.insert_entry", insert)
        with pytest.raises(JournalError, match=r"not written \(.*full\); check that the folder"):
            listen(tmp_path / "job", recording, parser)
    assert len(taken(tmp_path / "job")) < len(undisturbed)
    listen(tmp_path / "job", recording, parser)
    assert taken(tmp_path / "job") == undisturbed
    assert verify_job(tmp_path / "job").ok


def test_recording_goes_on_after_a_clip_that_found_no_room(
    tmp_path: Path,
    parser: Parser,
    recording: Path,
    monkeypatch: pytest.MonkeyPatch,
    undisturbed: list[Call],
) -> None:
    """A call of a recording is not taken without its sound, since it can be taken again."""
    left = iter(range(3))

    def refuse(path: Path, utterance: Utterance) -> str:
        if next(left, None) is None:
            raise AudioError("the clip cannot be written (No space left on device)")
        return write_clip(path, utterance)

    with monkeypatch.context() as patch:
        patch.setattr("calllog.session.recorder.write_clip", refuse)
        with pytest.raises(CalllogError, match="No space left"):
            listen(tmp_path / "job", recording, parser)
    assert len(taken(tmp_path / "job")) == 3
    listen(tmp_path / "job", recording, parser)
    assert taken(tmp_path / "job") == undisturbed
    assert verify_job(tmp_path / "job").ok
