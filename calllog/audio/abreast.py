"""Channels that come by ways of their own in, blocks of all of them side by side out; pure.

A block is given out as soon as every channel has it. For one that lags it waits `BOUND_S` and no
longer: then that channel is lost, zeros stand in for it, and the others go on without delay. What
comes later still is kept on the channel's time line.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np

from calllog.audio.column import ChannelSound, Samples
from calllog.audio.events import Event, Gap, Lost, Returned, Sound
from calllog.audio.source import RATE_HZ

BLOCK: Final = 512
BOUND_S: Final = 1.0
"""How long the others wait for a channel that lags. While none does this costs nothing."""
JOINS_S: Final = 0.8
"""Sound that lags no more than this is waited for from then on."""
LATE = "its sound did not come in time"
"""Why a channel was lost, where nothing else is known."""


@dataclass(slots=True)
class _Lane:
    """One channel, and how it fares."""

    name: str
    column: ChannelSound = field(default_factory=ChannelSound)
    is_there: bool = False
    """Blocks wait for it."""
    has_come: bool = False
    """It gave sound since it was lost, or at all."""
    first: int = 0
    """Where what it gave since then begins."""
    gone_at: int | None = None
    """Since which sample it is lost; None before it was ever there, and while it is."""
    hole: int = 0
    """Samples missing right before the next block, while it is there."""
    hole_at: int = 0
    page: int | None = None
    """Which page of the phone its sound comes from."""


class Abreast:
    """Lays channels side by side.

    Args:
        names: what each channel's source is called.
        begun_s: where the time line begins, on the monotonic clock [s].
    """

    def __init__(self, names: Sequence[str], begun_s: float) -> None:
        self._lanes = [_Lane(name) for name in names]
        self._begun_s = begun_s
        self._at = 0
        """Next sample to be given out."""
        self._told: list[Event] = []

    def name(self, channel: int, name: str) -> None:
        """Call a channel's source something else from now on."""
        self._lanes[channel].name = name

    def is_there(self, channel: int) -> bool:
        """Tell whether a channel gives sound."""
        return self._lanes[channel].is_there

    def put(self, channel: int, page: int, count: int, at_s: float, samples: Samples) -> None:
        """Take a piece of a source that counts its samples.

        Args:
            channel: from 0.
            page: another one where the source counts anew.
            count: samples of the source before it.
            at_s: when its first sample was captured, as far as is known [s].
            samples: shape (n,), 16 kHz.
        """
        lane = self._lanes[channel]
        if lane.page != page:
            lane.page = page
            lane.column.restart()
        front = lane.column.front
        lane.column.put(count, self._place(at_s), samples)
        self._follow(lane, front, len(samples))

    def put_timed(self, channel: int, at_s: float, samples: Samples) -> None:
        """Take a piece of a source that keeps its own time, such as a microphone."""
        lane = self._lanes[channel]
        front = lane.column.front
        lane.column.put_timed(self._place(at_s), samples)
        self._follow(lane, front, len(samples))

    def lose(self, channel: int, reason: str) -> None:
        """Know that a channel gives no sound any more."""
        lane = self._lanes[channel]
        if lane.is_there:
            self._lose(lane, reason)

    def events(self, now_s: float) -> Iterator[Event]:
        """Give what follows from what came, as far as may be at a moment of the clock [s]."""
        self._welcome(now_s)
        yield from self._tell()
        while there := [lane for lane in self._lanes if lane.is_there]:
            end = self._at + BLOCK
            lacking = [lane for lane in there if lane.column.front < end]
            if lacking:
                if self._place(now_s) - end <= BOUND_S * RATE_HZ:
                    return
                for lane in lacking:
                    self._lose(lane, LATE)
                yield from self._tell()
                continue
            yield from self._block(end)

    def sound(self, channel: int, begin_s: float, end_s: float) -> Samples:
        """Give all that is known of a stretch by now, late or not, zeros elsewhere.

        Args:
            channel: from 0.
            begin_s: its first sample, on the monotonic clock [s]; 30 s are kept.
            end_s: one past its last.
        """
        begin, end = round(self._place(begin_s)), round(self._place(end_s))
        return self._lanes[channel].column.take(begin, end)[0]

    def _block(self, end: int) -> Iterator[Event]:
        taken = [lane.column.take(self._at, end) for lane in self._lanes]
        for lane, (_, missing) in zip(self._lanes, taken, strict=True):
            if not lane.is_there or self._at < lane.first:
                continue  # it is told as lost, or was never there before
            if missing and not lane.hole:
                lane.hole_at = self._at
            lane.hole += missing
            if lane.hole and not missing:
                yield Gap(lane.name, self._time_s(lane.hole_at), lane.hole)
                lane.hole = 0
        samples = np.stack([sound for sound, _ in taken], axis=1)
        begin_s, self._at = self._time_s(self._at), end
        yield Sound(samples, begin_s, tuple(missing > 0 for _, missing in taken))

    def _welcome(self, now_s: float) -> None:
        """Wait from now on for channels whose newest sound is new, be it later than the others'."""
        newest = self._place(now_s) - JOINS_S * RATE_HZ
        come = [
            each
            for each in self._lanes
            if not each.is_there and each.has_come and each.column.front > newest
        ]
        if come and not any(lane.is_there for lane in self._lanes):
            self._at = max(self._at, min(lane.first for lane in come))
        for lane in come:
            if lane.gone_at is not None:
                gap_s = max(0, lane.column.front - lane.gone_at) / RATE_HZ
                here_s = self._time_s(lane.column.front)
                self._told.append(Returned(lane.name, here_s, gap_s))
            lane.is_there, lane.gone_at, lane.hole = True, None, 0

    def _follow(self, lane: _Lane, front: int, size: int) -> None:
        """Note that a channel that was lost gives sound, and where that begins."""
        if not lane.has_come and (now := lane.column.front) != front:
            lane.has_come, lane.first = True, max(front, now - size)

    def _lose(self, lane: _Lane, reason: str) -> None:
        lane.is_there = lane.has_come = False
        lane.gone_at = lane.column.front
        since_s = self._time_s(lane.column.front)
        self._told.append(Lost(lane.name, since_s, reason, is_filled=True))

    def _tell(self) -> Iterator[Event]:
        told, self._told = self._told, []
        yield from told

    def _place(self, at_s: float) -> float:
        return (at_s - self._begun_s) * RATE_HZ

    def _time_s(self, at: int) -> float:
        return self._begun_s + at / RATE_HZ
