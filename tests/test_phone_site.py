"""The page's server: nobody else gets in, nothing else gets out."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Callable, Iterator
from dataclasses import dataclass, field, replace
from html import unescape
from pathlib import Path

import pytest
from httpx2 import Response
from hypothesis import given
from hypothesis import settings as hypothesis
from hypothesis import strategies as st
from starlette.testclient import TestClient
from starlette.types import Message, Scope

from calllog.server.board import CARDS, PENDING, STREAMS, Board, KnownState
from calllog.server.door import GUESSES, SPENT, secret_sha256, token_of
from calllog.server.messages import (
    Admission,
    Admitted,
    Beat,
    Does,
    FromPage,
    Guest,
    Knock,
    Left,
    OrderAnswer,
    Ordered,
    OrderTold,
    Past,
    PhoneState,
    Spent,
)
from calllog.server.names import is_free, read_name
from calllog.server.site import MOST_BYTES, Guard, Site
from calllog.server.wording import STATIC
from calllog.values import ReadingUnit
from tests.phone import ANNA, PHONES

ORIGIN = "http://10.42.0.1:8421"
CODE = "12345678"
ORDER = {"id": "0" * 32, "does": "first", "on": "x", "text": ""}
PRIVATE = ("/api/me", "/api/events", "/api/past", "/api/sound/1")
CLIP = b"fLaC" + bytes(100)


@dataclass
class Loop:
    """Stands in for the field loop: pairs, revokes, and takes every order."""

    board: Board = field(init=False)
    told: list[FromPage] = field(default_factory=list)
    phones: dict[str, Guest] = field(default_factory=dict)
    code: str = CODE
    is_deaf: bool = False

    def __post_init__(self) -> None:
        """Tell the code."""
        self.board = Board(self.tell)
        self.renew()

    def renew(self, code: str = CODE) -> None:
        """Tell who may come in."""
        self.code = code
        self.board.take(Admission(self.code, dict(self.phones)))

    def tell(self, message: FromPage) -> None:
        """Answer at once, unless it is deaf."""
        self.told.append(message)
        if self.is_deaf:
            return
        match message:
            case Knock():
                phone = PHONES.get(message.name, "z" * 4)
                self.phones[phone] = Guest(message.name, message.secret_sha256)
                self.renew("87654321")
                self.board.take(Admitted(message.number, phone))
            case Left(phone=phone):
                del self.phones[phone]
                self.renew(self.code)
            case Ordered(phone=phone, order=order):
                self.board.take(
                    OrderTold(phone, OrderAnswer(order.id, is_taken=True, words="taken"))
                )
            case _:
                pass


@pytest.fixture
def loop() -> Loop:
    """Make a field loop."""
    return Loop()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Make a job's folder with one sound, and a secret beside it."""
    (tmp_path / "job/audio").mkdir(parents=True)
    (tmp_path / "job/audio/000001.flac").write_bytes(CLIP)
    (tmp_path / "job/audio/000002.flac").symlink_to(tmp_path / "secret")
    (tmp_path / "secret").write_text("secret")
    return tmp_path / "job"


@pytest.fixture
def stranger(loop: Loop, folder: Path) -> Iterator[TestClient]:
    """Make a browser that is not paired."""
    with TestClient(Site(loop.board, ORIGIN, folder).app, base_url=ORIGIN) as client:
        client.headers["origin"] = ORIGIN
        yield client


@pytest.fixture
def phone(stranger: TestClient) -> TestClient:
    """Pair it."""
    assert pair(stranger).status_code == 200
    stranger.headers["x-calllog-token"] = stranger.get("/api/me").json()["token"]
    return stranger


def pair(client: TestClient, code: str = CODE, name: str = "Anna") -> Response:
    """Try a code."""
    return client.post("/api/pair", json={"code": code, "name": name})


def test_stranger_sees_the_door_alone(stranger: TestClient) -> None:
    """Without a session there is the pairing page; nothing of the job, no sound."""
    assert "Pair this phone" in stranger.get("/").text
    for path in PRIVATE:
        assert stranger.get(path).status_code == 401, path
    assert stranger.post("/api/order", json=ORDER).status_code == 401
    assert stranger.post("/api/leave", json={}).status_code == 401


