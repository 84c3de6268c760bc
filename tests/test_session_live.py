"""A crew at work: live is as from a file, keys and voice together, remarks, tapes and lines."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest
import soundfile

from calllog.audio import RATE_HZ, Recording, Utterance
from calllog.audio.endpoint import Samples
from calllog.demo import load_day
from calllog.keypad import KeyedEntry, press
from calllog.office.summary import verify_job
from calllog.recognise import Hypothesis, Recogniser
from calllog.session import Course, Job, Listener, Recorder, Told, hear_recording
from calllog.session.course import Changed
from calllog.session.live import LiveCrew
from calllog.spoken import Grammar, Parser
from calllog.tape import load_certificate
from calllog.values import (
    CheckPolicy,
    Expectation,
    Kind,
    LineSettings,
    Outcome,
    Question,
    Role,
    Segment,
    Style,
    message,
)
from calllog.wording import ENGLISH
from tests.audio.clips import heard
from tests.consenting import agree
from tests.crew import settings as line
from tests.demo.cuts import A_FOOT_S, cut
from tests.heard_once import encoder_once
from tests.tapes import certificate

BLOCK = 512
ADD = certificate(identity="T-1", style=Style.ADD)
FULL = certificate(identity="T-2", style=Style.FULL, hold=0)
TWO_ROLES = (Role.HEAD, Role.REAR)


class AtOnce:
    """Answers when asked, in this process; counts what it was asked."""

    def __init__(self, recogniser: Recogniser) -> None:
        self._recogniser = recogniser
        self._ready: list[tuple[int, tuple[Hypothesis, ...]]] = []
        self.asked = 0

    def ask(self, utterance: Utterance, expects: Expectation) -> int:
        """Hear it now."""
        self.asked += 1
        self._ready.append((self.asked, self._recogniser.recognise(utterance, expects)))
        return self.asked

    def answers(self, timeout_s: float = 0.0) -> tuple[tuple[int, tuple[Hypothesis, ...]], ...]:
        """Give what was heard."""
        del timeout_s
        ready, self._ready = tuple(self._ready), []
        return ready


@dataclass
class OnPaper:
    """Hears what the samples of an utterance spell, some turns after it is asked."""

    late: int = 0
    expected: list[Expectation] = field(default_factory=list)
    _queue: deque[tuple[int, str]] = field(default_factory=deque)
    _turns: int = 0

    def ask(self, utterance: Utterance, expects: Expectation) -> int:
        """Remember the question."""
        self.expected.append(expects)
        self._queue.append((len(self.expected), spelt(utterance)))
        return len(self.expected)

    def answers(self, timeout_s: float = 0.0) -> tuple[tuple[int, tuple[Hypothesis, ...]], ...]:
        """Answer one question each `late` turns; at once if it may wait."""
        self._turns += 1
        if not self._queue or (self._turns % (self.late + 1) and not timeout_s):
            return ()
        number, words = self._queue.popleft()
        return ((number, (Hypothesis(words, 1.0),)),)


def spelt(utterance: Utterance) -> str:
    """Read the words that stand in the samples."""
    return "".join(chr(round(float(each))) for each in utterance.samples)


@dataclass
class Answering:
    """Hears the same whatever is said."""

    words: str
    _asked: int = 0
    _waiting: list[int] = field(default_factory=list)

    def ask(self, utterance: Utterance, expects: Expectation) -> int:
        """Remember the question."""
        del utterance, expects
        self._asked += 1
        self._waiting.append(self._asked)
        return self._asked

    def answers(self, timeout_s: float = 0.0) -> tuple[tuple[int, tuple[Hypothesis, ...]], ...]:
        """Answer all."""
        del timeout_s
        waiting, self._waiting = self._waiting, []
        return tuple((number, (Hypothesis(self.words, 1.0),)) for number in waiting)


def recorder_of(
    job: Job,
    course: Course,
    parser: Parser,
    on_told: Callable[[Told], None],
    *,
    roles: tuple[Role, ...] = TWO_ROLES,
    keeps_clips: bool = True,
    is_live: bool = False,
) -> Recorder:
    """Make what takes a sitting's calls into a job."""
    return Recorder(
        job,
        course,
        parser,
        source="live-1",
        roles=roles,
        keeps_clips=keeps_clips,
        on_told=on_told,
        is_live=is_live,
    )


