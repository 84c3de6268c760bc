"""The state of a pull in, what all its calls say together and what is to be done out; pure."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from calllog.decoding import (
    ALONE,
    CALIBRATIONS,
    Arithmetic,
    CalledPart,
    Doubt,
    Noise,
    Part,
    Posterior,
    Space,
    Vector,
    Verdict,
    Weighed,
    arithmetic_of,
    costs_of,
    decide,
    decode,
    likelihood,
    repeatability,
    space,
    utterance,
)
from calllog.pairing.parts import Parts, Stated
from calllog.pairing.state import State
from calllog.pairing.table import Phase
from calllog.tape import PARTED
from calllog.values import HUNDREDTHS, BookPolicy, Call, Kind, Observation

WEIGHS_SINCE = 2
"""The edition of the pairing from which hearings that differ are not only counted."""
LIKELIER_RIGHT = 0.5
"""A hearing that is less likely is rather another number."""
SURE = 0.9
"""One that is at least so likely stands against such a hearing."""
LEAST = 1e-12
"""Likelihood of a length that only the other observation's held mark lets be."""


@dataclass(frozen=True, slots=True)
class Weighing:
    """All that was weighed of a pull, and what came of it."""

    take: tuple[CalledPart, ...]
    check: tuple[CalledPart, ...]
    posterior: Posterior
    weighed: Weighed
    verdict: Verdict


def weigh(state: State, take: Observation, check: Observation | None) -> Weighing | None:
    """Weigh all calls of a pull together; None where the line decides by best hypotheses alone."""
    editions = ALONE if check is None else CALIBRATIONS
    edition = editions.get(state.settings.decoding)
    if edition is None:
        return None
    calibration = edition[Noise.NOISY]
    arithmetic = arithmetic_of(state.settings.decoding)
    is_taking = state.phase is Phase.TAKEN or check is None
    take_parts = state.parts if is_taking else state.take_parts
    where = space(state.settings, take.hold)
    calls = {each.number: each for each in state.history}
    of_take = tuple(
        utterance(*each, calibration, arithmetic)
        for each in _placed(take_parts, _replaced(state, is_take=True), calls)
    )
    first = likelihood(where, of_take, arithmetic)
    of_check: tuple[CalledPart, ...] = ()
    second = None
    if check is not None:
        of_check = tuple(
            utterance(*each, calibration, arithmetic)
            for each in _placed(state.parts, _replaced(state, is_take=False), calls)
        )
        there = space(state.settings, check.hold)
        second = _resized(likelihood(there, of_check, arithmetic), where.size)
    posterior = decode(where, first, second, repeatability(state.differences), arithmetic)
    difference = abs(check.length - take.length) if check else 0
    sides = [_Side(True, take_parts, take, where, posterior.take)]  # noqa: FBT003 - a field
    if check is not None and posterior.check is not None:
        checked = space(state.settings, check.hold)
        of = _resized(posterior.check, checked.size)
        sides.append(_Side(False, state.parts, check, checked, of))  # noqa: FBT003 - a field
    doubts = tuple(each for side in sides for each in _doubts(state, side, calls, arithmetic))
    wrong, near = _wrong(state, posterior, take, check, arithmetic)
    agree = arithmetic.told(min(posterior.within(state.settings.tolerance), 1.0))
    weighed = Weighed(
        wrong=arithmetic.told(wrong),
        near=arithmetic.told(near),
        agree=agree,
        missed=1.0 - agree if state.settings.pairing >= 1 else 0.0,
        differs=difference > state.settings.tolerance,
        is_apart=difference > 0,
        doubts=doubts,
        is_checked=check is not None,
        can_ask=bool(state.history) and state.history[-1].is_live,
        is_confirmed=state.is_confirmed,
    )
    return Weighing(
        of_take, of_check, posterior, weighed, decide(weighed, costs_of(state.settings.decoding))
    )


def _wrong(
    state: State,
    posterior: Posterior,
    take: Observation,
    check: Observation | None,
    arithmetic: Arithmetic,
) -> tuple[float, float]:
    """Give the probability that what is booked is off by more than the tolerance, and by less."""
    of_take = (posterior.take, take.length)
    booked = [of_take]
    if check is not None and posterior.check is not None:
        of_check = (posterior.check, check.length)
        booked = {
            BookPolicy.FIRST: [of_take],
            BookPolicy.MEAN: [of_take, of_check],
            BookPolicy.CHECK: [of_check],
        }[state.settings.book]
    tolerance = state.settings.tolerance
    far = sum(
        1.0 - arithmetic.total(of[max(length - tolerance, 0) : length + tolerance + 1])
        for of, length in booked
    )
    off = sum(1.0 - (float(of[length]) if length < of.size else 0.0) for of, length in booked)
    return min(max(far, 0.0), 1.0), min(max(off - far, 0.0), 1.0)


