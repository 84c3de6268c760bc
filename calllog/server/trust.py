"""Server: the authority's certificate in, a page that explains how a phone comes to trust it out.

It is served without TLS, which the phone does not trust yet, and gives nothing else. Who changes
it on its way can be found out: the phone shows the fingerprint of what it is about to trust, and
the logger's screen shows the right one; shell.
"""

import base64
import hashlib
import re
from typing import Final

from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ASGIApp

from calllog.server.site import Guard
from calllog.server.wording import STATIC, page_text
from calllog.wording import language_words

CERTIFICATE: Final = "calllog-phones.crt"
_CODED = re.compile(r"-----[A-Z ]+-----|\s")


class TrustPage:
    """The page that explains the certificate.

    Args:
        origin: its own address, without a path.
        page: the address of the page that the certificate is for.
        certificate: the authority's, PEM.
        language: of the crew.
    """

    def __init__(self, origin: str, page: str, certificate: str, language: str) -> None:
        self._binary = base64.b64decode(_CODED.sub("", certificate))
        digest = hashlib.sha256(self._binary).digest().hex(" ").upper()
        words = language_words(language)
        facts = {"page": page, "fingerprint": digest}
        self._page = page_text("trust.html", words, facts).encode()
        self._files = {
            name: ((STATIC / name).read_bytes(), kind)
            for name, kind in (
                ("phone.css", "text/css"),
                ("crew.css", "text/css"),
                ("icon.svg", "image/svg+xml"),
                ("trust.svg", "image/svg+xml"),
            )
        }
        routes = [Route("/", self._home), Route("/{name:str}", self._file)]
        self.app: ASGIApp = Guard(Starlette(routes=routes), origin, words)

    async def _home(self, request: Request) -> Response:
        del request
        return Response(self._page, media_type="text/html")

    async def _file(self, request: Request) -> Response:
        name = request.path_params["name"]
        if name == CERTIFICATE:
            return Response(
                self._binary,
                media_type="application/x-x509-ca-cert",
                headers={"content-disposition": f'attachment; filename="{CERTIFICATE}"'},
            )
        if name not in self._files:
            return Response("", 404, media_type="text/plain")
        content, kind = self._files[name]
        return Response(content, media_type=kind)