@dataclass
class Ears:
    """Stands in for the endpointer: each block of sound is one utterance, or none."""

    now_s: float = 0.0
    heard: int = 0
    begun_s: float | None = None
    said: deque[Utterance] = field(default_factory=deque)

    def say(self, words: str, channel: int = 0, *, is_cut: bool = False) -> None:
        """Put an utterance where the next sound will find it; cut ones touch each other."""
        samples = np.array([ord(letter) for letter in words], np.float32)
        begin_s, self.now_s = self.now_s, self.now_s + 2.0
        end_s = self.now_s if is_cut else self.now_s - 1.0
        self.said.append(Utterance(samples, samples[:0], begin_s, end_s, channel, "x", is_cut))

    def hear(
        self, block: object, *, is_deaf: Sequence[bool] = (), may_hide: Sequence[bool] = ()
    ) -> Iterator[Utterance]:
        """Give what was said since."""
        del block, may_hide
        while self.said:
            utterance = self.said.popleft()
            if not any(is_deaf[utterance.channel : utterance.channel + 1]):
                yield utterance

    def skip(self, windows: int) -> None:
        """Let no time pass."""
        del windows

    def end(self, channel: int, end_s: float) -> None:
        """End nothing early."""
        del channel, end_s

    def finish(self) -> Iterator[Utterance]:
        """Give what is in the air."""
        return self.hear(None)


class Field:
    """A job, a live crew on it, and what it was told."""

    def __init__(
        self,
        folder: Path,
        parser: Parser,
        *,
        late: int = 0,
        rules: LineSettings | None = None,
        roles: tuple[Role, ...] = TWO_ROLES,
        keeps_clips: bool = True,
    ) -> None:
        self.parser = parser
        self.told: list[Told] = []
        self.ears = Ears()
        self.hearing = OnPaper(late)
        self.course = Course((ADD, FULL), (("A", "B"), ("B", "C")), rules or line())
        self.job = Job.open(folder)
        self.course.go_on(self.job)
        agree(self.job)
        recorder = recorder_of(
            self.job, self.course, parser, self.told.append, roles=roles, keeps_clips=keeps_clips
        )
        self.crew = LiveCrew(
            recorder,
            channels=len(roles),
            hearing=self.hearing if roles else None,
            listening=lambda *_, **__: self.ears,
        )

    def say(self, words: str, channel: int = 0, *, is_cut: bool = False, turns: int = 3) -> None:
        """Let something be said, and give the crew time for it."""
        self.ears.say(words, channel, is_cut=is_cut)
        for _ in range(turns):
            self.crew.hear(np.zeros((BLOCK, 2), np.float32))

    def type(self, keys: str, role: Role = Role.UNSAID) -> None:
        """Type keys; what they make is taken."""
        typed = ""
        for key in keys:
            expected = self.crew.expects(role)
            typed, made = press(typed, key, expected, self.job.state.settings.limit)
            if isinstance(made, KeyedEntry):
                self.ears.now_s += 2.0
                self.crew.type(made, self.ears.now_s - 1.0, role)

    @property
    def booked(self) -> list[float]:
        """The lengths booked."""
        return [each.length_read_ft for each in self.job.replay.segments]


def changed(crew: Field) -> Changed:
    """Give what became of the last call for a tape or line."""
    found = crew.told[-1].changed
    assert found is not None
    return found


FieldOf = Callable[..., Field]


@pytest.fixture
def field_of(tmp_path: Path, parser: Parser) -> Iterator[FieldOf]:
    """Make fields on jobs; close them."""
    made: list[Field] = []

    def make(
        *,
        late: int = 0,
        rules: LineSettings | None = None,
        roles: tuple[Role, ...] = TWO_ROLES,
        keeps_clips: bool = True,
    ) -> Field:
        folder = tmp_path / f"job-{len(made) + 1}"
        made.append(
            Field(folder, parser, late=late, rules=rules, roles=roles, keeps_clips=keeps_clips)
        )
        return made[-1]

    yield make
    for each in made:
        each.job.close()


