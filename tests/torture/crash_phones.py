"""A chief's phone whose orders the logger is killed over: what was answered is there, once.

The phone is one that sends raw requests, as its page does. It writes values and remarks while a
crew's keys switch the ends; the logger is killed while it starts, right after an order was sent,
after it was answered. An order that got no answer is sent again to the next sitting, with the same
identity, as a page does. Part of `tests.torture.crash`.
"""

from __future__ import annotations

import http.client
import json
import math
import random
import re
import threading
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

from calllog.journal import Journal, is_job
from calllog.office import replay_job
from calllog.office.summary import verify_job
from calllog.pairing import Phase
from calllog.phone.orders import stands
from calllog.resources import PACKAGE
from calllog.server.messages import Does
from tests.torture.killed import FEW_S, GIVEN_UP_S, START_S, Found, Program
from tests.virtual import free_port

CODE = re.compile(r"code (\d{4}) (\d{4})")
ANSWER_S = 10.0
LET_IN = "y"
A_JOB = 25
"""Sittings of one job."""


class Sent(NamedTuple):
    """An order of the phone."""

    id: str
    does: str
    on: str
    text: str


@dataclass
class Phone:
    """A chief's phone without a browser."""

    port: int
    cookie: str = ""
    token: str = ""
    answered: dict[str, Sent] = field(default_factory=dict)
    """Orders that were said to be taken."""
    open: Sent | None = None
    """The order that got no answer."""

    def ask(self, method: str, path: str, body: object = None) -> tuple[int, dict[str, Any], str]:
        """Send a request; give status, what was answered, and the cookie that was set.

        Raises:
            OSError: nobody answers.
            http.client.HTTPException: who answered was killed meanwhile.
        """
        made = http.client.HTTPConnection("127.0.0.1", self.port, timeout=ANSWER_S)
        headers = {
            "Origin": f"http://127.0.0.1:{self.port}",
            "Cookie": f"calllog={self.cookie}",
            "X-Calllog-Token": self.token,
            "Content-Type": "application/json",
        }
        try:
            made.request(method, path, None if body is None else json.dumps(body), headers)
            got = made.getresponse()
            told = got.read()
            told_json = json.loads(told) if told.startswith(b"{") else {}
            return got.status, told_json, got.getheader("set-cookie", "")
        finally:
            made.close()

    def pair(self, code: str) -> None:
        """Be paired by the code on the logger's screen."""
        status, _, cookie = self.ask("POST", "/api/pair", {"code": code, "name": "Anna"})
        assert status == 200, status
        self.cookie = cookie.partition("=")[2].partition(";")[0]
        self.token = self.ask("GET", "/api/me")[1]["token"]

    def is_inside(self) -> bool:
        """Tell whether the phone is let in."""
        try:
            return self.ask("GET", "/api/me")[0] == 200
        except (OSError, http.client.HTTPException):
            return False

    def give(self, sent: Sent) -> bool:
        """Give an order and wait for the answer; tell whether it was taken."""
        self.open = sent
        try:
            status, told, _ = self.ask("POST", "/api/order", sent._asdict())
        except (OSError, http.client.HTTPException):
            return False
        if status != 200:
            return False
        self.open = None
        if told["taken"]:
            self.answered[sent.id] = sent
        return bool(told["taken"])


def phoned(
    count: int, work: Path, *, a_job: int = A_JOB, seed: int = 1, until_s: float = math.inf
) -> Found:
    """Kill the logger while a chief orders by phone; each job is gone on with so many times."""
    chance = random.Random(seed)  # noqa: S311 - a repeatable choice, no secret
    found = Found()
    while found.goes_on(count, until_s):
        job, phone = work / f"phoned-{found.kills}", Phone(free_port())
        words = (
            *("listen", str(job), "--tape", str(PACKAGE / "demo" / "tapes" / "full-100.toml")),
            *("--line", "Heron:Alder", "--keys-only", "--output", "none", "--page"),
            *("--page-port", str(phone.port)),
            *("--temperature", "41F", "--tension", "20lb", "--support", "ends"),
        )
        orders = _orders(job, chance)
        for _ in range(a_job):
            if not found.goes_on(count, until_s):
                break
            before = len(phone.answered)
            _sitting(Program(*words), phone, orders, chance, found)
            found.kills += 1
            found.told += len(phone.answered) - before
            _look(job, phone, found)
        _finish(Program(*words), phone, found)
        _look(job, phone, found, is_over=True)
    return found


