"""Phone: the field loop's side of the crew's phones: their sound and keys in, sayings out; shell.

Its sound is one more source behind the microphones' interface (`read`); phones and a microphone
beside them lie on one time line. Frames come by a way of their own, in a thread that only queues
them, so that neither a busy loop nor a full queue holds the page's process up.
"""

import queue
import socket
import threading
import time
from collections import deque
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Final, Protocol

import numpy as np

from calllog.audio.abreast import Abreast
from calllog.audio.endpoint import Samples
from calllog.audio.events import Event, Gap, Lost, Overflow, Returned, Sound
from calllog.keypad import Link
from calllog.server.frames import FRAME, FRAME_S, WHOLE, Frame, taken_on
from calllog.values import Role

HELD_S: Final = 30.0
"""Sound held for a loop that is busy; what comes beyond is dropped, and is a gap then."""
LOOK_S: Final = 0.01
IDLE_S: Final = 600.0
"""A phone that calls nothing for so long is asked whether anybody is there."""
ANSWER_S: Final = 60.0
"""How long they may take to answer; then it is muted."""
LOW: Final = 15
"""Per cent of a battery below which its owner is told."""
CLEAR: Final = "\b"
HERE: Final = "h"
"""The key that says: I am here."""
SAY_AGAIN: Final = "r"
"""The key, and a headset's button, that asks for the last thing again, whatever is half typed."""
MUTED = "nobody called for ten minutes"
DEAD = "the phone's microphone gives no sound"


class MicrophoneBeside(Protocol):
    """A microphone of the computer beside a phone (see `calllog.audio.microphone`)."""

    def read(self, timeout_s: float) -> Event | None:
        """Return what came next, waiting for it if need be."""


class Keys:
    """The keys of one phone, as a keypad's."""

    def __init__(self, name: str) -> None:
        self.name = name
        self._pressed: deque[str] = deque(maxlen=256)

    def press(self, key: str) -> None:
        """Take a key."""
        self._pressed.append(key)

    def read(self, timeout_s: float) -> str | Link | None:
        """Give the next key (see `calllog.keypad.KeySource`)."""
        if not self._pressed and timeout_s:
            time.sleep(timeout_s)
        return self._pressed.popleft() if self._pressed else None

    def close(self) -> None:
        """Nothing is held."""


@dataclass(slots=True)
class _Phone:
    """What is known of the phone of one role."""

    role: Role
    keys: Keys
    is_joined: bool = False
    heard_s: float = 0.0
    """When somebody called, keyed, or said that they are there, last [s]."""
    asked_s: float | None = None
    """When they were asked whether they are there; None if they were not."""
    is_muted: bool = False
    is_low: bool = False
    is_dead: bool = False
    call: int = -1
    """Number of the last call of theirs."""


class Idle:
    """What is due of a phone that calls nothing."""

    ASK = "ask"
    MUTE = "mute"


def idle(phone: _Phone, now_s: float) -> str:
    """Tell what is due of a phone that calls nothing; empty for nothing."""
    if not phone.is_joined or phone.is_muted:
        return ""
    if phone.asked_s is None:
        return Idle.ASK if now_s - phone.heard_s >= IDLE_S else ""
    return Idle.MUTE if now_s - phone.asked_s >= ANSWER_S else ""


