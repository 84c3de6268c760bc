"""A crew at work: sound and keys in as they come, calls in the job, what followed out; shell.

An utterance is given to the recogniser as soon as its speech has paused, before it is known to be
over; what comes of it is used only if the speech did not go on and the pull still expects the
same. So the answer is there when the silence that ends a call is, and the calls are those that the
same sound gives from a file.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from calllog.audio import RATE_HZ, Utterance
from calllog.audio.endpoint import Endpointer, Samples
from calllog.keypad import Entry
from calllog.recognise import Hypothesis
from calllog.session.job import Job
from calllog.session.taking import Taker
from calllog.values import Expectation, Role

NEAR_S = 0.3
"""A call that ends or begins so near to lost sound may have lost some of it."""
MISSING_KEPT = 64


class Hearing(Protocol):
    """Hears utterances in its own time (see `calllog.recognise.worker.Worker`)."""

    def ask(self, utterance: Utterance, expects: Expectation) -> int:
        """Ask what may have been said; give the number under which the answer comes."""

    def answers(self, timeout_s: float = 0.0) -> tuple[tuple[int, tuple[Hypothesis, ...]], ...]:
        """Give the answers that have come."""


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the recogniser was asked about a channel last."""

    number: int
    start_s: float
    end_s: float
    expects: Expectation


class LiveCrew:
    """Takes what a crew says and types into a job, in the order in which it was said.

    Args:
        taker: takes calls into the job.
        channels: number of microphones' channels; 0 without.
        hearing: hears utterances; None without microphones.
        on_window: told each window of sound (see `Endpointer`).
    """

    def __init__(
        self,
        taker: Taker,
        *,
        channels: int = 0,
        hearing: Hearing | None = None,
        on_window: Callable[[Samples, tuple[bool, ...]], None] | None = None,
    ) -> None:
        self._taker = taker
        self._channels = channels
        self._hearing = hearing
        self._ears = (
            Endpointer("live", channels, on_pause=self._ask_ahead, on_window=on_window)
            if channels and hearing is not None
            else None
        )
        self._asked: dict[int, _Asked] = {}
        self._answers: dict[int, tuple[Hypothesis, ...]] = {}
        self._said: deque[Utterance] = deque()
        self._missing_s: deque[tuple[float, float]] = deque(maxlen=MISSING_KEPT)
        """Where sound is missing, with what is near it [s]."""

    @property
    def job(self) -> Job:
        """The job."""
        return self._taker.job

    @property
    def is_idle(self) -> bool:
        """Nothing that was said waits to be understood."""
        return not self._said

    def awaits_typed_remark(self, at_s: float) -> bool:
        """Tell whether a keypad asked for a remark that is still to be spoken."""
        return self._taker.awaits_typed_remark(at_s)

    @property
    def heard_s(self) -> float:
        """How much sound was taken in, silence that stands for lost sound included [s]."""
        return self._ears.heard / RATE_HZ if self._ears is not None else 0.0

    def expects(self, role: Role) -> Expectation:
        """Tell what one of the crew is expected to say or type now."""
        return self._taker.expects(role)

    def hear(self, sound: Samples, *, is_deaf: bool = False) -> None:
        """Take in sound of all channels, shape (frames, channels), float32, 16 kHz.

        Args:
            sound: the next sound, without a gap.
            is_deaf: the program itself is heard in it, so that nothing counts as speech.

        Raises:
            AudioError: a clip cannot be written.
        """
        if self._ears is not None:
            self._said.extend(self._ears.hear(sound, is_deaf=is_deaf))
        self.work()

    def miss(self, seconds: float) -> None:
        """Stand silence in for sound that was lost [s]; a call that it touches is asked again."""
        if self._ears is None or seconds <= 0.0:
            return
        begin_s = self.heard_s
        self._missing_s.append((begin_s - NEAR_S, begin_s + seconds + NEAR_S))
        self.hear(np.zeros((round(seconds * RATE_HZ), self._channels), np.float32))

    def type(self, entry: Entry, at_s: float, role: Role = Role.UNSAID) -> None:
        """Take what was typed (see `Taker.take_entry`)."""
        self._taker.take_entry(entry, at_s, role)

    def work(self) -> None:
        """Take the utterances whose turn it is and that the recogniser has answered."""
        if self._hearing is None:
            return
        self._answers.update(self._hearing.answers())
        while self._said:
            utterance = self._said[0]
            if self._taker.is_remark(utterance):
                self._taker.take_remark(self._said.popleft())
                continue
            asked = self._ask(self._hearing, utterance)
            hypotheses = self._answers.get(asked.number)
            if hypotheses is None:
                return
            self._said.popleft()
            self._forget()
            self._taker.take_heard(
                utterance, asked.expects, hypotheses, is_broken=self._is_broken(utterance)
            )

    def finish(self, timeout_s: float) -> None:
        """Take what is in the air at the end; gives up what is not understood in time."""
        if self._ears is None or self._hearing is None:
            return
        self._said.extend(self._ears.finish())
        self.work()
        while self._said:
            came = self._hearing.answers(timeout_s)
            if not came:
                return
            self._answers.update(came)
            self.work()

    def _ask_ahead(self, utterance: Utterance) -> None:
        if self._hearing is not None and not self._taker.is_remark(utterance):
            self._ask(self._hearing, utterance)

    def _ask(self, hearing: Hearing, utterance: Utterance) -> _Asked:
        """Ask about an utterance unless just that was asked already."""
        expected = self._taker.expects_of(utterance)
        asked = self._asked.get(utterance.channel)
        same = (utterance.start_s, utterance.end_s, expected)
        if asked is None or (asked.start_s, asked.end_s, asked.expects) != same:
            number = hearing.ask(utterance, expected)
            asked = self._asked[utterance.channel] = _Asked(number, *same)
        return asked

    def _forget(self) -> None:
        """Drop the answers to what is no longer asked."""
        wanted = {asked.number for asked in self._asked.values()}
        self._answers = {number: each for number, each in self._answers.items() if number in wanted}

    def _is_broken(self, utterance: Utterance) -> bool:
        return any(
            begin_s <= utterance.end_s and utterance.start_s <= end_s
            for begin_s, end_s in self._missing_s
        )