def test_code_gives_a_session_that_scripts_cannot_read(stranger: TestClient, loop: Loop) -> None:
    """The cookie is the browser's alone and never goes along from another site."""
    answer = pair(stranger)
    cookie = answer.headers["set-cookie"].lower()
    for part in ("httponly", "samesite=strict", "path=/"):
        assert part in cookie
    assert "domain" not in cookie
    secret = stranger.cookies["calllog"]
    assert len(secret) >= 43, "256 bits"
    assert secret not in repr(loop.told), "only its hash leaves the server"
    assert "chief's page" in unescape(stranger.get("/").text)
    assert stranger.get("/api/me").json()["name"] == ANNA


def test_session_by_tls_is_bound_to_it(loop: Loop, folder: Path) -> None:
    """With a certificate the cookie is sent by TLS alone and cannot be set from without."""
    secure = ORIGIN.replace("http", "https")
    app = Site(loop.board, secure, folder).app
    with TestClient(app, base_url=secure, headers={"origin": secure}) as client:
        cookie = pair(client).headers["set-cookie"]
        assert cookie.startswith("__Host-calllog=")
        assert "secure" in cookie.lower()
        assert client.get("/api/me").status_code == 200


def test_used_code_lets_nobody_else_in(phone: TestClient) -> None:
    """The code that Anna used is worthless to who saw it."""
    phone.cookies.clear()
    assert pair(phone, CODE, "Bo").status_code == 403
    assert phone.get("/api/me").status_code == 401


def test_guessing_is_slow_and_ends_the_code(stranger: TestClient, loop: Loop) -> None:
    """Five wrong codes and the address waits; the logger is told when a code is guessed at."""
    assert [pair(stranger, "0").status_code for _ in range(GUESSES)] == [403] * GUESSES
    assert pair(stranger).status_code == 429, "not even the right one"
    door = loop.board.door
    for address in range(SPENT - GUESSES - 1):
        door.try_code("0", "X", str(address), 0.0)
    stranger.cookies.clear()
    door.wrong.clear()
    assert pair(stranger, "0").status_code == 429
    assert loop.told == [Spent()]


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "evil.example:8421",
        "10.42.0.1",
        "10.42.0.1:80",
        "10.42.0.1.evil.example:8421",
    ],
)
def test_other_hosts_are_refused(phone: TestClient, host: str) -> None:
    """A name that was made to point here (DNS rebinding) is not this page, even with a session."""
    for path in ("/", *PRIVATE):
        answer = phone.get(path, headers={"host": host})
        assert answer.status_code == 421, path
        assert "set-cookie" not in answer.headers


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "https://10.42.0.1:8421"},
        {"origin": "http://10.42.0.1:9999"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"content-type": "text/plain"},
        {"content-type": "application/x-www-form-urlencoded"},
        {"x-calllog-token": "0" * 64},
        {"x-calllog-token": ""},
    ],
)
def test_other_pages_cannot_order(phone: TestClient, loop: Loop, headers: dict[str, str]) -> None:
    """A cross-site post is refused although the session goes along, and so is one without token."""
    told = len(loop.told)
    for path in ("/api/order", "/api/leave", "/api/pair"):
        if path == "/api/pair" and "x-calllog-token" in headers:
            continue
        sent = {"content-type": "application/json"} | headers
        answer = phone.post(path, content=json.dumps(ORDER), headers=sent)
        assert answer.status_code in (401, 403, 415), path
    assert len(loop.told) == told


def test_post_without_an_origin_is_refused(phone: TestClient) -> None:
    """What does not say where it comes from changes nothing."""
    del phone.headers["origin"]
    assert phone.post("/api/order", json=ORDER).status_code == 403


def test_other_pages_cannot_read(phone: TestClient) -> None:
    """Another page can fetch neither data nor sound; a link to the page itself may be followed."""
    for path in (*PRIVATE, "/phone.js"):
        assert phone.get(path, headers={"sec-fetch-site": "cross-site"}).status_code == 403
    assert phone.get("/", headers={"sec-fetch-site": "cross-site"}).status_code == 200


