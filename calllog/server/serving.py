"""Server: the page's own process: a socket and the field loop's pipe in, HTTP out; shell.

It keeps nothing: it may die at any moment, and ends at once when the field loop is gone. Run with
``python -m calllog.server.serving PIPE SOCKET ORIGIN FOLDER UNIT LANGUAGE CREW`` and the paths of
certificate and key, if there are any; the first two are descriptors that were handed down, CREW is
a `Handed` as JSON, empty without crew phones.
"""

import asyncio
import logging
import os
import socket
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Literal

import h11
import uvicorn
from starlette.types import ASGIApp
from uvicorn.protocols.http.h11_impl import H11Protocol

from calllog.server.board import Board
from calllog.server.gate import MOST, Gate, GateLoop
from calllog.server.messages import FromPage, Got, Ready, to_page
from calllog.server.offered import Offered
from calllog.server.site import MOST_BYTES, Site
from calllog.server.trust import TrustPage
from calllog.values import Frozen, ReadingUnit

NICE = 10
"""Recognition goes before the page; but not before the crew's own sound."""
FIRST_S = 10.0
"""How long a connection may take to ask for something."""
IDLE_S = 30
"""How long a connection may wait between two requests, whatever trickles in meanwhile."""
STUCK_S = 20.0
"""How long a phone may take to read 48 KB of what it asked for."""


Line = Literal["none", "websockets-sansio"]
LINE: Line = "websockets-sansio"
"""How crew phones hold a connection (RFC 6455); the chief's page has none."""


class Handed(Frozen):
    """What is handed down for crew phones."""

    offered: Offered
    sound: int
    """Descriptor of the way by which frames go to the field loop."""
    door: int = -1
    """Descriptor of the socket at which the certificate is explained; -1 for none."""
    certificate: str = ""
    """The authority's certificate, PEM."""
    door_origin: str = ""
    """Where that is, without a path."""


class Server(uvicorn.Server):
    """Leaves signals to the field loop."""

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Capture none."""
        yield


class Connected(H11Protocol):
    """Hangs up on who connects and asks for nothing, so that others get in."""

    _stuck: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Wait for its first request."""
        super().connection_made(transport)
        self._waited = self.loop.call_later(FIRST_S, self._hang_up)

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no more."""
        self._waited.cancel()
        self._set_free()
        super().connection_lost(exc)

    def on_response_complete(self) -> None:
        """Wait for the next request; hang up if the rest of this one is still to come."""
        self._waited.cancel()
        if self.conn.their_state not in (h11.DONE, h11.MUST_CLOSE, h11.CLOSED):
            self.transport.close()
        self._waited = self.loop.call_later(IDLE_S, self._hang_up)
        super().on_response_complete()

    def pause_writing(self) -> None:
        """Hang up if what is sent is not read."""
        super().pause_writing()
        self._stuck = self.loop.call_later(STUCK_S, self.transport.abort)

    def resume_writing(self) -> None:
        """Go on."""
        self._set_free()
        super().resume_writing()

    def handle_websocket_upgrade(self, event: h11.Request) -> None:
        """Leave the connection to a crew phone: it is never idle."""
        self._waited.cancel()
        self._set_free()
        super().handle_websocket_upgrade(event)

    def _set_free(self) -> None:
        if self._stuck is not None:
            self._stuck.cancel()
            self._stuck = None

    def _hang_up(self) -> None:
        if self.cycle is None or self.cycle.response_complete:
            self.transport.abort()


class Pipe:
    """The way to the field loop and back; without it there is nothing to serve."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._sending = threading.Lock()

    def tell(self, message: FromPage) -> None:
        """Tell the field loop something."""
        try:
            with self._sending:
                self._connection.send_bytes(message.model_dump_json().encode())
        except OSError:
            os._exit(0)

    def listen(self, loop: asyncio.AbstractEventLoop, board: Board) -> None:
        """Bring what the field loop tells to the board, for ever."""
        while True:
            try:
                message = to_page(self._connection.recv_bytes())
            except (EOFError, OSError):
                os._exit(0)
            loop.call_soon_threadsafe(board.take, message)
            self.tell(Got())


class SoundWay:
    """The descriptor, -1 for none, by which frames go to the field loop; late ones are dropped."""

    def __init__(self, handed: int) -> None:
        self._socket = None if handed < 0 else socket.socket(fileno=handed)
        if self._socket is not None:
            self._socket.setblocking(False)  # noqa: FBT003 - as sockets have it

    def tell(self, frame: bytes) -> None:
        """Hand a frame on; a gap in their numbers tells of those that were dropped."""
        if self._socket is not None:
            with suppress(OSError):
                self._socket.send(frame)


async def serve(
    pipe: Pipe,
    listening: socket.socket,
    about: tuple[str, Path, ReadingUnit, str],
    papers: list[str],
    crew: Handed | None = None,
) -> None:
    """Serve the page until the field loop is gone.

    Args:
        pipe: to the field loop.
        listening: the socket that phones reach.
        about: the page's address, without a path; the job's folder; what its tapes are
            graduated in; and the crew's language.
        papers: paths of certificate and key; none without TLS.
        crew: what crew phones need; None where there are to be none.
    """
    board = Board(pipe.tell)
    sound = SoundWay(-1 if crew is None else crew.sound)
    offered = None if crew is None else crew.offered
    site = Site(board, *about, offered=offered, sound=sound.tell)
    told = (asyncio.get_running_loop(), board)
    threading.Thread(target=pipe.listen, args=told, name="pipe", daemon=True).start()
    pipe.tell(Ready())
    await board.is_open.wait()
    line = "none" if crew is None else LINE
    servers = [Server(_config(site.app, papers, line)).serve(sockets=[listening])]
    if crew is not None and crew.door >= 0:
        trust = TrustPage(crew.door_origin, about[0], crew.certificate, crew.offered.language)
        door = Gate(socket.socket(fileno=crew.door))
        servers.append(Server(_config(trust.app, [])).serve(sockets=[door]))
    await asyncio.gather(*servers)


def _config(app: ASGIApp, papers: list[str], line: Line = "none") -> uvicorn.Config:
    return uvicorn.Config(
        app,
        loop="asyncio",
        http=Connected,
        ws=line,
        ws_max_size=MOST_BYTES,
        ws_per_message_deflate=False,
        ws_ping_interval=None,
        lifespan="off",
        log_config=None,
        log_level="error",  # else whoever sends what is no HTTP would write into the logger's log
        access_log=False,
        server_header=False,
        proxy_headers=False,
        limit_concurrency=MOST + 1,
        timeout_keep_alive=IDLE_S,
        h11_max_incomplete_event_size=16_384,
        ssl_certfile=papers[0] if papers else None,
        ssl_keyfile=papers[1] if len(papers) > 1 else None,
    )


def main(pipe: int, listening: int, *given: str) -> None:
    """Serve by what was handed down."""
    logging.getLogger("asyncio").setLevel(logging.ERROR)
    handed = Gate(socket.socket(fileno=listening))
    with asyncio.Runner(loop_factory=GateLoop) as runner:
        origin, folder, unit, language, crew, *papers = given
        about = (origin, Path(folder), ReadingUnit(unit), language)
        wanted = Handed.model_validate_json(crew) if crew else None
        if wanted is None:
            os.nice(NICE)
        runner.run(serve(Pipe(Connection(pipe)), handed, about, papers, wanted))


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]), *sys.argv[3:])
