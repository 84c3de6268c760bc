"""Which channel a voice belongs to: power and speech of each channel to a mask; pure."""

from collections import deque
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from calllog.audio.detector import WINDOW
from calllog.audio.filters import high_pass_gain

_RATE_HZ = 16_000
_MEMORY = 8
"""Windows of 32 ms over which power is averaged and speech remembered: about a syllable."""
_RATIO = 10.0 ** (8.0 / 10.0)
"""8 dB: what is 10 dB weaker falls below it in spite of noise."""
_MOST_NOISE = 0.75
"""Greatest part of a level that is taken for noise, so that a gust hides no voice."""
_ABOVE_WIND = high_pass_gain(np.fft.rfftfreq(WINDOW, 1 / _RATE_HZ), 300.0, 2) ** 2
"""Wind is low; a gust on one microphone must not hide that a voice is weaker there."""
_TAPER = np.hanning(WINDOW)
_FORGET = 0.05
"""Weight of a window without speech in the running noise level: a memory of about 0.6 s."""


class Crosstalk:
    """Tells when a microphone hears the other one's caller rather than its own.

    A window of a channel is masked, that is, counted as no speech, while the other channel has
    spoken within the last 0.26 s and its level over that time is 8 dB or more above this
    channel's, both above 300 Hz with the noise of each taken off. So a call that reaches both
    microphones is heard where it is louder, and the answer to it is not glued to its echo; two
    voices of comparable level are both kept. This supposes that both microphones are worn alike
    and set to about the same gain.

    Args:
        channels: 1 or 2; one channel has no other and is never masked.
    """

    def __init__(self, channels: int) -> None:
        self._power = [deque([0.0] * _MEMORY, _MEMORY) for _ in range(channels)]
        self._noise = [0.0] * channels
        self._speech = [deque([False] * _MEMORY, _MEMORY) for _ in range(channels)]

    def masked(
        self, tracks: Sequence[npt.NDArray[np.float32]], is_speech: Sequence[bool]
    ) -> tuple[bool, ...]:
        """Take in a window of each channel and tell which channels are masked in it.

        Args:
            tracks: samples of each channel, one window of the detector (512).
            is_speech: what each channel's detector says of them.
        """
        levels = []
        for channel, (track, now) in enumerate(zip(tracks, is_speech, strict=True)):
            spectrum = np.abs(np.fft.rfft(track * _TAPER)) ** 2
            power = float(np.mean(spectrum * _ABOVE_WIND))
            self._power[channel].append(power)
            self._speech[channel].append(now)
            if not now:
                self._noise[channel] += _FORGET * (power - self._noise[channel])
            level = sum(self._power[channel]) / _MEMORY
            levels.append(level - min(self._noise[channel], _MOST_NOISE * level))
        return tuple(
            any(
                any(self._speech[other]) and levels[other] >= _RATIO * levels[own]
                for other in range(len(levels))
                if other != own
            )
            for own in range(len(levels))
        )
