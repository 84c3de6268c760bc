"""Clocks that jump: what is noted, once, in plain words; order and intervals stay right."""

from __future__ import annotations

import time
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest

from calllog.commands import tape_file
from calllog.errors import ConfigError
from calllog.journal import Entry, Journal
from calllog.office import summarise
from calllog.office.summary import verify_job
from calllog.page.history import read_history
from calllog.session import Job
from calllog.session.clock import JUMP_S, ClockWatch, system_clock
from calllog.spoken import Parser
from calllog.values import Call
from calllog.wording import ENGLISH
from tests.crew import settings as line
from tests.test_session_job import AGREED, TAPE, calls

BEGAN = datetime(2131, 5, 4, 23, 59, 50, tzinfo=UTC)


class Set:
    """A computer's clocks of which one may be set."""

    def __init__(self, began: datetime = BEGAN, since_s: float = 500.0) -> None:
        self.now, self.since_s = began, since_s

    def __call__(self) -> tuple[str, float]:
        """Read them a second later."""
        self.now += timedelta(seconds=1)
        self.since_s += 1.0
        return self.now.isoformat(), self.since_s

    def jump(self, seconds: float) -> None:
        """Set the time of day."""
        self.now += timedelta(seconds=seconds)


def entries(folder: Path, kind: str | None = None) -> tuple[Entry, ...]:
    """Read a job's entries."""
    with Journal.open(folder, read_only=True) as journal:
        return tuple(journal.entries(kind))


def take(job: Job, spoken: Sequence[Call], clock: Set, jump_s: float) -> None:
    """Take calls, with a jump in the middle."""
    job.begin_line(line(), TAPE)
    for place, call in enumerate(spoken):
        if place == len(spoken) // 2:
            clock.jump(jump_s)
        job.record(call)


@pytest.mark.parametrize(
    ("jump_s", "told"),
    [
        (7_260.0, "went forward by 2 h 1 min"),
        (-3_600.0, "went back by 1 h;"),
        (-86_400.0 * 59_000, "went back by 59000 d"),
        (3.0, "went forward by 3 s"),
    ],
)
def test_jump_is_noted_once_and_changes_nothing(
    tmp_path: Path, parser: Parser, jump_s: float, told: str
) -> None:
    """The log says that times do not compare; segments, order and proof are as without it."""
    clock = Set()
    with Job.open(tmp_path / "job", clock) as job:
        take(job, calls(parser, *AGREED), clock, jump_s)
    (noted,) = entries(tmp_path / "job", "clock")
    assert isinstance(noted.content, dict)
    assert noted.content["jumped_s"] == pytest.approx(jump_s)
    assert "words" not in noted.content
    assert job.jumped is not None
    assert noted.content["code"] == job.jumped.code
    assert told in ENGLISH.say(job.jumped)
    every = entries(tmp_path / "job")
    since = [each.monotonic_s for each in every]
    assert since == sorted(since)
    assert all(0.0 <= b - a <= 2.0 for a, b in pairwise(since))
    assert [each.length_read_ft for each in summarise(tmp_path / "job").replay.segments] == [15.42]
    assert verify_job(tmp_path / "job").ok
    assert any(told in ENGLISH.say(deed.what) for deed in read_history(every).deeds)


@pytest.mark.parametrize("step_s", [1.0, -1.0, JUMP_S, 0.0])
def test_leap_second_and_small_steps_are_no_jump(
    tmp_path: Path, parser: Parser, step_s: float
) -> None:
    """At a leap second the system's clock stands back by one; the network sets it in steps."""
    clock = Set()
    with Job.open(tmp_path / "job", clock) as job:
        take(job, calls(parser, *AGREED), clock, step_s)
    assert entries(tmp_path / "job", "clock") == ()


