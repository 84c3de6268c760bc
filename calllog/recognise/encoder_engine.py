"""The encoder model behind the recogniser protocol: exact odds over all that may be said; shell.

Its network gives for each frame the probability of each unit; from these come, summed over every
way to lay it out in time, the likelihood of each sentence of the grammar, of all sentences
together, and of free speech (any units in any order). `calllog.recognise.evidence` makes
probabilities of them. Where the best sentence is not sure, the same sound is heard again a tenth
slower and a tenth faster, and the likelihoods are averaged: a voice that is strange to the network
at one speed is often less so at another.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soxr

from calllog.audio import RATE_HZ, Utterance
from calllog.closing import Closes
from calllog.errors import ModelError
from calllog.recognise.at_once import LIKELY
from calllog.recognise.automaton import build_automaton
from calllog.recognise.encoder import STEP_S
from calllog.recognise.encoder_model import EncoderModel, ReadFrames, load_encoder_model
from calllog.recognise.engine import Hypothesis
from calllog.recognise.evidence import (
    DEPTH_NATS,
    MOST_SENTENCES,
    Evidence,
    ScoreCalibration,
    average,
    halfway,
    hypotheses,
    is_sure,
    said_at_once,
)
from calllog.recognise.frontend import surround
from calllog.recognise.known_voice import KnownVoice, Trust, is_supported, require_made_for
from calllog.recognise.sentences import (
    AsAnybody,
    HeardFrames,
    Sentence,
    Sentences,
    WeighedSentences,
)
from calllog.recognise.voiceprint import trait_of
from calllog.recognise.word_sums import WordSums
from calllog.spoken import Grammar, SaidKind, words
from calllog.spoken.compile import parts
from calllog.system import SYSTEM
from calllog.values import Expectation

SPEEDS = (0.9, 1.1)
"""At which a sound is heard again; with 1, what Ko, Peddinti, Povey and Khudanpur train at ("Audio
augmentation for speech recognition", Interspeech 2015; from memory)."""

LONGEST_WORD_S = 1.5
LONGEST = round(LONGEST_WORD_S / STEP_S)
"""Frames of a word."""
LONG_S = 3.0
"""Hearing something longer, which is hardly a call, leaves memory behind that no call needs."""

Sound = npt.NDArray[np.float32]


class _Played:
    """An utterance at several speeds, each encoded once however many voices it is heard by.

    Args:
        model: hears.
        utterance: the sound.
        for_voices: voices may hear it.
    """

    def __init__(self, model: EncoderModel, utterance: Utterance, *, for_voices: bool) -> None:
        self._model, self._utterance, self._for_voices = model, utterance, for_voices
        self._read: dict[float, ReadFrames] = {}

    def read(self, speed: float) -> ReadFrames:
        """Give what is made of it at a speed, before any voice counts."""
        if speed not in self._read:
            samples, lead = self._utterance.samples, self._utterance.lead
            if speed != 1.0:
                samples, lead = played(samples, speed), played(lead, speed)
            sound = surround(samples, lead)
            self._read[speed] = self._model.hear(
                sound, for_voices=self._for_voices, for_two=speed == 1.0
            )
        return self._read[speed]


class _Ears:
    """Word sums of a model, by a voice or by none.

    Args:
        model: hears.
        sums: of all words.
        floor: the least probability that counts.
        voice: whose voice it is; None for anybody's.
    """

    def __init__(
        self, model: EncoderModel, sums: WordSums, floor: float, voice: KnownVoice | None
    ) -> None:
        self._model, self._sums, self._floor, self._voice = model, sums, floor, voice
        said = voice.said if voice is not None else ()
        ways = model.pronunciations
        self._said = WordSums({word: ways[word] for word in said if word in ways}, LONGEST)

    def hear(self, read: ReadFrames) -> HeardFrames:
        """Hear frames."""
        if self._voice is None:
            return HeardFrames(self._model.outputs(read, None), self._sums, self._floor)
        outputs = self._model.outputs(read, self._voice.shift)
        if not self._said.ends:
            return HeardFrames(outputs, self._sums, self._floor)
        words = self._voice.words
        factors = {} if words is None else words.factors(read.inner, LONGEST)
        anybody = AsAnybody(self._model.outputs(read, None), self._said, factors)
        return HeardFrames(outputs, self._sums, self._floor, anybody)


class EncoderRecogniser(Closes):
    """The encoder model behind the recogniser protocol.

    Args:
        grammar: what may be said.
        model: the model's folder.
        calibration: what turns likelihoods into probabilities; by default the model's.
        speeds: at which a sound is heard again that is not sure at its own.
        voices: for each channel the voices that may be heard in it; none for a channel that is left
            out.

    Raises:
        ModelError: the model is missing or broken, lacks a word of the grammar, or is another than
            that for which a voice was learned.
    """

    def __init__(
        self,
        grammar: Grammar,
        model: Path,
        *,
        calibration: ScoreCalibration | None = None,
        speeds: tuple[float, ...] = SPEEDS,
        voices: Mapping[int, tuple[KnownVoice, ...]] | None = None,
    ) -> None:
        loaded = load_encoder_model(model, words(grammar))
        self._model = loaded
        self._grammar = grammar
        self._calibration = calibration or loaded.calibration
        self._speeds = speeds
        self._sums = WordSums(loaded.pronunciations, LONGEST)
        self._said: dict[Expectation, tuple[Sentences, Sentences]] = {}
        self._voices = dict(voices or {})
        for each in itertools.chain.from_iterable(self._voices.values()):
            require_made_for(each, loaded)
        floor = self._calibration.floor
        self._ears = _Ears(loaded, self._sums, floor, None)
        self._by_voice = {
            channel: tuple(_Ears(loaded, self._sums, floor, each) for each in those)
            for channel, those in self._voices.items()
        }
        self._trust: dict[tuple[str, int], Trust] = {}
        """By source and channel."""
        self._is_closed = False

    @property
    def model(self) -> EncoderModel:
        """The model."""
        return self._model

    @property
    def calibration(self) -> ScoreCalibration:
        """What turns likelihoods into probabilities."""
        return self._calibration

    @property
    def set_aside(self) -> tuple[str, ...]:
        """Names of voices that a channel was said to be, and does not sound like."""
        return tuple(
            dict.fromkeys(
                voice.name
                for (_, channel), trust in self._trust.items()
                for voice, is_aside in zip(self._voices[channel], trust.is_set_aside, strict=True)
                if is_aside and not any(trust.is_trusted)
            )
        )

    @property
    def identity(self) -> str:
        """Engine, the model folder's name and 12 digits of SHA-256."""
        return f"calllog encoder, {self._model.identity}"

    def listen(self, utterance: Utterance, expects: Expectation) -> Evidence:
        """Work out what the sound says, before anything fitted is applied but the floor.

        Raises:
            ModelError: the recogniser was closed.
        """
        sound = _Played(self._model, utterance, for_voices=False)
        return self._listen(sound, expects, self._ears)

    def _listen(self, sound: _Played, expects: Expectation, ears: _Ears) -> Evidence:
        """Work out what a sound says by a voice; again at other speeds where that is not sure."""
        if self._is_closed:
            raise ModelError("the recognizer is closed", next_step="open a new recognizer")
        heard = self._hear(ears.hear(sound.read(1.0)), expects)
        if is_sure(heard, self._calibration):
            return heard
        again = (self._hear(ears.hear(sound.read(speed)), expects) for speed in self._speeds)
        return average((heard, *again))

    def _hear(self, frames: HeardFrames, expects: Expectation) -> Evidence:
        model, calibration = self._model, self._calibration
        if not frames.count:
            return Evidence((), (), -math.inf, -math.inf, 0.0, 0, 0.0, {})
        first, also = (each.weigh(frames) for each in self._sentences(expects))
        listed = _list(first), _list(also)
        return Evidence(
            *listed,
            first_nats=first.nats,
            also_nats=also.nats,
            loop_nats=frames.loop_nats(calibration.loop_weight),
            frames=frames.count,
            spoken=frames.spoken,
            units={
                each.text: sum(len(model.pronunciations[word][0]) for word in each.text.split())
                for sentences in listed
                for each in sentences
            },
        )

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """List what may have been said (see `calllog.recognise.Recogniser`)."""
        found = self._recognised(utterance, expects)
        if utterance.samples.size > LONG_S * RATE_HZ:
            SYSTEM.free_memory()
        return found

    def _recognised(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        for_voices = bool(self._voices.get(utterance.channel))
        sound = _Played(self._model, utterance, for_voices=for_voices)
        heard = self._heard(sound, utterance, expects)
        at_once = sound.read(1.0).at_once
        return said_at_once(heard, at_once) if heard and at_once >= LIKELY else heard

    def _heard(
        self, sound: _Played, utterance: Utterance, expects: Expectation
    ) -> tuple[Hypothesis, ...]:
        """List what may have been said by one person, by a known voice if it is one's."""
        known = self._voices.get(utterance.channel, ())
        plain = self._listen(sound, expects, self._ears)
        if not known:
            return hypotheses(plain, self._calibration)
        channel = utterance.source, utterance.channel
        trust = self._trust.setdefault(channel, Trust(known))
        for likely in trust.meet(utterance.start_s, trait_of(utterance.samples))[:1]:
            heard = self._listen(sound, expects, self._by_voice[utterance.channel][likely])
            by_voice = hypotheses(heard, self._calibration)
            if is_supported(heard, plain):
                return by_voice
            return halfway(by_voice, hypotheses(plain, self._calibration))
        return hypotheses(plain, self._calibration)

    def _sentences(self, expects: Expectation) -> tuple[Sentences, Sentences]:
        if expects not in self._said:
            listens, units = self._grammar.listens[expects], len(self._model.units)
            self._said[expects] = (
                self._compile(expects, listens.first, units),
                self._compile(expects, listens.also, units),
            )
        return self._said[expects]

    def _compile(self, expects: Expectation, kinds: tuple[SaidKind, ...], units: int) -> Sentences:
        trees = tuple(parts(self._grammar, expects, kinds).values())
        return Sentences(build_automaton(trees), self._sums, units)

    def close(self) -> None:
        """End the recogniser's use; closing twice does no harm."""
        self._is_closed = True
        self._said.clear()


def _list(weighed: WeighedSentences) -> tuple[Sentence, ...]:
    listed = tuple(itertools.islice(weighed.best(), MOST_SENTENCES))
    return tuple(each for each in listed if each.nats >= listed[0].nats - DEPTH_NATS)


def played(samples: Sound, speed: float) -> Sound:
    """Play a sound so much faster, pitch and all."""
    if not samples.size:
        return samples
    return np.asarray(soxr.resample(samples, speed, 1.0), np.float32)
