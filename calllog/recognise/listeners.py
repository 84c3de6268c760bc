"""Several recognisers as one: all hear each utterance, and their odds are put together; shell.

Their mistakes are independent to a good part, so a meaning that all hear is far likelier than each
of them says, and one that only one hears far less. Logarithms of their probabilities are weighted
and added for each meaning, and a listener counts the more the surer it is that this is a call at
all: a voice or a noise that it does not know makes it doubt. Which of them hears a voice better
shows by what they said of its last calls, and counts for the next. A logistic regression over all
doubts and over how far they agree tells calls from what is none. What was fitted stands in
`WEIGHTS` and `PAIR_WEIGHTS` alone.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import astuple, dataclass
from typing import Self

from calllog.audio import Utterance
from calllog.recognise.beside import HearsBeside
from calllog.recognise.engine import Hypothesis, Recogniser, set_aside_by
from calllog.spoken import Meaning, Parser, Why
from calllog.values import Expectation

LIMIT = 10_000
"""Hundredths: whatever the tape, the same words mean the same to all listeners."""
SUREST = 1e-4
"""No listener's doubt counts as less than this, nor its certainty as more than 1 less it."""
SURE_ALONE, ASKED = 0.9, 0.3
"""Where one listener is so sure of a call, it is one at least so likely, whatever others say:
enough to be asked again, too little to be taken. A call must not get lost on one deaf ear."""
DOUBT_NATS = (-4.0, 6.0)
"""Beyond these log-odds of a call a listener counts neither less nor more."""

SETTLED = 0.8
"""A call is settled, and tells who hears this channel, where all together are so sure."""
FADES, PRIOR_CALLS = 0.9, 5.0
"""What each further call leaves of a settled one, and how many that say nothing come first."""
HEARS = 0.5
"""Who gives a call less hears none."""
MOST_LEAD_NATS, LEAST_GIVEN = 3.0, 1e-3
"""No listener is further ahead, or gave a call less."""

Key = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Weights:
    """What puts listeners together; a number for each of them, in their order, or one for all."""

    power: tuple[float, ...]
    """Each listener's probabilities of meanings are raised to this, where it doubts evenly."""
    surer: tuple[float, ...]
    """What a unit of each listener's log-odds of a call adds to the logarithm of its power."""
    deaf: tuple[float, ...]
    """Where a listener gives a call less than this, what it takes it for counts nothing, and its
    doubt no more than so much."""
    floor: float
    """What each gives a meaning that it does not list, given that there was a call."""
    intercept: float
    """Log-odds of a call where all of the following are 0."""
    doubts: tuple[float, ...]
    """What each listener's own log-odds of a call add."""
    agreement: float
    """What the logarithm of the chance that two of them mean the same adds."""
    lead: tuple[float, float] = (0.0, 0.0)
    """What a nat of a listener's lead on this channel (see `Record`) adds to the logarithm of its
    power, and to that of what its log-odds of a call count."""


WEIGHTS = Weights(
    power=(0.4048, 0.4075, 1.1916),
    surer=(0.1313, 0.1743, -0.0303),
    deaf=(0.2, 0.0, 0.0),
    floor=0.00992,
    intercept=0.01,
    doubts=(0.2994, 0.3013, 0.7966),
    agreement=0.2676,
    lead=(0.0286, 0.0148),
)
"""For PocketSphinx, the numbers model and the encoder model, in this order."""
PAIR_WEIGHTS = Weights(
    power=(1.012, 1.012),
    surer=(0.0732, 0.1156),
    deaf=(0.2, 0.0),
    floor=0.00921,
    intercept=0.0472,
    doubts=(0.721, 0.795),
    agreement=0.0302,
    lead=(0.1038, 0.1313),
)
"""For PocketSphinx and the numbers model alone."""
DOUBTS_TOGETHER = 1.4
"""What the log-odds of listeners that were never measured together count, all of them."""


def unfitted(count: int) -> Weights:
    """Give the weights for listeners that nobody has measured together: each counts alike.

    The more there are the less each counts, for none is wholly independent of the others.
    """
    even = (0.0,) * count
    return Weights(
        power=(math.sqrt(2.0 / count),) * count,
        surer=even,
        deaf=even,
        floor=1e-2,
        intercept=0.0,
        doubts=(DOUBTS_TOGETHER / count,) * count,
        agreement=0.3,
    )


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


def measures(opinions: Sequence[Opinion]) -> tuple[tuple[float, ...], float]:
    """Give what tells calls from none: each one's log-odds of a call, and how far they agree.

    Returns:
        The log-odds, and the logarithm of the chance that any two of them mean the same.
    """
    agreed = [
        sum(share * other.odds.get(key, 0.0) for key, share in one.odds.items())
        for one, other in itertools.combinations(opinions, 2)
    ]
    mean = math.fsum(agreed) / len(agreed)
    return tuple(_logit(each.is_call) for each in opinions), math.log(max(mean, SUREST))


