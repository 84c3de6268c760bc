"""A model that hears a language whose phones are tones, and a voice that speaks it; for tests."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import numpy.typing as npt

from calllog.recognise import encoder_model
from calllog.resources import ENCODER_MODEL, model_folder

Array = npt.NDArray[np.float32]
RATE_HZ = 16_000
TONE_S, PAUSE_S = 0.09, 0.05
FADE_S = 0.02
"""Tones rise and fall for so long, so that they do not click."""
STEP, WINDOW = 384, 800
"""Samples from one frame to the next, and of a frame."""
SHARPNESS = 60.0
"""Log-odds of a tone that is all of a frame's sound."""
SHARE = 0.25
"""Of a frame's sound: any louder tone is likelier than none."""
STILL = 0.02
"""Of the loudest frame: in what is fainter nothing is heard."""


def dictionary(wanted: frozenset[str]) -> dict[str, tuple[tuple[str, ...], ...]]:
    """Look words up in the lexicon that travels with the program: their phones."""
    found: dict[str, tuple[tuple[str, ...], ...]] = {}
    text = (model_folder(ENCODER_MODEL) / "lexicon.txt").read_text("utf-8")
    for line in text.splitlines():
        word, *phones = line.split()
        if word in wanted:
            found[word] = (*found.get(word, ()), tuple(phones))
    return found


class ToneEncoder:
    """Hears how much of each frame is each tone; stands in for the speech encoder."""

    digest, changes = "tones" * 3, ""
    hz: Sequence[float] = ()

    def encode(self, sound: npt.NDArray[np.floating]) -> Array:
        """Give shares; shape (n,), 16 kHz, to (frames, tones)."""
        if len(sound) < WINDOW:
            return np.zeros((0, len(self.hz)), np.float32)
        windows = np.lib.stride_tricks.sliding_window_view(sound, WINDOW)[::STEP]
        power = np.square(windows).sum(axis=1)
        times_s = np.arange(WINDOW) / RATE_HZ
        waves = np.exp(2j * np.pi * np.outer(times_s, self.hz))
        tones = 2.0 * np.abs((windows * np.hanning(WINDOW)) @ waves) ** 2 / (WINDOW / 4)
        shares = tones / np.maximum(power * 1.5, 1e-12)[:, None]
        shares[power < STILL * power.max()] = 0.0
        heard: Array = shares.astype(np.float32)
        return heard


class ToneHead:
    """Makes odds of the shares; stands in for the network behind the encoder."""

    digest = "tones" * 3

    def __init__(self, tones: int) -> None:
        self.units, self.values = tones + 1, tones

    def hidden(self, frames: Array) -> Array:
        """Give the frames."""
        return frames

    def outputs(self, hidden: Array, shift: object = None) -> Array:
        """Give the log-probability of each unit; shape (n, tones) to (n, units)."""
        assert shift is None
        blank = np.full((len(hidden), 1), SHARPNESS * SHARE, np.float32)
        logits = np.hstack([blank, SHARPNESS * hidden])
        outputs: Array = logits - np.logaddexp.reduce(logits, axis=1, keepdims=True)
        return outputs.astype(np.float32)


class ToneModel:
    """A model folder for a language whose phones are tones, and a voice that speaks it.

    Args:
        folder: where the model is written.
        wanted: the words that it must know.
    """

    def __init__(self, folder: Path, wanted: frozenset[str]) -> None:
        self._ways = dictionary(wanted)
        phones = sorted({phone for ways in self._ways.values() for way in ways for phone in way})
        mels = np.linspace(200.0, 2700.0, len(phones))
        self.hz = dict(zip(phones, 700.0 * np.expm1(mels / 1127.0), strict=True))
        """Frequency of each phone [Hz]."""
        folder.mkdir(parents=True)
        shutil.copy(model_folder(ENCODER_MODEL) / encoder_model.HEAD, folder)
        units = "".join(f"{name} {index}\n" for index, name in enumerate(("<blk>", *phones)))
        (folder / "units.txt").write_text(units, "utf-8")
        lexicon = "".join(
            f"{word} {' '.join(way)}\n" for word, ways in self._ways.items() for way in ways
        )
        (folder / "lexicon.txt").write_text(lexicon, "utf-8")

    def encoder(self, *, changes: Path | None) -> ToneEncoder:
        """Make what hears the tones; nothing of it can be changed."""
        assert changes is None
        made = ToneEncoder()
        made.hz = tuple(self.hz.values())
        return made

    def head(self, path: Path) -> ToneHead:
        """Make what is behind it; the file must be there."""
        path.read_bytes()
        return ToneHead(len(self.hz))

    def say(self, text: str) -> Array:
        """Speak words: a tone for each phone, pauses between, 0.2 s of silence about all."""
        phones = [phone for word in text.split() for phone in self._ways[word][0]]
        times_s = np.arange(int(TONE_S * RATE_HZ)) / RATE_HZ
        fade = 0.3 * np.clip(np.minimum(times_s, times_s[::-1]) / FADE_S, 0.0, 1.0)
        silence, pause = np.zeros(RATE_HZ // 5), np.zeros(int(PAUSE_S * RATE_HZ))
        parts = [silence]
        for phone in phones:
            parts += [fade * np.sin(2 * np.pi * self.hz[phone] * times_s), pause]
        sound = np.concatenate([*parts, silence])
        hiss = 1e-3 * np.random.default_rng(len(text)).standard_normal(len(sound))
        return (sound + hiss).astype(np.float32)
