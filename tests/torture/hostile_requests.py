"""Hostile requests to the chief's page: each refused rightly or harmless; raw sockets; shell.

The page is served as in the field: the desk with the process of its own, one phone paired. Every
request is raw bytes, and says which answers are right. Besides, no answer may hold what stands in
files outside, be without the headers that guard the page, or change anything: no order reaches
the job, no phone is paired, the sound phone is served all the time.
"""

from __future__ import annotations

import json
import random
import re
import socket
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from calllog.journal import Journal
from calllog.phone.desk import Desk
from calllog.phone.place import Place
from calllog.server.door import GUESSES, PAUSE_S, Entrance
from calllog.server.messages import Ordered
from calllog.server.site import HEADERS
from calllog.session import Job
from tests.fieldjob import Paper, settings
from tests.phone import code_of
from tests.tapes import certificate
from tests.torture.strangers import CANARY

ANSWER_S = 8.0
GONE = 0
"""Stands for a connection that was closed without an answer."""
REFUSED = frozenset({400, 401, 403, 404, 405, 411, 413, 414, 415, 421, 431})
CLOSED = REFUSED | {GONE}
ODD_BUT_SOUND = frozenset({200})
"""Some of what is hardly HTTP can be understood, and gets the pairing page."""
GUARDS = ("content-security-policy", "x-content-type-options", "cache-control")
PRIVATE = ("/api/me", "/api/events", "/api/past", "/api/sound/1")
POSTS = ("/api/order", "/api/leave", "/api/pair")
UP = ("..", "%2e%2e", "%2E.", "..%2f", "..%5c", "%252e%252e", "..;", "%c0%ae%c0%ae", ".%00.")
SECRETS = (
    "etc/passwd",
    "job.sqlite",
    "secret.flac",
    "audio/000001.flac",
    "site.py",
    "proc/self/environ",
)


@dataclass(frozen=True, slots=True)
class Sent:
    """One request, and which answers are right."""

    kind: str
    raw: bytes
    right: frozenset[int] = REFUSED


@dataclass
class Server:
    """The page at work, and what reached the job through it."""

    port: int
    desk: Desk
    job: Path
    cookie: str = ""
    token: str = ""
    orders: list[str] = field(default_factory=list)
    is_over: threading.Event = field(default_factory=threading.Event)

    @property
    def host(self) -> str:
        """Its address as a browser names it."""
        return f"127.0.0.1:{self.port}"

    def turn(self) -> None:
        """Do what the field loop does with the desk, until all is over."""
        while not self.is_over.wait(0.02):
            for each in self.desk.read():
                if isinstance(each, Ordered):
                    self.orders.append(each.order.id)

    def headers(self, **changes: str | None) -> str:
        """Give the headers of the paired phone's own page, some changed or left out."""
        given = {
            "Host": self.host,
            "Origin": f"http://{self.host}",
            "Cookie": f"calllog={self.cookie}",
            "X-Calllog-Token": self.token,
            "Content-Type": "application/json",
        } | {name.replace("_", "-"): value for name, value in changes.items()}
        return "".join(f"{name}: {value}\r\n" for name, value in given.items() if value is not None)

    def ask(self, raw: bytes, wait_s: float = ANSWER_S) -> tuple[int, dict[str, str], bytes]:
        """Send bytes; give status, headers and body of what comes first."""
        try:
            with closing(socket.create_connection(("127.0.0.1", self.port), wait_s)) as made:
                made.sendall(raw)
                return _answer(made, has_body=not raw.startswith(b"HEAD"))
        except (ConnectionError, BrokenPipeError):
            return GONE, {}, b""

    def pair(self) -> None:
        """Pair the sound phone."""
        body = json.dumps({"code": code_of(self.desk.words), "name": "Anna"})
        status, headers, _ = self.ask(
            _post("/api/pair", self.headers(Cookie=None, X_Calllog_Token=None), body.encode())
        )
        assert status == 200, status
        self.cookie = headers["set-cookie"].partition("=")[2].partition(";")[0]
        _, _, told = self.ask(_get("/api/me", self.headers()))
        self.token = json.loads(told)["token"]

    def is_well(self) -> bool:
        """Tell whether the paired phone is served."""
        return self.ask(_get("/api/past", self.headers()))[0] == 200


