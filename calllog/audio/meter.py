"""How loud the callers and the noise are: windows of sound to levels and warnings; pure."""

import enum
import math
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, median

import numpy as np
import numpy.typing as npt

from calllog.audio.detector import WINDOW
from calllog.audio.filters import high_pass_gain
from calllog.audio.source import RATE_HZ

_FULL_SCALE = 0.99
"""A sample at or above this is clipped; resampling takes a little off the very edge."""
_MOST_CLIPPED = 8
"""Samples at full scale in one call (0.5 ms): a single click of a bob is no harm."""
_LOUD_DBFS = -12.0
"""A voice peaks 12 dB and more above its mean, so that a louder call would clip."""
_FAINT_DBFS = -55.0
"""20 dB below a voice well set up, close above the hiss of plain microphones (-65)."""
_LEAST_SNR_DB = 12.0
"""Between 15 dB, where most calls are heard right, and 10 dB, where one in four is not."""
_LARGEST_OFFSET = 0.02
"""A fifth of what a loud voice swings; sound inputs that are well have a tenth of this."""
_MOST_OFFSET = 5 * _LARGEST_OFFSET
"""What a window counts for at most: wind that blows on a microphone pushes it to full scale."""
_SMALLEST_SWING = 1.5e-5
"""Half a step of 16 bits: an open microphone never holds so still, a muted one does."""
_AGAIN = 9_375
"""Windows (5 minutes) before noise is warned of again: gusts come and go."""
_SILENT = 157
"""Windows (5 s) without any sound before a microphone is called silent."""
_GATE_HANG = 63
"""Windows (2 s) within which the gate of a receiver shuts after speech."""
_OPEN = 313
"""Windows (10 s) of sound without speech, as no gate lets through."""
_GATED_SILENT = 9_375
"""Windows (5 minutes) without any sound before a receiver with a gate is called silent."""
_MARGIN_DB = 3.0
"""How far a level must come back before its warning can be given again."""
_HANG = 15
"""Windows (0.48 s) without speech that end a call, as in the endpointer."""
_ABOVE_RUMBLE = high_pass_gain(np.fft.rfftfreq(WINDOW, 1 / RATE_HZ), 100.0, 4) ** 2
"""Levels are those above 100 Hz, which the recogniser hears: wind's rumble harms no call."""
_SPEECH_MEMORY = 1 / 64
"""Weight of a window in the running level: a memory of about 2 s of speech."""
_NOISE_WINDOWS = 125
"""Windows of noise that are remembered, 4 s: a cough or a bang fills less than half of them."""
_BANG = 10.0
"""10 dB: a window so much louder than the middle one is a bang, which harms no call but its own."""
_OFFSET_MEMORY = 1 / 512
"""A memory of 16 s: an offset stays, gusts do not."""
_LEAST_WINDOWS = 16
"""Windows (0.5 s) of a kind before its level is told."""

Samples = npt.NDArray[np.floating]


class Trouble(enum.Enum):
    """What can be wrong with the sound of a microphone."""

    CLIPPING = "clipping"
    LOUD = "loud"
    FAINT = "faint"
    NOISY = "noisy"
    SILENT = "silent"
    OFFSET = "offset"


@dataclass(frozen=True, slots=True)
class Warned:
    """A warning, given once until its cause has gone away."""

    trouble: Trouble
    channel: int
    """From 0."""
    measured: float
    """Samples clipped, level [dBFS], speech over noise [dB], seconds silent, or the offset."""


@dataclass(frozen=True, slots=True)
class Levels:
    """Levels of one channel as root mean square over full scale, None where not known yet."""

    speech_dbfs: float | None
    """Of speech and the noise in it."""
    noise_dbfs: float | None
    snr_db: float | None
    """Speech without the noise in it, over the noise."""
    peak_dbfs: float
    """Highest sample of the latest window."""


class Meter:
    """Measures each channel, window by window, and warns."""

    def __init__(self, channels: int) -> None:
        self._gauges = [_Gauge(channel) for channel in range(channels)]

    def hear(
        self, window: Samples, is_speech: Sequence[bool], *, is_out: bool = False
    ) -> tuple[Warned, ...]:
        """Take in a window.

        Args:
            window: shape (512, channels), 16 kHz, full scale -1 to 1.
            is_speech: whether each channel's detector hears speech in it.
            is_out: the program itself may be heard in it, so that it tells nothing of the noise.

        Returns:
            Warnings that begin to hold with it.
        """
        return tuple(
            warned
            for gauge, track, now in zip(self._gauges, window.T, is_speech, strict=True)
            for warned in gauge.hear(track, is_speech=now, is_out=is_out)
        )

    def levels(self, channel: int) -> Levels:
        """Return the levels of a channel now."""
        return self._gauges[channel].levels()

    def holding(self, channel: int) -> frozenset[Trouble]:
        """Return what a channel was warned of and has not gone away."""
        return frozenset(self._gauges[channel].given)


class _Running:
    """A mean that forgets, and that begins as a plain mean."""

    def __init__(self, weight: float) -> None:
        self._weight = weight
        self.count = 0
        self.value = 0.0

    def add(self, value: float) -> None:
        self.count += 1
        self.value += max(self._weight, 1 / self.count) * (value - self.value)


class _Noise:
    """How loud the last 4 s without speech were, bangs left out."""

    def __init__(self) -> None:
        self._powers: deque[float] = deque(maxlen=_NOISE_WINDOWS)

    def add(self, power: float) -> None:
        self._powers.append(power)

    @property
    def power(self) -> float | None:
        """Mean of them; None before there are enough."""
        if len(self._powers) < _LEAST_WINDOWS:
            return None
        most = _BANG * median(self._powers)
        return fmean(each for each in self._powers if each <= most)


