"""Server: HTTP requests in, the chief's page, its states and sounds out; shell.

Nothing but the pairing page is given to who is not paired. Every request must name this server as
its host; every one that changes something must come from this server's own page, as JSON, with the
token that the page was given.
"""

import asyncio
import hmac
import os
import secrets
import stat
import time
from collections.abc import AsyncIterator, Callable
from pathlib import Path
from typing import Annotated

from pydantic import Field, ValidationError
from starlette.applications import Starlette
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect, Request
from starlette.responses import FileResponse, JSONResponse, Response, StreamingResponse
from starlette.routing import Route, WebSocketRoute
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from starlette.websockets import WebSocket

from calllog.keypad import rows as key_rows
from calllog.server.board import Board, Busy, KnownState
from calllog.server.door import Entrance, secret_sha256, token_of
from calllog.server.messages import Beat, Order, PhoneState
from calllog.server.names import read_name
from calllog.server.offered import Offered
from calllog.server.pocket import Pockets
from calllog.server.wording import STATIC, page_text
from calllog.values import Frozen, ReadingUnit, Role, clip_name
from calllog.wording import ENGLISH, Words, language_words

FILES = {
    "phone.css": "text/css",
    "phone.js": "text/javascript",
    "pair.js": "text/javascript",
    "icon.svg": "image/svg+xml",
}
CREW_FILES = {
    "crew.css": "text/css",
    "crew.js": "text/javascript",
    "crew-ear.js": "text/javascript",
}
"""What only a crew phone needs."""
MOST_BYTES = 4096
"""Of what a phone may send at once."""
MOST_ADDRESS = 2048
"""Of a path with its query."""
MOST_HEADERS = 16_384
"""Of the headers of a request together."""
ANSWER_S = 5.0
"""How long the field loop may take to answer."""
COOKIE_S = 14 * 86_400
GIVEN = "x-calllog-token"
NOT_PAIRED, WAITS, NO_CHIEF = "phone-not-paired", "phone-waits", "phone-no-chief"
"""Codes of why a phone is not answered."""
CONDITIONS = ("temperature", "tension", "spans", "position", "rise", "hold")
HEADERS = {
    "content-security-policy": "default-src 'none'; script-src 'self'; style-src 'self';"
    " img-src 'self'; media-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none';"
    " frame-ancestors 'none'; require-trusted-types-for 'script'",
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
    "cache-control": "no-store",
}
NAMES = {"127.0.0.1": ("127.0.0.1", "localhost"), "::1": ("[::1]", "localhost")}
"""What the computer calls itself."""


class Pairing(Frozen):
    """What a phone gives at the door."""

    code: str
    name: str
    role: Annotated[Role, Field(strict=False)] = Role.UNSAID
    """Whose it is to be; the chief's if unsaid."""


