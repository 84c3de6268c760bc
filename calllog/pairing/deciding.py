"""What the chief decides of a stop, or a typed part settles, and the held calls after it; pure."""

from calllog.pairing.booking import (
    Rules,
    Step,
    ask,
    book,
    change_take,
    complete,
    move,
    refuse,
    voids,
)
from calllog.pairing.changed import replace
from calllog.pairing.conditions import is_change
from calllog.pairing.parts import PART_NAMES, Parts
from calllog.pairing.placing import tell, tells
from calllog.pairing.proposal import propose
from calllog.pairing.roles import expecting, keeps_order, weighs_roles
from calllog.pairing.running import kept_by_again
from calllog.pairing.state import State
from calllog.pairing.stops import has_not_gone_on, strike_live
from calllog.pairing.striking import ASKS_SINCE
from calllog.pairing.table import Phase, Signal
from calllog.pairing.turns import status
from calllog.pairing.typed_before import typed_parts
from calllog.values import (
    NUMBERS,
    Booking,
    Call,
    Choice,
    Consequence,
    Decision,
    Message,
    Question,
    Role,
    message,
)

RESUME = {
    Phase.OPEN: Signal.RESUME_OPEN,
    Phase.TAKEN: Signal.RESUME_TAKEN,
    Phase.CHECKING: Signal.RESUME_CHECKING,
}
"""How a pull goes on after a repetition that differed."""


def decide(  # noqa: PLR0911 - one way out for each case
    state: State, decision: Decision, rules: Rules
) -> Step:
    """Take a decision about a stop, then the calls that were held."""
    stop = state.stop
    if state.phase is not Phase.STOPPED or stop is None or decision.pull != state.pull:
        return refuse(
            state,
            message("no-decision-awaited", pull=decision.pull, status=status(state)),
        )
    if decision.choice is Choice.AGAIN:
        return again(state, rules)
    struck, held = strike_live(state)
    if stop.waiting is not None:
        option = stop.waiting.options[0 if decision.choice is Choice.FIRST else -1]
        told_so = tell(state, option.places, rules)
        return _drain(Step(told_so.state, (*struck, *told_so.consequences)), held, rules)
    state = replace(state, held=(), stop=None)
    if stop.check is not None:
        booking = Booking.FIRST if decision.choice is Choice.FIRST else Booking.CHECK
        booked = book(state, booking, decision.by, stop.check)
        return _drain(Step(booked.state, (*struck, *booked.consequences)), held, rules)
    is_kept = decision.choice is Choice.FIRST
    settled = replace(
        move(state, RESUME[stop.origin]),
        parts=state.parts if is_kept else stop.other,
        between=(
            *state.between,
            (stop.word.number if stop.word else stop.other.calls[-1], decision),
        ),
    )
    if not is_kept and settled.phase is Phase.TAKEN:
        return _drain(Step(change_take(settled), struck), held, rules)
    if settled.parts.is_complete and settled.phase is not Phase.TAKEN:
        done = complete(settled)
        return _drain(Step(done.state, (*struck, *done.consequences)), held, rules)
    return _drain(Step(settled, struck), held, rules)


def again(state: State, rules: Rules) -> Step:
    """Measure the pull again; what was called of it stays, struck."""
    if state.phase is Phase.FINISHED:
        return refuse(state, message("line-finished"))
    differing = [state.take, state.stop.check if state.stop else None]
    is_anew = weighs_roles(state) and not keeps_order(state)  # they may have switched unheard
    begun, stated, between = kept_by_again(state)
    fresh = replace(
        move(state, Signal.AGAIN),
        parts=Parts(),
        take=None,
        take_parts=Parts(),
        asked=(),
        awaiting=None,
        is_confirmed=False,
        said_back=Role.UNSAID,
        replaced=(),
        style_waits="",
        stop=None,
        held=(),
        history=stated,
        between=between,
        struck=frozenset(),
        typed=typed_parts(state),
        superseded=(*state.superseded, *(each for each in differing if each is not None)),
        places=expecting(state.holder, state.habit) if is_anew else state.places,
        waiting=None,
    )
    opening = replace(fresh, opening=None, conditions=begun, history=(), between=())
    fresh = replace(fresh, opening=opening)
    struck, held = strike_live(state)
    return _drain(Step(fresh, struck), held, rules)


