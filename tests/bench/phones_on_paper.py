"""The crew's phones in simulated time: their network is cut at many moments, for short and long.

Field loop, time line of both phones, detector, listener, pairing and journal are those of the
command `listen`; the page's rules for a network that is gone (crew.js) are written out here: what
was sent within `GIVEN_UP_S` of the cut is lost with the connection, later frames are held, the
newest `HELD` of them, and come as soon as a new connection is made. Nothing depends on how busy the
computer is.
"""

from __future__ import annotations

import tempfile
from collections import Counter, deque
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
import soxr

from calllog.audio import RATE_HZ, Utterance
from calllog.audio.endpoint import Samples
from calllog.audio.events import Event
from calllog.commands.course_options import one_line, read_tape_to_call
from calllog.commands.engine import DEFAULT_ENGINE, load_words, make_recogniser
from calllog.decoding import NEWEST
from calllog.errors import AudioError
from calllog.live import FieldLoop, Settings
from calllog.office.summary import verify_job
from calllog.phone.crew import CrewPhones
from calllog.phone.ears import Ears, Lexicon
from calllog.readback import Verbosity
from calllog.recognise import Hypothesis, Recogniser
from calllog.server.frames import FRAME, FRAME_S, Frame
from calllog.session import Course, Job, Recorder, Told
from calllog.session.live import LiveCrew
from calllog.values import Expectation, Role, Style
from tests.bench.crew_trials import SAID, SHORT_S, covered, fates, lengths, spoken_calls
from tests.bench.simulated_air import BLOCK, SimulatedClock, SimulatedKeys, TimedHearing, Unseen
from tests.crew_phones import LEAD_S, LINE, voices

BOTH = (Role.HEAD, Role.REAR)
WORDS = Lexicon(b"", "{}", {})
ON_WAY_S = 0.03
GIVEN_UP_S = 1.2
TRY_S = 0.9
MET_S = 0.5
"""From the network's return to a connection that is timed."""
HELD = 250
AGAIN_S = 0.2
"""How long TCP waits before it sends again, twice as long each time (RFC 6298)."""
CUTS_S = (0.2, 0.5, 1.0, 2.0, 5.0, 20.0)
EACH = 12
SEED = 24
SPAN_S = (31.0, 72.0)
"""Of the recording: where networks are cut."""


@dataclass
class HeardBefore:
    """A listener that hears the same sound once."""

    listener: Recogniser
    known: dict[tuple[bytes, int, Expectation], tuple[Hypothesis, ...]] = field(
        default_factory=dict
    )

    @property
    def identity(self) -> str:
        """That of the listener."""
        return self.listener.identity

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """List what may have been said."""
        asked = (utterance.samples.tobytes(), utterance.channel, expects)
        if asked not in self.known:
            self.known[asked] = self.listener.recognise(utterance, expects)
        return self.known[asked]

    def close(self) -> None:
        """Close the listener."""
        self.listener.close()

    def __enter__(self) -> HeardBefore:  # noqa: PYI034 - as the protocol has it
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


@dataclass(frozen=True)
class Cut:
    """A network that is gone for a while, of one phone or of both."""

    begin_s: float
    lasts_s: float
    roles: tuple[Role, ...]

    @property
    def end_s(self) -> float:
        """When it is back."""
        return self.begin_s + self.lasts_s

    def arrives_s(self, captured_s: float) -> float | None:
        """Tell when a frame arrives that was captured at a time; None for never [s]."""
        sent_s = captured_s + FRAME_S
        if not self.begin_s <= sent_s < self._back_s:
            return sent_s + ON_WAY_S
        if self.lasts_s < GIVEN_UP_S:
            return max(self._back_s, sent_s) + ON_WAY_S
        is_sent_in_vain = sent_s < self.begin_s + GIVEN_UP_S
        is_too_old = sent_s < self._back_s - HELD * FRAME_S
        return None if is_sent_in_vain or is_too_old else self._back_s + ON_WAY_S

    @property
    def _back_s(self) -> float:
        """When what waited is sent: by TCP itself, or by a new connection."""
        if self.lasts_s < GIVEN_UP_S:
            again_s, waits_s = self.begin_s + AGAIN_S, AGAIN_S
            while again_s < self.end_s:
                waits_s *= 2
                again_s += waits_s
            return again_s
        tried_s = self.begin_s + GIVEN_UP_S
        while tried_s < self.end_s:
            tried_s += TRY_S
        return tried_s + MET_S


@dataclass
class PhonesSource:
    """Phones that are never waited for."""

    phones: CrewPhones

    def read(self, timeout_s: float) -> Event | None:
        """Give what came next."""
        del timeout_s
        return self.phones.read(0.0)

    def sound(self, channel: int, begin_s: float, end_s: float) -> Samples:
        """Give all that is known of a stretch."""
        return self.phones.sound(channel, begin_s, end_s)


