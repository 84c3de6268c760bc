"""Complete parts in: the take, or the check compared with it, and the booking; pure.

What a rule answers is a `Step`: the next state and its consequences.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import pairwise

from calllog.decoding import KEPT, Action, Doubt, Verdict
from calllog.pairing.asking import TAKE_OR_CHECK, ask_again
from calllog.pairing.changed import replace
from calllog.pairing.diagnosis import diagnose
from calllog.pairing.edition import CONFIRMS_SINCE
from calllog.pairing.proposal import length_of
from calllog.pairing.roles import following, weighs_roles
from calllog.pairing.running import running_on
from calllog.pairing.signatures import Blunder, blunder_between
from calllog.pairing.state import State, Stop, StyleKnown, start
from calllog.pairing.table import TRANSITIONS, Phase, Signal
from calllog.pairing.tape_style import CHECK, ask_style, matters, unconfirmed
from calllog.pairing.typed_before import ask_typed
from calllog.pairing.weighing import weigh
from calllog.units import reading_ft
from calllog.values import (
    Booking,
    BookPolicy,
    Call,
    Consequence,
    Decision,
    Fact,
    Finding,
    Message,
    Observation,
    Question,
    Role,
    Segment,
    Severity,
    Void,
)

BY_BEST = Verdict(Action.BOOK, None)
"""What a line that weighs nothing does with a pair that agrees."""
TURNED_KEPT = 256
"""Pulls of which it is remembered that roles were turned; more than one step ever books."""
NEAR = 20
"""This part of a foot or meter between two lengths is near: whoever reads a pull again, right, is
off by less (common practice, no published source)."""
REPEATS_PULL = "repeats-pull"
"""Code of the note that a take reads as the pull before it did."""
UNLIKE_STOPPED = "unlike-stopped"
"""Code of the note that a take is near nothing which its pull read before it stopped."""
LONG_GAP_S = 60.0
"""Parts of one observation further apart than this are noted."""


@dataclass(frozen=True)
class Step:
    """The next state and what follows from the event, in order."""

    state: State
    consequences: tuple[Consequence, ...] = ()
    is_refused: bool = False
    """Nothing was taken: the state is the one before."""


@dataclass(frozen=True, slots=True)
class Rules:
    """How the machine takes what it is given, for rules that take calls and decisions again."""

    call: Callable[[State, Call], Step]
    number: Callable[[State, Call], Step]
    decide: Callable[[State, Decision], Step]


def move(state: State, signal: Signal) -> State:
    """Change the phase, as the table says."""
    return replace(state, phase=TRANSITIONS[state.phase, signal])


def voids(state: State, numbers: Iterable[int]) -> tuple[Consequence, ...]:
    """Strike calls of the pull that stands."""
    return tuple(Void(call=number, pull=state.pull) for number in numbers)


def ask(state: State, asks: Message, role: Role = Role.UNSAID) -> Step:
    """Ask the crew."""
    return Step(state, (Question(pull=state.pull, role=role, asks=asks),))


def refuse(state: State, asks: Message, role: Role = Role.UNSAID) -> Step:
    """Take nothing, and ask the crew."""
    return replace(ask(state, asks, role), is_refused=True)


def finding(
    state: State,
    code: str,
    severity: Severity,
    *,
    values: tuple[int, int] | tuple[None, None] = (None, None),
    calls: tuple[int, ...] = (),
    **facts: Fact,
) -> Finding:
    """State a finding about the pull that stands."""
    return Finding(
        code=code,
        severity=severity,
        pull=state.pull,
        first=values[0],
        second=values[1],
        calls=calls,
        facts=facts,
    )


def complete(state: State) -> Step:
    """Go on with complete parts: they are the take, or the check to be compared."""
    notes = _gap(state)
    state = replace(state, findings=(*state.findings, *notes))
    if state.phase is Phase.OPEN or state.take is None:
        observation = state.parts.observe(state.settings.style, state.conditions.hold)
        again = repeats_pull(state, observation) + unlike_stopped(state, observation)
        state = replace(state, findings=(*state.findings, *again))
        notes = (*notes, *again)
        taken = replace(move(state, Signal.COMPLETE), take=observation)
        if matters(taken) and _can_answer(taken):
            asking, question = ask_style(taken)
            return Step(asking, (*notes, question))
        return Step(taken, notes)
    compared = compare(state, state.take)
    return Step(compared.state, (*notes, *compared.consequences))


def _can_answer(state: State) -> bool:
    return bool(state.history) and state.history[-1].is_live


def repeats_pull(state: State, take: Observation) -> tuple[Finding, ...]:
    """Note a take that reads just what the pull before it did: it may be the same pull again.

    Whole feet are passed over: marks are set by them, pull after pull. After a decision they are
    not, nor what is near one of the two lengths that were decided between.
    """
    before = state.booked
    if state.settings.pairing < 1 or before is None or before.take is None:
        return ()
    if before.pull != state.pull - 1:
        return ()
    read = [before.take.length]
    if is_decided(before):
        read.append(length_of(before, before.parts))
        alike = [each for each in read if _is_near(state, each, take.length)]
    else:
        is_whole = take.length % state.settings.unit.counts == 0
        alike = [each for each in read if each == take.length and not is_whole]
    calls = (*before.take.calls, *take.calls)
    values = [(each, take.length) for each in alike]
    return tuple(
        finding(state, REPEATS_PULL, Severity.NOTE, values=each, calls=calls) for each in values[:1]
    )


def unlike_stopped(state: State, take: Observation) -> tuple[Finding, ...]:
    """Note a take that is near nothing which was read of its pull before it stopped."""
    read = [each.length for each in state.superseded]
    stopped = (each for each in state.findings if each.severity is Severity.STOP)
    is_stopped = any({each.first, each.second} <= set(read) for each in stopped)
    if state.settings.pairing < CONFIRMS_SINCE or not is_stopped:
        return ()
    if any(_is_near(state, each, take.length) for each in read):
        return ()
    values = (min(read, key=lambda each: abs(each - take.length)), take.length)
    return (finding(state, UNLIKE_STOPPED, Severity.NOTE, values=values, calls=take.calls),)


def is_decided(before: State | None) -> bool:
    """Tell whether a pull that was recorded had stopped, and was decided so; from edition 3."""
    if before is None or before.settings.pairing < CONFIRMS_SINCE:
        return False
    return before.phase is Phase.STOPPED


def _is_near(state: State, one: int, other: int) -> bool:
    """Tell whether two lengths may be one measured twice [least counts]."""
    return abs(one - other) <= max(state.settings.unit.counts // NEAR, state.settings.tolerance)


def change_take(state: State) -> State:
    """Make the take of the parts as they stand now; the old one is struck."""
    if state.take is None:
        return state
    changed = state.parts.observe(state.settings.style, state.conditions.hold)
    return replace(state, take=changed, superseded=(*state.superseded, state.take))


def _gap(state: State) -> tuple[Finding, ...]:
    times = state.parts.times
    for (source, earlier), (other, later) in pairwise(times):
        same = source.partition("#")[0] == other.partition("#")[0]
        if same and later - earlier > LONG_GAP_S:
            return (finding(state, "long-gap", Severity.NOTE, seconds=round(later - earlier)),)
    return ()


def compare(state: State, take: Observation) -> Step:
    """Compare a complete check with the take: book, ask one call again, or stop."""
    check = state.parts.observe(state.settings.style, state.conditions.hold)
    weighing = weigh(state, take, check)
    state = replace(state, awaiting=None)
    difference = check.length - take.length
    values = (take.length, check.length)
    calls = (*take.calls, *check.calls)
    verdict = weighing.verdict if weighing else BY_BEST
    if verdict.action is Action.ASK and verdict.doubt is not None:
        waiting, question = ask_again(state, verdict.doubt)
        return Step(waiting, (question,))
    if abs(difference) > state.settings.tolerance:
        blunder = _blunder(state, take, check)
        differs = finding(
            state, blunder.code, Severity.STOP, values=values, calls=calls, **blunder.facts
        )
        stopped = replace(
            move(state, Signal.DIFFER),
            stop=Stop(origin=state.phase, check=check, other=state.parts),
            findings=(*state.findings, differs),
        )
        return Step(stopped, (differs,))
    notes: tuple[Finding, ...] = ()
    if verdict.action is Action.STOP and verdict.doubt is not None:
        unsure = _unsure(state, verdict.doubt, Severity.STOP, values, calls)
        stopped = replace(
            move(state, Signal.UNSOLVED),
            stop=Stop(origin=state.phase, check=check, other=state.parts),
            findings=(*state.findings, unsure),
        )
        return Step(stopped, (unsure,))
    if _can_answer(state) and (asking := ask_typed(state)):
        return Step(asking[0], (asking[1],))
    if matters(state) and _can_answer(state):
        waiting, question = ask_style(state, CHECK)
        return Step(waiting, (question,))
    if verdict.action is Action.NOTE and verdict.doubt is not None:
        notes = (_unsure(state, verdict.doubt, Severity.NOTE, values, calls),)
        state = replace(state, findings=(*state.findings, *notes))
    if difference:
        near = finding(state, "within-tolerance", Severity.NOTE, values=values, calls=calls)
        notes = (*notes, near)
        state = replace(state, findings=(*state.findings, near))
    booked = book(state, Booking.AGREED, "policy", check=check)
    return Step(booked.state, (*notes, *booked.consequences))


def _blunder(state: State, take: Observation, check: Observation) -> Blunder:
    settings = state.settings
    if settings.pairing:
        return blunder_between(state, take, check, state.history)
    nominal = settings.nominal * settings.unit.counts
    return Blunder(diagnose(take.length, check.length, nominal, settings.unit), {})


def unsure_take(state: State, take: Observation, doubt: Doubt) -> Finding:
    """Note that a take which no check confirms was not heard surely."""
    return _unsure(state, doubt, Severity.NOTE, (take.length, take.length), take.calls)


def _unsure(
    state: State,
    doubt: Doubt,
    severity: Severity,
    values: tuple[int, int],
    calls: tuple[int, ...],
) -> Finding:
    return finding(
        state,
        "not-sure",
        severity,
        values=values,
        calls=calls,
        part=doubt.part.value,
        measurement=TAKE_OR_CHECK[doubt.is_take],
    )


def book(state: State, booking: Booking, by: str, check: Observation | None) -> Step:
    """Book the pull and open the next one."""
    if state.take is None:
        message = "a pull without a take cannot be booked"
        raise ValueError(message)
    take = state.take
    unsaid = unconfirmed(state)
    if unsaid is not None:
        state = replace(state, findings=(*state.findings, unsaid), style=StyleKnown.NOTED)
    length: float = take.length
    if check is not None and booking is Booking.CHECK:
        length = check.length
    elif check is not None and booking is Booking.AGREED:
        length = {
            BookPolicy.FIRST: take.length,
            BookPolicy.MEAN: (take.length + check.length) / 2,
            BookPolicy.CHECK: check.length,
        }[state.settings.book]
    segment = Segment(
        pull=state.pull,
        line_from=state.settings.line_from,
        line_to=state.settings.line_to,
        tape=state.settings.tape,
        style=state.settings.style,
        take=take,
        check=check,
        difference=check.length - take.length if check else None,
        length_read_ft=reading_ft(length, state.settings.unit),
        booking=booking,
        decided_by=by,
        conditions=state.conditions,
        findings=state.findings,
        superseded=state.superseded,
    )
    signal = {Booking.AGREED: Signal.AGREE, Booking.UNCHECKED: Signal.UNCHECKED}.get(
        booking, Signal.BOOK
    )
    phase = TRANSITIONS[state.phase, signal]
    differences = state.differences
    if booking is Booking.AGREED and check is not None:
        differences = (*differences, check.length - take.length)[-KEPT:]
    roles = following(state, is_switched=check is not None, is_agreed=booking is Booking.AGREED)
    conditions = running_on(state.conditions, state.settings)
    next_pull = replace(
        start(state.settings, state.pull + 1, conditions, differences, roles, style=state.style),
        phase=phase,
    )
    is_turned = weighs_roles(state) and state.holder is not state.settings.whole_by
    turned = (*state.turned, *((state.pull,) if is_turned else ()))[-TURNED_KEPT:]
    next_pull = replace(next_pull, booked=replace(state, booked=None), turned=turned)
    noted = () if unsaid is None else (unsaid,)
    return Step(next_pull, (*noted, segment))
