"""Devices' events in, the crew's calls taken, read-back and screen out, one turn at a time; shell.

What befalls a device is journalled, told to the crew and gone on from; nothing of it ends the
loop. The order of one turn: sound, keys, answers of the recogniser, screen.
"""

from __future__ import annotations

import math
import time
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from calllog.audio.echo import Canceller, Sender
from calllog.audio.endpoint import Samples
from calllog.audio.events import Event, Gap, Lost, Overflow, Returned, Sound
from calllog.audio.meter import Meter, Trouble, Warned
from calllog.audio.own_voice import OwnVoice
from calllog.audio.source import RATE_HZ
from calllog.errors import AudioError
from calllog.keypad import (
    OTHER,
    ROWS,
    Cleared,
    KeyedEntry,
    KeySource,
    Link,
    Mistyped,
    Refused,
    Repeat,
    Result,
    Ticked,
    press,
)
from calllog.live.chief import Chief
from calllog.live.devices import KeepsSound, MakeCrew, Phones, Screen, SoundSource, Speaker
from calllog.live.reading import Reading
from calllog.live.reminder import Reminder
from calllog.live.safety import Safety
from calllog.pairing import Phase, status, whose_turn
from calllog.panel import MicrophoneState as MicrophoneView
from calllog.panel import View, view_of
from calllog.panel.blind import blind
from calllog.phone.crew import SAY_AGAIN
from calllog.phone.crew_desk import Aloud
from calllog.readback import Notice, Saying, Tone, Verbosity, answer, notice, say_text
from calllog.readback.blind import blinded
from calllog.session import Told
from calllog.session.live import SAID_UNDER, LiveCrew
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
    message,
)
from calllog.wording import ENGLISH, Words

TURN_S = 0.03
"""How long one turn waits for sound or a key: about one block of sound."""
GAP_S = 0.1
"""Sound that comes later than its place by more than this has a gap before it."""
FOUND_S = 0.6
"""How long after it sound may be found to be missing."""
WAITED_S = 1.5
"""What is typed waits no longer for what was being said before it."""
AGAIN_S = 10.0
"""What befalls devices is told no oftener than this: a loose plug must not talk all day."""
ALARM_S = 4.0
"""How long the last words of all may take."""
ALARM = message("device-nothing-heard")
SHOWN_S = 1 / 8
"""How often the screen is shown what else changed, such as levels."""
UNAGREED = message("device-unagreed")
NOTICES = 3
"""How many notices are shown at once, the newest last."""
NOTICE_S = 20.0
"""How long a notice is shown."""
TERMINAL = "terminal"
"""Name of the keys that are the logger's own (see `calllog.keypad.terminal`)."""
LINGERS_S = 0.2
"""How long words may take to arrive at a microphone, their echo with them."""
REPEAT, WHO = "repeat", "who"
"""Names of the commands that ask what was read back last, and whose turn it is."""
LEVEL_FLOOR_DBFS = -90.0
SPOKEN = {
    Trouble.CLIPPING: Notice.TOO_LOUD,
    Trouble.LOUD: Notice.TOO_LOUD,
    Trouble.FAINT: Notice.TOO_FAR,
    Trouble.NOISY: Notice.TOO_NOISY,
}
"""Warnings that have words of their own to be spoken; the others are spoken as they stand."""


@dataclass(frozen=True, slots=True)
class Settings:
    """How the crew wants it."""

    verbosity: Verbosity = Verbosity.ALL
    is_headset: bool = False
    """The read-back is heard by the ear alone, so that the microphones need not be deaf."""
    is_blind: bool = False
    """Nobody hears or sees a number of a pull before take and check are complete."""


@dataclass(slots=True)
class _Pad:
    """One keypad, whose it is, and what is being typed on it."""

    source: KeySource
    role: Role
    typed: str = ""
    is_spoilt: bool = False


