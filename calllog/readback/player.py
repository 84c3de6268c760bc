"""Sayings in, sound out, and when words were out, so that the listener is deaf only then; shell.

The output stays open and is fed silence, so that a tone needs no device to be woken; the sound
card's own thread takes the next saying, a worker renders words while the tone before them sounds.
Tones make nobody deaf: the listener takes none for speech, and a call that is dropped because a
tone sounded meanwhile would put the pull out of step.
"""

import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import soxr

from calllog.audio.echo import LeftBlock
from calllog.audio.outputs import Outputs, OutputStream, PortAudioOutputs
from calllog.closing import Closes
from calllog.errors import AudioError, ConfigError
from calllog.readback.tones import Sound, Tone, render
from calllog.readback.voice import Voice
from calllog.readback.words import SILENCE, Saying, phrases

KEY_TONES = frozenset({Tone.TICK, Tone.CLEARED, Tone.ERROR})
"""Sound at once, over whatever else sounds."""
PAUSES_S = {"": 0.0, ",": 0.09, ".": 0.22}
AFTER_TONE_S = 0.04
AFTER_SAYING_S = 0.15
TAIL_S = 0.1
"""How long sound lingers around a loudspeaker after it has left it."""
FADE_S = 0.005
PATIENCE_S = 0.05
"""How long a voice may take beyond the end of what sounds already."""
RETRY_S = 2.0
STALLED_S = 3.0
"""An output that has asked for no sound this long is lost; a sound server may start in 1.7 s."""
DRY_S = 2.0
"""An output that says so long that it runs dry sounds nonetheless: some say so of each block."""
WATCH_S = 0.05
KEPT = 512
"""Stretches of sound and delays that are remembered."""
STRETCH_S = 0.032
"""Sound is as loud as it is over so long, as it is measured where it arrives: an output may ask for
less than a millisecond at a time, of which the loudest one is a peak."""


@dataclass(frozen=True, slots=True)
class _Piece:
    """Sound on its way out, and whether it is words."""

    sound: Sound
    is_words: bool = False


@dataclass(eq=False, slots=True)
class _Said:
    """A saying on its way out."""

    saying: Saying
    at_s: float
    pieces: deque[_Piece] = field(default_factory=deque)
    is_rendered: bool = False
    is_begun: bool = False

    @property
    def is_spoken_back(self) -> bool:
        return self.saying.is_read_back and bool(self.saying.words)

    @property
    def has_words_left(self) -> bool:
        return not self.is_rendered or any(piece.is_words for piece in self.pieces)

    @property
    def frames(self) -> int:
        return sum(piece.sound.size for piece in self.pieces)


@dataclass(slots=True)
class _Stretch:
    """A stretch of sound that came out."""

    begin_s: float
    end_s: float = 0.0
    energy: float = 0.0
    """Sum of squares, each as long as its sample [s]."""
    lasts_s: float = 0.0
    """How much of it was sound."""

    @property
    def power(self) -> float:
        """How loud it is, as one that lasts `STRETCH_S` at least [mean square]."""
        return self.energy / max(self.lasts_s, STRETCH_S)


