"""Microphones side by side: blocks of one or two devices to sound at 16 kHz with its times; shell.

Two devices have two clocks. The first one that runs leads; the other's sound is fitted to it by
capture time, a sample more or less in a block of 32 ms, the block stretched evenly over it. So
clocks may differ by 0.2 %, where crystals differ by 0.01 % at most, and no sound is lost; the
samples fitted so are counted.
"""

from collections.abc import Iterator, Sequence

import numpy as np
import numpy.typing as npt
import soxr

from calllog.audio.source import RATE_HZ
from calllog.audio.timeline import Timeline

_BLOCK = 512
_NEAR = 160
"""Samples (10 ms) that the other device may be off before it is fitted; a third of a window."""
_FAR = 800
"""Samples (50 ms) beyond which it is not fitted: sound is missing, or there is too much."""

Samples = npt.NDArray[np.float32]


class Track:
    """The sound of one device since it was opened, at 16 kHz."""

    def __init__(self, rate_hz: int, channels: int) -> None:
        self._rate_hz = rate_hz
        self._timeline = Timeline(rate_hz)
        self._resampler = (
            None
            if rate_hz == RATE_HZ
            else soxr.ResampleStream(rate_hz, RATE_HZ, channels, dtype="float32")
        )
        self._sound = np.empty((0, channels), np.float32)
        self._taken = 0.0
        """Samples at 16 kHz given out or skipped."""
        self.is_aligned = False
        """Whether it has been laid beside the sound of another device."""

    def __len__(self) -> int:
        """Count the samples that wait."""
        return len(self._sound)

    @property
    def begin_s(self) -> float:
        """When the first sample that waits was captured [s]."""
        return self._timeline.origin_s + self._taken / RATE_HZ

    def skip(self, frames: int) -> None:
        """Count frames of the device that were dropped before they came here."""
        self._timeline.skip(frames)
        self._taken += frames * RATE_HZ / self._rate_hz

    def put(self, samples: Samples, arrival_s: float, age_s: float | None) -> float:
        """Take in a block (see `Timeline.note`); return how much sound is missing [s]."""
        missing_s = self._timeline.note(arrival_s, len(samples), age_s)
        if self._resampler is not None:
            samples = self._resampler.resample_chunk(np.ascontiguousarray(samples))
        self._sound = np.concatenate((self._sound, samples))
        return missing_s

    def restart(self) -> None:
        """Know that samples are missing before the next block."""
        self._timeline.restart()

    def take(self, count: int) -> Samples:
        """Give out the first samples."""
        taken, self._sound = self._sound[:count], self._sound[count:]
        self._taken += len(taken)
        return taken


class Merger:
    """Two devices of one channel each to blocks of two columns."""

    def __init__(self) -> None:
        self.fitted = 0
        """Samples put in or taken out so far, because the clocks of the devices differ."""

    def merge(self, tracks: Sequence[Track | None]) -> Iterator[tuple[Samples, float]]:
        """Yield what both have; the column of a device that is lost (None) is zeros.

        Args:
            tracks: those of the devices, in the order of the columns.

        Yields:
            Samples (512, devices) and when the first was captured [s].
        """
        live = [track for track in tracks if track is not None]
        while live and all(len(track) > _BLOCK for track in live):
            begin_s = live[0].begin_s
            columns = [
                np.zeros((_BLOCK, 1), np.float32)
                if track is None
                else track.take(_BLOCK)
                if track is live[0]
                else self._fit(track, begin_s)
                for track in tracks
            ]
            yield np.concatenate(columns, axis=1), begin_s

    def _fit(self, track: Track, begin_s: float) -> Samples:
        """Take a block that begins at the time given."""
        off = round((track.begin_s - begin_s) * RATE_HZ)
        far = _FAR if track.is_aligned else _NEAR
        if off < -far:
            track.take(-off)
            off = 0
        if off > far or len(track) <= _BLOCK:
            return np.zeros((_BLOCK, 1), np.float32)
        track.is_aligned = True
        step = 0 if abs(off) <= _NEAR else (1 if off < 0 else -1)
        self.fitted += abs(step)
        sound = track.take(_BLOCK + step)
        if step:
            there = np.linspace(0, len(sound) - 1, _BLOCK)
            fitted = np.interp(there, np.arange(len(sound)), sound[:, 0])
            sound = fitted.astype(np.float32)[:, None]
        return sound