def _replaced(state: State, *, is_take: bool) -> tuple[Stated, ...]:
    return tuple(each for of_take, each in state.replaced if of_take is is_take)


def _placed(
    parts: Parts, replaced: Iterable[Stated], calls: dict[int, Call]
) -> tuple[tuple[Call, Part], ...]:
    """Give each call with the part that it states, or with both."""
    stated: dict[int, set[str]] = {}
    for each in (*parts.stated, *replaced):
        stated.setdefault(each.call, set()).add(each.part)
    placed = {
        number: Part.READING if len(which) > 1 else Part(next(iter(which)))
        for number, which in stated.items()
        if number in calls
    }
    return tuple((_as_placed(calls[number], part), part) for number, part in placed.items())


def _as_placed(call: Call, part: Part) -> Call:
    """Give a bare number the place that it was taken for."""
    if call.kind is not Kind.NUMBER:
        return call
    value = (call.value or 0) * (HUNDREDTHS if part is Part.WHOLE else 1)
    return call.model_copy(update={"kind": Kind(part.value), "value": value})


@dataclass(frozen=True, slots=True)
class _Side:
    """The take or the check, and what its lengths' probabilities are."""

    is_take: bool
    parts: Parts
    observed: Observation
    where: Space
    of: Vector


def _doubts(
    state: State, side: _Side, calls: dict[int, Call], arithmetic: Arithmetic
) -> tuple[Doubt, ...]:
    """Tell for each part that was heard how likely it is not what was called."""
    where, of, length = side.where, side.of, side.observed.length
    wrong = {
        Part.WHOLE: arithmetic.total(of[where.feet != where.feet[length]]),
        Part.FRACTION: arithmetic.total(of[where.hundredths != where.hundredths[length]]),
    }
    if state.settings.style not in PARTED:
        wrong = {Part.READING: 1.0 - float(of[length])}
    return tuple(
        Doubt(
            side.is_take,
            part,
            arithmetic.told(probability),
            _times(state, part, is_take=side.is_take),
            is_contradicted=_is_contradicted(state, side, part, calls),
        )
        for part, probability in wrong.items()
        if _is_heard(side.parts, part, calls)
    )


def _is_contradicted(state: State, side: _Side, part: Part, calls: dict[int, Call]) -> bool:
    """Tell whether a part was said again and heard as often otherwise as it stands.

    From edition 2 a hearing that was likelier wrong than right is none against a sure one.
    """
    gone = _replaced(state, is_take=side.is_take)
    if state.settings.pairing < 1 or not gone:
        return False
    if state.settings.pairing >= WEIGHS_SINCE:
        gone = tuple(each for each in gone if not _is_outheard(side.parts, each, calls))
    heard: Counter[tuple[str, int]] = Counter(
        (each.part, _value(calls[each.call], each.part))
        for each in (*side.parts.stated, *gone)
        if each.call in calls and (part is Part.READING or each.part == part.value)
    )
    return any(
        times >= heard[name, side.parts.value(name) or 0]
        for (name, value), times in heard.items()
        if value != side.parts.value(name)
    )


def _is_outheard(parts: Parts, gone: Stated, calls: dict[int, Call]) -> bool:
    """Tell whether a call that does not stand was unsure, and what stands in its place is sure."""
    stands = (each.call for each in parts.stated if each.part == gone.part)
    surest = max((calls[each].probability for each in stands if each in calls), default=0.0)
    is_heard = gone.call in calls and calls[gone.call].probability >= LIKELIER_RIGHT
    return not is_heard and surest >= SURE


def _value(call: Call, part: str) -> int:
    """Give what a call says of a part [hundredths]."""
    value = _as_placed(call, Part(part)).value or 0
    if call.kind is not Kind.READING:
        return value
    return value // HUNDREDTHS * HUNDREDTHS if part == Part.WHOLE.value else value % HUNDREDTHS


def _times(state: State, part: Part, *, is_take: bool) -> int:
    return sum(each.is_take is is_take and each.part is part for each in state.asked)


def _is_heard(parts: Parts, part: Part, calls: dict[int, Call]) -> bool:
    """Tell whether a part rests on voices that left alternatives, and on nothing typed."""
    those = [each for each in parts.stated if part is Part.READING or each.part == part.value]
    return any(calls[each.call].alternatives for each in those if each.call in calls) and not any(
        each.is_keyed for each in those
    )


def _resized(vector: Vector, size: int) -> Vector:
    """Cut or fill up a vector over the lengths of another held mark."""
    return np.pad(vector[:size], (0, max(size - vector.size, 0)), constant_values=LEAST)
