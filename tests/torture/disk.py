"""Disks that fail under a live crew: ``python -m tests.torture.disk [COUNT]``, that many of each.

Each run is a short day of a field loop about fake devices and a real job. The fault comes and goes
at random moments: between calls, within a call, or between a call and what follows from it. A run
is survived if all calls are on disk in their order, each once, the chain verifies, the pulls are
those that were called, the crew was warned, and nothing was confirmed that was not on disk.
"""

from __future__ import annotations

import resource
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from unittest import mock

from calllog.journal import Journal
from calllog.journal.database import insert_entry
from calllog.journal.entry import Entry
from calllog.live.safety import RETRY_S, SLOW_S
from calllog.live.spill import read_spill, spill
from calllog.office.summary import verify_job
from calllog.readback import Saying, Tone
from calllog.readback.figures import say_count, say_hundredths
from calllog.resources import DEFAULT_GRAMMAR, read_grammar
from calllog.session import Job, replay
from calllog.spoken import Grammar, Parser
from calllog.values import Outcome
from tests.rig import BLOCK_S, RIGS, SAMPLES, START_S, Rig
from tests.torture.tally import Tally, report

PULLS = 4
BEGAN = datetime(2131, 5, 4, 8, tzinfo=UTC)
HEAD, REAR = 0, 1
CONFIRMING = (Tone.HEARD, Tone.AGREES)


@dataclass(frozen=True, slots=True)
class Said:
    """One call of the day; typed where it has no channel."""

    words: str
    channel: int | None


@dataclass
class Day:
    """What a crew calls in a day, and what must come of it."""

    calls: list[Said] = field(default_factory=list)
    lengths: list[int] = field(default_factory=list)
    """Of the pulls booked [hundredths of a foot]."""


def speak(said: Said, rig: Rig, listen: Callable[[float], None]) -> None:
    """Type a call or say it, with the sound before and after it that a crew leaves."""
    if said.channel is None:
        rig.type(said.words)
        listen(0.4)
        return
    listen(0.5)
    rig.ears.say(said.words, said.channel, lasts_s=0.3)
    listen(BLOCK_S)


def make_day(grammar: Grammar, rng: Random) -> Day:
    """Make a day of pulls that agree, with calls that are taken back, in voice and by key."""
    day = Day()
    for _ in range(PULLS):
        whole, part = rng.randrange(1, 99), rng.randrange(10, 100)
        day.lengths.append(100 * whole + part)
        for first, second in ((REAR, HEAD), (HEAD, REAR)):
            spoken = say_count(grammar, whole)
            if rng.random() < 0.2:
                day.calls += [Said(say_count(grammar, 7), first), Said("strike that", first)]
            if rng.random() < 0.2:
                day.calls += [Said(f"{whole}.\n", None), Said(f".{part}\n", None)]
            else:
                day.calls += [Said(spoken, first), Said(say_hundredths(grammar, part), second)]
            if first == REAR:
                day.calls.append(Said("switch ends", HEAD))
    return day


@dataclass
class Disk:
    """What may go wrong with the folder of a job, and how it is put right again."""

    job: Path
    go: Callable[[], None]
    mend: Callable[[], None]
    seconds: float = 0.0
    """How long each write takes while it fails."""
    step: Callable[[], None] = lambda: None
    """Called before each call of the day."""


def refuse(code: int, message: str, *, is_written: bool) -> sqlite3.Error:
    """Make the error that SQLite gives."""
    error = sqlite3.OperationalError(message)
    error.sqlite_errorcode = code
    del is_written
    return error


@contextmanager
def refusing(folder: Path, code: int, message: str, *, is_written: bool = False) -> Iterator[Disk]:
    """Refuse what is committed, as SQLite does; an ambiguous commit is written all the same."""
    is_failing = [False]

    def insert(connection: sqlite3.Connection, entry: Entry) -> None:
        if is_failing[0] and not is_written:
            raise refuse(code, message, is_written=False)
        insert_entry(connection, entry)
        if is_failing[0]:
            raise refuse(code, message, is_written=True)

    def turn(*, on: bool) -> None:
        is_failing[0] = on

    with mock.patch("calllog.journal.store.insert_entry", insert):
        yield Disk(folder / "job", lambda: turn(on=True), lambda: turn(on=False))


