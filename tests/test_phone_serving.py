"""The page's own process: who connects and asks for nothing does not keep others out."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, field
from typing import Any

import pytest
import uvicorn
from uvicorn.server import ServerState

from calllog.server import serving
from calllog.server.serving import Connected


@dataclass
class Transport:
    """A connection of one address that remembers what was done to it."""

    address: str
    is_aborted: bool = False
    is_closed: bool = False
    written: list[bytes] = field(default_factory=list)

    def get_extra_info(self, name: str, default: object = None) -> object:
        """Tell whose it is."""
        return (self.address, 40_000) if name == "peername" else default

    def abort(self) -> None:
        """Hang up."""
        self.is_aborted = True

    def close(self) -> None:
        """Hang up in peace."""
        self.is_closed = True

    def is_closing(self) -> bool:
        """Tell whether it was hung up."""
        return self.is_aborted or self.is_closed

    def write(self, data: bytes) -> None:
        """Remember what is sent."""
        self.written.append(data)

    def pause_reading(self) -> None:
        """Do nothing."""

    def resume_reading(self) -> None:
        """Do nothing."""


async def _answer_at_once(scope: Any, receive: Any, send: Any) -> None:  # noqa: ANN401 - ASGI's own
    """Answer without reading a body."""
    del scope, receive
    await send(
        {"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"0")]}
    )
    await send({"type": "http.response.body", "body": b""})


def connect(address: str, application: Any = None) -> tuple[Connected, Transport]:  # noqa: ANN401 - ASGI's own
    """Connect."""
    config = uvicorn.Config(application or _answer, log_config=None, ws="none")
    config.load()
    made, transport = Connected(config, ServerState(), {}), Transport(address)
    made.connection_made(transport)  # type: ignore[arg-type]
    return made, transport


async def _answer(scope: Any, receive: Any, send: Any) -> None:  # noqa: ANN401 - ASGI's own
    """Answer after the test is over."""
    await asyncio.sleep(60)
    del scope, receive, send


def test_who_asks_for_nothing_is_hung_up_on(monkeypatch: pytest.MonkeyPatch) -> None:
    """Half a request is none; who has asked keeps the connection, as streams must."""
    monkeypatch.setattr(serving, "FIRST_S", 0.05)

    async def wait() -> None:
        silent, slow, sound = (connect(f"10.42.0.{number}") for number in range(3))
        slow[0].data_received(b"GET / HTTP/1.1\r\nHost: ")
        sound[0].data_received(b"GET / HTTP/1.1\r\nHost: x\r\n\r\n")
        await asyncio.sleep(0.2)
        assert [each.is_aborted for _, each in (silent, slow, sound)] == [True, True, False]
        for made, _ in (silent, slow, sound):
            made.connection_lost(None)

    asyncio.run(wait())


def test_next_request_may_not_trickle_in_for_ever(monkeypatch: pytest.MonkeyPatch) -> None:
    """A connection that was answered once is not held by a second request that never ends."""
    monkeypatch.setattr(serving, "IDLE_S", 0.1)

    async def wait() -> None:
        made, transport = connect("10.42.0.9", _answer_at_once)
        made.data_received(b"GET / HTTP/1.1\r\nHost: x\r\n\r\n")
        await asyncio.sleep(0.02)
        assert b"200 OK" in b"".join(transport.written)
        for _ in range(10):
            made.data_received(b"G")
            await asyncio.sleep(0.02)
        assert transport.is_aborted
        made.connection_lost(None)

    asyncio.run(wait())


def test_body_that_nobody_wants_ends_the_connection() -> None:
    """What was announced and is not there when the answer is sent is not waited for."""

    async def wait() -> None:
        made, transport = connect("10.42.0.9", _answer_at_once)
        made.data_received(b"GET / HTTP/1.1\r\nHost: x\r\nContent-Length: 1000000\r\n\r\nab")
        await asyncio.sleep(0.02)
        assert b"200 OK" in b"".join(transport.written)
        assert transport.is_closed
        made.connection_lost(None)

    asyncio.run(wait())


def test_who_does_not_read_is_hung_up_on(monkeypatch: pytest.MonkeyPatch) -> None:
    """An answer that is not taken holds its connection for a while only; a slow reader goes on."""
    monkeypatch.setattr(serving, "STUCK_S", 0.5)

    async def wait() -> None:
        (stuck, stuck_transport), (slow, slow_transport) = connect("a"), connect("b")
        for made in (stuck, slow):
            made.pause_writing()
        await asyncio.sleep(0.02)
        slow.resume_writing()
        await asyncio.sleep(1.0)
        assert (stuck_transport.is_aborted, slow_transport.is_aborted) == (True, False)
        for made in (stuck, slow):
            made.connection_lost(None)

    asyncio.run(wait())
