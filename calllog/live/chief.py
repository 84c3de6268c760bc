"""Orders of the chief's phones in, each taken into the job once, what became of it out; shell.

An order is journalled with its sender before it is taken, so that it counts once although the
program was killed in between: the same order sent again is known by its identity.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from calllog.errors import JournalError
from calllog.phone.messages import Answer, Ordered
from calllog.phone.orders import Written, judge
from calllog.session.live import LiveCrew
from calllog.values import Consequence, Decision, Role

REMEMBERED = 256
"""Answers kept for phones that did not get them."""
COUNTED = "taken"
DISK_FAILS = "not taken: the disk takes nothing; give it again when the stop is gone"
UNSAVED = "taken, but not on disk yet"


class Chief:
    """Takes orders.

    Args:
        crew: whose job it is.
        on_decided: told each decision and what followed; entries are told as a keypad's are.
    """

    def __init__(
        self, crew: LiveCrew, on_decided: Callable[[Decision, tuple[Consequence, ...]], None]
    ) -> None:
        self._crew = crew
        self._on_decided = on_decided
        self._answered: dict[tuple[str, str], Answer] = {}

    def take(self, ordered: Ordered, at_s: float) -> Answer:
        """Take an order, unless it was taken before.

        Args:
            ordered: the order and its sender.
            at_s: when, from the beginning of the sound [s].
        """
        identity = (ordered.name, ordered.order.id)
        known = self._answered.get(identity)
        if known is None:
            known = self._known(ordered)
            if known is None and not self._crew.job.kept.is_safe:
                return Answer(ordered.order.id, is_taken=False, words=DISK_FAILS)
            known = known or self._take(ordered, at_s)
            while len(self._answered) >= REMEMBERED:
                del self._answered[next(iter(self._answered))]
            self._answered[identity] = known
        return known

    def _known(self, ordered: Ordered) -> Answer | None:
        """Answer an order that was taken before the program was begun again."""
        identity = ordered.order.id
        asked = self._crew.job.replay.asked_by.get(identity)
        is_taken = asked == (ordered.name, True)
        return Answer(identity, is_taken=True, words=COUNTED) if is_taken else None

    def _take(self, ordered: Ordered, at_s: float) -> Answer:
        job, order, phone = self._crew.job, ordered.order, ordered.name
        typed = partial(self._crew.typed, at_s=at_s, phone=phone)
        deed = judge(job.replay, ordered, self._crew.expects(Role.UNSAID), typed)
        if isinstance(deed, str):
            return Answer(order.id, is_taken=False, words=deed)
        named = order.model_dump(mode="json")
        if isinstance(deed, Written):
            named["text"] = ""  # words stand in a file of their own, which can be removed
        job.note("phone_asked", {"name": phone, **named})
        match deed:
            case Decision():
                self._on_decided(deed, job.take(deed))
            case Written(text=text):
                try:
                    self._crew.write(text, at_s, phone=phone)
                except JournalError:
                    return Answer(order.id, is_taken=False, words=DISK_FAILS)
            case entry:
                self._crew.type(entry, at_s, phone=phone)
        is_safe = job.kept.is_safe
        return Answer(order.id, is_taken=True, words=COUNTED if is_safe else UNSAVED)
