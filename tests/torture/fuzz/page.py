"""The chief's page: bytes of connections, orders, and what its process tells the field loop."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import cast

import uvicorn
from h11 import LocalProtocolError
from pydantic import ValidationError
from uvicorn.server import ServerState

from calllog.keypad import KeyedEntry as Typed
from calllog.pairing import expects
from calllog.phone.orders import RemarkOrder, judge, stands
from calllog.server.board import Board
from calllog.server.door import secret_sha256, token_of
from calllog.server.messages import (
    FROM_PAGE,
    Admission,
    Admitted,
    Does,
    FromPage,
    Guest,
    Knock,
    Order,
    OrderAnswer,
    Ordered,
    OrderTold,
    PhoneState,
)
from calllog.server.serving import Connected
from calllog.server.site import HEADERS, Site
from calllog.session import Replay
from calllog.values import Decision, Role
from tests.panel import AGREED, STOPPED, replayed
from tests.phone import ANNA, PHONES
from tests.test_phone_orders import REPEATED, typed
from tests.torture.fuzz.target import Draw, Target

FOLDER = TemporaryDirectory(prefix="calllog-fuzz-")
ORIGIN = "http://10.42.0.1:8421"
CODE = "12345678"
PHONE = PHONES["Anna"]
SECRET = "a-secret-of-a-phone"  # noqa: S105 - of a phone that is none
SEEN = b"what only a paired phone may see"
ORDER = json.dumps({"id": "0" * 32, "does": "first", "on": "x", "text": ""}).encode()
HEAD = (
    b"Host: 10.42.0.1:8421\r\n", b"Origin: http://10.42.0.1:8421\r\n",
    b"Cookie: calllog=" + SECRET.encode() + b"\r\n",
    b"X-Calllog-Token: " + token_of(SECRET).encode() + b"\r\n",
    b"Content-Type: application/json\r\n", b"Content-Length: 5\r\n", b"Content-Length: 99\r\n",
    b"Transfer-Encoding: chunked\r\n", b"Expect: 100-continue\r\n", b"Connection: close\r\n",
    b"Last-Event-ID: 1-1\r\n", b"Range: bytes=0-1,2-\r\n", b"Upgrade: websocket\r\n",
    b"Sec-Fetch-Site: cross-site\r\n", b"If-Range: \xff\r\n", b"Host: evil.example\r\n",
    b"X: " + b"a" * 9_000 + b"\r\n", b": x\r\n", b"Range: bytes=9-1\r\n", b" folded: y\r\n",
)  # fmt: skip
LINES = (
    b"GET / HTTP/1.1\r\n", b"GET /api/me HTTP/1.1\r\n", b"GET /api/past?before=9 HTTP/1.1\r\n",
    b"GET /api/sound/1 HTTP/1.1\r\n", b"POST /api/order HTTP/1.1\r\n", b"HEAD / HTTP/1.1\r\n",
    b"POST /api/pair HTTP/1.1\r\n", b"POST /api/leave HTTP/1.1\r\n", b"GET /phone.js HTTP/1.1\r\n",
    b"GET /api/sound/../../secret HTTP/1.1\r\n", b"GET /%2e%2e/%2e%2e/secret HTTP/1.1\r\n",
    b"GET /api/sound/" + b"9" * 1_900 + b" HTTP/1.1\r\n", b"GET //x/ HTTP/1.1\r\n",
    b"GET http://evil.example/ HTTP/1.1\r\n", b"OPTIONS * HTTP/1.1\r\n", b"GET /\xff HTTP/1.0\r\n",
    b"GET /api/past?before=\xc2\xb2 HTTP/1.1\r\n", b"CONNECT x:1 HTTP/1.1\r\n",
    b"PRI * HTTP/2.0\r\n", b"GET /?" + b"a" * 3_000 + b" HTTP/1.1\r\n",
    b"GET /api/events HTTP/1.1\r\n",
)  # fmt: skip
BODIES = (
    b"\r\n", b"\r\nx\r\n", ORDER, json.dumps({"code": CODE, "name": "Anna"}).encode(),
    b'{"code":"\\ud800","name":"A"}', b"[" * 4_000, b"5\r\nhello\r\n0\r\n\r\n", b"ffffffffff\r\n",
    b"-1\r\n", b"\x00\x01", b"a" * 5_000, b'{"code":"1","name":"\\u0000"}', b"\r\n\r\n", b"null",
)  # fmt: skip
PARTS = (*LINES, *HEAD, *BODIES)


class Loop:
    """Stands in for the field loop, which takes every order."""

    def __init__(self) -> None:
        self.board = Board(self.tell)
        self.board.take(Admission(CODE, {PHONE: Guest("A", secret_sha256(SECRET))}))
        self.board.take(PhoneState(1, 1, json.dumps({"seen": SEEN.decode()})))

    def tell(self, message: FromPage) -> None:
        """Answer at once."""
        if isinstance(message, Knock):
            self.board.take(Admitted(message.number, PHONE))
        elif isinstance(message, Ordered):
            self.board.take(
                OrderTold(message.phone, OrderAnswer(message.order.id, is_taken=True, words=""))
            )


class Wire(asyncio.Transport):
    """The other end of a connection, which keeps what it is sent."""

    def __init__(self) -> None:
        super().__init__()
        self.sent = bytearray()
        self.is_closed = False

    def get_extra_info(self, name: str, default: object = None) -> object:
        """Tell where a stranger's phone is."""
        return ("10.42.0.7", 40_000) if name == "peername" else default

    def write(self, data: bytes | bytearray | memoryview) -> None:
        """Keep it."""
        self.sent += data

    def close(self) -> None:
        """Send no more."""
        self.is_closed = True

    def abort(self) -> None:
        """Send no more, at once."""
        self.is_closed = True

    def is_closing(self) -> bool:
        """Tell whether it was closed."""
        return self.is_closed

    def pause_reading(self) -> None:
        """Go on: all is sent at once."""

    def resume_reading(self) -> None:
        """Go on."""

    def set_write_buffer_limits(self, high: int | None = None, low: int | None = None) -> None:
        """Keep everything."""