@contextmanager
def slow(folder: Path) -> Iterator[Disk]:
    """Let each write take seconds, in which sound and keys come."""
    disk = Disk(folder / "job", lambda: None, lambda: None)

    def go() -> None:
        disk.seconds = SLOW_S + 1.5

    def mend() -> None:
        disk.seconds = 0.0

    disk.go, disk.mend = go, mend
    yield disk


@contextmanager
def moved(folder: Path) -> Iterator[Disk]:
    """Take the folder away and put it back."""
    job, away = folder / "job", folder / "away"
    yield Disk(job, lambda: _move(job, away), lambda: _move(away, job))


@contextmanager
def swapped(folder: Path) -> Iterator[Disk]:
    """Take the folder away and put a copy of it in its place: other files, the same entries."""
    job, away = folder / "job", folder / "away"

    def mend() -> None:
        shutil.copytree(away, job)

    yield Disk(job, lambda: _move(job, away), mend)


@contextmanager
def forgetful(folder: Path) -> Iterator[Disk]:
    """Take the folder away; when it is back, what was written last has never reached the card."""
    job, away = folder / "job", folder / "away"
    copies = deque([folder / "0"], 4)

    def step() -> None:
        copy = folder / f"{int(copies[-1].name) + 1}"
        copy.mkdir()
        for file in job.glob("job.sqlite*"):
            shutil.copyfile(file, copy / file.name)
        copies.append(copy)

    def mend() -> None:
        for file in away.glob("job.sqlite*"):
            file.unlink()
        for file in copies[0].glob("job.sqlite*"):
            shutil.copyfile(file, away / file.name)
        _move(away, job)

    copies[0].mkdir()
    disk = Disk(job, lambda: _move(job, away), mend)

    def first() -> None:
        copies.clear()
        copies.append(folder / "0")
        for file in job.glob("job.sqlite*"):
            shutil.copyfile(file, folder / "0" / file.name)
        disk.step = step

    disk.step = first
    yield disk


@contextmanager
def log_deleted(folder: Path) -> Iterator[Disk]:
    """Delete the write-ahead log, in which the last entries stand, under the writer's feet."""
    job = folder / "job"
    yield Disk(
        job,
        lambda: (job / "job.sqlite-wal").unlink(missing_ok=True),
        lambda: None,
    )


@contextmanager
def too_large(folder: Path) -> Iterator[Disk]:
    """Let no file grow: the system itself refuses the write (EFBIG)."""
    job = folder / "job"
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)

    def go() -> None:
        size = (job / "job.sqlite-wal").stat().st_size
        resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))

    def mend() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))

    try:
        yield Disk(job, go, mend)
    finally:
        mend()


@contextmanager
def full(folder: Path) -> Iterator[Disk]:
    """Fill the file system to the last byte (ENOSPC)."""
    with mounted(folder / "card") as card:
        filler = card / "filler"

        def go() -> None:
            with filler.open("wb", buffering=0) as file:
                for size in (65_536, 4_096, 1):
                    try:
                        while file.write(b"\0" * size):
                            pass
                    except OSError:
                        continue

        yield Disk(card / "job", go, lambda: filler.unlink(missing_ok=True))


@contextmanager
def pulled_out(folder: Path, *, comes_read_only: bool = False) -> Iterator[Disk]:
    """Take the file system away from under the program, and put it back; first read-only."""
    with mounted(folder / "card") as card, ExitStack() as mounts:
        slot = folder / "slot"
        slot.mkdir()

        def put_in(*options: str) -> None:
            run("mount", "--bind", *options, card, slot)

        def pull_out() -> None:
            run("umount", "-l", slot)

        def go() -> None:
            pull_out()
            if comes_read_only:
                put_in("-o", "ro")

        def mend() -> None:
            if comes_read_only:
                pull_out()
            put_in()

        put_in()
        mounts.callback(pull_out)
        yield Disk(slot / "job", go, mend)


