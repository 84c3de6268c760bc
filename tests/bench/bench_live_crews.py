"""Benchmark of crews that work live: pulls recorded, wrong ones, questions, stops, seconds a pull.

The command `listen` runs as a user starts it, in a terminal of its own, with a virtual microphone
of two channels and a virtual loudspeaker, everything else as it comes. Two synthetic voices work
with it in real time: one calls the foot, the other the hundredths, they switch ends and say so,
and call both again, each call so long after the one before as is drawn between `FASTEST_S` and
`SLOWEST_S`. After the check they walk on, change back, or either. Foot and hundredths are such that
they could be taken for each other.

The crew knows what it hears: that a call was answered by no sound, a question, a stop. It lets a
question come to its end and answers it; after a stop both read again as they stand; where nothing
comes of a pull they go on where the program stands, as "who's got it" would tell. It never notices
that a read-back is wrong, so that no figure leans on that. Asked again how the tape reads, they
press the key that the screen names. Where they are asked who holds the foot, the whole reading is
called or the key of the holder is pressed, in turns. After a pull is recorded they carry the tape
for `WALK_S`, which is in no pull's time.

Run with ``python -m tests.bench.bench_live_crews [--pulls N] [--voices HEAD,REAR] [--noise DB]``;
what was said, heard and answered is told on standard error; Ctrl-C ends a line early.
With ``--simulated`` sound card and clock are simulated, so that a busy machine changes nothing; it
prints JSON, which stands beside no figure that was measured.
``--people FOLDER`` lets recorded people work, each with the next, as `CREWS` has it: in quiet, in
rain, after the program has learned their voices, and with a breath between the two figures of some
numbers (`tests.bench.people` says what lies in the folder): numbers figure by figure, all else by
keys, since no other words of them were recorded. What is called and what is learned from are
different recordings. ``--apart SHARE`` lets recorded people breathe so in a simulated line.
``--urgent`` lets the program go before other work, as on a computer of its own. Needs PulseAudio.
"""

from __future__ import annotations

import argparse
import contextlib
import csv
import json
import os
import random
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product
from pathlib import Path
from typing import Protocol

import numpy as np
import soundfile
import soxr

from calllog.audio import RATE_HZ
from calllog.audio.endpoint import Samples
from calllog.commands.engine import DEFAULT_ENGINE, make_recogniser
from calllog.demo import load_day
from calllog.journal import Entry, Journal
from calllog.office.summary import verify_job
from calllog.pairing import Phase, State
from calllog.recognise import Recogniser
from calllog.session import Replay
from calllog.session.replay import event_of
from calllog.spoken import load_grammar, spoken_forms
from calllog.values import (
    Call,
    Finding,
    Kind,
    Outcome,
    Question,
    Role,
    Severity,
)
from calllog.wording import ENGLISH
from tests.bench.bench_endpoint import active
from tests.bench.bench_recognition import GRAMMAR, LEVEL
from tests.bench.live_air import Air, Said, hurry
from tests.bench.people import BETWEEN_S, FIGURES, outdoors, people, read_sound
from tests.bench.simulated_air import SimulatedAir
from tests.bench.voices import active_rms, synthesise, wind
from tests.measured.results import keep
from tests.terminal import Terminal, wait_for
from tests.virtual import VirtualSound

LINE = load_day().lines[0]
CONSENT = ("--consent", "the synthetic voices")
VOICES = "flite-slt,flite-rms"
"""Head and rear; kept aside from tuning."""
FASTEST_S, SLOWEST_S = 0.3, 3.0
PULLS = 6
SEED = 1128
ECHO_DB = -30.0
STEPS = ("foot", "hundredths", "switch ends", "foot", "hundredths")
SAY_AGAIN = frozenset(
    (
        *("not-sure-of", "said-under-voice", "sound-was-lost", "no-call-made-out", "lone-word"),
        *("heard-on-both", "again-or-next-pull", "may-be", "one-digit", "again-or-hundredths"),
        "mended-or-next-pull",
    )
)
"""Codes of questions after which a call is said again."""
POINTED = frozenset({"may-be", "one-digit", "again-or-hundredths"})
"""Those after which "point" is said before hundredths."""
ORDERS = ("switch ends", "add tape", "measure again")
WAYS = ("walks on", "changes back", "either")
CHANNEL = {Role.HEAD: 0, Role.REAR: 1}
OTHER = {Role.HEAD: Role.REAR, Role.REAR: Role.HEAD}
OWN_S = 0.8
"""Nobody says another thing sooner after their own words: it would be one thing to a listener."""
REACTS_S = 0.7
"""From a question on disk to the crew's having heard that it is one."""
WALK_S = 8.0
"""Between two pulls: to carry a tape of 100 ft on takes longer (common practice, no published
source)."""
MISSED_S = 2.5
"""A call that is answered by no sound for so long is missed by its caller."""
NOTHING_S = 4.5
"""Where nothing comes of the last call of a pull for so long, they ask."""
MOST_TRIES = 6
"""A pull that was gone on with so often is measured again."""
MOST_CALLS = 40
"""Calls of one pull, after which it is given up."""
DRAWN = {0.3: "0.3 to 0.6 s", 0.6: "0.6 to 1.2 s", 1.2: "1.2 to 3 s"}
"""The paces, by their least."""
KEYS = {"switch ends": "+", "add tape": "8/", "measure again": "0/\n"}
"""What is typed by those whose recorded voice says digits alone."""
CALLED = slice(25, None)
"""The recordings of a figure by which people call; from the others their voices are learned."""
APART_S = (0.45, 0.85)
"""Who breathes between two figures of a number goes on after so long."""
LEARNED = 24
"""Calls that a voice is learned from."""
RAIN_DB = 10.0
REMARK = (
    "Each person is head in one crew and rear in another; of three crews one walks on, one changes "
    "back, one does either. How far the encoder's weights were moved was chosen on these "
    "people, which flatters all rows. That a reading is wrong is never noticed by them."
)
RAIN_S = 60


