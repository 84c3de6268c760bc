"""Phones of a chief on paper: orders, a desk that only remembers, a page that takes and tells."""

from __future__ import annotations

import os
import re
import time
from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import count
from multiprocessing.connection import Connection
from typing import Self, TypeVar

from calllog.panel import ViewText
from calllog.phone.desk import Desk
from calllog.phone.orders import stands
from calllog.server.messages import (
    Admission,
    Does,
    FromPage,
    Got,
    Order,
    OrderAnswer,
    Ordered,
    Ready,
    ToPage,
    to_page,
)
from calllog.session import PhonePaired, Replay
from calllog.values import Message

IDENTITIES = count(1)
PHONES = {"Anna": "k7f3", "Bo": "m2x9"}
"""What the logger knows the phones by."""
ANNA, BO = (f"{name} ({phone})" for name, phone in PHONES.items())
"""How they stand in the journal."""


def ordered(
    replay: Replay, does: Does, text: str = "", *, name: str = "Anna", on: str | None = None
) -> Ordered:
    """Make an order on the job as it stands, or on what stood before."""
    order = Order(
        id=f"{next(IDENTITIES):032x}",
        does=does,
        on=stands(replay).of(does) if on is None else on,
        text=text,
    )
    return Ordered(phone=PHONES[name], order=order)


@dataclass
class Phones:
    """Stands in for the desk: orders are put on it, answers stay."""

    words: str = "http://127.0.0.1:8421  code 1234 5678"
    invitation: tuple[str, ...] = ()
    waiting: deque[Ordered | Message] = field(default_factory=deque)
    answers: list[OrderAnswer] = field(default_factory=list)
    shown: list[ViewText] = field(default_factory=list)
    withheld: list[ViewText] = field(default_factory=list)
    keys: str = ""
    outside: set[str] = field(default_factory=set)
    """Names of phones that may not decide."""

    def press(self, key: str) -> bool:
        """Take the key that is for the phones."""
        self.keys += key
        return key == "p"

    def guest(self, phone: str) -> PhonePaired | None:
        """Give one of the two phones, unless it is outside."""
        known = {each: name for name, each in PHONES.items() if name not in self.outside}
        if phone not in known:
            return None
        return PhonePaired(name=known[phone], phone=phone, secret_sha256="")

    def show(self, view: ViewText, replay: Replay) -> None:
        """Remember the view."""
        del replay
        self.shown.append(view)

    def show_crew(self, view: ViewText) -> None:
        """Have no crew phones."""

    def withhold(self, view: ViewText) -> None:
        """Remember the view as one that is held back."""
        self.withheld.append(view)

    def read(self) -> tuple[Ordered | Message, ...]:
        """Give what was put on it."""
        given = tuple(self.waiting)
        self.waiting.clear()
        return given

    def answer(self, ordered: Ordered, answer: OrderAnswer) -> None:
        """Remember the answer."""
        assert ordered.order.id == answer.id
        self.answers.append(answer)


CODE = re.compile(r"code (\d{4}) (\d{4})")
Told = TypeVar("Told", bound=ToPage)


def until(condition: Callable[[], bool], desk: Desk, seconds: float = 20.0) -> None:
    """Let the loop turn until something holds."""
    deadline = time.monotonic() + seconds
    while not condition():
        if time.monotonic() > deadline:
            raise TimeoutError
        desk.read()
        time.sleep(0.01)


def code_of(words: str) -> str:
    """Read the code in what a desk says on the logger's screen."""
    found = CODE.search(words)
    if found is None:
        message = f"no code in {words!r}"
        raise ValueError(message)
    return found[1] + found[2]


@dataclass(eq=False)
class PaperPage:
    """Stands in for the page's process: takes what it is told, and tells what a test gives it."""

    pid: int = 0
    begun: int = 0
    """How often one was begun."""
    words: tuple[str, ...] = ()
    """By which the last one was."""
    told: list[ToPage] = field(default_factory=list)
    """What the last one was told, as far as `take` was asked."""
    exit_code: int = 0

    def begin(self, words: Sequence[str], handed: Sequence[int]) -> Self:
        """Stand in for a process that is begun anew."""
        self.begun += 1
        self.words = tuple(words)
        self.told.clear()
        self._pipe = Connection(os.dup(handed[0]))
        self.tell(Ready())
        return self

    def take(self) -> list[ToPage]:
        """Take what has come, and say so; give it."""
        came: list[ToPage] = []
        while not self._pipe.closed and self._pipe.poll(0.0):
            came.append(to_page(self._pipe.recv_bytes()))
            self.tell(Got())
        self.told += came
        return came

    def tell(self, message: FromPage) -> None:
        """Tell the field loop something."""
        self.tell_bytes(message.model_dump_json().encode())

    def tell_bytes(self, told: bytes) -> None:
        """Tell it anything."""
        self._pipe.send_bytes(told)

    def of(self, kind: type[Told]) -> list[Told]:
        """Give what it was told of a kind."""
        return [each for each in self.told if isinstance(each, kind)]

    @property
    def entry(self) -> Admission:
        """Who may come in, as it was told last."""
        return self.of(Admission)[-1]

    def kill(self) -> None:
        """Die."""
        self.exit_code = -9
        self._pipe.close()

    def wait(self, timeout: float | None = None) -> int:
        """Be over."""
        del timeout
        self._pipe.close()
        return self.exit_code