def fuse(
    opinions: Sequence[Opinion], weights: Weights, leads_nats: Sequence[float] = ()
) -> tuple[Hypothesis, ...]:
    """Put opinions together.

    Args:
        opinions: what each listener says, two at least.
        weights: what puts them together.
        leads_nats: by how much each heard the last calls of this channel better than the others
            [nat]; none: nobody did.

    Returns:
        Likeliest first, "no call" among them, probabilities that add up to 1; none where none of
        them heard anything.
    """
    texts: dict[Key, str] = {}
    for each in reversed(opinions):
        texts |= each.texts
    if not texts:
        return ()
    doubts, agreed = measures(opinions)
    low, high = DOUBT_NATS
    leads = leads_nats or (0.0,) * len(opinions)
    powers = [
        0.0
        if one.is_call < deaf
        else power * math.exp(slope * min(max(doubt, low), high) + weights.lead[0] * lead)
        for one, power, slope, doubt, deaf, lead in zip(
            opinions, weights.power, weights.surer, doubts, weights.deaf, leads, strict=True
        )
    ]
    nats = {
        key: sum(
            power * math.log(max(one.odds.get(key, 0.0), weights.floor))
            for one, power in zip(opinions, powers, strict=True)
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
    if max(each.is_call for each in opinions) >= SURE_ALONE:
        is_call = max(is_call, ASKED)
    found = [Hypothesis(texts[key], is_call * odd / total) for key, odd in odds.items()]
    found.append(Hypothesis("", 1.0 - is_call))
    return tuple(sorted(found, key=lambda each: -each.probability))


class Record:
    """Which of some listeners has heard one channel better of late.

    Args:
        count: how many listeners there are.
    """

    def __init__(self, count: int) -> None:
        self._kept = _Kept((0.0,) * count, PRIOR_CALLS)
        self._before = (-1.0, self._kept)
        """Start of the last utterance, and what stood before it."""

    @property
    def leads_nats(self) -> tuple[float, ...]:
        """By how much each is ahead of the others: means over the last calls [nat]."""
        given = [each / self._kept.calls for each in self._kept.nats]
        others = len(given) - 1
        leads = (one - (math.fsum(given) - one) / others for one in given)
        return tuple(min(max(lead, -MOST_LEAD_NATS), MOST_LEAD_NATS) for lead in leads)

    def meet(self, start_s: float) -> tuple[float, ...]:
        """Begin an utterance; give the leads that count for it.

        One that is heard again (it went on after a pause, or something else was expected) stands
        in place of what was heard of it before.
        """
        if start_s == self._before[0]:
            self._kept = self._before[1]
        self._before = (start_s, self._kept)
        return self.leads_nats

    def note(self, opinions: Sequence[Opinion], found: Sequence[Hypothesis]) -> None:
        """Keep how likely each took what all together are sure of, if they are.

        Where they hear different calls nothing is settled, however sure all together are: else
        whoever is ahead would win, and be further ahead.
        """
        if not found or found[0].probability <= SETTLED or not found[0].text:
            return
        hear = [one for one in opinions if one.odds and one.is_call >= HEARS]
        if len({max(one.odds, key=one.odds.__getitem__) for one in hear}) > 1:
            return
        text = found[0].text
        key = next(key for one in opinions for key, its in one.texts.items() if its == text)
        given = (max(one.is_call * one.odds.get(key, 0.0), LEAST_GIVEN) for one in opinions)
        self._kept = _Kept(
            tuple(
                nats * FADES + math.log(each)
                for nats, each in zip(self._kept.nats, given, strict=True)
            ),
            self._kept.calls * FADES + 1.0,
        )


@dataclass(frozen=True, slots=True)
class _Kept:
    """What a record keeps."""

    nats: tuple[float, ...]
    """Sum of the logarithms of what each gave the settled calls, the older the less."""
    calls: float
    """How many these are."""


class Listeners:
    """Recognisers behind the protocol of one; closes all.

    Args:
        listeners: two at least.
        parser: the grammar's parser: words that mean the same count together.
        weights: what puts them together.
    """

    def __init__(self, listeners: Sequence[Recogniser], parser: Parser, weights: Weights) -> None:
        self._listeners = tuple(listeners)
        self._parser = parser
        self._weights = weights
        self._records: dict[tuple[str, int], Record] = {}

    @property
    def identity(self) -> str:
        """All identities."""
        return " and ".join(each.identity for each in self._listeners)

    @property
    def set_aside(self) -> tuple[str, ...]:
        """Names of voices that a channel was said to be, and does not sound like."""
        return tuple(name for each in self._listeners for name in set_aside_by(each))

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """List what may have been said (see `calllog.recognise.Recogniser`)."""

        def meaning(text: str) -> Key:
            found = self._parser.parse(text, expects, self._parser.greatest)
            if isinstance(found, Meaning):
                return astuple(found)
            return (Why.MENDED,) if found.why is Why.MENDED else (text,)

        for each in self._listeners:
            if isinstance(each, HearsBeside):
                each.begin(utterance, expects)
        in_turn = sorted(self._listeners, key=lambda each: isinstance(each, HearsBeside))
        heard = {id(each): each.recognise(utterance, expects) for each in in_turn}
        opinions = [opinion(heard[id(each)], meaning) for each in self._listeners]
        channel = utterance.source, utterance.channel
        record = self._records.setdefault(channel, Record(len(opinions)))
        found = fuse(opinions, self._weights, record.meet(utterance.start_s))
        record.note(opinions, found)
        return found

    def close(self) -> None:
        """Close all; closing twice does no harm."""
        for each in self._listeners:
            each.close()

    def __enter__(self) -> Self:
        """Use the recogniser in a ``with`` statement."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close it."""
        self.close()


def _logit(probability: float) -> float:
    return math.log(probability / (1.0 - probability))
