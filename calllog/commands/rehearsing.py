"""The live part of `enroll`: numbers shown and spoken, then a rehearsal of two pulls; shell."""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from calllog.audio import RATE_HZ, Utterance
from calllog.audio.endpoint import Endpointer
from calllog.audio.events import Lost, Overflow, Sound
from calllog.audio.microphone import Microphone
from calllog.commands.course_options import one_line, read_tape_to_call
from calllog.commands.field import NO_OUTPUT
from calllog.commands.tape_file import today
from calllog.commands.terminal import out
from calllog.commands.told import print_told
from calllog.demo import load_day
from calllog.errors import AudioError, ConfigError
from calllog.keypad import KeyedEntry
from calllog.live.devices import SoundSource, Speaker
from calllog.readback import Player, Saying, answer, choose_voice, rehearsal, say_text
from calllog.recognise import Hypothesis
from calllog.session import Job, Recorder, Told
from calllog.spoken import Grammar, Parser
from calllog.values import Role
from calllog.voices.clips import Said
from calllog.voices.rehearsal import Ours, Yours, numbers, pulls
from calllog.wording import Words

if TYPE_CHECKING:
    from calllog.voices.enrolling import Enroller, Tried

PATIENCE_S = 8.0
"""How long a call is waited for."""
TRIES = 3
"""How often a call is asked for that does not sound like what it is to be."""
TURN_S = 0.05
LINGERS_S = 0.25
"""How long words may take to arrive at the microphone."""
TAPE = "add-100.toml"
"""The tape of the rehearsal, one of the demo's."""
MOST_SILENT = 3
"""So many calls in a row that nobody makes end it."""


@dataclass
class Rehearsal:
    """Runs the numbers and the two pulls.

    Args:
        enroller: tries the calls.
        grammar: whose words are spoken.
        parser: of its words.
        microphone: where sound comes from.
        speaker: says what is to be said; None for silence.
        show: prints a line.
        clock: the monotonic clock of microphone and speaker [s].
    """

    enroller: Enroller
    grammar: Grammar
    parser: Parser
    microphone: SoundSource
    speaker: Speaker | None
    show: Callable[[str], None]
    clock: Callable[[], float] = time.monotonic
    tried: list[Tried] = field(default_factory=list)
    silent: int = 0

    def __post_init__(self) -> None:
        self._ears = Endpointer("enroll", 1)

    @property
    def words(self) -> Words:
        """The language."""
        return self.grammar.words

    def run(self) -> tuple[Tried, ...]:
        """Ask for all of it and give what was tried; ConfigError if nobody speaks."""
        shown = numbers(self.grammar)
        for number, each in enumerate(shown, 1):
            self.call(each, f"{number}/{len(shown)}")
        self.show(self.words("enroll-rehearsal"))
        with tempfile.TemporaryDirectory() as folder, Job.open(Path(folder) / "rehearsal") as job:
            self.pulls(job)
        return tuple(self.tried)

    def call(self, wanted: Yours, place: str) -> Utterance | None:
        """Ask for a call until it sounds like what it is to be; None where it never does."""
        for _ in range(TRIES):
            self.show(self.words("enroll-say", place=place, said=wanted.text))
            self.say(Saying(None, wanted.text))
            utterance = self.hear()
            if utterance is None:
                self.silent += 1
                if self.silent >= MOST_SILENT:
                    raise ConfigError(
                        "nothing is heard",
                        where="--microphone",
                        next_step="check the microphone with `calllog doctor`",
                    )
                continue
            self.silent = 0
            said = Said(wanted.expects, (wanted.text,), utterance, place)
            found = self.enroller.try_call(said)
            self.tried.append(found)
            if found.is_good:
                return utterance
            self.show(self.words("enroll-once-more"))
        return None

    def pulls(self, job: Job) -> None:
        """Play the other person through two pulls, a check and a stop."""
        tape = load_day().lines[0].tape.with_name(TAPE)
        course = one_line(read_tape_to_call(tape, today()), "A:B")
        course.go_on(job)
        recorder = Recorder(
            job,
            course,
            self.parser,
            source="live-1",
            roles=(Role.HEAD,),
            keeps_clips=False,
            on_told=self.told,
            is_live=True,
        )
        job.note("sitting", {"number": 1, "roles": [Role.HEAD.value]})
        steps = pulls(self.grammar)
        for step, each in enumerate(steps, 1):
            place = f"{step}/{len(steps)}"
            if isinstance(each, Ours):
                self.show(self.words("enroll-we-say", said=each.text))
                self.say(Saying(None, each.text))
                entry = KeyedEntry(each.text, each.kind, each.value, each.name)
                recorder.record_entry(entry, self._ears.heard / RATE_HZ, Role.REAR)
                continue
            utterance = self.call(each, place)
            if utterance is None:
                self.show(self.words("enroll-rehearsal-ends"))
                return
            recorder.record_heard(utterance, each.expects, (Hypothesis(each.text, 1.0),))

    def told(self, told: Told) -> None:
        """Show and say what the program answers on the line."""
        print_told(told, self.words)
        self.say(answer(self.grammar, told.call, told.consequences))

    def say(self, saying: Saying) -> None:
        """Say something and wait for its end, deaf meanwhile."""
        if self.speaker is None or saying.is_silent:
            return
        words = say_text(self.grammar, saying.words)
        self.speaker.say(Saying(saying.tone, words))
        until_s = self.clock() + PATIENCE_S
        while not self.speaker.is_idle and self.clock() < until_s:
            self._listen(is_deaf=True)
        until_s = self.clock() + LINGERS_S
        while self.clock() < until_s:
            self._listen(is_deaf=True)

    def hear(self) -> Utterance | None:
        """Give the next utterance; None where nobody speaks for a while."""
        until_s = self.clock() + PATIENCE_S
        while self.clock() < until_s or self._ears.begun_s is not None:
            for utterance in self._listen(is_deaf=False):
                return utterance
        return None

    def _listen(self, *, is_deaf: bool) -> Iterator[Utterance]:
        event = self.microphone.read(TURN_S)
        match event:
            case Sound(samples=samples):
                return iter(tuple(self._ears.hear(samples, is_deaf=(is_deaf,))))
            case Lost(name=name, reason=reason):
                raise AudioError(
                    f"the microphone is lost: {reason}",
                    where=name,
                    next_step="connect it and enroll again",
                )
            case Overflow(frames=frames):
                silence = np.zeros((frames or RATE_HZ // 10, 1), np.float32)
                return iter(tuple(self._ears.hear(silence, is_deaf=(True,))))
        return iter(())


@contextmanager
def rehearse(
    enroller: Enroller,
    grammar: Grammar,
    parser: Parser,
    *,
    microphones: tuple[str, ...],
    output: str | None,
    volume: float,
    voice: str | None,
) -> Iterator[Rehearsal]:
    """Open the devices for a rehearsal; AudioError if one cannot be opened."""
    with ExitStack() as devices:
        microphone = devices.enter_context(Microphone(microphones, channels=1))
        speaker = None
        if output != NO_OUTPUT:
            speaking = choose_voice(voice, rehearsal(grammar), grammar.language)
            devices.callback(speaking.close)
            speaker = devices.enter_context(Player(speaking, output=output, volume=volume))
        yield Rehearsal(enroller, grammar, parser, microphone, speaker, out.print)


def wait_for_yes(words: Words) -> bool:
    """Ask in the terminal whether to begin; without one the command is the answer."""
    if not sys.stdin.isatty():
        return True
    out.print(words("enroll-begin"), end=" ")
    return not sys.stdin.readline().strip()