@contextmanager
def served() -> Iterator[Server]:
    """Serve the page of a job."""
    with tempfile.TemporaryDirectory() as name, Job.open(Path(name) / "job") as job:
        tape = certificate(identity="T-1")
        job.begin_line(settings("A", "B", tape=tape.identity), tape)
        Paper(job).pull(1542, 1542)
        (Path(name) / "secret.flac").write_text(CANARY)
        (job.audio / "000001.flac").write_bytes(b"fLaC" + bytes(100))
        (job.audio / "000002.flac").symlink_to(Path(name) / "secret.flac")
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = int(free.getsockname()[1])
        with Desk(job, 1, Place(port=port), key=bytes(32)) as desk:
            server = Server(port, desk, job.folder)
            loop = threading.Thread(target=server.turn)
            # the journal is this thread's: the desk is only read by the other one once all is set
            _pair_in_turns(server)
            job.note = lambda *_: None  # type: ignore[method-assign, assignment]
            loop.start()
            try:
                yield server
            finally:
                server.is_over.set()
                loop.join()


def _pair_in_turns(server: Server) -> None:
    pairing = threading.Thread(target=server.pair)
    pairing.start()
    while pairing.is_alive():
        server.desk.read()
        time.sleep(0.01)


def _get(path: str, headers: str, method: str = "GET") -> bytes:
    return f"{method} {path} HTTP/1.1\r\n{headers}\r\n".encode("utf-8", "surrogateescape")


def _post(path: str, headers: str, body: bytes) -> bytes:
    head = f"POST {path} HTTP/1.1\r\n{headers}Content-Length: {len(body)}\r\n\r\n"
    return head.encode() + body


def _answer(made: socket.socket, *, has_body: bool) -> tuple[int, dict[str, str], bytes]:
    got = b""
    while b"\r\n\r\n" not in got:
        part = made.recv(65_536)
        if not part:
            return GONE, {}, got
        got += part
    head, _, body = got.partition(b"\r\n\r\n")
    lines = head.decode("latin-1").split("\r\n")
    headers = {
        name.lower(): value.strip() for name, _, value in (x.partition(":") for x in lines[1:])
    }
    while has_body and len(body) < int(headers.get("content-length", 0)):
        part = made.recv(65_536)
        if not part:
            break
        body += part
    return int(lines[0].split()[1]), headers, body


# What is sent


def traversal(server: Server, draw: random.Random) -> Sent:
    """Ask for files outside, by the paired phone itself."""
    ups = "/".join(draw.choice(UP) for _ in range(draw.randrange(1, 9)))
    start = draw.choice(("/", "/api/sound/", "/static/", "//", "/phone.js/", "/api/", "file:///"))
    path = f"{start}{ups}/{draw.choice(SECRETS)}{draw.choice(('', '%00.css', '?.js', '#x', '/'))}"
    return Sent("path traversal", _get(path, server.headers()))


def odd_sounds(server: Server, draw: random.Random) -> Sent:
    """Ask for sounds that are none."""
    names = (
        "2",
        "-1",
        "0",
        "9" * 1_500,
        "1e3",
        "0x1",
        "\u0661",
        "1/../2",
        "1%2f..%2f2",
        "1.flac",
        "%31%30",
    )
    return Sent("odd sounds", _get(f"/api/sound/{draw.choice(names)}", server.headers()))


def other_hosts(server: Server, draw: random.Random) -> Sent:
    """Name another host, as a name that was made to point here would."""
    hosts = (
        *("evil.example", f"evil.example:{server.port}", "127.0.0.1", "127.0.0.1:80"),
        *(f"127.0.0.1.evil.example:{server.port}", f"127.0.0.1:{server.port}@evil.example"),
        *(
            f"2130706433:{server.port}",
            f"[::1]:{server.port}",
            f"0.0.0.0:{server.port}",
            "",
            "\x7f",
        ),
        *(f"127.0.0.1:{server.port}, evil.example", f"127.1:{server.port}", "null"),
    )
    path = draw.choice(("/", *PRIVATE, *POSTS))
    raw = _get(path, server.headers(Host=draw.choice(hosts)), draw.choice(("GET", "POST", "HEAD")))
    return Sent("other hosts", raw, CLOSED)


def _changes(*given: dict[str, str | None]) -> tuple[dict[str, str | None], ...]:
    return given


