"""Benchmark of a long day: hours of crew sound through the field loop, and what memory they take.

The demo's three recordings, with their wind, are played again and again into the live crew by a
microphone that waits for nobody: detector, endpointer, meter, journal, clips, panel, read-back and
the recogniser's process are the real ones. What sounds the same under the same expectation is
heard once; after `HEARD_S` only what is new is given to the recogniser, so that a day takes
minutes. Memory is sampled each half hour of sound; what grows is told of a process's own, since the
system takes and gives what was read of files as it likes. The calls of a job are kept in memory by
design; what they need is measured apart, by replaying the journal in a fresh process, and taken
off.
Run with ``python -m tests.bench.bench_endurance [hours]``.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from functools import partial
from itertools import cycle
from pathlib import Path
from typing import Any

import numpy as np
from rich.console import Console

from calllog.audio import RATE_HZ, Recording, Utterance
from calllog.audio.endpoint import Samples
from calllog.audio.events import Sound
from calllog.audio.outputs import Fill
from calllog.commands.engine import DEFAULT_ENGINE, load_words, make_recogniser
from calllog.demo import load_day
from calllog.errors import AudioError
from calllog.journal import Journal
from calllog.live import FieldLoop, Settings
from calllog.pairing import Phase
from calllog.panel import Panel
from calllog.readback import Player, choose_voice
from calllog.recognise import Hypothesis
from calllog.recognise.worker import Worker
from calllog.session import Course, Job, Recorder, Told, replay
from calllog.session.live import LiveCrew
from calllog.tape import load_certificate
from calllog.values import Choice, Decision, Expectation, Role
from tests.consenting import agree
from tests.crew import settings
from tests.measured.results import keep

HOURS = 8.0
PARTS = ("endurance", "eight-hours")
"""Of the benchmarks, and of the torture."""
HEARD_S = 600.0
"""How long every utterance is given to the recogniser, heard before or not [s of sound]."""
SAMPLE_S = 1800.0
SETTLED_S = 3600.0
"""Memory may grow until then: buffers fill, and libraries are loaded [s of sound]."""
BLOCK = 512
OUTPUT_HZ = 48_000
ALL_MB = "all, shared parts once [MB]"
ROLES = (Role.HEAD, Role.REAR)
ANSWER_S = 30.0


class Day:
    """The crew's sound without end, and the clock of everything: time is how much was given out."""

    def __init__(self, paths: tuple[Path, ...]) -> None:
        self.rounds = 0
        """Recordings played to their end."""
        self._samples = 0
        self._sound = self._played([self._read(path) for path in paths])
        self.hooks: list[Callable[[int], object]] = []
        """Told how many samples have passed, such as the loudspeaker."""

    @staticmethod
    def _read(path: Path) -> Samples:
        """Read a recording, up to a whole number of blocks, so that it sounds alike each time."""
        sound = np.concatenate(list(Recording(path).blocks()))
        return sound[: len(sound) // BLOCK * BLOCK]

    def _played(self, recordings: list[Samples]) -> Iterator[Samples]:
        for sound in cycle(recordings):
            for begin in range(0, len(sound), BLOCK):
                yield sound[begin : begin + BLOCK]
            self.rounds += 1

    def now_s(self) -> float:
        """Tell the time [s]."""
        return self._samples / RATE_HZ

    def read(self, timeout_s: float) -> Sound:
        """Give the next block at once (see `calllog.live.loop.SoundSource`)."""
        del timeout_s
        begin_s = self.now_s()
        block = next(self._sound)
        self._samples += len(block)
        for hook in self.hooks:
            hook(len(block))
        return Sound(block, begin_s)


class Loudspeaker:
    """An output that takes as much sound as the crew's microphones give."""

    rate_hz = OUTPUT_HZ
    is_live = True

    def __init__(self) -> None:
        self._fill: Fill | None = None

    def open(self, output: str | None, fill: Fill) -> Loudspeaker:
        """Open it (see `calllog.audio.outputs.Backend`)."""
        del output
        self._fill = fill
        return self

    def pass_time(self, samples: int) -> None:
        """Take the sound of as long as so many samples at 16 kHz last."""
        if self._fill is not None:
            self._fill(samples * OUTPUT_HZ // RATE_HZ, OUTPUT_HZ, 0.03)

    def close(self) -> None:
        """Hold nothing."""
        self._fill = None


class Remembering:
    """Hears through the worker, and remembers what the same sound was taken for.

    Args:
        worker: the recogniser.
        clock: tells how much sound has passed [s].
    """

    def __init__(self, worker: Worker, clock: Callable[[], float]) -> None:
        self._worker = worker
        self._clock = clock
        self._known: dict[bytes, tuple[Hypothesis, ...]] = {}
        self._ready: list[tuple[int, tuple[Hypothesis, ...]]] = []
        self.asked = self.heard = 0
        """How often it was asked, and how often the worker was."""

    def ask(self, utterance: Utterance, expects: Expectation) -> int:
        """Hear an utterance at once (see `calllog.session.live.Hearing`)."""
        self.asked += 1
        key = hashlib.sha256(utterance.samples.tobytes() + expects.value.encode()).digest()
        if key not in self._known or self._clock() < HEARD_S:
            self.heard += 1
            self._worker.ask(utterance, expects)
            ((_, self._known[key]),) = self._worker.answers(ANSWER_S)
        self._ready.append((self.asked, self._known[key]))
        return self.asked

    def answers(self, timeout_s: float = 0.0) -> tuple[tuple[int, tuple[Hypothesis, ...]], ...]:
        """Give the answers that have come."""
        del timeout_s
        ready, self._ready = tuple(self._ready), []
        return ready


def go_on(job: Job, course: Course, line: int) -> None:
    """Begin the next line as the crew would between two recordings, whatever was misheard."""
    while job.state.phase is Phase.STOPPED:
        job.record(Decision(pull=job.state.pull, choice=Choice.AGAIN, by="bench"))
    course.begin(job, line, line)


def memory_mb(process: int) -> dict[str, float]:
    """Tell what a process has in memory, its share where it is in others' too, and its own [MB]."""
    rows = Path(f"/proc/{process}/smaps_rollup").read_text("ascii").splitlines()[1:]
    kb = {row.split(":")[0]: int(row.split()[1]) for row in rows}
    found = {"resident": kb["Rss"], "share": kb["Pss"], "own": kb["Anonymous"]}
    return {f"{name} [MB]": each / 1024 for name, each in found.items()}


def below(process: int) -> list[int]:
    """List the processes that a process began, and those that they began."""
    found = Path(f"/proc/{process}/task/{process}/children").read_text("ascii").split()
    return [each for child in map(int, found) for each in (child, *below(child))]


def sample() -> dict[str, Any]:
    """Sample the memory of the program and of all that it began."""
    program = memory_mb(os.getpid())
    others = [memory_mb(each) for each in below(os.getpid())]
    total = program["share [MB]"] + sum(each["share [MB]"] for each in others)
    return {
        "program [MB]": round(program["resident [MB]"], 1),
        "recogniser [MB]": [round(each["resident [MB]"], 1) for each in others],
        "program, own [MB]": round(program["own [MB]"], 1),
        "recogniser, own [MB]": [round(each["own [MB]"], 1) for each in others],
        ALL_MB: round(total, 1),
    }


def record_kb(folder: Path) -> None:
    """Replay a job in this fresh process; print what that keeps resident for each call [kB]."""
    with Journal.open(folder, read_only=True) as journal:
        for _ in journal.entries():
            pass
        before = memory_mb(os.getpid())["own [MB]"]
        kept = replay(journal.entries())
        after = memory_mb(os.getpid())["own [MB]"]
    sys.stdout.write(f"{(after - before) * 1024 / max(1, len(kept.calls)):.2f}\n")


def work(folder: Path, hours: float) -> dict[str, Any]:
    """Let the crew work; give the figures."""
    lines = load_day().lines
    tapes = tuple(load_certificate(each.tape.read_text("utf-8"), each.name) for each in lines)
    ends = tuple((each.name.split(":")[0], each.name.split(":")[1]) for each in lines)
    course = Course(tapes, ends, settings())
    grammar, parser = load_words()
    day = Day(tuple(each.recording for each in lines))
    output = Loudspeaker()
    samples: list[dict[str, Any]] = []
    begin = time.perf_counter()
    with ExitStack() as devices:
        job = devices.enter_context(Job.open(folder))
        course.go_on(agree(job))
        make = partial(make_recogniser, DEFAULT_ENGINE, None)
        worker = devices.enter_context(Worker(make))
        hearing = Remembering(worker, day.now_s)
        voice = choose_voice("built-in")
        speaker = devices.enter_context(Player(voice, backend=output, clock=day.now_s))
        day.hooks.append(output.pass_time)
        console = Console(
            file=devices.enter_context(Path(os.devnull).open("w")), width=80, height=24
        )
        console._force_terminal = True

        def make_crew(
            on_told: Callable[[Told], None],
            on_window: Callable[[Samples, tuple[bool, ...]], None],
            on_unkept: Callable[[AudioError], None],
        ) -> LiveCrew:
            recorder = Recorder(
                job,
                course,
                parser,
                source="live-1",
                roles=ROLES,
                keeps_clips=True,
                on_told=on_told,
                on_unkept=on_unkept,
            )
            return LiveCrew(recorder, channels=2, hearing=hearing, on_window=on_window)

        loop = FieldLoop(
            make_crew,
            grammar=grammar,
            settings=Settings(is_headset=True),
            microphone=day,
            microphone_names=("head", "rear"),
            speaker=speaker,
            screen=devices.enter_context(Panel(console)),
            clock=day.now_s,
        )
        rounds = 0
        while day.now_s() < hours * 3600.0:
            loop.turn()
            if day.rounds != rounds:
                rounds = day.rounds
                go_on(job, course, rounds % len(lines))
            if day.now_s() >= SAMPLE_S * len(samples):
                samples.append(
                    {
                        "sound [h]": round(day.now_s() / 3600.0, 2),
                        **sample(),
                        "calls": len(job.replay.calls),
                        "wall [s]": round(time.perf_counter() - begin, 1),
                    }
                )
        loop.finish(1.0)
        calls, segments = len(job.replay.calls), len(job.replay.segments)
    return {
        "hours of sound": round(day.now_s() / 3600.0, 2),
        "calls": calls,
        "segments": segments,
        "asked, and heard by the recogniser": [hearing.asked, hearing.heard],
        "wall [s]": round(time.perf_counter() - begin, 1),
        "samples": samples,
    }


def growth(figures: dict[str, Any], kb_a_call: float) -> dict[str, float]:
    """Tell how much memory grew after the first hour, and how much of that the calls need [MB]."""
    settled = [each for each in figures["samples"] if each["sound [h]"] * 3600.0 >= SETTLED_S]
    if len(settled) < 2:
        return {}
    first, last = settled[0], settled[-1]
    calls_mb = (last["calls"] - first["calls"]) * kb_a_call / 1024
    program_mb = last["program, own [MB]"] - first["program, own [MB]"]
    return {
        "program": round(program_mb, 1),
        "of it calls": round(calls_mb, 1),
        "beyond them": round(program_mb - calls_mb, 1),
        "recogniser": round(
            sum(last["recogniser, own [MB]"]) - sum(first["recogniser, own [MB]"]), 1
        ),
    }


def main(hours: float, part: str = PARTS[0]) -> None:
    """Print the figures of a day."""
    with tempfile.TemporaryDirectory(prefix="calllog-") as name:
        figures = work(Path(name) / "job", hours)
        command = [sys.executable, "-m", "tests.bench.bench_endurance", "keep", f"{name}/job"]
        done = subprocess.run(command, check=True, capture_output=True, text=True)
        kb_a_call = float(done.stdout)
    result = {
        **{name: each for name, each in figures.items() if name != "samples"},
        "all processes at most [MB]": max(each[ALL_MB] for each in figures["samples"]),
        "each half hour": {f"{each['sound [h]']:.1f} h": each for each in figures["samples"]},
        "kept for each call [kB]": kb_a_call,
        "growth after the first hour [MB]": growth(figures, kb_a_call),
    }
    n = f"{figures['calls']} calls, {figures['segments']} segments"
    keep(part, result, n=n)


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["keep", job]:
            record_kb(Path(job))
        case [length, *part]:
            main(float(length), *part)
        case _:
            main(HOURS)
