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
from calllog.pairing import expects
from calllog.recognise import Heard, Hypothesis, understand
from calllog.session.capture import spoken_call
from calllog.session.course import Changed, Course
from calllog.session.job import Job
from calllog.spoken import Parser
from calllog.values import (
    Call,
    Consequence,
    Expectation,
    Kind,
    OffsetNote,
    Outcome,
    Role,
    Side,
)

REMARK = "remark"
"""Name of the command after which the next utterance is kept as sound."""
KEYS = "keys"
NEVER_S = -1.0
NEAR_S = 0.3
"""A call that ends or begins so near to lost sound may have lost some of it."""
MISSING_KEPT = 64
BROKEN = "some sound was lost, say it again"
NO_SOUND = "no sound is kept in this job, so no remark can be"


class Hearing(Protocol):
    """Hears utterances in its own time (see `calllog.recognise.worker.Worker`)."""

    def ask(self, utterance: Utterance, expects: Expectation) -> int:
        """Ask what may have been said; give the number under which the answer comes."""

    def answers(self, timeout_s: float = 0.0) -> tuple[tuple[int, tuple[Hypothesis, ...]], ...]:
        """Give the answers that have come."""


@dataclass(frozen=True, slots=True)
class Told:
    """A call, what followed from it, and what became of it where it asks for a tape or line."""

    call: Call
    consequences: tuple[Consequence, ...]
    changed: Changed | None = None


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
        job: the job, with its line begun.
        course: the tapes and lines that the crew may change to.
        parser: says what words mean.
        sitting: name of this spell of work; sources of its calls begin with it.
        roles: who wears each channel's microphone; empty without microphones.
        hearing: hears utterances; None without microphones.
        keeps_clips: whether the sound of each utterance stays in the job.
        on_told: told each call and what followed, after all of it is on disk.
        on_window: told each window of sound (see `Endpointer`).
    """

    def __init__(
        self,
        job: Job,
        course: Course,
        parser: Parser,
        *,
        sitting: str,
        roles: tuple[Role, ...] = (),
        hearing: Hearing | None = None,
        keeps_clips: bool = True,
        on_told: Callable[[Told], None],
        on_window: Callable[[Samples, tuple[bool, ...]], None] | None = None,
    ) -> None:
        self.job = job
        self._course = course
        self._parser = parser
        self._sitting = sitting
        self._roles = roles
        self._hearing = hearing
        self._keeps_clips = keeps_clips
        self._on_told = on_told
        self._ears = (
            Endpointer(sitting, len(roles), on_pause=self._ask_ahead, on_window=on_window)
            if roles and hearing
            else None
        )
        self._asked: dict[int, _Asked] = {}
        self._answers: dict[int, tuple[Hypothesis, ...]] = {}
        self._said: deque[Utterance] = deque()
        self._missing_s: deque[tuple[float, float]] = deque(maxlen=MISSING_KEPT)
        """Where sound is missing, with what is near it [s]."""
        self._remarks: set[int | str] = set()
        """Channels whose next utterance is a remark; `KEYS` for whichever comes first."""
        self._remark_ends_s: dict[int, float] = {}
        """Where the last part of a remark that was cut ends on its channel [s]."""

    @property
    def is_idle(self) -> bool:
        """Nothing that was said waits to be understood."""
        return not self._said

    def hear(self, sound: Samples, *, is_deaf: bool = False) -> None:
        """Take in sound of all channels, shape (frames, channels), float32, 16 kHz.

        Args:
            sound: the next sound, without a gap.
            is_deaf: the program itself is heard in it, so that nothing counts as speech.
        """
        if self._ears is not None:
            self._said.extend(self._ears.hear(sound, is_deaf=is_deaf))
        self.work()

    @property
    def awaits_remark(self) -> bool:
        """The next utterance of someone is a remark."""
        return bool(self._remarks)

    def miss(self, seconds: float) -> None:
        """Stand silence in for sound that was lost [s]; a call that it touches is asked again."""
        if self._ears is None or seconds <= 0.0:
            return
        begin_s = self._ears.heard / RATE_HZ
        self._missing_s.append((begin_s - NEAR_S, begin_s + seconds + NEAR_S))
        silence = np.zeros((round(seconds * RATE_HZ), len(self._roles)), np.float32)
        self._said.extend(self._ears.hear(silence))
        self.work()

    @property
    def heard_s(self) -> float:
        """How much sound was taken in, silence that stands for lost sound included [s]."""
        return self._ears.heard / RATE_HZ if self._ears is not None else 0.0

    def work(self) -> None:
        """Take the utterances whose turn it is and that the recogniser has answered."""
        if self._hearing is None:
            return
        self._answers.update(self._hearing.answers())
        while self._said:
            utterance = self._said[0]
            if self._keep_remark(utterance):
                self._said.popleft()
                continue
            asked = self._ask(utterance)
            hypotheses = self._answers.get(asked.number)
            if hypotheses is None:
                return
            self._said.popleft()
            self._forget()
            self._take_heard(utterance, asked.expects, hypotheses)

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

    def type(self, entry: Entry, at_s: float, role: Role = Role.UNSAID) -> None:
        """Take what was typed.

        Args:
            entry: what was typed, complete.
            at_s: when, from the beginning of this sitting [s].
            role: whose keypad it is, in the take.
        """
        self._remarks.clear()  # who types does not speak a remark
        note = None
        if entry.note is not None:
            station, side, offset = entry.note
            note = OffsetNote(station=station, side=Side(side), offset=offset)
        self._take(
            Call(
                number=len(self.job.replay.calls) + 1,
                source=f"{self._sitting}#{KEYS}",
                role=role,
                expects=self.expects(role),
                kind=entry.kind or Kind.NOTE,
                text=entry.text,
                value=entry.value,
                name=entry.name,
                amount=entry.amount,
                probability=1.0,
                alternatives=(),
                outcome=Outcome.CALL,
                reason="",
                start_s=round(at_s, 3),
                end_s=round(at_s, 3),
                clip="",
                is_keyed=True,
                note=note,
            ),
            KEYS,
        )

    def expects(self, role: Role) -> Expectation:
        """Tell what one of the crew is expected to say or type now."""
        return expects(self.job.state, role)

    def _ask_ahead(self, utterance: Utterance) -> None:
        if not self._is_remark(utterance):
            self._ask(utterance)

    def _forget(self) -> None:
        """Drop the answers to what is no longer asked."""
        wanted = {asked.number for asked in self._asked.values()}
        self._answers = {number: each for number, each in self._answers.items() if number in wanted}

    def _ask(self, utterance: Utterance) -> _Asked:
        """Ask about an utterance unless just that was asked already."""
        if self._hearing is None:
            message = "nothing hears"
            raise RuntimeError(message)
        expected = self.expects(self._roles[utterance.channel])
        asked = self._asked.get(utterance.channel)
        same = (utterance.start_s, utterance.end_s, expected)
        if asked is None or (asked.start_s, asked.end_s, asked.expects) != same:
            number = self._hearing.ask(utterance, expected)
            asked = self._asked[utterance.channel] = _Asked(number, *same)
        return asked

    def _take_heard(
        self, utterance: Utterance, expected: Expectation, hypotheses: tuple[Hypothesis, ...]
    ) -> None:
        limit = self.job.state.settings.limit
        heard = understand(self._parser, hypotheses, expected, limit)
        if heard.outcome is not Outcome.IGNORED and self._is_broken(utterance):
            unclear = (Kind.UNCLEAR, None, "", None, Role.UNSAID)
            heard = Heard(
                heard.text, *unclear, heard.probability, heard.alternatives, Outcome.ASK, BROKEN
            )
        self._take(self._spoken(utterance, heard, expected), utterance.channel)

    def _is_broken(self, utterance: Utterance) -> bool:
        return any(
            begin_s <= utterance.end_s and utterance.start_s <= end_s
            for begin_s, end_s in self._missing_s
        )

    def _spoken(self, utterance: Utterance, heard: Heard, expected: Expectation) -> Call:
        return spoken_call(
            self.job,
            utterance,
            heard,
            expected=expected,
            wearer=self._roles[utterance.channel],
            source=f"{self._sitting}#{utterance.channel + 1}",
            keeps_clip=self._keeps_clips,
        )

    def _take(self, call: Call, channel: int | str) -> None:
        consequences = self.job.take(call)
        changed = self._course.follow(self.job, call, consequences)
        is_remark = call.kind is Kind.COMMAND and call.name == REMARK
        if is_remark and call.outcome is Outcome.CALL:
            if self._keeps_clips and self._ears is not None:
                self._remarks.add(channel)
            else:
                changed = Changed(NO_SOUND, is_done=False)
        self._on_told(Told(call, consequences, changed))

    def _is_remark(self, utterance: Utterance) -> bool:
        channel = utterance.channel
        goes_on = self._remark_ends_s.get(channel) == utterance.start_s
        return goes_on or channel in self._remarks or KEYS in self._remarks

    def _keep_remark(self, utterance: Utterance) -> bool:
        """Keep an utterance as sound if it is a remark; what was cut at 8 s goes on in the next."""
        if not self._is_remark(utterance):
            return False
        channel = utterance.channel
        self._remarks -= {channel, KEYS}
        self._remark_ends_s[channel] = utterance.end_s if utterance.is_cut else NEVER_S
        nothing = (Kind.REMARK, None, "", None, Role.UNSAID)
        heard = Heard("", *nothing, 1.0, (), Outcome.IGNORED, "a remark, kept as sound")
        call = self._spoken(utterance, heard, self.expects(self._roles[channel]))
        self._on_told(Told(call, self.job.take(call)))
        return True