def test_restart_restarts_the_monotonic_clock(tmp_path: Path, parser: Parser) -> None:
    """A night and a reboot are no jump; a clock that was lost with the battery is."""
    *first, last = calls(parser, *AGREED)
    with Job.open(tmp_path / "job", Set()) as job:
        take(job, first, Set(), 0.0)
    with Job.open(tmp_path / "job", Set(BEGAN + timedelta(hours=9), since_s=12.0)) as job:
        job.record(last)
        assert job.jumped is None
    with Job.open(tmp_path / "job", Set(datetime(1970, 1, 1, tzinfo=UTC), since_s=5.0)) as job:
        job.note("disk_slow", {"seconds": 2.0})
        job.note("disk_slow", {"seconds": 2.0})
        assert "before the job's last entry; is it set right?" in ENGLISH.say(job.jumped)
    assert len(entries(tmp_path / "job", "clock")) == 1
    assert len(summarise(tmp_path / "job").replay.segments) == 1
    assert verify_job(tmp_path / "job").ok


def test_no_entry_comes_between_a_state_and_its_signature(tmp_path: Path, parser: Parser) -> None:
    """Whoever signs after the clock was set signs what stands before the signature."""
    clock = Set()
    with Job.open(tmp_path / "job", clock) as job:
        take(job, calls(parser, *AGREED), clock, 0.0)
        clock.jump(4_000.0)
        job.sign(by="chief", day=date(2131, 5, 4))
    assert verify_job(tmp_path / "job").ok


def test_zone_changes_nothing(
    tmp_path: Path, parser: Parser, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Entries carry universal time, so a crew that crosses a zone makes no jump."""
    spoken = calls(parser, *AGREED)
    try:
        with Job.open(tmp_path / "job") as job:
            job.begin_line(line(), TAPE)
            for place, call in enumerate(spoken):
                monkeypatch.setenv("TZ", ("UTC", "Asia/Kolkata", "America/St_Johns")[place % 3])
                time.tzset()
                job.record(call)
    finally:
        monkeypatch.undo()
        time.tzset()
    assert entries(tmp_path / "job", "clock") == ()
    times = [each.time_utc for each in entries(tmp_path / "job")]
    assert times == sorted(times)
    assert all(each.endswith("+00:00") for each in times)


def test_sleep_counts(monkeypatch: pytest.MonkeyPatch) -> None:
    """The journal's monotonic clock goes on while the computer sleeps, so sleep is no jump."""
    asked: list[int] = []

    def read(clock: int) -> float:
        asked.append(clock)
        return 1.0

    monkeypatch.setattr(time, "clock_gettime", read)
    assert system_clock()[1] == 1.0
    assert asked == [getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC)]


def test_slow_drift_is_no_jump() -> None:
    """A clock that gains two minutes a day is never noted: entries are compared in turn."""
    watch, clock = ClockWatch(None), Set()
    for _ in range(2_880):
        clock.now += timedelta(seconds=30.0 + 120.0 / 2_880)
        clock.since_s += 30.0
        assert watch.look(*clock()) is None


def test_clock_that_was_never_set_asks_for_the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    """A certificate's validity and the days of a job must not come from 1970."""

    class Unset(datetime):
        @classmethod
        def now(cls, tz: object = None) -> datetime:  # type: ignore[override]
            del tz
            return datetime(1970, 1, 1, 12, tzinfo=UTC)

    monkeypatch.setattr(tape_file, "datetime", Unset)
    with pytest.raises(ConfigError, match=r"clock says 19\d\d-.*state the day with --date"):
        tape_file.day_of(None)
    assert tape_file.day_of(datetime(2131, 5, 4, tzinfo=UTC)) == date(2131, 5, 4)


def test_day_that_comes_again_counts_again(tmp_path: Path, parser: Parser) -> None:
    """A pull is of the day stated last, whatever the order in which the days are taken in."""
    days = (date(2131, 5, 4), date(2131, 5, 5), date(2131, 5, 4), date(2131, 5, 4))
    spoken = calls(parser, *AGREED * len(days))
    with Job.open(tmp_path / "job", Set()) as job:
        job.begin_line(line(), TAPE)
        for place, day in enumerate(days):
            job.use_day(day, is_stated=True)
            for call in spoken[place * len(AGREED) : (place + 1) * len(AGREED)]:
                job.record(call)
    summary = summarise(tmp_path / "job")
    assert [each.day for each in summary.corrected] == [day.isoformat() for day in days]
    assert len(entries(tmp_path / "job", "day")) == 3
