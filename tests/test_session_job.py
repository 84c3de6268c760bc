"""A job: what is on disk when, going on after a kill, replay, and what is refused."""

from __future__ import annotations

import json
import shlex
import sqlite3
from datetime import date
from itertools import count
from pathlib import Path

import pytest
from pydantic import ValidationError

from calllog.about import Amendment, StatedFacts
from calllog.errors import CalllogError, ConfigError, JournalError
from calllog.journal import Journal
from calllog.office import summarise, write_report
from calllog.office.summary import verify_job
from calllog.session import Course, Job, Recorder, replay
from calllog.spoken import Parser
from calllog.tape import Foot
from calllog.values import (
    Call,
    Choice,
    Conditions,
    Decision,
    LineSettings,
    ReadingUnit,
    Segment,
    Style,
)
from tests.crew import Crew
from tests.crew import settings as line
from tests.tapes import certificate, metric_tape

TAPE = certificate(identity="T-1")
AGREED = ("r: fifteen", "h: forty two", "h: switch ends", "h: fifteen", "r: forty two")
STOPPED = ("r: fifteen", "h: forty two", "h: switch ends", "h: sixteen", "r: forty two")


class PaperClock:
    """A clock that ticks once a reading."""

    def __init__(self) -> None:
        self._ticks = count()

    def __call__(self) -> tuple[str, float]:
        """Give the next second."""
        tick = next(self._ticks)
        return f"2131-05-04T08:{tick // 60 % 60:02d}:{tick % 60:02d}+00:00", float(tick)


def calls(parser: Parser, *spoken: str) -> list[Call]:
    """Say calls on paper."""
    return Crew(parser).say(*spoken).heard


def make(folder: Path, *events: Call | Decision) -> Path:
    """Make a job with one line and some events."""
    with Job.open(folder, PaperClock()) as job:
        job.begin_line(line(), TAPE)
        for event in events:
            job.record(event)
    return folder


def test_call_is_on_disk_before_its_consequences_are_told(tmp_path: Path, parser: Parser) -> None:
    """When `take` returns, a second reader finds the call and what followed."""
    with Job.open(tmp_path / "job", PaperClock()) as job:
        job.begin_line(line(), TAPE)
        for number, call in enumerate(calls(parser, *AGREED), start=1):
            told = job.record(call)
            with Journal.open(tmp_path / "job", read_only=True) as journal:
                found = replay(journal.entries())
            assert len(found.calls) == number
            assert found.missing == []
        assert [type(each) for each in told] == [Segment]


def test_replay_gives_the_same_segments_bit_for_bit(tmp_path: Path, parser: Parser) -> None:
    """What a journal says, computed again, is what was told at the time."""
    crew = Crew(parser).say(*AGREED, *STOPPED)
    folder = make(tmp_path / "job", *crew.heard, Decision(pull=2, choice=Choice.CHECK, by="chief"))
    first, second = summarise(folder), summarise(folder)
    assert first.replay.segments == second.replay.segments
    assert [each.length_read_ft for each in first.replay.segments] == [15.42, 16.42]
    assert [each.model_dump_json() for each in first.corrected] == [
        each.model_dump_json() for each in second.corrected
    ]
    assert verify_job(folder).ok


def test_job_killed_between_a_call_and_its_consequence_goes_on(
    tmp_path: Path, parser: Parser
) -> None:
    """An input without its consequence at the end is sound; opening records what is missing."""
    *before, last = calls(parser, *AGREED)
    folder = make(tmp_path / "job", *before)
    with Journal.open(folder) as journal:
        body = last.model_dump(mode="json")
        journal.append("call", body, time_utc="2131-05-04T09:00:00+00:00", monotonic_s=1.0)
    assert verify_job(folder).ok
    assert len(summarise(folder).replay.segments) == 1
    Job.open(folder, PaperClock()).close()
    with Journal.open(folder, read_only=True) as journal:
        entry = journal.last()
    assert entry is not None
    assert entry.kind == "segment"
    assert verify_job(folder).ok


def test_a_pull_opened_again_keeps_its_run(tmp_path: Path, parser: Parser) -> None:
    """A finished line begun again is a second run, also for a pull that was scratched open."""
    first = Crew(parser).say(*AGREED, "h: line finished").heard
    again = Crew(parser).say(*AGREED, "r: strike that", "r: forty three").heard
    with Job.open(tmp_path / "job", PaperClock()) as job:
        for number, heard in enumerate((first, again), start=1):
            job.begin_line(line(), TAPE)
            for call in heard:
                job.record(call)
                assert len(job.replay.runs) == len(job.replay.segments)
            assert job.replay.runs[-1] == number
    summary = summarise(tmp_path / "job")
    assert [each.run for each in summary.corrected] == [1, 2]
    assert [each.segment.length_read_ft for each in summary.corrected] == [15.42, 15.42]
    first_ft, again_ft = (each.running_total_ft for each in summary.corrected)
    assert first_ft == again_ft
    assert verify_job(tmp_path / "job").ok


