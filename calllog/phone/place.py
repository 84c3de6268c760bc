"""Phone: an address and a certificate in, the socket that phones reach out; shell."""

import socket
import ssl
from dataclasses import dataclass
from pathlib import Path

from calllog.errors import ConfigError

LOOPBACK = "127.0.0.1"
PORT = 8421


@dataclass(frozen=True, slots=True)
class Place:
    """Where the page is served."""

    host: str = LOOPBACK
    port: int = PORT
    certificate: Path | None = None
    key: Path | None = None

    @property
    def origin(self) -> str:
        """The page's address, without a path."""
        named = f"[{self.host}]" if ":" in self.host else self.host
        return f"http{'s' if self.certificate else ''}://{named.lower()}:{self.port}"

    @property
    def is_open_to_others(self) -> bool:
        """Whether other computers can reach it."""
        return self.host not in (LOOPBACK, "localhost", "::1")

    def listen(self) -> socket.socket:
        """Take the address; ConfigError if it or the certificate cannot be used."""
        if self.host in ("", "0.0.0.0", "::"):  # noqa: S104 - refused
            raise ConfigError(
                "the page is served at one address, not at all of them",
                where="--page-host",
                next_step="name the logger's address on the crew's own network",
            )
        if self.certificate is not None:
            try:
                ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(self.certificate, self.key)
            except OSError as error:  # ssl.SSLError is one
                raise ConfigError(
                    f"no certificate and key can be read ({error})",
                    where=str(self.certificate),
                    next_step="give PEM files with --page-certificate and --page-key",
                ) from error
        try:
            family, kind, _, _, address = socket.getaddrinfo(
                self.host, self.port, type=socket.SOCK_STREAM
            )[0]
            made = socket.socket(family, kind)
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                made.bind(address)
                made.listen(64)
            except OSError:
                made.close()
                raise
        except OSError as error:
            raise ConfigError(
                f"the page cannot be served there ({error.strerror})",
                where=f"{self.host}:{self.port}",
                next_step="give one of this computer's addresses with --page-host, and a port"
                " that nothing else uses with --page-port",
            ) from error
        return made
