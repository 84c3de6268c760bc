"""How loud the program itself is in each microphone, so that a person is heard over it; pure.

While words come out of the loudspeaker, a microphone hears them. How much weaker they arrive is
measured from the words themselves, and how loud its wearer is from their calls. Where the wearer
stands out, only what does not is passed over; elsewhere the microphone is deaf meanwhile.
Noise beside the words would make them seem louder than they are: of words that a canceller knows,
no more arrives than it foretells.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field
from functools import lru_cache
from statistics import median_low

import numpy as np
import numpy.typing as npt

from calllog.audio.filters import high_pass_gain

OUT = 10.0 ** (15.0 / 10.0)
"""15 dB: what is so much louder than the words arrive is somebody else's voice. Of 49 sayings of
the built-in voice their loudest block was 9 dB over it in the median, 12 at most."""
SURE = 10.0 ** (12.0 / 10.0)
"""12 dB: whose calls, pauses counted in, are so much louder is listened to while words are out."""
FAR_OUT = 10.0 ** (22.0 / 10.0)
"""22 dB: the same where it is foretold how loud the words arrive, which noise hides."""
FAINT = 10.0 ** (15.0 / 10.0)
"""15 dB: nothing is taken for a wearer that is so much weaker than their calls, pauses counted in.
What a canceller leaves of the program varies more than the program does."""
NEARLY = 10.0 ** (6.0 / 10.0)
"""6 dB: speech that is so much weaker than a wearer's calls, and no more, may be a call."""
ARRIVES = 10.0 ** (60.0 / 10.0)
"""60 dB: words that arrive so much weaker than a wearer's calls do not arrive at all."""
LEAST = 3
"""Blocks of words that a stretch must have to be measured: about 0.1 s."""
STRETCHES = 5
HANG = 10
"""Blocks for which a voice that stood out goes on, over the gaps within a word: 0.3 s."""
LOUDEST = 0.85
"""Share of a stretch's blocks that the program arrives no louder than; a tone fills a fifth of
them."""
SPOKEN = 8
"""Blocks of a voice over words that somebody has spoken by: about 0.26 s."""
MOSTLY = 0.3
"""Where a voice stood out of more of a stretch than all but this share, the loudspeaker itself has
become louder, or somebody spoke from its first word to its last."""
_FORGET = 0.01
"""Weight of a block of a call in how loud its wearer is: a memory of about 3 s of speech, for one
call's fading end must not pass for a quiet person."""
_RATE_HZ = 16_000
_FROM_HZ = 300.0


@dataclass(slots=True)
class _Words:
    """How loud the program's words arrive in a microphone."""

    arrivals: deque[float] = field(default_factory=lambda: deque(maxlen=STRETCHES))
    """Power that arrives of the words over the power that left, of the last stretches."""
    stretch: list[float] = field(default_factory=list)
    """Power of each block while the program sounds."""
    aside: list[float] = field(default_factory=list)
    """Of those in which a voice stood out."""
    loudest: float = 0.0
    """Greatest power that left meanwhile."""

    def sound(self, power: float, out: float, *, stands_out: bool = False) -> None:
        """Note a block in which the program may sound."""
        if out > 0.0:
            (self.aside if stands_out else self.stretch).append(power)
            self.loudest = max(self.loudest, out)

    def close(self) -> None:
        """End a stretch of words."""
        every = len(self.stretch) + len(self.aside)
        if len(self.stretch) < MOSTLY * every:
            self.stretch += self.aside
        if len(self.stretch) >= LEAST:
            self.arrivals.append(float(np.quantile(self.stretch, LOUDEST)) / self.loudest)
        self.stretch.clear()
        self.aside.clear()
        self.loudest = 0.0

    @property
    def arrival(self) -> float | None:
        """Power that arrives over the power that left; None before it is known."""
        return median_low(self.arrivals) if self.arrivals else None


