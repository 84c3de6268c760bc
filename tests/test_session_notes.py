"""Notes and remarks in a job: kept from the calls alone, checked against the line, reported."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Self

import numpy as np
import pytest
import soundfile
from rich.console import Console

from calllog.audio import RATE_HZ, Utterance
from calllog.journal import Journal
from calllog.office import Summary, summarise, write_report
from calllog.office.summary import verify_job
from calllog.recognise import Hypothesis
from calllog.report import field_table, notes_table
from calllog.report.notes_csv import NOTE_COLUMNS
from calllog.session import Course, Job, Listener, hear_recording
from calllog.spoken import Parser
from calllog.values import (
    Expectation,
    Kind,
    Message,
    Outcome,
    Question,
    Role,
    Side,
    Void,
)
from calllog.wording import ENGLISH
from tests.audio.clips import clip
from tests.consenting import agree
from tests.crew import Crew
from tests.crew import settings as line
from tests.test_session_job import AGREED, STOPPED, TAPE, PaperClock

COURSE = Course((TAPE,), (("A", "B"),), line())
NOTE = "h: station zero plus fifty left ten point five"
FAR = "h: station nine plus twenty five right ten"


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Job]:
    """Open a job with its line begun."""
    with Job.open(tmp_path / "job", PaperClock()) as opened:
        opened.begin_line(line(), TAPE)
        yield agree(opened)


def feed(job: Job, crew: Crew, *, clips: bool = True) -> None:
    """Take in what a crew said that is not in the job yet; each call has its clip."""
    for call in crew.heard[len(job.replay.calls) :]:
        name = f"audio/{call.number:06d}.flac" if clips else ""
        job.record(call.model_copy(update={"clip": name}))


def test_notes_and_remarks_are_kept_with_their_line(job: Job, parser: Parser) -> None:
    """A note has its line, its clip and its time; the remark after it names it and its pull."""
    crew = Crew(parser).say(*AGREED, NOTE, "h: remark follows").remark("h")
    crew.say("r: remark follows").remark("r")
    feed(job, crew)
    (noted,) = job.replay.notes
    assert (noted.line_from, noted.line_to, noted.run, noted.call) == ("A", "B", 1, 6)
    assert (noted.note.station, noted.note.side, noted.note.offset) == (5000, Side.LEFT, 1050)
    assert noted.clip == "audio/000006.flac"
    assert noted.time_utc.startswith("2131-05-04T08:")
    first, second = job.replay.remarks
    assert (first.note, first.pull, first.clip) == (6, 2, "audio/000008.flac")
    assert (second.note, second.pull, second.call) == (None, 2, 10)


def test_journal_alone_gives_the_same_notes(job: Job, parser: Parser) -> None:
    """Computed again from the entries, notes and remarks are the same, and the job is proved."""
    feed(
        job, Crew(parser).say(*AGREED, NOTE, "h: remark follows").remark("h").say(FAR), clips=False
    )
    again = summarise(job.folder).replay
    assert (again.notes, again.remarks) == (job.replay.notes, job.replay.remarks)
    assert len(again.notes) == len(again.remarks) == 1
    assert verify_job(job.folder).ok


def test_scratched_note_is_listed_no_more(job: Job, parser: Parser) -> None:
    """The note is struck: gone from the list, still in the journal with its call."""
    crew = Crew(parser).say(NOTE, "h: strike that", "h: remark follows").remark("h")
    feed(job, crew)
    assert job.replay.notes == []
    assert [each.note for each in job.replay.remarks] == [None]
    assert job.replay.calls[0].kind is Kind.NOTE
    with Journal.open(job.folder, read_only=True) as journal:
        assert [each.kind for each in journal.entries()][-5:] == [
            "call",
            "call",
            "void",
            "call",
            "call",
        ]


def test_station_beyond_the_line_is_asked(job: Job, parser: Parser) -> None:
    """A station that the tape has not reached is asked again; the note is not taken."""
    crew = Crew(parser).say(*AGREED, FAR)
    feed(job, crew)
    assert job.replay.notes == []
    (question,) = _last_questions(job)
    assert question == "station 9+25 lies beyond this line, taped to 0+15.42"
    (again,) = Crew(parser).say("r: strike that").heard
    (struck,) = (
        each
        for each in job.record(again.model_copy(update={"number": 7}))
        if isinstance(each, Void)
    )
    assert struck.call == 5, "what was asked again is nothing to scratch"


def _last_questions(job: Job) -> list[str]:
    with Journal.open(job.folder, read_only=True) as journal:
        return [
            ENGLISH.say(Message.model_validate(each.content["asks"]))
            for each in journal.entries()
            if each.kind == "question" and isinstance(each.content, dict)
        ]


def test_station_counts_the_pulls_called_over_a_stop(job: Job, parser: Parser) -> None:
    """The crew went on over a stop: what they called, but is not booked, is not beyond the line."""
    far = "h: station two plus fifty left ten"
    feed(job, Crew(parser).say(*STOPPED, far))
    assert job.replay.notes == []
    feed(job, Crew(parser).say(*STOPPED, far, *AGREED, *AGREED, far))
    assert [each.call for each in job.replay.notes] == [17]


def test_each_run_of_a_line_is_checked_for_itself(job: Job, parser: Parser) -> None:
    """A second run begins at station 0: what the first one taped does not count."""
    whole = ("r: full tape", "r: switch ends", "h: full tape")
    first = Crew(parser).say(*whole, *whole, *whole, "r: line finished")
    feed(job, first)
    job.begin_line(line(), TAPE)
    (call,) = Crew(parser).say("h: station three plus fifty left ten").heard
    (question,) = job.record(call.model_copy(update={"number": len(first.heard) + 1}))
    assert isinstance(question, Question)
    assert ENGLISH.question(question) == "station 3+50 lies beyond this line, taped to 0+00"
    assert len(job.replay.segments) == 3


def test_report_lists_notes_and_remarks(job: Job, parser: Parser, tmp_path: Path) -> None:
    """JSON, CSV and the field page carry them; the CSV is there without notes too."""
    crew = Crew(parser).say("r: remark follows").remark("r")
    crew.say(*AGREED, NOTE, "h: remark follows").remark("h")
    feed(job, crew)
    summary = summarise(job.folder)
    files = {each.name: each for each in write_report(summary, tmp_path / "out")}
    assert {"segments.csv", "segments.json", "segments.schema.json", "notes.csv"} <= files.keys()
    log = json.loads(files["segments.json"].read_text("utf-8"))
    (note,) = log["notes"]
    assert (note["station"], note["station_ft"], note["side"], note["offset_ft"]) == (
        "0+50.00",
        "50.00",
        "left",
        "10.50",
    )
    assert note["remark_clips"] == ["audio/000010.flac"]
    assert [(each["pull"], each["note_call"]) for each in log["remarks"]] == [(1, None), (2, 8)]
    (row,) = csv.DictReader(io.StringIO(files["notes.csv"].read_text("utf-8"), newline=""))
    assert list(row) == [column.name for column in NOTE_COLUMNS]
    assert (row["station"], row["offset_ft"], row["remark_clips"], row["columns_version"]) == (
        "0+50.00",
        "10.50",
        "audio/000010.flac",
        "3",
    )
    page = _page(summary)
    assert "remark 000002.flac" in next(each for each in page if "15.42" in each)
    assert next(each for each in page if "not recorded" in each).split()[0] == "2"
    assert next(each for each in page if "0+50.00" in each).split() == [
        "A:B",
        "0+50.00",
        "left",
        "10.50",
        "remark",
        "000010.flac",
    ]


def _page(summary: Summary) -> list[str]:
    console = Console(file=io.StringIO(), width=100)
    replay = summary.replay
    console.print(field_table(summary.corrected, replay.remarks))
    console.print(notes_table(replay.notes, replay.remarks))
    assert isinstance(console.file, io.StringIO)
    return console.file.getvalue().splitlines()


def test_empty_report_has_the_notes_header(job: Job, tmp_path: Path) -> None:
    """Without notes the CSV holds its header alone, so an older file never stands for it."""
    write_report(summarise(job.folder), tmp_path / "out")
    text = (tmp_path / "out" / "notes.csv").read_bytes()
    assert text == ",".join(column.name for column in NOTE_COLUMNS).encode() + b"\r\n"


class Scripted:
    """A recogniser that hears a script, word for word; never asked more often than it has words."""

    identity = "script"

    def __init__(self, *words: str) -> None:
        self._words = list(words)
        self.expected: list[Expectation] = []

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Hear the next of the script."""
        assert utterance.samples.size
        self.expected.append(expects)
        return (Hypothesis(self._words.pop(0), 1.0),)

    @property
    def is_done(self) -> bool:
        """Everything was heard."""
        return not self._words

    def close(self) -> None:
        """Nothing is held."""

    def __enter__(self) -> Self:
        """Use it in a ``with`` statement."""
        return self

    def __exit__(self, *_: object) -> None:
        """Nothing is held."""


