"""Server: a crew phone's connection, in the page's own process: frames and keys up, sayings down.

The phone is asked for the time four times a second, so that its frames lie on this computer's
clock and silence either way is known within seconds. Nothing of it is kept here. What is sent in a
way that no page of ours does ends the connection.
"""

import asyncio
import hmac
import json
import time
from collections import deque
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Annotated, Final

from pydantic import Field, ValidationError
from starlette.websockets import WebSocket, WebSocketDisconnect, WebSocketState

from calllog.server.board import Board
from calllog.server.clocks import PhoneClock
from calllog.server.door import token_of
from calllog.server.frames import LATEST_S, Frame, hand_on, read_frame
from calllog.server.messages import Agreed, Began, Fares, Guest, Joined, Keyed, Parted, Speak
from calllog.values import Frozen

ASKED_S: Final = 0.25
"""How often a phone is asked for its time."""
FIRST_S: Final = 5.0
"""How long its first words may take."""
SILENT_S: Final = 3.0
"""A phone that says nothing for so long is gone."""
UNSENT: Final = 64
"""Sayings that wait for a slow phone; older ones are dropped."""
BURST: Final = 600
"""Most that comes within `BURST_S`: what a phone held back while it was cut off, and the new."""
BURST_S: Final = 2.0
MOST_TEXT: Final = 512
"""Characters of what a phone says."""
WRONG: Final = 1008
"""Why a connection is ended (RFC 6455, section 7.4.1): what came breaks the rules."""
REPLACED: Final = 4001
"""Another page of the same phone has come in its place; codes from 4000 on are our own."""
ASKS: Final = 8
"""Questions about the time that are remembered."""


class Hello(Frozen):
    """A page's first words."""

    token: Annotated[str, Field(max_length=64)]
    page: Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
    """Made anew when the page is opened; its frames count from there."""
    keeps: bool
    """Whether who holds it lets clips of calls be kept."""


class PocketWords(Frozen):
    """What a page says later; one thing at a time."""

    time: Annotated[int, Field(ge=0)] | None = None
    """Number of the question about the time that this answers, and that time [s]."""
    at_s: Annotated[float, Field(ge=0.0, le=LATEST_S)] = 0.0
    key: Annotated[str, Field(max_length=1)] = ""
    began: Annotated[int, Field(ge=0)] | None = None
    """Number of a saying whose first sound has left, and when [s]."""
    battery: Annotated[int, Field(ge=0, le=100)] | None = None
    is_dead: bool | None = None


@dataclass(eq=False)
class _Connection:
    """One connection."""

    socket: WebSocket
    phone: str
    page: int
    clock: PhoneClock = field(default_factory=PhoneClock)
    asked: dict[int, float] = field(default_factory=dict)
    unsent: deque[str] = field(default_factory=lambda: deque(maxlen=UNSENT))
    waiting: asyncio.Event = field(default_factory=asyncio.Event)
    came: deque[float] = field(default_factory=lambda: deque(maxlen=BURST))
    got: int = -1
    """Number of the newest frame."""


