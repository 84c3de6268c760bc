"""Hypotheses in, what was heard out: a call, a question or nothing; the parser decides."""

from __future__ import annotations

from dataclasses import dataclass

from calllog.recognise.engine import AT_ONCE, Hypothesis
from calllog.spoken import Meaning, Parser, Rejection, Why
from calllog.spoken.grammar import STYLE_NAMES
from calllog.values import (
    NUMBERS,
    Alternative,
    Expectation,
    Kind,
    Message,
    OffsetNote,
    Outcome,
    Role,
    message,
)


@dataclass(frozen=True, slots=True)
class Heard:
    """One utterance as it was understood."""

    text: str
    kind: Kind
    probability: float
    outcome: Outcome
    reason: Message | None
    alternatives: tuple[Alternative, ...] = ()
    value: int | None = None
    """Hundredths of a foot or meter; None for what is no number."""
    name: str = ""
    amount: float | None = None
    role: Role = Role.UNSAID
    """The end that the caller named; unsaid if none."""
    note: OffsetNote | None = None


NOTHING = message("no-call-made-out")
SURE = 2.0 / 3.0
"""A call less likely than this, less than twice as likely as not, is asked again, never taken."""
TENTATIVE = 0.25
"""The same for a number where all calls of a pull are weighed with its check. A question costs its
caller one repetition; a number taken wrong costs a third more, since it must be noticed in the
read-back: so taking costs less from 1 - 3/4 up, and the check shows what was not noticed."""
DOUBTFUL = 0.2
"""A call at least this likely is asked again where "no call" is likelier still."""
MENDED = 0.15
"""A number is asked again where it is this likely that its caller mended it in the same breath: to
take the number that was mended is worse than to ask."""
OVER = 0.15
"""Where a part is due, a number is asked again where it is this likely that more figures were said
than a part has: two figures heard out of three are a wrong number."""
FEWEST_OVER = 3
"""No part has so many figures said one by one."""
TALK = 0.1
"""Where it is this likely that the crew only talked, a number is taken as if nothing else of the
pull told of it: talk that is taken for a number puts the pull out of step."""
PARTS = frozenset({Expectation.WHOLE, Expectation.FRACTION})
"""Where a part is due, a reading said in figures alone is asked again: "four two four two" is as
well a number said twice, or two with a figure too many, and nobody needs to call a reading so."""
RATHER = 0.5
"""So is the likeliest where all calls together are likelier than this: that one was made is
likelier than not, whichever it was. Where it is likelier than this that two people spoke at once,
any call is asked: it may be either's, or neither's."""


def understand(
    parser: Parser,
    hypotheses: tuple[Hypothesis, ...],
    expects: Expectation,
    limit: int,
    sure: float = SURE,
) -> Heard:
    """Take the likeliest meaning; words that mean the same count together.

    Args:
        parser: the grammar's parser.
        hypotheses: what the recogniser heard, likeliest first.
        expects: what was expected.
        limit: the greatest reading on this tape, hundredths of a foot or meter.
        sure: how likely a number must be to be taken.

    Returns:
        The call, or the reason why it is asked again or ignored, with every alternative.
    """
    at_once = sum(each.probability for each in hypotheses if each.text == AT_ONCE)
    groups: dict[object, list[tuple[Hypothesis, Meaning | Rejection]]] = {}
    for hypothesis in (each for each in hypotheses if each.text != AT_ONCE):
        found = parser.parse(hypothesis.text, expects, limit)
        key: object = found
        if isinstance(found, Rejection):
            key = (found.outcome, found.reason.model_dump_json())
        groups.setdefault(key, []).append((hypothesis, found))
    ranked = sorted(
        ((sum(h.probability for h, _ in group), group[0]) for group in groups.values()),
        key=lambda each: -each[0],
    )
    alternatives = tuple(
        Alternative(
            text=hypothesis.text,
            kind=found.kind if isinstance(found, Meaning) else _kind(found),
            value=found.value if isinstance(found, Meaning) else None,
            probability=round(probability, 4),
        )
        for probability, (hypothesis, found) in ranked
    )
    if not ranked:
        return Heard(
            text="", kind=Kind.UNCLEAR, probability=0.0, outcome=Outcome.IGNORED, reason=NOTHING
        )
    probability, (hypothesis, found) = ranked[0]
    probability = round(probability, 4)
    is_over = expects in PARTS and _over(parser, ranked) >= OVER
    if (doubt := _doubt(ranked, sure, is_over=is_over, at_once=at_once)) is not None:
        likely, text, code = doubt
        return unclear(text, likely, message(code, said=text), alternatives)
    if isinstance(found, Rejection):
        return Heard(
            text=hypothesis.text,
            kind=_kind(found),
            probability=probability,
            outcome=found.outcome,
            reason=found.reason if hypothesis.text else NOTHING,
            alternatives=alternatives,
        )
    if found.kind is Kind.READING and expects in PARTS and parser.is_in_figures(hypothesis.text):
        asks = message("not-sure-of", said=hypothesis.text)
        return unclear(hypothesis.text, probability, asks, alternatives)
    is_talk = found.kind is Kind.CHATTER
    return Heard(
        text=hypothesis.text,
        kind=found.kind,
        value=found.value,
        name=found.name,
        amount=found.amount,
        role=found.role,
        probability=probability,
        alternatives=alternatives,
        outcome=Outcome.IGNORED if is_talk else Outcome.CALL,
        reason=message("crew-talk") if is_talk else None,
        note=found.note,
    )


