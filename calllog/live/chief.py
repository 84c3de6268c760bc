"""Orders of the chief's phones in, each taken into the job once, what became of it out; shell.

An order is journalled with its sender before it is taken, so that it counts once although the
program was killed in between: the same order sent again is known by its identity. What was taken
is remembered by the job's replay alone, which is the same at work and after a restart.
"""

from collections.abc import Callable
from functools import partial

from calllog.errors import JournalError
from calllog.phone.orders import RemarkOrder, judge
from calllog.server.messages import Order, OrderAnswer, Ordered
from calllog.session import PhonePaired, asked
from calllog.session.live import LiveCrew
from calllog.values import Consequence, Decision, Role
from calllog.wording import ENGLISH, Words

COUNTED, UNSAVED = "order-taken", "order-unsaved"
DISK_FAILS, OUTSIDE = "order-disk-fails", "order-outside"
"""Codes of what becomes of an order."""


class Chief:
    """Takes orders.

    Args:
        crew: whose job it is.
        guest: gives a phone that may decide at this moment; None if it may not.
        on_decided: told each decision and what followed; entries are told as a keypad's are.
        words: of the crew.
    """

    def __init__(
        self,
        crew: LiveCrew,
        guest: Callable[[str], PhonePaired | None],
        on_decided: Callable[[Decision, tuple[Consequence, ...]], None],
        words: Words = ENGLISH,
    ) -> None:
        self._words = words
        self._crew = crew
        self._guest = guest
        self._on_decided = on_decided

    def take(self, ordered: Ordered, at_s: float) -> OrderAnswer:
        """Take an order, unless it was taken before, or its phone may not decide now."""
        order, job = ordered.order, self._crew.job
        guest = self._guest(ordered.phone)
        if guest is None:
            return OrderAnswer(order.id, is_taken=False, words=self._words(OUTSIDE))
        _, is_taken = job.replay.asked_by.get(asked(ordered.phone, order.id), ("", False))
        if not is_taken and not job.kept.is_safe:
            return OrderAnswer(order.id, is_taken=False, words=self._words(DISK_FAILS))
        refused = "" if is_taken else self._take(order, guest, at_s)
        if refused:
            return OrderAnswer(order.id, is_taken=False, words=refused)
        words = self._words(COUNTED if job.kept.is_safe else UNSAVED)
        return OrderAnswer(order.id, is_taken=True, words=words)

    def _take(self, order: Order, guest: PhonePaired, at_s: float) -> str:
        """Take an order; say why not, if it is refused."""
        job, who = self._crew.job, guest.who
        typed = partial(self._crew.typed, at_s=at_s, phone=who)
        deed = judge(
            job.replay, order, self._crew.expects(Role.UNSAID), typed, by=who, words=self._words
        )
        if isinstance(deed, str):
            return deed
        named = order.model_dump(mode="json")
        if isinstance(deed, RemarkOrder):
            named["text"] = ""  # words stand in a file of their own, which can be removed
        sender = {"name": guest.name, "phone": guest.phone}
        job.note("phone_asked", {**sender, **named})
        match deed:
            case Decision():
                self._on_decided(deed, job.record(deed))
            case RemarkOrder(text=text):
                try:
                    self._crew.write(text, at_s, phone=who)
                except JournalError:
                    return self._words(DISK_FAILS)
            case entry:
                self._crew.type(entry, at_s, phone=who)
        return ""