class Player(Closes):
    """Says sayings through a loudspeaker; close it by ``with`` or `close`.

    Args:
        voice: speaks the words; closed by its owner.
        output: name of the output or a part of it; None for the system's default.
        volume: 0 (silent) to 1 (as loud as the output goes); the amplitude's factor.
        backend: opens outputs.
        clock: monotonic time [s].

    Raises:
        ConfigError: the volume is out of its range.
        AudioError: the output cannot be opened; later losses are told by `fault`.
    """

    def __init__(
        self,
        voice: Voice,
        *,
        output: str | None = None,
        volume: float = 1.0,
        backend: Outputs | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        if not 0.0 <= volume <= 1.0:
            raise ConfigError(f"a volume of {volume:g} is out of range", next_step="say 0 to 1")
        self._voice = voice
        self._output = output
        self._volume = np.float32(volume)
        self._backend: Outputs = backend or PortAudioOutputs()
        self._clock = clock
        self._changed = threading.Condition()
        self._queue: deque[_Said] = deque()
        self._current: _Said | None = None
        self._over: Sound = np.zeros(0, np.float32)
        self._heard: deque[tuple[float, float]] = deque(maxlen=KEPT)
        self._powers: deque[_Stretch] = deque(maxlen=KEPT)
        self._left: deque[LeftBlock] = deque(maxlen=KEPT)
        self._gone = 0
        """Frames that left, of all outputs."""
        self._dry_s: float | None = None
        """Since when the output runs dry."""
        self._delays_s: deque[float] = deque(maxlen=KEPT)
        self._fault: str | None = None
        self._is_over = False
        self._filled_s = self._tried_s = clock()
        self._stream: OutputStream | None = self._backend.open(output, self._fill)
        self._rate_hz = self._stream.rate_hz
        self._thread = threading.Thread(target=self._work, name="player", daemon=True)
        self._thread.start()

    def say(self, saying: Saying) -> None:
        """Say something as soon as may be; never waits.

        A stop goes before all that waits, and cuts off a read-back that sounds. A read-back takes
        the place of older ones that wait. A question that sounds or waits already is not said
        again, but its tone is. Everything else is said in order.
        """
        if saying.is_silent:
            return
        with self._changed:
            if self._is_over:
                return
            if saying.tone in KEY_TONES and not saying.words:
                self._over = render(saying.tone, self._rate_hz)
                return
            if self._stream is None and not self._is_worth_keeping(saying):
                return
            if saying.tone is Tone.QUESTION and self._is_said(saying):
                self._over = render(saying.tone, self._rate_hz)
                return
            if saying.is_read_back:
                self._queue = deque(
                    each for each in self._queue if not _takes_place_of(saying, each.saying)
                )
            said = self._begin(saying, self._clock())
            if saying.tone is Tone.STOP:
                self._queue.appendleft(said)
                if self._current is not None and self._current.saying.is_read_back:
                    self._cut()
            else:
                self._queue.append(said)
            self._changed.notify_all()

    def stop(self) -> None:
        """Be silent at once: what sounds is cut off, what waits is dropped, stops as well."""
        with self._changed:
            self._queue.clear()
            self._cut()

    def give_way(self) -> Saying | None:
        """Break off and drop read-backs, since somebody speaks; give the last not wholly out."""
        with self._changed:
            waiting = [each for each in self._queue if each.is_spoken_back]
            self._queue = deque(each for each in self._queue if not each.is_spoken_back)
            current = self._current
            if current is not None and current.is_spoken_back and current.has_words_left:
                waiting.insert(0, current)
                self._cut()
            return waiting[-1].saying if waiting else None

    def loudness(self, begin_s: float, end_s: float) -> float:
        """Give the greatest power of sound that came out in a stretch of the clock [s].

        Returns:
            Mean square of the samples of `STRETCH_S`, of full scale; 0 where none came out.
        """
        with self._changed:
            powers = (
                each.power
                for each in self._powers
                if each.begin_s <= end_s and begin_s <= each.end_s
            )
            return max(powers, default=0.0)

    def left(self) -> tuple[LeftBlock, ...]:
        """Give all sound that left since that was asked last, silence counted in."""
        with self._changed:
            left = tuple(self._left)
            self._left.clear()
        return left

    def was_out(self, begin_s: float, end_s: float) -> bool:
        """Tell whether words came out at any moment of a stretch of the clock [s].

        It counts from the moment that the output took it, which is never too late, to when it has
        left the loudspeaker by the delay that the output states, and `TAIL_S` more.
        """
        with self._changed:
            return any(begin <= end_s and begin_s <= end + TAIL_S for begin, end in self._heard)

    @property
    def is_idle(self) -> bool:
        """Nothing sounds and nothing waits."""
        with self._changed:
            return self._current is None and not self._queue and not self._over.size

    @property
    def delays_s(self) -> tuple[float, ...]:
        """From `say` to the first frame that the output took, of the last sayings [s]."""
        with self._changed:
            return tuple(self._delays_s)

    def fault(self) -> str | None:
        """Tell once that the output was lost; None if it was not, or was told."""
        with self._changed:
            fault, self._fault = self._fault, None
            return fault

    def close(self) -> None:
        """Stop, and give the output back."""
        with self._changed:
            self._is_over = True
            self._changed.notify_all()
        self._thread.join()
        if self._stream is not None:
            self._stream.close()
            self._stream = None

    def _is_said(self, saying: Saying) -> bool:
        """Tell whether just this sounds or waits, so that its words are heard anyway."""
        waiting = (*((self._current,) if self._current else ()), *self._queue)
        return bool(saying.words) and any(each.saying.whole == saying.whole for each in waiting)

    def _is_worth_keeping(self, saying: Saying) -> bool:
        """Without an output, keep stops and the newest question; the rest would come too late."""
        if saying.tone is Tone.QUESTION:
            self._queue = deque(e for e in self._queue if e.saying.tone is not Tone.QUESTION)
        return saying.tone in (Tone.STOP, Tone.QUESTION)

    def _silence(self, seconds: float) -> _Piece:
        return _Piece(np.zeros(round(seconds * self._rate_hz), np.float32))

    def _begin(self, saying: Saying, at_s: float) -> _Said:
        said = _Said(saying, at_s)
        if saying.tone is not None:
            said.pieces.append(_Piece(render(saying.tone, self._rate_hz)))
            said.pieces.append(self._silence(AFTER_TONE_S if saying.words else AFTER_SAYING_S))
        said.is_rendered = not saying.words
        return said

    def _cut(self) -> None:
        """Let what sounds fade out in a moment, so that it does not click."""
        if self._current is None:
            return
        pieces, self._current.pieces = self._current.pieces, deque()
        if pieces:
            rest = pieces[0].sound[: round(FADE_S * self._rate_hz)]
            faded = rest * np.linspace(1.0, 0.0, rest.size, dtype=np.float32)
            self._current.pieces.append(_Piece(faded, pieces[0].is_words))
        self._current = _Said(
            SILENCE,
            self._current.at_s,
            self._current.pieces,
            is_rendered=True,
            is_begun=True,
        )

    def _fill(
        self, frames: int, rate_hz: int, delay_s: float, *, has_run_dry: bool = False
    ) -> Sound:
        """Give the output its next frames; called by the sound card's thread.

        One that has run dry may throw them away, so that nothing is said until it plays again.
        """
        block = np.zeros(frames, np.float32)
        now_s = self._clock()
        with self._changed:
            self._filled_s = now_s
            self._dry_s = (self._dry_s or now_s) if has_run_dry else None
            if self._dry_s is not None and now_s < self._dry_s + DRY_S:
                self._gone += frames  # how many of them is not known: `left` has a gap there
                return block
            filled = self._take(block, now_s)
            if filled:
                self._note(now_s, now_s + delay_s + filled / rate_hz)
            over = self._over[:frames]
            block[: over.size] += over
            self._over = self._over[over.size :]
            if power := float(np.mean(np.square(block * self._volume))):
                end_s = now_s + delay_s + frames / rate_hz
                self._measure(now_s, end_s, power, frames / rate_hz)
            left = np.asarray(np.clip(block * self._volume, -1.0, 1.0), np.float32)
            self._left.append(LeftBlock(left, rate_hz, self._gone, now_s + delay_s))
            self._gone += frames
        return left

    def _take(self, block: Sound, now_s: float) -> int:
        """Move frames of the sayings into a block; return where the last word in it ends."""
        at = ends = 0
        while at < block.size:
            if self._current is None:
                if not self._queue:
                    break
                self._current = self._queue.popleft()
            said = self._current
            if not said.pieces:
                if not said.is_rendered:
                    break
                self._current = None
                continue
            if not said.is_begun:
                said.is_begun = True
                self._delays_s.append(now_s - said.at_s)
            piece = said.pieces.popleft()
            part, rest = np.split(piece.sound, [block.size - at])
            block[at : at + part.size] = part
            at += part.size
            ends = at if piece.is_words else ends
            if rest.size:
                said.pieces.appendleft(_Piece(rest, piece.is_words))
        return ends

    def _note(self, begin_s: float, end_s: float) -> None:
        """Remember a stretch of sound, joined to the last one where they touch."""
        if self._heard and begin_s <= self._heard[-1][1]:
            begin_s = self._heard.pop()[0]
        self._heard.append((begin_s, end_s))

    def _measure(self, begin_s: float, end_s: float, power: float, lasts_s: float) -> None:
        """Remember how loud a block is, together with those right before it."""
        if not self._powers or begin_s >= self._powers[-1].begin_s + STRETCH_S:
            self._powers.append(_Stretch(begin_s))
        stretch = self._powers[-1]
        stretch.end_s = end_s
        stretch.energy += power * lasts_s
        stretch.lasts_s += lasts_s

    def _work(self) -> None:
        """Render words, watch the output, open it again."""
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._is_over or self._unrendered(), WATCH_S)
                if self._is_over:
                    return
                said = self._unrendered()
            if said is not None:
                self._render(said)
            self._watch()

    @property
    def is_rendered(self) -> bool:
        """Whether all that is to be said has become sound."""
        with self._changed:
            return self._unrendered() is None

    def _unrendered(self) -> _Said | None:
        waiting = (*((self._current,) if self._current else ()), *self._queue)
        return next((said for said in waiting if not said.is_rendered), None)

    def _render(self, said: _Said) -> None:
        """Render the words of a saying phrase by phrase, each while the ones before it sound."""
        rate_hz = self._rate_hz
        for phrase, mark in phrases(said.saying.words):
            with self._changed:
                left_s = said.frames / rate_hz
            sound, voice_hz = self._voice.speak(phrase, left_s + PATIENCE_S)
            if sound.size and voice_hz != rate_hz:
                sound = soxr.resample(sound, voice_hz, rate_hz)
            with self._changed:
                said.pieces.append(_Piece(sound, is_words=True))
                said.pieces.append(self._silence(PAUSES_S[mark]))
        with self._changed:
            said.pieces.append(self._silence(AFTER_SAYING_S))
            said.is_rendered = True

    def _watch(self) -> None:
        now_s = self._clock()
        stream = self._stream
        if stream is not None:
            is_stalled = now_s - self._filled_s > STALLED_S
            if stream.is_live and not is_stalled:
                return
            self._lose()
            stream.close()
            return
        if now_s - self._tried_s >= RETRY_S:
            self._tried_s = now_s
            self._open_again()

    def _lose(self) -> None:
        """Note that the output is gone, and keep what is worth it."""
        with self._changed:
            self._stream = None
            self._tried_s = self._clock()
            where = self._output or "the default output"
            self._fault = f"sound output lost: {where}; it is tried again every {RETRY_S:.0f} s"
            waiting = (*((self._current,) if self._current else ()), *self._queue)
            self._current, self._queue = None, deque()
            for said in waiting:
                if self._is_worth_keeping(said.saying):
                    self._queue.append(said)

    def _open_again(self) -> None:
        try:
            stream = self._backend.open(self._output, self._fill)
        except AudioError:
            return
        with self._changed:
            self._stream = stream
            self._filled_s = self._clock()
            self._rate_hz = stream.rate_hz
            self._queue = deque(self._begin(said.saying, said.at_s) for said in self._queue)


def _takes_place_of(new: Saying, old: Saying) -> bool:
    """Tell whether a read-back makes an older one needless; a tone alone takes no words away."""
    return old.is_read_back and (bool(new.words) or not old.words)
