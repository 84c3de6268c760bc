"""The air between a crew and the program, in simulated time: a busy machine changes nothing; shell.

Detector, recogniser, pairing, journal, field loop and player are those of the command `listen`;
sound card and clock are simulated. The recogniser answers after what it takes on two quiet cores,
sound comes in and goes out as late as PulseAudio was seen to bring it. What is said, heard and
typed goes by the interface of `tests.bench.live_air`, so that one crew works in either.
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import TracebackType
from typing import Self, cast

import numpy as np
import soundfile

from calllog.audio import RATE_HZ, Utterance
from calllog.audio.endpoint import Samples
from calllog.audio.events import Event, Sound
from calllog.audio.outputs import Fill, OutputStream
from calllog.commands.course_options import one_line, read_tape_to_call
from calllog.commands.engine import load_words
from calllog.commands.told import caution
from calllog.decoding import NEWEST
from calllog.errors import AudioError
from calllog.live import FieldLoop, Settings
from calllog.panel import View
from calllog.readback import Player
from calllog.readback.voice import BuiltIn
from calllog.recognise import Hypothesis, Recogniser
from calllog.session import Course, Job, Recorder, Told
from calllog.session.live import LiveCrew
from calllog.tape import how_it_reads
from calllog.values import Expectation, Role
from tests.bench.live_air import BELOW_PEAK_DB, FRAME, HISS, PAUSE_S, SENTENCE_S, SILENT, Said

BLOCK = 512
"""Samples that the sound card gives and takes at once: 32 ms."""
IN_S = 0.03
"""From the capture of a block's last sample to the program."""
OUT_S = 0.04
"""From the moment that the output takes sound to the air, as it states."""
ECHO_S = 0.06
"""How much later the microphones have it: two sound cards' buffers."""
ANSWER_S, ANSWER_EACH_S = 0.13, 0.05
"""What the encoder model takes for an utterance and for each second of it, on quiet cores."""
BEGUN_S = 1000.0
TERMINAL = "terminal"
_UNSEEN = cast("View", None)
"""Nobody looks at the screen."""


@dataclass
class SimulatedClock:
    """Simulated time [s]."""

    now_s: float = BEGUN_S

    def __call__(self) -> float:
        """Read it."""
        return self.now_s

    def of_job(self) -> tuple[str, float]:
        """Read it as a job's clock."""
        begun = datetime(2026, 1, 1, tzinfo=UTC)
        now = begun + timedelta(seconds=self.now_s)
        return now.isoformat(timespec="milliseconds"), round(self.now_s, 3)


@dataclass
class SimulatedOutput:
    """A loudspeaker."""

    fill: Fill = field(init=False)
    rate_hz: int = RATE_HZ
    is_live: bool = True

    def open(self, output: str | None, fill: Fill) -> OutputStream:
        """Open it."""
        del output
        self.fill = fill
        return self

    def close(self) -> None:
        """Hold nothing."""


@dataclass
class TimedHearing:
    """The recogniser, its answers when they would have come."""

    recogniser: Recogniser
    clock: SimulatedClock
    asked: int = 0
    free_s: float = 0.0
    ready: deque[tuple[float, int, tuple[Hypothesis, ...]]] = field(default_factory=deque)

    def ask(self, utterance: Utterance, expects: Expectation) -> int:
        """Ask as of a worker."""
        self.asked += 1
        takes_s = ANSWER_S + ANSWER_EACH_S * utterance.samples.size / RATE_HZ
        self.free_s = max(self.free_s, self.clock.now_s) + takes_s
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
class SimulatedMicrophone:
    """What the microphones give next."""

    clock: SimulatedClock
    waiting: deque[tuple[float, Event]] = field(default_factory=deque)

    def read(self, timeout_s: float) -> Event | None:
        """Give what has arrived."""
        del timeout_s
        if not self.waiting or self.waiting[0][0] > self.clock.now_s:
            return None
        return self.waiting.popleft()[1]


@dataclass
class SimulatedKeys:
    """The keys of the terminal, typed by the crew."""

    name: str = TERMINAL
    waiting: deque[str] = field(default_factory=deque)

    def read(self, timeout_s: float) -> str | None:
        """Give the next key."""
        del timeout_s
        return self.waiting.popleft() if self.waiting else None

    def type(self, keys: str) -> None:
        """Type them."""
        self.waiting.extend(keys)

    def close(self) -> None:
        """Hold nothing."""


