"""What the speech decoder makes of what the encoder model lists, and both their odds; nothing else.

The encoder model (`calllog.recognise.evidence`) says how likely each sentence sounds, the decoder
that learnt from people how likely it would be written down. Their log-likelihoods are weighted and
added. How far the decoder would rather have written something else, and how much longer, tells a
call from what is none, above all from one with too many words. What was fitted stands in
`WRITTEN_CALIBRATION` alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from calllog.recognise.engine import Hypothesis
from calllog.recognise.evidence import Evidence, left

MOST_FIRST, MOST_ALSO = 8, 3
"""Sentences that are weighed of what is expected, and of everything else."""
WITHIN_NATS = 30.0
"""What the encoder model finds so much less likely than the best is not weighed."""
DEEPEST_NATS = 10.0
"""No sentence counts as less likely written than the best by more."""
BEHIND_NATS, AHEAD_NATS = 15.0, 5.0
"""By how much less, or more, likely than free writing a text can be."""
LEAST_LIKELY_NATS = -6.0
LONGER_TOKENS, SHORTER_TOKENS = 8, 2
UNWEIGHED_NATS, UNWEIGHED_TOKENS = 5.0, 4
"""What a text counts that nothing was weighed beside: so far behind free writing, so long."""

WRITTEN_FEATURES = ("fit", "lead", "spoken", "pace", "also", "behind", "likely", "longer")
"""What tells calls from what is none (see `written_features`)."""


@dataclass(frozen=True, slots=True)
class Written:
    """What the decoder makes of a sound."""

    nats: dict[str, float]
    """For each sentence weighed, the log-likelihood of all its written forms together [nat]."""
    tokens: dict[str, int]
    """For each, how many tokens the likeliest form has, its end among them."""
    free_nats: float
    """Log-likelihood of what the decoder writes freely [nat]."""
    free_tokens: int
    """How many tokens that has."""


@dataclass(frozen=True, slots=True)
class WrittenCalibration:
    """What turns both into probabilities; fitted on people and on tuning voices."""

    also_nats: float
    """By how much something else than the expected must be likelier [nat]."""
    temperature: float
    """Nats of the encoder model's likelihood that change the odds e-fold."""
    power: float
    """What a nat of the decoder's likelihood adds to the logarithm of the odds."""
    intercept: float
    """Log-odds that an utterance is a call when all features are 0."""
    weights: tuple[float, ...]
    """What each of `WRITTEN_FEATURES` adds to them, times its value."""


WRITTEN_CALIBRATION = WrittenCalibration(
    also_nats=4.119,
    temperature=3.08,
    power=0.294,
    intercept=0.053,
    weights=(0.943, 1.282, -7.102, 0.038, -0.578, 0.145, -0.093, -0.208),
)
"""For the encoder model and its decoder."""


def to_weigh(evidence: Evidence) -> tuple[str, ...]:
    """Choose the sentences that the decoder shall weigh, at most 11."""
    listed = (*evidence.first[:MOST_FIRST], *evidence.also[:MOST_ALSO])
    top = max((each.nats for each in (*evidence.first, *evidence.also)), default=0.0)
    return tuple(dict.fromkeys(each.text for each in listed if each.nats > top - WITHIN_NATS))


@dataclass(frozen=True, slots=True)
class _Weighed:
    """The odds of every sentence, the likeliest 1."""

    odds: dict[str, float]
    total: float
    """All odds together, those of what is not listed among them."""
    best: str
    raw_nats: float
    """The encoder model's log-likelihood of the best."""
    is_also: bool


def _weigh(evidence: Evidence, written: Written, calibration: WrittenCalibration) -> _Weighed:
    first = {each.text: each.nats for each in evidence.first}
    also = {each.text: each.nats for each in evidence.also}
    known = written.nats.values()
    top = max(known, default=0.0)
    unweighed = max(min(known, default=0.0) - top, -DEEPEST_NATS)
    scores: dict[str, float] = {}
    for text in dict.fromkeys((*first, *also)):
        sounds = max(first.get(text, -math.inf), also.get(text, -math.inf) - calibration.also_nats)
        reads = max(written.nats[text] - top, -DEEPEST_NATS) if text in written.nats else unweighed
        scores[text] = sounds / calibration.temperature + calibration.power * reads
    best = max(scores, key=scores.__getitem__)
    odds = {text: math.exp(score - scores[best]) for text, score in scores.items()}
    unlisted = 0.0
    for listed, total, prior in (
        (evidence.first, evidence.first_nats, 0.0),
        (evidence.also, evidence.also_nats, calibration.also_nats),
    ):
        rest = (left(listed, total) - prior) / calibration.temperature
        unlisted += math.exp(min(0.0, rest + calibration.power * unweighed - scores[best]))
    raw = first[best] if best in first else also[best]
    return _Weighed(odds, math.fsum(odds.values()) + unlisted, best, raw, best not in first)


def written_features(
    evidence: Evidence, written: Written, calibration: WrittenCalibration
) -> tuple[float, ...]:
    """Measure how well the best sentence explains the sound.

    Returns:
        In the order of `WRITTEN_FEATURES`: *fit*, *lead*, *spoken*, *pace* and *also* as
        `calllog.recognise.evidence.features` has them; *behind*, by how much likelier it is written
        than what the decoder writes freely [nat], -15 to 5; *likely*, its log-likelihood for each
        of its tokens [nat], -6 at least; *longer*, by how many tokens free writing is longer, -2
        to 8.
    """
    return _features(_weigh(evidence, written, calibration), evidence, written)


def _features(weighed: _Weighed, evidence: Evidence, written: Written) -> tuple[float, ...]:
    best, units = weighed.best, evidence.units[weighed.best]
    least = min(written.nats.values(), default=written.free_nats - UNWEIGHED_NATS)
    nats, tokens = written.nats.get(best, least), written.tokens.get(best, UNWEIGHED_TOKENS)
    longer = written.free_tokens - tokens
    return (
        (weighed.raw_nats - evidence.loop_nats) / units,
        weighed.odds[best] / weighed.total,
        evidence.spoken,
        math.log(max(evidence.frames, 1) / units),
        float(weighed.is_also),
        min(max(nats - written.free_nats, -BEHIND_NATS), AHEAD_NATS),
        max(nats / tokens, LEAST_LIKELY_NATS),
        float(min(max(longer, -SHORTER_TOKENS), LONGER_TOKENS)),
    )


def written_hypotheses(
    evidence: Evidence, written: Written, calibration: WrittenCalibration
) -> tuple[Hypothesis, ...]:
    """Turn what both say into probabilities (see `calllog.recognise.evidence.hypotheses`)."""
    if not (evidence.first or evidence.also):
        return ()
    weighed = _weigh(evidence, written, calibration)
    measured = _features(weighed, evidence, written)
    logit = calibration.intercept + sum(
        weight * value for weight, value in zip(calibration.weights, measured, strict=True)
    )
    is_call = 0.5 * (1.0 + math.tanh(logit / 2.0))
    odds = weighed.odds.items()
    found = [Hypothesis(text, is_call * odd / weighed.total) for text, odd in odds]
    found.append(Hypothesis("", 1.0 - is_call))
    return tuple(sorted(found, key=lambda each: -each.probability))
