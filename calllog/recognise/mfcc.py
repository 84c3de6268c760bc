"""Samples in, mel cepstra as Kaldi computes them out; pure.

Source: Kaldi's feature extraction (Povey et al., "The Kaldi speech recognition toolkit", IEEE ASRU
2011), with its defaults: frames of 25 ms each 10 ms that lie wholly inside the sound, their mean
taken out, pre-emphasis 0.97, Povey's window, a spectrum of 512 points, triangles evenly spaced in
mel, and cepstra lifted with 22.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from numpy.lib.stride_tricks import sliding_window_view

from calllog.errors import ModelError

RATE_HZ = 16_000
FRAME, SHIFT, FFT = 400, 160, 512
PRE_EMPHASIS = 0.97
LIFTER = 22
FULL_SCALE = 32_768.0
_LEAST_ENERGY = float(np.finfo(np.float32).eps)
_BELOW_MEL = 700.0

Array = npt.NDArray[np.float64]
Cepstra = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class MfccSettings:
    """What a model's ``mfcc.conf`` may choose."""

    bins: int = 23
    ceps: int = 13
    low_hz: float = 20.0
    high_hz: float = 0.0
    """Zero or less: so far from half the sampling rate."""
    dither: float = 1.0
    """Standard deviation of the noise added, in units of a 16-bit sample."""


_NAMES = {
    "num-mel-bins": "bins",
    "num-ceps": "ceps",
    "low-freq": "low_hz",
    "high-freq": "high_hz",
    "dither": "dither",
}
_FIXED = {
    "use-energy": "false",
    "sample-frequency": "16000",
    "window-type": "povey",
    "cepstral-lifter": "22",
    "snip-edges": "true",
}
_WITHOUT_EFFECT = frozenset({"allow-upsample", "allow-downsample"})


def read_settings(text: str, where: str) -> MfccSettings:
    """Read an ``mfcc.conf``.

    Args:
        text: its lines, such as ``--num-ceps=40``.
        where: name of the file, for error messages.

    Raises:
        ModelError: it asks for something that is not computed here.
    """
    chosen: dict[str, float] = {}
    fixed: dict[str, str] = {"use-energy": "true"}
    for line in (each.partition("#")[0].strip() for each in text.splitlines()):
        name, _, value = line.removeprefix("--").partition("=")
        if name in _FIXED:
            fixed[name] = value
        elif name in _NAMES:
            try:
                chosen[_NAMES[name]] = float(value)
            except ValueError:
                raise _unfit(f"{line} is no number", where) from None
        elif name and name not in _WITHOUT_EFFECT:
            raise _unfit(f"{line} is not known here", where)
    for name, value in fixed.items():
        if value.removesuffix(".0") != _FIXED[name]:
            raise _unfit(f"--{name} must be {_FIXED[name]}", where)
    bins, ceps = int(chosen.pop("bins", 23)), int(chosen.pop("ceps", 13))
    settings = MfccSettings(bins, ceps, **chosen)
    if not (0 < ceps <= bins and 0.0 <= settings.low_hz < _highest_hz(settings) <= RATE_HZ / 2):
        raise _unfit("the bins or their frequencies are impossible", where)
    return settings


def _unfit(what: str, where: str) -> ModelError:
    return ModelError(what, where=where, next_step="use a model with 16 kHz MFCC features")


def _highest_hz(settings: MfccSettings) -> float:
    return settings.high_hz if settings.high_hz > 0.0 else RATE_HZ / 2 + settings.high_hz


def _mel(hz: Array | float) -> Array:
    mel: Array = 1127.0 * np.log1p(np.asarray(hz) / _BELOW_MEL)
    return mel


@lru_cache(maxsize=4)
def _tables(settings: MfccSettings) -> tuple[Array, Array]:
    """Make the triangles, shape (257, bins), and the lifted cosines, shape (bins, ceps)."""
    low, high = _mel(settings.low_hz), _mel(_highest_hz(settings))
    edges = low + (high - low) * np.arange(settings.bins + 2) / (settings.bins + 1)
    mels = _mel(np.arange(FFT // 2 + 1) * RATE_HZ / FFT)[:, None]
    left, centre, right = edges[:-2], edges[1:-1], edges[2:]
    rising, falling = (mels - left) / (centre - left), (right - mels) / (right - centre)
    triangles = np.clip(np.minimum(rising, falling), 0.0, None)
    triangles[-1] = 0.0  # Kaldi leaves out the bin at half the sampling rate.
    order = np.arange(settings.ceps)
    cosines = np.sqrt(2.0 / settings.bins) * np.cos(
        np.pi / settings.bins * (np.arange(settings.bins)[:, None] + 0.5) * order
    )
    cosines[:, 0] = np.sqrt(1.0 / settings.bins)
    lift = 1.0 + LIFTER / 2 * np.sin(np.pi * order / LIFTER)
    return triangles, cosines * lift


_WINDOW = (0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(FRAME) / (FRAME - 1))) ** 0.85


def mfcc(samples: npt.NDArray[np.floating], settings: MfccSettings) -> Cepstra:
    """Compute mel cepstra.

    Args:
        samples: shape (n,), full scale 1, 16 kHz.
        settings: the model's; the same sound always gets the same dither.

    Returns:
        Shape (frames, ceps), one frame each 10 ms, none if the sound is shorter than 25 ms.
    """
    if len(samples) < FRAME:
        return np.zeros((0, settings.ceps), np.float32)
    sound = samples.astype(np.float64) * FULL_SCALE
    if settings.dither:
        noise = np.random.default_rng(len(sound)).standard_normal(len(sound))
        sound += settings.dither * noise
    frames = sliding_window_view(sound, FRAME)[::SHIFT]
    frames = frames - frames.mean(axis=1, keepdims=True)
    frames[:, 1:] -= PRE_EMPHASIS * frames[:, :-1]
    frames[:, 0] *= 1.0 - PRE_EMPHASIS
    spectra = np.fft.rfft(frames * _WINDOW, FFT, axis=1)
    triangles, cosines = _tables(settings)
    energies = (spectra.real**2 + spectra.imag**2) @ triangles
    result: Cepstra = (np.log(np.maximum(energies, _LEAST_ENERGY)) @ cosines).astype(np.float32)
    return result