@dataclass(eq=False)
class CrewPhones:
    """Head's and rear's phones.

    Args:
        roles: of the channels, head before rear.
        phones: which of them are phones.
        beside: the microphone of the others, of one channel; None without.
        clock: monotonic [s].
    """

    roles: Sequence[Role]
    phones: Sequence[Role]
    beside: MicrophoneBeside | None = None
    clock: Callable[[], float] = time.monotonic
    _abreast: Abreast = field(init=False)
    _known: dict[Role, _Phone] = field(init=False)

    def __post_init__(self) -> None:
        self._abreast = Abreast([each.value for each in self.roles], self.clock() - 1.0)
        self._known = {role: _Phone(role, Keys(f"phone {role.value}")) for role in self.phones}
        self._queue: queue.Queue[tuple[Role, int, Frame]] = queue.Queue()
        self._room = int(HELD_S / FRAME_S) * max(1, len(self.phones))
        self._ready: deque[Event] = deque()
        self._ours: socket.socket | None = None

    @property
    def keypads(self) -> tuple[tuple[Keys, Role], ...]:
        """The keys of each phone, and whose they are."""
        return tuple((each.keys, each.role) for each in self._known.values())

    def hand_over(self) -> socket.socket:
        """Give the page's process its end of the way by which frames come; an older one ends."""
        self.close()
        ours, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        self._ours = ours
        threading.Thread(target=self._listen, args=(ours,), name="phones", daemon=True).start()
        return theirs

    def close(self) -> None:
        """End the way."""
        ours, self._ours = self._ours, None
        if ours is not None:
            with suppress(OSError):  # the other end is gone already
                ours.shutdown(socket.SHUT_RDWR)

    def read(self, timeout_s: float) -> Event | None:
        """Return what came next of all channels, waiting for it if need be."""
        deadline_s = time.monotonic() + timeout_s
        while True:
            self._take_beside()
            self._take_frames()
            self._ready.extend(self._abreast.events(self.clock()))
            left_s = deadline_s - time.monotonic()
            if self._ready or left_s <= 0.0:
                return self._ready.popleft() if self._ready else None
            try:
                self.take_frame(*self._queue.get(timeout=min(left_s, LOOK_S)))
            except queue.Empty:
                continue

    def take_frame(self, role: Role, page: int, frame: Frame) -> None:
        """Take a frame of a role's phone.

        Args:
            role: whose it is; nothing is taken of one that is muted.
            page: another number where the phone counts its frames anew.
            frame: by this computer's clock.
        """
        known = self._known.get(role)
        if known is None or known.is_muted:
            return
        samples = np.frombuffer(frame.samples, "<i2").astype(np.float32) / np.float32(32768.0)
        channel = self.roles.index(role)
        self._abreast.put(channel, page, frame.number * FRAME, frame.at_s, samples)

    def sound(self, channel: int, begin_s: float, end_s: float) -> Samples:
        """Give all that is known of a stretch of a channel by now (see `Abreast.sound`)."""
        return self._abreast.sound(channel, begin_s, end_s)

    def name(self, role: Role, who: str) -> None:
        """Know who holds the phone of a role."""
        self._abreast.name(self.roles.index(role), who)

    def is_heard(self, role: Role) -> bool:
        """Tell whether the phone of a role gives sound."""
        return self._abreast.is_there(self.roles.index(role))

    def join(self, role: Role, *, is_other: bool = False) -> None:
        """Know that the phone of a role is connected, and whether it is another than before."""
        known = self._known[role]
        known.is_joined, known.is_dead = True, False
        if is_other or not known.is_muted:
            self._wake(known)

    def part(self, role: Role) -> None:
        """Know that it is not any more; what was half typed on it is wiped."""
        known = self._known[role]
        known.is_joined = False
        known.keys.press(CLEAR)

    def press(self, role: Role, key: str) -> bool:
        """Take a key; tell whether somebody was found to be there again by it."""
        known = self._known[role]
        was_asleep = known.is_muted or known.asked_s is not None
        self._wake(known)
        if key != HERE and not was_asleep:
            known.keys.press(key)
        return was_asleep

    def fare(self, role: Role, battery: int | None, *, is_dead: bool) -> tuple[bool, bool]:
        """Take how a phone fares; tell whether its battery or its microphone must be told of."""
        known = self._known[role]
        was_low, was_dead = known.is_low, known.is_dead
        known.is_low = battery is not None and battery < LOW
        known.is_dead = is_dead
        if is_dead and not was_dead:
            self._abreast.lose(self.roles.index(role), DEAD)
        return known.is_low and not was_low, is_dead and not was_dead

    def called(self, role: Role, number: int) -> None:
        """Know the last call of a role, by its number."""
        known = self._known.get(role)
        if known is not None and number != known.call:
            known.call = number
            self._wake(known)

    def is_muted(self, role: Role) -> bool:
        """Tell whether a phone was muted because nobody called."""
        return self._known[role].is_muted

    def due(self) -> tuple[tuple[Role, str], ...]:
        """Give whom to ask whether they are there, and who is muted now."""
        now_s, found = self.clock(), []
        for known in self._known.values():
            what = idle(known, now_s)
            if what == Idle.ASK:
                known.asked_s = now_s
            elif what == Idle.MUTE:
                known.is_muted = True
                self._abreast.lose(self.roles.index(known.role), MUTED)
            if what:
                found.append((known.role, what))
        return tuple(found)

    def _wake(self, known: _Phone) -> None:
        known.heard_s, known.asked_s, known.is_muted = self.clock(), None, False

    def _listen(self, ours: socket.socket) -> None:
        """Queue frames until the way ends; in a thread of its own."""
        with ours:
            while True:
                try:
                    came = ours.recv(WHOLE + 1)
                except OSError:
                    return
                if not came:
                    return
                taken = taken_on(came)
                if taken is not None and self._queue.qsize() < self._room:
                    self._queue.put(taken)

    def _take_frames(self) -> None:
        while True:
            try:
                self.take_frame(*self._queue.get_nowait())
            except queue.Empty:
                return

    def _take_beside(self) -> None:
        """Lay what the microphone beside gave on the time line."""
        if self.beside is None:
            return
        channel = next(n for n, role in enumerate(self.roles) if role not in self._known)
        while (event := self.beside.read(0.0)) is not None:
            match event:
                case Sound(samples=samples, begin_s=begin_s):
                    self._abreast.put_timed(channel, begin_s, samples[:, 0])
                case Lost(name=name, reason=reason):
                    self._abreast.name(channel, name)
                    self._abreast.lose(channel, reason)
                case Overflow(name=name, at_s=at_s, frames=frames):
                    self._ready.append(Gap(name, at_s, frames or 0))
                case Returned() | Gap():
                    pass  # the time line tells both by itself
