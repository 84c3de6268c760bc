"""Phone: a job's booked pulls in, what has changed of them since they were sent, out; pure."""

import json
from collections.abc import Iterator
from dataclasses import asdict

from calllog.phone.plain import plain_all
from calllog.phone.shown import card
from calllog.server.messages import Past
from calllog.session import Replay
from calllog.values import ReadingUnit, Segment
from calllog.wording import ENGLISH, Words

AT_ONCE = 8
"""Booked pulls sent in one message."""


class Cards:
    """Follows the booked pulls of a job."""

    def __init__(self, words: Words = ENGLISH) -> None:
        self._words = words
        self._booked: list[Segment] = []
        self._cards: list[str] = []
        """The booked pulls as they are sent."""
        self.changes = 0
        """How often they have changed."""

    def all(self) -> Iterator[Past]:
        """Give all of them, for who knows none."""
        return self._from(0)

    def follow(self, replay: Replay, unit: ReadingUnit, *, may_hear: bool) -> Iterator[Past]:
        """Give what has changed: pulls that stand no more are taken back, new ones are sent."""
        known, now = self._booked, replay.segments
        while known and (len(known) > len(now) or known[-1] is not now[len(known) - 1]):
            known.pop()
        if len(known) < len(self._cards):
            del self._cards[len(known) :]
            self.changes += 1
            yield Past(len(known), ())
        if (first := len(known)) < len(now):
            words = self._words.measured_in(unit)
            for segment in now[first:]:
                before = known[-1] if known else None
                seen = card(segment, before, replay.calls, may_hear=may_hear, words=words)
                told = plain_all(asdict(seen))
                self._cards.append(json.dumps(told, ensure_ascii=False, separators=(",", ":")))
                known.append(segment)
            self.changes += 1
            yield from self._from(first)

    def _from(self, first: int) -> Iterator[Past]:
        for place in range(first, len(self._cards), AT_ONCE):
            yield Past(place, tuple(self._cards[place : place + AT_ONCE]))
