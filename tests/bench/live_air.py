"""The air between a crew and the program, in real time: what is said in, what is heard out; shell.

A crew of two speaks into a virtual microphone of two channels, over hiss or noise; the program
speaks into a virtual loudspeaker, of which a part reaches the microphone, as out of doors. Both are
recorded outside the program, so that what is measured is what people would hear. Needs PulseAudio.
"""

from __future__ import annotations

import contextlib
import fcntl
import os
import subprocess
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from types import TracebackType
from typing import Self

import numpy as np

from calllog.audio import RATE_HZ
from calllog.audio.endpoint import Samples
from tests.virtual import VirtualSound

BLOCK = RATE_HZ // 50
AHEAD_S = 0.12
"""Sound is given about so long before it is in the air: a busy machine must not make anyone
stutter."""
LATENCY = ("--latency-msec=80", "--process-time-msec=10")
HISS = 5e-4
"""RMS of a microphone's own noise, of full scale: none at all would be taken for a broken one."""
SILENT = 1e-4
"""An amplitude that nobody hears."""
BELOW_PEAK_DB = 35.0
"""A frame of 10 ms so far below a call's loudest one is no speech."""
FRAME = RATE_HZ // 100
NEAR_S = 0.6
"""How far from its place a call is looked for in what was recorded."""
PAUSE_S = 0.06
"""Sound that follows silence so long has begun anew."""
SENTENCE_S = 0.4
"""Silence so long is the end of what the program says."""
URGENT = -11


def clock() -> float:
    """Tell the time by the clock of the journal [s]."""
    return time.clock_gettime(time.CLOCK_BOOTTIME)


@dataclass(frozen=True, slots=True, eq=False)
class Said:
    """One call as it left a mouth."""

    words: str
    channel: int
    begin: int
    """Its first sample, of all that was fed."""
    sound: Samples
    begin_s: float
    end_s: float
    """About when it is in the air, on the clock."""


