"""What take and check may have been in, what to do about the pull out, by expected cost; pure.

Costs are counted in questions. Whatever the probabilities say, a take and a check that stand more
than the tolerance apart are never booked: redundancy must not hide a real disagreement. Nor is a
call that was said again and heard otherwise taken from its last hearing alone.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum

from calllog.decoding.evidence import Part


class Action(StrEnum):
    """What becomes of a pull."""

    BOOK = "book"
    NOTE = "book with a note"
    ASK = "ask"
    STOP = "stop"


@dataclass(frozen=True, slots=True)
class Costs:
    """What things cost, in questions (the crew's time; common sense, no published source)."""

    ask: float = 1.0
    wrong: float = 100.0
    """A wrong segment that nobody is told of, by probabilities that are too cautious: ten times as
    many, and more, are feared than found (decision 47)."""
    wrong_apart: float = 300.0
    """The same where take and check stand apart within the tolerance: two that were misheard meet
    more easily there than at one and the same length."""
    wrong_alone: float = 1000.0
    """The same without a check."""
    wrong_near: float = 20.0
    """One that is wrong by no more than the tolerance, which the crew does not tell apart."""
    unchecked: float = 0.05
    """Share of these costs in a segment that is marked unchecked: nobody relies on it so far."""
    note: float = 0.5
    """A note that the office has to follow up."""
    wrong_noted: float = 0.5
    """Share of the wrong ones that stay wrong although a note says so: notes are skimmed."""
    stop: float = 20.0
    """The chief has to decide, or the crew has to measure again."""
    wrong_answered: float = 0.02
    """Share of the wrong ones that stay wrong after the call was said again."""
    missed: float = 0.5
    """Share of the disagreements that were missed in which what is booked is the wrong one."""
    far_better: float = 10.0
    """A call is asked again over a disagreement only if mishearing is so many times likelier than
    that the two were called so far apart."""


COSTS = Costs()
CAUTIOUS = replace(COSTS, wrong=1000.0, wrong_apart=1000.0)
"""Those of editions before 6."""
ASKS_LESS_SINCE = 6
MOST_ASKED = 2
"""The same call is asked again so often, then the chief or the keypad decides."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """A call of a pull that may have been misheard."""

    is_take: bool
    part: Part
    """The whole foot or the hundredths."""
    probability: float
    """That what stands is not what was called."""
    asked: int = 0
    """How often it was asked again."""
    is_contradicted: bool = False
    """It was heard as often otherwise, when it was said again."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """What is known of a pull when it is decided."""

    wrong: float
    """Probability that what would be booked is off by more than the tolerance from what was
    called."""
    near: float
    """Probability that it is off by less than that, but off."""
    agree: float
    """Probability that what was called agrees within the tolerance; 1 without a check."""
    differs: bool
    """Take and check stand more than the tolerance apart."""
    is_apart: bool
    """They do not stand at the same length."""
    doubts: tuple[Doubt, ...]
    """The calls that were heard, not typed."""
    is_checked: bool
    can_ask: bool
    """The crew hears what is asked: it works live."""
    is_confirmed: bool = False
    """A call that was asked again came out the same."""
    missed: float = 0.0
    """Probability that take and check were called further apart than the tolerance, although they
    stand within it."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What to do, and what each way would have cost."""

    action: Action
    doubt: Doubt | None
    """The call with the most doubt; None if all were typed."""
    costs: Mapping[Action, float] = field(default_factory=dict)
    """Expected cost of each way that was open [questions]."""


def costs_of(edition: int) -> Costs:
    """Tell what things cost in an edition of the joint decoding."""
    return COSTS if edition >= ASKS_LESS_SINCE else CAUTIOUS


def decide(weighed: Weighed, costs: Costs = COSTS) -> Verdict:
    """Choose what costs least of what is allowed."""
    doubt = max(
        weighed.doubts,
        key=lambda each: (each.is_contradicted, each.probability, not each.is_take),
        default=None,
    )
    can_ask = weighed.can_ask and doubt is not None and doubt.asked < MOST_ASKED
    if weighed.differs:
        return _over_disagreement(weighed, doubt, costs, can_ask=can_ask)
    wrong = weighed.wrong + costs.missed * weighed.missed
    cost = costs.wrong_apart if weighed.is_apart else costs.wrong
    loss = wrong * (cost if weighed.is_checked else costs.wrong_alone)
    loss += weighed.near * costs.wrong_near
    loss *= 1.0 if weighed.is_checked else costs.unchecked
    open_ways = {Action.BOOK: loss}
    if doubt is not None:
        open_ways[Action.NOTE] = costs.note + costs.wrong_noted * loss
        if weighed.is_checked:
            open_ways[Action.STOP] = costs.stop
    if can_ask:
        open_ways[Action.ASK] = costs.ask + costs.wrong_answered * loss
    if doubt is not None and doubt.is_contradicted:
        if can_ask:
            return Verdict(Action.ASK, doubt, open_ways)
        if weighed.is_checked:
            return Verdict(Action.STOP, doubt, open_ways)
    return Verdict(min(open_ways, key=open_ways.__getitem__), doubt, open_ways)


def _over_disagreement(
    weighed: Weighed, doubt: Doubt | None, costs: Costs, *, can_ask: bool
) -> Verdict:
    """Stop, unless a mishearing explains it far better and can be asked about."""
    open_ways = {Action.STOP: weighed.agree * costs.stop}
    is_misheard = weighed.agree >= costs.far_better * (1.0 - weighed.agree)
    if can_ask and is_misheard and not weighed.is_confirmed:
        open_ways[Action.ASK] = costs.ask + (1.0 - weighed.agree) * costs.stop
    return Verdict(min(open_ways, key=open_ways.__getitem__), doubt, open_ways)