@pytest.mark.slow
def test_live_is_as_from_a_file(
    tmp_path: Path, grammar: Grammar, parser: Parser, heard: Path
) -> None:
    """The same sound, in blocks as they come, gives the same calls and segments as its file."""
    day_line = load_day().lines[0]
    said = cut(day_line.recording, tmp_path / "said.wav", A_FOOT_S)
    tape = load_certificate(day_line.tape.read_text("utf-8"), str(day_line.tape))
    ends = ("Spring", "Oak")
    course = Course((tape,), (ends,), line(style=tape.style))
    told: list[Told] = []
    with Job.open(tmp_path / "file") as job, encoder_once(heard, grammar) as recogniser:
        course.go_on(agree(job))
        hear_recording(job, said, Listener(recogniser, parser, TWO_ROLES, course))
        calls, segments = job.replay.calls, job.replay.segments
    with Job.open(tmp_path / "live") as job, encoder_once(heard, grammar) as recogniser:
        course.go_on(agree(job))
        hearing = AtOnce(recogniser)
        recorder = recorder_of(job, course, parser, told.append)
        crew = LiveCrew(recorder, channels=2, hearing=hearing)
        for block in Recording(said).blocks():
            for begin in range(0, len(block), BLOCK):
                crew.hear(block[begin : begin + BLOCK])
        crew.finish(1.0)
        assert [each.model_copy(update={"source": ""}) for each in calls] == [
            each.model_copy(update={"source": ""}) for each in job.replay.calls
        ]
        assert segments == job.replay.segments != []
        assert [each.call for each in told] == job.replay.calls
    assert verify_job(tmp_path / "live").ok


@pytest.mark.parametrize("late", [0, 1, 5])
def test_calls_are_taken_in_the_order_said(field_of: FieldOf, late: int) -> None:
    """However late the recogniser answers, a pull is paired as it was called."""
    crew = field_of(late=late)
    for words, channel in (
        ("fifteen", 1),
        ("forty two", 0),
        ("switch ends", 0),
        ("fifteen", 0),
        ("forty two", 1),
    ):
        crew.say(words, channel, turns=1)
    crew.crew.finish(1.0)
    assert crew.booked == [15.42]
    assert [each.call.text for each in crew.told] == [
        "fifteen",
        "forty two",
        "switch ends",
        "fifteen",
        "forty two",
    ]
    assert crew.crew.is_idle


def test_what_was_heard_too_early_is_heard_again_as_expected(field_of: FieldOf) -> None:
    """The call after "switch ends" was asked about as before it; the turn asks anew."""
    crew = field_of()
    crew.say("fifteen", 1)
    crew.say("forty two", 0)
    crew.ears.say("switch ends", 0)
    crew.ears.say("fifteen", 0)
    early = list(crew.ears.said)[1]
    crew.crew.ask_ahead(early)
    assert crew.hearing.expected[-1:] == [Expectation.FRACTION]
    for _ in range(4):
        crew.crew.hear(np.zeros((BLOCK, 2), np.float32))
    assert crew.hearing.expected[-1:] == [Expectation.WHOLE]
    assert crew.told[-1].call.kind is Kind.WHOLE


def test_nothing_is_heard_while_deaf(field_of: FieldOf) -> None:
    """What the program itself says is no call."""
    crew = field_of()
    crew.ears.say("fifteen", 1)
    crew.crew.hear(np.zeros((BLOCK, 2), np.float32), is_deaf=(True, True))
    crew.crew.hear(np.zeros((BLOCK, 2), np.float32))
    assert crew.told == []


def test_keys_alone_make_a_pull(field_of: FieldOf) -> None:
    """Without a microphone every step of a pull is typed, each step on disk."""
    crew = field_of(roles=())
    crew.type("1*41\n2*20\n3*1\n15\n42\n+15\n42\n")
    assert crew.booked == [15.42]
    segment = crew.job.replay.segments[0]
    assert segment.conditions.temperature_degf == 41
    assert segment.conditions.tension_lb == 20
    assert segment.conditions.spans == 1
    assert all(each.is_keyed for each in crew.job.replay.calls)
    crew.type("15.42\n+15.43\n16\n50\n-\n51\n+16.51\n9/")
    assert crew.booked == [15.42, 15.42, 16.51]
    assert crew.job.state.phase.value == "finished"


