"""What the encoder model makes of a sound, and how that becomes probabilities; nothing else.

Likelihoods become probabilities by a temperature, since frames are not as independent as the sums
take them to be, and by a logistic regression that tells calls from what is none. What was fitted
stands in `CALIBRATION` alone.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from calllog.recognise.engine import AT_ONCE, Hypothesis
from calllog.recognise.sentences import Sentence

MOST_SENTENCES = 24
"""Sentences listed of what is expected, and of everything else: 12 meanings and more."""
DEPTH_NATS = 60.0
"""A sentence so far behind the best is not listed."""
SURE = 0.95
"""A sound whose best sentence has so large a share of all odds is not heard again."""

FEATURES = ("fit", "lead", "spoken", "pace", "also")
"""What tells calls from what is none (see `features`)."""


@dataclass(frozen=True, slots=True)
class ScoreCalibration:
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


CALIBRATION = ScoreCalibration(
    floor=1e-4,
    loop_weight=1.0 / 39.0,
    also_nats=4.119,
    temperature=1.871,
    intercept=-1.828,
    weights=(2.569, 2.029, -5.407, -0.741, -1.302),
)
"""For the encoder model."""


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


def _odds(evidence: Evidence, calibration: ScoreCalibration) -> tuple[dict[str, float], float]:
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
        rest = left(sentences, total)
        unlisted += math.exp(min(0.0, rest + prior - top) / calibration.temperature)
    return odds, math.fsum(odds.values()) + unlisted


def features(evidence: Evidence, calibration: ScoreCalibration = CALIBRATION) -> tuple[float, ...]:
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
    evidence: Evidence, calibration: ScoreCalibration = CALIBRATION
) -> tuple[Hypothesis, ...]:
    """Turn evidence into probabilities; what is missing to 1 is spread over sentences not listed.

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


def halfway(one: Sequence[Hypothesis], other: Sequence[Hypothesis]) -> tuple[Hypothesis, ...]:
    """Give what two that contradict each other come to: the mean of both, which is sure of none."""
    found: dict[str, float] = {}
    for each in (*one, *other):
        found[each.text] = found.get(each.text, 0.0) + 0.5 * each.probability
    meant = (Hypothesis(text, probability) for text, probability in found.items())
    return tuple(sorted(meant, key=lambda each: -each.probability))


def said_at_once(heard: Sequence[Hypothesis], probability: float) -> tuple[Hypothesis, ...]:
    """Give what was heard where two people spoke at once, as likely as told; in their order."""
    found = [Hypothesis(AT_ONCE, probability)]
    found += [Hypothesis(each.text, each.probability * (1.0 - probability)) for each in heard]
    return tuple(found)


def is_sure(evidence: Evidence, calibration: ScoreCalibration = CALIBRATION) -> bool:
    """Tell whether there is no need to hear the sound again: one sentence has nearly all odds."""
    if not (evidence.first or evidence.also):
        return False
    odds, total = _odds(evidence, calibration)
    return max(odds.values()) > SURE * total


def average(views: Sequence[Evidence]) -> Evidence:
    """Put together what the same sound says played at several speeds.

    A sentence's log-likelihood is the mean of those that it has in each view; where it is not
    listed, the most that it can have. What is left over in the totals is averaged in the same way,
    so that views that contradict each other share their odds among what they list, not among what
    they do not.

    Args:
        views: of one utterance; the first is of the sound as it came and gives the frames.

    Returns:
        Its lists hold what any view lists, likeliest first.
    """
    heard = [each for each in views if each.first or each.also]
    if not heard:
        return views[0]
    first, first_nats = _average([(each.first, each.first_nats) for each in heard])
    also, also_nats = _average([(each.also, each.also_nats) for each in heard])
    return replace(
        heard[0],
        first=first,
        also=also,
        first_nats=first_nats,
        also_nats=also_nats,
        loop_nats=math.fsum(each.loop_nats for each in heard) / len(heard),
        spoken=math.fsum(each.spoken for each in heard) / len(heard),
        units={text: units for each in heard for text, units in each.units.items()},
    )


def _average(
    views: Sequence[tuple[tuple[Sentence, ...], float]],
) -> tuple[tuple[Sentence, ...], float]:
    views = [(listed, total) for listed, total in views if listed]
    if not views:
        return (), -math.inf
    nats = [({each.text: each.nats for each in listed}, _most(listed)) for listed, _ in views]
    texts = dict.fromkeys(each.text for listed, _ in views for each in listed)
    means = [
        Sentence(text, math.fsum(known.get(text, most) for known, most in nats) / len(nats))
        for text in texts
    ]
    rest = math.fsum(left(listed, total) for listed, total in views) / len(views)
    top = max(each.nats for each in means)
    total = top + math.log(
        math.fsum(math.exp(each.nats - top) for each in means) + math.exp(rest - top)
    )
    return tuple(sorted(means, key=lambda each: -each.nats)), total


def _most(listed: Sequence[Sentence]) -> float:
    """Give the most that the log-likelihood of a sentence can be that is not listed [nat]."""
    if len(listed) < MOST_SENTENCES:
        return listed[0].nats - DEPTH_NATS
    return listed[-1].nats


def left(listed: Sequence[Sentence], total: float) -> float:
    """Give the log-likelihood of what is not listed [nat]; minus infinity if that is nothing."""
    rest = 1.0 - math.fsum(math.exp(each.nats - total) for each in listed)
    return total + math.log(rest) if rest > 0.0 else -math.inf