def settle_by_key(  # noqa: PLR0911 - one way out for each case
    state: State, call: Call, rules: Rules
) -> Step | None:
    """Let a typed part settle a stop where two voices differ in it; None if it does not.

    It does as long as the crew has not gone on (see `answers`) and no part that differs was
    typed itself. What agrees with it stays, what differs is struck.
    """
    stop = state.stop
    if stop is None or stop.word or stop.check or not call.is_keyed or call.kind not in NUMBERS:
        return None
    if not has_not_gone_on(state):
        return None
    if stop.waiting is not None:
        done = tells(
            replace(state, phase=stop.origin, stop=None, waiting=stop.waiting), call, rules
        )
        struck, held = strike_live(state)
        return done and _drain(Step(done.state, (*struck, *done.consequences)), held, rules)
    resumed = replace(move(state, RESUME[stop.origin]), stop=None, held=())
    proposed = propose(resumed, call)
    differing = [
        part for part in PART_NAMES if state.parts.value(part) not in (None, stop.other.value(part))
    ]
    if isinstance(proposed, Message) or not set(differing) <= set(proposed):
        return None
    if any(parts.is_keyed(part) for parts in (state.parts, stop.other) for part in differing):
        return None
    later = next(each for each in state.history if each.number == stop.other.calls[-1])
    agrees = all(proposed[part] == stop.other.value(part) for part in differing)
    follows: tuple[Consequence, ...] = ()
    if not agrees:
        follows = voids(state, (later.number,))
        resumed = replace(resumed, struck=resumed.struck | {later.number})
    done = rules.number(resumed, call)
    if done.is_refused:
        return Step(state, done.consequences)
    if asked := _asked_for_it(state, done, call):
        return Step(state, asked)
    follows = (*follows, *done.consequences)
    if agrees and done.state.phase is stop.origin and done.state.pull == state.pull:
        again = tuple(each for each in done.state.history if each is not later)
        done = rules.number(replace(done.state, history=again), later)
        follows = (*follows, *done.consequences)
    struck, held = strike_live(state)
    return _drain(Step(done.state, (*struck, *follows)), held, rules)


def _asked_for_it(state: State, done: Step, call: Call) -> tuple[Question, ...]:
    """Give what is asked for a call that did not count: the stop stands, and what was called."""
    if state.settings.pairing < ASKS_SINCE:
        return ()
    is_in = done.state.pull != state.pull or call in done.state.history
    return () if is_in else tuple(x for x in done.consequences if isinstance(x, Question))


def _drain(done: Step, held: tuple[Call, ...], rules: Rules) -> Step:
    """Take the calls that were held, until the next stop holds them again.

    What follows one of them cannot answer a question about it, so none is asked.
    """
    state, consequences = done.state, done.consequences
    for index, said in enumerate(held):
        call = said.model_copy(update={"is_live": False})
        if state.phase is Phase.STOPPED:
            return Step(replace(state, held=held[index:]), consequences)
        if is_change(call):
            broken = _break_off(state, call, held[index + 1 :])
            return Step(broken.state, (*consequences, *broken.consequences))
        following = rules.call(state, call)
        state, consequences = following.state, (*consequences, *following.consequences)
    return Step(state, consequences)


def _break_off(state: State, change: Call, later: tuple[Call, ...]) -> Step:
    """Strike what was called after a tape or line was to be changed: it belongs to another."""
    asked = ask(
        state,
        message(
            "said-while-waiting",
            what=change.name,
            number=round(change.amount or 0),
            later=len(later),
        ),
        change.role,
    )
    return Step(state, (*voids(state, (each.number for each in later)), *asked.consequences))