def test_keys_and_voice_mix(field_of: FieldOf) -> None:
    """Either gives either part, at any moment."""
    crew = field_of()
    crew.say("fifteen", 1)
    crew.type("42\n+")
    crew.say("fifteen", 0)
    crew.type(".42\n")
    assert crew.booked == [15.42]


def test_tape_and_line_are_changed_between_pulls(field_of: FieldOf) -> None:
    """The next pull is read by the other tape, on the other line; the journal proves it."""
    crew = field_of(roles=(), rules=line(policy=CheckPolicy.NONE))
    crew.type("15\n42\n3/7*2\n")
    assert changed(crew).is_done
    assert ENGLISH.say(changed(crew).told) == "tape number 2, T-2"
    assert crew.job.state.settings.style is Style.FULL
    crew.type("99.99\n3/8*2\n20.00\n3/")
    assert [(each.tape, each.line_to) for each in crew.job.replay.segments] == [
        ("T-1", "B"),
        ("T-2", "B"),
        ("T-2", "C"),
    ]
    crew.type("7*3\n")
    assert not changed(crew).is_done
    assert ENGLISH.say(changed(crew).told) == "there is no tape number 3 here"
    crew.job.close()
    assert verify_job(crew.job.folder).ok


def test_tape_is_not_changed_within_a_pull(field_of: FieldOf) -> None:
    """A pull is read by one tape: the change is asked about, and not made."""
    crew = field_of(roles=())
    crew.type("15\n7*2\n")
    assert crew.told[-1].changed is None
    assert any(isinstance(each, Question) for each in crew.told[-1].consequences)
    assert crew.job.state.settings.tape == "T-1"


def test_remark_is_kept_as_sound(field_of: FieldOf) -> None:
    """The next thing said is no call, whatever it sounds like; all parts of a long one count."""
    crew = field_of()
    crew.type("9*")
    crew.say("fifteen", 1, is_cut=True)
    crew.say("sixteen", 1)
    crew.say("seventeen", 1)
    kinds = [(each.call.kind, each.call.outcome) for each in crew.told]
    assert kinds == [
        (Kind.COMMAND, Outcome.CALL),
        (Kind.REMARK, Outcome.IGNORED),
        (Kind.REMARK, Outcome.IGNORED),
        (Kind.WHOLE, Outcome.CALL),
    ]
    assert (crew.job.folder / crew.told[1].call.clip).is_file()


def test_who_types_does_not_speak_a_remark(field_of: FieldOf) -> None:
    """A remark asked for by mistake swallows no call once something else is typed, or later."""
    crew = field_of()
    crew.type("9*")
    crew.type("15\n")
    crew.say("forty two", 0)
    crew.type("+9*")
    crew.ears.now_s += 11.0
    crew.say("fifteen", 0)
    spoken = [each.call.kind for each in crew.told if not each.call.is_keyed]
    assert spoken == [Kind.FRACTION, Kind.WHOLE]


def test_no_remark_without_sound(field_of: FieldOf) -> None:
    """Where no sound is kept the next call is a call, and the crew is told why."""
    crew = field_of(keeps_clips=False)
    crew.type("9*")
    assert "no sound is kept" in ENGLISH.say(changed(crew).told)
    crew.say("fifteen", 1)
    assert crew.told[-1].call.kind is Kind.WHOLE


def test_job_is_gone_on_with(field_of: FieldOf, tmp_path: Path) -> None:
    """The same crew begun again stands at the same call, on the line and tape it changed to."""
    crew = field_of(roles=(), rules=line(policy=CheckPolicy.NONE))
    crew.type("15\n42\n3/8*2\n7*2\n12.00\n3/33.10\n")
    state = crew.job.state
    crew.job.close()
    with Job.open(tmp_path / "job-1") as job:
        crew.course.go_on(job)
        assert job.state == state


