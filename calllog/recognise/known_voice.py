"""A voice that was learned, and whether what is heard is that voice; pure.

The crew says whose voice a microphone's is, and may be wrong: the two changed headsets, somebody
stands in, the profile is another's. So each utterance tells by its pitch and spectrum whether it is
the voice that was learned, and by its likelihoods whether it is heard better with the profile than
without. One that the utterances of a channel do not support counts for nothing: all is heard then
as if nobody were known.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from calllog.errors import ModelError
from calllog.recognise.encoder import WIDTH
from calllog.recognise.known_words import KnownWords
from calllog.recognise.shift import Shift
from calllog.recognise.voiceprint import Array, Voiceprint

if TYPE_CHECKING:
    from calllog.recognise.encoder_model import EncoderModel
    from calllog.recognise.evidence import Evidence

NEUTRAL = 3.0
"""At this distance of voiceprints (`Voiceprint.distance`) an utterance tells nothing."""
MOST_AGAINST, MOST_FOR = -3.0, 2.0
"""No utterance tells more against or for a voice."""
AT_FIRST = 1.0
"""So far the crew's word is taken before anything was heard."""
TRUSTED = 2.0
"""It is heard by a voice from here on: at the first call already, if that is near to it. Where two
people share a microphone each call tells for itself alone."""
ASIDE = -6.0
"""Where utterances tell so much against a voice it is told that it is set aside."""
FADES = 0.9
"""What each further utterance leaves of what was told before."""
LEAST_SUPPORT_NATS = -2.0
"""An utterance that a profile makes so much less likely contradicts it: neither is taken alone."""


@dataclass(frozen=True, slots=True, eq=False)
class KnownVoice:
    """A voice that was learned."""

    name: str
    made_of: tuple[str, str]
    """SHA-256 of the network that was shifted, and of the encoder before it."""
    shift: Shift
    voiceprint: Voiceprint
    said: tuple[str, ...] = ()
    """Words that were said when it was learned, which alone are heard by it; none for all."""
    words: KnownWords | None = None
    """How it says words; None where that was not learned."""


def is_made_for(voice: KnownVoice, model: EncoderModel) -> bool:
    """Tell whether a voice was learned for a model."""
    fits = voice.shift.weights.shape == (WIDTH, len(model.units))
    fits = fits and (voice.words is None or len(voice.words.reads) == WIDTH)
    return fits and voice.made_of == model.made_of


def require_made_for(voice: KnownVoice, model: EncoderModel) -> None:
    """Pass if a voice was learned for a model.

    Raises:
        ModelError: it was learned for another one.
    """
    if not is_made_for(voice, model):
        raise ModelError(
            f"the voice of {voice.name} was learned for another model",
            next_step=f"enroll again: calllog enroll {voice.name!r}; or leave the voice out",
        )


def support_nats(by_voice: Evidence, plain: Evidence) -> float:
    """Tell how much likelier a sound is by a voice than without [nat].

    Over all that may be said, whatever it was, so that it does not matter whether either of them
    hears it right.
    """
    return _total(by_voice) - _total(plain)


def _total(evidence: Evidence) -> float:
    nats = (evidence.first_nats, evidence.also_nats)
    top = max(nats)
    if top == -math.inf:
        return -1e3
    return top + math.log(math.fsum(math.exp(each - top) for each in nats))


class Trust:
    """How far the utterances of one channel are the voices that it is said to be.

    Args:
        voices: one at least.
    """

    def __init__(self, voices: Sequence[KnownVoice]) -> None:
        self._voices = tuple(voices)
        self._kept = (AT_FIRST,) * len(self._voices)
        self._before = (-1.0, self._kept)
        """Start of the last utterance, and what stood before it."""

    @property
    def is_set_aside(self) -> tuple[bool, ...]:
        """Of each voice, whether the utterances tell against it beyond doubt."""
        return tuple(each <= ASIDE for each in self._kept)

    @property
    def is_trusted(self) -> tuple[bool, ...]:
        """Of each voice, whether the utterances tell for it."""
        return tuple(each > 0.0 for each in self._kept)

    def meet(self, start_s: float, trait: Array | None) -> tuple[int, ...]:
        """Begin an utterance; give the voices that it may be, likeliest first.

        Args:
            start_s: where it begins [s]; one that is heard again stands in place of what was heard
                of it before.
            trait: what it tells of its voice.
        """
        if start_s == self._before[0]:
            self._kept = self._before[1]
        self._before = (start_s, self._kept)
        far = [each.voiceprint.distance(trait) for each in self._voices]
        told = [
            0.0 if each is None else min(max(NEUTRAL - each, MOST_AGAINST), MOST_FOR)
            for each in far
        ]
        self._kept = tuple(
            before * FADES + now for before, now in zip(self._kept, told, strict=True)
        )
        is_shared = len(told) > 1
        sure = [AT_FIRST * FADES + now for now in told] if is_shared else self._kept
        ranked = sorted(range(len(told)), key=lambda each: -sure[each])
        return tuple(each for each in ranked if sure[each] >= TRUSTED and told[each] >= 0.0)


def is_supported(by_voice: Evidence, plain: Evidence) -> bool:
    """Tell whether a sound is as likely by a voice as without, or nearly."""
    return support_nats(by_voice, plain) >= LEAST_SUPPORT_NATS