def other_pages(server: Server, draw: random.Random) -> Sent:
    """Order from another page, with the cookie that goes along."""
    changes = draw.choice(
        _changes(
            {"Origin": "http://evil.example"},
            {"Origin": "null"},
            {"Origin": f"https://{server.host}"},
            {"Origin": f"http://127.0.0.1:{server.port + 1}"},
            {"Origin": f"http://{server.host}.evil.example"},
            {"Origin": f"http://{server.host}, http://evil.example"},
            {"Origin": None},
            {"Sec_Fetch_Site": "cross-site"},
            {"Sec_Fetch_Site": "same-site"},
            {"Content_Type": "text/plain"},
            {"Content_Type": "application/x-www-form-urlencoded"},
            {"Content_Type": "multipart/form-data; boundary=x"},
            {"Content_Type": None},
            {"X_Calllog_Token": None},
            {"X_Calllog_Token": "0" * 64},
            {"X_Calllog_Token": "\xff" * 10},
            {"Cookie": None},
            {"Cookie": "calllog=; calllog=x"},
            {"Cookie": f"calllog={'A' * 43}"},
        )
    )
    path = draw.choice(POSTS[:2])
    return Sent("other pages", _post(path, server.headers(**changes), _order(draw)))


def other_readers(server: Server, draw: random.Random) -> Sent:
    """Read as another page, or as who is not paired."""
    changes = draw.choice(
        _changes(
            {"Sec_Fetch_Site": "cross-site"},
            {"Origin": "http://evil.example"},
            {"Cookie": None},
            {"Cookie": f"other={server.cookie}"},
            {"Cookie": f"calllog={server.cookie[:-1]}"},
            {"Cookie": f"__Host-calllog={server.cookie}"},
        )
    )
    return Sent("other readers", _get(draw.choice(PRIVATE), server.headers(**changes)))


def odd_bodies(server: Server, draw: random.Random) -> Sent:
    """Send what is no order."""
    bodies = (
        *(b"", b"{", b"null", b"[]", b"[" * 4_000, b'{"a":' * 700, b"\x00" * 100, b"\xff\xfe{}"),
        *(b'"\\ud800"', b'{"id":1e999}', b'{"id":' + b"9" * 4_000 + b"}", b"NaN", b'{"id":NaN}'),
        json.dumps({"id": "0" * 32, "does": "first", "on": "x" * 65}).encode(),
        json.dumps({"id": "G" * 32, "does": "first", "on": ""}).encode(),
        json.dumps({"id": "0" * 32, "does": "drop", "on": ""}).encode(),
        json.dumps({"id": "0" * 32, "does": "remark", "on": "", "text": "x" * 201}).encode(),
        json.dumps({"id": "0" * 32, "does": "remark", "on": "", "more": 1}).encode(),
        *(b"A" * size for size in (4_097, 20_000, 1_000_000)),
    )
    return Sent("odd bodies", _post("/api/order", server.headers(), draw.choice(bodies)), CLOSED)


def odd_lengths(server: Server, draw: random.Random) -> Sent:
    """Lie about how long a body is."""
    headers = server.headers()
    body = _order(draw)
    lies = (
        "Content-Length: -1\r\n",
        "Content-Length: 99999999999999999999999\r\n",
        "Content-Length: 1\r\nContent-Length: 2\r\n",
        "Content-Length: 5\r\nTransfer-Encoding: chunked\r\n",
        "Transfer-Encoding: chunked, identity\r\n",
        "Transfer-Encoding: gzip\r\n",
        "Content-Length: 0x10\r\n",
        "Content-Length: 1000000000\r\n",
    )
    raw = f"POST /api/order HTTP/1.1\r\n{headers}{draw.choice(lies)}\r\n".encode() + body
    if draw.random() < 0.3:
        chunks = draw.choice(
            (b"ffffffffffffffff\r\n", b"-1\r\n", b"5;" + b"x" * 20_000 + b"\r\n", b"zz\r\n")
        )
        head = f"POST /api/order HTTP/1.1\r\n{headers}Transfer-Encoding: chunked\r\n\r\n"
        raw = head.encode() + chunks + body
    return Sent("odd lengths", raw, CLOSED | {501})