def test_finished_line_stays_finished_where_there_are_others(
    field_of: FieldOf, tmp_path: Path
) -> None:
    """Begun again after "line finished" the crew is asked for the next line, not given a run."""
    crew = field_of(roles=(), rules=line(policy=CheckPolicy.NONE))
    crew.type("15\n42\n9/")
    crew.job.close()
    with Job.open(tmp_path / "job-1") as job:
        crew.course.go_on(job)
        assert job.state.phase.value == "finished"
    alone = Course((ADD,), (("A", "B"),), line(policy=CheckPolicy.NONE))
    with Job.open(tmp_path / "job-1") as job:
        alone.go_on(job)
        assert job.state.phase.value == "open"
        assert isinstance(job.replay.segments[0], Segment)


def test_call_is_asked_ahead_only_when_no_other_waits(field_of: FieldOf) -> None:
    """Where the recogniser is behind, nothing is asked that will have to be asked again."""
    crew = field_of(late=10**6)
    crew.ears.say("fifteen", 1)
    crew.crew.hear(np.zeros((BLOCK, 2), np.float32))
    crew.ears.say("forty two", 0)
    crew.crew.ask_ahead(crew.ears.said[0])
    assert len(crew.hearing.expected) == 1
    crew.crew.finish(1.0)
    assert [each.call.text for each in crew.told] == ["fifteen", "forty two"]
    assert len(crew.hearing.expected) == 2


@pytest.mark.parametrize("gap_s", [0.5, 3.0, 3600.0])
def test_silence_that_stands_for_lost_sound_is_not_measured(
    tmp_path: Path, parser: Parser, gap_s: float
) -> None:
    """It is no fault of the microphone; the clock of the calls goes on by all of it."""
    windows: list[tuple[bool, ...]] = []
    course = Course((ADD,), (("A", "B"),), line())
    with Job.open(tmp_path / "job") as job:
        course.go_on(job)
        recorder = recorder_of(job, course, parser, lambda _: None)
        crew = LiveCrew(
            recorder,
            channels=2,
            hearing=OnPaper(),
            on_window=lambda _, speech: windows.append(speech),
        )
        crew.hear(np.zeros((10 * BLOCK, 2), np.float32))
        crew.miss(gap_s)
        crew.hear(np.zeros((10 * BLOCK, 2), np.float32))
        assert crew.heard_s == pytest.approx(20 * BLOCK / RATE_HZ + gap_s, abs=0.02)
    assert 20 <= len(windows) <= 21


@pytest.mark.parametrize(
    ("decoding", "policy", "outcome"),
    [
        (0, CheckPolicy.REQUIRED, Outcome.ASK),
        (2, CheckPolicy.REQUIRED, Outcome.CALL),
        (2, CheckPolicy.WANTED, Outcome.ASK),
        (2, CheckPolicy.NONE, Outcome.ASK),
    ],
)
def test_unsure_number_is_taken_where_calls_are_weighed_together_with_a_check(
    tmp_path: Path, parser: Parser, decoding: int, policy: CheckPolicy, outcome: Outcome
) -> None:
    """Where a call stands alone, or no check will show it to be wrong, it is asked at once."""
    course = Course((ADD,), (("A", "B"),), line(decoding=decoding, policy=policy))
    utterance = Utterance(
        np.zeros(8000, np.float32), np.zeros(0, np.float32), 0.0, 0.5, 1, "live-1", is_cut=False
    )
    told: list[Told] = []
    with Job.open(tmp_path / "job") as job:
        course.go_on(job)
        recorder = recorder_of(job, course, parser, told.append, keeps_clips=False, is_live=True)
        heard = (Hypothesis("fifteen", 0.6), Hypothesis("fifty", 0.4))
        recorder.record_heard(utterance, Expectation.WHOLE, heard)
    assert told[0].call.outcome is outcome


VOICE = Path(__file__).parent / "audio" / "flite-rms" / "forty_two.flac"


