"""Which of the two holds the whole mark: asked, told or found, and the calls placed by it; pure."""

from calllog.pairing.booking import Rules, Step, ask, finding, move, voids
from calllog.pairing.changed import replace
from calllog.pairing.edition import CONFIRMS_SINCE
from calllog.pairing.parts import Parts
from calllog.pairing.places import Option, Places, Waiting
from calllog.pairing.proposal import plain
from calllog.pairing.roles import (
    MARKED,
    TURNED,
    WHO_HOLDS,
    chosen,
    expecting,
    is_said,
    question,
    told,
)
from calllog.pairing.state import OTHER, State, Stop
from calllog.pairing.striking import replayed
from calllog.pairing.table import Phase, Signal
from calllog.pairing.taking import taken, tried
from calllog.values import NUMBERS, Call, Kind, Role, Severity, message

EITHER = range(10, 100)
"""Numbers that may be a whole mark or hundredths: of two digits."""


def ask_who(state: State, call: Call, options: tuple[Option, ...]) -> Step:
    """Ask who holds the whole mark; where the crew cannot be asked, stop for the office."""
    waiting = Waiting(call, options)
    asks = question(waiting)
    if call.is_live:
        return ask(replace(state, waiting=waiting), asks)
    facts = {name: value for name, value in asks.facts.items() if isinstance(value, str)}
    first, other = asks.facts["first"], asks.facts["other"]
    found = finding(
        state,
        WHO_HOLDS,
        Severity.STOP,
        values=(int(str(first)), int(str(other))),
        calls=(*state.parts.calls, call.number),
        **facts,
    )
    stopped = replace(
        move(state, Signal.CONFLICT),
        stop=Stop(origin=state.phase, check=None, other=state.parts, waiting=waiting),
        findings=(*state.findings, found),
    )
    return Step(stopped, (found,))


def ask_of_take(state: State, call: Call, rules: Rules) -> Step | None:
    """Ask which number of the take is the whole mark, where a word contradicts what is known.

    A check would agree with a take that is turned round. None where the take goes one way alone.
    """
    if state.settings.pairing < CONFIRMS_SINCE or state.stop is not None:
        return None
    unplaced = replace(state, history=tuple(_unplaced(state, each) for each in state.history))
    turned = replayed(unplaced, replace(state.places, holder=OTHER[state.holder]), rules)
    if turned is None:
        return None
    options = tuple(_of_take(state, each) for each in (state, turned))
    first, other = ((each.whole, each.fraction) for each in options)
    return None if first == other else ask_who(unplaced, call, options)


def _unplaced(state: State, call: Call) -> Call:
    """Give a number without the place that it has only because it was expected there."""
    is_expected = call.kind in MARKED and call.kind.value == call.expects.value
    number = plain(call, state.settings.unit.counts)
    if not is_expected or "." in call.text or number not in EITHER or state.settings.unit.is_fine:
        return call
    return call.model_copy(update={"kind": Kind.NUMBER, "value": number})


def _of_take(asked: State, state: State) -> Option:
    parts = state.take_parts if state.phase is Phase.CHECKING else state.parts
    length = state.take.length if state.take else None
    return Option(state.places, parts.whole, parts.fraction, length, asked.whole_by)


def noted_anew(done: Step, before: State) -> Step:
    """Note that the two hold the other ends than the habit has it."""
    state = done.state
    if state.pull != before.pull or state.phase is Phase.STOPPED:
        return done
    note = finding(
        state,
        TURNED,
        Severity.NOTE,
        calls=state.parts.calls,
        holder=state.whole_by.value if is_said(state) else Role.UNSAID.value,
        reading=state.parts.raw if state.parts.is_complete else -1,
    )
    noted = replace(state, findings=(*state.findings, note))
    return Step(noted, (*done.consequences, note))


def tells(state: State, call: Call, rules: Rules) -> Step | None:
    """Take a number that tells how the one that waits is to be placed; None if it does not."""
    option = chosen(state, call)
    if option is None:
        return _tells_against(state, call, rules)
    done = tell(state, option.places, rules)
    if (
        state.blocking is not None
        or done.state.pull != state.pull
        or done.state.phase is Phase.STOPPED
    ):
        return done
    repeated = taken(done.state, call)
    return Step(repeated.state, (*done.consequences, *repeated.consequences))


def _tells_against(state: State, call: Call, rules: Rules) -> Step | None:
    """Take a reading that goes with what stands, whoever called it, and not with what waits."""
    waiting = state.waiting
    if waiting is None or len(waiting.options) > 1 or call.kind is not Kind.READING:
        return None
    for places in (state.places, waiting.options[0].places):
        base = state if places == state.places else replayed(state, places, rules)
        if base is not None and isinstance(tried(base, call), Parts):
            done = taken(told(replace(base, findings=state.findings), places), call)
            return Step(done.state, (*voids(state, (waiting.call.number,)), *done.consequences))
    return None


def tell(state: State, places: Places, rules: Rules) -> Step:
    """Place the calls of the pull as the crew told, the one that waits last."""
    stop = state.stop
    waiting = stop.waiting if stop else state.waiting
    plain = replace(
        state, phase=stop.origin if stop else state.phase, stop=None, waiting=None, held=()
    )
    placed = replayed(plain, places, rules)
    if placed is None:
        return _call_anew(plain, places, waiting)
    placed = told(replace(placed, findings=state.findings), places)
    if waiting is None or waiting.is_of_take:
        is_plain = places.holder is state.places.holder or placed.parts.is_empty
        return Step(placed) if is_plain else noted_anew(Step(placed), placed)
    return noted_anew(taken(placed, waiting.call), placed)


def _call_anew(state: State, places: Places, waiting: Waiting | None) -> Step:
    """Strike the calls of the pull, which do not go together with what the crew told.

    Of a check, it is measured anew: as the two stand now, or they go back first.
    """
    numbers = [each.number for each in state.history if each.kind in NUMBERS]
    gone = [each for each in numbers if each not in state.struck]
    gone += [waiting.call.number] if waiting else []
    opening = state.opening or state
    fresh = replace(opening, opening=opening, conditions=state.conditions)
    if state.phase is Phase.CHECKING:
        fresh = replace(fresh, places=expecting(OTHER[places.holder], state.habit))
    else:
        fresh = told(fresh, places)
    asked = ask(fresh, message("call-both-again"))
    return Step(asked.state, (*voids(state, gone), *asked.consequences))
