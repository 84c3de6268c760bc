"""Clocks that are set, lost or slept under a live crew: ``python -m tests.torture.clock [COUNT]``.

Each run is a short day of a field loop about fake devices and a real job, with several changes of
the computer's clocks at random moments, between calls or between a call and what follows from it.
A run is survived if the calls are in their order, each once, the pulls are those that were called,
intervals within a sitting are right, the chain verifies, and each jump is noted once, none else.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from random import Random

from calllog.journal import Entry, Journal
from calllog.live.safety import RETRY_S
from calllog.office.summary import verify_job
from calllog.resources import DEFAULT_GRAMMAR, read_grammar
from calllog.session import Job, replay
from calllog.session.clock import JUMP_S
from calllog.spoken import Grammar, Parser
from calllog.values import Outcome
from tests.rig import BLOCK_S, RIGS, SAMPLES, START_S, Rig
from tests.torture.disk import Day, make_day, memory, speak
from tests.torture.tally import Tally, report

BEGAN = datetime(2131, 5, 4, 8, tzinfo=UTC)
HOUR_S = 3_600.0
CHANGES = 3
TOLERANCE_S = 0.002


@dataclass
class Clocks:
    """The computer's clocks; `passed_s` is the true time of the day."""

    passed_s: float = 0.0
    error_s: float = 0.0
    """Of the time of day."""
    since_s: float = 5_000.0
    """What the monotonic clock showed at the day's beginning."""
    zone_min: int = 0

    def __call__(self) -> tuple[str, float]:
        """Read them."""
        shown = BEGAN + timedelta(seconds=self.passed_s + self.error_s)
        zone = timedelta(minutes=self.zone_min)
        local = (shown + zone).replace(tzinfo=None).isoformat(timespec="milliseconds")
        sign = "+" if self.zone_min >= 0 else "-"
        hours, minutes = divmod(abs(self.zone_min), 60)
        return f"{local}{sign}{hours:02}:{minutes:02}", self.passed_s + self.since_s


@dataclass(frozen=True, slots=True)
class Change:
    """What befalls the clocks."""

    befall: Callable[[Clocks, Random], None]
    is_restart: bool = False
    """The program is begun again, with a monotonic clock that starts anew."""


def forward(clocks: Clocks, rng: Random) -> None:
    """Set the clock forward, by seconds to days."""
    clocks.error_s += rng.choice((3.0, 60.0, HOUR_S, 40 * HOUR_S)) * rng.uniform(1.0, 2.0)


def back(clocks: Clocks, rng: Random) -> None:
    """Set the clock back, by seconds to days."""
    clocks.error_s -= rng.choice((3.0, 60.0, HOUR_S, 40 * HOUR_S)) * rng.uniform(1.0, 2.0)


def small(clocks: Clocks, rng: Random) -> None:
    """Add or leave out a leap second, or set the clock by less than is a jump."""
    clocks.error_s += rng.choice((-1.0, 1.0, 0.4, -0.4))


def zone(clocks: Clocks, rng: Random) -> None:
    """Cross into another zone."""
    clocks.zone_min = rng.choice((-570, -210, 0, 330, 345, 840))


def lost(clocks: Clocks, rng: Random) -> None:
    """Start at 1970, as without a battery."""
    start = datetime(1970, 1, 1, tzinfo=UTC)
    clocks.error_s = (start - BEGAN).total_seconds() - clocks.passed_s + rng.uniform(0.0, 60.0)


def found(clocks: Clocks, rng: Random) -> None:
    """Start at 1970, and be set once the network is there."""
    if clocks.error_s < -HOUR_S * 1_000:
        clocks.error_s = 0.0
    else:
        lost(clocks, rng)


def reboot(clocks: Clocks, rng: Random) -> None:
    """Start the monotonic clock anew; the time of day is kept."""
    clocks.passed_s += rng.uniform(5.0, 20 * HOUR_S)
    clocks.since_s = rng.uniform(1.0, 100.0) - clocks.passed_s


def reboot_without(clocks: Clocks, rng: Random) -> None:
    """Start both clocks anew."""
    reboot(clocks, rng)
    lost(clocks, rng)


CHANGED: dict[str, Change] = {
    "clock set forward": Change(forward),
    "clock set back": Change(back),
    "leap second, small steps": Change(small),
    "zone changed": Change(zone),
    "no clock, then set by the network": Change(found),
    "computer begun again": Change(reboot, is_restart=True),
    "computer without a clock begun again": Change(reboot_without, is_restart=True),
}