def test_token_of_another_phone_is_no_good(phone: TestClient) -> None:
    """Each session has a token of its own."""
    token = phone.headers["x-calllog-token"]
    phone.cookies.clear()
    assert pair(phone, "87654321", "Bo").status_code == 200
    assert phone.get("/api/me").json()["token"] != token
    assert phone.post("/api/order", json=ORDER).status_code == 401


def test_every_answer_is_guarded(phone: TestClient) -> None:
    """Strict policy, no sniffing, no frame, nothing kept: on pages, files, data and refusals."""
    for path in ("/", "/phone.js", "/api/me", "/api/sound/1", "/nothing", "/api/past"):
        headers = phone.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["cache-control"] == "no-store"
        assert headers["cross-origin-resource-policy"] == "same-origin"
        assert "access-control-allow-origin" not in headers


def test_pages_have_no_inline_script_and_are_small() -> None:
    """The policy would stop inline script and style; the page is 150 kB at most, all of it."""
    files = list(STATIC.iterdir())
    assert sum(each.stat().st_size for each in files) <= 150_000
    for path in files:
        text = path.read_text("utf-8")
        assert "innerHTML" not in text
        assert "://" not in text.replace("http://www.w3.org/2000/svg", ""), "it fetches something"
        if path.suffix == ".html":
            assert text.count("<script") == text.count("<script src=")
            assert "style=" not in text
            assert " on" + "click" not in text


def test_sound_is_found_by_number_alone(phone: TestClient) -> None:
    """A call's clip comes with its type, in parts if asked; a link out of the job does not."""
    whole = phone.get("/api/sound/1")
    assert (whole.status_code, whole.content) == (200, CLIP)
    assert whole.headers["content-type"] == "audio/flac"
    part = phone.get("/api/sound/1", headers={"range": "bytes=0-3"})
    assert (part.status_code, part.content) == (206, b"fLaC")
    assert phone.get("/api/sound/2").status_code == 404
    assert phone.get("/api/sound/3").status_code == 404


@pytest.mark.parametrize(
    "path",
    [
        "/../secret",
        "/..%2fsecret",
        "/%2e%2e/%2e%2e/secret",
        "/api/sound/..%2f..%2fsecret",
        "/api/sound/../../secret",
        "/api/sound/-1",
        "/api/sound/1.flac",
        "/api/sound/000001.flac",
        "/api/sound/99999999999999999999999999",
        "/job.sqlite",
        "/static/phone.html",
        "/phone.html",
        "/__init__.py",
        "//etc/passwd",
    ],
)
def test_no_path_leads_out(phone: TestClient, path: str) -> None:
    """Whatever is asked for, nothing but the page's own files and clips comes."""
    answer = phone.get(path)
    assert answer.status_code in (403, 404), path
    assert "secret" not in answer.text


def test_oversized_requests_are_refused(phone: TestClient, loop: Loop) -> None:
    """Neither a long body nor a long address reaches the field loop."""
    long = ORDER | {"text": "x" * MOST_BYTES}
    assert phone.post("/api/order", json=long).status_code == 413
    assert phone.post("/api/order", json=ORDER | {"text": "x" * 201}).status_code == 400
    assert phone.post("/api/pair", json={"code": "1" * MOST_BYTES, "name": "x"}).status_code == 413
    assert phone.get("/api/past?before=" + "1" * 5000).status_code == 414
    assert not any(isinstance(each, Ordered) for each in loop.told)


@pytest.mark.parametrize("body", ["", "{", "[]", '{"id": 1}', "null", "\x00"])
def test_what_is_no_order_is_refused(phone: TestClient, body: str) -> None:
    """Broken JSON is a refusal, not a fault."""
    sent = {"content-type": "application/json"}
    assert phone.post("/api/order", content=body, headers=sent).status_code == 400
    assert phone.post("/api/pair", content=body, headers=sent).status_code == 400


def test_methods_that_are_not_served_are_refused(phone: TestClient) -> None:
    """Nothing is changed by reading, nor read by changing."""
    assert phone.get("/api/order").status_code == 405
    sent = {"content-type": "application/json"}
    assert phone.put("/api/order", content="{}", headers=sent).status_code == 405
    assert phone.delete("/api/order", headers=sent).status_code == 405
    assert phone.options("/api/order").status_code in (403, 405, 415)