@dataclass(slots=True)
class _Channel:
    """What is known of one microphone."""

    words: _Words = field(default_factory=_Words)
    """As they are heard, what a canceller takes away of them taken away."""
    whole: _Words = field(default_factory=_Words)
    """As they arrive."""
    foretold: _Words = field(default_factory=_Words)
    """What a canceller takes away of them."""
    person: float = 0.0
    """Mean power of the wearer's calls; 0 before the first."""
    spoken: int = 0
    """Blocks of them."""
    left: int = 0
    """Blocks for which a voice goes on."""
    hidden: int = 0
    """Blocks of this stretch in which somebody spoke unheard."""

    @property
    def arrival(self) -> float | None:
        """How loud words are heard, over how they left; as they arrive until that is known."""
        return self.whole.arrival if self.words.arrival is None else self.words.arrival

    def close(self) -> None:
        """End a stretch of words."""
        self.words.close()
        self.whole.close()
        self.foretold.close()
        self.left = self.hidden = 0

    def most(self, out: float, louder: float, person: float) -> float | None:
        """Tell how loud words arrive at most, over how they leave, by what is foretold of them.

        None where the wearer does not stand out of that by far: what is left of them is not known.
        """
        foretold = self.foretold.arrival
        if foretold is None or person <= FAR_OUT * foretold * louder * out:
            return None
        return foretold * louder

    def hides(self, block: _Overlaid, least: float | None, person: float, *, is_shut: bool) -> bool:
        """Tell whether nothing in a block counts as speech, and note it.

        Args:
            block: what is heard in it.
            least: how loud the words arrive in it; None if that is not known.
            person: power of the wearer's calls.
            is_shut: the wearer cannot be told from them.
        """
        power, whole = block.power, _least(self.whole.arrival, block.most)
        is_clean = block.fits or whole is None or block.whole > OUT * whole * block.out
        stands_out = least is not None and power > OUT * least and is_clean
        if least is not None and least * ARRIVES > person:
            stands_out = stands_out and power * FAINT > person
        self.words.sound(power, block.out, stands_out=stands_out)
        self.whole.sound(block.whole, block.out, stands_out=stands_out)
        if block.foretold > 0.0:
            self.foretold.sound(block.foretold, block.out)
        if is_shut:
            self.hidden += stands_out
            return True
        self.left = HANG if stands_out else max(0, self.left - 1) if is_clean else 0
        return self.left == 0

    def speak(self, power: float) -> None:
        """Note a block of a call."""
        self.spoken += 1
        self.person += max(_FORGET, 1.0 / self.spoken) * (power - self.person)


@dataclass(frozen=True, slots=True)
class _Overlaid:
    """What is heard in a channel in a block in which the program is out."""

    power: float
    """As it is looked at for speech."""
    whole: float
    """As it arrived."""
    out: float
    """Of the words that may arrive in it, as they left."""
    foretold: float
    """What a canceller took away of it."""
    fits: bool
    """That is what arrived."""
    most: float | None
    """How loud they arrive at most, over how they leave; None where only measuring tells."""


