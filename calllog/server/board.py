"""Server: the field loop's messages in, what each page is told out; no clock, no network.

Lives in the page's own process, on its event loop alone.
"""

import asyncio
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass, field
from typing import TypeVar

from calllog.server.door import Door
from calllog.server.messages import (
    Admission,
    Admitted,
    Beat,
    FromPage,
    Knock,
    Left,
    Order,
    OrderAnswer,
    Ordered,
    OrderTold,
    Past,
    PhoneState,
    Speak,
    Spent,
    ToPage,
)
from calllog.values import Role

CARDS = 10
"""Booked pulls shown at once."""
PENDING = 4
"""Orders of one phone that may wait for their answers."""
STREAMS = 4
"""Pages that one phone may have open."""


@dataclass(frozen=True, slots=True)
class KnownState:
    """The state that was known before who asks came; whether it still holds is not."""

    state: PhoneState


class Busy(Exception):  # noqa: N818 - told to the phone, no fault
    """A phone has asked for too much at once."""


@dataclass
class Board:
    """What is known of the job, and who waits for news of it."""

    tell: Callable[[FromPage], None]
    door: Door = field(default_factory=Door)
    state: PhoneState | None = None
    cards: list[str] = field(default_factory=list)
    is_open: asyncio.Event = field(default_factory=asyncio.Event)
    """Set once it is known who may come in: nobody is turned away before."""
    speak: Callable[[Speak], None] = lambda _: None
    """Brings what is to be said to a crew phone that is connected."""
    _beats: int = 0
    _changed: asyncio.Event = field(default_factory=asyncio.Event)
    _answers: dict[tuple[str, str], asyncio.Future[OrderAnswer]] = field(default_factory=dict)
    _admitted: dict[int, asyncio.Future[str]] = field(default_factory=dict)
    _knocks: int = 0
    streams: dict[str, int] = field(default_factory=dict)
    """How many pages of each phone are open."""

    def take(self, message: ToPage) -> None:
        """Take a message of the field loop."""
        match message:
            case PhoneState():
                self.state = message
                self._beats += 1
            case Beat():
                self._beats += 1
            case Speak():
                self.speak(message)
                return
            case Past(first=first, cards=cards):
                del self.cards[first:]
                self.cards += cards
                return
            case Admission(code=code, phones=phones):
                self.door.renew(code, phones)
                self.is_open.set()
            case Admitted(number=number, phone=phone):
                if not _settle(self._admitted.pop(number, None), phone) and phone:
                    self.leave(phone)  # it was told that it is not paired, and has no secret
            case OrderTold(phone=phone, answer=answer):
                _settle(self._answers.pop((phone, answer.id), None), answer)
        changed, self._changed = self._changed, asyncio.Event()
        changed.set()

    async def order(self, phone: str, order: Order) -> OrderAnswer:
        """Give an order to the field loop and wait for its answer; Busy if too many wait."""
        key = (phone, order.id)
        waiting = self._answers.get(key)
        if waiting is None:
            if sum(1 for of, _ in self._answers if of == phone) >= PENDING:
                raise Busy
            waiting = self._answers[key] = asyncio.get_running_loop().create_future()
            self.tell(Ordered(phone=phone, order=order))
        return await asyncio.shield(waiting)

    async def pair(self, code: str, name: str, secret_sha256: str, role: Role = Role.UNSAID) -> str:
        """Have a phone that gave the code written into the journal.

        Returns:
            What it is known by; empty if the code or the name are another's by now.
        """
        self._knocks += 1
        number = self._knocks
        waiting: asyncio.Future[str] = asyncio.get_running_loop().create_future()
        self._admitted[number] = waiting
        self.tell(
            Knock(number=number, code=code, name=name, secret_sha256=secret_sha256, role=role)
        )
        return await waiting

    def leave(self, phone: str) -> None:
        """Forget a phone."""
        self.tell(Left(phone=phone))

    def spent(self) -> None:
        """Ask for another code."""
        self.tell(Spent())

    def past(self, before: int | None) -> tuple[int, list[str]]:
        """Give booked pulls before a place, newest first, and the place of the last given."""
        until = len(self.cards) if before is None else max(0, min(before, len(self.cards)))
        first = max(0, until - CARDS)
        return first, self.cards[first:until][::-1]

    def is_followed_enough(self, secret: str) -> bool:
        """Tell whether a phone has as many pages open as it may."""
        return self.streams.get(self.door.knows(secret), 0) >= STREAMS

    async def follow(self, secret: str, seen: str) -> AsyncIterator[KnownState | PhoneState | Beat]:
        """Give the state that is known, then the newest whenever it is new, and beats meanwhile.

        It ends when the phone is revoked.

        Args:
            secret: the phone's.
            seen: the state that the page shows already.
        """
        phone = self.door.knows(secret)
        self.streams[phone] = self.streams.get(phone, 0) + 1
        beats, state = self._beats, self.state
        try:
            if state is not None and state.id != seen:
                seen = state.id
                yield KnownState(state)
            while self.door.knows(secret):
                changed = self._changed
                if self.state is not None and self.state.id != seen:
                    seen, beats = self.state.id, self._beats
                    yield self.state
                elif self._beats != beats:
                    beats = self._beats
                    yield Beat()
                await changed.wait()
        finally:
            self.streams[phone] -= 1
            if not self.streams[phone]:
                del self.streams[phone]


Result = TypeVar("Result")


def _settle(waiting: asyncio.Future[Result] | None, result: Result) -> bool:
    """Give a result to who waits for it; tell whether somebody did."""
    if waiting is None or waiting.done():
        return False
    waiting.set_result(result)
    return True