def test_order_goes_to_the_loop_in_the_sessions_name(phone: TestClient, loop: Loop) -> None:
    """Who orders is told by the session, not by what is sent; the answer comes back."""
    answer = phone.post("/api/order", json=ORDER)
    assert answer.json() == {"taken": True, "words": "taken"}
    made = loop.told[-1]
    assert isinstance(made, Ordered)
    assert (made.phone, made.order.does) == (PHONES["Anna"], Does.FIRST)


def test_revoked_phone_is_a_stranger_again(phone: TestClient, loop: Loop) -> None:
    """Leaving, or being revoked on the logger, ends the session on the server itself."""
    cookie = phone.cookies["calllog"]
    assert phone.post("/api/leave", json={}).status_code == 200
    phone.cookies.set("calllog", cookie, domain="10.42.0.1")
    assert phone.get("/api/me").status_code == 401
    assert loop.told[-1] == Left(phone=PHONES["Anna"])


@pytest.mark.parametrize("is_waiting", [False, True])
def test_order_whose_body_comes_after_the_revocation_is_refused(
    phone: TestClient, loop: Loop, *, is_waiting: bool
) -> None:
    """Its head was sent while the phone was paired: who may order is asked when all is there."""
    loop.told.clear()
    answered = asyncio.run(late_order(phone, loop, is_waiting=is_waiting))
    assert answered == (503 if is_waiting else 401)
    assert loop.told == []


async def late_order(phone: TestClient, loop: Loop, *, is_waiting: bool) -> int:
    """Send the head of an order, let its phone be revoked, and send the body; give the status."""
    body = json.dumps(ORDER).encode()
    statuses: list[int] = []
    headers = {
        "host": "10.42.0.1:8421",
        "origin": ORIGIN,
        "cookie": f"calllog={phone.cookies['calllog']}",
        "content-type": "application/json",
        "content-length": str(len(body)),
        "x-calllog-token": phone.headers["x-calllog-token"],
    }
    scope: Scope = {
        "type": "http",
        "asgi": {"spec_version": "2.4"},
        "http_version": "1.1",
        "method": "POST",
        "path": "/api/order",
        "raw_path": b"/api/order",
        "query_string": b"",
        "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
    }

    async def receive() -> Message:
        await asyncio.sleep(0.05)
        anna = loop.phones[PHONES["Anna"]]
        outside = {PHONES["Anna"]: replace(anna, is_in=False)} if is_waiting else {}
        loop.board.take(Admission(loop.code, outside))
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: Message) -> None:
        statuses.append(message.get("status", 0))

    await phone.app(scope, receive, send)
    return statuses[0]


def test_phone_of_the_sitting_before_waits_and_goes_on(phone: TestClient, loop: Loop) -> None:
    """It keeps its page, is told what is waited for, sees nothing, and goes on after the yes."""
    (anna,) = loop.phones.values()
    loop.board.take(Admission(loop.code, {PHONES["Anna"]: replace(anna, is_in=False)}))
    assert "chief's page" in unescape(phone.get("/").text)
    for path in PRIVATE:
        answer = phone.get(path)
        assert answer.status_code == 503, path
        assert answer.json()["words"].endswith("key y on its keyboard")
    loop.told.clear()
    assert phone.post("/api/order", json=ORDER).status_code == 503
    assert phone.post("/api/leave", json={}).status_code == 503
    assert loop.told == []
    loop.renew()
    assert phone.get("/api/me").json()["name"] == ANNA
    assert phone.post("/api/order", json=ORDER).json()["taken"]


REFUSED_NAMES = (
    *("", " ", "A\n", "Bo\u202e", "\u0430nna", "the logger", "policy", "x" * 21, "<b>", "\u00bd"),
    *("\u00b2", "A\u00b2\u0301\u0301\u0301", "\u263a"),
)


@pytest.mark.parametrize("name", REFUSED_NAMES)
def test_refused_name_does_not_use_up_the_code(stranger: TestClient, loop: Loop, name: str) -> None:
    """The one with the odd name is told so; the same code lets the next one in."""
    answer = pair(stranger, name=name)
    assert answer.status_code == 403
    assert "name" in answer.json()["words"]
    assert loop.told == []
    assert pair(stranger).status_code == 200