@pytest.mark.parametrize("kind", ["segment", "void", "question"])
def test_consequence_that_does_not_follow_is_named(
    tmp_path: Path, parser: Parser, kind: str
) -> None:
    """A segment that no call led to is found, though the chain of hashes is whole."""
    folder = make(tmp_path / "job", *calls(parser, *AGREED))
    forged = summarise(folder).replay.segments[0].model_copy(update={"length_read_ft": 99.0})
    with Journal.open(folder) as journal:
        entry = journal.append(
            kind,
            forged.model_dump(mode="json"),
            time_utc="2131-05-04T09:00:00+00:00",
            monotonic_s=1.0,
        )
    result = verify_job(folder)
    assert (result.ok, result.first_bad) == (False, entry.sequence)
    assert "does not follow from the calls" in result.wrong
    with pytest.raises(JournalError, match="calllog rescue"):
        summarise(folder)
    with pytest.raises(JournalError, match="takes no more calls"):
        Job.open(folder)


def test_changed_byte_is_named(tmp_path: Path, parser: Parser) -> None:
    """One changed digit in a call is found and its entry named."""
    folder = make(tmp_path / "job", *calls(parser, *AGREED))
    database = sqlite3.connect(folder / "job.sqlite")
    with database:
        triggers = database.execute(
            "SELECT name FROM sqlite_master WHERE type='trigger'"
        ).fetchall()
        for (name,) in triggers:
            database.execute(f'DROP TRIGGER "{name}"')
        database.execute(
            "UPDATE entry SET body = replace(body, ?, ?) WHERE sequence = 4",
            ('"value":1500', '"value":1600'),
        )
    database.close()
    result = verify_job(folder)
    assert (result.ok, result.first_bad) == (False, 4)


def test_line_goes_on_or_begins_anew(tmp_path: Path, parser: Parser) -> None:
    """The same line is gone on with; another one takes the next pull number and the conditions."""
    heard = calls(parser, *AGREED)
    folder = make(tmp_path / "job", *heard)
    with Job.open(folder, PaperClock()) as job:
        job.begin_line(line(), TAPE)
        assert job.state.pull == 2
        job.record(Conditions(temperature_degf=41.0))
        job.record(heard[0])
        job.begin_line(line(line_from="B", line_to="C"), TAPE)
        assert (job.state.pull, job.state.conditions.temperature_degf) == (3, 41.0)
    with Journal.open(folder, read_only=True) as journal:
        kinds = [entry.kind for entry in journal.entries()]
    assert kinds.count("line") == 2
    assert kinds.count("tape") == 1


def test_days_of_the_field_work_are_kept_once(tmp_path: Path) -> None:
    """Each day stands in the journal once, and a reader finds it."""
    with Job.open(tmp_path / "job", PaperClock()) as job:
        job.begin_line(line(), TAPE)
        for day in (date(2131, 5, 4), date(2131, 5, 4), date(2131, 5, 6)):
            job.use_day(day, is_stated=True)
    with Journal.open(tmp_path / "job", read_only=True) as journal:
        kept = [entry.content for entry in journal.entries("day")]
    assert kept == [
        {"date": "2131-05-04", "stated": True},
        {"date": "2131-05-06", "stated": True},
    ]
    assert summarise(tmp_path / "job").replay.days == [date(2131, 5, 4), date(2131, 5, 6)]


def test_line_does_not_begin_over_a_stop(tmp_path: Path, parser: Parser) -> None:
    """A stopped pull is decided before another line begins."""
    folder = make(tmp_path / "job", *calls(parser, *STOPPED))
    with Job.open(folder) as job, pytest.raises(JournalError, match="pull 1 waits for a decision"):
        job.begin_line(line(line_from="B", line_to="C"), TAPE)


