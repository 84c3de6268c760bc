"""Devices' events in, the crew's calls taken, read-back and screen out, one turn at a time; shell.

What befalls a device is journalled, told to the crew and gone on from; nothing of it ends the
loop. The order of one turn: sound, keys, answers of the recogniser, screen.
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from calllog.audio.endpoint import Samples
from calllog.audio.events import Event, Lost, Overflow, Returned, Sound
from calllog.audio.meter import Meter, Trouble, Warned
from calllog.audio.source import RATE_HZ
from calllog.keypad import (
    OTHER,
    ROWS,
    Cleared,
    Entry,
    KeySource,
    Link,
    Mistyped,
    Refused,
    Repeat,
    Result,
    Ticked,
    press,
)
from calllog.pairing import status
from calllog.panel import Microphone as MicrophoneView
from calllog.panel import View, view_of
from calllog.readback import Notice, Saying, Tone, Verbosity, answer, notice, say_text
from calllog.session import Told
from calllog.session.live import LiveCrew
from calllog.spoken import Grammar
from calllog.values import Role

TURN_S = 0.03
"""How long one turn waits for sound or a key: about one block of sound."""
LONGEST_FILLED_S = 30.0
"""A longer gap of sound is stood in for by so much silence, and the clock set forward."""
GAP_S = 0.1
"""Sound that comes later than its place by more than this has a gap before it."""
SHOWN_S = 1 / 8
"""How often the screen is shown what else changed, such as levels."""
NOTICES = 3
"""How many notices are shown at once, the newest last."""
NOTICE_S = 20.0
"""How long a notice is shown."""
LEVEL_FLOOR_DBFS = -90.0
SPOKEN = {
    Trouble.CLIPPING: Notice.TOO_LOUD,
    Trouble.LOUD: Notice.TOO_LOUD,
    Trouble.FAINT: Notice.TOO_FAR,
    Trouble.NOISY: Notice.TOO_NOISY,
}
"""Warnings that have words of their own to be spoken; the others are spoken as they stand."""


class SoundSource(Protocol):
    """Where sound comes from (see `calllog.audio.microphone.Microphone`)."""

    def read(self, timeout_s: float) -> Event | None:
        """Return what came next, waiting for it if need be."""


class Speaker(Protocol):
    """What says sayings (see `calllog.readback.Player`)."""

    def say(self, saying: Saying) -> None:
        """Say something as soon as may be; never waits."""

    def stop(self) -> None:
        """Be silent at once."""

    def was_out(self, begin_s: float, end_s: float) -> bool:
        """Tell whether words came out at any moment of a stretch of the clock [s]."""

    def fault(self) -> str | None:
        """Tell once that the output was lost."""


class Screen(Protocol):
    """What shows views (see `calllog.panel.Panel`)."""

    def show(self, view: View) -> None:
        """Show a view."""


@dataclass(frozen=True, slots=True)
class Settings:
    """How the crew wants it."""

    verbosity: Verbosity = Verbosity.ALL
    is_headset: bool = False
    """The read-back is heard by the ear alone, so that the microphones need not be deaf."""


@dataclass(slots=True)
class _Pad:
    """One keypad, whose it is, and what is being typed on it."""

    source: KeySource
    role: Role
    typed: str = ""
    is_spoilt: bool = False


class FieldLoop:
    """Runs a crew's devices.

    Args:
        make_crew: makes the crew, given what it tells calls and windows to.
        grammar: whose words are spoken and shown.
        settings: how the crew wants it.
        microphone: where sound comes from; None without one.
        microphone_names: names of its channels, for the screen.
        keypads: each with the role of the one who types on it, in the take.
        speaker: says what the crew hears; None for silence.
        screen: shows the job.
        clock: the monotonic clock of all devices [s].
    """

    def __init__(
        self,
        make_crew: Callable[
            [Callable[[Told], None], Callable[[Samples, tuple[bool, ...]], None]], LiveCrew
        ],
        *,
        grammar: Grammar,
        settings: Settings,
        microphone: SoundSource | None,
        microphone_names: Sequence[str] = (),
        keypads: Sequence[tuple[KeySource, Role]] = (),
        speaker: Speaker | None,
        screen: Screen,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._grammar = grammar
        self._settings = settings
        self._microphone = microphone
        self._names = tuple(microphone_names)
        self._pads = [_Pad(source, role) for source, role in keypads]
        self._speaker = speaker
        self._screen = screen
        self._clock = clock
        self._meter = Meter(len(self._names)) if self._names else None
        self._warned: dict[int, str] = {}
        self._notices: deque[tuple[float, str]] = deque(maxlen=NOTICES)
        self._last = Saying(None, "")
        self._begun_s = clock()
        self._shown_s = 0.0
        self._keys: Mapping[str, str] = (
            {row.name: row.keys for row in ROWS if row.is_command} if self._pads else {}
        )
        self._lost: set[str] = set()
        self._crew = make_crew(self._told, self._measure)
        self._show()

    @property
    def crew(self) -> LiveCrew:
        """The crew."""
        return self._crew

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
        if self._speaker is not None and (fault := self._speaker.fault()):
            self._journal("output_lost", {"reason": fault})
            self._notice(fault)
        if self._clock() - self._shown_s >= SHOWN_S:
            self._show()

    def greet(self, caution: str, *, is_gone_on_with: bool) -> None:
        """Show the caution, and say where the work stands if it is gone on with."""
        self._notice(caution)
        if is_gone_on_with:
            calls = len(self._crew.job.replay.calls)
            words = status(self._crew.job.state)
            self._notice(f"gone on with: {words}; {calls} calls are in the job")
            self._sound(self._worded(Tone.HEARD, words))
        self._show()

    def finish(self, timeout_s: float) -> None:
        """Take what is in the air at the end."""
        self._crew.finish(timeout_s)
        self._show()

    def _hear(self, event: Event) -> None:
        match event:
            case Sound(samples=samples, begin_s=begin_s):
                self._fill_gap(begin_s)
                end_s = begin_s + len(samples) / RATE_HZ
                is_deaf = (
                    self._speaker is not None
                    and not self._settings.is_headset
                    and self._speaker.was_out(begin_s, end_s)
                )
                self._crew.hear(samples, is_deaf=is_deaf)
            case Overflow(name=name, frames=frames):
                self._journal("sound_lost", {"name": name, "frames": frames})
                self._crew.miss((frames or 1) / RATE_HZ)
                self._say(Notice.SOUND_LOST)
                self._notice(f"some sound of {name} was lost")
            case Lost(name=name, reason=reason):
                self._lost.add(name)
                self._journal("microphone_lost", {"name": name, "reason": reason})
                self._crew.miss(GAP_S)
                self._say(Notice.MICROPHONE_LOST)
                self._notice(f"microphone {name} lost: {reason}; it is looked for")
            case Returned(name=name, gap_s=gap_s):
                self._lost.discard(name)
                self._journal("microphone_back", {"name": name, "gap_s": round(gap_s, 3)})
                self._say(Notice.MICROPHONE_BACK)
                self._notice(f"microphone {name} is back after {gap_s:.0f} s")

    def _fill_gap(self, begin_s: float) -> None:
        """Keep the crew's clock with the world's: stand silence in for sound that is missing."""
        if not self._crew.heard_s:
            self._begun_s = begin_s
        gap_s = begin_s - (self._begun_s + self._crew.heard_s)
        if gap_s <= GAP_S:
            return
        filled_s = min(gap_s, LONGEST_FILLED_S)
        self._begun_s += gap_s - filled_s
        self._crew.miss(filled_s)

    def _press(self, pad: _Pad, key: str | Link) -> None:
        if isinstance(key, Link):
            self._journal(f"keypad_{key.value}", {"name": pad.source.name})
            self._notice(f"keypad {pad.source.name} {key.value}")
            if key is not Link.LOST or not pad.typed:
                return
            key = OTHER
        if self._speaker is not None:
            self._speaker.stop()
        limit = self._crew.job.state.settings.limit
        pad.typed, result = press(pad.typed, key, self._crew.expects(pad.role), limit)
        self._typed(pad, result)

    def _typed(self, pad: _Pad, result: Result) -> None:
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
                if not self._crew.awaits_typed_remark(self._clock() - self._begun_s):
                    self._sound(self._last)
            case Entry():
                self._crew.type(result, self._clock() - self._begun_s, pad.role)
        self._show()

    def _told(self, told: Told) -> None:
        saying = answer(
            self._grammar,
            told.call,
            told.consequences,
            verbosity=self._settings.verbosity,
            calls=self._crew.job.replay.calls,
        )
        if told.changed is not None:
            tone = Tone.HEARD if told.changed.is_done else Tone.QUESTION
            saying = self._worded(tone, told.changed.words)
            if not told.changed.is_done:
                self._notice(told.changed.words)
        if not saying.is_silent:
            self._last = saying
        self._sound(saying)
        self._show()

    def _measure(self, window: Samples, speech: tuple[bool, ...]) -> None:
        if self._meter is None or self._lost:
            return
        for warned in self._meter.hear(window, speech):
            self._warn(warned)

    def _warn(self, warned: Warned) -> None:
        words = f"{warned.words}; {warned.next_step}"
        self._warned[warned.channel] = warned.words
        self._journal(
            "sound_warning",
            {
                "name": self._names[warned.channel],
                "trouble": warned.trouble.value,
                "measured": round(warned.measured, 3),
            },
        )
        self._notice(f"{self._names[warned.channel]}: {words}")
        if (spoken := SPOKEN.get(warned.trouble)) is not None:
            self._say(spoken)
        else:
            self._sound(self._worded(Tone.WARN, warned.words))

    def _ask(self, reason: str) -> None:
        self._sound(self._worded(Tone.QUESTION, reason))
        self._notice(reason)

    def _worded(self, tone: Tone, words: str) -> Saying:
        is_spoken = self._settings.verbosity is not Verbosity.TONES
        return Saying(tone, say_text(self._grammar, words) if is_spoken else "")

    def _say(self, what: Notice) -> None:
        self._sound(notice(what, verbosity=self._settings.verbosity))

    def _sound(self, saying: Saying) -> None:
        if self._speaker is not None:
            self._speaker.say(saying)

    def _journal(self, kind: str, content: dict[str, str | int | float | None]) -> None:
        self._crew.job.note(kind, dict(content))

    def _notice(self, words: str) -> None:
        self._notices.append((self._clock(), words))

    def _show(self) -> None:
        now_s = self._shown_s = self._clock()
        while self._notices and now_s - self._notices[0][0] > NOTICE_S:
            self._notices.popleft()
        self._screen.show(
            view_of(
                self._crew.job.replay,
                self._grammar.commands,
                self._keys,
                microphones=tuple(map(self._level, range(len(self._names)))),
                typed="  ".join(pad.typed for pad in self._pads if pad.typed),
                notices=tuple(words for _, words in self._notices),
            )
        )

    def _level(self, channel: int) -> MicrophoneView:
        if self._meter is None:
            message = "a channel without a meter"
            raise RuntimeError(message)
        levels = self._meter.levels(channel)
        return MicrophoneView(
            name=self._names[channel],
            level_dbfs=max(levels.peak_dbfs, LEVEL_FLOOR_DBFS),
            noise_dbfs=LEVEL_FLOOR_DBFS if levels.noise_dbfs is None else levels.noise_dbfs,
            warning=self._warned.get(channel, ""),
        )
