"""Server: questions and answers about the time in, a phone's clock by this computer's out; pure.

As in the Network Time Protocol (RFC 5905, section 8): an answer was written between question and
return, so half of the round trip bounds the error. The shortest round trip of late counts, and an
older one less, since two crystals differ.
"""

from collections import deque
from dataclasses import dataclass
from typing import Final

KEPT_S: Final = 30.0
"""How long an answer counts."""
DRIFT: Final = 1e-4
"""How far two crystals may differ, seconds a second."""
LEAST: Final = 4
"""Answers before a clock is known."""


@dataclass(frozen=True, slots=True)
class _Answer:
    at_s: float
    ahead_s: float
    """How far this computer's clock is ahead of the phone's."""
    within_s: float


class PhoneClock:
    """A phone's clock, as seen from this computer's."""

    def __init__(self) -> None:
        self._answers: deque[_Answer] = deque()

    @property
    def is_known(self) -> bool:
        """Whether there were answers enough."""
        return len(self._answers) >= LEAST

    def note(self, asked_s: float, phone_s: float, answered_s: float) -> None:
        """Take an answer.

        Args:
            asked_s: when it was asked, by this computer's clock [s].
            phone_s: what the phone's clock said [s].
            answered_s: when the answer came, by this computer's clock [s].
        """
        if answered_s < asked_s:
            return
        middle_s = (asked_s + answered_s) / 2.0
        within_s = (answered_s - asked_s) / 2.0
        self._answers.append(_Answer(answered_s, middle_s - phone_s, within_s))
        while self._answers[0].at_s < answered_s - KEPT_S and len(self._answers) > LEAST:
            self._answers.popleft()

    def here_s(self, phone_s: float) -> float:
        """Give a time of the phone's clock by this computer's [s]."""
        return phone_s + self._best.ahead_s

    @property
    def within_s(self) -> float:
        """How far `here_s` may be off for what is captured now [s]."""
        return self._doubt_s(self._best)

    @property
    def _best(self) -> _Answer:
        return min(self._answers, key=self._doubt_s)

    def _doubt_s(self, answer: _Answer) -> float:
        return answer.within_s + DRIFT * (self._answers[-1].at_s - answer.at_s)
