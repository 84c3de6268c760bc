"""A crew at work: sound and keys in as they come, calls in the job, what followed out; shell.

An utterance is given to the recogniser as soon as its speech has paused, before it is known to be
over; what comes of it is used only if the speech did not go on and the pull still expects the
same. So the answer is there when the silence that ends a call is. A call that surely completes a
measurement, or switches ends, is over as soon as that is known; else the calls are those that the
same sound gives from a file.
"""

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf
from typing import Protocol

import numpy as np

from calllog.audio import RATE_HZ, Utterance
from calllog.audio.detector import WINDOW
from calllog.audio.endpoint import Endpointer, Samples
from calllog.keypad import KeyedEntry
from calllog.recognise import Hypothesis
from calllog.session.job import Job
from calllog.session.recorder import Recorder
from calllog.values import Call, Expectation, Message, Role, message

NEAR_S = 0.3
"""A call that ends or begins so near to lost sound may have lost some of it."""
TOUCHES_S = 0.15
"""The same of sound so short that no word is gone with it: 0.1 s that ended 0.05 s and more before
speech, or began so after it, changed none of 192 calls (eight tuning voices) into another one."""
SHORT_S = 0.128
"""Lost sound is so short within so many windows, what was lost near it included; the shortest call
lasted seven."""
UNDER_S = 0.13
"""Speech that ends or begins so near to words of the program may go on under them."""
FILLED_S = 2.0
"""Silence that stands for a longer gap: it ends every call, and no sound before it is kept."""
AFTER_S = 0.3
"""The clip of a call that lost sound goes on so much longer, with what came late."""
DOUBTS_KEPT = 64
BROKEN = "sound-was-lost"
CROSSED = "said-before-decision"
SAID_UNDER = "said-under-voice"
"""Codes of why a call is asked again; where several hold, the first of them is told."""
CROSSES_S = 1.5
"""What begins this soon after the chief has decided crossed it in the air (as `stops.HEARD_S`)."""


class Hearing(Protocol):
    """Hears utterances in its own time (see `calllog.recognise.worker.Worker`)."""

    def ask(self, utterance: Utterance, expects: Expectation) -> int:
        """Ask what may have been said; give the number under which the answer comes."""

    def answers(self, timeout_s: float = 0.0) -> tuple[tuple[int, tuple[Hypothesis, ...]], ...]:
        """Give the answers that have come."""


class Listening(Protocol):
    """Finds what is said in sound as it comes (see `calllog.audio.endpoint.Endpointer`)."""

    @property
    def heard(self) -> int:
        """Samples heard so far on each channel."""

    @property
    def begun_s(self) -> float | None:
        """When the earliest speech began that has not come out yet [s]; None in silence."""

    def hear(
        self, block: Samples, *, is_deaf: Sequence[bool] = (), may_hide: Sequence[bool] = ()
    ) -> Iterator[Utterance]:
        """Take in sound of all channels; give what ends with it."""

    def skip(self, windows: int) -> None:
        """Let time pass without sound."""

    def end(self, channel: int, end_s: float) -> Utterance | None:
        """End an utterance whose speech has paused; None where it went on."""

    def finish(self) -> Iterator[Utterance]:
        """Give what is in the air at the end."""


class MakeListening(Protocol):
    """Makes what finds speech in sound (see `calllog.audio.endpoint.Endpointer`)."""

    def __call__(
        self,
        source: str,
        channels: int,
        *,
        on_pause: Callable[[Utterance], None],
        on_window: Callable[[Samples, tuple[bool, ...]], None],
    ) -> Listening:
        """Make it, given what is told utterances that have paused, and windows."""


@dataclass(frozen=True, slots=True)
class _Asked:
    """What the recogniser was asked about a channel last."""

    number: int
    utterance: Utterance
    expects: Expectation
    is_joined: bool = False
    """It was put behind the figure before it."""

    def is_about(self, utterance: Utterance, expects: Expectation) -> bool:
        """Tell whether it is just this that was asked."""
        mine = (self.utterance.start_s, self.utterance.end_s, self.expects)
        return mine == (utterance.start_s, utterance.end_s, expects)


