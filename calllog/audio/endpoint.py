"""Where calls begin and end: blocks of sound to utterances, one detector a channel; shell.

A network tells for each window of 32 ms whether it is speech (see `Detector`). A channel's speech
begins with such a window and ends when `_HANG` others have followed. Threshold and hang were
tuned on Flite kal16 and awb and on eSpeak NG voices (`tests/bench/bench_endpoint.py`): a longer
hang joins calls 0.6 s apart, a shorter one splits calls with inner gaps of 0.4 s; the shortest
call lasted 7 windows, and noise alone never passed a probability of 0.15.
"""

import heapq
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from calllog.audio.crosstalk import Crosstalk
from calllog.audio.detector import WINDOW, Detector
from calllog.audio.source import RATE_HZ, Source
from calllog.errors import AudioError

_HANG = 15
_PAD = 9
_TAIL = 5
"""Sound after speech that the recogniser gets, and so how long before the end of the silence it
may begin: with 5, 6 and 9 windows as many calls were heard right and wrong (tuning voices)."""
_LEAD = 26
_SHORTEST = 5
_WITHIN = 10
"""Windows without speech that there may be between two figures of one call, 0.32 s: of 91 calls of
three people whose figures stood apart it was 5 in nine of ten, 9 at most."""
_SOFT = 3
"""Windows by which speech may begin before it is known to be speech."""
_LONGEST = 8 * RATE_HZ // WINDOW

Samples = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Utterance:
    """One stretch of speech on one channel."""

    samples: Samples
    """The speech with up to 0.29 s of real sound before it and 0.16 s after; shape (n,), mono,
    16 kHz."""
    lead: Samples
    """Up to 0.83 s of sound right before `samples`, without the channel's speech before it; may
    be empty; shape (n,), mono, 16 kHz."""
    start_s: float
    end_s: float
    """Where the speech stands in its source [s], to one window (0.032 s)."""
    channel: int
    """From 0."""
    source: str
    """Name of the source."""
    is_cut: bool
    """Part of speech longer than 8 s, which is cut every 8 s."""
    begin_s: float | None = None
    """Where `samples` begin in the source [s]; None where that is not known."""
    lacks_begin: bool = False
    """Speech that words of the program hid went before it: it may be the rest of a call."""


def rejoined(first: Utterance, second: Utterance) -> Utterance | None:
    """Put two utterances of a channel together with the sound that lies between them.

    Args:
        first: an utterance.
        second: the next one of its channel.

    Returns:
        One from where the first begins to where the second ends; None where some of the sound
        between them is not known, which is so if they are more than a second apart.
    """
    if first.begin_s is None or second.begin_s is None:
        return None
    between_s = second.begin_s - len(second.lead) / RATE_HZ
    if abs(between_s - first.end_s) > WINDOW / RATE_HZ / 2:
        return None
    speech = first.samples[: round((first.end_s - first.begin_s) * RATE_HZ)]
    return replace(
        second,
        samples=np.concatenate((speech, second.lead, second.samples)),
        lead=first.lead,
        start_s=first.start_s,
        begin_s=first.begin_s,
        lacks_begin=first.lacks_begin or second.lacks_begin,
    )


def utterances(
    source: Source, *, on_progress: Callable[[float], None] | None = None
) -> Iterator[Utterance]:
    """Find the utterances of a source as its sound comes.

    An utterance comes out 0.48 s of sound after its end, so that pauses of 0.6 s part two calls
    and gaps of 0.4 s inside one do not. Speech shorter than 0.16 s (about 0.1 s of voice) is
    dropped; so is the other microphone's caller, heard 10 dB weaker (see `Crosstalk`). Silence
    gives nothing.

    Args:
        source: a recording or frames.
        on_progress: told how much of the source has been heard [s], after each block.

    Yields:
        Utterances in the order of their ends; at the same end, the lower channel first.

    Raises:
        AudioError: the source is unusable or breaks off; the utterances before that, and the one
            in the air, came out first.
    """
    ears = Endpointer(source.name, source.channels)
    try:
        for block in source.blocks():
            yield from ears.hear(block)
            if on_progress is not None:
                on_progress(ears.heard / RATE_HZ)
    except AudioError:
        yield from ears.finish()
        raise
    yield from ears.finish()


