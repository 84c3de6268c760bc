"""The numbers model behind the recogniser protocol: exact odds over all that may be said; shell.

The network gives for each frame the probability of each unit; from these come, summed over every
way to lay it out in time, the likelihood of each sentence of the grammar, of all sentences
together, and of free speech (any units in any order). Likelihoods become probabilities by a
temperature, since frames are not as independent as the sums take them to be, and by a logistic
regression that tells calls from what is none. What was fitted stands in `CALIBRATION` alone.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from pathlib import Path
from typing import Self

from calllog.audio import Utterance
from calllog.errors import ModelError
from calllog.recognise.automaton import build_automaton
from calllog.recognise.engine import Hypothesis
from calllog.recognise.frontend import surround
from calllog.recognise.mfcc import mfcc
from calllog.recognise.numbers_model import load_numbers_model
from calllog.recognise.sentences import Frames, Sentence, Sentences, Weighed
from calllog.recognise.word_sums import WordSums
from calllog.spoken import Grammar, SaidKind, words
from calllog.spoken.compile import parts
from calllog.values import Expectation

MOST_SENTENCES = 24
"""Sentences listed of what is expected, and of everything else: 12 meanings and more."""
DEPTH_NATS = 60.0
"""A sentence so far behind the best is not listed."""

FEATURES = ("fit", "lead", "spoken", "pace", "also")
"""What tells calls from what is none (see `features`)."""


@dataclass(frozen=True, slots=True)
class Calibration:
    """What turns likelihoods into probabilities; fitted on tuning voices alone."""

    floor: float
    """Least probability of a unit in a frame."""
    loop_weight: float
    """What each unit of free speech costs, a factor."""
    also_nats: float
    """By how much something else than the expected must be likelier [nat]."""
    temperature: float
    """Nats of likelihood that change the odds e-fold."""
    intercept: float
    """Log-odds that an utterance is a call when all features are 0."""
    weights: tuple[float, ...]
    """What each of `FEATURES` adds to them, times its value."""


CALIBRATION = Calibration(
    floor=1e-4,
    loop_weight=1.0 / 39.0,
    also_nats=3.876,
    temperature=1.758,
    intercept=-1.635,
    weights=(2.851, 2.261, -2.151, -1.645, -0.633),
)


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the sound says, before anything fitted turns it into probabilities."""

    first: tuple[Sentence, ...]
    """The likeliest sentences of what is expected, likeliest first."""
    also: tuple[Sentence, ...]
    """The likeliest sentences of everything else, likeliest first."""
    first_nats: float
    """Log-likelihood of everything that is expected, summed over all sentences [nat]."""
    also_nats: float
    """Log-likelihood of everything else [nat]."""
    loop_nats: float
    """Log-likelihood of free speech [nat]."""
    frames: int
    """Frames of the network's output."""
    spoken: float
    """Share of the frames whose likeliest unit is no blank, from 0 to 1."""
    units: dict[str, int]
    """For each sentence listed, how many units its words have, said the first way."""


def _odds(evidence: Evidence, calibration: Calibration) -> tuple[dict[str, float], float]:
    """Weigh the sentences, the likeliest 1, and tell what all odds are together."""
    lists = (
        (evidence.first, evidence.first_nats, 0.0),
        (evidence.also, evidence.also_nats, -calibration.also_nats),
    )
    nats: dict[str, float] = {}
    for sentences, _, prior in lists:
        for each in sentences:
            nats[each.text] = max(nats.get(each.text, -math.inf), each.nats + prior)
    top = max(nats.values())
    odds = {text: math.exp((value - top) / calibration.temperature) for text, value in nats.items()}
    unlisted = 0.0
    for sentences, total, prior in lists:
        rest = 1.0 - math.fsum(math.exp(each.nats - total) for each in sentences)
        if rest > 0.0 and total > -math.inf:
            unlisted += math.exp(
                min(0.0, math.log(rest) + total + prior - top) / calibration.temperature
            )
    return odds, math.fsum(odds.values()) + unlisted


