"""Sound that is no call: numbers in, endless pieces of wind, music, tones and talk out; shell.

All is made here from seeded numbers and synthetic voices; nothing was recorded. Whoever listens
has it made in a process of its own, so that only the listening counts in its memory:

    python -m tests.torture.sounds SECONDS KIND
"""

from __future__ import annotations

import pydoc_data.topics
import random
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import numpy as np

from tests.bench.bench_recognition import LEVEL
from tests.bench.talk import REPORTING_TALK
from tests.bench.voices import RATE_HZ, Sound, active_rms, synthesise
from tests.bench.voices import pink as pink_noise
from tests.bench.voices import wind as gusts

SEED = 1126
PIECE_S = 60
"""Length of a piece; a longer one would take much memory."""
TALKERS = ("flite-slt", "flite-rms", "piper-joe", "espeak-m1", "espeak-f5", "espeak-travis")
"""Voices that nothing was tuned or trained on."""
A_HZ = 220.0
SCALE = (0, 2, 4, 5, 7, 9, 11, 12)
CHORDS = ((0, 4, 7), (5, 9, 12), (7, 11, 14), (9, 12, 16))
BEAT_S = 0.5

Pieces = Iterator[Sound]
"""Stretches of sound that follow one another, each shape (n,), 16 kHz."""


def _times(seconds: float) -> Sound:
    return np.arange(int(seconds * RATE_HZ), dtype=np.float32) / np.float32(RATE_HZ)


def wind(rng: np.random.Generator) -> Pieces:
    """Make gusty wind between a breeze and a gale; the gale overdrives the microphone."""
    while True:
        level = LEVEL * 10.0 ** (rng.uniform(-20.0, 14.0) / 20.0)
        yield gusts(PIECE_S * RATE_HZ, rng) * np.float32(level)


def storm(rng: np.random.Generator) -> Pieces:
    """Make harsher wind: gusts that flutter as fast as syllables, and whistle as vowels do.

    Three resonances between 250 and 3,500 Hz wander through noise, its loudness shakes 2 to 8
    times a second, and blows on the capsule clip.
    """
    while True:
        n, time_s = PIECE_S * RATE_HZ, _times(PIECE_S)
        noise = pink_noise(n, rng)
        total = gusts(n, rng) * 0.5
        for low, high in ((250.0, 900.0), (900.0, 2200.0), (2200.0, 3500.0)):
            pitch_hz = np.interp(
                time_s, np.arange(PIECE_S + 1), rng.uniform(low, high, PIECE_S + 1)
            )
            phase = 2.0 * np.pi * np.cumsum(pitch_hz) / RATE_HZ
            smooth = np.convolve(noise, np.hanning(160) / 80.0, "same")
            total += rng.uniform(0.5, 2.0) * smooth * np.sin(phase)
        shakes_hz = np.interp(time_s, np.arange(PIECE_S + 1), rng.uniform(2.0, 8.0, PIECE_S + 1))
        flutter = 0.5 + 0.5 * np.sin(2.0 * np.pi * np.cumsum(shakes_hz) / RATE_HZ)
        depth = np.interp(time_s, np.arange(PIECE_S + 1), rng.uniform(0.0, 1.0, PIECE_S + 1))
        total *= 1.0 - depth * flutter
        for at in rng.integers(0, n - 4_000, 20):
            total[at : at + 4_000] += 30.0 * np.hanning(4_000) * rng.choice((-1.0, 1.0))
        level = LEVEL * 10.0 ** (rng.uniform(-12.0, 12.0) / 20.0)
        yield np.clip(total * level, -1.0, 1.0).astype(np.float32)


def clipping(rng: np.random.Generator) -> Pieces:
    """Overdrive the microphone all the time: noise, a square wave, crew talk 40 dB too loud."""
    talk = _said(_crew_talk(rng), rng)
    while True:
        yield np.clip(pink_noise(5 * RATE_HZ, rng) * 10.0, -1.0, 1.0)
        yield np.sign(np.sin(2.0 * np.pi * rng.uniform(60.0, 900.0) * _times(5.0)) + 1e-9)
        yield np.clip(next(talk) * 100.0, -1.0, 1.0)


