"""The field loop about fake devices and a real job: what the tests of the loop run and look at."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from calllog.audio import Utterance
from calllog.audio.echo import LeftBlock
from calllog.audio.endpoint import Samples
from calllog.audio.events import Event, Sound
from calllog.errors import AudioError, JournalError
from calllog.journal import Journal
from calllog.keypad import Link
from calllog.live import FieldLoop, Settings
from calllog.live.devices import Phones
from calllog.panel import View, ViewText, say_view
from calllog.readback import Saying, Tone
from calllog.session import Course, Job, Recorder, Replay, Told, replay
from calllog.session.live import LiveCrew
from calllog.session.remark_words import read_words
from calllog.spoken import Grammar, Parser
from calllog.values import Call, Expectation, Kind, LineSettings, Outcome, Role
from calllog.wording import ENGLISH, Words
from tests.consenting import agree
from tests.crew import settings as line
from tests.test_session_live import ADD, FULL, OnPaper

BLOCK_S = 0.032
SAMPLES = 512
START_S = 100.0
"""Where the fake clock begins."""
BOTH = (Role.HEAD, Role.REAR)


@dataclass
class Clock:
    """The clock of all devices."""

    now_s: float = START_S

    def __call__(self) -> float:
        """Read it."""
        return self.now_s

    def pass_by(self, seconds: float) -> bool:
        """Let time pass, in vain."""
        self.now_s += seconds
        return False


@dataclass
class Keys:
    """A keypad on which keys are put."""

    name: str = "pad"
    waiting: deque[str | Link] = field(default_factory=deque)

    def read(self, timeout_s: float) -> str | Link | None:
        """Give the next key, without waiting."""
        del timeout_s
        return self.waiting.popleft() if self.waiting else None

    def close(self) -> None:
        """Hold nothing."""


@dataclass
class Sounds:
    """A microphone on which events are put."""

    waiting: deque[Event] = field(default_factory=deque)

    def read(self, timeout_s: float) -> Event | None:
        """Give the next event, without waiting."""
        del timeout_s
        return self.waiting.popleft() if self.waiting else None


@dataclass
class Ears:
    """Stands in for the endpointer: what is said comes out with the next sound."""

    heard: int = 0
    begun_s: float | None = None
    """When the speech in the air began [s]."""
    _said: deque[tuple[str, float, int]] = field(default_factory=deque)
    _late: deque[Utterance] = field(default_factory=deque)

    def say(self, words: str, channel: int = 0, *, lasts_s: float = 0.5) -> None:
        """Have something said that ends with the next sound."""
        self._said.append((words, lasts_s, channel))

    def said_before(self, words: str, end_s: float) -> None:
        """Have the head find out with the next sound what it said at a time [s]."""
        samples = _spelling(words)
        self._late.append(Utterance(samples, samples[:0], end_s - 0.1, end_s, 0, "x", is_cut=False))

    def hear(
        self, block: Samples, *, is_deaf: Sequence[bool] = (), may_hide: Sequence[bool] = ()
    ) -> Iterator[Utterance]:
        """Give what was said."""
        del may_hide
        self.heard += len(block)
        end_s = self.heard / 16_000
        yield from self._late
        self._late.clear()
        while self._said:
            words, lasts_s, channel = self._said.popleft()
            samples = _spelling(words)
            begin_s = max(0.0, end_s - lasts_s)
            if not any(is_deaf[channel : channel + 1]):
                yield Utterance(samples, samples[:0], begin_s, end_s, channel, "x", is_cut=False)

    def end(self, channel: int, end_s: float) -> None:
        """End nothing early."""
        del channel, end_s

    def skip(self, windows: int) -> None:
        """Let time pass."""
        self.heard += windows * SAMPLES

    def finish(self) -> Iterator[Utterance]:
        """Give what is in the air."""
        return self.hear(np.zeros((0, 1), np.float32))


@dataclass
class Speaker:
    """A loudspeaker that only remembers."""

    said: list[Saying] = field(default_factory=list)
    stops: int = 0
    ways: int = 0
    """How often it gave way."""
    under_way: Saying | None = None
    """The read-back that sounds."""
    power: float = 0.01
    out_s: tuple[float, float] | None = None
    """When words are out."""
    lost: str | None = None
    on_say: Callable[[Saying], None] = lambda _: None
    is_out_of_words: Callable[[], bool] = lambda: True

    @property
    def is_idle(self) -> bool:
        """Tell by what the test says."""
        return self.is_out_of_words()

    def say(self, saying: Saying) -> None:
        """Remember it, unless it is silent as a player's is."""
        if not saying.is_silent:
            self.said.append(saying)
            self.on_say(saying)

    def stop(self) -> None:
        """Count it."""
        self.stops += 1

    def give_way(self) -> Saying | None:
        """Give what the test says is under way, once."""
        self.ways += 1
        cut, self.under_way = self.under_way, None
        return cut

    def left(self) -> tuple[LeftBlock, ...]:
        """Nothing is heard of it."""
        return ()

    def loudness(self, begin_s: float, end_s: float) -> float:
        """Be as loud as the test says while words are out."""
        return self.power if self.was_out(begin_s, end_s) else 0.0

    def was_out(self, begin_s: float, end_s: float) -> bool:
        """Tell by what the test says."""
        return self.out_s is not None and self.out_s[0] <= end_s and begin_s <= self.out_s[1]

    def fault(self) -> str | None:
        """Tell it once."""
        fault, self.lost = self.lost, None
        return fault