class OwnVoice:
    """Tells in which of 1 or 2 microphones nothing may be taken for speech."""

    def __init__(self, channels: int) -> None:
        self._channels = [_Channel() for _ in range(channels)]
        self._is_spoken_over = False
        self.is_shut = (False,) * channels
        """Of each channel, whether words hid its wearer altogether in the last block; else what
        is passed over is the words themselves."""
        self.may_hide = (False,) * channels
        """Of each channel, whether what is passed over in the last block is loud enough to be its
        wearer."""

    def forget(self) -> None:
        """Forget how loud the program arrives: it is no longer taken out of what is heard."""
        for of in self._channels:
            of.words.arrivals.clear()
            of.foretold.arrivals.clear()

    def learn(self, sound: npt.NDArray[np.float32], is_speech: tuple[bool, ...]) -> None:
        """Learn how loud the wearers are, while no words are out.

        Args:
            sound: shape (frames, channels), 16 kHz.
            is_speech: of each channel, whether its wearer speaks.
        """
        for of, power, speaks in zip(self._channels, _powers(sound), is_speech, strict=True):
            if of.hidden >= SPOKEN:
                self._is_spoken_over = True
            of.close()
            if speaks:
                of.speak(power)

    def is_wearers(self, channel: int, sound: npt.NDArray[np.float32]) -> bool:
        """Tell whether speech is as loud as the calls of a microphone's wearer; not before one.

        Args:
            channel: from 0.
            sound: shape (n,), 16 kHz.
        """
        person = self._channels[channel].person
        return person > 0.0 and sound.size > 0 and _powers(sound[:, None])[0] * NEARLY > person

    def spoken_over(self) -> bool:
        """Tell once that somebody spoke while words hid it, after these have ended."""
        is_spoken_over, self._is_spoken_over = self._is_spoken_over, False
        return is_spoken_over

    def arrives(
        self, sound: npt.NDArray[np.float32], out: float, is_speech: tuple[bool, ...]
    ) -> None:
        """Learn from a tone, which hides nobody, how loud the program arrives.

        Args:
            sound: shape (frames, channels), 16 kHz.
            out: the greatest power of the tone that may arrive in it.
            is_speech: of each channel, whether its wearer speaks meanwhile.
        """
        for of, power, speaks in zip(self._channels, _powers(sound), is_speech, strict=True):
            if not speaks:
                of.words.sound(power, out)

    def hides(
        self,
        sound: npt.NDArray[np.float32],
        out: float,
        *,
        whole: npt.NDArray[np.float32] | None = None,
        fits: tuple[bool, ...] = (),
        louder: tuple[float, ...] = (),
    ) -> tuple[bool, ...]:
        """Tell of each channel whether it is deaf while words are out.

        Args:
            sound: shape (frames, channels), 16 kHz.
            out: the greatest power of the words that may arrive in it.
            whole: the same before a canceller took the words away; none if there is none.
            fits: of each channel, whether what it took away is what arrived: after a hiccup of the
                loudspeaker it takes away what is not there, and leaves the words.
            louder: of each channel, by how much more of the words may arrive than it takes away of
                late, as power.
        """
        person = max(of.person for of in self._channels)
        mosts = [
            of.most(out, by, of.person or person)
            for of, by in zip(self._channels, louder or (1.0,) * len(self._channels), strict=True)
        ]
        every = zip(self._channels, mosts, strict=True)
        arrivals = [_least(of.arrival, most) for of, most in every]
        arrival = max((each or 0.0 for each in arrivals), default=0.0)
        # a microphone that is not known yet is taken to be worn as the other
        leasts = [(each or arrival) * out for each in arrivals]
        self.is_shut = tuple(
            not arrival or (of.person or person) <= SURE * least
            for of, least in zip(self._channels, leasts, strict=True)
        )
        powers = _powers(sound)
        self.may_hide = tuple(
            power * FAINT > (of.person or person)
            for of, power in zip(self._channels, powers, strict=True)
        )
        wholes = powers if whole is None else _powers(whole)
        foretold = [0.0] * len(powers) if whole is None else _powers(whole - sound)
        are_fit = fits or (whole is None,) * len(powers)
        blocks = [
            _Overlaid(power, before, out, taken, is_fit, most)
            for power, before, taken, is_fit, most in zip(
                powers, wholes, foretold, are_fit, mosts, strict=True
            )
        ]
        return tuple(
            of.hides(block, least if arrival else None, of.person or person, is_shut=is_shut)
            for of, block, least, is_shut in zip(
                self._channels, blocks, leasts, self.is_shut, strict=True
            )
        )


def _least(measured: float | None, most: float | None) -> float | None:
    """Give how loud words arrive: as measured beside all noise, but no louder than at most."""
    return measured if measured is None or most is None else min(measured, most)


def _powers(sound: npt.NDArray[np.float32]) -> list[float]:
    """Give each channel's power above the wind [mean square]."""
    frames = len(sound)
    spectrum = np.fft.rfft(sound, axis=0) * _gain(frames)[:, np.newaxis]
    return [float(each) for each in np.mean(np.square(np.abs(spectrum)), axis=0) / frames]


@lru_cache(maxsize=8)
def _gain(frames: int) -> npt.NDArray[np.float64]:
    """Give what lets pass what is above the wind, for a block of so many frames."""
    return high_pass_gain(np.fft.rfftfreq(frames, 1 / _RATE_HZ), _FROM_HZ, 2)
