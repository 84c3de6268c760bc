"""A crew phone's connection: who gets one, what is taken, and where it goes."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient, WebSocketTestSession
from starlette.websockets import WebSocketDisconnect

from calllog.server.board import Board
from calllog.server.clocks import LEAST
from calllog.server.door import secret_sha256, token_of
from calllog.server.frames import Frame, taken_on, write_frame
from calllog.server.messages import (
    Admission,
    Agreed,
    Began,
    Fares,
    FromPage,
    Guest,
    Joined,
    Keyed,
    Parted,
    Speak,
)
from calllog.server.offered import Offered
from calllog.server.site import Site
from calllog.values import Role

ORIGIN = "https://192.168.4.1:8421"
SECRETS = {"bbbb": "ash's", "cccc": "rowan's", "dddd": "the chief's"}
PAGE = "0" * 32
OFFERED = Offered(roles=(Role.HEAD, Role.REAR), language="en", keeps=True, words="{}")
QUIET = bytes(640)


@dataclass
class Crew:
    """A page's process with three phones, and what it tells the field loop."""

    told: list[FromPage] = field(default_factory=list)
    sounds: list[bytes] = field(default_factory=list)
    board: Board = field(init=False)
    holders: frozenset[str] = frozenset({"bbbb", "cccc"})
    roles: tuple[Role, ...] = (Role.HEAD, Role.REAR, Role.UNSAID)

    def __post_init__(self) -> None:
        """Know the phones."""
        self.board = Board(self.told.append)
        self.know()

    def know(self) -> None:
        """Tell who may come in, and who holds what."""
        guests = {
            phone: Guest(phone, secret_sha256(secret), role=role, holds=phone in self.holders)
            for (phone, secret), role in zip(SECRETS.items(), self.roles, strict=True)
        }
        self.board.take(Admission("1", guests))

    def of(self, kind: type) -> list[Any]:
        """Give what was told of a kind."""
        return [each for each in self.told if isinstance(each, kind)]


@pytest.fixture
def crew() -> Crew:
    """Make it."""
    return Crew()


@pytest.fixture
def browser(crew: Crew, tmp_path: Path) -> Iterator[TestClient]:
    """Make a browser at the page."""
    site = Site(crew.board, ORIGIN, tmp_path, offered=OFFERED, sound=crew.sounds.append)
    with TestClient(site.app, base_url=ORIGIN) as client:
        client.headers["origin"] = ORIGIN
        yield client


def connect(browser: TestClient, phone: str, **headers: str) -> WebSocketTestSession:
    """Ask for a connection."""
    given = {"origin": ORIGIN, "cookie": f"__Host-calllog={SECRETS[phone]}", **headers}
    return browser.websocket_connect(f"{ORIGIN.replace('http', 'ws')}/api/line", headers=given)


def greet(line: WebSocketTestSession, phone: str, *, page: str = PAGE, keeps: bool = True) -> None:
    """Say the first words."""
    token = token_of(SECRETS[phone])
    line.send_text(json.dumps({"token": token, "page": page, "keeps": keeps}))


def tell_time(line: WebSocketTestSession) -> None:
    """Answer until the phone's clock is known."""
    for _ in range(LEAST + 1):
        told = json.loads(line.receive_text())
        if told["is_timed"]:
            return
        line.send_text(json.dumps({"time": told["time"], "at_s": time.monotonic()}))


def hear_out(line: WebSocketTestSession) -> int:
    """Listen until the connection is ended; give why it was (RFC 6455)."""
    try:
        for _ in range(20):
            line.receive_text()
    except WebSocketDisconnect as ended:
        return ended.code
    return 0


def until(condition: Any, seconds: float = 5.0) -> None:  # noqa: ANN401
    """Wait until something holds."""
    deadline_s = time.monotonic() + seconds
    while not condition():
        assert time.monotonic() < deadline_s
        time.sleep(0.01)


def test_sound_of_who_holds_a_role_goes_on_with_this_computers_time(
    crew: Crew, browser: TestClient
) -> None:
    """Consent first, then the clock, then frames; what the phone says comes as it was said."""
    with connect(browser, "bbbb") as line:
        greet(line, "bbbb", keeps=False)
        tell_time(line)
        now_s = time.monotonic()
        line.send_bytes(write_frame(Frame(3, now_s, QUIET)))
        line.send_text(json.dumps({"key": "5"}))
        line.send_text(json.dumps({"began": 9, "at_s": now_s}))
        line.send_text(json.dumps({"battery": 14, "is_dead": False}))
        until(lambda: crew.of(Fares))
        crew.board.take(Speak(Role.HEAD, '{"say":1}'))
        crew.board.take(Speak(Role.REAR, '{"say":2}'))
        said = json.loads(line.receive_text())
        while "say" not in said:
            said = json.loads(line.receive_text())
        assert said == {"say": 1}
    until(lambda: crew.of(Parted))
    taken = taken_on(crew.sounds[0])
    assert taken is not None
    role, _, frame = taken
    assert (role, frame.number, frame.samples) == (Role.HEAD, 3, QUIET)
    assert frame.at_s == pytest.approx(now_s, abs=0.5)
    assert crew.told[:2] == [Agreed(phone="bbbb", keeps=False), Joined(phone="bbbb")]
    assert crew.of(Keyed) == [Keyed(phone="bbbb", key="5")]
    assert crew.of(Fares) == [Fares(phone="bbbb", battery=14)]
    (began,) = crew.of(Began)
    assert began.at_s == pytest.approx(now_s, abs=0.5)


