"""Server: bytes of a crew phone in, a frame of sound, its number and the phone's time out; pure.

A frame is 20 ms of one channel at 16 kHz: its number from the page's first one on (4 bytes), when
its first sample was captured by the phone's own clock [s] (8 bytes, IEEE 754), then 320 samples of
16 bits; all of it least significant byte first. Between the page's process and the field loop two
bytes more stand before it: whose frame it is, and which of the phone's pages sent it.
"""

import math
import struct
from dataclasses import dataclass
from typing import Final

from calllog.values import Role

RATE_HZ: Final = 16_000
FRAME: Final = 320
"""Samples: 20 ms."""
FRAME_S: Final = FRAME / RATE_HZ
_HEAD = struct.Struct("<Id")
_WHOSE = struct.Struct("<BB")
BYTES: Final = _HEAD.size + 2 * FRAME
WHOLE: Final = _WHOSE.size + BYTES
LATEST_S: Final = 1e10
"""No phone's clock is beyond it: three hundred years."""
WORN: Final = (Role.HEAD, Role.REAR)
"""Whose phones they may be, in the order of their numbers and of the channels."""
PAGES: Final = 256
"""Pages of a phone are told apart by a number below this."""


@dataclass(frozen=True, slots=True)
class Frame:
    """20 ms of sound."""

    number: int
    """From 0, one more for each 20 ms of a page, whether they were sent or not."""
    at_s: float
    """When the first sample was captured, by the clock of whoever reads it [s]."""
    samples: bytes
    """320 of 16 bits."""


def read_frame(sent: bytes) -> Frame | None:
    """Read what a phone sent; None if it is no frame.

    Example:
        >>> read_frame(write_frame(Frame(7, 1.25, bytes(640)))).number
        7
        >>> read_frame(b"too short") is None
        True
    """
    if len(sent) != BYTES:
        return None
    number, at_s = _HEAD.unpack_from(sent)
    if not math.isfinite(at_s) or not 0.0 <= at_s <= LATEST_S:
        return None
    return Frame(number, at_s, sent[_HEAD.size :])


def write_frame(frame: Frame) -> bytes:
    """Write a frame as a phone does."""
    return _HEAD.pack(frame.number, frame.at_s) + frame.samples


def hand_on(role: Role, page: int, frame: Frame) -> bytes:
    """Write a frame for the field loop, its time by this computer's clock.

    Args:
        role: whose phone sent it: head or rear.
        page: number of the phone's page, which tells where its frames begin anew.
        frame: the frame.
    """
    return _WHOSE.pack(WORN.index(role), page % PAGES) + write_frame(frame)


def taken_on(handed: bytes) -> tuple[Role, int, Frame] | None:
    """Read what `hand_on` wrote; None if it is not such, since strangers reach who writes it."""
    if len(handed) != WHOLE:
        return None
    whose, page = _WHOSE.unpack_from(handed)
    frame = read_frame(handed[_WHOSE.size :])
    if frame is None or whose >= len(WORN):
        return None
    return WORN[whose], page, frame