def recording(path: Path, *pauses_s: float) -> Path:
    """Write one clip after each pause."""
    said = clip("flite-rms", "forty_two")
    parts = [part for pause in pauses_s for part in (np.zeros(int(pause * RATE_HZ)), said)]
    sound = np.concatenate([*parts, np.zeros(RATE_HZ)])
    noise = np.random.default_rng(3).normal(0.0, 1e-4, sound.size)
    soundfile.write(path, sound + noise, RATE_HZ)
    return path


def test_remark_is_kept_and_not_understood(job: Job, parser: Parser, tmp_path: Path) -> None:
    """After the command the recogniser is not asked; the sound is kept."""
    heard = Scripted("remark follows", "forty two")
    listener = Listener(heard, parser, (Role.HEAD,), COURSE)
    hear_recording(job, recording(tmp_path / "day.wav", 1.5, 1.5, 1.5), listener)
    command, remark, number = job.replay.calls
    assert (command.name, remark.kind, remark.outcome) == ("remark", Kind.REMARK, Outcome.IGNORED)
    assert (remark.text, number.value, heard.is_done) == ("", 42, True)
    (kept,) = job.replay.remarks
    assert kept.clip == remark.clip == "audio/000002.flac"
    assert verify_job(job.folder).ok


def test_no_remark_where_no_sound_is_kept(job: Job, parser: Parser, tmp_path: Path) -> None:
    """What cannot be kept is not swallowed: the next utterance is understood."""
    heard = Scripted("remark follows", "forty two")
    listener = Listener(heard, parser, (Role.HEAD,), COURSE, keeps_clips=False)
    hear_recording(job, recording(tmp_path / "day.wav", 1.5, 1.5), listener)
    assert [each.value for each in job.replay.calls] == [None, 42]
    assert job.replay.remarks == []


def test_call_long_after_the_command_is_a_call(job: Job, parser: Parser, tmp_path: Path) -> None:
    """A command misheard must not swallow a call later on."""
    heard = Scripted("remark follows", "forty two")
    listener = Listener(heard, parser, (Role.HEAD,), COURSE)
    hear_recording(job, recording(tmp_path / "day.wav", 1.5, 12.0), listener)
    assert [each.value for each in job.replay.calls] == [None, 42]
    assert heard.expected == [Expectation.FRACTION] * 2
    assert job.replay.remarks == []


def test_recorded_note_is_a_note(job: Job, parser: Parser, tmp_path: Path) -> None:
    """What is heard as a note reaches the journal as one."""
    heard = Scripted("station zero plus fifty left ten")
    listener = Listener(heard, parser, (Role.HEAD,), COURSE)
    hear_recording(job, recording(tmp_path / "day.wav", 1.5), listener)
    (noted,) = job.replay.notes
    assert (noted.note.station, noted.note.offset) == (5000, 1000)