@pytest.mark.parametrize(
    ("phone", "headers"),
    [
        ("dddd", {}),
        ("bbbb", {"cookie": "__Host-calllog=strangers"}),
        ("bbbb", {"origin": "https://elsewhere.example"}),
        ("bbbb", {"host": "elsewhere.example"}),
        ("bbbb", {"sec-fetch-site": "cross-site"}),
    ],
)
def test_nobody_else_gets_a_connection(
    browser: TestClient, phone: str, headers: dict[str, str]
) -> None:
    """The chief's phone, a stranger's, another page's, another name's: refused before it stands."""
    with pytest.raises(WebSocketDisconnect), connect(browser, phone, **headers) as line:
        line.receive_text()


@pytest.mark.parametrize(
    "sent",
    [
        b"no frame",
        write_frame(Frame(0, 1.0, QUIET)) + b"x",
        '{"key": "x"}',
        '{"what": 1}',
        '{"time": -1}',
        "x" * 600,
    ],
)
def test_what_no_page_of_ours_sends_ends_it(
    crew: Crew, browser: TestClient, sent: bytes | str
) -> None:
    """Nothing of it goes on."""
    with connect(browser, "bbbb") as line:
        greet(line, "bbbb")
        tell_time(line)
        if isinstance(sent, bytes):
            line.send_bytes(sent)
        else:
            line.send_text(sent)
        assert hear_out(line) == 1008
    assert crew.sounds == []
    assert crew.of(Keyed) == []


def test_page_without_its_token_is_no_page(crew: Crew, browser: TestClient) -> None:
    """A cookie alone opens nothing."""
    with connect(browser, "bbbb") as line:
        line.send_text(json.dumps({"token": "0" * 64, "page": PAGE, "keeps": True}))
        with pytest.raises(WebSocketDisconnect):
            line.receive_text()
    assert crew.told == []


def test_rival_is_not_heard_until_it_takes_over(crew: Crew, browser: TestClient) -> None:
    """Of two phones of one role one is heard; the other is told that it waits, then holds."""
    crew.roles = (Role.HEAD, Role.HEAD, Role.UNSAID)
    crew.holders = frozenset({"bbbb"})
    crew.know()
    with connect(browser, "cccc") as line:
        greet(line, "cccc")
        tell_time(line)
        line.send_bytes(write_frame(Frame(0, time.monotonic(), QUIET)))
        line.send_text(json.dumps({"battery": 50, "is_dead": False}))
        until(lambda: crew.of(Fares))
        assert crew.sounds == []
        crew.holders = frozenset({"cccc"})
        crew.know()
        told = json.loads(line.receive_text())
        while not told["holds"]:
            told = json.loads(line.receive_text())
        line.send_bytes(write_frame(Frame(1, time.monotonic(), QUIET)))
        until(lambda: crew.sounds)


def test_revoked_phone_is_cut_off_at_once(crew: Crew, browser: TestClient) -> None:
    """Within the next question about the time; nothing of it goes on."""
    with connect(browser, "bbbb") as line:
        greet(line, "bbbb")
        tell_time(line)
        crew.board.take(Admission("1", {}))
        assert hear_out(line) == 1008
    assert crew.of(Parted) == [Parted(phone="bbbb")]


def test_newer_page_of_a_phone_takes_the_older_ones_place(crew: Crew, browser: TestClient) -> None:
    """The older one is told why; frames of the newer count anew, of the same page they go on."""
    with connect(browser, "bbbb") as older:
        greet(older, "bbbb")
        tell_time(older)
        older.send_bytes(write_frame(Frame(5, time.monotonic(), QUIET)))
        until(lambda: len(crew.sounds) == 1)
        with connect(browser, "bbbb") as newer:
            greet(newer, "bbbb", page="1" * 32)
            tell_time(newer)
            assert hear_out(older) == 4001
            newer.send_bytes(write_frame(Frame(0, time.monotonic(), QUIET)))
            until(lambda: len(crew.sounds) == 2)
    pages = [taken[1] for each in crew.sounds if (taken := taken_on(each))]
    assert pages[0] != pages[1]


def test_crew_phone_orders_nothing_and_hears_no_clip(browser: TestClient) -> None:
    """It has keys; the chief's orders and sounds are for the chief's own phone."""
    browser.cookies.set("__Host-calllog", SECRETS["bbbb"])
    browser.headers["x-calllog-token"] = token_of(SECRETS["bbbb"])
    order = {"id": "0" * 32, "does": "first", "on": "x", "text": ""}
    assert browser.post("/api/order", json=order).status_code == 403
    assert browser.get("/api/sound/1").status_code == 403
    told = browser.get("/api/crew").json()
    assert (told["role"], told["name"]) == ("head", "bbbb")
    assert "microphone=(self)" in browser.get("/").headers["permissions-policy"]
    assert "crew.js" in browser.get("/").text