def odd_heads(server: Server, draw: random.Random) -> Sent:
    """Send what is hardly HTTP."""
    host = f"Host: {server.host}\r\n"
    many = "".join(f"X{number}: a\r\n" for number in range(5_000))
    raws = (
        draw.randbytes(draw.randrange(1, 3_000)) + b"\r\n\r\n",
        f"GET / HTTP/1.1\r\n{host}{host}\r\n".encode(),
        f"GET / HTTP/1.1\r\n{host}X: a\x00b\r\n\r\n".encode(),
        f"GET / HTTP/1.1\r\n{host}X : a\r\n\r\n".encode(),
        f"GET / HTTP/1.1\r\n{host}X: {'a' * 40_000}\r\n\r\n".encode(),
        f"GET / HTTP/1.1\r\n{host}{many}\r\n".encode(),
        f"GET /{'a' * 3_000} HTTP/1.1\r\n{host}\r\n".encode(),
        f"GET /?{'a' * 3_000} HTTP/1.1\r\n{host}\r\n".encode(),
        f"GET http://evil.example/api/me HTTP/1.1\r\n{host}\r\n".encode(),
        f"GET /%0d%0aSet-Cookie:x=1 HTTP/1.1\r\n{host}\r\n".encode(),
        f"GET /\r\nX: HTTP/1.1\r\n{host}\r\n".encode(),
        f"GET / HTTP/9.9\r\n{host}\r\n".encode(),
        b"GET / HTTP/1.1\r\n\r\n",
        b"GET /\r\n\r\n",
        b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
        b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" + draw.randbytes(200) + b"\r\n\r\n",
        f"{'A' * 20_000} / HTTP/1.1\r\n{host}\r\n".encode(),
        f"OPTIONS * HTTP/1.1\r\n{host}\r\n".encode(),
        f"CONNECT evil.example:443 HTTP/1.1\r\n{host}\r\n".encode(),
        f"TRACE / HTTP/1.1\r\n{host}Max-Forwards: 0\r\n\r\n".encode(),
        f"PUT /phone.js HTTP/1.1\r\n{host}Content-Length: 1\r\n\r\nx".encode(),
        f"DELETE /api/me HTTP/1.1\r\n{host}\r\n".encode(),
    )
    return Sent("odd heads", draw.choice(raws), CLOSED | {501, 505} | ODD_BUT_SOUND)


def odd_ranges(server: Server, draw: random.Random) -> Sent:
    """Ask for odd parts of a sound that is there."""
    ranges = (
        *("bytes=0-", "bytes=-1", "bytes=5-2", "bytes=999999-", "bytes=a-b", "lines=1-2", "bytes="),
        "bytes=" + ",".join("0-" for _ in range(2_000)),
        "bytes=" + ",".join(f"{n}-{n}" for n in range(1_500)),
        "bytes=0-99999999999999999999999999",
    )
    raw = _get("/api/sound/1", server.headers(Range=draw.choice(ranges)))
    return Sent("odd ranges", raw, frozenset({200, 206, 400, 416}))


def guesses(server: Server, draw: random.Random) -> Sent:
    """Guess at the code."""
    name = draw.choice(("Anna", "Bo", "<b>", "a\r\nb", "", "\u202e", "x" * 1_000))
    wide = "\uff11\uff12\uff13\uff14\uff15\uff16\uff17\uff18"
    code = draw.choice((f"{draw.randrange(10**8):08}", "", "0" * 1_000, wide))
    body = json.dumps({"code": code, "name": name}).encode()
    headers = server.headers(Cookie=None, X_Calllog_Token=None)
    return Sent("guessed codes", _post("/api/pair", headers, body), frozenset({400, 403, 429}))


def _order(draw: random.Random) -> bytes:
    identity = f"{draw.getrandbits(128):032x}"
    return json.dumps({"id": identity, "does": "again", "on": "", "text": ""}).encode()


KINDS: tuple[Callable[[Server, random.Random], Sent], ...] = (
    *(traversal, odd_sounds, other_hosts, other_pages, other_readers, odd_bodies, odd_lengths),
    *(odd_heads, odd_ranges, guesses),
)


@dataclass
class Found:
    """What hostile requests came to."""

    tried: Counter[str] = field(default_factory=Counter)
    answers: Counter[int] = field(default_factory=Counter)
    codes_tried: int = 0
    """Guesses that were compared with the code at all."""
    wrong: list[str] = field(default_factory=list)