@cache
def _folder() -> Path:
    folder = Path(FOLDER.name) / "job"
    (folder / "audio").mkdir(parents=True)
    (folder / "audio/000001.flac").write_bytes(b"fLaC" + SEEN)
    (Path(FOLDER.name) / "secret").write_bytes(b"what nobody may see")
    return folder


@cache
def _event_loop() -> asyncio.AbstractEventLoop:
    return asyncio.new_event_loop()


def _request(data: bytes) -> bytes:
    draw = Draw(data)
    if draw.number() == 0:
        return draw.rest()
    request = b""
    while draw:
        kind = draw.number()
        request += PARTS[kind] if kind < len(PARTS) else bytes((draw.number(),))
    return request


def connect(data: bytes) -> None:
    """Send bytes to the page's server, in two parts: it answers or hangs up, and tells nothing."""
    request = _request(data)
    wire = _event_loop().run_until_complete(_served(request))
    assert b"HTTP/1.1 5" not in wire.sent.replace(b"HTTP/1.1 503", b""), wire.sent[:200]
    assert b"what nobody may see" not in wire.sent
    if SECRET.encode() not in request:
        assert SEEN not in wire.sent
    for answer in bytes(wire.sent).split(b"HTTP/1.1 ")[1:]:
        if answer[:1] != b"1" and b"Invalid HTTP request" not in answer:
            assert (
                b"content-security-policy: " + HEADERS["content-security-policy"][:20].encode()
                in answer
            )


async def _served(request: bytes) -> Wire:
    faults: list[object] = []
    loop = asyncio.get_running_loop()
    loop.set_exception_handler(lambda _, context: faults.append(context))
    site = Site(Loop().board, ORIGIN, _folder())

    async def app(scope: object, receive: object, send: object) -> None:
        try:
            await site.app(scope, receive, send)  # type: ignore[arg-type]
        except LocalProtocolError:  # uvicorn has answered 400 already: what came after was no HTTP
            raise
        except Exception as error:
            faults.append(error)
            raise

    config = uvicorn.Config(
        app,
        http=Connected, ws="none", lifespan="off", log_config=None, access_log=False,
        server_header=False, proxy_headers=False, h11_max_incomplete_event_size=16_384,
    )  # fmt: skip
    config.load()
    state, wire = ServerState(), Wire()
    connection = Connected(config, state, {}, loop)
    connection.connection_made(cast("asyncio.Transport", wire))
    for part in (request[: len(request) // 2], request[len(request) // 2 :]):
        if part and not wire.is_closed:
            connection.data_received(part)
        for _ in range(12):
            await asyncio.sleep(0)
    connection.connection_lost(None)
    if state.tasks:  # files are read in threads
        await asyncio.wait(state.tasks, timeout=5.0)
    assert not state.tasks, "a request goes on without its phone"
    assert not faults, faults[0]
    return wire


def _request_seeds() -> Iterator[bytes]:
    for line in range(len(LINES)):
        head = len(LINES)
        for body in range(len(BODIES)):
            parts = (line, head, head + 1, head + 2, head + 3, head + 4)
            yield bytes(
                (1, *parts, head + 6, len(LINES) + len(HEAD), len(LINES) + len(HEAD) + body)
            )
        yield bytes((1, line, head, len(LINES) + len(HEAD)))
    yield b"\x00GET / HTTP/1.1\r\nHost: 10.42.0.1:8421\r\n\r\n"


JOBS = ((), AGREED[:1], AGREED[:2], AGREED[:4], AGREED, STOPPED, REPEATED)


@cache
def _replay(place: int) -> Replay:
    return replayed(*JOBS[place])


def order(data: bytes) -> None:
    """Read an order and judge it; read what the page's process tells."""
    draw = Draw(data)
    place, is_current, name = draw.number() % len(JOBS), draw.number() % 4, draw.number()
    body = draw.rest()
    if name == 255:
        try:
            FROM_PAGE.validate_json(body)
        except ValidationError:
            return
    job = _replay(place)
    try:
        given = Order.model_validate_json(body)
        if is_current:
            given = given.model_copy(update={"on": stands(job).of(given.does)})
    except ValidationError:
        return
    assert job.state is not None
    made = judge(job, given, expects(job.state, Role.UNSAID), typed, by=ANNA)
    assert isinstance(made, str | Decision | Typed | RemarkOrder)
    if isinstance(made, str):
        assert made.startswith("not taken")
    if isinstance(made, RemarkOrder):
        assert made.text.isprintable()


def _order_seeds() -> Iterator[bytes]:
    texts = ("", "15.42", ".42", "33.", "1*68", "5*1.25", "1*-5", "wet tape", "\u202e")
    for place in range(len(JOBS)):
        for does in Does:
            for text in texts:
                body = {"id": f"{place:032x}", "does": does.value, "on": "x", "text": text}
                yield bytes((place, 1, 0)) + json.dumps(body).encode()
    yield (
        b'\x00\x00\xff{"kind":"knock","number":1,"code":"1","name":"A","secret_sha256":"'
        + b"0" * 64
        + b'"}'
    )
    yield b"\x00\x00\xff" + b'{"kind":"ordered","phone":"k7f3","order":' + ORDER + b"}"


TARGETS = (
    Target("requests to the chief's page", 40_000, connect, _request_seeds, longest=64),
    Target("orders of phones", 2_000_000, order, _order_seeds, longest=400),
)