class Endpointer:
    """All channels of a source, window by window, and the order of what they say.

    Args:
        source: name of the source.
        channels: 1 or 2.
        on_pause: told an utterance `_TAIL` windows after its speech ended: just what comes out
            `_HANG` windows after it, unless the speech goes on.
        on_window: told each window, shape (512, channels), and whether each channel has speech.
    """

    def __init__(
        self,
        source: str,
        channels: int,
        *,
        on_pause: Callable[[Utterance], None] | None = None,
        on_window: Callable[[Samples, tuple[bool, ...]], None] | None = None,
    ) -> None:
        self._ears = [_Ear(source, channel) for channel in range(channels)]
        self._crosstalk = Crosstalk(channels)
        self._rest = np.empty((0, channels), np.float32)
        self._windows = 0
        self._waiting: list[tuple[float, int, Utterance]] = []
        self._on_pause = on_pause
        self._on_window = on_window

    @property
    def heard(self) -> int:
        """Samples heard so far on each channel."""
        return self._windows * WINDOW + len(self._rest)

    @property
    def begun_s(self) -> float | None:
        """When the earliest speech began that has not come out yet [s]; None in silence."""
        begun = [each.start_s for _, _, each in self._waiting]
        begun += [ear.begun_s for ear in self._ears if ear.begun_s is not None]
        return min(begun, default=None)

    def skip(self, windows: int) -> None:
        """Let time pass without sound; only after a second of silence."""
        self._windows += windows
        for ear in self._ears:
            ear.skip(windows)

    def hear(
        self, block: Samples, *, is_deaf: Sequence[bool] = (), may_hide: Sequence[bool] = ()
    ) -> Iterator[Utterance]:
        """Take in sound of all channels, shape (frames, channels), float32, 16 kHz.

        Args:
            block: the sound.
            is_deaf: of each channel, whether nothing in it counts as speech, since the program
                itself is heard; empty for none.
            may_hide: of each channel, whether speech that does not count may be a person's; empty
                for all.

        Yields:
            The utterances that it ends, in the order of their ends.
        """
        sound = np.concatenate((self._rest, block))
        whole = len(sound) // WINDOW * WINDOW
        self._rest = sound[whole:].copy()
        for begin in range(0, whole, WINDOW):
            self._advance(sound[begin : begin + WINDOW], is_deaf=is_deaf, may_hide=may_hide)
            now_s = (self._windows - _HANG) * WINDOW / RATE_HZ
            while self._waiting and self._waiting[0][0] <= now_s:
                yield heapq.heappop(self._waiting)[2]

    def end(self, channel: int, end_s: float) -> Utterance | None:
        """End an utterance whose speech has paused, before the silence that ends one is over.

        Args:
            channel: from 0.
            end_s: where its speech ended, as `on_pause` was told [s].

        Returns:
            The utterance; None where the speech went on, or what ended before it is still to come
            out.
        """
        ear = self._ears[channel]
        is_last = not self._waiting and all(
            each is ear or each.ended_s is None or each.ended_s > end_s for each in self._ears
        )
        return ear.end() if is_last and ear.ended_s == end_s else None

    def finish(self) -> Iterator[Utterance]:
        """Yield what is in the air at the end of the sound."""
        total = self.heard
        if len(self._rest):
            missing = WINDOW - len(self._rest)
            self._advance(np.pad(self._rest, ((0, missing), (0, 0))))
        for ear in self._ears:
            self._keep(ear.finish(total))
        while self._waiting:
            yield heapq.heappop(self._waiting)[2]

    def _advance(
        self, window: Samples, *, is_deaf: Sequence[bool] = (), may_hide: Sequence[bool] = ()
    ) -> None:
        self._windows += 1
        deaf = tuple(is_deaf) or (False,) * len(self._ears)
        hiding = tuple(may_hide) or deaf
        tracks = [np.ascontiguousarray(track) for track in window.T]
        speech = [
            ear.detector.hears_speech(track) for ear, track in zip(self._ears, tracks, strict=True)
        ]
        masked = self._crosstalk.masked(tracks, speech)
        counted: list[bool] = []
        for ear, track, is_speech, is_masked, hears_us, hides in zip(
            self._ears, tracks, speech, masked, deaf, hiding, strict=True
        ):
            counts = is_speech and not is_masked and not hears_us
            counted.append(counts)
            ear.hide(is_speech=is_speech and not is_masked and hears_us and hides)
            self._keep(ear.advance(track, is_speech=counts))
            if self._on_pause is not None and (said := ear.paused()) is not None:
                self._on_pause(said)
        if self._on_window is not None:
            self._on_window(window, tuple(counted))

    def _keep(self, said: Utterance | None) -> None:
        if said is not None:
            heapq.heappush(self._waiting, (said.end_s, said.channel, said))