class Pockets:
    """The crew phones that are connected.

    Args:
        board: who may come in.
        sound: takes frames on to the field loop.
        clock: the monotonic clock [s], the field loop's own.
    """

    def __init__(
        self,
        board: Board,
        sound: Callable[[bytes], None],
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._board = board
        self._sound = sound
        self._clock = clock
        self._lines: dict[str, _Connection] = {}
        self._pages: dict[str, str] = {}
        """The newest page of each phone."""
        self._count = 0
        self._numbers: dict[str, int] = {}
        board.speak = self.speak

    async def serve(self, socket: WebSocket, secret: str) -> None:
        """Talk with a phone until either ends it."""
        phone = self._board.door.knows(secret)
        await socket.accept()
        hello = await self._greeted(socket, secret)
        if hello is None:
            await _close(socket, WRONG)
            return
        line = self._begin(socket, phone, hello)
        tasks = [asyncio.create_task(each) for each in (self._ask(line, secret), _send(line))]
        try:
            await self._hear(line, secret)
        finally:
            for task in tasks:
                task.cancel()
            if self._lines.get(phone) is line:
                del self._lines[phone]
                self._board.tell(Parted(phone=phone))
            await _close(socket, WRONG)

    def speak(self, said: Speak) -> None:
        """Bring what is to be said to the phone of a role; nowhere if none is connected."""
        for line in self._lines.values():
            guest = self._guest(line.phone)
            if guest is not None and guest.holds and guest.role is said.role:
                _put(line, said.text)

    def _begin(self, socket: WebSocket, phone: str, hello: Hello) -> _Connection:
        older = self._lines.get(phone)
        if self._pages.get(phone) != hello.page:
            self._count += 1
            self._pages[phone], self._numbers[phone] = hello.page, self._count
        line = self._lines[phone] = _Connection(socket, phone, self._numbers[phone])
        if older is not None:
            self._ending = asyncio.create_task(_close(older.socket, REPLACED))
        self._board.tell(Agreed(phone=phone, keeps=hello.keeps))
        self._board.tell(Joined(phone=phone))
        return line

    async def _greeted(self, socket: WebSocket, secret: str) -> Hello | None:
        """Wait for the first words; None if they are none of a page that was given here."""
        try:
            async with asyncio.timeout(FIRST_S):
                text = await socket.receive_text()
            hello = Hello.model_validate_json(text[: MOST_TEXT + 1])
        except (TimeoutError, WebSocketDisconnect, ValidationError, KeyError):
            return None
        fits = hmac.compare_digest(hello.token.encode(), token_of(secret).encode())
        return hello if fits else None

    async def _hear(self, line: _Connection, secret: str) -> None:
        """Take what the phone sends until it ends, is silent, or breaks the rules."""
        while self._board.door.knows(secret) == line.phone:
            try:
                async with asyncio.timeout(SILENT_S):
                    sent = await line.socket.receive()
            except (TimeoutError, RuntimeError):
                return
            if sent["type"] != "websocket.receive" or self._lines.get(line.phone) is not line:
                return
            now_s = self._clock()
            if len(line.came) == BURST and now_s - line.came[0] < BURST_S:
                return
            line.came.append(now_s)
            if (sound := sent.get("bytes")) is not None:
                if not self._take_frame(line, sound, now_s):
                    return
            elif not self._take_words(line, sent.get("text") or ""):
                return

    def _take_frame(self, line: _Connection, sound: bytes, now_s: float) -> bool:
        """Hand a frame on; tell whether it is one."""
        frame = read_frame(sound)
        if frame is None:
            return False
        line.got = frame.number
        guest = self._guest(line.phone)
        if guest is not None and guest.holds and line.clock.is_known:
            at_s = line.clock.here_s(frame.at_s)
            if 0.0 <= at_s <= now_s + 1.0:
                here = Frame(frame.number, at_s, frame.samples)
                self._sound(hand_on(guest.role, line.page, here))
        return True

    def _take_words(self, line: _Connection, text: str) -> bool:
        """Take what a phone says; tell whether it is any of ours."""
        if len(text) > MOST_TEXT:
            return False
        try:
            words = PocketWords.model_validate_json(text)
            if words.time is not None:
                asked_s = line.asked.pop(words.time, None)
                if asked_s is not None:
                    line.clock.note(asked_s, words.at_s, self._clock())
            elif words.key:
                self._board.tell(Keyed(phone=line.phone, key=words.key))
            elif words.began is not None and line.clock.is_known:
                at_s = line.clock.here_s(words.at_s)
                self._board.tell(Began(phone=line.phone, saying=words.began, at_s=at_s))
            elif words.is_dead is not None:
                fares = Fares(phone=line.phone, battery=words.battery, is_dead=words.is_dead)
                self._board.tell(fares)
        except ValidationError:
            return False
        return True

    async def _ask(self, line: _Connection, secret: str) -> None:
        """Ask for the time, and tell how the phone stands, again and again."""
        number = 0
        while self._board.door.knows(secret):
            number += 1
            line.asked[number] = self._clock()
            while len(line.asked) > ASKS:
                del line.asked[next(iter(line.asked))]
            guest = self._guest(line.phone)
            told = {
                "time": number,
                "holds": guest is not None and guest.holds,
                "is_timed": line.clock.is_known,
                "got": line.got,
            }
            with suppress(RuntimeError, WebSocketDisconnect):
                await line.socket.send_text(json.dumps(told))
            await asyncio.sleep(ASKED_S)
        await _close(line.socket, WRONG)

    def _guest(self, phone: str) -> Guest | None:
        return self._board.door.phones.get(phone)


def _put(line: _Connection, text: str) -> None:
    line.unsent.append(text)
    line.waiting.set()


async def _send(line: _Connection) -> None:
    """Send what is to be said, in order."""
    while True:
        await line.waiting.wait()
        line.waiting.clear()
        while line.unsent:
            try:
                await line.socket.send_text(line.unsent.popleft())
            except (RuntimeError, WebSocketDisconnect):
                return


async def _close(socket: WebSocket, code: int) -> None:
    """End a connection that may have ended already."""
    if WebSocketState.DISCONNECTED in (socket.client_state, socket.application_state):
        return
    with suppress(RuntimeError, WebSocketDisconnect):
        await socket.close(code)