FAULTS: dict[str, Callable[[Path], AbstractContextManager[Disk]]] = {
    "disk full, as SQLite tells it": lambda folder: refusing(
        folder, sqlite3.SQLITE_FULL, "database or disk is full"
    ),
    "commit refused (I/O error)": lambda folder: refusing(
        folder, sqlite3.SQLITE_IOERR, "disk I/O error"
    ),
    "commit refused after it was written": lambda folder: refusing(
        folder, sqlite3.SQLITE_IOERR, "disk I/O error", is_written=True
    ),
    "read-only, as SQLite tells it": lambda folder: refusing(
        folder, sqlite3.SQLITE_READONLY, "attempt to write a readonly database"
    ),
    "database locked": lambda folder: refusing(folder, sqlite3.SQLITE_BUSY, "database is locked"),
    "no file may grow (EFBIG)": too_large,
    "folder taken away and back": moved,
    "folder replaced by a copy": swapped,
    "card that forgot its last calls": forgetful,
    "write-ahead log deleted": log_deleted,
    "seconds for each write": slow,
}
MOUNTED: dict[str, Callable[[Path], AbstractContextManager[Disk]]] = {
    "file system full (ENOSPC)": full,
    "card pulled out and back": pulled_out,
    "card back read-only at first (EROFS)": lambda folder: pulled_out(folder, comes_read_only=True),
}
"""Need the right to mount."""


def can_mount() -> bool:
    """Tell whether file systems may be mounted here."""
    with tempfile.TemporaryDirectory() as name:
        try:
            with mounted(Path(name) / "card"):
                return True
        except (OSError, subprocess.CalledProcessError):
            return False


class Run:
    """One day with one fault."""

    def __init__(self, disk: Disk, grammar: Grammar, parser: Parser, rng: Random) -> None:
        self._disk, self._grammar, self._parser, self._rng = disk, grammar, parser, rng
        self._day = make_day(grammar, rng)
        self._unsafe_words = 0
        self._warnings = 0
        self._asked = 0
        self._was_unsafe = False
        self._rig: Rig | None = None
        self._since_s = 0.0
        self._written = 0
        self._goes_at = -1

    def live(self, *, is_ended: bool) -> Tally:
        """Work through the day; end the program while the disk fails, or go on."""
        calls = self._day.calls
        begin = self._rng.randrange(len(calls) - 1)
        until = min(begin + self._rng.randrange(1, 7), len(calls))
        job = self._open()
        is_within = self._rng.random() < 0.5
        for place, said in enumerate(calls):
            if place <= begin:
                self._disk.step()
            if place == begin:
                # half of the faults come between an entry and the next one of the same call
                self._goes_at = self._written + (self._rng.randrange(1, 3) if is_within else 0)
                if not is_within:
                    self._go()
            if place == until:
                self._go()
                if is_ended:
                    job = self._end(job)
                else:
                    self._disk.mend()
            assert self._rig is not None
            speak(said, self._rig, self._listen)
        if until == len(calls):
            self._go()
            if is_ended:
                job = self._end(job)
            else:
                self._disk.mend()
        self._listen(3 * RETRY_S)
        is_safe = job.kept.is_safe
        job.close()
        return self._judge(is_safe=is_safe)

    def _go(self) -> None:
        """Let the disk fail, once."""
        if self._goes_at >= -1:
            self._goes_at = -2
            self._disk.go()

    def _open(self, taken_back: tuple[Entry, ...] = ()) -> Job:
        job = Job.open(self._disk.job, self._clock, taken_back)
        self._rig = rig = Rig(job, self._grammar, self._parser)
        rig.clock.now_s = START_S + self._since_s
        rig.speaker.on_say = self._hear
        add = job.kept._journal.__class__.add

        def counted(journal: Journal, entry: Entry) -> None:
            if self._disk.seconds:  # the crew goes on talking, and time passes
                assert job.kept._writing_since_s is not None
                rig.clock.now_s += self._disk.seconds
            add(journal, entry)
            self._written += 1
            if self._written == self._goes_at:
                self._go()

        job.kept.monotonic = rig.clock
        job.kept._journal.add = counted.__get__(job.kept._journal)  # type: ignore[method-assign]
        return job

    def _end(self, job: Job) -> Job:
        """End the program while the disk fails, mend it, and begin again."""
        assert self._rig is not None
        self._rig.loop.finish(0.0)
        path = spill(job.kept.newest, self._disk.job)
        assert path is not None
        job.close()
        self._since_s = self._rig.clock.now_s - START_S
        self._disk.mend()
        try:
            return self._open(read_spill(path))
        finally:
            path.unlink()

    def _clock(self) -> tuple[str, float]:
        now_s = START_S if self._rig is None else self._rig.clock.now_s
        return (BEGAN + timedelta(seconds=now_s)).isoformat(), now_s

    def _hear(self, saying: Saying) -> None:
        assert self._rig is not None
        job = self._rig.job
        if saying.tone in (Tone.STOP, Tone.WARN):
            self._warnings += 1
        elif saying.tone is Tone.QUESTION:
            self._asked += 1
        elif saying.tone in CONFIRMING:
            told = len(job.replay.calls)
            self._unsafe_words += not job.kept.is_safe
            if self._goes_at != -2:  # a folder that was just taken away cannot be read
                with Journal.open(self._disk.job, read_only=True) as journal:
                    self._unsafe_words += sum(1 for _ in journal.entries("call")) < told

    def _listen(self, seconds: float) -> None:
        """Let sound come in blocks of a fifth of a second: a day has many."""
        assert self._rig is not None
        rig = self._rig
        until_s = rig.clock.now_s + seconds
        while rig.clock.now_s < until_s:
            rig.hear(BLOCK_S)
            self._was_unsafe |= not rig.job.kept.is_safe
            rig.clock.now_s += 4 * BLOCK_S
            rig.ears.heard += 4 * SAMPLES

    def _judge(self, *, is_safe: bool) -> Tally:
        wanted = [each.words.strip() for each in self._day.calls]
        with Journal.open(self._disk.job, read_only=True) as journal:
            entries = tuple(journal.entries())
        again = replay(entries)
        found = [each.text for each in again.calls if each.outcome is not Outcome.IGNORED]
        lengths = [round(each.length_read_ft * 100) for each in again.segments]
        times = [entry.time_utc for entry in entries]
        warned = self._warnings > 0 or not self._was_unsafe
        good = (
            is_safe,
            not again.wrong and verify_job(self._disk.job).ok,
            lengths == self._day.lengths,
            times == sorted(times),
            warned,
            not self._unsafe_words,
            not self._asked,
        )
        if not all(good) or found != wanted:
            sys.stderr.write(f"{good} {lengths} {self._day.lengths}\n{found}\n{wanted}\n")
        return Tally(
            "",
            tried=1,
            survived=all(good) and found == wanted,
            lost=max(0, len(wanted) - len(found)),
            doubled=max(0, len(found) - len(wanted)),
            note="bit" if self._was_unsafe or self._warnings else "",
        )


