"""Which of the two holds the whole mark: asked, told or found, and the calls placed by it; pure."""

from calllog.pairing.booking import Rules, Step, ask, finding, move, voids
from calllog.pairing.changed import replace
from calllog.pairing.parts import Parts
from calllog.pairing.places import Option, Places, Waiting
from calllog.pairing.roles import TURNED, WHO_HOLDS, chosen, expecting, is_said, question, told
from calllog.pairing.state import OTHER, State, Stop
from calllog.pairing.striking import replayed
from calllog.pairing.table import Phase, Signal
from calllog.pairing.taking import taken, tried
from calllog.values import NUMBERS, Call, Kind, Role, Severity, message


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
    if done.state.pull != state.pull or done.state.phase is Phase.STOPPED:
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
    if waiting is None:
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
