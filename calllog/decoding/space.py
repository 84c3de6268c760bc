"""A tape in, the finite space of what can be read on it out, as arrays; pure.

Everything is counted over the lengths of one tape in hundredths of a foot or meter: 10,100 of them
on a tape of 100 ft, 50,100 on the longest one that can be called. Each length has exactly one pair
of whole foot and hundredths that are called for it.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from calllog.tape import PARTED, length_read
from calllog.values import HUNDREDTHS, LineSettings, Style

Vector = npt.NDArray[np.float64]
Places = npt.NDArray[np.int64]
"""Values of the part below the foot: 0 to 99."""


@dataclass(frozen=True, slots=True, eq=False)
class Space:
    """The lengths that can be read on a tape.

    Args:
        style: how it is graduated.
        nominal: its nominal length, hundredths of a foot or meter.
        hold: what the other end holds, hundredths of a foot or meter; add and cut tapes have none.
        feet: for each length, the whole foot that is called [ft].
        hundredths: for each length, the hundredths that are called with it.
    """

    style: Style
    nominal: int
    hold: int
    feet: Places
    hundredths: Places

    @property
    def size(self) -> int:
        """Number of lengths, from 0 up."""
        return len(self.feet)

    @property
    def most_feet(self) -> int:
        """The greatest whole foot that is called [ft]."""
        return int(self.feet.max())

    def place(self, feet: int, hundredths: int) -> int | None:
        """Give the length that a whole foot and hundredths make; None if it is off the tape."""
        length = _reduce(self.style, feet, hundredths, self.hold)
        return length if 0 <= length < self.size else None


def space(settings: LineSettings, hold: int) -> Space:
    """Lay out what can be read on a line's tape with a foot mark held [hundredths]."""
    held = 0 if settings.style in PARTED else hold
    return _space(settings.style, settings.nominal, settings.limit, held)


@lru_cache(maxsize=8)
def _space(style: Style, nominal: int, limit: int, hold: int) -> Space:
    size = max(limit - hold, 0) + 1
    feet, hundredths = np.zeros(size, np.int64), np.zeros(size, np.int64)
    for whole in range(limit // HUNDREDTHS + 1):
        for part in range(HUNDREDTHS):
            length = _reduce(style, whole, part, hold)
            if 0 <= length < size:
                feet[length], hundredths[length] = whole, part
    return Space(style, nominal * HUNDREDTHS, hold, feet, hundredths)


def _reduce(style: Style, feet: int, hundredths: int, hold: int) -> int:
    return length_read(style, whole=feet * HUNDREDTHS, fraction=hundredths, reading=None, hold=hold)
