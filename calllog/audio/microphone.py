"""Microphones worn by the crew: devices by name in, sound at 16 kHz and what befell it out; shell.

What befalls a device while it runs is an event for the journal, never an exception. It is taken
for lost if PortAudio says so, if no block comes for a second, or if the sound server moves the
stream to another microphone (PulseAudio does so without a gap and without a word when a headset
is pulled out). Then the same name is tried once a second until it gives sound again. A computer so
busy that it lets this program wait lets the sound wait, too: that is no loss of the device.
"""

import queue
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Self

import numpy as np

from calllog.audio.devices import (
    BLOCK_S,
    START_S,
    Backend,
    Block,
    Device,
    Stream,
    find_device,
    find_microphones,
)
from calllog.audio.events import Event, Lost, Overflow, Returned, Sound
from calllog.audio.portaudio import PortAudio
from calllog.audio.source import RATE_HZ
from calllog.audio.tracks import Merger, Track
from calllog.errors import AudioError

_SILENT_S = 1.0
"""A running device gives a block every 0.03 s; none for this long is a lost device."""
_RETRY_S = 1.0
LOOK_S = 0.1
_ROUTES_S = 1.0
"""How often the sound server is asked whether it moved a stream; 5 ms of work each."""
_HELD_S = 30.0
"""Sound held for a reader that is busy; what comes beyond is dropped and told."""


@dataclass(frozen=True, slots=True, eq=False)
class _Arrived:
    """A block, as the callback queues it."""

    line: int
    block: Block
    arrival_s: float
    dropped: int
    """Frames before it that found no room in the queue."""


@dataclass(frozen=True, slots=True)
class _Told:
    """A device was lost or returned."""

    line: int
    event: Lost | Returned


class _Line:
    """One device: its stream, and how it fares."""

    def __init__(self, number: int, name: str | None) -> None:
        self.number = number
        self.wanted = name
        self.name = name or "default microphone"
        self.stream: Stream | None = None
        self.opening = 0
        """Number of times opened; blocks of an earlier opening are not heard."""
        self.opened_s = 0.0
        self.last_s: float | None = None
        """Arrival of the latest block [s]; None before the first."""
        self.stalled_s = 0.0
        """For how long nobody could look for a block since then [s]."""
        self.lost_s: float | None = None
        """Since when it is lost [s]; None while it runs."""
        self.tried_s = 0.0
        self.routes: dict[int, int] = {}
        """What its stream hears, by the sound server's numbers, as it was opened."""
        self.dropped = 0