def _sitting(
    program: Program, phone: Phone, orders: Iterator[Sent], chance: random.Random, found: Found
) -> None:
    """Work with the phone up to the moment of the kill."""
    if chance.random() < 0.2:
        found.when["while starting"] += 1
        time.sleep(chance.uniform(0, START_S / 2))
    elif _enter(program, phone):
        _again(phone)
        for _ in range(chance.randrange(0, 4)):
            _switch(program, phone, orders)
        moment = chance.choice(("after it was sent", "after it was sent", "after its answer"))
        found.when[moment] += 1
        last = threading.Thread(target=phone.give, args=(next(orders),))
        last.start()
        if moment == "after its answer":
            last.join()
        else:
            time.sleep(chance.uniform(0, 2 * FEW_S))
        time.sleep(chance.uniform(0, FEW_S))
        _kill(program, found)
        last.join()
        return
    _kill(program, found)


def _kill(program: Program, found: Found) -> None:
    if program.kill():
        found.wrong.append("ended by itself: " + " / ".join(program.lines[-3:]))


def _enter(program: Program, phone: Phone) -> bool:
    """Let the phone in: by the code, or by the logger's yes."""
    if not program.wait(0, "code "):
        return False
    deadline = time.monotonic() + GIVEN_UP_S
    if not phone.cookie:
        code = next(found for line in program.lines if (found := CODE.search(line)))
        phone.pair(code[1] + code[2])
    elif program.wait(0, "lets them in"):
        program.type(LET_IN)
    while not phone.is_inside():
        if time.monotonic() > deadline:
            return False
        time.sleep(0.05)
    return True


def _again(phone: Phone) -> None:
    """Send once more what got no answer, and once more what got one long ago."""
    if phone.open is not None:
        phone.give(phone.open)
    for old in list(phone.answered.values())[-1:]:
        phone.give(old)


def _switch(program: Program, phone: Phone, orders: Iterator[Sent]) -> None:
    """Give an order; let the keys switch ends where the pull waits for that."""
    sent = next(orders)
    phone.give(sent)
    if sent.does == Does.VALUE:
        program.type("+")
        time.sleep(FEW_S)


def _orders(job: Path, chance: random.Random) -> Iterator[Sent]:
    """Give order after order, on the job as it stands then."""
    number = 0
    while True:
        number += 1
        replay = replay_job(job)
        phase = replay.require_state().phase
        does = Does.VALUE if phase is not Phase.STOPPED and chance.random() < 0.6 else Does.REMARK
        if phase is Phase.STOPPED and chance.random() < 0.5:
            does = Does.FIRST
        value = 1000 + number * 37 % 8900
        texts = {Does.VALUE: f"{value // 100}.{value % 100:02}", Does.REMARK: f"remark {number}"}
        on = stands(replay).of(does)
        yield Sent(f"{chance.getrandbits(128):032x}", does.value, on, texts.get(does, ""))


def _finish(program: Program, phone: Phone, found: Found) -> None:
    """Give what is open once more, and stop as a crew does."""
    if not _enter(program, phone):
        found.wrong.append("the phone did not come in again: " + " / ".join(program.lines[-3:]))
    _again(phone)
    if program.end():
        found.wrong.append("ended badly: " + " / ".join(program.lines[-3:]))


def _look(job: Path, phone: Phone, found: Found, *, is_over: bool = False) -> None:
    """Look at a job: each order that was answered did one thing, each other one at most one."""
    if not is_job(job):
        found.lost += len(phone.answered)
        return
    proof = verify_job(job)
    if not proof.ok:
        found.wrong.append(f"{job}: {proof.wrong}")
        return
    deeds = _deeds(job)
    lost = [each for each in phone.answered if not deeds[each]]
    doubled = [each for each, times in deeds.items() if times > 1]
    found.lost += len(lost)
    found.doubled += len(doubled)
    for each in (*lost, *doubled):
        found.wrong.append(f"{job}: order {each} did {deeds[each]} things")
    if is_over and phone.open is not None:
        found.wrong.append(f"{job}: an order was never answered")


def _deeds(job: Path) -> Counter[str]:
    """Count what each order did: a decision, or a call from a phone, behind the order's entry."""
    done: Counter[str] = Counter()
    order = ""
    with Journal.open(job, read_only=True) as journal:
        for entry in journal.entries():
            body: dict[str, Any] = dict(entry.content)  # type: ignore[arg-type]
            if entry.kind == "phone_asked":
                order = str(body["id"])
            elif entry.kind == "decision" or (
                entry.kind == "call" and "#phone" in str(body["source"])
            ):
                done[order] += 1
    return done