def test_name_is_journalled_in_its_one_form(stranger: TestClient, loop: Loop) -> None:
    """A raised two, as some keyboards give it, neither stands in a name nor breaks the page."""
    assert pair(stranger, name=" Bo\u00b2 ").status_code == 200
    (knock,) = loop.told
    assert isinstance(knock, Knock)
    assert (knock.name, knock.code) == ("Bo2", CODE)


def test_knock_that_the_logger_refuses_is_no_session(
    stranger: TestClient, loop: Loop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The field loop has the last word on code and name."""
    monkeypatch.setattr(loop.board, "tell", lambda told: loop.board.take(Admitted(told.number, "")))
    answer = pair(stranger)
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers


def test_phone_that_was_admitted_too_late_is_struck(
    stranger: TestClient, loop: Loop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It was told that the logger does not answer, and has no secret: nobody could come by it."""
    monkeypatch.setattr("calllog.server.site.ANSWER_S", 0.05)
    loop.is_deaf = True
    assert pair(stranger).status_code == 503
    loop.board.take(Admitted(1, "k7f3"))
    assert loop.told[-1] == Left(phone="k7f3")


JSONS = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda each: st.lists(each, max_size=3) | st.dictionaries(st.text(), each, max_size=3),
    max_leaves=8,
)
ENDS = st.sampled_from(("/api/pair", "/api/order", "/api/leave"))


def strange_bodies() -> st.SearchStrategy[bytes]:
    """Make bytes, any JSON, and what is nearly a pairing or an order."""
    pairings = st.fixed_dictionaries({"code": st.just(CODE) | JSONS, "name": st.text() | JSONS})
    orders = st.fixed_dictionaries(
        {
            "id": st.just("0" * 32) | JSONS,
            "does": st.sampled_from([each.value for each in Does]) | JSONS,
            "on": st.text(max_size=70) | JSONS,
            "text": st.text() | JSONS,
        }
    )
    values = JSONS | pairings | orders
    return st.binary(max_size=200) | values.map(lambda each: json.dumps(each).encode())


@hypothesis(max_examples=120, deadline=None, database=None, derandomize=True)
@given(path=st.sampled_from(("/api/pair", "/api/order", "/api/leave")), body=strange_bodies())
def test_no_body_is_a_fault(path: str, body: bytes) -> None:
    """Whatever is sent: taken or refused, never a fault; and what is refused uses up no code."""
    loop = Loop()
    loop.phones[PHONES["Anna"]] = Guest("Anna", secret_sha256("secret"))
    loop.renew()
    cookie = {"cookie": "calllog=secret", "x-calllog-token": token_of("secret")}
    headers = {"origin": ORIGIN, "content-type": "application/json", **cookie}
    client = TestClient(Site(loop.board, ORIGIN, Path()).app, base_url=ORIGIN)
    answer = client.post(path, content=body, headers=headers)
    assert answer.status_code in (200, 400, 403, 413), answer.text
    assert answer.status_code == 200 or loop.board.door.code == CODE


@hypothesis(max_examples=120, deadline=None, database=None, derandomize=True)
@given(name=st.text(max_size=30))
def test_no_name_is_a_fault(name: str) -> None:
    """Any text as a name, with the right code: paired in one form, or refused and the code kept."""
    loop = Loop()
    client = TestClient(Site(loop.board, ORIGIN, Path()).app, base_url=ORIGIN)
    client.headers["origin"] = ORIGIN
    answer = pair(client, name=name)
    assert answer.status_code == (200 if is_free(read_name(name), ()) else 403)
    assert (loop.board.door.code == CODE) == (answer.status_code == 403)


def test_name_in_use_is_refused_with_the_way_out(phone: TestClient) -> None:
    """Nobody becomes Anna beside Anna."""
    phone.cookies.clear()
    answer = pair(phone, "87654321", "Anna")
    assert answer.status_code == 403
    assert "revoke it on the logger" in answer.json()["words"]


