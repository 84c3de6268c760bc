"""Phone: sayings in, what head's and rear's phones are to say, each its own, out; shell.

A phone speaks from the words that it keeps, so what goes to it is which ones, a few hundred bytes.
How long they take is known from the words' index. Nothing here makes a microphone deaf: each phone
takes what it plays out of what it hears.
"""

import hashlib
import io
import json
import time
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
import numpy.typing as npt
import soundfile

from calllog.audio.echo import LeftBlock
from calllog.readback import Saying, Tone
from calllog.readback.player import AFTER_SAYING_S, AFTER_TONE_S, KEY_TONES, PAUSES_S
from calllog.readback.tones import GAP_S, OVERTONES, RAMP_S, TONES
from calllog.readback.tones import LEVEL as TONE_LEVEL
from calllog.readback.voice import JOINT_S, PACKS, BuiltIn, in_parts
from calllog.readback.words import phrases
from calllog.values import Role
from calllog.wording import Words

KEPT: Final = 512
ON_WAY_S: Final = 0.1
"""How long a saying may take to a phone."""


@dataclass(frozen=True, slots=True)
class Lexicon:
    """The words that a phone keeps."""

    wav: bytes
    index: str
    """JSON: where each phrase lies, the tones, and the pauses."""
    lengths_s: Mapping[str, float]

    @property
    def sha256(self) -> str:
        """Of the words' sound, by which a phone knows whether it keeps them already."""
        return hashlib.sha256(self.wav).hexdigest()

    def parts(self, words: str) -> tuple[list[str | float], float]:
        """Give phrases that it has and pauses between them [s], and how long all take [s]."""
        told: list[str | float] = []
        lasts_s = 0.0
        for phrase, mark in phrases(words):
            for part in in_parts(phrase, self.lengths_s):
                if part in self.lengths_s:
                    told.append(part)
                    lasts_s += self.lengths_s[part] + JOINT_S
            if pause_s := PAUSES_S[mark]:
                told.append(pause_s)
                lasts_s += pause_s
        return told, lasts_s


BY_THE_PAGE: Final = "device-phone-not-listening"
"""What a phone says by itself when it is not heard, and, after a stop, when it is again."""


def lexicon(words: Words) -> Lexicon:
    """Make what a phone keeps of the words that travel with the program, and of the tones.

    Args:
        words: of the crew; where none of its language travel along there are tones alone.
    """
    pack = PACKS.get(words.language)
    spans: dict[str, tuple[int, int]] = {}
    pieces: list[npt.NDArray[np.int16]] = []
    rate_hz, at = 16_000, 0
    if pack is not None:
        voice = BuiltIn(pack=pack)
        for phrase in voice.known:
            sound, rate_hz = voice.speak(phrase)
            spans[phrase] = (at, at + len(sound))
            pieces.append(np.round(sound * 32767.0).astype(np.int16))
            at += len(sound)
    file = io.BytesIO()
    sound = np.concatenate(pieces) if pieces else np.zeros(0, np.int16)
    soundfile.write(file, sound, rate_hz, format="WAV", subtype="PCM_16")
    deaf, _, back = words(BY_THE_PAGE).partition(". ")
    content = {
        "rate_hz": rate_hz,
        "spans": spans,
        "joint_s": JOINT_S,
        "after_tone_s": AFTER_TONE_S,
        "after_s": AFTER_SAYING_S,
        "tones": {
            tone.value: [[note.pitch_hz, note.on_s] for note in notes]
            for tone, notes in TONES.items()
        },
        "gap_s": GAP_S,
        "ramp_s": RAMP_S,
        "level": TONE_LEVEL,
        "overtones": OVERTONES,
        "keys": sorted(tone.value for tone in KEY_TONES),
        "deaf": _parts_of(deaf, spans),
        "back": _parts_of(back, spans),
    }
    lengths_s = {phrase: (end - begin) / rate_hz for phrase, (begin, end) in spans.items()}
    return Lexicon(file.getvalue(), json.dumps(content), lengths_s)


