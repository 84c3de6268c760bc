"""Devices' events in, the crew's calls taken, read-back and screen out, one turn at a time; shell.

What befalls a device is journalled, told to the crew and gone on from; nothing of it ends the
loop. The order of one turn: sound, keys, answers of the recogniser, screen.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from calllog.audio.endpoint import Samples
from calllog.errors import AudioError
from calllog.keypad import ROWS, KeySource
from calllog.live.chief import Chief
from calllog.live.devices import KeepsSound, MakeCrew, Phones, Screen, SoundSource, Speaker
from calllog.live.keyed import Typing
from calllog.live.microphones import Microphones
from calllog.live.missed import is_missed
from calllog.live.notices import Notices, as_told
from calllog.live.reading import Reading
from calllog.live.reminder import Reminder
from calllog.live.safety import Safety
from calllog.pairing import Phase, opens_with, status, whose_turn
from calllog.panel import View, say_view, view_of
from calllog.panel.blind import blind
from calllog.phone.crew_desk import Aloud
from calllog.readback import Saying, Tone, Verbosity, answer
from calllog.readback.blind import blinded
from calllog.session import Told
from calllog.session.live import LiveCrew
from calllog.spoken import Grammar
from calllog.values import (
    Call,
    Choice,
    Consequence,
    Decision,
    Kind,
    Message,
    Question,
    Role,
    Segment,
    message,
)

TURN_S = 0.03
"""How long one turn waits for sound or a key: about one block of sound."""
ALARM_S = 4.0
"""How long the last words of all may take."""
ALARM = message("device-nothing-heard")
HEARD_S = 1.5
"""What begins so soon after the call that brought a question was begun before that was heard."""
SHOWN_S = 1 / 8
"""How often the screen is shown what else changed, such as levels."""
UNAGREED = message("device-unagreed")
REPEAT, WHO = "repeat", "who"
"""Names of the commands that ask what was read back last, and whose turn it is."""


@dataclass(frozen=True, slots=True)
class Settings:
    """How the crew wants it."""

    verbosity: Verbosity = Verbosity.ALL
    is_headset: bool = False
    """The read-back is heard by the ear alone, so that the microphones need not be deaf."""
    is_blind: bool = False
    """Nobody hears or sees a number of a pull before take and check are complete."""


class FieldLoop:
    """Runs a crew's devices.

    Args:
        make_crew: makes the crew.
        grammar: whose words are spoken and shown.
        settings: how the crew wants it.
        microphone: where sound comes from; None without one.
        microphone_names: names of its channels, for the screen.
        keypads: each with the role of the one who types on it, in the take.
        speaker: says what the crew hears; None for silence.
        screen: shows the job.
        phones: the chief's page; None without it.
        set_aside: names the voices that somebody was said to have and does not sound like.
        clock: the monotonic clock of all devices [s].
    """

    def __init__(
        self,
        make_crew: MakeCrew,
        *,
        grammar: Grammar,
        settings: Settings,
        microphone: SoundSource | None,
        microphone_names: Sequence[str] = (),
        keypads: Sequence[tuple[KeySource, Role]] = (),
        speaker: Speaker | None,
        screen: Screen,
        phones: Phones | None = None,
        set_aside: Callable[[], Sequence[str]] = tuple,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._grammar = grammar
        self._settings = settings
        self._microphone = microphone
        self._speaker = speaker
        self._screen = screen
        self._phones = phones
        self._set_aside = set_aside
        self._aside: set[str] = set()
        """Voices whose setting aside was told."""
        self._clock = clock
        self._reading = Reading(self._sound, clock)
        self._notices = Notices(grammar, settings.verbosity, self._sound, clock)
        self._last = Saying(None, "")
        self._asked: set[str] = set()
        """Codes of the questions that were put at length since the crew began."""
        self._unanswered: tuple[str, ...] = ()
        """Codes of the questions that were put while it is asked who holds the whole mark."""
        self._put_s = 0.0
        """When the call ended that brought the last of them [s]."""
        self._shown_s = 0.0
        self._keys: Mapping[str, str] = (
            {row.name: row.short for row in ROWS if row.is_command} if keypads else {}
        )
        self._crew = make_crew(self._told, self._measure, self._unkept)
        self._microphones = Microphones(
            self._crew,
            microphone_names,
            notices=self._notices,
            speaker=None if settings.is_headset else speaker,
            say=self._sound,
            clock=clock,
        )
        if isinstance(microphone, KeepsSound):
            self._crew.late = self._microphones.late_of(microphone)
        self._safety = Safety(
            self._crew.job,
            grammar,
            settings.verbosity,
            say=self._sound,
            show=self._notices.show,
            clock=clock,
        )
        self._typing = Typing(
            keypads,
            self._crew,
            microphones=self._microphones,
            notices=self._notices,
            safety=self._safety,
            speaker=speaker,
            phones=phones,
            say=self._sound,
            say_again=self._say_again,
            show=self._show,
        )
        self._reminder = Reminder(self._crew.job, grammar, settings.verbosity, clock)
        self._chief = None
        if phones is not None:
            self._chief = Chief(self._crew, phones.guest, self._decided, grammar.words)
        self._show()

    @property
    def crew(self) -> LiveCrew:
        """The crew."""
        return self._crew

    @property
    def safety(self) -> Safety:
        """What follows the disk."""
        return self._safety

    def turn(self) -> None:
        """Take what the devices have for a moment, waiting for it not longer than `TURN_S`."""
        if self._microphone is not None:
            event = self._microphone.read(TURN_S)
            if event is not None:
                self._microphones.hear(event)
        waits = self._microphone is None
        has_keys = self._typing.read(TURN_S if waits else 0.0)
        if waits and not has_keys:
            time.sleep(TURN_S)
        self._crew.work()
        self._tell_set_aside()
        self._typing.take_pressed()
        if self._speaker is not None:
            self._reading.follow(self._crew.speaks_s, self._speaker.give_way)
        self._microphones.tell_overflows()
        self._follow_phones()
        if self._speaker is not None and (fault := self._speaker.fault()):
            self._crew.job.note("output_lost", {"reason": fault})
            self._notices.show(as_told(fault))
        self._follow_disk()
        self._remind_in_time()
        if self._clock() - self._shown_s >= SHOWN_S:
            self._show()

    def greet(
        self,
        caution: Message,
        *,
        is_gone_on_with: bool,
        reads: Message | None = None,
        doubts: Sequence[Message] = (),
    ) -> None:
        """Show the caution, whether sound is kept, and where work that is gone on with stands.

        Args:
            caution: what to take care of.
            is_gone_on_with: whether the job was worked on before.
            reads: how the tape reads, shown, and said in few words; None where that is known.
            doubts: what is unlikely in the tapes' certificates.
        """
        self._notices.show(caution)
        for doubt in doubts:
            self._notices.show(doubt)
        if reads is not None:
            self._notices.show(reads)
            aloud = message("tape-reads-aloud", **reads.facts)
            self._last = self._notices.worded(Tone.HEARD, aloud)
            self._sound(self._last)
        if self._crew.unagreed:
            self._notices.show(UNAGREED)
        if is_gone_on_with:
            calls = len(self._crew.job.replay.calls)
            stands = status(self._crew.job.state)
            self._notices.show(message("device-gone-on-with", status=stands, calls=calls))
            self._last = self._notices.worded(Tone.HEARD, stands)
            self._sound(self._last)
        self._sound(self._reminder.say())
        self._show()

    def finish(self, timeout_s: float) -> None:
        """Take what is in the air at the end."""
        self._crew.finish(timeout_s)
        self._typing.take_pressed()
        self._microphones.tell_overflows(waited_s=0.0)
        self._follow_disk()
        self._show()

    def alarm(self) -> None:
        """Tell the crew, who may not be looking, that the work has ended by itself."""
        if self._speaker is None:
            return
        self._speaker.stop()
        self._speaker.say(self._notices.worded(Tone.STOP, ALARM))
        until_s = self._clock() + ALARM_S
        while not self._speaker.is_idle and self._clock() < until_s:
            time.sleep(TURN_S)

    def _tell_set_aside(self) -> None:
        """Tell once of each voice that somebody was said to have and does not sound like."""
        for name in self._set_aside():
            if name not in self._aside:
                self._aside.add(name)
                self._notices.show(message("voices-set-aside", name=name))

    def _follow_phones(self) -> None:
        """Take what the chief orders on a phone, at once: it names what it was given on."""
        if self._phones is None or self._chief is None:
            return
        for each in self._phones.read():
            if isinstance(each, Message):
                self._notices.show(each)
                self._show()
            elif isinstance(each, Aloud):
                self._notices.show(each.told)
                self._sound(replace(self._notices.worded(Tone.WARN, each.told), ear=each.ear))
                self._show()
            else:
                self._phones.answer(each, self._chief.take(each, self._microphones.now_s))

    def _follow_disk(self) -> None:
        """Say what waited for the disk."""
        for saying in self._safety.follow():
            self._give(saying)

    def _give(
        self,
        saying: Saying,
        call: Call | None = None,
        follows: Sequence[Consequence] = (),
        *,
        may_go_on: bool = False,
    ) -> None:
        """Tell the crew what followed from a call, as soon as all of it is on disk."""
        if self._safety.is_safe:
            said = self._reading.give(
                saying,
                call,
                follows,
                self._crew.job.state,
                speaks_s=self._crew.speaks_s,
                may_go_on=may_go_on,
            )
            if not said.is_silent:
                self._last = said
        else:
            self._safety.hold(saying)
        self._show()

    def _say_again(self, ear: Role) -> None:
        """Say the last thing again, at length, as soon as all of it is on disk."""
        if self._safety.is_safe:
            self._reading.drop()
            self._sound(replace(self._last.whole, ear=ear))
        else:
            self._safety.remind()
        self._show()

    def _decided(self, decision: Decision, consequences: tuple[Consequence, ...]) -> None:
        """Tell the crew what the chief decided on a phone."""
        if any(isinstance(each, Segment) for each in consequences):
            self._crew.cross(self._microphones.now_s)
        saying = self._answer(None, consequences)
        if decision.choice is Choice.AGAIN:
            saying = self._notices.worded(Tone.HEARD, as_told(self._grammar.commands["again"][0]))
        self._give(saying, None, consequences)

    def _told(self, told: Told) -> None:
        if told.call.kind is Kind.COMMAND and told.call.name == REPEAT:
            self._say_again(Role.UNSAID)
            return
        replay, is_loud = self._crew.job.replay, self._microphones.is_as_loud_as_calls
        if is_missed(told, self._crew.job.state, replay.calls, is_loud):
            self._sound(Saying(Tone.ERROR, ""))
        saying = self._answer(told.call, told.consequences)
        if told.call.kind is Kind.COMMAND and told.call.name == WHO:
            saying = self._notices.worded(Tone.HEARD, whose_turn(self._crew.job.state))
        if told.changed is not None:
            tone = Tone.HEARD if told.changed.is_done else Tone.QUESTION
            saying = self._notices.worded(tone, told.changed.told)
            if not told.changed.is_done:
                self._notices.show(told.changed.told)
            self._give(saying)
        else:
            self._give(saying, told.call, told.consequences, may_go_on=told.may_go_on)
        if told.changed is not None and told.changed.is_done and self._safety.is_safe:
            self._sound(self._reminder.say())

    def _answer(self, call: Call | None, consequences: tuple[Consequence, ...]) -> Saying:
        """Say what became of a call; in a blind check only what may be known of it."""
        settings, job = self._settings, self._crew.job
        is_told = not settings.is_blind or job.state.phase is Phase.STOPPED
        saying = answer(
            self._grammar,
            call,
            consequences,
            verbosity=settings.verbosity,
            calls=job.replay.calls if is_told else (),
            asked=self._asked,
            unanswered=self._unanswered,
            opens=0 if call is None else opens_with(job.state, call),
        )
        codes = [each.asks.code for each in consequences if isinstance(each, Question)]
        self._asked.update(codes)
        self._count(call, codes)
        if not settings.is_blind:
            return saying
        return blinded(self._grammar, saying, call, consequences)

    def _count(self, call: Call | None, codes: Sequence[str]) -> None:
        """Count questions put while one stands, but those of calls that crossed it in the air."""
        if self._crew.job.state.waiting is None:
            self._unanswered = ()
        elif not self._unanswered or (call and call.start_s >= self._put_s + HEARD_S):
            self._unanswered = (*self._unanswered, *codes)
            self._put_s = call.end_s if call and codes else self._put_s

    def _measure(self, window: Samples, speech: tuple[bool, ...]) -> None:
        self._microphones.measure(window, speech)

    def _unkept(self, error: AudioError) -> None:
        self._crew.job.note("clip_lost", {"reason": str(error)})
        self._notices.show(as_told(str(error)))
        self._notices.warn("clip", message("device-no-sound-kept"))

    def _remind_in_time(self) -> None:
        """Tell what runs on when it is due, and nobody speaks."""
        is_spoken = self._crew.awaits_speech(self._microphones.now_s)
        is_quiet = self._crew.is_idle and not is_spoken and self._typing.is_idle
        if self._reminder.is_due and is_quiet and self._safety.is_safe:
            self._sound(self._reminder.say())

    def _sound(self, saying: Saying) -> None:
        if self._speaker is not None:
            self._speaker.say(saying)

    def _show(self) -> None:
        self._shown_s = self._clock()
        view, phones = self._view(), self._phones
        self._screen.show(view)
        if phones is None:
            return
        told = say_view(view, self._grammar.words)
        phones.show_crew(told)
        if self._safety.is_safe:
            phones.show(told, self._crew.job.replay)
        else:
            phones.withhold(told)

    def _view(self) -> View:
        """See the job as it may be shown."""
        phones = self._phones
        view = view_of(
            self._crew.job.replay,
            self._grammar.commands,
            self._keys,
            microphones=self._microphones.levels(),
            typed=self._typing.typed,
            notices=self._notices.standing,
            phones="" if phones is None else phones.words,
            invitation=() if phones is None else phones.invitation,
            is_live=True,
        )
        if self._settings.is_blind:
            view = blind(view, self._crew.job.replay)
        return self._safety.veil(view)
