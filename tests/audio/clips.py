"""Read the spoken clips and lay them out in time for tests."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soundfile

from calllog.audio import RATE_HZ, Utterance, utterances
from tests.audio.frames import Frames
from tests.audio.make_clips import CLIPS

HERE = Path(__file__).parent
ALL = tuple(HERE / speaker / f"{words}.flac" for speaker, names in CLIPS.items() for words in names)
CLIP_SILENCE_S = 0.5
"""Silence that `make_clips` leaves on each side of the speech."""

Sound = npt.NDArray[np.float32]


def clip(speaker: str, words: str) -> Sound:
    """Read a clip; shape (n,), float32, 16 kHz, active level 0.02."""
    samples, rate_hz = soundfile.read(HERE / speaker / f"{words}.flac", dtype="float32")
    assert rate_hz == RATE_HZ
    return np.asarray(samples, np.float32)


def spoken(speaker: str, words: str) -> Sound:
    """Read a clip without the silence around its speech."""
    silence = int(CLIP_SILENCE_S * RATE_HZ)
    return clip(speaker, words)[silence:-silence]


def hiss(seconds: float, seed: int = 1) -> Sound:
    """Make faint white noise, 70 dB below full scale."""
    rng = np.random.default_rng(seed)
    return (rng.standard_normal(int(seconds * RATE_HZ)) * 3e-4).astype(np.float32)


def laid_out(seconds: float, *placed: tuple[float, Sound]) -> Sound:
    """Put sounds at the times given [s] into faint hiss of a length [s]."""
    sound = hiss(seconds)
    for at_s, part in placed:
        begin = int(at_s * RATE_HZ)
        sound[begin : begin + part.size] += part
    return sound


def heard(*tracks: Sound, blocks: Iterable[Sound] | None = None) -> list[Utterance]:
    """Return the utterances in one or two tracks, or in blocks of one channel."""
    frames = [np.stack(tracks, axis=1)] if blocks is None else blocks
    source = Frames(frames, max(1, len(tracks)))
    return list(utterances(source))


def spans(found: list[Utterance]) -> list[tuple[float, float]]:
    """Return where the utterances begin and end [s]."""
    return [(u.start_s, u.end_s) for u in found]
