"""Which channel a voice belongs to: power and speech of each channel to a mask; pure."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

_MEMORY = 8
"""Windows of 32 ms over which power is averaged and speech remembered: about a syllable."""
_RATIO = 10.0
"""10 dB."""


class Crosstalk:
    """Tells when a microphone hears the other one's caller rather than its own.

    A window of a channel is masked, that is, counted as no speech, while the other channel has
    spoken within the last 0.26 s and its mean power over that time is 10 dB or more above this
    channel's. So a call that reaches both microphones is heard where it is louder, and the answer
    to it is not glued to its echo; two voices of comparable level are both kept. This supposes
    that both microphones are worn alike and set to about the same gain.

    Args:
        channels: 1 or 2; one channel has no other and is never masked.
    """

    def __init__(self, channels: int) -> None:
        self._power = [deque([0.0] * _MEMORY, _MEMORY) for _ in range(channels)]
        self._speech = [deque([False] * _MEMORY, _MEMORY) for _ in range(channels)]

    def masked(
        self, tracks: Sequence[npt.NDArray[np.float32]], is_speech: Sequence[bool]
    ) -> tuple[bool, ...]:
        """Take in a window of each channel and tell which channels are masked in it.

        Args:
            tracks: samples of each channel, shape (n,).
            is_speech: what each channel's detector says of them.
        """
        for power, track in zip(self._power, tracks, strict=True):
            power.append(float(np.mean(track**2)))
        for speech, now in zip(self._speech, is_speech, strict=True):
            speech.append(now)
        levels = [sum(power) for power in self._power]
        return tuple(
            any(
                any(self._speech[other]) and levels[other] >= _RATIO * levels[own]
                for other in range(len(levels))
                if other != own
            )
            for own in range(len(levels))
        )