class PaperPhones:
    """Two phones, their networks, and the program.

    Args:
        listener: what hears.
        folder: where the job goes.
        sounds: of head and rear, 16 kHz.
    """

    def __init__(self, listener: Recogniser, folder: Path, sounds: list[Samples]) -> None:
        self._listener, self._folder, self._sounds = listener, folder, sounds
        self.clock, self.keys = SimulatedClock(), SimulatedKeys()
        self.keys.type(SAID[Style.ADD])
        self.begun_s = self.clock.now_s

    def work(self, cut: Cut | None) -> None:
        """Let the crew say all that they have to say."""
        with ExitStack() as opened:
            phones = CrewPhones(BOTH, BOTH, clock=self.clock)
            loop = self._loop(phones, opened)
            coming = deque(sorted(self._frames(cut), key=lambda each: each[0]))
            ends_s = self.begun_s + len(self._sounds[0]) / RATE_HZ + 3.0
            while self.clock.now_s < ends_s:
                self.clock.now_s += BLOCK / RATE_HZ
                while coming and coming[0][0] <= self.clock.now_s:
                    _, role, frame = coming.popleft()
                    phones.take_frame(role, 1, frame)
                for _ in range(8):
                    loop.turn()
            loop.finish(0.0)

    def _frames(self, cut: Cut | None) -> Iterator[tuple[float, Role, Frame]]:
        """Give each frame, and when it arrives."""
        for role, sound in zip(BOTH, self._sounds, strict=True):
            samples = np.round(np.clip(sound, -1.0, 1.0) * 32767.0).astype("<i2")
            for number in range(len(samples) // FRAME):
                at_s = self.begun_s + number * FRAME_S
                is_cut = cut is not None and role in cut.roles
                whole_s = at_s + FRAME_S + ON_WAY_S
                arrives_s = cut.arrives_s(at_s) if cut is not None and is_cut else whole_s
                if arrives_s is not None:
                    part = samples[number * FRAME : (number + 1) * FRAME]
                    yield arrives_s, role, Frame(number, at_s, part.tobytes())

    def _loop(self, phones: CrewPhones, opened: ExitStack) -> FieldLoop:
        """Open the job and the loop, as `listen` does."""
        grammar, parser = load_words()
        certificate = read_tape_to_call(LINE.tape, datetime.now(UTC).date())
        course = one_line(certificate, LINE.name)
        job = opened.enter_context(Job.open(self._folder, self.clock.of_job))
        rules = course.rules.model_copy(update={"decoding": NEWEST})
        course = Course(course.tapes, course.lines, rules)
        course.go_on(job)
        job.begin_sitting({"roles": ["head", "rear"], "crew_phones": ["head", "rear"]})
        make = partial(self._crew, job, course, parser)
        return FieldLoop(
            make,
            grammar=grammar,
            settings=Settings(Verbosity.TONES, is_headset=True),
            microphone=PhonesSource(phones),
            microphone_names=("head", "rear"),
            keypads=((self.keys, Role.UNSAID),),
            speaker=Ears(BOTH, WORDS, lambda _role, _text: None, self.clock),
            screen=Unseen(),
            clock=self.clock,
        )

    def _crew(
        self,
        job: Job,
        course: Course,
        parser: Any,  # noqa: ANN401 - of the grammar
        on_told: Callable[[Told], None],
        on_window: Callable[[Samples, tuple[bool, ...]], None],
        on_unkept: Callable[[AudioError], None],
    ) -> LiveCrew:
        recorder = Recorder(
            job,
            course,
            parser,
            source="live-1",
            roles=BOTH,
            keeps_clips=False,
            on_told=on_told,
            on_unkept=on_unkept,
            is_live=True,
        )
        hearing = TimedHearing(self._listener, self.clock)
        return LiveCrew(recorder, channels=2, hearing=hearing, on_window=on_window)


def cuts_on_paper(each: int = EACH) -> dict[str, Any]:
    """Cut the network of either phone at many moments; count what became of the calls.

    Args:
        each: how many cuts of each length.
    """
    chance = np.random.default_rng(SEED)
    found: dict[str, Any] = {}
    with tempfile.TemporaryDirectory(prefix="cl") as place:
        folder = Path(place)
        files = voices(LINE.recording, folder, SHORT_S)
        sounds = [
            soxr.resample(soundfile.read(file)[0], 48_000, RATE_HZ).astype(np.float32)
            for file in files
        ]
        with HeardBefore(make_recogniser(DEFAULT_ENGINE, None)) as listener:
            whole = PaperPhones(listener, folder / "whole", sounds)
            whole.work(None)
            wanted = [
                (at_s, called)
                for at_s, called in spoken_calls(folder / "whole")
                if called is not None
            ]
            true = lengths(folder / "whole")
            for lasts_s in CUTS_S:
                count: Counter[str] = Counter()
                for number in range(each):
                    roles = ((Role.HEAD,), (Role.REAR,), BOTH)[number % 3]
                    at_s = whole.begun_s + LEAD_S - SHORT_S[0] + chance.uniform(*SPAN_S)
                    job = folder / f"{lasts_s}-{number}"
                    PaperPhones(listener, job, sounds).work(Cut(at_s, lasts_s, roles))
                    count.update(_became(job, wanted, true))
                found[f"{lasts_s:g} s"] = {"cuts": each} | {name: count[name] for name in COUNTED}
    return {"calls of each": len(wanted), "segments of each": len(true), "cut for": found}


COUNTED = (
    "right",
    "asked",
    "told",
    "missing",
    "other calls",
    "segments",
    "wrong segments",
    "right ones under another number",
    "journals that do not verify",
)


def _became(job: Path, wanted: list[Any], true: list[Any]) -> Counter[str]:
    """Count what became of the calls and segments of one cut."""
    heard = spoken_calls(job)
    count = Counter(fates(wanted, heard, covered(job, None)))
    count["other calls"] = len(heard) - count["right"] - count["asked"]
    booked = lengths(job)
    count["segments"] = len(booked)
    lengths_of = {each[1:] for each in true}
    count["wrong segments"] = sum(each[1:] not in lengths_of for each in booked)
    count["right ones under another number"] = sum(
        each not in true and each[1:] in lengths_of for each in booked
    )
    count["journals that do not verify"] = not verify_job(job).ok
    return count
