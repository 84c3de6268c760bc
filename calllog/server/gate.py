"""Server: a socket that phones reach in, a bounded number of open connections out; shell.

Connections are counted from the moment when they are accepted, before any TLS handshake and before
a byte is read, since who only wants to hold them open gets no further.
"""

import asyncio
import socket
import ssl
import struct
from collections import Counter
from collections.abc import Callable
from typing import Any

MOST = 200
"""Connections open at once: more than 20 phones ever have."""
FROM_ONE = 20
"""Connections of one address, other than the logger's own."""
OWN = ("127.0.0.1", "::1")
HANDSHAKE_S = 5.0
"""How long a TLS handshake may take."""
GOODBYE_S = 2.0
"""How long the end of TLS may take."""
_AT_ONCE = struct.pack("ii", 1, 0)
"""Hang up without waiting for what was not sent (SO_LINGER)."""


class Connection(socket.socket):
    """A connection that says when it is closed."""

    on_close: Callable[[], None] | None = None

    def close(self) -> None:
        """Close it."""
        done, self.on_close = self.on_close, None
        if done is not None:
            done()
        super().close()


class Gate(socket.socket):
    """Accepts connections of a socket that it takes over; hangs up on those that are too many."""

    def __init__(self, listening: socket.socket) -> None:
        super().__init__(fileno=listening.detach())
        self.open_from: Counter[str] = Counter()

    def accept(self) -> tuple[socket.socket, Any]:
        """Accept a connection; ConnectionAbortedError if it was one too many."""
        accepted, address = super().accept()
        made = Connection(fileno=accepted.detach())
        host = str(address[0])
        is_crowd = self.open_from[host] >= FROM_ONE and host not in OWN
        if is_crowd or self.open_from.total() >= MOST:
            made.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, _AT_ONCE)
            made.close()
            message = "too many connections"
            raise ConnectionAbortedError(message)
        self.open_from[host] += 1
        made.on_close = lambda: self._forget(host)
        return made, address

    def _forget(self, host: str) -> None:
        self.open_from[host] -= 1
        if not self.open_from[host]:
            del self.open_from[host]


class GateLoop(asyncio.SelectorEventLoop):
    """An event loop that waits for no TLS handshake for long."""

    async def create_server(self, *args: Any, **options: Any) -> asyncio.Server:  # noqa: ANN401 - asyncio's own
        """Serve; whoever serves by TLS has handshakes bounded."""
        if isinstance(options.get("ssl"), ssl.SSLContext):
            options |= {"ssl_handshake_timeout": HANDSHAKE_S, "ssl_shutdown_timeout": GOODBYE_S}
        return await super().create_server(*args, **options)
