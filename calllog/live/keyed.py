"""Keys in, the calls that they make out, each after what was being said before it; shell."""

from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from calllog.keypad import (
    OTHER,
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
    read_entry,
)
from calllog.live.devices import Phones, Speaker
from calllog.live.microphones import Microphones
from calllog.live.notices import Notices
from calllog.live.safety import Safety
from calllog.pairing import State, due, too_steep
from calllog.phone.crew import SAY_AGAIN
from calllog.readback import Saying, Tone
from calllog.session.live import LiveCrew
from calllog.values import Expectation, Kind, Role, message

WAITED_S = 1.5
"""What is typed waits no longer for what was being said before it."""
TERMINAL = "terminal"
"""Name of the keys that are the logger's own (see `calllog.keypad.terminal`)."""


PARTS = {Kind.WHOLE: Expectation.WHOLE, Kind.FRACTION: Expectation.FRACTION}
"""What is due where a number is to be one."""


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


class Typing:
    """Takes what is typed on keypads.

    Args:
        keypads: each with the role of the one who types on it, in the take.
        crew: whose job it is.
        microphones: what is being said meanwhile.
        notices: tells the crew what befalls a keypad.
        safety: whether all is on disk.
        speaker: falls silent at a key; None for silence.
        phones: whose keys on the terminal are theirs; None without them.
        say: lets the crew hear something.
        say_again: says the last thing again, in one ear or in all.
        show: shows what changed.
    """

    def __init__(
        self,
        keypads: Sequence[tuple[KeySource, Role]],
        crew: LiveCrew,
        *,
        microphones: Microphones,
        notices: Notices,
        safety: Safety,
        speaker: Speaker | None,
        phones: Phones | None,
        say: Callable[[Saying], None],
        say_again: Callable[[Role], None],
        show: Callable[[], None],
    ) -> None:
        self._pads = [_Pad(source, role) for source, role in keypads]
        self._crew = crew
        self._microphones = microphones
        self._notices = notices
        self._safety = safety
        self._speaker = speaker
        self._phones = phones
        self._say = say
        self._say_again = say_again
        self._show = show
        self._pressed: deque[_Pressed] = deque()

    @property
    def typed(self) -> str:
        """What is being typed, on all keypads."""
        return "  ".join(pad.typed for pad in self._pads if pad.typed)

    @property
    def is_idle(self) -> bool:
        """No key waits to be taken."""
        return not self._pressed

    def read(self, wait_s: float) -> bool:
        """Take the keys pressed, waiting for the first; False without a keypad to wait at."""
        for pad in self._pads:
            key = pad.source.read(wait_s)
            wait_s = 0.0
            while key is not None:
                self._press(pad, key)
                key = pad.source.read(0.0)
        return bool(self._pads)

    def take_pressed(self) -> None:
        """Take what was typed once that is taken which was being said before it."""
        while self._pressed:
            pressed = self._pressed[0]
            if self._must_wait(pressed.at_s):
                return
            self._pressed.popleft()
            _, result = self._pressing(pressed.pad, pressed.typed, pressed.key)
            self._typed(pressed.pad, result, pressed.at_s)

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
        at_s = self._microphones.now_s
        typed = pad.typed
        pad.typed, result = self._pressing(pad, typed, key)
        if isinstance(result, KeyedEntry | Refused) and (self._pressed or self._must_wait(at_s)):
            self._pressed.append(_Pressed(pad, typed, key, at_s))
            self._say(Saying(Tone.TICK, ""))
            self._show()
            return
        self._typed(pad, result, at_s)

    def _pressing(self, pad: _Pad, typed: str, key: str) -> tuple[str, Result]:
        """Tell what a key makes now."""
        state = self._crew.job.state
        settings, expected = state.settings, self._crew.expects(pad.role)
        after, made = press(typed, key, expected, settings.limit, settings.unit)
        if pad.role is Role.UNSAID and isinstance(made, KeyedEntry):
            made = _in_order(state, made)
        return after, made

    def _must_wait(self, at_s: float) -> bool:
        """Tell whether what was being said before a key is to be taken first."""
        waited_s = self._microphones.now_s - at_s
        # a lost microphone does not tell how the call in the air ends
        is_heard = not self._microphones.is_lost
        return waited_s < WAITED_S and is_heard and self._crew.awaits_speech(at_s)

    def _befall(self, pad: _Pad, link: Link) -> None:
        """Tell what happened to a keypad; what was half typed on it is spoilt."""
        name = pad.source.name
        self._crew.job.note(f"keypad_{link.value}", {"name": name})
        self._notices.show(message("device-keypad-by-name", name=name, link=link.value))
        self._notices.warn(f"keypad {link.value}", message("device-keypad", link=link.value))
        if link is Link.LOST and pad.typed:
            pad.typed, _ = self._pressing(pad, pad.typed, OTHER)
            pad.is_spoilt = True
        self._show()

    def _typed(self, pad: _Pad, result: Result, at_s: float) -> None:
        was_spoilt, pad.is_spoilt = pad.is_spoilt, isinstance(result, Mistyped)
        match result:
            case Ticked():
                self._say(Saying(Tone.TICK, ""))
            case Cleared():
                self._say(Saying(Tone.CLEARED, ""))
            case Mistyped(reason=reason):
                self._say(Saying(Tone.ERROR, ""))
                if not was_spoilt:
                    self._notices.ask(reason)
            case Refused(reason=reason):
                self._notices.ask(reason)
            case Repeat():
                if not self._crew.awaits_typed_remark(at_s) or not self._safety.is_safe:
                    self._say_again(Role.UNSAID)
            case KeyedEntry():
                self._crew.type(result, at_s, pad.role)
        self._show()


def _in_order(state: State, entry: KeyedEntry) -> KeyedEntry | Refused:
    """Refuse a number that only its digits make the part that is not due, or that none can be.

    With its point it is what it says.

    Args:
        state: where the pull stands.
        entry: what was typed by whom nobody knows.
    """
    settings, wanted = state.settings, due(state)
    if "." in entry.text or settings.unit.is_fine or wanted is Expectation.ANY:
        return entry
    if entry.kind is Kind.NUMBER and (why := too_steep(state, entry.value or 0)):
        return Refused(why)
    if PARTS.get(entry.kind or Kind.NOTE, wanted) is wanted:
        return entry
    strict = read_entry(entry.text, wanted, settings.limit, settings.unit)
    return strict if isinstance(strict, Refused) else entry