class _Gate:
    """Whether a channel comes through a gate, which gives zeros while nobody speaks.

    Wireless receivers have one. It opens with a voice and shuts soon after it; a microphone that
    is open hisses on.
    """

    def __init__(self) -> None:
        self.is_there = False
        self._has_spoken = False
        """Since the channel gave sound again."""
        self._quiet = 0
        """Windows of sound in a row without speech."""

    def hear(self, *, is_shut: bool, is_speech: bool) -> None:
        """Follow a window, shut where all of it is zero."""
        if is_shut:
            if self._has_spoken and self._quiet <= _GATE_HANG:
                self.is_there = True
            self._has_spoken, self._quiet = False, 0
            return
        self._has_spoken |= is_speech
        self._quiet = 0 if is_speech else self._quiet + 1
        if self._quiet > _OPEN:
            self.is_there = False


class _Gauge:
    """One channel."""

    def __init__(self, channel: int) -> None:
        self._channel = channel
        self._speech = _Running(_SPEECH_MEMORY)
        self._noise = _Noise()
        self._offset = _Running(_OFFSET_MEMORY)
        self._peak = 0.0
        self._still = 0
        """Windows in a row without any sound."""
        self._gate = _Gate()
        self._since = _HANG
        """Windows since the last one with speech."""
        self._clipped = 0
        """Samples at full scale in this call."""
        self.given: set[Trouble] = set()
        """Warnings that still hold."""
        self._heard = 0
        """Windows heard."""
        self._last: dict[Trouble, int] = {}
        """Window in which each warning was given last."""

    def levels(self) -> Levels:
        speech_dbfs = _known_dbfs(self._speech)
        noise = self._noise.power
        noise_dbfs = None if noise is None else _dbfs(noise)
        snr_db = None
        if speech_dbfs is not None and noise is not None:
            snr_db = _dbfs(max(self._speech.value - noise, 0.0)) - _dbfs(noise)
        return Levels(speech_dbfs, noise_dbfs, snr_db, _dbfs(self._peak**2))

    def hear(self, track: Samples, *, is_speech: bool, is_out: bool) -> list[Warned]:
        self._heard += 1
        self._peak = float(np.max(np.abs(track)))
        mean = float(np.mean(track))
        spectrum = np.abs(np.fft.rfft(track - mean)) ** 2 * _ABOVE_RUMBLE
        power = 2.0 * float(np.sum(spectrum)) / len(track) ** 2
        if is_speech:
            self._speech.add(power)
        elif not is_out:
            self._noise.add(power)
        self._offset.add(min(max(mean, -_MOST_OFFSET), _MOST_OFFSET))
        is_still = float(np.ptp(track)) < _SMALLEST_SWING
        self._still = self._still + 1 if is_still else 0
        is_shut = is_still and self._peak < _SMALLEST_SWING
        self._gate.hear(is_shut=is_shut, is_speech=is_speech)
        warned = self._judge_input()
        if is_speech:
            self._since = 0
            self._clipped += int(np.count_nonzero(np.abs(track) >= _FULL_SCALE))
        else:
            self._since += 1
            if self._since == _HANG:
                warned += self._judge_call()
                self._clipped = 0
        return warned

    def _judge_input(self) -> list[Warned]:
        """Judge what holds with and without speech."""
        silent_s = self._still * 512 / 16_000
        offset = self._offset.value
        is_known = self._offset.count >= _LEAST_WINDOWS
        return [
            *self._judge(
                Trouble.SILENT,
                silent_s,
                holds=self._still >= (_GATED_SILENT if self._gate.is_there else _SILENT),
                is_gone=self._still == 0,
            ),
            *self._judge(
                Trouble.OFFSET,
                offset,
                holds=is_known and abs(offset) > _LARGEST_OFFSET,
                is_gone=abs(offset) < _LARGEST_OFFSET / 2,
            ),
        ]

    def _judge_call(self) -> list[Warned]:
        """Judge a call that has ended."""
        levels = self.levels()
        warned = self._judge(
            Trouble.CLIPPING,
            self._clipped,
            holds=self._clipped >= _MOST_CLIPPED,
            is_gone=self._clipped == 0,
        )
        if (level := levels.speech_dbfs) is not None:
            warned += self._judge(
                Trouble.LOUD,
                level,
                holds=level > _LOUD_DBFS,
                is_gone=level < _LOUD_DBFS - _MARGIN_DB,
            )
            warned += self._judge(
                Trouble.FAINT,
                level,
                holds=level < _FAINT_DBFS,
                is_gone=level > _FAINT_DBFS + _MARGIN_DB,
            )
        if (snr_db := levels.snr_db) is not None:
            warned += self._judge(
                Trouble.NOISY,
                snr_db,
                holds=snr_db < _LEAST_SNR_DB,
                is_gone=snr_db > _LEAST_SNR_DB + _MARGIN_DB,
            )
        return warned

    def _judge(
        self,
        trouble: Trouble,
        measured: float,
        *,
        holds: bool,
        is_gone: bool,
    ) -> list[Warned]:
        """Give a warning that begins to hold; be ready to give it again once it is gone."""
        again = _AGAIN if trouble is Trouble.NOISY else 0
        is_due = self._heard >= self._last.get(trouble, -again) + again
        if holds and trouble not in self.given and is_due:
            self.given.add(trouble)
            self._last[trouble] = self._heard
            return [Warned(trouble, self._channel, measured)]
        if is_gone:
            self.given.discard(trouble)
        return []


def _known_dbfs(running: _Running) -> float | None:
    return _dbfs(running.value) if running.count >= _LEAST_WINDOWS else None


def _dbfs(power: float) -> float:
    return 10.0 * math.log10(max(power, 1e-12))