def test_logger_that_does_not_answer_is_told(
    phone: TestClient, loop: Loop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An order without an answer is not called taken; the phone may send it again."""
    monkeypatch.setattr("calllog.server.site.ANSWER_S", 0.05)
    loop.is_deaf = True
    assert phone.post("/api/order", json=ORDER).status_code == 503
    assert phone.post("/api/order", json=ORDER).status_code == 503
    assert sum(isinstance(each, Ordered) for each in loop.told) == 1, "asked once"
    loop.is_deaf = False
    loop.tell(loop.told[-1])
    for number in range(1, PENDING + 1):
        loop.is_deaf = True
        phone.post("/api/order", json=ORDER | {"id": f"{number:032x}"})
    assert phone.post("/api/order", json=ORDER | {"id": "f" * 32}).status_code == 429


def test_pairing_waits_for_the_journal(
    stranger: TestClient, loop: Loop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No session is given before the phone is on disk."""
    monkeypatch.setattr("calllog.server.site.ANSWER_S", 0.05)
    loop.is_deaf = True
    answer = pair(stranger)
    assert answer.status_code == 503
    assert "set-cookie" not in answer.headers


def test_booked_pulls_come_in_pages(phone: TestClient, loop: Loop) -> None:
    """The newest first; those that are no more are gone; odd places do no harm."""
    loop.board.take(Past(0, tuple(str(number) for number in range(25))))
    first = phone.get("/api/past").json()
    assert first == {"first": 15, "cards": list(range(24, 14, -1))}
    assert phone.get("/api/past?before=15").json()["cards"] == list(range(14, 4, -1))
    assert phone.get("/api/past?before=5").json() == {"first": 0, "cards": [4, 3, 2, 1, 0]}
    assert phone.get("/api/past?before=0").json() == {"first": 0, "cards": []}
    for odd in ("-1", "x", "9999999", "²", "99999999999999"):
        assert phone.get(f"/api/past?before={odd}").json()["first"] == 15
    loop.board.take(Past(20, ()))
    assert phone.get("/api/past").json()["cards"][0] == 19
    assert len(phone.get("/api/past").json()["cards"]) == CARDS


# Events, on the board and as they are sent


async def collect(board: Board, steps: list[Callable[[], object]], seen: str = "") -> list[str]:
    """Follow the board while things happen; give what was told."""
    told: list[str] = []

    async def follow() -> None:
        async for each in board.follow("secret", seen):
            match each:
                case KnownState(state=state):
                    told.append(f"known {state.id}")
                case PhoneState():
                    told.append(each.id)
                case _:
                    told.append("beat")

    following = asyncio.create_task(follow())
    for step in steps:
        await asyncio.sleep(0.01)
        step()
    await asyncio.sleep(0.01)
    if following.done():
        following.result()
    following.cancel()
    return told


def known(board: Board) -> Board:
    """Pair a phone whose secret is "secret"."""
    board.take(Admission("", {PHONES["Anna"]: Guest("Anna", secret_sha256("secret"))}))
    return board


def state(number: int, sitting: int = 1) -> PhoneState:
    """Make a state."""
    return PhoneState(sitting, number, "{}")


def test_only_the_newest_state_is_told() -> None:
    """A phone that comes late, or is slow, never sees an older state after a newer one."""
    board = known(Board(lambda _: None))
    board.take(state(1))
    board.take(state(2))

    def both() -> None:
        board.take(state(3))
        board.take(state(4))

    assert asyncio.run(collect(board, [both])) == ["known 1-2", "1-4"]


def test_known_state_is_not_told_as_news() -> None:
    """Who comes is not told that the field loop lives before it has said so."""
    for seen, told in (("1-7", []), ("1-6", ["known 1-7"]), ("", ["known 1-7"])):
        board = known(Board(lambda _: None))
        board.take(state(7))
        assert asyncio.run(collect(board, [], seen)) == told


def test_beats_tell_that_the_state_still_holds() -> None:
    """Each word of the field loop is passed on, none is made up here."""
    board = known(Board(lambda _: None))
    board.take(state(7))
    beats: list[Callable[[], object]] = [lambda: board.take(Beat())] * 2
    assert asyncio.run(collect(board, beats, "1-7")) == ["beat"] * 2


def test_revoked_phone_hears_no_more() -> None:
    """Its stream ends at once, not with its next request."""
    board = known(Board(lambda _: None))
    steps: list[Callable[[], object]] = [
        lambda: board.take(state(1)),
        lambda: board.take(Admission("", {})),
        lambda: board.take(state(2)),
    ]
    assert asyncio.run(collect(board, steps)) == ["1-1"]


def test_open_pages_of_a_phone_are_few() -> None:
    """A phone that opens the page over and over is refused, and may again when it has closed."""

    async def open_many() -> None:
        board = known(Board(lambda _: None))
        board.take(state(1))
        opened: list[AsyncIterator[KnownState | PhoneState | Beat]] = []
        for _ in range(STREAMS):
            assert not board.is_followed_enough("secret")
            opened.append(board.follow("secret", ""))
            await anext(opened[-1])
        assert board.is_followed_enough("secret")
        await opened[0].aclose()  # type: ignore[attr-defined]
        assert not board.is_followed_enough("secret")

    asyncio.run(open_many())


def test_too_many_pages_are_refused(phone: TestClient, loop: Loop) -> None:
    """The one too many is told so, instead of being left waiting."""
    loop.board.streams[PHONES["Anna"]] = STREAMS
    assert phone.get("/api/events").status_code == 429


def test_events_are_sent_as_they_are_told(phone: TestClient, loop: Loop) -> None:
    """A state has its number as the event's; the stream ends with the session."""
    loop.board.take(state(3))
    text = asyncio.run(streamed(phone, loop))
    assert "retry: 500\n\n" in text
    assert "id: 1-3\nevent: known\ndata: {}\n\n" in text
    assert "event: beat\ndata:\n\n" in text
    assert text.endswith("event: gone\ndata:\n\n")


async def streamed(phone: TestClient, loop: Loop) -> str:
    """Read the stream of a paired phone to its end, which its revocation is."""
    sent: list[bytes] = []
    scope: Scope = {
        "type": "http",
        "asgi": {"spec_version": "2.4"},
        "http_version": "1.1",
        "method": "GET",
        "path": "/api/events",
        "raw_path": b"/api/events",
        "query_string": b"",
        "headers": [
            (b"host", b"10.42.0.1:8421"),
            (b"cookie", f"calllog={phone.cookies['calllog']}".encode()),
        ],
    }

    async def receive() -> Message:
        await asyncio.sleep(60)
        return {"type": "http.disconnect"}

    async def send(message: Message) -> None:
        sent.append(message.get("body", b""))

    serving = asyncio.ensure_future(phone.app(scope, receive, send))
    for message in (Beat(), Admission("", {})):
        await asyncio.sleep(0.05)
        loop.board.take(message)
    await asyncio.wait_for(serving, 5)
    return b"".join(sent).decode()


@pytest.mark.parametrize(
    ("origin", "hosts"),
    [
        ("http://127.0.0.1:8421", {"127.0.0.1:8421", "localhost:8421"}),
        ("http://[::1]:8421", {"[::1]:8421", "localhost:8421"}),
        ("http://logger.lan:80", {"logger.lan:80", "logger.lan"}),
        ("https://10.42.0.1:443", {"10.42.0.1:443", "10.42.0.1"}),
    ],
)
def test_names_of_the_page(origin: str, hosts: set[str]) -> None:
    """The page answers to its address, to the computer's own names for it, to nothing else."""
    app = Site(Board(lambda _: None), origin, Path()).app
    assert Guard(app, origin).hosts == hosts


@pytest.mark.parametrize(
    ("unit", "rise"),
    [(ReadingUnit.FOOT, "ft"), (ReadingUnit.FINE_FOOT, "ft"), (ReadingUnit.FINE_METRE, "m")],
)
def test_conditions_are_asked_for_in_the_unit_of_the_tape(
    loop: Loop, folder: Path, unit: ReadingUnit, rise: str
) -> None:
    """Degrees Celsius, newtons and metres beside a metric tape."""
    with TestClient(Site(loop.board, ORIGIN, folder, unit).app, base_url=ORIGIN) as client:
        client.headers["origin"] = ORIGIN
        assert pair(client).status_code == 200
        rows = {each["name"]: each["range"] for each in client.get("/api/me").json()["conditions"]}
    assert rows["rise"] == f"0 to 100 {rise}"
    assert rows["temperature"] == ("-60 to 160 degF" if unit.is_feet else "-50 to 70 degC")