class Site:
    """The pages, for one board.

    Args:
        board: what is known of the job.
        origin: the page's address, without a path.
        folder: the job's.
        unit: what its tapes are graduated in.
        language: of the crew, that all pages are in.
        offered: what crew phones are offered; None where there are to be none.
        sound: takes their frames on to the field loop.
    """

    def __init__(
        self,
        board: Board,
        origin: str,
        folder: Path,
        unit: ReadingUnit = ReadingUnit.FOOT,
        language: str = ENGLISH.language,
        *,
        offered: Offered | None = None,
        sound: Callable[[bytes], None] = lambda _: None,
    ) -> None:
        self._board = board
        self._unit = unit
        self._say = language_words(language).measured_in(unit)
        self._folder = folder
        self._is_secure = origin.startswith("https:")
        self._cookie = "__Host-calllog" if self._is_secure else "calllog"
        self._offered = offered
        self._wanted = () if offered is None else offered.roles
        self._pockets = Pockets(board, sound)
        self._types = FILES | (CREW_FILES if offered else {})
        self._kept = {name: (STATIC / name).read_bytes() for name in self._types}
        self._page, self._door, self._crew = (
            page_text(name, self._say).encode() for name in ("phone.html", "pair.html", "crew.html")
        )
        app = Starlette(
            routes=[
                Route("/", self._home),
                Route("/{name:str}", self._file),
                Route("/api/pair", self._pair, methods=["POST"]),
                Route("/api/me", self._me),
                Route("/api/events", self._events),
                Route("/api/past", self._past),
                Route("/api/sound/{number:int}", self._sound),
                Route("/api/order", self._order, methods=["POST"]),
                Route("/api/leave", self._leave, methods=["POST"]),
                Route("/api/offered", self._roles),
                Route("/api/crew", self._crew_me),
                Route("/api/words", self._words),
                WebSocketRoute("/api/line", self._line),
            ]
        )
        self.app: ASGIApp = Guard(app, origin, self._say, has_crew=offered is not None)

    async def _home(self, request: Request) -> Response:
        is_paired = self._who(request) or self._board.door.awaits(self._secret(request))
        inside = self._crew if self._role(request) is not Role.UNSAID else self._page
        return Response(inside if is_paired else self._door, media_type="text/html")

    async def _file(self, request: Request) -> Response:
        name = request.path_params["name"]
        if name not in self._types:
            return self._refusal(404, "phone-no-page")
        return Response(self._kept[name], media_type=self._types[name])

    async def _roles(self, request: Request) -> Response:
        """Tell at the door whose phones there may be."""
        del request
        return JSONResponse([each.value for each in self._wanted])

    async def _crew_me(self, request: Request) -> Response:
        """Tell a crew phone who it is, and what it is offered."""
        phone = self._who(request)
        if not phone or self._offered is None or self._role(request) is Role.UNSAID:
            return self._outside(request)
        guest = self._board.door.phones[phone]
        told = self._offered.told(guest.role, guest.name, f"{guest.name} ({phone})")
        return JSONResponse({**told, "token": token_of(self._secret(request))})

    async def _words(self, request: Request) -> Response:
        """Give the words that are spoken on the phone, as they travel with the program."""
        if not self._who(request) or self._offered is None:
            return self._outside(request)
        length = self._offered.words_bytes
        pieces = self._offered.words_wav()
        return StreamingResponse(
            pieces, media_type="audio/wav", headers={"content-length": str(length)}
        )

    async def _line(self, socket: WebSocket) -> None:
        """Talk with a crew phone."""
        secret = socket.cookies.get(self._cookie, "")
        phone = self._board.door.knows(secret)
        if not phone or self._board.door.phones[phone].role is Role.UNSAID:
            await socket.close(1008)
            return
        await self._pockets.serve(socket, secret)

    async def _pair(self, request: Request) -> Response:
        body = await _body(request)
        if body is None:
            return self._refusal(413, "phone-too-long")
        try:
            asked = Pairing.model_validate_json(body)
        except ValidationError:
            return self._refusal(400, "door-incomplete")
        if asked.role is not Role.UNSAID and asked.role not in self._wanted:
            return self._refusal(400, "door-not-wanted")
        return await self._try(asked, request)

    async def _try(self, asked: Pairing, request: Request) -> Response:
        """Try the code that a phone gave; let the phone in by it."""
        name = read_name(asked.name)
        address = request.client.host if request.client else ""
        entrance = self._board.door.try_code(asked.code, name, address, time.monotonic())
        if entrance is Entrance.SPENT:
            self._board.spent()
        if entrance is not Entrance.OPEN:
            is_wait = entrance in (Entrance.WAIT, Entrance.SPENT)
            return self._refusal(429 if is_wait else 403, entrance.value)
        secret = secrets.token_urlsafe(32)
        try:
            async with asyncio.timeout(ANSWER_S):
                code = "".join(asked.code.split())
                phone = await self._board.pair(code, name, secret_sha256(secret), asked.role)
        except TimeoutError:
            return self._refusal(503, "door-no-answer")
        if not phone:
            return self._refusal(403, Entrance.WRONG.value)
        response = JSONResponse({"name": f"{name} ({phone})"})
        response.set_cookie(
            self._cookie,
            secret,
            max_age=COOKIE_S,
            secure=self._is_secure,
            httponly=True,
            samesite="strict",
        )
        return response

    async def _me(self, request: Request) -> Response:
        phone = self._who(request)
        if not phone:
            return self._outside(request)
        words = self._say
        rows = [
            {
                "code": row.keys[0],
                "name": words("crew-condition", name=row.name),
                "words": words(row.does).replace(f"{row.keys[0]}*", ""),
                "range": words(
                    "key-range",
                    least=row.least,
                    greatest=row.greatest or 0,
                    symbol=row.unit or "none",
                ),
            }
            for row in key_rows(self._unit)
            if row.name in CONDITIONS
        ]
        token = token_of(self._secret(request))
        name = f"{self._board.door.phones[phone].name} ({phone})"
        return JSONResponse({"name": name, "token": token, "conditions": rows})

    async def _events(self, request: Request) -> Response:
        if not self._who(request):
            return self._outside(request)
        secret = self._secret(request)
        if self._board.is_followed_enough(secret):
            return self._refusal(429, "phone-many-pages")
        seen = request.headers.get("last-event-id", "")

        async def told() -> AsyncIterator[str]:
            yield "retry: 500\n\n"
            async for each in self._board.follow(secret, seen):
                yield _event(each)
            yield "event: gone\ndata:\n\n"

        return StreamingResponse(told(), media_type="text/event-stream")

    async def _past(self, request: Request) -> Response:
        if not self._who(request):
            return self._outside(request)
        named = request.query_params.get("before", "")
        before = int(named) if named.isascii() and named.isdigit() and len(named) < 8 else None  # noqa: PLR2004 - more pulls than there are
        first, cards = self._board.past(before)
        text = f'{{"first":{first},"cards":[{",".join(cards)}]}}'
        return Response(text, media_type="application/json")

    async def _sound(self, request: Request) -> Response:
        if not self._who(request):
            return self._outside(request)
        if self._role(request) is not Role.UNSAID:
            return self._refusal(403, NO_CHIEF)
        path = self._folder / clip_name(request.path_params["number"])
        if not _is_plain(path):
            return self._refusal(404, "phone-no-sound")
        return FileResponse(path, media_type="audio/flac")

    async def _order(self, request: Request) -> Response:
        if not self._has_token(request) or not self._who(request):
            return self._outside(request)
        if self._role(request) is not Role.UNSAID:
            return self._refusal(403, NO_CHIEF)
        body = await _body(request)
        if body is None:
            return self._refusal(413, "phone-too-long")
        try:
            order = Order.model_validate_json(body)
        except ValidationError:
            return self._refusal(400, "phone-no-order")
        phone = self._who(request)  # it may have been revoked while the body came
        return await self._give(phone, order) if phone else self._outside(request)

    async def _give(self, phone: str, order: Order) -> Response:
        """Give an order to the field loop; answer with what became of it."""
        try:
            async with asyncio.timeout(ANSWER_S):
                answer = await self._board.order(phone, order)
        except Busy:
            return self._refusal(429, "phone-many-orders")
        except TimeoutError:
            return self._refusal(503, "phone-no-answer")
        return JSONResponse({"taken": answer.is_taken, "words": answer.words})

    async def _leave(self, request: Request) -> Response:
        phone = self._who(request)
        if not phone or not self._has_token(request):
            return self._outside(request)
        self._board.leave(phone)
        response = JSONResponse({})
        response.delete_cookie(
            self._cookie, secure=self._is_secure, httponly=True, samesite="strict"
        )
        return response

    def _refusal(self, status: int, code: str) -> Response:
        return _refusal(status, self._say(code))

    def _secret(self, request: Request) -> str:
        return request.cookies.get(self._cookie, "")

    def _who(self, request: Request) -> str:
        """Name the phone that asks; empty if it may not in."""
        return self._board.door.knows(self._secret(request))

    def _role(self, request: Request) -> Role:
        """Tell whose phone asks: of one that is not let in yet too."""
        guest = self._board.door.guest(self._secret(request))
        return Role.UNSAID if guest is None else guest.role

    def _outside(self, request: Request) -> Response:
        """Refuse who may not in; who is only waited for may come again."""
        is_waiting = self._board.door.awaits(self._secret(request))
        return self._refusal(503, WAITS) if is_waiting else self._refusal(401, NOT_PAIRED)

    def _has_token(self, request: Request) -> bool:
        given = request.headers.get(GIVEN, "").encode()
        return hmac.compare_digest(given, token_of(self._secret(request)).encode())