def constant(rng: np.random.Generator) -> Pieces:
    """Give a constant, steps between constants, and constants with a little hiss."""
    while True:
        level = float(rng.choice((-1.0, -0.5, -0.02, 0.02, 0.5, 1.0)))
        still = np.full(2 * RATE_HZ, level, np.float32)
        yield still
        yield np.clip(still + pink_noise(2 * RATE_HZ, rng) * 0.003, -1.0, 1.0)


def tones(rng: np.random.Generator) -> Pieces:
    """Give pure tones, each for a while, with a break, with a glide, or pulsing as a horn does."""
    while True:
        seconds, pitch_hz = rng.uniform(0.2, 3.0), rng.uniform(50.0, 7_000.0)
        time_s = _times(seconds)
        glide = rng.choice((0.0, 0.0, pitch_hz * rng.uniform(-0.2, 0.2)))
        tone = np.sin(2.0 * np.pi * (pitch_hz + glide * time_s) * time_s)
        if rng.random() < 0.3:
            tone *= np.sin(2.0 * np.pi * rng.uniform(2.0, 8.0) * time_s) > 0
        yield (tone * 10.0 ** (rng.uniform(-40.0, -3.0) / 20.0)).astype(np.float32)
        yield np.zeros(int(rng.uniform(0.1, 1.0) * RATE_HZ), np.float32)


def music(rng: np.random.Generator) -> Pieces:
    """Play chords, arpeggios, a tune with vibrato, a bass and drums, a bar at a time."""
    for bar in count():
        chord = CHORDS[bar % len(CHORDS)]
        total = np.zeros(int(4 * BEAT_S * RATE_HZ), np.float32)
        parts = rng.random(5) < 0.75
        for beat in range(8):
            at = int(beat * BEAT_S / 2 * RATE_HZ)
            rest = total[at:]
            if parts[0] and beat % 4 == 0:
                for step in chord:
                    _add(rest, _note(A_HZ * 2.0 ** (step / 12.0), 2 * BEAT_S, 8, 1.0) * 0.3)
            if parts[1]:
                step = chord[beat % 3] + 12
                _add(rest, _note(A_HZ * 2.0 ** (step / 12.0), BEAT_S, 4, 4.0) * 0.4)
            if parts[2] and beat % 2 == 0:
                tune = float(rng.choice(SCALE))
                _add(rest, _note(A_HZ * 2.0 ** (tune / 12.0), BEAT_S, 12, 0.5, 6.0) * 0.6)
            if parts[3]:
                _add(rest, _note(A_HZ / 4.0 * 2.0 ** (chord[0] / 12.0), BEAT_S, 3, 3.0) * 0.5)
            if parts[4]:
                _add(rest, _drum(beat, rng))
        yield total * np.float32(LEVEL * 10.0 ** (rng.uniform(-10.0, 10.0) / 20.0))


def _add(total: Sound, part: Sound) -> None:
    total[: len(part)] += part[: len(total)]


def _note(
    pitch_hz: float, seconds: float, partials: int, decay: float, shake_hz: float = 0.0
) -> Sound:
    time_s = _times(seconds)
    phase = 2.0 * np.pi * pitch_hz * time_s
    phase += (shake_hz > 0.0) * 3.0 * np.sin(2.0 * np.pi * shake_hz * time_s)
    tone = sum(np.sin(phase * k) / k for k in range(1, partials + 1) if pitch_hz * k < 7_500.0)
    attack = np.minimum(time_s / 0.01, 1.0) * np.minimum((seconds - time_s) / 0.02, 1.0)
    return np.asarray(tone * attack * np.exp(-decay * time_s), np.float32)