def test_call_near_a_gap_of_its_own_channel_is_asked_with_what_came_late_in_its_clip(
    tmp_path: Path, parser: Parser
) -> None:
    """The other channel's call is taken as ever; the broken one keeps all of its sound."""
    voice, _ = soundfile.read(VOICE, dtype="float32")
    sound = np.zeros((6 * RATE_HZ, 2), np.float32)
    for channel, begin_s in enumerate((1, 3)):
        begin = begin_s * RATE_HZ
        sound[begin : begin + len(voice), channel] = voice
    whole = sound.copy()
    gap = RATE_HZ + len(voice) // 2, RATE_HZ + len(voice) // 2 + 1600
    sound[gap[0] : gap[1], 0] = 0.0
    course = Course((ADD,), (("A", "B"),), line())
    told: list[Told] = []
    with Job.open(tmp_path / "job") as job:
        course.go_on(agree(job))
        recorder = recorder_of(job, course, parser, told.append)
        crew = LiveCrew(recorder, channels=2, hearing=Answering("forty two"))

        def late(channel: int, begin_s: float, end_s: float) -> Samples:
            return whole[round(begin_s * RATE_HZ) : round(end_s * RATE_HZ), channel]

        crew.late = late
        for begin in range(0, len(sound), BLOCK):
            lacks = begin < gap[1] and begin + BLOCK > gap[0]
            crew.hear(sound[begin : begin + BLOCK], is_missing=(lacks, False))
        crew.finish(0.0)
        broken = [each.call for each in told if each.call.reason == message("sound-was-lost")]
        assert [each.role for each in broken] == [Role.HEAD] * len(broken) != []
        assert Role.REAR in {each.call.role for each in told}
        clips = [soundfile.read(job.folder / each.clip)[0] for each in broken]
    loud = [np.flatnonzero(np.abs(each) > 0.05) for each in clips]
    spoken = np.flatnonzero(np.abs(voice) > 0.05)
    longest = max(each[-1] - each[0] for each in loud if len(each))
    assert longest == pytest.approx(spoken[-1] - spoken[0], abs=800)


@pytest.mark.parametrize(
    ("lost_s", "is_asked"),
    [
        ([(-0.30, -0.22)], False),
        ([(-0.15, -0.05)], True),
        ([(0.1, 0.18)], True),
        ([(-0.62, -0.22)], True),
        ([(-1.02, -0.62)], False),
        ([(-0.56, -0.5), (-0.42, -0.36), (-0.28, -0.22)], True),
    ],
    ids=["short", "touches", "within", "long", "long before", "in pieces"],
)
def test_lost_sound_is_asked_for_where_it_may_have_taken_something(
    tmp_path: Path, parser: Parser, lost_s: list[tuple[float, float]], *, is_asked: bool
) -> None:
    """What is too short for a word asks only what it touches; pieces of it are one.

    Args:
        tmp_path: for the job.
        parser: reads the call.
        lost_s: from the beginning of its speech on [s].
        is_asked: whether it must be said again.
    """
    voice, _ = soundfile.read(VOICE, dtype="float32")
    sound = np.zeros((5 * RATE_HZ, 1), np.float32)
    sound[2 * RATE_HZ : 2 * RATE_HZ + len(voice), 0] = voice
    (spoken,) = heard(sound[:, 0])
    lacks = np.zeros(len(sound), np.bool_)
    for begin_s, end_s in lost_s:
        lacks[round((spoken.start_s + begin_s) * RATE_HZ) :][
            : round((end_s - begin_s) * RATE_HZ)
        ] = 1
    sound[lacks] = 0.0
    course = Course((ADD,), (("A", "B"),), line())
    told: list[Told] = []
    with Job.open(tmp_path / "job") as job:
        course.go_on(agree(job))
        recorder = recorder_of(
            job, course, parser, told.append, roles=(Role.REAR,), keeps_clips=False
        )
        crew = LiveCrew(recorder, channels=1, hearing=Answering("forty two"))
        for begin in range(0, len(sound), BLOCK):
            block = slice(begin, begin + BLOCK)
            crew.hear(sound[block], is_missing=(bool(lacks[block].any()),))
        crew.finish(0.0)
    assert {each.call.reason == message("sound-was-lost") for each in told} == {is_asked}
