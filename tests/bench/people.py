"""Calls by recorded people: single figures put together as a careful crew says them; shell.

The sounds are not part of the project (some are share-alike): a folder is given, with one folder
for each person (files ``FIGURE_INDEX.flac``, one figure each, trimmed close) and ``noise`` with one
for each noise recorded outdoors. A call is drawn by a seed alone.
"""

from __future__ import annotations

import random
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soundfile
import soxr

from calllog.audio import RATE_HZ
from calllog.values import Expectation, Kind
from tests.bench.bench_recognition import LEVEL, PAUSE_S, Said
from tests.bench.voices import Sound, active_rms, mix, pink

FIGURES = "zero one two three four five six seven eight nine".split()
NOISE = "noise"
BETWEEN_S = (0.04, 0.14)
"""Between two figures of a call."""
BREATH_S = (0.25, 0.5)
"""Before and after a word that mends what was said."""
MENDS = ("no", "sorry", "correction")
OVER_DB = (0.0, 6.0)
"""By how much one of two people who call at once is louder."""
OVER_S = (0.0, 0.3)
"""By how much one of them begins later."""
SEED = 2611
CONDITIONS = {
    "clean": ("pink", 40.0),
    "pink 10": ("pink", 10.0),
    "rain 5": ("rain", 5.0),
    "helicopter 5": ("helicopter", 5.0),
}
"""Kind of noise, and SNR over active speech [dB]."""
ROLES = (Expectation.WHOLE, Expectation.FRACTION)


@dataclass(frozen=True, slots=True)
class Spoken:
    """Something said, and its sound."""

    said: Said
    row: str
    """Which row of the table it belongs to."""
    sound: Sound


def people(folder: Path) -> tuple[str, ...]:
    """Name the people of a folder.

    Raises:
        SystemExit: there is none.
    """
    found = tuple(
        sorted(p.name for p in folder.iterdir() if p.is_dir() and any(p.glob("0_*.flac")))
        if folder.is_dir()
        else ()
    )
    if not found:
        message = f"{folder}: no people here; give a folder of PERSON/FIGURE_INDEX.flac"
        raise SystemExit(message)
    return found


def says(folder: Path, person: str, figures: Sequence[int], rng: random.Random) -> Sound:
    """Say figures one after the other; shape (n,), 16 kHz."""
    parts: list[Sound] = []
    for figure in figures:
        if parts:
            parts.append(np.zeros(int(rng.uniform(*BETWEEN_S) * RATE_HZ), np.float32))
        parts.append(read_sound(rng.choice(_files(folder / person, f"{figure}_*.flac"))))
    return np.concatenate(parts)


def two_figures(folder: Path, person: str, expects: Expectation, count: int) -> list[Spoken]:
    """Draw calls of two figures, such as "four two"; feet begin with no zero."""
    rng = _chance(person, expects, "two")
    found = []
    for _ in range(count):
        value = rng.randrange(10 if expects is Expectation.WHOLE else 0, 100)
        figures = divmod(value, 10)
        whole = expects is Expectation.WHOLE
        said = Said(
            " ".join(FIGURES[each] for each in figures),
            Kind.WHOLE if whole else Kind.FRACTION,
            value * 100 if whole else value,
        )
        found.append(Spoken(said, "two", says(folder, person, figures, rng)))
    return found