class Run:
    """One day with some changes of its clocks."""

    def __init__(self, folder: Path, grammar: Grammar, parser: Parser, rng: Random) -> None:
        self._folder, self._grammar, self._parser, self._rng = folder, grammar, parser, rng
        self._clocks = Clocks()
        self._day: Day = make_day(grammar, rng)
        self._sittings = [0]
        """How many entries stood at each beginning."""
        self._rig = self._open()

    def live(self, change: Change) -> Tally:
        """Work through the day."""
        calls = self._day.calls
        places = set(self._rng.sample(range(1, len(calls)), CHANGES))
        for place, said in enumerate(calls):
            if place in places:
                self._change(change)
            speak(said, self._rig, self._listen)
        self._listen(3 * RETRY_S)
        self._rig.job.close()
        return self._judge()

    def _open(self) -> Rig:
        job = Job.open(self._folder, self._clocks)
        rig = Rig(job, self._grammar, self._parser)
        rig.clock.now_s = START_S
        return rig

    def _change(self, change: Change) -> None:
        if change.is_restart:
            self._rig.loop.finish(0.0)
            self._rig.job.close()
            change.befall(self._clocks, self._rng)
            with Journal.open(self._folder, read_only=True) as journal:
                self._sittings.append(sum(1 for _ in journal.entries()))
            self._rig = self._open()
        elif self._rng.random() < 0.5:
            change.befall(self._clocks, self._rng)
        else:  # at the next write: between a call and what follows from it, or before the call
            kept, add = self._rig.job.kept, self._rig.job.kept._journal.add

            def once(entry: Entry) -> None:
                add(entry)
                kept._journal.add = add  # type: ignore[method-assign]
                change.befall(self._clocks, self._rng)

            kept._journal.add = once  # type: ignore[method-assign]

    def _listen(self, seconds: float) -> None:
        rig = self._rig
        until_s = rig.clock.now_s + seconds
        while rig.clock.now_s < until_s:
            rig.hear(BLOCK_S)
            rig.clock.now_s += 4 * BLOCK_S
            rig.ears.heard += 4 * SAMPLES
            self._clocks.passed_s += 5 * BLOCK_S

    def _judge(self) -> Tally:
        wanted = [each.words.strip() for each in self._day.calls]
        with Journal.open(self._folder, read_only=True) as journal:
            entries = tuple(journal.entries())
        again = replay(entries)
        found = [each.text for each in again.calls if each.outcome is not Outcome.IGNORED]
        lengths = [round(each.length_read_ft * 100) for each in again.segments]
        ends = [*self._sittings[1:], len(entries)]
        sittings = [entries[a:b] for a, b in zip(self._sittings, ends, strict=True)]
        good = (
            not again.wrong and verify_job(self._folder).ok,
            lengths == self._day.lengths,
            all(map(_is_steady, sittings)),
            all(self._is_noted(each, number) for number, each in enumerate(sittings)),
        )
        is_good = all(good) and found == wanted
        if not is_good:
            sys.stderr.write(f"{good} {lengths} {self._day.lengths}\n{found}\n{wanted}\n")
        more, less = len(found) - len(wanted), len(wanted) - len(found)
        return Tally("", 1, int(is_good), max(0, less), max(0, more))

    def _is_noted(self, sitting: tuple[Entry, ...], number: int) -> bool:
        """Tell whether exactly the jumps of a sitting are noted, each where it was."""
        noted = [dict(each.content)["jumped_s"] for each in sitting if each.kind == "clock"]  # type: ignore[arg-type]
        looked = [each for each in sitting if each.kind in LOOKED]
        offsets = [_offset_s(each) for each in looked]
        jumps = [b - a for a, b in pairwise(offsets)]
        if number:
            before = entries_before(self._folder, sitting[0].sequence)
            jumps.insert(0, min(0.0, _utc_s(looked[0]) - _utc_s(before)))
        wanted = [jump for jump in jumps if abs(jump) > JUMP_S]
        return len(noted) == len(wanted) and all(
            abs(float(str(one)) - other) < TOLERANCE_S
            for one, other in zip(noted, wanted, strict=True)
        )


LOOKED = ("call", "line", "tape", "sitting", "disk_failed", "disk_back", "sound_warning")
"""Entries before which the clocks are looked at."""


def entries_before(folder: Path, sequence: int) -> Entry:
    """Give the entry before another one."""
    with Journal.open(folder, read_only=True) as journal:
        return tuple(journal.entries())[sequence - 2]


def _is_steady(sitting: tuple[Entry, ...]) -> bool:
    """Tell whether the monotonic clock goes on, by no more than a crew waits."""
    since = [each.monotonic_s for each in sitting]
    return all(0.0 <= b - a < 10.0 for a, b in pairwise(since))


def _utc_s(entry: Entry) -> float:
    return datetime.fromisoformat(entry.time_utc).timestamp()


def _offset_s(entry: Entry) -> float:
    return _utc_s(entry) - entry.monotonic_s


def torture(name: str, change: Change, count: int, seed: int = 1) -> Tally:
    """Change the clocks of many days."""
    grammar = read_grammar(DEFAULT_GRAMMAR)
    parser = Parser(grammar)
    survived = lost_calls = doubled = 0
    for number in range(count):
        rng = Random(f"{name} {seed} {number}")  # noqa: S311 - faults, not secrets
        with tempfile.TemporaryDirectory(dir=memory()) as folder:
            one = Run(Path(folder) / "job", grammar, parser, rng).live(change)
        RIGS.clear()  # each holds megabytes
        survived, lost_calls = survived + one.survived, lost_calls + one.lost
        doubled += one.doubled
    return Tally(name, count, survived, lost_calls, doubled, f"{CHANGES} in each day")


def main() -> int:
    """Run all."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    return report("clock", (torture(name, each, count) for name, each in CHANGED.items()))


if __name__ == "__main__":
    sys.exit(main())