@dataclass(frozen=True, slots=True)
class _Pressed:
    """A key that waits until what was being said before it is taken."""

    pad: _Pad
    typed: str
    """What was typed before it."""
    key: str
    at_s: float


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
        self._names = tuple(microphone_names)
        self._pads = [_Pad(source, role) for source, role in keypads]
        self._speaker = speaker
        self._screen = screen
        self._phones = phones
        self._set_aside = set_aside
        self._aside: set[str] = set()
        """Voices whose setting aside was told."""
        self._clock = clock
        self._meter = Meter(len(self._names)) if self._names else None
        self._own = OwnVoice(len(self._names))
        self._echo = Canceller(len(self._names))
        self._sender = Sender(self._echo)
        self._is_out = False
        """The program itself is out in the sound that is taken in."""
        self._tone = 0.0
        """Power of a tone that may arrive in it."""
        self._reading = Reading(self._sound, clock)
        self._warned: dict[tuple[int, Trouble], None] = {}
        """What each channel was warned of, in that order."""
        self._notices: deque[tuple[float, Message]] = deque(maxlen=NOTICES)
        self._last = Saying(None, "")
        self._asked: set[str] = set()
        """Codes of the questions that were put at length since the crew began."""
        self._begun_s = clock()
        self._shown_s = 0.0
        self._keys: Mapping[str, str] = (
            {row.name: row.short for row in ROWS if row.is_command} if self._pads else {}
        )
        self._lost: set[str] = set()
        self._is_missing: tuple[bool, ...] = ()
        """Of each channel, whether zeros stood in for some of its sound in the last block."""
        self._pressed: deque[_Pressed] = deque()
        self._overflows: dict[str, list[int]] = {}
        """Frames lost of each microphone since that was told."""
        self._said_s: dict[str, float] = {}
        """When each thing about devices was said last [s]."""
        self._crew = make_crew(self._told, self._measure, self._unkept)
        if isinstance(microphone, KeepsSound):
            self._crew.late = self._late_of(microphone)
        self._safety = Safety(
            self._crew.job,
            grammar,
            settings.verbosity,
            say=self._sound,
            show=self._notice,
            clock=clock,
        )
        self._reminder = Reminder(self._crew.job, grammar, settings.verbosity, clock)
        self._chief = None if phones is None else Chief(self._crew, phones.guest, self._decided)
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
                self._hear(event)
        is_paced = self._microphone is not None
        for pad in self._pads:
            key = pad.source.read(0.0 if is_paced else TURN_S)
            is_paced = True
            while key is not None:
                self._press(pad, key)
                key = pad.source.read(0.0)
        if not is_paced:
            time.sleep(TURN_S)
        self._crew.work()
        self._tell_set_aside()
        self._take_pressed()
        if self._speaker is not None:
            self._reading.follow(self._crew.speaks_s, self._speaker.give_way)
        self._tell_overflows()
        self._follow_phones()
        if self._speaker is not None and (fault := self._speaker.fault()):
            self._journal("output_lost", {"reason": fault})
            self._notice(_as_told(fault))
        self._follow_disk()
        self._remind_in_time()
        if self._clock() - self._shown_s >= SHOWN_S:
            self._show()

    def greet(
        self, caution: Message, *, is_gone_on_with: bool, reads: Message | None = None
    ) -> None:
        """Show the caution, whether sound is kept, and where work that is gone on with stands.

        Args:
            caution: what to take care of.
            is_gone_on_with: whether the job was worked on before.
            reads: how the tape reads, shown and said; None where that is known.
        """
        self._notice(caution)
        if reads is not None:
            self._notice(reads)
            self._last = self._worded(Tone.HEARD, reads)
            self._sound(self._last)
        if self._crew.unagreed:
            self._notice(UNAGREED)
        if is_gone_on_with:
            calls = len(self._crew.job.replay.calls)
            stands = status(self._crew.job.state)
            self._notice(message("device-gone-on-with", status=stands, calls=calls))
            self._last = self._worded(Tone.HEARD, stands)
            self._sound(self._last)
        self._sound(self._reminder.say())
        self._show()

    def finish(self, timeout_s: float) -> None:
        """Take what is in the air at the end."""
        self._crew.finish(timeout_s)
        self._take_pressed()
        self._tell_overflows(waited_s=0.0)
        self._follow_disk()
        self._show()

    def alarm(self) -> None:
        """Tell the crew, who may not be looking, that the work has ended by itself."""
        if self._speaker is None:
            return
        self._speaker.stop()
        self._speaker.say(self._worded(Tone.STOP, ALARM))
        until_s = self._clock() + ALARM_S
        while not self._speaker.is_idle and self._clock() < until_s:
            time.sleep(TURN_S)

    def _hear(self, event: Event) -> None:
        match event:
            case Sound(samples=samples, begin_s=begin_s, is_missing=is_missing):
                self._keep_time(begin_s)
                samples = self._without_echo(samples, begin_s)
                self._is_missing = is_missing
                is_deaf = self._deafness(samples, begin_s)
                is_shut = self._own.is_shut if is_deaf else ()
                self._crew.hear(samples, is_deaf=is_deaf, is_shut=is_shut, is_missing=is_missing)
            case Gap(name=name, frames=frames):
                self._overflows.setdefault(name, []).append(frames)
            case Overflow(name=name, frames=frames):
                self._overflows.setdefault(name, []).append(frames or 0)
                self._echo.breaks()
                self._crew.miss((frames or 1) / RATE_HZ, doubtful_s=FOUND_S)
            case Lost(name=name, at_s=at_s, reason=reason, is_filled=is_filled):
                self._echo.breaks()
                self._journal("microphone_lost", {"name": name, "reason": reason})
                if not is_filled:
                    self._lost.add(name)
                    heard_until_s = self._begun_s + self._crew.heard_s
                    self._crew.miss(GAP_S, doubtful_s=max(0.0, heard_until_s - at_s))
                self._say(Notice.MICROPHONE_LOST)
                self._notice(message("device-microphone-lost-by-name", name=name, reason=reason))
            case Returned(name=name, gap_s=gap_s):
                # a default microphone may come back as another one
                self._lost = self._lost - {name} if name in self._lost else set()
                self._journal("microphone_back", {"name": name, "gap_s": round(gap_s, 3)})
                self._say(Notice.MICROPHONE_BACK)
                back = message("device-microphone-back-by-name", name=name, seconds=round(gap_s))
                self._notice(back)

    def _without_echo(self, samples: Samples, begin_s: float) -> Samples:
        """Take the program's own sound out of what was heard."""
        if self._speaker is None or self._settings.is_headset:
            return samples
        for left in self._speaker.left():
            self._sender.send(left)
        was_found = self._echo.is_found
        cleaned = self._echo.cleans(samples, begin_s)
        if was_found and not self._echo.is_found:
            self._own.forget()
        return cleaned

    def _deafness(self, samples: Samples, begin_s: float) -> tuple[bool, ...]:
        """Tell in which microphones the program's own words hide the crew; none without words."""
        speaker, end_s = self._speaker, begin_s + len(samples) / RATE_HZ
        if speaker is None or self._settings.is_headset:
            return ()
        out = speaker.loudness(begin_s - LINGERS_S, end_s)
        are_words = speaker.was_out(begin_s, end_s)
        self._is_out = are_words or out > 0.0
        self._tone = 0.0 if are_words else out
        return self._own.hides(samples, out) if are_words else ()

    def _late_of(self, source: KeepsSound) -> Callable[[int, float, float], Samples]:
        """Make what gives a source's sound by the crew's time."""

        def late(channel: int, begin_s: float, end_s: float) -> Samples:
            return source.sound(channel, self._begun_s + begin_s, self._begun_s + end_s)

        return late

    def _keep_time(self, begin_s: float) -> None:
        """Keep the crew's clock with the world's: stand silence in for sound that is missing."""
        if not self._crew.heard_s:
            self._begun_s = begin_s
        gap_s = begin_s - (self._begun_s + self._crew.heard_s)
        if gap_s > GAP_S:
            self._echo.breaks()
            self._crew.miss(gap_s)
        elif gap_s < -GAP_S:
            self._begun_s += gap_s  # more silence stood in than was missing

    def _tell_overflows(self, waited_s: float = AGAIN_S) -> None:
        """Tell that sound was lost, all that was in a while at once."""
        if not self._overflows or not self._is_due(Notice.SOUND_LOST, waited_s):
            return
        for name, frames in self._overflows.items():
            self._journal(
                "sound_lost", {"name": name, "times": len(frames), "frames": sum(frames) or None}
            )
            self._notice(message("device-sound-lost", name=name))
        self._overflows.clear()
        self._sound(self._noticed(Notice.SOUND_LOST))

    def _tell_set_aside(self) -> None:
        """Tell once of each voice that somebody was said to have and does not sound like."""
        for name in self._set_aside():
            if name not in self._aside:
                self._aside.add(name)
                self._notice(message("voices-set-aside", name=name))

    def _follow_phones(self) -> None:
        """Take what the chief orders on a phone, at once: it names what it was given on."""
        if self._phones is None or self._chief is None:
            return
        for each in self._phones.read():
            if isinstance(each, Message):
                self._notice(each)
                self._show()
            elif isinstance(each, Aloud):
                self._notice(each.told)
                self._sound(replace(self._worded(Tone.WARN, each.told), ear=each.ear))
                self._show()
            else:
                at_s = self._clock() - self._begun_s
                self._phones.answer(each, self._chief.take(each, at_s))

    def _follow_disk(self) -> None:
        """Say what waited for the disk."""
        for saying in self._safety.follow():
            self._give(saying)

    def _give(
        self, saying: Saying, call: Call | None = None, follows: Sequence[Consequence] = ()
    ) -> None:
        """Tell the crew what followed from a call, as soon as all of it is on disk."""
        if self._safety.is_safe:
            said = self._reading.give(
                saying, call, follows, self._crew.job.state, speaks_s=self._crew.speaks_s
            )
            if not said.is_silent:
                self._last = said
        else:
            self._safety.hold(saying)
        self._show()

    def _say_again(self, ear: Role = Role.UNSAID) -> None:
        """Say the last thing again, at length, as soon as all of it is on disk."""
        if self._safety.is_safe:
            self._reading.drop()
            self._sound(replace(self._last.whole, ear=ear))
        else:
            self._safety.remind()
        self._show()

    def _decided(self, decision: Decision, consequences: tuple[Consequence, ...]) -> None:
        """Tell the crew what the chief decided on a phone."""
        saying = self._answer(None, consequences)
        if decision.choice is Choice.AGAIN:
            saying = self._worded(Tone.HEARD, _as_told(self._grammar.commands["again"][0]))
        self._give(saying, None, consequences)

    def _press(self, pad: _Pad, key: str | Link) -> None:
        if isinstance(key, Link):
            self._befall(pad, key)
            return
        if self._phones is not None and pad.source.name == TERMINAL and self._phones.press(key):
            self._show()
            return
        if self._speaker is not None:
            self._speaker.stop()
        if key == SAY_AGAIN:
            self._say_again(pad.role)
            return
        at_s = self._clock() - self._begun_s
        typed = pad.typed
        pad.typed, result = self._pressing(pad, typed, key)
        if isinstance(result, KeyedEntry | Refused) and (self._pressed or self._must_wait(at_s)):
            self._pressed.append(_Pressed(pad, typed, key, at_s))
            self._sound(Saying(Tone.TICK, ""))
            self._show()
            return
        self._typed(pad, result, at_s)

    def _pressing(self, pad: _Pad, typed: str, key: str) -> tuple[str, Result]:
        """Tell what a key makes now."""
        settings = self._crew.job.state.settings
        return press(typed, key, self._crew.expects(pad.role), settings.limit, settings.unit)

    def _take_pressed(self) -> None:
        """Take what was typed once that is taken which was being said before it."""
        while self._pressed:
            pressed = self._pressed[0]
            if self._must_wait(pressed.at_s):
                return
            self._pressed.popleft()
            _, result = self._pressing(pressed.pad, pressed.typed, pressed.key)
            self._typed(pressed.pad, result, pressed.at_s)

    def _must_wait(self, at_s: float) -> bool:
        """Tell whether what was being said before a key is to be taken first."""
        waited_s = self._clock() - self._begun_s - at_s
        # a lost microphone does not tell how the call in the air ends
        return waited_s < WAITED_S and not self._lost and self._crew.awaits_speech(at_s)

    def _befall(self, pad: _Pad, link: Link) -> None:
        """Tell what happened to a keypad; what was half typed on it is spoilt."""
        self._journal(f"keypad_{link.value}", {"name": pad.source.name})
        name = pad.source.name
        self._notice(message("device-keypad-by-name", name=name, link=link.value))
        if self._is_due(f"keypad {link.value}", AGAIN_S):
            self._sound(self._worded(Tone.WARN, message("device-keypad", link=link.value)))
        if link is Link.LOST and pad.typed:
            pad.typed, _ = self._pressing(pad, pad.typed, OTHER)
            pad.is_spoilt = True
        self._show()

    def _typed(self, pad: _Pad, result: Result, at_s: float) -> None:
        was_spoilt, pad.is_spoilt = pad.is_spoilt, isinstance(result, Mistyped)
        match result:
            case Ticked():
                self._sound(Saying(Tone.TICK, ""))
            case Cleared():
                self._sound(Saying(Tone.CLEARED, ""))
            case Mistyped(reason=reason):
                self._sound(Saying(Tone.ERROR, ""))
                if not was_spoilt:
                    self._ask(reason)
            case Refused(reason=reason):
                self._ask(reason)
            case Repeat():
                if not self._crew.awaits_typed_remark(at_s) or not self._safety.is_safe:
                    self._say_again()
            case KeyedEntry():
                self._crew.type(result, at_s, pad.role)
        self._show()

    def _told(self, told: Told) -> None:
        if told.call.kind is Kind.COMMAND and told.call.name == REPEAT:
            self._say_again()
            return
        saying = self._answer(told.call, told.consequences)
        if told.call.kind is Kind.COMMAND and told.call.name == WHO:
            saying = self._worded(Tone.HEARD, whose_turn(self._crew.job.state))
        if told.changed is not None:
            tone = Tone.HEARD if told.changed.is_done else Tone.QUESTION
            saying = self._worded(tone, told.changed.told)
            if not told.changed.is_done:
                self._notice(told.changed.told)
            self._give(saying)
        else:
            self._give(saying, told.call, told.consequences)
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
        )
        self._asked.update(each.asks.code for each in consequences if isinstance(each, Question))
        if not settings.is_blind:
            return saying
        return blinded(self._grammar, saying, call, consequences)

    def _measure(self, window: Samples, speech: tuple[bool, ...]) -> None:
        if self._tone and not self._lost:
            self._own.arrives(window, self._tone, speech)
        if not self._is_out and not self._lost:
            self._own.learn(window, speech)
            if self._own.spoken_over() and not self._crew.speaks_s:
                self._ask(message(SAID_UNDER))
        if self._meter is None or self._lost:
            return
        for warned in self._meter.hear(window, speech):
            if not any(self._is_missing[warned.channel : warned.channel + 1]):
                self._warn(warned)

    def _warn(self, warned: Warned) -> None:
        self._warned[warned.channel, warned.trouble] = None
        trouble = message("device-trouble", trouble=warned.trouble.value)
        self._journal(
            "sound_warning",
            {
                "name": self._names[warned.channel],
                "trouble": warned.trouble.value,
                "measured": round(warned.measured, 3),
            },
        )
        self._notice(
            message(
                "device-troubled",
                name=message("crew-role", role=self._names[warned.channel]),
                trouble=trouble,
                next=message("device-trouble-next", trouble=warned.trouble.value),
            )
        )
        if (spoken := SPOKEN.get(warned.trouble)) is not None:
            self._say(spoken)
        else:
            self._sound(self._worded(Tone.WARN, trouble))

    def _unkept(self, error: AudioError) -> None:
        self._journal("clip_lost", {"reason": str(error)})
        self._notice(_as_told(str(error)))
        if self._is_due("clip", AGAIN_S):
            self._sound(self._worded(Tone.WARN, message("device-no-sound-kept")))

    def _remind_in_time(self) -> None:
        """Tell what runs on when it is due, and nobody speaks."""
        at_s = self._clock() - self._begun_s
        is_quiet = self._crew.is_idle and not self._crew.awaits_speech(at_s) and not self._pressed
        if self._reminder.is_due and is_quiet and self._safety.is_safe:
            self._sound(self._reminder.say())

    def _ask(self, reason: Message) -> None:
        self._sound(self._worded(Tone.QUESTION, reason))
        self._notice(reason)

    def _worded(self, tone: Tone, told: Message) -> Saying:
        is_spoken = self._settings.verbosity is not Verbosity.TONES
        words = self._grammar.words.say(told)
        return Saying(tone, say_text(self._grammar, words) if is_spoken else "")

    def _noticed(self, what: Notice) -> Saying:
        return notice(self._grammar, what, verbosity=self._settings.verbosity)

    def _say(self, what: Notice) -> None:
        if self._is_due(what, AGAIN_S):
            self._sound(self._noticed(what))
            if what is Notice.MICROPHONE_BACK:
                self._said_s.pop(Notice.MICROPHONE_LOST, None)

    def _is_due(self, what: str, waited_s: float) -> bool:
        """Tell whether something was not said for a while, and count it as said now if so."""
        now_s = self._clock()
        if now_s - self._said_s.get(what, -math.inf) < waited_s:
            return False
        self._said_s[what] = now_s
        return True

    def _sound(self, saying: Saying) -> None:
        if self._speaker is not None:
            self._speaker.say(saying)

    def _journal(self, kind: str, content: dict[str, str | int | float | None]) -> None:
        self._crew.job.note(kind, dict(content))

    def _notice(self, told: Message) -> None:
        self._notices.append((self._clock(), told))

    def _show(self) -> None:
        now_s = self._shown_s = self._clock()
        while self._notices and now_s - self._notices[0][0] > NOTICE_S:
            self._notices.popleft()
        words, phones = self._grammar.words, self._phones
        view = self._view(words)
        self._screen.show(view)
        if phones is None:
            return
        phones.show_crew(view)
        if words.language != ENGLISH.language:  # the chief's page speaks English
            view = self._view(ENGLISH)
        if self._safety.is_safe:
            phones.show(view, self._crew.job.replay)
        else:
            phones.withhold(view)

    def _view(self, words: Words) -> View:
        """See the job as it may be shown, in a language."""
        phones = self._phones
        view = view_of(
            self._crew.job.replay,
            self._grammar.commands,
            self._keys,
            microphones=tuple(self._level(each, words) for each in range(len(self._names))),
            typed="  ".join(pad.typed for pad in self._pads if pad.typed),
            notices=tuple(words.say(told) for _, told in self._notices),
            words=words,
            phones="" if phones is None else phones.words,
            invitation=() if phones is None else phones.invitation,
            is_live=True,
        )
        if self._settings.is_blind:
            view = blind(view, self._crew.job.replay, words)
        return self._safety.veil(view, words)

    def _level(self, channel: int, words: Words) -> MicrophoneView:
        if self._meter is None:
            wrong = "a channel without a meter"
            raise RuntimeError(wrong)
        levels = self._meter.levels(channel)
        return MicrophoneView(
            name=words("crew-role", role=self._names[channel]),
            level_dbfs=max(levels.peak_dbfs, LEVEL_FLOOR_DBFS),
            noise_dbfs=LEVEL_FLOOR_DBFS if levels.noise_dbfs is None else levels.noise_dbfs,
            warning="; ".join(
                words("device-trouble", trouble=trouble.value)
                for of, trouble in self._warned
                if of == channel and trouble in self._meter.holding(channel)
            ),
        )


def _as_told(words: str) -> Message:
    """Take words that are told as they stand, such as an error's."""
    return message("as-told", words=words)