class Microphone:
    """One or two microphones as one stream of events, from entering the context to leaving it.

    Both callers share one device of one channel, or wear one each: a stereo receiver (one name,
    two channels: head left, rear right) or two devices (two names, head first).

    Args:
        names: what `find_device` takes; none for the default device.
        channels: 1 or 2 for one device, 1 if None; with two names each has one channel.
        backend: what knows and opens the devices.
        clock: a monotonic clock [s].

    Raises:
        AudioError: too many names or channels.
    """

    def __init__(
        self,
        names: tuple[str, ...] = (),
        *,
        channels: int | None = None,
        backend: Backend | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        most = 1 if len(names) > 1 else 2
        each = 1 if channels is None else channels
        if len(names) == 2 and channels == 2:  # noqa: PLR2004
            each = 1
        if len(names) > 2 or not 1 <= each <= most:  # noqa: PLR2004
            raise AudioError(
                f"{len(names) or 1} microphones with {channels} channels",
                where=", ".join(names),
                next_step="name one device with 1 or 2 channels, or two devices",
            )
        self._each = each
        self._backend = backend or PortAudio()
        self._clock = clock
        self._lines = [_Line(number, name) for number, name in enumerate(names or (None,))]
        self._queue: queue.Queue[_Arrived | _Told] = queue.Queue()
        self._room = int(_HELD_S / BLOCK_S) * len(self._lines)
        self._ready: deque[Event] = deque()
        self._tracks: list[Track | None] = [None for _ in self._lines]
        self._merger = Merger()
        self._is_over = threading.Event()
        self._watch = threading.Thread(target=self._keep_watch, name="microphone", daemon=True)
        self._asked_s = 0.0

    @property
    def channels(self) -> int:
        """Columns of the sound."""
        return self._each * len(self._lines)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the devices as the system has them."""
        return tuple(line.name for line in self._lines)

    @property
    def fitted(self) -> int:
        """Samples put in or taken out so far, because two devices' clocks differ."""
        return self._merger.fitted

    def __enter__(self) -> Self:
        """Open the devices, and wait until each gives sound.

        Raises:
            AudioError: a device is missing, ambiguous, refuses, or gives no sound.
        """
        found = find_microphones(
            self._backend.devices(), tuple(line.wanted for line in self._lines if line.wanted)
        )
        try:
            for line, device in zip(self._lines, found, strict=True):
                self._backend.probe(device.name, self._each)
                self._open(line, device)
            self._await_sound()
            self._asked_s = self._clock()
        except BaseException:
            self._close_all()
            raise
        self._watch.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._is_over.set()
        self._watch.join()
        self._close_all()

    def read(self, timeout_s: float) -> Event | None:
        """Return what came next, waiting up to `timeout_s` for it; None if nothing came in time."""
        deadline_s = time.monotonic() + timeout_s
        while not self._ready:
            try:
                item = self._queue.get(timeout=max(0.0, deadline_s - time.monotonic()))
            except queue.Empty:
                return None
            self._ready.extend(self._follow(item))
        return self._ready.popleft()

    def _follow(self, item: _Arrived | _Told) -> Iterator[Event]:
        """Say what follows from a block, or from what was told."""
        name = self._lines[item.line].name
        if isinstance(item, _Told):
            self._tracks[item.line] = None
            yield item.event
            yield from self._sound()
            return
        block = item.block
        track = self._tracks[item.line]
        if track is None:
            track = Track(block.rate_hz, self._each)
            self._tracks[item.line] = track
        if item.dropped:
            track.skip(item.dropped)
            yield Overflow(name, track.begin_s, round(item.dropped * RATE_HZ / block.rate_hz))
        if block.is_broken:
            track.restart()
        missing_s = track.put(block.samples, item.arrival_s, block.age_s)
        if block.is_broken:
            yield Overflow(name, track.begin_s, None)
        if missing_s:
            yield Overflow(name, track.begin_s, round(missing_s * RATE_HZ))
        yield from self._sound()

    def _sound(self) -> Iterator[Sound]:
        if len(self._tracks) > 1:
            for samples, begin_s in self._merger.merge(self._tracks):
                yield Sound(samples, begin_s)
            return
        track = self._tracks[0]
        if track is not None and len(track):
            begin_s = track.begin_s
            yield Sound(track.take(len(track)), begin_s)

    def _open(self, line: _Line, device: Device) -> None:
        """Begin to hear a device; AudioError if it refuses."""
        line.opening += 1
        line.name = device.name
        line.last_s = None
        line.stalled_s = 0.0
        line.opened_s = self._clock()
        opening = line.opening

        def hear(block: Block) -> None:
            if opening == line.opening:
                self._hear(line, block)

        before = self._backend.routes()
        line.stream = self._backend.open(device, self._each, hear)
        after = self._backend.routes()
        line.routes = {stream: after[stream] for stream in after if stream not in before}

    def _hear(self, line: _Line, block: Block) -> None:
        """Queue a block; in the system's thread, so nothing more."""
        arrival_s = self._clock()
        line.last_s = arrival_s
        line.stalled_s = 0.0
        if line.lost_s is not None:
            gap_s, line.lost_s = arrival_s - line.lost_s, None
            self._queue.put(_Told(line.number, Returned(line.name, arrival_s, gap_s)))
        if self._queue.qsize() >= self._room:
            line.dropped += len(block.samples)
            return
        dropped, line.dropped = line.dropped, 0
        self._queue.put(_Arrived(line.number, block, arrival_s, dropped))

    def _await_sound(self) -> None:
        """Wait for the first block of each device; AudioError if one gives none."""
        deadline_s = time.monotonic() + START_S
        for line in self._lines:
            while line.last_s is None and time.monotonic() < deadline_s:
                time.sleep(BLOCK_S / 4)
            if line.last_s is None:
                raise AudioError(
                    f"gives no sound within {START_S:.0f} s",
                    where=line.name,
                    next_step="check that it is switched on and not suspended",
                )

    def _keep_watch(self) -> None:
        due_s = time.monotonic() + LOOK_S
        while not self._is_over.wait(LOOK_S):
            self.look_after(stalled_s=max(0.0, time.monotonic() - due_s))
            due_s = time.monotonic() + LOOK_S

    def look_after(self, *, stalled_s: float = 0.0) -> None:
        """Find out which devices were lost, and try those that are.

        Args:
            stalled_s: how much later the computer lets this be done than it was due [s].
        """
        now_s = self._clock()
        for line in self._lines:
            line.stalled_s += stalled_s
            fault = self._fault(line, now_s)
            if fault and line.lost_s is None:
                self._lose(line, fault, line.opened_s if line.last_s is None else line.last_s)
            elif fault:
                self._close(line)
        if now_s - self._asked_s >= _ROUTES_S:
            self._look_for_moves(now_s)
        for line in self._lines:
            if line.stream is None and now_s - line.tried_s >= _RETRY_S:
                self._try(line)
                line.tried_s = self._clock()

    def _look_for_moves(self, now_s: float) -> None:
        """Give up a device if the sound server put another microphone in its place."""
        routes = self._backend.routes()
        for line in self._lines:
            if line.lost_s is None and any(
                routes.get(stream, source) != source for stream, source in line.routes.items()
            ):
                self._lose(
                    line, "the sound server put another microphone in its place", self._asked_s
                )
        self._asked_s = now_s

    def _lose(self, line: _Line, reason: str, since_s: float) -> None:
        """Tell that a device is lost, to be tried at once.

        It is told before it is closed, which takes as long as the system likes.
        """
        line.opening += 1
        line.lost_s = since_s
        line.tried_s = -np.inf
        self._queue.put(_Told(line.number, Lost(line.name, since_s, reason)))
        self._close(line)

    def _fault(self, line: _Line, now_s: float) -> str:
        """Say what is wrong with a running device, "" if nothing is."""
        if line.stream is None:
            return ""
        if not line.stream.is_active:
            return "the system stopped it"
        since_s = line.opened_s if line.last_s is None else line.last_s
        silent_s = now_s - since_s - line.stalled_s
        if silent_s > (START_S if line.last_s is None else _SILENT_S):
            return "no sound came from it"
        return ""

    def _try(self, line: _Line) -> None:
        """Open a lost device again, if it is there."""
        try:
            name = self._backend.probe(line.wanted, self._each)
            others = [other for other in self._lines if other.stream is not None]
            known = [device for device in self._backend.devices() if device.name == name]
            if others and len(known) != 1:
                for other in others:
                    self._lose(other, f"closed for a moment to open {name}", self._clock())
                others = []
            if not others:
                self._backend.rescan()
            self._open(line, find_device(self._backend.devices(), name))
        except AudioError:
            line.stream = None

    def _close(self, line: _Line) -> None:
        """Close a device whose stream may be broken."""
        stream, line.stream = line.stream, None
        line.opening += 1
        if stream is not None:
            stream.close()

    def _close_all(self) -> None:
        for line in self._lines:
            self._close(line)