class Guard:
    """Lets a request through to an application only if it may come from this server's own page.

    Args:
        app: the application.
        origin: the page's address, without a path.
        words: of the crew.
        has_crew: whether a page of it may ask for the microphone, and hold a connection.
    """

    def __init__(
        self, app: ASGIApp, origin: str, words: Words = ENGLISH, *, has_crew: bool = False
    ) -> None:
        self._app = app
        self._words = words
        self._headers = dict(HEADERS)
        scheme, _, named = origin.partition("://")
        host, _, port = named.rpartition(":")
        names = NAMES.get(host.strip("[]"), (host,))
        default = {"http": "80", "https": "443"}[scheme]
        ends = (f":{port}", "") if port == default else (f":{port}",)
        self.hosts = frozenset(f"{each}{end}" for each in names for end in ends)
        self._origins = frozenset(f"{scheme}://{each}" for each in self.hosts)
        if has_crew:
            line = {"http": "ws", "https": "wss"}[scheme]
            lines = " ".join(f"{line}://{each}" for each in sorted(self.hosts))
            policy = HEADERS["content-security-policy"]
            self._headers["content-security-policy"] = policy.replace(
                "connect-src 'self'", f"connect-src 'self' {lines}"
            )
            self._headers["permissions-policy"] = (
                "camera=(), microphone=(self), geolocation=(), screen-wake-lock=(self)"
            )

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve a request, or refuse it; all answers get the headers that guard the page."""
        if scope["type"] == "websocket":
            if self._refuse_line(scope):
                await send({"type": "websocket.close", "code": 1008, "reason": ""})
                return
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in self._headers.items():
                    headers[name] = value
            await send(message)

        refused = self._refuse(scope)
        await (refused or self._app)(scope, receive, guarded)

    def _refuse_line(self, scope: Scope) -> bool:
        """Tell whether a connection is refused: it must come from this server's own page."""
        headers = Headers(scope=scope)
        hosts, origins = headers.getlist("host"), headers.getlist("origin")
        is_here = len(hosts) == 1 and hosts[0].lower() in self.hosts
        is_own = len(origins) == 1 and origins[0].lower() in self._origins
        is_same = headers.get("sec-fetch-site", "same-origin") == "same-origin"
        return not (is_here and is_own and is_same) or bool(_beyond(scope))

    def _refuse(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        hosts = headers.getlist("host")
        if len(hosts) != 1 or hosts[0].lower() not in self.hosts:
            return _refusal(421, self._words("phone-other-address"))
        if status := _beyond(scope):
            return _refusal(status, self._words("phone-too-long"))
        origin = headers.get("origin")
        is_reading = scope["method"] in ("GET", "HEAD")
        if (origin is None and not is_reading) or (
            origin is not None and origin.lower() not in self._origins
        ):
            return _refusal(403, self._words("phone-other-page"))
        site = headers.get("sec-fetch-site", "none")
        if site not in ("same-origin", "none") and scope["path"] != "/":
            return _refusal(403, self._words("phone-other-page"))
        if not is_reading and headers.get("content-type", "") != "application/json":
            return _refusal(415, self._words("phone-no-json"))
        return None


def _refusal(status: int, words: str) -> Response:
    return JSONResponse({"words": words}, status)


def _beyond(scope: Scope) -> int:
    """Give the status for a head that is too long; 0 if it is not."""
    if len(scope["raw_path"]) + len(scope["query_string"]) > MOST_ADDRESS:
        return 414
    is_long = sum(len(name) + len(value) for name, value in scope["headers"]) > MOST_HEADERS
    return 431 if is_long else 0


def _event(told: KnownState | PhoneState | Beat) -> str:
    match told:
        case KnownState(state=state):
            return f"id: {state.id}\nevent: known\ndata: {state.text}\n\n"
        case PhoneState():
            return f"id: {told.id}\nevent: state\ndata: {told.text}\n\n"
        case Beat():
            return "event: beat\ndata:\n\n"


def _is_plain(path: Path) -> bool:
    """Tell whether a plain file in a plain folder stands there; links are not followed."""
    try:
        is_folder = stat.S_ISDIR(os.lstat(path.parent).st_mode)
        return is_folder and stat.S_ISREG(os.lstat(path).st_mode)
    except OSError:
        return False


async def _body(request: Request) -> bytes | None:
    """Read what was sent; None if it is too long, too long in coming, or breaks off."""
    length = request.headers.get("content-length", "0")
    if len(length) > len(str(MOST_BYTES)) or not length.isascii() or not length.isdigit():
        return None
    if int(length) > MOST_BYTES:
        return None
    body = b""
    try:
        async with asyncio.timeout(ANSWER_S):
            async for chunk in request.stream():
                body += chunk
                if len(body) > MOST_BYTES:
                    return None
    except (TimeoutError, ClientDisconnect):
        return None
    return body
