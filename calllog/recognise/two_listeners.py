"""Two recognisers as one: both hear each utterance, and their odds are put together; shell.

Their mistakes are independent to a good part, so a meaning that both hear is far likelier than
either says, and one that only one hears far less. Logarithms of both probabilities are weighted and
added for each meaning, and a listener counts the more the surer it is that this is a call at all: a
voice or a noise that it does not know makes it doubt. Which of them hears a voice better shows by
what they said of its last calls, and counts for the next. A logistic regression over both
listeners' doubts and over how far they agree tells calls from what is none. What was fitted stands
in `WEIGHTS` alone.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import astuple, dataclass, field
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

SETTLED = 0.8
"""A call is settled, and tells who hears this channel, where both together are so sure."""
FADES, PRIOR_CALLS = 0.9, 5.0
"""What each further call leaves of a settled one, and how many that say nothing come first."""
HEARS = 0.5
"""Who gives a call less hears none."""
MOST_LEAD_NATS, LEAST_GIVEN = 3.0, 1e-3
"""No listener is further ahead, or gave a call less."""

Key = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Weights:
    """What puts two listeners together; fitted on tuning voices, with the same power and floor."""

    power: float
    """Either listener's probabilities of meanings are raised to this, where it doubts evenly."""
    surer: tuple[float, float]
    """What a unit of each listener's log-odds of a call adds to the logarithm of its power."""
    deaf: tuple[float, float]
    """Where a listener gives a call less than this, what it takes it for counts nothing, and its
    doubt no more than so much."""
    floor: float
    """What either gives a meaning that it does not list, given that there was a call."""
    intercept: float
    """Log-odds of a call where all of the following are 0."""
    doubts: tuple[float, float]
    """What each listener's own log-odds of a call add."""
    agreement: float
    """What the logarithm of the chance that both mean the same adds."""
    lead: tuple[float, float] = (0.0, 0.0)
    """What a nat of lead on this channel (see `Record`) adds to the logarithm of the second
    listener's power and takes from the first's, and the same for their log-odds of a call."""


WEIGHTS = Weights(
    power=1.012,
    surer=(0.0732, 0.1156),
    deaf=(0.2, 0.0),
    floor=0.00921,
    intercept=0.0472,
    doubts=(0.721, 0.795),
    agreement=0.0302,
    lead=(0.1038, 0.1313),
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


def fuse(
    first: Opinion, second: Opinion, weights: Weights, lead_nats: float = 0.0
) -> tuple[Hypothesis, ...]:
    """Put two opinions together.

    Args:
        first: what one listener says.
        second: what the other says.
        weights: what puts them together.
        lead_nats: by how much the second heard the last calls of this channel better [nat].

    Returns:
        Likeliest first, "no call" among them, probabilities that add up to 1; none where neither
        heard anything.
    """
    texts = second.texts | first.texts
    if not texts:
        return ()
    *doubts, agreed = measures(first, second)
    low, high = DOUBT_NATS
    leads = (-lead_nats, lead_nats)
    powers = [
        0.0
        if one.is_call < deaf
        else weights.power * math.exp(slope * min(max(doubt, low), high) + weights.lead[0] * lead)
        for one, slope, doubt, deaf, lead in zip(
            (first, second), weights.surer, doubts, weights.deaf, leads, strict=True
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
    logit += sum(
        weight * math.exp(weights.lead[1] * lead) * max(doubt, _logit(max(deaf, SUREST)))
        for weight, doubt, deaf, lead in zip(
            weights.doubts, doubts, weights.deaf, leads, strict=True
        )
    )
    is_call = 0.5 * (1.0 + math.tanh(logit / 2.0))
    if max(first.is_call, second.is_call) >= SURE_ALONE:
        is_call = max(is_call, ASKED)
    found = [Hypothesis(texts[key], is_call * odd / total) for key, odd in odds.items()]
    found.append(Hypothesis("", 1.0 - is_call))
    return tuple(sorted(found, key=lambda each: -each.probability))


@dataclass(slots=True)
class Record:
    """Which of two listeners has heard one channel better of late."""

    _nats: float = 0.0
    _calls: float = PRIOR_CALLS
    _before: tuple[float, float, float] = field(default=(-1.0, 0.0, PRIOR_CALLS))
    """Start of the last utterance, and what stood before it."""

    @property
    def lead_nats(self) -> float:
        """By how much the second is ahead of the first: the mean over the last calls [nat]."""
        return min(max(self._nats / self._calls, -MOST_LEAD_NATS), MOST_LEAD_NATS)

    def meet(self, start_s: float) -> float:
        """Begin an utterance; give the lead that counts for it.

        One that is heard again (it went on after a pause, or something else was expected) stands
        in place of what was heard of it before.
        """
        if start_s == self._before[0]:
            _, self._nats, self._calls = self._before
        self._before = (start_s, self._nats, self._calls)
        return self.lead_nats

    def note(self, first: Opinion, second: Opinion, found: Sequence[Hypothesis]) -> None:
        """Keep how likely each took what both together are sure of, if they are.

        Where each hears another call nothing is settled, however sure both together are: else
        whoever is ahead would win, and be further ahead.
        """
        if not found or found[0].probability <= SETTLED or not found[0].text:
            return
        hear = [one for one in (first, second) if one.odds and one.is_call >= HEARS]
        if len({max(one.odds, key=one.odds.__getitem__) for one in hear}) > 1:
            return
        text = found[0].text
        key = next(key for one in (first, second) for key, its in one.texts.items() if its == text)
        given = [max(one.is_call * one.odds.get(key, 0.0), LEAST_GIVEN) for one in (first, second)]
        self._nats = self._nats * FADES + math.log(given[1] / given[0])
        self._calls = self._calls * FADES + 1.0


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
        self._records: dict[tuple[str, int], Record] = {}

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
        record = self._records.setdefault((utterance.source, utterance.channel), Record())
        found = fuse(first, second, self._weights, record.meet(utterance.start_s))
        record.note(first, second, found)
        return found

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