@dataclass(frozen=True, slots=True)
class Work:
    """How people work."""

    is_in_rain: bool = False
    is_known: bool = False
    """The program has learned their voices."""
    apart: float = 0.0
    """Share of numbers with a breath between the figures."""


CREWS = {
    "quiet": Work(),
    "rain, 10 dB": Work(is_in_rain=True),
    "quiet, voices known": Work(is_known=True),
    "quiet, a breath in 3 of 10 numbers": Work(apart=0.3),
}
SAID_OF = (Kind.WHOLE, Kind.FRACTION, Kind.READING)
MARK = (10, 99)
"""Foot and hundredths lie between these: either might be the other."""


@dataclass(frozen=True, slots=True)
class Heard:
    """What stands in the journal so far."""

    replay: Replay
    calls: list[tuple[float, Call]]
    """With the time at which each was on disk."""
    trouble: list[tuple[float, int, Question | Finding]]
    """Questions and stops, with that time and the number of the entry."""

    @property
    def state(self) -> State:
        """Where the line stands."""
        assert self.replay.state is not None
        return self.replay.state


class Onlooker:
    """Reads what the program has written so far."""

    def __init__(self, job: Path) -> None:
        self._job = job
        self._replay = Replay()
        self._seen = 0
        self._calls: list[tuple[float, Call]] = []
        self._trouble: list[tuple[float, int, Question | Finding]] = []

    def look(self) -> Heard:
        """Read on."""
        with Journal.open(self._job, read_only=True) as journal:
            entries = list(journal.entries())
        for entry in entries[self._seen :]:
            self._replay.feed(entry)
            self._note(entry)
        self._seen = len(entries)
        return Heard(self._replay, self._calls, self._trouble)

    def _note(self, entry: Entry) -> None:
        at_s = entry.monotonic_s
        if isinstance(event := event_of(entry), Call):
            self._calls.append((at_s, event))
            show(at_s, told(event))
        elif entry.kind == "question":
            asked = Question.model_validate_json(entry.body)
            self._trouble.append((at_s, entry.sequence, asked))
            show(at_s, f"  ! {ENGLISH.question(asked)}")
        elif entry.kind == "finding":
            found = Finding.model_validate_json(entry.body)
            if found.severity is Severity.STOP:
                self._trouble.append((at_s, entry.sequence, found))
                show(at_s, f"  ! stop: {ENGLISH.finding(found)}")


@dataclass
class Counted:
    """What is measured of one line."""

    planned: list[int] = field(default_factory=list)
    calls: int = 0
    unanswered: int = 0
    """Calls of which nothing was heard."""
    seconds: list[float] = field(default_factory=list)
    """Of the crew's time, from the first word of a pull to the first sound of its result."""
    undisturbed: list[float] = field(default_factory=list)
    """The same, of pulls in which nothing was asked and nothing stopped."""
    own: list[float] = field(default_factory=list)
    """Of these, what the crew's own words and the pauses drawn for it take."""
    given_up: int = 0


@dataclass
class Pull:
    """One pull as it is and as far as the crew is with it."""

    length: int
    holder: Role
    """Who holds the foot in the first measurement."""
    is_switched: bool = False
    step: int = 0
    """What they do next, of `STEPS`."""
    is_pointed: bool = False
    """The next call is to be said with "point"."""

    @property
    def holding(self) -> Role:
        """Who holds the foot now."""
        return OTHER[self.holder] if self.is_switched else self.holder


class Typist(Protocol):
    """Takes what is typed."""

    def type(self, keys: str) -> None:
        """Type keys."""