def memory() -> str | None:
    """Name a file system in memory, where there is one: a thousand days need no real disk."""
    return "/dev/shm" if Path("/dev/shm").is_dir() else None  # noqa: S108


def torture(
    fault: str,
    make: Callable[[Path], AbstractContextManager[Disk]],
    count: int,
    seed: int = 1,
    *,
    is_ended: bool = False,
) -> Tally:
    """Run a fault many times."""
    grammar = read_grammar(DEFAULT_GRAMMAR)
    parser = Parser(grammar)
    survived = lost = doubled = bit = 0
    for number in range(count):
        rng = Random(f"{fault} {seed} {number}")  # noqa: S311 - faults, not secrets
        with tempfile.TemporaryDirectory(dir=memory()) as name, make(Path(name)) as disk:
            one = Run(disk, grammar, parser, rng).live(is_ended=is_ended)
        RIGS.clear()  # each holds megabytes
        survived, lost = survived + one.survived, lost + one.lost
        doubled, bit = doubled + one.doubled, bit + bool(one.note)
    told = f"{fault}; the program ended meanwhile" if is_ended else fault
    return Tally(told, count, survived, lost, doubled, f"the crew was warned in {bit:,}")


def _move(source: Path, target: Path) -> None:
    source.rename(target)


@contextmanager
def mounted(card: Path) -> Iterator[Path]:
    """Mount a small file system in memory."""
    card.mkdir()
    run("mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", card)
    try:
        yield card
    finally:
        run("umount", "-l", card)


def run(*words: str | Path) -> None:
    """Run a command of the system."""
    subprocess.run(words, check=True, capture_output=True)


def main() -> int:
    """Run all."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    faults = FAULTS | (MOUNTED if can_mount() else {})
    tallies = [
        torture(fault, make, count, is_ended=is_ended)
        for is_ended in (False, True)
        for fault, make in faults.items()
    ]
    return report("disk", tallies)


if __name__ == "__main__":
    sys.exit(main())
