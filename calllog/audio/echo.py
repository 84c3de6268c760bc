"""The program's own sound taken out of what the microphones hear; shell.

What leaves the loudspeaker is known, so what arrives of it can be learnt and taken away, and the
crew is heard while words are out. First it is found by cross-correlation how much later it arrives;
then each microphone has a filter, learnt in frequency by a Kalman filter (Enzner and Vary,
"Frequency-domain adaptive Kalman filter for acoustic echo control in hands-free telephones", Signal
Processing 86, 2006), which by itself learns little while somebody speaks as well.
"""

from collections import deque
from dataclasses import dataclass, field
from statistics import median_low

import numpy as np
import numpy.typing as npt
import soxr

Samples = npt.NDArray[np.float32]
Spectra = npt.NDArray[np.complex128]
Powers = npt.NDArray[np.float64]

RATE_HZ = 16_000
BLOCK = 512
"""Samples learnt from at once, and taps of the filter: 32 ms, longer than any echo out of doors."""
BEFORE = 96
"""Taps before the moment at which it arrives: 6 ms, for it is found to a few samples only."""
LOOKED_AT = RATE_HZ
"""Sound in which it is looked for: 1 s."""
LOOKED_EACH = RATE_HZ // 4
FARTHEST = RATE_HZ // 2
"""It is looked for so much before and after the moment that the sound cards state: 0.5 s."""
CLEAR = 6.0
"""A moment is found where the correlation is so many times its root mean square elsewhere; of noise
alone it was 4.8 at most in 60 tries. What was found wrongly foretells nothing, and is not used."""
AUDIBLE = 1e-6
"""Mean square of what leaves, below which nothing is learnt."""
KEPT = 3 * RATE_HZ
FORGETS = 0.9995
"""How much of a filter is still right a block later."""
SMOOTHS = 0.9
SUDDEN = 3.0
"""How much of what a block leaves counts as all else at once: a voice that begins would spoil the
filter before it is known to be there."""
FLOOR = 1e-9
HELPS = 0.5
"""A filter is used where taking away what it foretells takes more away than it adds; a voice beside
it, which is not like it, changes nothing of that in the mean."""
WEARS = 0.99
"""How much of what it foretold before counts a block later: a memory of 3 s."""
AT_ONCE = 0.9
"""The same of what is known at once: a memory of 0.3 s."""
FITS = 0.4
"""What is heard is what was foretold where so much of it is found again. After a loudspeaker's
hiccup none of it is; under a voice 14 dB louder than the words it varies by a third."""
WORSE = 2.0
"""What leaves a block so much louder than it arrived takes away what is not there."""
STRAYS_S = 0.1
"""Where the moment that the output states strays so far, it has asked for sound that it did not
play, or paused: when the program's arrives is to be found anew. Its thread is late at times, by
less than half of `STATED` blocks."""
STATED = 25
STEADY = 0.001
"""Weight of a block in where that moment was: a memory of 10 s, for clocks part slowly."""
SPOKEN = 0.5
"""Share of the sound looked at in which the program must be out: a tone alone repeats itself."""
NEAR = 8
"""The moment may be off by so many samples: the clocks of two sound cards part by one in a second,
and the filter follows."""


@dataclass(frozen=True, slots=True, eq=False)
class LeftBlock:
    """A block that left the loudspeaker."""

    sound: Samples
    """Shape (n,)."""
    rate_hz: int
    first: int
    """Number of its first frame."""
    at_s: float
    """When that is in the air, as the output states [s]."""


