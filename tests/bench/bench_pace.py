"""Benchmark of a crew's pace: questions, wrong pulls and seconds a pull, as fast as people call.

Two synthetic voices call pulls, each call so long after the other's end as a pace says. What they
hear of the program reaches their microphones too, weaker and later. Detector, recogniser, pairing,
journal, field loop and player are those of the command `listen`; the sound card and the clock are
simulated, so that a busy machine changes nothing: the recogniser answers `ANSWER_S` after it was
asked, and the output takes sound in blocks of 32 ms. The pace is that between the two halves of a
measurement; before "switch ends" and after it people take longer (`SWITCH_S`).

A pull that is not booked by its five calls is measured again, at most `TRIES` times, after
"measure again". Run with ``python -m tests.bench.bench_pace [PULLS] [script]``. With
``script`` each utterance is understood as what was said in it, so that the pace alone is measured.
"""

from __future__ import annotations

import json
import random
import sys
import tempfile
import time
from collections import deque
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import numpy.typing as npt

from calllog.audio import RATE_HZ, Utterance
from calllog.audio.events import Event, Sound
from calllog.commands.course_options import one_line, read_tape_to_call
from calllog.commands.engine import DEFAULT_ENGINE, load_words, make_recogniser
from calllog.decoding import NEWEST
from calllog.demo import load_day
from calllog.errors import AudioError
from calllog.live import FieldLoop, Settings
from calllog.panel import View
from calllog.readback import Player
from calllog.readback.voice import BuiltIn
from calllog.recognise import Hypothesis, Recogniser
from calllog.session import Course, Job, Recorder, Told
from calllog.session.live import LiveCrew
from calllog.spoken import spoken_forms
from calllog.values import Expectation, Kind, Outcome, Question, Role, Segment
from tests.bench.bench_endpoint import active
from tests.bench.bench_recognition import LEVEL
from tests.bench.simulated_air import BEGUN_S, SimulatedClock, SimulatedOutput
from tests.bench.voices import active_rms, synthesise
from tests.measured.results import keep

VOICES = ("flite-slt", "flite-rms")
"""Head and rear; kept aside from tuning. The program itself speaks with the second."""
PACES_S = (0.3, 0.8, 1.6, 3.0)
ECHOES = (0.03, 0.1)
"""Words arrive 30 dB weaker than they leave, well below the calls, or 20 dB, as loud as these."""
ECHO_S = 0.08
HISS = 5e-4
BLOCK = 512
SWITCH_S = (1.0, 2.0)
"""Before "switch ends" is said and after it: the walk itself is not counted."""
ANSWER_S = 0.31
"""From question to answer of the recogniser, median on two quiet cores (RESULTS.md)."""
PULLS = 5
TRIES = 3
SETTLE_S = 4.0
SEED = 1126
HEAD, REAR = 0, 1
INAUDIBLE = 1e-4

Samples = npt.NDArray[np.float32]


@dataclass
class Hearing:
    """The recogniser, its answers when they would have come."""

    recogniser: Recogniser | Script
    clock: SimulatedClock
    answer_s: float
    asked: int = 0
    free_s: float = 0.0
    ready: deque[tuple[float, int, tuple[Hypothesis, ...]]] = field(default_factory=deque)

    def ask(self, utterance: Utterance, expects: Expectation) -> int:
        """Ask as of a worker."""
        self.asked += 1
        self.free_s = max(self.free_s, self.clock.now_s) + self.answer_s
        heard = self.recogniser.recognise(utterance, expects)
        self.ready.append((self.free_s, self.asked, heard))
        return self.asked

    def answers(self, timeout_s: float = 0.0) -> tuple[tuple[int, tuple[Hypothesis, ...]], ...]:
        """Give those whose time has come."""
        came = []
        while self.ready and self.ready[0][0] <= self.clock.now_s + timeout_s:
            _, number, heard = self.ready.popleft()
            came.append((number, heard))
        return tuple(came)


