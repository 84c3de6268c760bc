"""Benchmark of `calllog.audio.utterances`: misses, false starts, splits and joins per voice.

Each voice says 24 calls with pauses of 0.6 s to 3 s under each condition; noise alone follows.
Run with ``python -m tests.bench.bench_endpoint [voice ...]``.
"""

from __future__ import annotations

import itertools
import resource
import sys
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from calllog.audio import RATE_HZ, Utterance, utterances
from tests.audio.frames import Frames
from tests.bench.voices import (
    REPORTING_VOICES,
    TUNING_VOICES,
    Sound,
    active_rms,
    mix,
    pink,
    synthesise,
    wind,
)
from tests.measured.results import keep

CALLS = (
    "two",
    "six",
    "oh five",
    "eight",
    "fifteen",
    "forty two",
    "sixty six",
    "ninety nine",
    "one hundred",
    "fifteen forty two",
    "eighty three",
    "zero",
)
PAUSES_S = (0.6, 1.0, 0.7, 3.0, 1.6)
CONDITIONS: dict[str, tuple[str, float, float]] = {
    "clean": ("pink", 40.0, 0.0),
    "clean, 30 dB weaker": ("pink", 40.0, -30.0),
    "pink 15 dB": ("pink", 15.0, 0.0),
    "pink 10 dB": ("pink", 10.0, 0.0),
    "pink 5 dB": ("pink", 5.0, 0.0),
    "wind 5 dB": ("wind", 5.0, 0.0),
}
"""Kind of noise, SNR [dB], gain of the whole [dB]."""
NOISES = {"pink": pink, "wind": wind}
FRAME = 320
SEED = 20261125


@dataclass(frozen=True)
class Scene:
    """A stretch of sound and where the calls in it begin and end [s]."""

    sound: Sound
    spans: tuple[tuple[float, float], ...]


def scene(said: list[Sound], gaps_s: list[float]) -> Scene:
    """Put sounds, each bounded by its active part, behind one another with gaps before each."""
    parts: list[Sound] = []
    spans = []
    at = 0
    for sound, gap_s in zip(said, gaps_s, strict=True):
        spoken = active(sound)
        at += int(gap_s * RATE_HZ)
        parts += [np.zeros(int(gap_s * RATE_HZ), np.float32), spoken]
        spans.append((at / RATE_HZ, (at + spoken.size) / RATE_HZ))
        at += spoken.size
    parts.append(np.zeros(RATE_HZ, np.float32))
    return Scene(np.concatenate(parts), tuple(spans))


def active(sound: Sound) -> Sound:
    """Return a sound without the 20 ms frames around it that lie 30 dB below its active level."""
    whole = sound[: sound.size // FRAME * FRAME].reshape(-1, FRAME)
    power = np.mean(whole**2, axis=1)
    loud = np.flatnonzero(power > active_rms(sound) ** 2 * 1e-3)
    return sound[loud[0] * FRAME : (loud[-1] + 1) * FRAME]


def heard(sound: Sound) -> list[Utterance]:
    """Return the utterances in a mono sound."""
    frames = Frames([sound[:, None]])
    return list(utterances(frames))


def score(truth: Scene, found: list[Utterance]) -> Counter[str]:
    """Count what went right and wrong with each call."""
    counts: Counter[str] = Counter(calls=len(truth.spans))
    spans = [(u.start_s, u.end_s) for u in found]
    met = [[s for s in spans if _overlap(s, call)] for call in truth.spans]
    counts["missed"] = sum(not m for m in met)
    counts["split"] = sum(len(m) > 1 for m in met)
    counts["joined"] = sum(sum(_overlap(s, c) for c in truth.spans) > 1 for s in spans)
    counts["false starts"] = sum(not any(_overlap(s, c) for c in truth.spans) for s in spans)
    counts["not all in samples"] = sum(
        bool(m) and (m[0][0] - 0.288 > call[0] or m[-1][1] + 0.288 < call[1])
        for m, call in zip(met, truth.spans, strict=True)
    )
    return +counts


def _overlap(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return one[0] < other[1] and other[0] < one[1]


def scenes(voice: str) -> Iterator[tuple[str, Scene]]:
    """Yield the named conditions of a voice, and its slow calls."""
    said = [synthesise(text, voice) for text in CALLS * 2]
    plain = scene(said, list(itertools.islice(itertools.cycle(PAUSES_S), len(said))))
    rng = np.random.default_rng(SEED)
    for name, (kind, snr_db, gain_db) in CONDITIONS.items():
        noise = NOISES[kind](plain.sound.size, rng)
        sound = mix(plain.sound, noise, snr_db) * np.float32(10.0 ** (gain_db / 20.0))
        yield name, Scene(sound, plain.spans)
    words = [active(synthesise(word, voice)) for word in ("fifteen", "forty", "two")]
    gap = np.zeros(int(0.4 * RATE_HZ), np.float32)
    slow = np.concatenate([words[0], gap, words[1], gap, words[2]])
    spaced = scene([slow] * 6, [1.0] * 6)
    for snr_db in (40.0, 15.0):
        noise = pink(spaced.sound.size, rng)
        yield (
            f"inner gaps of 0.4 s, pink {snr_db:.0f} dB",
            Scene(mix(spaced.sound, noise, snr_db), spaced.spans),
        )


def main(voices: list[str]) -> None:
    """Print the figures of the voices and of noise alone."""
    table = {v: {name: dict(score(s, heard(s.sound))) for name, s in scenes(v)} for v in voices}
    rng = np.random.default_rng(SEED)
    minutes = 5
    alone = {
        f"{kind} at {level_db:.0f} dB of full scale": len(
            heard(
                noise(minutes * 60 * RATE_HZ, rng).clip(-5, 5)
                * np.float32(10.0 ** (level_db / 20.0))
            )
        )
        for kind, noise in NOISES.items()
        for level_db in (-20.0, -40.0)
    }
    begin = time.process_time()
    heard(np.zeros(60 * RATE_HZ, np.float32))
    result = {
        "voices": table,
        f"utterances in {minutes} minutes of noise alone": alone,
        "share of real time, one channel": round((time.process_time() - begin) / 60.0, 4),
        "peak resident memory of all this [MB]": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        // 1024,
    }
    calls = len(CALLS) * 2
    keep("endpoint", result, n=f"{calls} calls a voice and noise", voices=voices)


if __name__ == "__main__":
    main(sys.argv[1:] or [*TUNING_VOICES, *REPORTING_VOICES])