@dataclass(slots=True)
class _Filter:
    """What arrives in one microphone of what leaves."""

    response: Spectra = field(default_factory=lambda: np.zeros(BLOCK + 1, np.complex128))
    doubt: Powers = field(default_factory=lambda: np.full(BLOCK + 1, 1.0))
    """Variance of each bin of it."""
    beside: Powers = field(default_factory=lambda: np.full(BLOCK + 1, FLOOR))
    """Power of all else that the microphone hears."""
    foretold: float = 0.0
    """Power of what it foretold of late."""
    alike: float = 0.0
    """The same times what was heard."""
    foretold_now: float = 0.0
    alike_now: float = 0.0
    """Both, of this moment."""

    def compare(self, foretold: Powers, heard: Powers) -> None:
        """Compare what it foretold of a block with what is heard in it, both of shape (n,)."""
        self.foretold_now = AT_ONCE * self.foretold_now + float(np.sum(np.square(foretold)))
        self.alike_now = AT_ONCE * self.alike_now + float(np.sum(foretold * heard))
        if np.sum(np.square(heard - foretold)) > WORSE * np.sum(np.square(heard)):
            self.alike_now = 0.0

    @property
    def fits(self) -> bool:
        """What it foretells is what is heard at this moment."""
        return self.helps and self.alike_now > FITS * self.foretold_now

    @property
    def helps(self) -> bool:
        """What it foretells is what is heard."""
        return self.foretold > 0.0 and self.alike > HELPS * self.foretold

    @property
    def louder(self) -> float:
        """By how much more of what leaves may be heard than it foretells, as power."""
        return max(1.0, self.alike / self.foretold) ** 2 if self.helps else 1.0

    @property
    def taps(self) -> Powers:
        """The filter in time, shape (BLOCK,)."""
        return np.fft.irfft(self.response)[:BLOCK]

    def learn(self, sent: Spectra, heard: Powers) -> None:
        """Learn from a block.

        Args:
            sent: the spectrum of what left in this block and the one before it, shape (BLOCK + 1,).
            heard: what the microphone heard in it, shape (BLOCK,).
        """
        power = np.square(np.abs(sent))
        self.doubt = FORGETS**2 * self.doubt + (1.0 - FORGETS**2) * np.square(np.abs(self.response))
        foretold = np.fft.irfft(sent * self.response)[BLOCK:]
        self.foretold = WEARS * self.foretold + float(np.mean(np.square(foretold)))
        self.alike = WEARS * self.alike + float(np.mean(foretold * heard))
        rest = heard - foretold
        wrong = np.fft.rfft(np.concatenate((np.zeros(BLOCK), rest)))
        self.beside = SMOOTHS * self.beside + (1.0 - SMOOTHS) * np.square(np.abs(wrong))
        beside = np.maximum(self.beside, SUDDEN * np.square(np.abs(wrong)))
        gain = self.doubt / (power * self.doubt + 2.0 * beside + FLOOR)
        step = np.fft.irfft(gain * np.conj(sent) * wrong)
        step[BLOCK:] = 0.0
        self.response = self.response + np.fft.rfft(step)
        self.doubt = (1.0 - 0.5 * gain * power) * self.doubt


class _LastSound:
    """The last of what came, by the numbers of its samples.

    Args:
        shape: of one sample: ``()``, or the number of channels.
    """

    def __init__(self, shape: tuple[int, ...]) -> None:
        self._room = np.zeros((2 * KEPT, *shape))
        self._begin = self._end = 0
        self.first = 0
        """Number of its first sample, of all that came."""

    @property
    def sound(self) -> Powers:
        """Give it, until more comes; shape (n, *shape)."""
        return self._room[self._begin : self._end]

    @property
    def until(self) -> int:
        """Number of the sample that comes next."""
        return self.first + self._end - self._begin

    def add(self, sound: Samples) -> None:
        """Take what comes right after what came before."""
        until, last = self.until + len(sound), sound[-KEPT:]
        if self._end + len(last) > len(self._room):
            stays = self.sound[len(last) :].copy()
            self._room[: len(stays)] = stays
            self._begin, self._end = 0, len(stays)
        self._room[self._end : self._end + len(last)] = last
        self._end += len(last)
        self._begin = max(self._begin, self._end - KEPT)
        self.first = until - (self._end - self._begin)