class LiveCrew:
    """Takes what a crew says and types into a job, in the order in which it was said.

    Args:
        recorder: records calls in the job.
        channels: number of microphones' channels; 0 without.
        hearing: hears utterances; None without microphones.
        on_window: told each window of sound that was heard (see `Endpointer`).
        listening: makes what finds speech in the sound.
    """

    def __init__(
        self,
        recorder: Recorder,
        *,
        channels: int = 0,
        hearing: Hearing | None = None,
        on_window: Callable[[Samples, tuple[bool, ...]], None] | None = None,
        listening: MakeListening = Endpointer,
    ) -> None:
        self._recorder = recorder
        self._channels = channels
        self._hearing = hearing
        self._on_window = on_window
        self._is_filling = False
        self._ears = (
            listening("live", channels, on_pause=self.ask_ahead, on_window=self._measure)
            if channels and hearing is not None
            else None
        )
        self.late: Callable[[int, float, float], Samples] | None = None
        """Gives what is known by now of a channel's sound between two times [s]."""
        self._asked: dict[int, _Asked] = {}
        self._answers: dict[int, tuple[Hypothesis, ...]] = {}
        self._unfinished: set[int] = set()
        """Numbers of those of which it was found whether all is said by them."""
        self._apart: Utterance | None = None
        """The last one that is no part of one number with the figure before it."""
        self._said: deque[Utterance] = deque()
        self._doubts: dict[tuple[str, int | None], deque[tuple[float, float]]] = {}
        """Where no call can be trusted, with what is near it [s]: why, and on which channel."""
        self._lost: dict[int, tuple[float, float]] = {}
        """The last lost sound of each channel, with what was lost near it [s]."""

    @property
    def job(self) -> Job:
        """The job."""
        return self._recorder.job

    @property
    def unagreed(self) -> tuple[Role, ...]:
        """The wearers whose sound is not kept, since they did not agree (`Recorder.unagreed`)."""
        return self._recorder.unagreed

    @property
    def is_idle(self) -> bool:
        """Nothing that was said waits to be understood."""
        return not self._said

    def awaits_typed_remark(self, at_s: float) -> bool:
        """Tell whether a keypad asked for a remark that is still to be spoken."""
        return self._recorder.awaits_typed_remark(at_s)

    @property
    def heard_s(self) -> float:
        """How much sound was taken in, silence that stands for lost sound included [s]."""
        return self._ears.heard / RATE_HZ if self._ears is not None else 0.0

    def expects(self, role: Role) -> Expectation:
        """Tell what one of the crew is expected to say or type now."""
        return self._recorder.expects(role)

    def hear(
        self,
        sound: Samples,
        *,
        is_deaf: Sequence[bool] = (),
        is_shut: Sequence[bool] | None = None,
        may_hide: Sequence[bool] = (),
        is_missing: Sequence[bool] = (),
    ) -> None:
        """Take in sound of all channels, shape (frames, channels), float32, 16 kHz.

        Args:
            sound: the next sound, without a gap.
            is_deaf: of each channel, whether the program itself is heard in it, so that nothing
                counts as speech; empty for none.
            is_shut: of each channel, whether a call that touches it cannot be trusted; as
                `is_deaf` if left out.
            may_hide: of each channel, whether speech that does not count may be its wearer's: a
                call that it begins is asked again; empty for all.
            is_missing: of each channel, whether zeros stand in for some of its sound, so that a
                call near it is asked again; empty for none.

        Raises:
            AudioError: a clip cannot be written.
        """
        if self._ears is not None:
            begin_s = self.heard_s
            self._said.extend(self._ears.hear(sound, is_deaf=is_deaf, may_hide=may_hide))
            for channel, hears_us in enumerate(is_deaf if is_shut is None else is_shut):
                if hears_us:
                    self._doubt(begin_s - UNDER_S, self.heard_s + UNDER_S, SAID_UNDER, channel)
            for channel, lacks in enumerate(is_missing):
                if lacks:
                    self._lack(channel, begin_s, self.heard_s)
        self.work()

    def miss(self, seconds: float, *, doubtful_s: float = 0.0) -> None:
        """Stand silence in for sound that was lost; a call that it touches is asked again.

        Args:
            seconds: how much was lost [s].
            doubtful_s: how much of what was heard before may be lost or another's too [s].
        """
        if self._ears is None or seconds <= 0.0:
            return
        begin_s = self.heard_s
        self._doubt(begin_s - doubtful_s - NEAR_S, begin_s + seconds + NEAR_S, BROKEN)
        filled_s = min(seconds, FILLED_S)
        self._is_filling = True
        try:
            self.hear(np.zeros((round(filled_s * RATE_HZ), self._channels), np.float32))
        finally:
            self._is_filling = False
        self._ears.skip(round((seconds - filled_s) * RATE_HZ / WINDOW))

    def cross(self, at_s: float) -> None:
        """Take no call that crossed the chief's decision for one of the pull after it [s].

        What is being said as a pull is decided, and what was said and is not understood yet, is
        about that pull; it is asked again.
        """
        self._doubt(min(self._first_s, at_s), at_s + CROSSES_S, CROSSED)

    def type(
        self, entry: KeyedEntry, at_s: float, role: Role = Role.UNSAID, *, phone: str = ""
    ) -> None:
        """Take what was typed (see `Recorder.record_entry`)."""
        self._recorder.record_entry(entry, at_s, role, phone=phone)

    def typed(self, entry: KeyedEntry, at_s: float, *, phone: str) -> Call:
        """Make a call of what was typed on a phone, without taking it."""
        return self._recorder.typed(entry, at_s, phone=phone)

    def write(self, text: str, at_s: float, *, phone: str) -> None:
        """Take a remark that was written on a phone."""
        self._recorder.record_written(text, at_s, phone=phone)

    @property
    def speaks_s(self) -> float:
        """How long somebody has been speaking, or what they said waits to be taken [s]."""
        first_s = self._first_s
        return 0.0 if first_s == inf else self.heard_s - first_s

    @property
    def _first_s(self) -> float:
        """When the earliest speech began that is not taken yet [s]; infinite if there is none."""
        begun_s = self._ears.begun_s if self._ears is not None else None
        said_s = (each.start_s for each in self._said)
        return min(inf if begun_s is None else begun_s, *said_s, inf)

    def awaits_speech(self, before_s: float) -> bool:
        """Tell whether something that was being said before a time is still to be taken [s]."""
        begun_s = [each.start_s for each in self._said]
        if self._ears is not None and self._ears.begun_s is not None:
            begun_s.append(self._ears.begun_s)
        return any(each < before_s for each in begun_s)

    def work(self) -> None:
        """Take the utterances whose turn it is and that the recogniser has answered."""
        if self._hearing is None:
            return
        self._answers.update(self._hearing.answers())
        self._end_what_is_whole()
        while self._said and self._take(self._hearing, self._said[0]):
            pass

    def finish(self, timeout_s: float) -> None:
        """Take what is in the air at the end; what is not understood in time is kept as sound."""
        if self._ears is None or self._hearing is None:
            return
        self._said.extend(self._ears.finish())
        self.work()
        while self._said:
            came = self._hearing.answers(timeout_s)
            self._answers.update(came)
            if not came:
                timeout_s = 0.0
                utterance = self._said.popleft()
                self._recorder.record_heard(utterance, self._recorder.expects_of(utterance), ())
            self.work()

    def _take(self, hearing: Hearing, utterance: Utterance) -> bool:
        """Take the utterance whose turn it is, if the recogniser has answered."""
        if self._recorder.is_remark(utterance):
            self._recorder.record_remark(self._said.popleft())
            return True
        asked = self._ask(hearing, utterance)
        hypotheses = self._answers.get(asked.number)
        if hypotheses is None:
            return False
        if asked.is_joined and not self._recorder.is_one_number(
            asked.utterance, asked.expects, hypotheses
        ):
            self._apart = utterance
            return self._take(hearing, utterance)
        self._said.popleft()
        self._forget()
        self._unfinished.add(asked.number)
        if asked.is_joined:
            utterance = asked.utterance
        broken = self._why_broken(utterance)
        if broken is not None and broken.code == BROKEN:
            utterance = self._with_late(utterance)
        self._recorder.record_heard(utterance, asked.expects, hypotheses, broken=broken)
        return True

    def _with_late(self, utterance: Utterance) -> Utterance:
        """Give an utterance that lost sound what of it has come since, for its clip."""
        if self.late is None or utterance.begin_s is None:
            return utterance
        end_s = utterance.begin_s + len(utterance.samples) / RATE_HZ + AFTER_S
        known = self.late(utterance.channel, utterance.begin_s, end_s)
        return replace(utterance, samples=known)

    def _end_what_is_whole(self) -> None:
        """End a call that has paused where all is said by it: nobody waits for more silence."""
        if self._ears is None or self._said:
            return
        for asked in self._asked.values():
            hypotheses = self._answers.get(asked.number)
            if hypotheses is None or asked.number in self._unfinished:
                continue
            utterance = asked.utterance
            is_known = asked.is_joined or asked.expects is self._recorder.expects_of(utterance)
            heard = (utterance, asked.expects, hypotheses)
            is_one = not asked.is_joined or self._recorder.is_one_number(*heard)
            is_whole = is_known and is_one and self._recorder.is_whole(*heard)
            self._unfinished.add(asked.number)
            if not is_whole or self._why_broken(utterance) is not None:
                continue
            if (ended := self._ears.end(utterance.channel, utterance.end_s)) is not None:
                self._said.append(ended)
                return

    def _measure(self, window: Samples, speech: tuple[bool, ...]) -> None:
        if self._on_window is not None and not self._is_filling:
            self._on_window(window, speech)

    def ask_ahead(self, utterance: Utterance) -> None:
        """Ask before the call is known to be over, unless others are still waited for."""
        is_next = not self._said and not self._recorder.is_remark(utterance)
        if self._hearing is not None and is_next:
            self._ask(self._hearing, utterance)

    def _ask(self, hearing: Hearing, utterance: Utterance) -> _Asked:
        """Ask about an utterance unless just that was asked already.

        What follows a figure alone is asked about together with it first.
        """
        alone = self._apart
        is_apart = alone is not None and (
            (alone.channel, alone.start_s) == (utterance.channel, utterance.start_s)
        )
        joined = None if is_apart else self._recorder.rejoined(utterance)
        whole, expected = joined or (utterance, self._recorder.expects_of(utterance))
        asked = self._asked.get(utterance.channel)
        if asked is None or not asked.is_about(whole, expected):
            number = hearing.ask(whole, expected)
            asked = _Asked(number, whole, expected, is_joined=joined is not None)
            self._asked[utterance.channel] = asked
        return asked

    def _forget(self) -> None:
        """Drop the answers to what is no longer asked."""
        wanted = {asked.number for asked in self._asked.values()}
        self._answers = {number: each for number, each in self._answers.items() if number in wanted}
        self._unfinished &= wanted

    def _doubt(self, begin_s: float, end_s: float, reason: str, channel: int | None = None) -> None:
        """Trust no call of a channel, or of all, within a time, which may join the last one."""
        spans = self._doubts.setdefault((reason, channel), deque(maxlen=DOUBTS_KEPT))
        if spans and begin_s <= spans[-1][1]:
            before_s, until_s = spans.pop()
            begin_s, end_s = min(begin_s, before_s), max(end_s, until_s)
        spans.append((begin_s, end_s))

    def _lack(self, channel: int, begin_s: float, end_s: float) -> None:
        """Trust no call of a channel that lost sound may have touched, or have lost a word of."""
        before = self._lost.get(channel)
        if before is not None and begin_s - before[1] <= NEAR_S:
            begin_s = before[0]
        self._lost[channel] = (begin_s, end_s)
        near_s = TOUCHES_S if end_s - begin_s <= SHORT_S else NEAR_S
        self._doubt(begin_s - near_s, end_s + near_s, BROKEN, channel)

    def _why_broken(self, utterance: Utterance) -> Message | None:
        """Say why an utterance cannot be trusted; None if it can."""
        for (reason, channel), spans in sorted(self._doubts.items(), key=_rank):
            if channel not in (None, utterance.channel):
                continue
            if any(begin <= utterance.end_s and utterance.start_s <= end for begin, end in spans):
                return message(reason)
        return message(SAID_UNDER) if utterance.lacks_begin else None


def _rank(doubt: tuple[tuple[str, int | None], object]) -> int:
    """Put lost sound before all else."""
    return (BROKEN, CROSSED, SAID_UNDER).index(doubt[0][0])