class LiveCrew:
    """Two people at work.

    Args:
        air: between them and the program.
        onlooker: what they hear of it, as it stands on disk.
        terminal: its keys.
        voices: of head and rear.
        way: what they do after a check.
        pace_s: the least and the most between two calls [s].
        seed: which lengths and words are drawn.
        apart: of the numbers of recorded people, the share whose figures come `APART_S` apart.
    """

    def __init__(
        self,
        air: Air | SimulatedAir,
        onlooker: Onlooker,
        terminal: Typist,
        voices: tuple[str, str],
        way: str,
        pace_s: tuple[float, float],
        seed: int,
        apart: float = 0.0,
    ) -> None:
        self._apart = apart
        self._air, self._onlooker, self._terminal = air, onlooker, terminal
        self._voices, self._way, self._pace_s = voices, way, pace_s
        self._grammar = load_grammar(GRAMMAR.read_text("utf-8"))
        # which lengths are drawn is no secret
        self._rng = random.Random(f"{seed} {way} {voices}")  # noqa: S311
        self._lengths: list[int] = []
        self._sounds: dict[tuple[str, Role], Samples] = {}
        self._answered = 0
        """The last entry that was answered, or came too early to be."""
        self._tells_by_key = False
        self._tried = 0
        """How often this pull was gone on with after a question, a stop or nothing at all."""
        self._had = 0
        """Pulls that were recorded before this one."""
        self._said_s = self._ended_s = self._air.clock()
        """When the last call was over, and from when on the pause before the next one counts."""
        self._paced_s: list[float] = []
        """The pauses drawn for this pull."""
        self.counted = Counted()

    def prepare(self, pulls: int) -> None:
        """Draw the pulls, and have all that may be called of them ready to be said."""
        while len(self._lengths) < pulls:
            whole, fraction = self._rng.randint(*MARK), self._rng.randint(*MARK)
            if whole != fraction:
                self._lengths.append(100 * whole + fraction)
        for by, (part, length) in product(CHANNEL, product(SAID_OF, self._lengths)):
            for form in self._forms(part, length, by):
                self._sound(form, by)
        for by, words in product(CHANNEL, ORDERS):
            if not self._is_recorded_voice(by):
                self._sound(words, by)

    def work(self) -> None:
        """Tape a line."""
        self._say("add tape", Role.HEAD)
        self._settle()
        holder = Role.REAR
        for number, length in enumerate(self._lengths, start=1):
            pull = Pull(length, holder)
            self.counted.planned.append(length)
            self._had = len(self._onlooker.look().replay.segments)
            self._wait(WALK_S if number > 1 else 0.0)
            self._note(f"--- pull {number}: {pull.length / 100:.2f}, {holder} holds the foot")
            if not self._measure(pull):
                self._note(f"pull {number} is given up")
                self.counted.given_up += 1
                self.counted.planned.pop()
            walks_on = self._way == WAYS[0] or (self._way == WAYS[2] and number % 2 == 1)
            holder = pull.holding if walks_on else pull.holder

    def _measure(self, pull: Pull) -> bool:
        """Measure a pull until it is recorded; tell whether it was."""
        self._tried = 0
        self._paced_s.clear()
        troubled = len(self._onlooker.look().trouble)
        first = len(self._air.said)
        self._call_on(pull)
        while not self._is_recorded():
            if len(self._air.said) - first > MOST_CALLS:
                return False
            self._go_on(pull)
        took_s = self._hear_result() - self._air.said[first].begin_s
        self.counted.seconds.append(took_s)
        if len(self._onlooker.look().trouble) == troubled:
            words_s = sum(each.end_s - each.begin_s for each in self._air.said[first:])
            self.counted.undisturbed.append(took_s)
            self.counted.own.append(words_s + sum(self._paced_s[1:]))
        return True

    def _is_recorded(self) -> bool:
        return len(self._onlooker.look().replay.segments) > self._had

    def _hear_result(self) -> float:
        """Wait for the sound of a result, and tell when it came."""
        at_s = self._onlooker.look().calls[-1][0]
        while self._air.ear.loud_s < at_s and self._air.clock() < at_s + 2.0:
            self._air.sleep(0.02)
        self._ended_s = self._air.clock()
        return self._ended_s

    def _call_on(self, pull: Pull) -> None:
        """Call foot and hundredths, switch ends, and do so again, unless something is asked."""
        while pull.step < len(STEPS):
            by, part = self._whose(pull)
            self._wait(self._pace(by))
            if self._is_asked():
                break
            if self._is_missed():
                self._settle()
                if self._is_asked() or self._is_recorded():
                    break
                if self._is_missed(waited_s=0.0):
                    self.counted.unanswered += 1
                    pull.step = max(0, pull.step - 1)
                    by, part = self._whose(pull)
            if part is None:
                self._say("switch ends", by)
                pull.is_switched = True
            else:
                self._call(part, pull, by)
            pull.step += 1
        self._settle()

    def _whose(self, pull: Pull) -> tuple[Role, Kind | None]:
        """Tell who does the next step, and which part it is; none for switching ends."""
        pull.is_switched = pull.step > 2
        match pull.step:
            case 0 | 3:
                return pull.holding, Kind.WHOLE
            case 1 | 4:
                return OTHER[pull.holding], Kind.FRACTION
            case _:
                return self._rng.choice((Role.HEAD, Role.REAR)), None

    def _go_on(self, pull: Pull) -> None:
        """Do what is wanted after a question, a stop, or nothing at all."""
        heard = self._onlooker.look()
        state = heard.state
        asked = [each for each in heard.trouble if each[1] > self._answered]
        self._answered = max((number for _, number, _ in asked), default=self._answered)
        question = asked[-1][2] if asked and isinstance(asked[-1][2], Question) else None
        is_direct = state.waiting or state.awaiting or state.style_waits
        if is_direct:
            self._wait(max(self._pace(), OWN_S))
        self._tried += 1
        if self._tried % MOST_TRIES == 0:
            self._say("measure again", self._rng.choice((Role.HEAD, Role.REAR)))
            self._begin_again(pull)
            self._settle()
        elif state.waiting is not None:
            pull.step = min(pull.step, 2) if state.phase is Phase.OPEN else pull.step
            pull.is_switched = state.phase is Phase.CHECKING  # nobody has gone yet
            self._tell_holder(pull)
            self._settle()
        elif state.awaiting is not None:
            part = Kind(state.awaiting.part.value)
            role = state.awaiting.role
            by = self._caller(part, pull, is_take=state.awaiting.is_take)
            self._call(part, pull, by if role is Role.UNSAID else role)
            self._settle()
        elif state.phase is Phase.STOPPED:
            self._begin_again(pull)
        elif question and question.asks.code == "not-sure-of-style":
            self._note("key: the tape adds")
            self._type(KEYS["add tape"])
            self._settle()
        elif state.style_waits or (question and question.asks.code == "say-style"):
            self._say("add tape", Role.REAR)
            self._settle()
        elif question is not None and question.asks.code in SAY_AGAIN:
            self._say_again(pull, question)
        elif pull.step == len(STEPS) or question is not None:
            self._do_what_is_wanted(pull, state)
        self._call_on(pull)

    def _begin_again(self, pull: Pull) -> None:
        """Read both again as they stand."""
        pull.holder, pull.step = pull.holding, 0

    def _say_again(self, pull: Pull, question: Question) -> None:
        """Go back to the last call of the one who is asked; one who is not named, to the last."""
        pull.is_pointed = question.asks.code in POINTED
        for step in range(min(pull.step, len(STEPS)) - 1, -1, -1):
            pull.step = step
            by, part = self._whose(pull)
            if part is None or question.role in (by, Role.UNSAID):
                return

    def _do_what_is_wanted(self, pull: Pull, state: State) -> None:
        """Go on where the program stands."""
        if state.phase is Phase.TAKEN:
            pull.step = 2
            return
        is_open = state.phase is Phase.OPEN
        pull.step = (0 if is_open else 3) + (state.parts.whole is not None)

    def _caller(self, part: Kind, pull: Pull, *, is_take: bool) -> Role:
        """Tell who of them calls a part in a measurement."""
        holder = pull.holder if is_take else OTHER[pull.holder]
        return OTHER[holder] if part is Kind.FRACTION else holder

    def _tell_holder(self, pull: Pull) -> None:
        """Answer who holds the foot."""
        self._tells_by_key = not self._tells_by_key
        if self._tells_by_key:
            self._call(Kind.READING, pull, pull.holding)
            return
        self._note(f"key: {pull.holding} holds")
        self._type({Role.HEAD: "4/", Role.REAR: "5/"}[pull.holding])

    def _call(self, part: Kind, pull: Pull, by: Role) -> None:
        """Call a part, or all of it."""
        forms = self._forms(part, pull.length, by)
        pointed = [each for each in forms if "point" in each]
        plain = [each for each in forms if "point" not in each]
        wanted = pointed if pull.is_pointed or part is Kind.READING else plain
        pull.is_pointed = False
        self._say(self._rng.choice(wanted or list(forms)), by)

    def _forms(self, part: Kind, length: int, by: Role) -> tuple[str, ...]:
        """List how one may call a part of a length."""
        value = {Kind.WHOLE: length // 100 * 100, Kind.FRACTION: length % 100}.get(part, length)
        forms = spoken_forms(self._grammar, part, value)
        if not self._is_recorded_voice(by):
            return forms
        return tuple(each for each in forms if set(each.split()) <= set(FIGURES))

    def _is_recorded_voice(self, by: Role) -> bool:
        return Path(self._voices[CHANNEL[by]]).is_dir()

    def _say(self, words: str, by: Role) -> None:
        if self._is_recorded_voice(by) and words in KEYS:
            self._note(f"{by.value}: key {KEYS[words]}")
            self._type(KEYS[words])
            return
        sound = self._sound(words, by)
        began_s = self._air.clock()
        said = self._air.say(words, CHANNEL[by], sound)
        self.counted.calls += 1
        self._said_s = self._ended_s = said.end_s
        self._note(f"{by.value}: {words}", at_s=began_s)

    def _type(self, keys: str) -> None:
        self._said_s = self._ended_s = self._air.clock()
        self._terminal.type(keys)

    def _sound(self, words: str, by: Role) -> Samples:
        """Give the sound of words, as loud as calls are; a person says them anew each time."""
        if (words, by) not in self._sounds:
            spoken = active(self._spoken(words, self._voices[CHANNEL[by]]))
            spoken = np.asarray(spoken * (LEVEL / active_rms(spoken)), np.float32)
            if self._is_recorded_voice(by):
                return spoken
            self._sounds[words, by] = spoken
        return self._sounds[words, by]

    def _spoken(self, words: str, voice: str) -> Samples:
        """Speak, or put words together out of a person's recorded digits."""
        folder = Path(voice)
        if not folder.is_dir():
            return synthesise(words, voice)
        is_apart = self._apart > 0.0 and self._rng.random() < self._apart
        between_s = APART_S if is_apart else BETWEEN_S
        return figures_said(folder, words.split(), CALLED, self._rng, between_s)

    def _pace(self, by: Role | None = None) -> float:
        """Draw how long somebody waits, all sizes alike; after their own words longer."""
        least, most = np.log(self._pace_s)
        drawn = float(np.exp(self._rng.uniform(least, most)))
        said = self._air.said[-1:]
        is_own = by is not None and any(each.channel == CHANNEL[by] for each in said)
        self._paced_s.append(max(drawn, OWN_S) if is_own else drawn)
        return self._paced_s[-1]

    def _wait(self, seconds: float) -> None:
        """Wait so long after the last call."""
        self._air.sleep(max(0.0, self._ended_s + seconds - self._air.clock()))

    def _is_asked(self) -> bool:
        """Tell whether a question or a stop was heard that was not answered."""
        trouble = self._onlooker.look().trouble
        return any(
            number > self._answered and self._air.clock() - at_s > REACTS_S
            for at_s, number, _ in trouble
        )

    def _is_missed(self, waited_s: float = MISSED_S) -> bool:
        """Tell whether the last call was answered by no sound."""
        if self._air.clock() - self._said_s < waited_s:
            return False
        return not any(at_s > self._said_s for at_s in self._answers_s(self._onlooker.look()))

    def _settle(self) -> None:
        """Wait until the program has answered, and has said what it says of a question."""
        while self._air.clock() < self._said_s + NOTHING_S:
            self._air.sleep(0.1)
            heard = self._onlooker.look()
            if len(heard.replay.segments) > self._had:
                return
            answered_s = max(self._answers_s(heard), default=0.0)
            is_asked = any(number > self._answered for _, number, _ in heard.trouble)
            waits_s = REACTS_S if is_asked else 2 * REACTS_S
            if answered_s > self._said_s and self._air.clock() - answered_s > waits_s:
                break
        while self._air.is_program_speaking:
            self._air.sleep(0.05)
        self._ended_s = self._air.clock()

    def _answers_s(self, heard: Heard) -> list[float]:
        return [at_s for at_s, call in heard.calls if call.outcome is not Outcome.IGNORED]

    def _note(self, text: str, at_s: float | None = None) -> None:
        sys.stderr.write(f"{at_s or self._air.clock():10.2f}  {text}\n")


def tape_line(
    way: str,
    pulls: int,
    voices: tuple[str, str],
    noise: Samples | None,
    pace_s: tuple[float, float],
    seed: int,
    keep: Path | None,
    echo_db: float,
    listen: list[str],
    *,
    is_urgent: bool,
    apart: float = 0.0,
) -> tuple[list[float], Taped]:
    """Let a crew tape a line with the program; give the load before and after, and who did it."""
    loads = [os.getloadavg()[0]]
    with tempfile.TemporaryDirectory(prefix="cl") as name, VirtualSound(Path(name)) as sound:
        folder = Path(name)
        with Air(sound, noise, echo_db) as air:
            words = ("listen", str(folder / "job"), "--tape", str(LINE.tape), "--line", LINE.name)
            kit = ("--microphone", "crew", "--channels", "head,rear", "--voice", "built-in")
            terminal = Terminal(sound.env, *words, *kit, *CONSENT, *listen)
            if is_urgent:
                hurry(terminal.program.pid)
            try:
                wait_for(lambda: b"next" in terminal.seen, terminal, 60.0)
                wait_for(lambda: air.ear.loud_s > 0 and not air.is_program_speaking, terminal, 90.0)
                onlooker = Onlooker(folder / "job")
                crew = LiveCrew(air, onlooker, terminal, voices, way, pace_s, seed, apart)
                crew.prepare(pulls)
                with contextlib.suppress(KeyboardInterrupt):
                    crew.work()
                time.sleep(3.0)
                heard = onlooker.look()
                loads.append(os.getloadavg()[0])
                assert terminal.end() == 0, terminal.seen.decode("utf-8", "replace")
            finally:
                terminal.close()
        air.keep()
        if keep is not None:
            keep.mkdir(exist_ok=True)
            soundfile.write(keep / f"{way}, crew.flac", air.crew.heard, RATE_HZ)
            soundfile.write(keep / f"{way}, program.flac", air.ear.heard, RATE_HZ)
        assert verify_job(folder / "job").ok
        return [round(each, 1) for each in loads], (crew, air, heard)


def simulate_line(
    way: str,
    pulls: int,
    voices: tuple[str, str],
    noise: Samples | None,
    pace_s: tuple[float, float],
    seed: int,
    keep: Path | None,
    echo_db: float,
    recogniser: Recogniser,
    *,
    apart: float = 0.0,
) -> dict[str, object]:
    """Let a crew tape a line in simulated time; give what came of it."""
    with tempfile.TemporaryDirectory(prefix="cl") as name:
        job = Path(name) / "job"
        with SimulatedAir(recogniser, LINE.tape, LINE.name, job, noise, echo_db) as air:
            air.sleep(1.0)
            while air.is_program_speaking:
                air.sleep(0.1)
            onlooker = Onlooker(job)
            crew = LiveCrew(air, onlooker, air.keys, voices, way, pace_s, seed, apart)
            crew.prepare(pulls)
            with contextlib.suppress(KeyboardInterrupt):
                crew.work()
            air.sleep(3.0)
            heard = onlooker.look()
        air.keep()
        if keep is not None:
            keep.mkdir(exist_ok=True)
            air.write(keep / f"{way}.flac")
        assert verify_job(job).ok
        return figures((crew, air, heard))


def show(at_s: float, text: str) -> None:
    """Print what the program heard or asked."""
    sys.stderr.write(f"{at_s:10.2f}      {text}\n")


def told(call: Call) -> str:
    """Tell a call in a line."""
    value = "" if call.value is None else f" {call.value}"
    kind = f"{call.kind.value}{value} {call.name}".strip()
    whose = f"{call.number} {call.role.value} expects {call.expects.value}"
    reason = "" if call.reason is None else f" {call.reason.code}"
    heard = f"{call.start_s:.2f}-{call.end_s:.2f} {kind} ({call.text}) {call.probability:.2f}"
    return f"{whose}: {heard} {call.outcome.value}{reason}"


Taped = tuple[LiveCrew, Air | SimulatedAir, Heard]
"""A line that was taped: by whom, what was in the air, and what the program heard."""


def figures(taped: Taped) -> dict[str, object]:
    """Sum a line up."""
    crew, air, heard = taped
    counted = crew.counted
    segments = heard.replay.segments
    lengths = [round(100 * each.length_read_ft) for each in segments]
    asked = asked_of([taped])
    to_sound, over = latencies(air, heard)
    return {
        "pulls": len(counted.planned),
        "recorded": len(lengths),
        "wrong": wrong(counted.planned, lengths),
        "given up": counted.given_up,
        "questions": {code: n for code, n in asked.items() if not code.startswith("stop")},
        "stops": {code: n for code, n in asked.items() if code.startswith("stop")},
        "calls": counted.calls,
        "calls of which nothing was heard": counted.unanswered,
        "seconds a pull": summed(counted.seconds),
        "seconds a pull without question or stop": summed(counted.undisturbed),
        "of these, the crew's own words and pauses": summed(counted.own),
        "end of speech to first sound [ms]": summed([1000.0 * ms for _, ms in to_sound], 0),
        "the same by pace [ms]": {
            told: summed([1000.0 * ms for pace, ms in to_sound if _drawn(pace) == least], 0)
            for least, told in DRAWN.items()
        },
        "calls that end while the program speaks": over,
        "lengths": [[a / 100 for a in counted.planned], [b / 100 for b in lengths]],
    }


def asked_of(every: Sequence[Taped]) -> Counter[str]:
    """Count questions and stops by their codes."""
    return Counter(
        each.asks.code if isinstance(each, Question) else f"stop: {each.code}"
        for _, _, heard in every
        for _, _, each in heard.trouble
    )


def figures_of_all(every: Sequence[Taped]) -> dict[str, float]:
    """Sum lines up in one row."""
    counted = [crew.counted for crew, _, _ in every]
    lengths = [
        [round(100 * each.length_read_ft) for each in heard.replay.segments]
        for _, _, heard in every
    ]
    troubles = [each for _, _, heard in every for _, _, each in heard.trouble]
    asked = sum(isinstance(each, Question) for each in troubles)
    took_s = [each for one in counted for each in one.seconds]
    sound_s = [seconds for taped in every for _, seconds in latencies(*taped[1:])[0]]
    halves = {
        "seconds a pull": summed(took_s),
        "of pulls without question or stop": summed(
            [e for one in counted for e in one.undisturbed]
        ),
        "end of speech to first sound [ms]": summed([1000.0 * each for each in sound_s], 0),
    }
    return {
        "pulls": sum(len(one.planned) + one.given_up for one in counted),
        "recorded": sum(map(len, lengths)),
        "wrong": sum(wrong(one.planned, got) for one, got in zip(counted, lengths, strict=True)),
        "given up": sum(one.given_up for one in counted),
        "calls": sum(one.calls for one in counted),
        "of which nothing was heard": sum(one.unanswered for one in counted),
        "questions": asked,
        "stops": len(troubles) - asked,
        **{
            f"{name}, {key}": value
            for name, each in halves.items()
            for key, value in (each or {}).items()
        },
    }


def wrong(planned: list[int], lengths: list[int]) -> int:
    """Count recorded lengths that are not the pull's own; a pull recorded twice counts too."""
    off = sum(one != other for one, other in zip(planned, lengths, strict=False))
    return off + max(0, len(lengths) - len(planned))


def _drawn(pace_s: float) -> float:
    return max((least for least in DRAWN if pace_s >= least), default=min(DRAWN))


def latencies(air: Air | SimulatedAir, heard: Heard) -> tuple[list[tuple[float, float]], int]:
    """Measure from the end of each call to the first sound of its answer.

    Returns:
        The pause after it until the next call, and how long it took [s, s]; and how many calls
        ended while the program was to be heard, which are not measured.
    """
    found, over = [], 0
    taken = [(at_s, call) for at_s, call in heard.calls if call.outcome is not Outcome.IGNORED]
    for said, after in _with_next(air.said):
        ended_s = air.ends_s(said)
        if ended_s is None:
            continue
        if air.is_loud(ended_s):
            over += 1
            continue
        until_s = ended_s + 3.0 if after is None else min(ended_s + 3.0, after.end_s)
        is_taken = any(ended_s < at_s < ended_s + 3.0 for at_s, _ in taken)
        at_s = air.answers_s(ended_s, until_s)
        if is_taken and at_s is not None:
            pace_s = 3.0 if after is None else after.begin_s - said.end_s
            found.append((pace_s, at_s - ended_s))
    return found, over


def _with_next(said: list[Said]) -> Iterator[tuple[Said, Said | None]]:
    yield from zip(said, [*said[1:], None], strict=True)


def summed(values: list[float], places: int = 1) -> dict[str, float] | None:
    """Give count, median and 90 %; None of nothing."""
    if not values:
        return None
    half, most = np.percentile(values, [50, 90])
    return {"n": len(values), "median": round(half, places), "90 %": round(most, places)}


def read_noise(folder: Path | None, level_db: float | None) -> Samples | None:
    """Give noise so far below the calls: gusty wind, or the recordings in a folder."""
    if level_db is None:
        return None
    if folder is None:
        noise = wind(60 * RATE_HZ, np.random.default_rng(SEED))
    else:
        read = [soundfile.read(path, dtype="float32") for path in sorted(folder.rglob("*.*"))]
        noise = np.concatenate([_at_16_khz(sound, rate) for sound, rate in read])
    rms = float(np.sqrt(np.mean(np.square(noise))))
    return np.asarray(noise * (LEVEL / rms * 10.0 ** (-level_db / 20.0)), np.float32)


def _at_16_khz(sound: Samples, rate_hz: int) -> Samples:
    mono = sound if sound.ndim == 1 else sound[:, 0]
    return np.asarray(soxr.resample(mono, rate_hz, RATE_HZ), np.float32)


def figures_said(
    folder: Path,
    words: Sequence[str],
    which: slice,
    rng: random.Random,
    between_s: tuple[float, float] = BETWEEN_S,
) -> Samples:
    """Put a number together out of a person's recorded figures; shape (n,), 16 kHz."""
    parts: list[Samples] = []
    for number, word in enumerate(words):
        path = rng.choice(sorted(folder.glob(f"{FIGURES.index(word)}_*"))[which])
        gap_s = rng.uniform(*(between_s if number else BETWEEN_S))
        gap = np.zeros(round(gap_s * RATE_HZ), np.float32)
        parts += [gap, read_sound(path)]
    return np.concatenate(parts)


def learn(person: Path, folder: Path) -> None:
    """Let the program learn a person's voice from files, as its user does."""
    clips = folder / f"clips {person.name}"
    clips.mkdir()
    rng = random.Random(f"{SEED} {person.name}")  # noqa: S311 - no secret
    pause = np.zeros(RATE_HZ // 2, np.float32)
    with (clips / "said.csv").open("w", encoding="utf-8") as table:
        rows = csv.writer(table)
        rows.writerow(("file", "expects", "text"))
        for number, expects in zip(range(LEARNED), ("whole", "fraction") * LEARNED, strict=False):
            words = rng.choices(FIGURES[1:], k=2)
            sound = figures_said(person, words, slice(CALLED.start), rng)
            sound *= LEVEL / active_rms(sound)
            soundfile.write(clips / f"{number}.wav", np.concatenate((pause, sound, pause)), RATE_HZ)
            rows.writerow((f"{number}.wav", expects, " ".join(words)))
    command = ("enroll", person.name, "--clips", str(clips), "--voices", str(folder))
    subprocess.run([sys.executable, "-m", "calllog", *command], check=True)


def work_of_people(given: argparse.Namespace) -> None:
    """Let the people of a folder work in all of `CREWS`, each with the next; keep what came."""
    who = people(given.people)
    pairs = [*zip(who, (*who[1:], who[0]), strict=True)]
    rng = np.random.default_rng(SEED)
    rain = outdoors(given.people, "rain", RAIN_S * RATE_HZ, rng)
    rain = np.asarray(rain * (LEVEL * 10.0 ** (-RAIN_DB / 20.0)), np.float32)
    rows: dict[str, object] = {}
    asked: dict[str, object] = {}
    with tempfile.TemporaryDirectory(prefix="cl") as voices:
        for person in who:
            learn(given.people / person, Path(voices))
        for told, work in CREWS.items():
            every: list[Taped] = []
            for number, (head, rear) in enumerate(pairs):
                sys.stderr.write(f"=== {told}: {head} at the head, {rear} at the rear\n")
                learned = ["--head", head, "--rear", rear, "--voices", voices]
                _, taped = tape_line(
                    WAYS[number % len(WAYS)],
                    given.pulls,
                    (str(given.people / head), str(given.people / rear)),
                    rain if work.is_in_rain else None,
                    given.pace,
                    given.seed,
                    given.keep,
                    given.echo,
                    [*(learned if work.is_known else []), *given.listen],
                    is_urgent=given.urgent,
                    apart=work.apart,
                )
                every.append(taped)
            rows[told] = figures_of_all(every)
            asked[told] = asked_of(every)
    n = f"{len(pairs) * given.pulls} pulls a row: {len(pairs)} crews, {given.pulls} pulls each"
    keep(
        "live-people",
        {"crews of people": rows, "what they were asked": asked},
        n=n,
        voices=who,
        remark=REMARK,
    )


def main() -> None:
    """Print the figures of each line."""
    asks = argparse.ArgumentParser(description=__doc__)
    asks.add_argument("--pulls", type=int, default=PULLS, help="of each line")
    asks.add_argument("--voices", default=VOICES, help="of head and rear")
    asks.add_argument("--ways", default=",".join(WAYS), help="what they do after a check")
    asks.add_argument("--pace", type=float, nargs=2, default=(FASTEST_S, SLOWEST_S), help="[s]")
    asks.add_argument("--noise", type=float, help="how far it lies below the calls [dB]")
    asks.add_argument("--noise-from", type=Path, help="a folder of recordings; wind without it")
    asks.add_argument("--simulated", action="store_true", help="sound card and clock are")
    asks.add_argument("--echo", type=float, default=ECHO_DB, help="how the program arrives [dB]")
    asks.add_argument("--urgent", action="store_true", help="the program goes before other work")
    asks.add_argument("--keep", type=Path, help="a folder for what was in the air, as sound")
    asks.add_argument("--people", type=Path, help="a folder of people's recorded figures")
    asks.add_argument("--apart", type=float, default=0.0, help="share of numbers said apart")
    asks.add_argument("--seed", type=int, default=SEED)
    asks.add_argument("listen", nargs="*", help="other options of the command, after --")
    given = asks.parse_args()
    if given.people is not None:
        work_of_people(given)
        return
    head, rear = given.voices.split(",")
    noise = read_noise(given.noise_from, given.noise)
    result: dict[str, object] = {
        "pace [s]": given.pace,
        "the program goes before other work": given.urgent,
        "other options of the command": given.listen,
        "the program arrives by [dB]": given.echo,
        "noise below the calls [dB]": given.noise,
        "noise": "wind" if given.noise_from is None else str(given.noise_from),
    }
    if given.simulated:
        result["sound card and clock"] = "simulated"
        with make_recogniser(DEFAULT_ENGINE, None) as recogniser:
            for way in given.ways.split(","):
                sys.stderr.write(f"=== a crew that {way}\n")
                drawn = (noise, given.pace, given.seed, given.keep, given.echo)
                result[way] = simulate_line(
                    way, given.pulls, (head, rear), *drawn, recogniser, apart=given.apart
                )
        sys.stdout.write(json.dumps(result, indent=1) + "\n")
        return
    for way in given.ways.split(","):
        sys.stderr.write(f"=== a crew that {way}\n")
        loads, taped = tape_line(
            way,
            given.pulls,
            (head, rear),
            noise,
            given.pace,
            given.seed,
            given.keep,
            given.echo,
            given.listen,
            is_urgent=given.urgent,
        )
        result[way] = {"load average": loads, **figures(taped)}
    n = f"{given.pulls} pulls a line"
    keep("live-crews", result, n=n, voices=(f"{head} (head)", f"{rear} (rear)"))


if __name__ == "__main__":
    main()