class Canceller:
    """Takes the program's own sound out of what each of 1 or 2 microphones hears."""

    def __init__(self, channels: int) -> None:
        self._filters = [_Filter() for _ in range(channels)]
        self._sent = _LastSound(())
        self._begun_s: float | None = None
        """When sample 0 of what left is in the air, by the newest of what the output stated."""
        self._stated_s: deque[float] = deque(maxlen=STATED)
        """The same by all that it stated of late."""
        self._steady_s = 0.0
        """The same in the long run."""
        self._captured_s = 0.0
        """When sample 0 of what was heard was captured, by the newest of what the input stated."""
        self._heard = _LastSound((channels,))
        self._lag: int | None = None
        """Number of a sample heard less that of the sample that left with it; None until found."""
        self._looked = 0
        self._learnt = 0
        """Number of the first sample heard that nothing was learnt from."""

    @property
    def place(self) -> int | None:
        """Where the program's sound arrives, in samples from anywhere; None until it is found.

        What was taken away while it was another tells nothing of what is now.
        """
        return self._lag

    @property
    def fits(self) -> tuple[bool, ...]:
        """Of each channel, whether what was taken away of late is what arrived."""
        return tuple(self._lag is not None and each.fits for each in self._filters)

    @property
    def louder(self) -> tuple[float, ...]:
        """Of each channel, by how much more may arrive than is taken away, as power; 1 and more.

        A filter that has not learnt all of its response foretells too little, in this proportion.
        """
        return tuple(each.louder if self._lag is not None else 1.0 for each in self._filters)

    @property
    def late_s(self) -> float:
        """How much later than the output states what left arrives [s]; 0 where it is not known."""
        if self._lag is None or self._begun_s is None:
            return 0.0
        return self._captured_s - self._begun_s + (self._lag + BEFORE) / RATE_HZ

    def sends(self, sound: Samples, at_s: float) -> None:
        """Take what leaves the loudspeaker.

        Args:
            sound: what leaves right after what left before, shape (n,), 16 kHz.
            at_s: when its first sample does, as the output states [s].
        """
        begun_s = at_s - self._sent.until / RATE_HZ
        if self._begun_s is None or abs(begun_s - self._begun_s) > FARTHEST / RATE_HZ:
            self._lose()
        self._begun_s = begun_s
        if not self._stated_s:
            self._steady_s = begun_s
        self._stated_s.append(begun_s)
        strays_s = median_low(self._stated_s) - self._steady_s
        self._steady_s += STEADY * strays_s
        if abs(strays_s) > STRAYS_S:
            self._lose()
        self._sent.add(sound)

    def breaks(self) -> None:
        """Sound is missing: when the program's arrives is to be found anew."""
        self._lose()

    def cleans(self, sound: Samples, begin_s: float) -> Samples:
        """Take the program out of a block.

        Args:
            sound: what was heard right after the block before, shape (n, channels), 16 kHz.
            begin_s: when its first sample was captured [s].
        """
        first = self._heard.until
        self._captured_s = begin_s - first / RATE_HZ
        self._heard.add(sound)
        self._look(first + len(sound), begin_s + len(sound) / RATE_HZ)
        if self._lag is None:
            return sound
        sent = self._sent_at(first - BLOCK, first + len(sound), self._lag)
        if float(np.mean(np.square(sent))) < AUDIBLE:
            self._learnt = max(self._learnt, first + len(sound) - BLOCK)
            return sound
        cleaned = sound.astype(np.float64)
        size = 1 << int(np.ceil(np.log2(len(sent) + BLOCK)))
        spectrum = np.fft.rfft(sent, size) if any(each.helps for each in self._filters) else None
        for channel, each in enumerate(self._filters):
            if spectrum is not None and each.helps:
                arrives = spectrum * np.fft.rfft(each.taps, size)
                foretold = np.fft.irfft(arrives, size)[BLOCK : len(sent)]
                each.compare(foretold, cleaned[:, channel])
                cleaned[:, channel] -= foretold
        self._learn(self._lag)
        return cleaned.astype(np.float32)

    def _learn(self, lag: int) -> None:
        """Learn from all whole blocks that were heard since."""
        until, heard = self._heard.until, self._heard.sound
        self._learnt = max(self._learnt, self._heard.first)
        while self._learnt + BLOCK <= until:
            sent = self._sent_at(self._learnt - BLOCK, self._learnt + BLOCK, lag)
            if float(np.mean(np.square(sent))) > AUDIBLE:
                at, spectrum = self._learnt - self._heard.first, np.fft.rfft(sent)
                for channel, each in enumerate(self._filters):
                    each.learn(spectrum, heard[at : at + BLOCK, channel])
            self._learnt += BLOCK

    def _sent_at(self, begin: int, end: int, lag: int) -> Powers:
        """Give what left, by the numbers of the samples heard with it; nothing where not known."""
        first, last = (each - lag - self._sent.first for each in (begin, end))
        known = self._sent.sound[max(0, first) : max(0, last)]
        before = min(last - first, max(0, -first))
        if len(known) == last - first:
            return known
        found = np.zeros(last - first)
        found[before : before + len(known)] = known
        return found

    def _look(self, until: int, until_s: float) -> None:
        """Look when what left arrives, in the last second of what was heard."""
        begin = until - LOOKED_AT
        if self._begun_s is None or until - self._looked < LOOKED_EACH or begin < self._heard.first:
            return
        if self._lag is not None and any(each.helps for each in self._filters):
            return
        self._looked = until
        stated = until - round((until_s - self._begun_s) * RATE_HZ)
        sent = self._sent_at(begin - FARTHEST, until + FARTHEST, stated)
        blocks = sent[: len(sent) // BLOCK * BLOCK].reshape(-1, BLOCK)
        out = np.mean(np.square(blocks), axis=1) > AUDIBLE
        if float(np.sum(out)) * BLOCK < SPOKEN * LOOKED_AT:
            return
        heard = self._heard.sound[begin - self._heard.first :]
        size = 1 << int(np.ceil(np.log2(len(sent))))
        left = np.fft.rfft(sent, size)
        strength = np.zeros(2 * FARTHEST)
        for each in heard.T:
            both = left * np.conj(np.fft.rfft(each, size))
            strength += np.fft.irfft(both / (np.abs(both) + FLOOR), size)[: 2 * FARTHEST]
        at = int(np.argmax(strength))
        if strength[at] < CLEAR * float(np.sqrt(np.mean(np.square(strength)))):
            return
        lag = stated + FARTHEST - at - BEFORE
        if self._lag is None:
            self._filters = [_Filter() for _ in self._filters]
            self._learnt = begin + BLOCK
        elif abs(lag - self._lag) <= NEAR:
            return
        self._lag = lag

    def _lose(self) -> None:
        self._lag = None
        self._stated_s.clear()


class Sender:
    """Gives a canceller what leaves the loudspeaker, at 16 kHz whatever the output's rate is."""

    def __init__(self, canceller: Canceller) -> None:
        self._canceller = canceller
        self._rate_hz = 0
        self._begun = self._next = 0
        """Numbers of the first frame since sound was missing, and of the next one."""
        self._given = 0
        """Samples given since then."""

    def send(self, left: LeftBlock) -> None:
        """Take a block; where some are missing before it, begin anew."""
        if (left.rate_hz, left.first) != (self._rate_hz, self._next):
            self._rate_hz, self._begun, self._given = left.rate_hz, left.first, 0
            self._resampler = soxr.ResampleStream(left.rate_hz, RATE_HZ, 1, "float32", "MQ")
            self._canceller.breaks()
        begun_s = left.at_s - (left.first - self._begun) / left.rate_hz
        self._next = left.first + len(left.sound)
        resampled = self._resampler.resample_chunk(left.sound)
        self._canceller.sends(resampled, begun_s + self._given / RATE_HZ)
        self._given += len(resampled)