def features(evidence: Evidence, calibration: Calibration = CALIBRATION) -> tuple[float, ...]:
    """Measure how well the best sentence explains the sound.

    Args:
        evidence: what the sound says; at least one sentence.
        calibration: temperature and prior odds.

    Returns:
        In the order of `FEATURES`: *fit*, by how much the best sentence is likelier than free
        speech, for each of its units [nat]; *lead*, its share of all odds, from 0 to 1; *spoken*,
        the share of frames with a unit; *pace*, the natural logarithm of frames for each unit;
        *also*, 1 if the best sentence is none of the expected, else 0.
    """
    odds, total = _odds(evidence, calibration)
    best = max(odds, key=odds.__getitem__)
    nats = {each.text: each.nats for each in (*evidence.also, *evidence.first)}
    units = evidence.units[best]
    return (
        (nats[best] - evidence.loop_nats) / units,
        odds[best] / total,
        evidence.spoken,
        math.log(evidence.frames / units),
        float(all(each.text != best for each in evidence.first)),
    )


def hypotheses(
    evidence: Evidence, calibration: Calibration = CALIBRATION
) -> tuple[Hypothesis, ...]:
    """Turn evidence into probabilities; what is missing to 1 is spread over sentences not listed.

    Args:
        evidence: what the sound says.
        calibration: how.

    Returns:
        Likeliest first, "no call" among them; none without any sentence.
    """
    if not (evidence.first or evidence.also):
        return ()
    odds, total = _odds(evidence, calibration)
    measured = features(evidence, calibration)
    logit = calibration.intercept + sum(
        weight * value for weight, value in zip(calibration.weights, measured, strict=True)
    )
    is_call = 0.5 * (1.0 + math.tanh(logit / 2.0))
    found = [Hypothesis(text, is_call * odd / total) for text, odd in odds.items()]
    found.append(Hypothesis("", 1.0 - is_call))
    return tuple(sorted(found, key=lambda each: -each.probability))


class NumbersRecogniser:
    """The numbers model behind the recogniser protocol.

    Args:
        grammar: what may be said.
        model: the model's folder.
        is_denoised: take noise out before the network hears.
        calibration: what turns likelihoods into probabilities.

    Raises:
        ModelError: the model is missing or broken, or lacks a word of the grammar.
    """

    def __init__(
        self,
        grammar: Grammar,
        model: Path,
        *,
        is_denoised: bool = False,
        calibration: Calibration = CALIBRATION,
    ) -> None:
        loaded = load_numbers_model(model, words(grammar))
        self._model = loaded
        self._grammar = grammar
        self._is_denoised = is_denoised
        self._calibration = calibration
        self._sums = WordSums(loaded.pronunciations)
        self._said: dict[Expectation, tuple[Sentences, Sentences]] = {}
        self._is_closed = False

    @property
    def identity(self) -> str:
        """Engine, the model folder's name and 12 digits of its final.mdl's SHA-256."""
        return f"calllog numbers, {self._model.identity}"

    def listen(self, utterance: Utterance, expects: Expectation) -> Evidence:
        """Work out what the sound says, before anything fitted is applied but the floor.

        Raises:
            ModelError: the recogniser was closed.
        """
        if self._is_closed:
            raise ModelError("the recogniser is closed", next_step="open a new recogniser")
        model, calibration = self._model, self._calibration
        sound = surround(utterance.samples, utterance.lead, is_denoised=self._is_denoised)
        cepstra = mfcc(sound, model.settings)
        outputs = model.network.log_probabilities(cepstra, model.step)
        frames = Frames(outputs, self._sums, calibration.floor)
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
        return hypotheses(self.listen(utterance, expects), self._calibration)

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

    def __enter__(self) -> Self:
        """Use the recogniser in a ``with`` statement."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close it."""
        self.close()


def _list(weighed: Weighed) -> tuple[Sentence, ...]:
    listed = tuple(itertools.islice(weighed.best(), MOST_SENTENCES))
    return tuple(each for each in listed if each.nats >= listed[0].nats - DEPTH_NATS)