def too_many(
    folder: Path, person: str, expects: Expectation, count: int, mends: dict[str, Sound]
) -> list[Spoken]:
    """Draw what is no call of two figures, though it begins like one.

    Args:
        folder: of the people.
        person: who calls.
        expects: what is due.
        count: how many of each row.
        mends: sounds of words that mend, one of which stands between two numbers; without any,
            that row is left out.
    """
    rng = _chance(person, expects, "more")
    others = [each for each in people(folder) if each != person]
    found = []
    for _ in range(count):
        for row, size in (("three", 3), ("four", 4), ("five", 5)):
            figures = rng.choices(range(10), k=size)
            found.append(_no_call(figures, row, says(folder, person, figures, rng)))
        first, second = rng.choices(range(10), k=2), rng.choices(range(10), k=2)
        sounds = [says(folder, person, first, rng), says(folder, person, second, rng)]
        if mends:
            word = rng.choice(sorted(mends))
            level = np.float32(active_rms(sounds[0]) / active_rms(mends[word]))
            breaths = [
                np.zeros(int(rng.uniform(*BREATH_S) * RATE_HZ), np.float32) for _ in range(2)
            ]
            parts = [sounds[0], breaths[0], mends[word] * level, breaths[1], sounds[1]]
            words = [*(FIGURES[x] for x in first), word, *(FIGURES[x] for x in second)]
            said = Said(" ".join(words), Kind.CHATTER)
            found.append(Spoken(said, "mended", np.concatenate(parts)))
        other = says(folder, rng.choice(others), second, rng)
        gain = active_rms(sounds[0]) / active_rms(other) * 10 ** (-rng.uniform(*OVER_DB) / 20)
        late = np.zeros(int(rng.uniform(*OVER_S) * RATE_HZ), np.float32)
        both = np.zeros(max(sounds[0].size, other.size + late.size), np.float32)
        both[: sounds[0].size] += sounds[0]
        both[late.size : late.size + other.size] += other * np.float32(gain)
        found.append(_no_call([*first, *second], "two at once", both))
    return found


def noisy_scene(
    spoken: Sequence[Spoken], folder: Path, condition: str, seed: str
) -> tuple[Sound, list[tuple[float, float]]]:
    """Put everything into one stretch, each at one level, and add a condition's noise.

    Returns:
        Sound, shape (n,), 16 kHz, and where each thing begins and ends [s].
    """
    parts: list[Sound] = []
    spans: list[tuple[float, float]] = []
    at = 0
    pause = np.zeros(int(PAUSE_S * RATE_HZ), np.float32)
    for each in spoken:
        sound = np.asarray(each.sound * (LEVEL / active_rms(each.sound)), np.float32)
        parts += [pause, sound]
        at += pause.size
        spans.append((at / RATE_HZ, (at + sound.size) / RATE_HZ))
        at += sound.size
    clean = np.concatenate([*parts, pause])
    kind, snr_db = CONDITIONS[condition]
    rng = np.random.default_rng(zlib.crc32(f"{SEED} {seed} {condition}".encode()))
    noise = pink(clean.size, rng) if kind == "pink" else outdoors(folder, kind, clean.size, rng)
    return mix(clean, noise, snr_db), spans


def outdoors(folder: Path, kind: str, n: int, rng: np.random.Generator) -> Sound:
    """Put clips of a noise behind one another, each of RMS 1."""
    clips = _files(folder / NOISE / kind, "*")
    parts: list[Sound] = []
    while sum(each.size for each in parts) < n:
        clip = read_sound(clips[int(rng.integers(len(clips)))])
        clip = clip[: np.flatnonzero(clip)[-1] + 1]
        parts.append(np.asarray(clip / np.sqrt(np.mean(np.square(clip))), np.float32))
    return np.concatenate(parts)[:n]


def _no_call(figures: Sequence[int], row: str, sound: Sound) -> Spoken:
    return Spoken(Said(" ".join(FIGURES[each] for each in figures), Kind.CHATTER), row, sound)


def _chance(*of: str) -> random.Random:
    return random.Random(zlib.crc32(f"{SEED} {of}".encode()))  # noqa: S311 - no secret


@cache
def _files(folder: Path, pattern: str) -> tuple[Path, ...]:
    return tuple(sorted(folder.glob(pattern)))


@cache
def read_sound(path: Path) -> npt.NDArray[np.float32]:
    """Read a file; shape (n,), 16 kHz."""
    sound, rate_hz = soundfile.read(path, dtype="float32")
    if sound.ndim > 1:
        sound = sound.mean(axis=1)
    return np.asarray(soxr.resample(sound, rate_hz, RATE_HZ), np.float32)