def _drum(beat: int, rng: np.random.Generator) -> Sound:
    time_s = _times(0.2)
    if beat % 4 == 0:
        drum = np.sin(2.0 * np.pi * (50.0 + 60.0 * np.exp(-20.0 * time_s)) * time_s)
        return np.asarray(2.0 * drum * np.exp(-12.0 * time_s), np.float32)
    hiss = rng.standard_normal(time_s.size) * np.exp(-(15.0 if beat % 4 == 2 else 60.0) * time_s)
    return np.asarray(hiss, np.float32)


def chatter(rng: np.random.Generator) -> Pieces:
    """Let people talk of what is no call: crews beside the work, and a manual read aloud."""
    draw = random.Random(int(rng.integers(2**32)))  # noqa: S311 - which are drawn is no secret
    texts = [*REPORTING_TALK, *manual()]
    while True:
        draw.shuffle(texts)
        yield from _said(iter(texts), rng)


def two_talkers(rng: np.random.Generator) -> Pieces:
    """Let two people talk at once, one as loud as the other."""
    one, other = chatter(rng), chatter(rng)
    while True:
        first, second = next(one), next(other)
        total = np.zeros(max(len(first), len(second)), np.float32)
        _add(total, first)
        _add(total, second)
        yield total


def manual() -> tuple[str, ...]:
    """Give plain sentences of Python's own manual."""
    found = []
    for text in pydoc_data.topics.topics.values():
        words = " ".join(text.split())
        found += re.findall(r"(?<=[.] )[A-Z][A-Za-z ,'\"*-]{25,160}(?=[.] )", words)
    return tuple(re.sub(r"[^A-Za-z' ]+", " ", each).lower() for each in found)


def _crew_talk(rng: np.random.Generator) -> Iterator[str]:
    while True:
        yield REPORTING_TALK[int(rng.integers(len(REPORTING_TALK)))]


def _said(texts: Iterator[str], rng: np.random.Generator) -> Pieces:
    for text in texts:
        sound = synthesise(text, TALKERS[int(rng.integers(len(TALKERS)))])
        level = LEVEL * 10.0 ** (rng.uniform(-6.0, 6.0) / 20.0)
        pause = np.zeros(int(rng.uniform(0.3, 1.5) * RATE_HZ), np.float32)
        hiss = rng.standard_normal(len(sound) + len(pause)) * 1e-4
        said = np.concatenate((sound * np.float32(level / active_rms(sound)), pause))
        yield np.clip(said + hiss, -1.0, 1.0).astype(np.float32)


KINDS: dict[str, tuple[Callable[[np.random.Generator], Pieces], float]] = {
    "clipping": (clipping, 60.0),
    "constant": (constant, 60.0),
    "pure tones": (tones, 60.0),
    "music": (music, 3_600.0),
    "two talkers at once": (two_talkers, 3_600.0),
    "chatter": (chatter, 3_600.0),
    "gusty wind": (wind, 3_600.0),
    "harsh wind": (storm, 3_600.0),
}
"""What is made, and for how long [s]."""


def made(kind: str, seconds: float) -> Pieces:
    """Have sound made in another process; pieces of a second or less."""
    command = [sys.executable, "-m", "tests.torture.sounds", str(seconds), kind]
    with subprocess.Popen(command, stdout=subprocess.PIPE, cwd=Path(__file__).parents[2]) as maker:
        assert maker.stdout is not None
        while part := maker.stdout.read(4 * RATE_HZ):
            yield np.frombuffer(part, np.float32)
    assert maker.returncode == 0, kind


def main(seconds: float, kind: str) -> None:
    """Write so many seconds as 32-bit floats."""
    left = round(seconds * RATE_HZ)
    pieces = KINDS[kind][0](np.random.default_rng(SEED))
    while left > 0:
        piece = next(pieces)[:left].astype(np.float32)
        left -= len(piece)
        sys.stdout.buffer.write(piece.tobytes())


if __name__ == "__main__":
    main(float(sys.argv[1]), sys.argv[2])
