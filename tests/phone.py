"""Phones of a chief on paper: orders as a phone makes them, and a desk that only remembers."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from itertools import count

from calllog.panel import ViewText
from calllog.phone.messages import Does, Order, OrderAnswer, Ordered
from calllog.phone.orders import stands
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