def test_command_that_is_advised_can_be_pasted(tmp_path: Path, parser: Parser) -> None:
    """A folder is one word of it, and what is to be chosen is not chosen by pasting it."""
    folder = make(tmp_path / "Ash's first day", *calls(parser, *AGREED, *STOPPED))
    stated = StatedFacts(Amendment(client="X"))
    advised: list[list[str]] = []
    with Job.open(folder) as job:
        job.state_about(stated, by="x")
        for ask in (
            lambda: job.begin_line(line(line_from="B", line_to="C"), TAPE),
            lambda: job.sign(by="x", day=date(2131, 5, 4)),
            lambda: job.state_about(stated, by="x"),
        ):
            with pytest.raises(CalllogError) as error:
                ask()
            advised.append(shlex.split(str(error.value).split("`")[1]))
    decide = ["calllog", "decide", str(folder), "2", "CHOICE"]
    assert advised == [decide, decide, ["calllog", "about", str(folder)]]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"certified_length_ft": 99.9}, "already stands in this job with another certificate"),
        ({"identity": "T-2", "foot": Foot.INTERNATIONAL}, "this job is in us-survey feet"),
    ],
)
def test_tapes_of_a_job_cannot_contradict(
    tmp_path: Path, change: dict[str, object], message: str
) -> None:
    """One identity has one certificate, and one job has one foot."""
    folder = make(tmp_path / "job")
    with Job.open(folder) as job, pytest.raises(ConfigError, match=message):
        job.begin_line(
            line(line_from="B", line_to="C"), certificate(**{"identity": "T-1", **change})
        )


def test_job_without_a_line_says_how_to_begin(tmp_path: Path) -> None:
    """An empty job is no error to open, but has nothing to report, decide or take."""
    Job.open(tmp_path / "job").close()
    with pytest.raises(JournalError, match=r"no line has been begun.*calllog listen"):
        summarise(tmp_path / "job")
    with Job.open(tmp_path / "job") as job:
        with pytest.raises(JournalError, match="no line has been begun"):
            _ = job.state
        with pytest.raises(JournalError, match="stands before any line"):
            job.replay.record(Conditions())


def test_entry_that_is_no_call_is_refused(tmp_path: Path) -> None:
    """A body that its kind does not allow is named with its entry."""
    folder = make(tmp_path / "job")
    with Journal.open(folder) as journal:
        journal.append("call", {"number": 1}, time_utc="2131-05-04T09:00:00+00:00", monotonic_s=1.0)
    with pytest.raises(JournalError, match="entry 4 is no call"):
        summarise(folder)


def test_report_states_what_it_rests_on(tmp_path: Path, parser: Parser) -> None:
    """The report is written where it is asked for and carries the journal's last hash."""
    folder = make(tmp_path / "job", *calls(parser, *AGREED))
    summary = summarise(folder)
    files = write_report(summary, tmp_path / "office")
    assert all(file.is_file() for file in files)
    assert summary.header.state_hash == verify_job(folder).state_hash
    log = next(file for file in files if file.name == "segments.json")
    assert summary.header.state_hash in log.read_text("utf-8")


def test_metric_tape_is_refused_in_a_job_in_feet(tmp_path: Path) -> None:
    """A job has one unit, and its lines are settled by their tapes: no metre becomes a foot."""
    metric, feet = metric_tape(), certificate()
    with Job.open(tmp_path / "job") as job:
        with pytest.raises(ConfigError, match="this line is in feet, tape M-1 is in meters"):
            job.begin_line(line(), metric)
        job.begin_line(line(), feet)
        in_metres = line().model_copy(update={"tape": "M-1", "unit": ReadingUnit.METRE})
        with pytest.raises(ConfigError, match="this job is in feet, tape M-1 is in meters"):
            job.begin_line(in_metres, metric)


def test_older_line_that_says_no_unit_is_in_feet() -> None:
    """A journal from before there were metric tapes is read as it was; a mixed one is refused."""
    older = line().model_dump(mode="json", exclude={"unit", "nominal"})
    read = LineSettings.model_validate_json(json.dumps(older | {"nominal_ft": 100}))
    assert read == line()
    with pytest.raises(ValidationError):
        LineSettings.model_validate_json(json.dumps(older | {"nominal_ft": 30, "unit": "metre"}))


def test_calls_in_another_unit_are_not_taken(tmp_path: Path, parser: Parser) -> None:
    """Whatever opened the job, a crew that calls feet cannot book on a metric tape."""
    metric = metric_tape()
    settled = line(Style.FULL).model_copy(
        update={"tape": "M-1", "unit": ReadingUnit.METRE, "nominal": 30, "limit": 3000}
    )
    course = Course((metric,), (("A", "B"),), settled)
    with Job.open(tmp_path / "job") as job:
        course.go_on(job)
        with pytest.raises(ConfigError, match="the crew calls feet, but the job is in meters"):
            Recorder(
                job,
                course,
                parser,
                source="live-1",
                roles=(),
                keeps_clips=False,
                on_told=lambda _: None,
            )