@dataclass
class Script:
    """Understands each utterance as what was said in it."""

    clock: SimulatedClock
    identity: str = "script"
    said: list[tuple[int, float, float, str]] = field(default_factory=list)
    """Channel, begin and end on the clock, words."""

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Give the words of all that was said within an utterance."""
        del expects
        begin_s, end_s = (at + BEGUN_S for at in (utterance.start_s, utterance.end_s))
        words = [
            words
            for channel, begun_s, over_s, words in self.said
            if channel == utterance.channel and begun_s < end_s and begin_s < over_s
        ]
        return (Hypothesis(" ".join(words), 1.0 if words else 0.0),)


@dataclass
class Microphone:
    """What the microphones give next."""

    waiting: deque[Event] = field(default_factory=deque)

    def read(self, timeout_s: float) -> Event | None:
        """Give it."""
        del timeout_s
        return self.waiting.popleft() if self.waiting else None


class Screen:
    """Shows nothing."""

    def show(self, view: View) -> None:
        """Pass it over."""


@dataclass
class Counted:
    """What is measured at one pace."""

    pulls: int = 0
    booked: int = 0
    wrong: int = 0
    asked: int = 0
    said_under: int = 0
    missed: int = 0
    """Calls of which nothing became."""
    tries: int = 0
    seconds: list[float] = field(default_factory=list)
    to_sound_s: list[float] = field(default_factory=list)

    def figures(self) -> dict[str, float | int | None]:
        """Sum them up."""
        return {
            "pulls": self.pulls,
            "booked": self.booked,
            "wrong": self.wrong,
            "questions": self.asked,
            "of these for words over the read-back": self.said_under,
            "calls of which nothing became": self.missed,
            "measured again": self.tries - self.pulls,
            "seconds a pull, median": _median(self.seconds),
            "seconds a pull, most": round(max(self.seconds), 1) if self.seconds else None,
            "end of speech to first sound, median [ms]": _median(self.to_sound_s, 1000.0),
        }


def _median(values: list[float], scale: float = 1.0) -> float | None:
    return round(float(np.median(values)) * scale, 1) if values else None


class Field:
    """A crew, its program, and the air between them."""

    def __init__(
        self, job: Job, course: Course, recogniser: Recogniser | None, echo: float
    ) -> None:
        self._echo = echo
        self.clock, self.output, self.microphone = SimulatedClock(), SimulatedOutput(), Microphone()
        self.told: list[Told] = []
        self.script = Script(self.clock)
        grammar, parser = load_words()
        self._rng = np.random.default_rng(SEED)
        self._air = np.zeros(round(ECHO_S * RATE_HZ), np.float32)
        self.sounded_s: list[float] = []
        """When each block left in which the program was audible."""

        def make_crew(
            on_told: Callable[[Told], None],
            on_window: Callable[[Samples, tuple[bool, ...]], None],
            on_unkept: Callable[[AudioError], None],
        ) -> LiveCrew:
            def tell(told: Told) -> None:
                self.told.append(told)
                on_told(told)

            recorder = Recorder(
                job,
                course,
                parser,
                source="live-1",
                roles=(Role.HEAD, Role.REAR),
                keeps_clips=False,
                on_told=tell,
                on_unkept=on_unkept,
                is_live=True,
            )
            hearing = Hearing(recogniser or self.script, self.clock, ANSWER_S)
            return LiveCrew(recorder, channels=2, hearing=hearing, on_window=on_window)

        self.player = Player(BuiltIn(), backend=self.output, clock=self.clock)
        self.loop = FieldLoop(
            make_crew,
            grammar=grammar,
            settings=Settings(),
            microphone=self.microphone,
            microphone_names=("head", "rear"),
            speaker=self.player,
            screen=Screen(),
            clock=self.clock,
        )

    def pass_by(self, spoken: Samples | None, channel: int, blocks: int) -> None:
        """Let blocks pass, in which one may speak."""
        for index in range(blocks):
            while not self.player.is_rendered:
                time.sleep(0.001)
            out = self.output.fill(BLOCK, RATE_HZ, 0.03)
            if float(np.abs(out).max()) > INAUDIBLE:
                self.sounded_s.append(self.clock.now_s)
            self._air = np.concatenate((self._air, out))
            echo, self._air = self._air[:BLOCK], self._air[BLOCK:]
            sound = HISS * self._rng.standard_normal((BLOCK, 2)) + self._echo * echo[:, np.newaxis]
            if spoken is not None:
                part = spoken[index * BLOCK : (index + 1) * BLOCK]
                sound[: part.size, channel] += part
            begin_s = self.clock.now_s
            self.clock.now_s += BLOCK / RATE_HZ
            self.microphone.waiting.append(Sound(sound.astype(np.float32), begin_s))
            self.loop.turn()

    def wait(self, seconds: float) -> None:
        """Let time pass in which nobody speaks."""
        self.pass_by(None, HEAD, round(seconds * RATE_HZ / BLOCK))

    def say(self, words: str, channel: int) -> float:
        """Let one say something; give when it ends."""
        spoken = active(synthesise(words, VOICES[channel]))
        spoken = spoken * np.float32(LEVEL / active_rms(spoken))
        begin_s, end_s = self.clock.now_s, self.clock.now_s + spoken.size / RATE_HZ
        self.script.said.append((channel, begin_s, end_s, words))
        self.pass_by(spoken, channel, -(-spoken.size // BLOCK))
        return self.clock.now_s


def measure(
    pace_s: float, pulls: int, recogniser: Recogniser | None, echo: float = ECHOES[0]
) -> Counted:
    """Let the crew measure pulls at one pace."""
    draw = random.Random(SEED)  # noqa: S311 - which lengths are drawn is no secret
    line = load_day().lines[0]
    course = one_line(read_tape_to_call(line.tape, datetime.now(UTC).date()), line.name)
    rules = course.rules.model_copy(update={"decoding": NEWEST})
    course = Course(course.tapes, course.lines, rules)
    counted = Counted()
    with tempfile.TemporaryDirectory() as folder, Job.open(Path(folder) / "job") as job:
        course.go_on(job)
        crew = Field(job, course, recogniser, echo)
        crew.wait(1.0)
        crew.say("add tape", HEAD)
        crew.wait(SETTLE_S)
        for _ in range(pulls):
            _measure_pull(crew, job, pace_s, draw, counted)
        crew.player.close()
    return counted


def _measure_pull(
    crew: Field, job: Job, pace_s: float, draw: random.Random, counted: Counted
) -> None:
    grammar, _ = load_words()
    feet, hundredths = draw.randrange(100, 9900, 100), draw.randrange(10, 99)
    whole = draw.choice(spoken_forms(grammar, Kind.WHOLE, feet))
    fraction = draw.choice(spoken_forms(grammar, Kind.FRACTION, hundredths))
    calls = (
        (whole, REAR),
        (fraction, HEAD),
        ("switch ends", HEAD),
        (whole, HEAD),
        (fraction, REAR),
    )
    counted.pulls += 1
    begun_s, known = crew.clock.now_s, len(job.replay.segments)
    for number in range(TRIES):
        counted.tries += 1
        heard = len(crew.told)
        if number:
            crew.say("measure again", HEAD)
            crew.wait(pace_s)
        ends = []
        for (words, channel), gap_s in zip(
            calls, (pace_s, SWITCH_S[0], SWITCH_S[1], pace_s, 0.0), strict=True
        ):
            ends.append(crew.say(words, channel))
            crew.wait(gap_s)
        crew.wait(SETTLE_S)
        for end_s in ends:
            after = [at - end_s for at in crew.sounded_s if at >= end_s]
            counted.to_sound_s += after[:1]
        told = crew.told[heard:]
        questions = [e for each in told for e in each.consequences if isinstance(e, Question)]
        counted.asked += len(questions)
        counted.said_under += sum(e.asks.code == "said-under-voice" for e in questions)
        taken = sum(each.call.outcome is not Outcome.IGNORED for each in told)
        counted.missed += max(0, len(calls) + bool(number) - taken)
        if len(job.replay.segments) > known:
            break
    booked: list[Segment] = job.replay.segments[known:]
    counted.booked += len(booked)
    counted.wrong += sum(round(each.length_read_ft * 100) != feet + hundredths for each in booked)
    counted.seconds += [crew.clock.now_s - SETTLE_S - begun_s] * bool(booked)


def main(pulls: int = PULLS, *, is_script: bool = False) -> None:
    """Print the figures of each pace."""
    with ExitStack() as opened:
        recogniser = None
        if not is_script:
            recogniser = opened.enter_context(make_recogniser(DEFAULT_ENGINE, None))
        paces = {}
        for echo in ECHOES:
            for pace_s in PACES_S:
                name = f"{pace_s} s, words arrive by {20 * np.log10(echo):.0f} dB"
                paces[name] = measure(pace_s, pulls, recogniser, echo).figures()
                sys.stderr.write(f"{name}: {json.dumps(paces[name])}\n")
    result = {
        "understood by": "its script" if is_script else "the default listener",
        "recogniser answers after [s]": ANSWER_S,
        "paces": paces,
    }
    keep("pace", result, n=f"{pulls} pulls a pace", voices=VOICES)


if __name__ == "__main__":
    main(*(int(each) for each in sys.argv[1:2]), is_script="script" in sys.argv[2:])