def rage(server: Server, count: int, seed: int) -> Found:
    """Send so many requests of all kinds."""
    found, draw = Found(), random.Random(seed)  # noqa: S311 - what is sent is no secret
    begin_s = time.monotonic()
    for number in range(count):
        sent = KINDS[number % len(KINDS)](server, draw)
        try:
            status, headers, body = server.ask(sent.raw)
        except TimeoutError:
            status, headers, body = -1, {}, b""
        found.tried[sent.kind] += 1
        found.answers[status] += 1
        found.codes_tried += Entrance.WRONG.value.encode() in body
        if status not in sent.right:
            found.wrong.append(f"{sent.kind}: {status} for {sent.raw[:200]!r}")
        if CANARY.encode() in body or re.search(rb"root:.*:0:0|SQLite format", body):
            found.wrong.append(f"{sent.kind}: told a secret for {sent.raw[:200]!r}")
        # what is no HTTP is answered by the HTTP library, before the page
        is_ours = status not in (GONE, 400, -1) or headers.get("content-type") == "application/json"
        if is_ours and not all(headers.get(name) == HEADERS[name] for name in GUARDS):
            found.wrong.append(f"{sent.kind}: unguarded answer {status} for {sent.raw[:200]!r}")
        if "set-cookie" in headers:
            found.wrong.append(f"{sent.kind}: a cookie for {sent.raw[:200]!r}")
        if number % 100 == 99 and not server.is_well():
            found.wrong.append(f"after {number + 1} requests the sound phone is not served")
    most = GUESSES * (1 + (time.monotonic() - begin_s) // PAUSE_S)
    if found.codes_tried > most:
        found.wrong.append(f"{found.codes_tried} codes were compared, not {most:.0f} at most")
    if server.orders:
        found.wrong.append(f"{len(server.orders)} orders reached the job")
    return found


def crowd(server: Server, connections: int, patience_s: float) -> list[str]:
    """Connect many times and be slow in every way; the sound phone must be served meanwhile.

    Args:
        server: the page at work.
        connections: how many, of all ways together.
        patience_s: after this all of them must have been hung up on.
    """
    head = f"GET / HTTP/1.1\r\nHost: {server.host}\r\n"
    post = f"POST /api/pair HTTP/1.1\r\n{server.headers(Cookie=None)}"
    begun = (
        b"",
        b"G",
        head.encode(),
        f"{post}Content-Length: 90\r\n\r\n{{".encode(),
        f"{head}\r\n{head}".encode(),
        f"{head}Content-Length: 9999999\r\n\r\n".encode(),
        f"{head}\r\n".encode() * 2_000,
    )
    slow = []
    for number in range(connections):
        made = socket.create_connection(("127.0.0.1", server.port), ANSWER_S)
        made.settimeout(0.0)
        slow.append(made)
        try:
            made.send(begun[number % len(begun)])
        except OSError:
            continue
    wrong, longest_s, open_still = [], 0.0, slow
    end_s = time.monotonic() + patience_s
    while open_still and time.monotonic() < end_s:
        before_s = time.monotonic()
        if not server.is_well():
            wrong.append("the sound phone is not served beside slow ones")
            break
        longest_s = max(longest_s, time.monotonic() - before_s)
        open_still = [each for each in open_still if _trickle(each)]
        time.sleep(1.0)
    if open_still:
        wrong.append(f"{len(open_still)} slow connections are held after {patience_s:.0f} s")
    if longest_s > 2.0:
        wrong.append(f"the sound phone waited {longest_s:.1f} s")
    for each in slow:
        each.close()
    return wrong


def _trickle(made: socket.socket) -> bool:
    """Send one more sign, read nothing; tell whether the connection is still open."""
    try:
        made.send(b"a")
        return not _is_over(made)
    except BlockingIOError:
        return not _is_over(made)
    except OSError:
        return False


def _is_over(made: socket.socket) -> bool:
    state = made.getsockopt(socket.IPPROTO_TCP, socket.TCP_INFO, 1)[0]
    return state != 1  # established


def entries_of(job: Path) -> Counter[str]:
    """Count a job's entries by their kinds."""
    with Journal.open(job, read_only=True) as journal:
        return Counter(each.kind for each in journal.entries())
