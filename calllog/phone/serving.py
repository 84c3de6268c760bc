"""Phone: the page's own process: a socket and the field loop's pipe in, HTTP out; shell.

It keeps nothing: it may die at any moment, and ends at once when the field loop is gone. Run with
``python -m calllog.phone.serving PIPE SOCKET ORIGIN FOLDER UNIT [CERTIFICATE [KEY]]``, the first
two being descriptors that were handed down.
"""

from __future__ import annotations

import asyncio
import logging
import os
import socket
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from multiprocessing.connection import Connection
from pathlib import Path

import h11
import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from calllog.phone.board import Board
from calllog.phone.gate import MOST, Gate, GateLoop
from calllog.phone.messages import FromPage, Got, Ready, to_page
from calllog.phone.site import Site
from calllog.values import ReadingUnit

NICE = 10
"""Recognition goes before the page."""
FIRST_S = 10.0
"""How long a connection may take to ask for something."""
IDLE_S = 30
"""How long a connection may wait between two requests, whatever trickles in meanwhile."""
STUCK_S = 20.0
"""How long a phone may take to read 48 KB of what it asked for."""


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


async def serve(
    pipe: Pipe, listening: socket.socket, about: tuple[str, Path, ReadingUnit], papers: list[str]
) -> None:
    """Serve the page until the field loop is gone.

    Args:
        pipe: to the field loop.
        listening: the socket that phones reach.
        about: the page's address, without a path; the job's folder; and what its tapes are
            graduated in.
        papers: paths of certificate and key; none without TLS.
    """
    board = Board(pipe.tell)
    config = uvicorn.Config(
        Site(board, *about).app,
        loop="asyncio",
        http=Connected,
        ws="none",
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
    told = (asyncio.get_running_loop(), board)
    threading.Thread(target=pipe.listen, args=told, name="pipe", daemon=True).start()
    pipe.tell(Ready())
    await board.is_open.wait()
    await Server(config).serve(sockets=[listening])


def main(pipe: int, listening: int, *given: str) -> None:
    """Serve by what was handed down."""
    os.nice(NICE)
    logging.getLogger("asyncio").setLevel(logging.ERROR)
    handed = Gate(socket.socket(fileno=listening))
    with asyncio.Runner(loop_factory=GateLoop) as runner:
        origin, folder, unit, *papers = given
        about = (origin, Path(folder), ReadingUnit(unit))
        runner.run(serve(Pipe(Connection(pipe)), handed, about, papers))


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]), *sys.argv[3:])