@dataclass
class Screen:
    """A screen that only remembers."""

    words: Words = ENGLISH
    views: list[ViewText] = field(default_factory=list)
    facts: list[View] = field(default_factory=list)

    def show(self, view: View) -> None:
        """Remember it, in the crew's words too."""
        self.facts.append(view)
        self.views.append(say_view(view, self.words))


RIGS: list[Rig] = []
"""Those of the running test; looked at when it ends (see conftest)."""


class Rig:
    """A loop about fake devices, and a real job."""

    def __init__(
        self,
        job: Job,
        grammar: Grammar,
        parser: Parser,
        *,
        roles: tuple[Role, ...] = BOTH,
        pads: tuple[Role, ...] = (Role.UNSAID,),
        settings: Settings | None = None,
        rules: LineSettings | None = None,
        late: int = 0,
        is_silent: bool = False,
        phones: Phones | None = None,
        agrees: bool = True,
        is_live: bool = False,
        knows_tape: bool = False,
    ) -> None:
        RIGS.append(self)
        self.job = job
        self.roles = roles
        self.clock, self.sounds, self.screen = Clock(), Sounds(), Screen(grammar.words)
        self.speaker, self.ears = Speaker(), Ears()
        self.pads = [Keys(f"pad {number}") for number, _ in enumerate(pads, start=1)]
        self.told: list[Told] = []
        course = Course((ADD, FULL), (("A", "B"), ("B", "C")), rules or line())
        course.go_on(job)
        if agrees and not job.replay.voices.people:
            agree(job)
        if knows_tape:
            job.record(_says_style(job))

        def make_crew(
            on_told: Callable[[Told], None],
            on_window: Callable[[Samples, tuple[bool, ...]], None],
            on_unkept: Callable[[AudioError], None],
        ) -> LiveCrew:
            self.on_window = on_window
            recorder = Recorder(
                job,
                course,
                parser,
                source="live-1",
                roles=roles,
                keeps_clips=True,
                on_told=partial(self._keep, on_told),
                on_unkept=on_unkept,
                is_live=is_live,
            )
            hearing = OnPaper(late) if roles else None
            return LiveCrew(
                recorder,
                channels=len(roles),
                hearing=hearing,
                on_window=on_window,
                listening=lambda *_, **__: self.ears,
            )

        self.loop = FieldLoop(
            make_crew,
            grammar=grammar,
            settings=settings or Settings(),
            microphone=self.sounds if roles else None,
            microphone_names=[role.value for role in roles],
            keypads=list(zip(self.pads, pads, strict=True)),
            speaker=None if is_silent else self.speaker,
            screen=self.screen,
            phones=phones,
            clock=self.clock,
        )

    def _keep(self, on_told: Callable[[Told], None], told: Told) -> None:
        self.told.append(told)
        on_told(told)

    def hear(self, seconds: float = BLOCK_S, *, at_s: float | None = None) -> None:
        """Let sound come in blocks, the clock with it; the first one from a time on."""
        if at_s is not None:
            self.clock.now_s = at_s
        for _ in range(max(1, round(seconds / BLOCK_S))):
            samples = np.zeros((SAMPLES, len(self.roles)), np.float32)
            self.sounds.waiting.append(Sound(samples, self.clock.now_s))
            self.clock.now_s += BLOCK_S
            self.loop.turn()

    def say(self, words: str, channel: int = 0, *, lasts_s: float = 0.5) -> None:
        """Let something be said, and understood."""
        self.hear(lasts_s + 0.5)
        self.ears.say(words, channel, lasts_s=lasts_s)
        self.hear()

    def befall(self, event: Event) -> None:
        """Let something befall the microphone."""
        self.sounds.waiting.append(event)
        self.loop.turn()

    def type(self, *keys: str | Link, pad: int = 0) -> None:
        """Press keys, each in a turn of its own."""
        for each in keys:
            for key in [each] if isinstance(each, Link) else each:
                self.pads[pad].waiting.append(key)
                self.loop.turn()
                self.clock.now_s += BLOCK_S

    def assert_alike(self) -> None:
        """The job at work is what its entries give when they are read anew: one way in.

        Passed over is a job that another program has gone on with since, and one whose files the
        test took away or damaged.
        """
        job, folder = self.job, self.job.folder
        try:
            with Journal.open(folder, read_only=True, held=job.kept.newest) as journal:
                kept = tuple(journal.entries())
        except JournalError:
            return
        here = {each.hash for each in kept}
        kept += tuple(each for each in job.kept.unsaved if each.hash not in here)
        if kept[-1:] == (job.kept.head,):
            assert replay(kept, Replay(read_words=partial(read_words, folder))) == job.replay

    def entries(self, kind: str) -> list[dict[str, object]]:
        """Read the entries of a kind that are on disk, as an onlooker."""
        with Journal.open(self.job.folder, read_only=True) as journal:
            return [dict(each.content) for each in journal.entries(kind)]  # type: ignore[arg-type]

    @property
    def calls(self) -> list[Call]:
        """The calls told so far."""
        return [told.call for told in self.told]

    @property
    def said(self) -> list[str]:
        """The words that were said."""
        return [saying.words for saying in self.speaker.said if saying.words]

    @property
    def tones(self) -> list[Tone | None]:
        """The tones that were given."""
        return [saying.tone for saying in self.speaker.said]

    @property
    def last_tone(self) -> Tone | None:
        """The tone that was given last."""
        return self.tones[-1]

    @property
    def notices(self) -> tuple[str, ...]:
        """What the screen tells now."""
        return self.screen.views[-1].notices


def _says_style(job: Job) -> Call:
    """Type how the tape is graduated, as a crew does before the first pull on it."""
    style = job.state.settings.style.value
    return Call(
        number=len(job.replay.calls) + 1,
        source="before#keys",
        role=Role.UNSAID,
        expects=Expectation.ANY,
        start_s=0.0,
        end_s=0.0,
        kind=Kind.COMMAND,
        text=style,
        value=None,
        name=style,
        amount=None,
        probability=1.0,
        alternatives=(),
        outcome=Outcome.CALL,
        reason=None,
        clip="",
        is_keyed=True,
    )


def _spelling(words: str) -> Samples:
    return np.array([ord(letter) for letter in words], np.float32)
