"""One channel's sound on a time line: pieces as they come, early or late, in; stretches out; pure.

A source that counts its samples (a phone's frames, a microphone's stream) runs by a clock of its
own. It is laid on this computer's time line piece by piece, each right behind the one before it; a
sample more or less in a piece keeps it there. Only where sound is missing it jumps.
"""

from collections import deque
from typing import Final

import numpy as np
import numpy.typing as npt

from calllog.audio.source import RATE_HZ

KEPT_S: Final = 30.0
"""Sound that is kept, for what comes late and for clips."""
_RING: Final = int(KEPT_S * RATE_HZ)
NEAR: Final = 80
"""Samples (5 ms) that a source may be off its place before it is fitted."""
FAR: Final = 800
"""Samples (50 ms) beyond which it is not fitted: sound is missing, or there is too much."""
_SLEW: Final = 0.001
"""Fastest drift that is followed, samples a sample; crystals keep within 0.0001."""
_WINDOW: Final = 50
"""Pieces whose times are remembered: of these the earliest counts, for a time that is read in a
busy program is late, never early."""
SETTLED: Final = 25
"""Pieces before a source's place is known: half a second of a phone."""

Samples = npt.NDArray[np.float32]


class ChannelSound:
    """The sound of one channel, by the number of the sample on the time line."""

    def __init__(self) -> None:
        self._sound = np.zeros(_RING, np.float32)
        self._has = np.zeros(_RING, np.bool_)
        self.front = 0
        """One past the newest sample that is known."""
        self._floor = 0
        """Nothing before it is kept."""
        self._end: int | None = None
        """Where the newest piece ends."""
        self._count = 0
        """Samples of the source up to there, those that were never sent included."""
        self._base = 0.0
        """Where the source's first sample would lie."""
        self._late: deque[float] = deque(maxlen=_WINDOW)

    def restart(self) -> None:
        """Know that the source counts anew."""
        self._end, self._count = None, 0
        self._late.clear()

    def put(self, count: int, at: float, samples: Samples) -> None:
        """Lay a piece down; the first ones of a source only tell its place.

        Args:
            count: samples of the source before it, whether they came or not.
            at: where its first sample lies as far as the source's clock tells.
            samples: shape (n,).
        """
        end = self._end
        if end is not None and count < self._count:
            self._write(end - (self._count - count), samples)
            return
        size = len(samples)
        self._follow(at - count, size)
        if end is None:
            if len(self._late) >= SETTLED:
                self._base = min(self._late)
                self._lay(round(self._base) + count, samples, count + size)
            return
        start = end + count - self._count
        off = round(self._base) + count - start
        if abs(off) > FAR:
            start += off
        elif abs(off) > NEAR:
            samples = _stretched(samples, size + (1 if off > 0 else -1))
        self._lay(start, samples, count + size)

    def put_timed(self, at: float, samples: Samples) -> None:
        """Lay a piece of a source down whose times are already its own and steady.

        Args:
            at: where its first sample lies.
            samples: shape (n,).
        """
        start = round(at)
        if self._end is not None:
            off = start - self._end
            if abs(off) <= FAR:
                start = self._end
                if abs(off) > NEAR:
                    samples = _stretched(samples, len(samples) + (1 if off > 0 else -1))
        self._write(start, samples)
        self._end = start + len(samples)

    def knows(self, begin: int, end: int) -> bool:
        """Tell whether every sample from begin to end is known."""
        return end <= self.front and bool(np.all(self._has[self._places(begin, end)]))

    def take(self, begin: int, end: int) -> tuple[Samples, int]:
        """Give a stretch, zeros where nothing is known, and how many samples are not."""
        places = self._places(begin, end)
        has = self._has[places].copy()
        has[: max(0, self._floor - begin)] = False
        has[max(0, self.front - begin) :] = False
        sound = np.where(has, self._sound[places], np.float32(0.0))
        return sound, int(np.count_nonzero(~has))

    def _follow(self, late: float, size: int) -> None:
        """Follow where the source's first sample would lie."""
        self._late.append(late)
        least = min(self._late)
        rise = least - self._base
        if self._end is None:
            return
        if rise < -FAR or (rise > FAR and len(self._late) >= SETTLED):
            self._base = least
            self._late.clear()
            self._late.append(late)
            return
        slew = _SLEW * size
        self._base += min(max(rise, -slew), slew)

    def _lay(self, start: int, samples: Samples, count: int) -> None:
        self._write(start, samples)
        self._end, self._count = start + len(samples), count

    def _write(self, start: int, samples: Samples) -> None:
        """Write what is not known yet."""
        end = start + len(samples)
        if end > self.front:
            self._open(end)
        first = max(start, self._floor)
        if first >= end:
            return
        places = self._places(first, end)
        new = ~self._has[places]
        self._sound[places[new]] = samples[first - start :][new]
        self._has[places] = True

    def _open(self, end: int) -> None:
        """Let the time line reach to a sample."""
        if end - self.front >= _RING or not self.front:
            self._has[:] = False
        else:
            self._has[self._places(self.front, end)] = False
        self.front = end
        self._floor = max(self._floor, end - _RING)

    @staticmethod
    def _places(begin: int, end: int) -> npt.NDArray[np.intp]:
        return np.arange(begin, end, dtype=np.intp) % _RING


def _stretched(samples: Samples, size: int) -> Samples:
    """Stretch a piece evenly."""
    there = np.linspace(0, len(samples) - 1, size)
    return np.interp(there, np.arange(len(samples)), samples).astype(np.float32)