class _Ear:
    """One channel: its detector, the sound it may still need, and the speech in the air."""

    def __init__(self, source: str, channel: int) -> None:
        self._source = source
        self._channel = channel
        self.detector = Detector()
        self._held: deque[Samples] = deque()
        self._now = 0
        """Windows heard."""
        self._begin: int | None = None
        """First window of the speech in the air."""
        self._end = 0
        """One past its last window of speech."""
        self._free = 0
        """One past the last window that an utterance has taken as speech."""
        self._is_cut = self._lacks_begin = False
        self._hidden = self._shown = 0
        """First window of the speech that was hidden last, and one past its last."""

    @property
    def begun_s(self) -> float | None:
        """When the speech in the air began [s]."""
        return None if self._begin is None else self._begin * WINDOW / RATE_HZ

    @property
    def ended_s(self) -> float | None:
        """Where the speech in the air has its end so far [s]; None in silence."""
        return None if self._begin is None else self._end * WINDOW / RATE_HZ

    def end(self) -> Utterance | None:
        """Return the utterance in the air, which is over by that."""
        return None if self._begin is None else self._close(self._begin, self._now * WINDOW)

    def skip(self, windows: int) -> None:
        """Let time pass; the silence held stands right before what comes next."""
        self._now += windows

    def hide(self, *, is_speech: bool) -> None:
        """Note whether the window that comes next has speech that does not count."""
        if is_speech:
            if self._now - self._shown > _WITHIN:
                self._hidden = self._now
            self._shown = self._now + 1

    def advance(self, track: Samples, *, is_speech: bool) -> Utterance | None:
        """Take in a window; return the utterance that it ends, if any."""
        self._held.append(track)
        self._now += 1
        if is_speech:
            if self._begin is None:
                self._begin = self._now - 1
                self._lacks_begin = self._is_hidden(self._begin)
            self._end = self._now
        if self._begin is None:
            while len(self._held) > _PAD + _LEAD:
                self._held.popleft()
            return None
        if self._now - self._end >= _HANG:
            return self._close(self._begin, self._now * WINDOW)
        if self._end - self._begin >= _LONGEST:
            return self._cut(self._begin)
        return None

    def paused(self) -> Utterance | None:
        """Return the utterance that stands now if its speech just ended for so long."""
        begin, silent = self._begin, self._now - self._end
        if begin is None or silent != _TAIL or self._end - begin < _SHORTEST:
            return None
        return self._utterance(begin, self._now * WINDOW)

    def finish(self, total: int) -> Utterance | None:
        """Return the utterance in the air at the end of the sound, `total` samples."""
        return None if self._begin is None else self._close(self._begin, total)

    def _is_hidden(self, begin: int) -> bool:
        """Tell whether speech was hidden that belongs to what begins, and lies before its sound."""
        first = max(begin - _PAD, self._free)
        is_near = begin - self._shown <= _WITHIN
        return self._shown > 0 and is_near and self._hidden < first + _SOFT

    def _cut(self, begin: int) -> Utterance:
        self._is_cut = True
        part = self._utterance(begin, self._now * WINDOW)
        self._begin = self._free = self._now
        self._held.clear()
        return part

    def _close(self, begin: int, total: int) -> Utterance | None:
        said = None
        if self._end - begin >= _SHORTEST:
            said = self._utterance(begin, total)
            self._free = self._end
        self._begin, self._is_cut = None, False
        return said

    def _utterance(self, begin: int, total: int) -> Utterance:
        first = max(begin - _PAD, self._free)
        lead = max(first - _LEAD, self._free)
        return Utterance(
            samples=self._between(first, self._end + _TAIL, total),
            lead=self._between(lead, first, total),
            start_s=begin * WINDOW / RATE_HZ,
            end_s=min(self._end * WINDOW, total) / RATE_HZ,
            channel=self._channel,
            source=self._source,
            is_cut=self._is_cut,
            begin_s=first * WINDOW / RATE_HZ,
            lacks_begin=self._lacks_begin,
        )

    def _between(self, begin: int, end: int, total: int) -> Samples:
        """Return the sound of the windows from begin to end, as far as there is sound."""
        first = self._now - len(self._held)
        sound = np.concatenate(self._held) if self._held else np.empty(0, np.float32)
        return sound[(begin - first) * WINDOW : min(end * WINDOW, total) - first * WINDOW].copy()
