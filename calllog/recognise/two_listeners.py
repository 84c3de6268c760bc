"""Two recognisers as one: both hear each utterance, and their odds are put together; shell.

Their mistakes are independent to a good part, so a meaning that both hear is far likelier than
either says, and one that only one hears far less. Logarithms of both probabilities are weighted and
added for each meaning, and a listener counts the more the surer it is that this is a call at all: a
voice or a noise that it does not know makes it doubt. A logistic regression over both listeners'
doubts and over how far they agree tells calls from what is none. What was fitted stands in
`WEIGHTS` alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import astuple, dataclass
from typing import Self

from calllog.audio import Utterance
from calllog.recognise.engine import Hypothesis, Recogniser
from calllog.spoken import Meaning, Parser
from calllog.values import Expectation

LIMIT = 10_000
"""Hundredths: whatever the tape, the same words mean the same to both listeners."""
SUREST = 1e-4
"""No listener's doubt counts as less than this, nor its certainty as more than 1 less it."""
SURE_ALONE, ASKED = 0.9, 0.3
"""Where one listener is so sure of a call, it is one at least so likely, whatever the other says:
enough to be asked again, too little to be taken. A call must not get lost on one deaf ear."""
DOUBT_NATS = (-4.0, 6.0)
"""Beyond these log-odds of a call a listener counts neither less nor more."""

Key = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Weights:
    """What puts two listeners together; fitted on tuning voices, with the same power and floor."""

    power: float
    """Either listener's probabilities of meanings are raised to this, where it doubts evenly."""
    surer: tuple[float, float]
    """What a unit of each listener's log-odds of a call adds to the logarithm of its power."""
    deaf: tuple[float, float]
    """Where a listener gives a call less than this, what it takes it for counts nothing."""
    floor: float
    """What either gives a meaning that it does not list, given that there was a call."""
    intercept: float
    """Log-odds of a call where all of the following are 0."""
    doubts: tuple[float, float]
    """What each listener's own log-odds of a call add."""
    agreement: float
    """What the logarithm of the chance that both mean the same adds."""


WEIGHTS = Weights(
    power=1.078,
    surer=(0.0843, 0.1282),
    deaf=(0.2, 0.0),
    floor=0.00915,
    intercept=0.116,
    doubts=(0.387, 0.907),
    agreement=-0.035,
)
"""For PocketSphinx and the numbers model, in this order."""
UNFITTED = Weights(
    power=1.0,
    surer=(0.0, 0.0),
    deaf=(0.0, 0.0),
    floor=1e-2,
    intercept=0.0,
    doubts=(0.7, 0.7),
    agreement=0.3,
)
"""For other pairs, which nobody has measured: each counts alike."""


@dataclass(frozen=True, slots=True)
class Opinion:
    """What one listener says, by meaning."""

    is_call: float
    """Probability that this is a call at all."""
    odds: dict[Key, float]
    """Probability of each meaning, given that it is a call."""
    texts: dict[Key, str]
    """The likeliest words for each."""


def opinion(hypotheses: Sequence[Hypothesis], meaning: Callable[[str], Key]) -> Opinion:
    """Sort what a listener heard by meaning; one that heard nothing is sure of no call."""
    odds: dict[Key, float] = {}
    best: dict[Key, Hypothesis] = {}
    no_call = 0.0 if hypotheses else 1.0
    for each in hypotheses:
        if not each.text:
            no_call += each.probability
            continue
        key = meaning(each.text)
        odds[key] = odds.get(key, 0.0) + each.probability
        if key not in best or each.probability > best[key].probability:
            best[key] = each
    is_call = min(max(1.0 - no_call, SUREST), 1.0 - SUREST)
    shares = {key: value / max(1.0 - no_call, SUREST) for key, value in odds.items()}
    return Opinion(is_call, shares, {key: each.text for key, each in best.items()})


def measures(first: Opinion, second: Opinion) -> tuple[float, float, float]:
    """Give what tells calls from none: both log-odds of a call, and the log of their agreement."""
    agreed = sum(share * second.odds.get(key, 0.0) for key, share in first.odds.items())
    return _logit(first.is_call), _logit(second.is_call), math.log(max(agreed, SUREST))


def fuse(first: Opinion, second: Opinion, weights: Weights) -> tuple[Hypothesis, ...]:
    """Put two opinions together; probabilities add up to 1, "no call" among them."""
    texts = second.texts | first.texts
    if not texts:
        return ()
    *doubts, agreed = measures(first, second)
    low, high = DOUBT_NATS
    powers = [
        0.0 if one.is_call < deaf else weights.power * math.exp(slope * min(max(doubt, low), high))
        for one, slope, doubt, deaf in zip(
            (first, second), weights.surer, doubts, weights.deaf, strict=True
        )
    ]
    nats = {
        key: sum(
            power * math.log(max(one.odds.get(key, 0.0), weights.floor))
            for one, power in zip((first, second), powers, strict=True)
        )
        for key in texts
    }
    top = max(nats.values())
    odds = {key: math.exp(value - top) for key, value in nats.items()}
    total = math.fsum(odds.values())
    logit = weights.intercept + weights.agreement * agreed
    logit += sum(weight * doubt for weight, doubt in zip(weights.doubts, doubts, strict=True))
    is_call = 0.5 * (1.0 + math.tanh(logit / 2.0))
    if max(first.is_call, second.is_call) >= SURE_ALONE:
        is_call = max(is_call, ASKED)
    found = [Hypothesis(texts[key], is_call * odd / total) for key, odd in odds.items()]
    found.append(Hypothesis("", 1.0 - is_call))
    return tuple(sorted(found, key=lambda each: -each.probability))


class TwoListeners:
    """Two recognisers behind the protocol of one; closes both.

    Args:
        first: one of them.
        second: the other.
        parser: the grammar's parser: words that mean the same count together.
        weights: what puts them together.
    """

    def __init__(
        self, first: Recogniser, second: Recogniser, parser: Parser, weights: Weights = WEIGHTS
    ) -> None:
        self._both = (first, second)
        self._parser = parser
        self._weights = weights

    @property
    def identity(self) -> str:
        """Both identities."""
        return " and ".join(each.identity for each in self._both)

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """List what may have been said (see `calllog.recognise.Recogniser`)."""

        def meaning(text: str) -> Key:
            found = self._parser.parse(text, expects, LIMIT)
            return astuple(found) if isinstance(found, Meaning) else (text,)

        first, second = (
            opinion(each.recognise(utterance, expects), meaning) for each in self._both
        )
        return fuse(first, second, self._weights)

    def close(self) -> None:
        """Close both; closing twice does no harm."""
        for each in self._both:
            each.close()

    def __enter__(self) -> Self:
        """Use the recogniser in a ``with`` statement."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close it."""
        self.close()


def _logit(probability: float) -> float:
    return math.log(probability / (1.0 - probability))
