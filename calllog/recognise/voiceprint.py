"""Whose voice a sound is, roughly: pitch and mean spectrum of its loud frames; arrays, no file.

Recognisers of speech learn to forget whose voice it is, and their likelihoods do not tell: what is
learned of one person helps with most others, since the network learned from synthetic voices. The
pitch does, and so does the mean of the cepstra. They tell one person from most others, not from
all.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from numpy.lib.stride_tricks import sliding_window_view

Array = npt.NDArray[np.float64]
Sound = npt.NDArray[np.float32]

RATE_HZ = 16_000
PITCHES_HZ = (73.0, 320.0)
WINDOW, STEP, SPECTRUM = 640, 320, 2_048
SHORTEST = 2_400
"""Samples below which a call tells nothing of its voice."""
VOICED = 0.4
"""A frame has a pitch where it is so much like itself one period later, from 0 to 1."""
LOUD_SHARE = 0.4
FULL_SCALE = 32_767.0
LEVEL = 0.07
TRAITS = 13
"""How many numbers a voiceprint has: the cepstra but the first, and the pitch."""
LEAST_SPREAD = np.array([3.0] * (TRAITS - 1) + [0.06])
"""Nobody speaks more evenly; the last is the logarithm of the pitch."""
MOST_FAR = 9.0
"""No part of it counts as further away, squared: a pitch may be taken for its half."""


@dataclass(frozen=True, slots=True, eq=False)
class Voiceprint:
    """What the calls of a voice have in common; each of shape (13,)."""

    mean: Array
    """Of the cepstra but the first, and of the natural logarithm of the pitch [Hz]."""
    spread: Array
    """Standard deviations."""

    def distance(self, trait: Array | None) -> float | None:
        """Tell how far a call is from the voice; about 1 for its own, without unit.

        Args:
            trait: of the call (see `trait_of`).

        Returns:
            Half from the cepstra, half from the pitch; None where the call tells nothing.
        """
        if trait is None:
            return None
        far = np.minimum(np.square((trait - self.mean) / self.spread), MOST_FAR)
        return 0.5 * float(far[:-1].mean()) + 0.5 * float(far[-1])


def trait_of(samples: Sound) -> Array | None:
    """Give what a call tells of its voice.

    Args:
        samples: shape (n,), 16 kHz.

    Returns:
        Shape (13,), as in `Voiceprint`; None where it is too short, or no frame has a pitch.
    """
    from calllog.recognise.frontend import (  # noqa: PLC0415 - heavy, and not all listen
        cepstra,
        high_pass,
        loud_frames,
    )

    if len(samples) < SHORTEST:
        return None
    sound = high_pass(np.asarray(samples, np.float64))
    level = math.sqrt(float(np.mean(np.square(sound))))
    sound *= LEVEL / max(level, 1e-9)
    pitch = _pitch(sound)
    if pitch is None:
        return None
    frames = cepstra(sound * FULL_SCALE)
    return np.append(frames[loud_frames(frames, LOUD_SHARE)][:, 1:].mean(axis=0), pitch)


def print_of(traits: Sequence[Array]) -> Voiceprint:
    """Put together what the calls of a voice have in common; at least one of them."""
    every = np.array(traits)
    middle = np.median(every, axis=0)
    spread = 1.4826 * np.median(np.abs(every - middle), axis=0)
    return Voiceprint(middle, np.maximum(spread, LEAST_SPREAD))


def _pitch(sound: Array) -> float | None:
    """Give the median of the logarithm of the pitch over the louder frames, by autocorrelation."""
    windows = sliding_window_view(sound, WINDOW)[::STEP]
    power = np.square(windows).mean(axis=1)
    loud = windows[power >= np.percentile(power, 60.0)]
    loud = loud - loud.mean(axis=1, keepdims=True)
    alike = np.fft.irfft(np.abs(np.fft.rfft(loud, SPECTRUM, axis=1)) ** 2, axis=1)
    first, last = (round(RATE_HZ / hz) for hz in reversed(PITCHES_HZ))
    periods = alike[:, first:last]
    best = periods.argmax(axis=1)
    strength = periods[np.arange(len(periods)), best] / np.maximum(alike[:, 0], 1e-12)
    voiced = best[strength > VOICED]
    if len(voiced) < 3:  # noqa: PLR2004 - fewer may be chance
        return None
    return float(np.median(np.log(RATE_HZ / (voiced + first))))