class Unseen:
    """Shows nothing."""

    def show(self, view: View) -> None:
        """Pass it over."""


@dataclass
class SimulatedEar:
    """When the program was last loud, on the clock."""

    loud_s: float = 0.0


class SimulatedAir:
    """A crew, its program, and the air between them; used in a ``with`` block.

    Args:
        recogniser: what hears, as `make_recogniser` makes it.
        tape: the certificate's file.
        line: its name.
        folder: where the job goes.
        noise: what is heard in the microphones over and over (see `tests.bench.live_air.Air`).
        echo_db: how much weaker the program arrives at the microphones than it leaves; None for
            earphones.
    """

    def __init__(
        self,
        recogniser: Recogniser,
        tape: Path,
        line: str,
        folder: Path,
        noise: Samples | None,
        echo_db: float | None,
    ) -> None:
        self.recogniser, self._tape, self._line, self._folder = recogniser, tape, line, folder
        rng = np.random.default_rng(1128)
        self._noise = (HISS * rng.standard_normal((10 * RATE_HZ, 2))).astype(np.float32)
        if noise is not None:
            self._noise = np.stack((noise, np.roll(noise, noise.size // 2)), axis=1)
        self._echo = 0.0 if echo_db is None else 10.0 ** (echo_db / 20.0)
        self.clock, self.output, self.keys = SimulatedClock(), SimulatedOutput(), SimulatedKeys()
        self.microphone = SimulatedMicrophone(self.clock)
        self._fed = 0
        self._left: list[Samples] = []
        """What the program has given out, block by block."""
        self._due: list[tuple[int, int, Samples]] = []
        self._captured: list[Samples] = []
        self.said: list[Said] = []
        self.ear = SimulatedEar()
        self._late = [np.zeros(round((OUT_S + ECHO_S) * RATE_HZ), np.float32)]

    def __enter__(self) -> Self:
        with ExitStack() as opened:
            self._open(opened)
            self._opened = opened.pop_all()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._opened.close()

    def _open(self, opened: ExitStack) -> None:
        """Open the job, the player and the loop, as `listen` does."""
        grammar, parser = load_words()
        certificate = read_tape_to_call(self._tape, datetime.now(UTC).date())
        course = one_line(certificate, self._line)
        rules = course.rules.model_copy(update={"decoding": NEWEST})
        course = Course(course.tapes, course.lines, rules)
        job = opened.enter_context(Job.open(self._folder, self.clock.of_job))
        course.go_on(job)
        self.player = opened.enter_context(Player(BuiltIn(), backend=self.output, clock=self.clock))

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
                roles=(Role.HEAD, Role.REAR),
                keeps_clips=False,
                on_told=on_told,
                on_unkept=on_unkept,
                is_live=True,
            )
            hearing = TimedHearing(self.recogniser, self.clock)
            return LiveCrew(recorder, channels=2, hearing=hearing, on_window=on_window)

        self.loop = FieldLoop(
            make_crew,
            grammar=grammar,
            settings=Settings(),
            microphone=self.microphone,
            microphone_names=("head", "rear"),
            keypads=((self.keys, Role.UNSAID),),
            speaker=self.player,
            screen=Unseen(),
            clock=self.clock,
        )
        vars(self.loop)["_view"] = lambda: _UNSEEN  # to word it takes long
        self.loop.greet(caution(job), is_gone_on_with=False, reads=how_it_reads(certificate))

    @property
    def is_program_speaking(self) -> bool:
        """Whether the program was heard a moment ago, pauses within a sentence counted in."""
        return self.clock.now_s - self.ear.loud_s < SENTENCE_S

    @property
    def loud_s(self) -> float:
        """For how long the program was heard so far, block by block [s]."""
        return sum(float(np.abs(each).max()) > SILENT for each in self._left) * BLOCK / RATE_HZ

    def sleep(self, seconds: float) -> None:
        """Let time pass."""
        until_s = self.clock.now_s + seconds
        while self.clock.now_s < until_s:
            self._turn()

    def say(self, words: str, channel: int, sound: Samples) -> Said:
        """Say something now, and wait until it is said (see `tests.bench.live_air.Air`)."""
        begin, begin_s = self._fed, self.clock.now_s
        said = Said(words, channel, begin, sound, begin_s, begin_s + sound.size / RATE_HZ)
        self._due.append((begin, channel, sound))
        self.said.append(said)
        self.sleep(sound.size / RATE_HZ)
        return said

    def ends_s(self, said: Said) -> float | None:
        """Tell when the speech of a call was over, on the clock [s]."""
        frames = said.sound[: said.sound.size // FRAME * FRAME].reshape(-1, FRAME)
        power = np.mean(np.square(frames, dtype=np.float64), axis=1)
        loud = np.flatnonzero(power > power.max() * 10.0 ** (-BELOW_PEAK_DB / 10.0))
        return said.begin_s + (int(loud[-1]) + 1) * FRAME / RATE_HZ

    def answers_s(self, after_s: float, before_s: float) -> float | None:
        """Find when the program is first heard anew within a time, on the clock [s]."""
        loud = self._sounding
        first, last = (round((at - BEGUN_S) * RATE_HZ) for at in (after_s, before_s))
        pause = round(PAUSE_S * RATE_HZ)
        within = loud[(loud >= first) & (loud < last)]
        at = next((at for at in within if not np.any((loud >= at - pause) & (loud < at))), None)
        return None if at is None else BEGUN_S + float(at) / RATE_HZ

    def is_loud(self, at_s: float) -> bool:
        """Tell whether the program was heard at a time on the clock [s]."""
        at = (at_s - BEGUN_S) * RATE_HZ
        loud = self._sounding
        return bool(np.any((loud >= at - PAUSE_S * RATE_HZ) & (loud < at)))

    def keep(self) -> None:
        """Look at what was heard, once nobody speaks any more."""
        left = np.concatenate((np.zeros(round(OUT_S * RATE_HZ), np.float32), *self._left))
        self._sounding = np.flatnonzero(np.abs(left) > SILENT)

    def write(self, path: Path) -> None:
        """Write what was in the air: the two microphones and what left the loudspeaker."""
        left = np.concatenate((np.zeros(round(OUT_S * RATE_HZ), np.float32), *self._left))
        crew = np.concatenate(self._captured)
        both = np.column_stack((crew, left[: len(crew)]))
        soundfile.write(path, both, RATE_HZ)

    def hiccup(self, seconds: float) -> None:
        """Let what left arrive so much later from now on than it did, or earlier if negative."""
        late, frames = np.concatenate(self._late), round(seconds * RATE_HZ)
        stays = np.zeros(max(frames, 0), np.float32)
        self._late = [np.concatenate((stays, late[max(-frames, 0) :]))]

    def race(self, seconds: float, *, has_run_dry: bool) -> None:
        """Let the output ask at once for so much sound, and play nothing of it for half a second.

        PulseAudio does so after it had none left (`has_run_dry`), of which it tells.
        """
        for _ in range(round(seconds * RATE_HZ / BLOCK)):
            self.output.fill(BLOCK, RATE_HZ, OUT_S, has_run_dry=has_run_dry)
        for _ in range(round(0.5 * RATE_HZ / BLOCK)):
            self._turn(np.zeros(BLOCK, np.float32))

    def _turn(self, out: Samples | None = None) -> None:
        """Let a block pass, in which the loudspeaker plays what it asks for, or what is given."""
        while self.player._unrendered() is not None:
            time.sleep(0.0005)
        out = self.output.fill(BLOCK, RATE_HZ, OUT_S) if out is None else out
        self._left.append(out)
        if float(np.abs(out).max()) > SILENT:
            self.ear.loud_s = self.clock.now_s + OUT_S
        self._late.append(out)
        late = np.concatenate(self._late)
        echo, self._late = late[:BLOCK], [late[BLOCK:]]
        place = np.arange(self._fed, self._fed + BLOCK) % len(self._noise)
        block = self._noise[place] + np.float32(self._echo) * echo[:, np.newaxis]
        for begin, channel, sound in self._due:
            part = sound[self._fed - begin : self._fed - begin + BLOCK]
            block[: part.size, channel] += part
        self._fed += BLOCK
        self._due = [each for each in self._due if each[0] + each[2].size > self._fed]
        self._captured.append(block)
        begin_s = self.clock.now_s
        self.clock.now_s += BLOCK / RATE_HZ
        arrives_s = self.clock.now_s + IN_S
        self.microphone.waiting.append((arrives_s, Sound(block, begin_s)))
        self.loop.turn()