@dataclass
class Recorder:
    """Records a sink until it is closed."""

    sound: VirtualSound
    sink: str
    channels: int
    parts: list[Samples] = field(default_factory=list)
    begun_s: float = float("inf")
    """When the first sample was in the air, on the clock: the least of all that were seen."""
    samples: int = 0
    loud_s: float = 0.0
    """When it was last loud, on the clock."""

    def __post_init__(self) -> None:
        """Begin."""
        self._program = subprocess.Popen(
            [
                *("pacat", "--record", "--raw", "--format=float32le", f"--rate={RATE_HZ}"),
                *(f"--channels={self.channels}", f"--device={self.sink}.monitor"),
                *("--latency-msec=60", "--process-time-msec=20"),
            ],
            env=self.sound.env,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        hurry(self._program.pid)
        self._thread = threading.Thread(target=self._read, daemon=True)
        self._thread.start()

    def _read(self) -> None:
        hurry(threading.get_native_id())
        assert self._program.stdout is not None
        size = 4 * self.channels
        rest = b""
        while got := os.read(self._program.stdout.fileno(), 65_536):
            now_s = clock()
            rest += got
            whole = len(rest) // size * size
            part = np.frombuffer(rest[:whole], np.float32).reshape(-1, self.channels)
            rest = rest[whole:]
            self.parts.append(part)
            self.samples += len(part)
            self.begun_s = min(self.begun_s, now_s - self.samples / RATE_HZ)
            if part.size and float(np.abs(part).max()) > SILENT:
                self.loud_s = now_s

    def close(self) -> None:
        """End it."""
        self._program.kill()
        self._program.wait()
        self._thread.join()

    @property
    def heard(self) -> Samples:
        """All of it, shape (samples, channels)."""
        return np.concatenate(self.parts)


class Air:
    """A crew's microphone and the program's loudspeaker; used in a ``with`` block.

    Args:
        sound: the server.
        noise: what is heard in the microphones over and over, RMS as it stands, shape (n,), 16 kHz;
            None for hiss alone.
        echo_db: how much weaker the program arrives at the microphones than it leaves; None for
            earphones.
    """

    def __init__(self, sound: VirtualSound, noise: Samples | None, echo_db: float | None) -> None:
        self._sound = sound
        rng = np.random.default_rng(1128)
        hiss = HISS * rng.standard_normal((10 * RATE_HZ, 2))
        self._noise = np.asarray(hiss, np.float32)
        if noise is not None:
            turned = np.roll(noise, noise.size // 2)
            self._noise = np.stack((noise, turned), axis=1).astype(np.float32)
        self._echo_db = echo_db
        self._lock = threading.Lock()
        self._due: list[tuple[int, int, Samples]] = []
        self._fed = 0
        self._is_over = threading.Event()
        self.said: list[Said] = []

    def __enter__(self) -> Self:
        sound = self._sound
        sound.add_loudspeaker(channels=1)
        sound.add_microphone("crew", 2)
        if self._echo_db is not None:
            self._let_echo(self._echo_db)
        assert sound._server is not None
        hurry(sound._server.pid)
        self.ear = Recorder(sound, "ear", 1)
        self.crew = Recorder(sound, "crew", 2)
        self._feeder = subprocess.Popen(
            [
                *("pacat", "--raw", "--format=float32le", f"--rate={RATE_HZ}", "--channels=2"),
                *("--device=crew", *LATENCY),
            ],
            env=sound.env,
            stdin=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        hurry(self._feeder.pid)
        assert self._feeder.stdin is not None
        zeros = sound._fed.pop("crew")
        zeros.kill()
        zeros.wait()
        fcntl.fcntl(self._feeder.stdin.fileno(), fcntl.F_SETPIPE_SZ, 4096)
        self._thread = threading.Thread(target=self._feed, daemon=True)
        self._thread.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._is_over.set()
        self._thread.join()
        self._feeder.kill()
        self._feeder.wait()
        self.ear.close()
        self.crew.close()

    @property
    def is_program_speaking(self) -> bool:
        """Whether the program was heard a moment ago, pauses within a sentence counted in."""
        return clock() - self.ear.loud_s < SENTENCE_S

    def clock(self) -> float:
        """Tell the time by the clock of the journal [s]."""
        return clock()

    def sleep(self, seconds: float) -> None:
        """Let time pass."""
        time.sleep(seconds)

    def say(self, words: str, channel: int, sound: Samples) -> Said:
        """Say something now, and wait until it is said.

        Args:
            words: what.
            channel: into whose microphone.
            sound: its sound, shape (n,), 16 kHz.
        """
        with self._lock:
            begin = self._fed
            self._due.append((begin, channel, sound))
        begin_s = clock() + AHEAD_S
        said = Said(words, channel, begin, sound, begin_s, begin_s + sound.size / RATE_HZ)
        self.said.append(said)
        time.sleep(max(0.0, said.end_s - clock()))
        return said

    def ends_s(self, said: Said) -> float | None:
        """Find when the speech of a call was over, as the microphone captured it, on the clock [s].

        None where the call is not found: the machine was too busy to play it as it is.
        """
        heard, begun_s = self._captured
        first = max(0, round((said.begin_s - begun_s - NEAR_S) * RATE_HZ))
        piece = heard[first : first + said.sound.size + round(2 * NEAR_S * RATE_HZ), said.channel]
        if piece.size < said.sound.size:
            return None
        size = 1 << int(np.ceil(np.log2(piece.size)))
        spectrum = np.fft.rfft(piece, size) * np.conj(np.fft.rfft(said.sound, size))
        fits = np.fft.irfft(spectrum, size)[: piece.size - said.sound.size + 1]
        at = int(np.argmax(fits))
        if fits[at] < 0.7 * float(np.sum(np.square(said.sound))):
            return None
        return begun_s + (first + at + _speech_end(said.sound)) / RATE_HZ

    def answers_s(self, after_s: float, before_s: float) -> float | None:
        """Find when the program is first heard anew within a time, on the clock [s]."""
        loud, begun_s = self._sounding
        first = max(0, round((after_s - begun_s) * RATE_HZ))
        last = round((before_s - begun_s) * RATE_HZ)
        pause = round(PAUSE_S * RATE_HZ)
        for at in loud[(loud >= first) & (loud < last)]:
            quiet = loud[(loud >= at - pause) & (loud < at)]
            if not quiet.size:
                return float(begun_s + at / RATE_HZ)
        return None

    def is_loud(self, at_s: float) -> bool:
        """Tell whether the program was heard at a time on the clock [s]."""
        loud, begun_s = self._sounding
        at = (at_s - begun_s) * RATE_HZ
        return bool(np.any((loud >= at - PAUSE_S * RATE_HZ) & (loud < at)))

    def keep(self) -> None:
        """Look at what was recorded, once nobody speaks any more."""
        self._captured = self.crew.heard, self.crew.begun_s
        loud = np.flatnonzero(np.abs(self.ear.heard[:, 0]) > SILENT)
        self._sounding = loud, self.ear.begun_s

    def _feed(self) -> None:
        """Give sound as fast as it is played, which is told by a pipe that is full."""
        hurry(threading.get_native_id())
        assert self._feeder.stdin is not None
        while not self._is_over.is_set():
            with self._lock:
                at = self._fed
                self._fed += BLOCK
                due, self._due = self._due, []
            place = np.arange(at, at + BLOCK) % len(self._noise)
            block = self._noise[place]
            for begin, channel, sound in due:
                part = sound[at - begin : at - begin + BLOCK]
                block[: part.size, channel] += part
                if sound.size > at - begin + BLOCK:
                    with self._lock:
                        self._due.append((begin, channel, sound))
            with contextlib.suppress(BrokenPipeError):
                self._feeder.stdin.write(block.tobytes())
                self._feeder.stdin.flush()

    def _let_echo(self, echo_db: float) -> None:
        """Let the loudspeaker be heard at the microphones."""
        sound = self._sound
        form = "format=float32le rate=48000 channels=1 adjust_time=0"
        sound.load(f"module-loopback source=ear.monitor sink=crew latency_msec=40 {form}")
        listed = sound.ask("list", "short", "sink-inputs").splitlines()
        (number,) = (line.split()[0] for line in listed if "module-loopback" in line)
        sound.ask("set-sink-input-volume", number, f"{10.0 ** (echo_db / 20.0):.4f}")


def hurry(number: int) -> None:
    """Let a process, a thread or all of a group go before other work, where that is allowed.

    The air cannot wait while the machine is busy. Linux weighs whole sessions against each other,
    within which alone priorities count.
    """
    with contextlib.suppress(PermissionError):
        os.setpriority(os.PRIO_PROCESS, number, URGENT)
    with contextlib.suppress(OSError):
        Path(f"/proc/{number}/autogroup").write_text(str(URGENT), "ascii")


def _speech_end(sound: Samples) -> int:
    """Give one past the last loud 10 ms of a call."""
    frames = sound[: sound.size // FRAME * FRAME].reshape(-1, FRAME)
    power = np.mean(np.square(frames, dtype=np.float64), axis=1)
    loud = np.flatnonzero(power > power.max() * 10.0 ** (-BELOW_PEAK_DB / 10.0))
    return (int(loud[-1]) + 1) * FRAME