def unclear(
    text: str, probability: float, asks: Message, alternatives: tuple[Alternative, ...] = ()
) -> Heard:
    """Ask again for what may have been a call."""
    return Heard(
        text=text,
        kind=Kind.UNCLEAR,
        probability=probability,
        outcome=Outcome.ASK,
        reason=asks,
        alternatives=alternatives,
    )


def remark() -> Heard:
    """Take an utterance as a remark, kept as sound and not understood."""
    return Heard(
        text="",
        kind=Kind.REMARK,
        probability=1.0,
        outcome=Outcome.IGNORED,
        reason=message("remark-kept"),
    )


def _doubt(
    ranked: list[tuple[float, tuple[Hypothesis, Meaning | Rejection]]],
    sure: float,
    *,
    is_over: bool,
    at_once: float,
) -> tuple[float, str, str] | None:
    """Find the call to ask again: one that leads, but not surely, or one behind "no call".

    Returns:
        Its probability, its words, and the code of the question.
    """
    calls = [
        (round(probability, 4), hypothesis.text, found)
        for probability, (hypothesis, found) in ranked
        if isinstance(found, Meaning) and found.kind is not Kind.CHATTER
    ]
    if not calls:
        return None
    likely, text, meant = calls[0]
    kind = meant.kind
    leader = ranked[0][1][0].text
    least = sure if kind in NUMBERS else SURE
    if kind in NUMBERS and _talked(ranked) >= TALK:
        least = SURE
    if kind in NUMBERS and (is_over or _mended(ranked) >= MENDED):
        least = 1.0
    if at_once > RATHER:
        least = 1.0
    alone = 1.0 - at_once
    is_one = likely >= DOUBTFUL * alone or sum(each for each, _, _ in calls) > RATHER * alone
    is_doubtful = likely < least if text == leader else not leader and is_one
    is_style = kind is Kind.COMMAND and meant.name in STYLE_NAMES
    code = "not-sure-of-style" if is_style else "not-sure-of"
    return (likely, text, code) if is_doubtful else None


def _talked(ranked: list[tuple[float, tuple[Hypothesis, Meaning | Rejection]]]) -> float:
    """Give the probability of talk that the grammar knows."""
    return sum(
        probability
        for probability, (_, found) in ranked
        if isinstance(found, Meaning) and found.kind is Kind.CHATTER
    )


def _over(
    parser: Parser, ranked: list[tuple[float, tuple[Hypothesis, Meaning | Rejection]]]
) -> float:
    """Give the probability that figures were said that are too many for a part or a reading."""
    return sum(
        probability
        for probability, (hypothesis, found) in ranked
        if isinstance(found, Rejection)
        and len(hypothesis.text.split()) >= FEWEST_OVER
        and parser.is_in_figures(hypothesis.text)
    )


def _mended(ranked: list[tuple[float, tuple[Hypothesis, Meaning | Rejection]]]) -> float:
    """Give the probability that a number was mended in the same breath."""
    return sum(
        probability
        for probability, (_, found) in ranked
        if isinstance(found, Rejection) and found.why is Why.MENDED
    )


def _kind(rejection: Rejection) -> Kind:
    return Kind.UNCLEAR if rejection.outcome is Outcome.ASK else Kind.CHATTER