def _parts_of(words: str, known: Mapping[str, object]) -> list[str]:
    return [part for part in in_parts(words, known) if part in known]


@dataclass(slots=True)
class _Sent:
    """A saying on its way to an ear."""

    saying: Saying
    ends_s: float


@dataclass(slots=True)
class _PersonsEar:
    """One person's ear."""

    role: Role
    sent: deque[_Sent] = field(default_factory=lambda: deque(maxlen=KEPT))

    @property
    def ends_s(self) -> float:
        return self.sent[-1].ends_s if self.sent else 0.0


class Ears:
    """Says sayings on crew phones (a `calllog.live.devices.Speaker`).

    Args:
        roles: whose phones.
        words: what they keep.
        tell: brings JSON to the phone of a role, or nowhere while there is none.
        clock: monotonic [s].
    """

    def __init__(
        self,
        roles: Sequence[Role],
        words: Lexicon,
        tell: Callable[[Role, str], None],
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._ears = [_PersonsEar(role) for role in roles]
        self._words = words
        self._tell = tell
        self._clock = clock
        self._number = 0

    def say(self, saying: Saying) -> None:
        """Say something in each ear, what is for that ear first; never waits."""
        if saying.is_silent:
            return
        for ear in self._ears:
            if saying.ear in (Role.UNSAID, ear.role):
                self._say(ear, saying)

    def _say(self, ear: _PersonsEar, saying: Saying) -> None:
        role, now_s = ear.role, self._clock()
        parts, lasts_s = self._words.parts(saying.for_ear(role))
        if saying.tone is not None:
            lasts_s += sum(note.on_s + GAP_S for note in TONES[saying.tone]) + AFTER_TONE_S
        self._number += 1
        told = {
            "say": self._number,
            "tone": saying.tone.value if saying.tone else "",
            "parts": parts,
            "back": saying.is_read_back,
        }
        self._tell(role, json.dumps(told, separators=(",", ":")))
        is_key = saying.tone in KEY_TONES and not parts
        begins_s = now_s if is_key else max(now_s, ear.ends_s)
        if saying.tone is Tone.STOP:
            begins_s = now_s
        ear.sent.append(_Sent(saying, begins_s + lasts_s))

    def stop(self) -> None:
        """Be silent at once."""
        for ear in self._ears:
            ear.sent.clear()
            self._tell(ear.role, '{"hush":"all"}')

    def give_way(self) -> Saying | None:
        """Break off read-backs; give the last whose words had not all come out."""
        now_s = self._clock()
        cut: Saying | None = None
        for ear in self._ears:
            left = [each for each in ear.sent if each.ends_s > now_s and _is_words(each.saying)]
            if left:
                cut = left[-1].saying
                self._tell(ear.role, '{"hush":"back"}')
                kept = [each for each in ear.sent if each not in left]
                ear.sent.clear()
                ear.sent.extend(kept)
        return cut

    def loudness(self, begin_s: float, end_s: float) -> float:
        """Give no power: what is in an ear is in no microphone."""
        del begin_s, end_s
        return 0.0

    def left(self) -> tuple[LeftBlock, ...]:
        """Give nothing, as `loudness`."""
        return ()

    def was_out(self, begin_s: float, end_s: float) -> bool:
        """Tell of no words, as `loudness`."""
        del begin_s, end_s
        return False

    def fault(self) -> str | None:
        """Tell of none: a phone that is lost is told by its microphone."""
        return None

    @property
    def is_idle(self) -> bool:
        """Nothing sounds and nothing waits."""
        now_s = self._clock()
        return all(ear.ends_s + ON_WAY_S < now_s for ear in self._ears)


def _is_words(saying: Saying) -> bool:
    return saying.is_read_back and bool(saying.words)
