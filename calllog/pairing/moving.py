"""Switching ends, and going on to the next pull or line without a check; pure."""

from calllog.decoding import Action
from calllog.pairing.asking import ask_again
from calllog.pairing.booking import Step, ask, book, finding, move, refuse, unsure_take
from calllog.pairing.changed import replace
from calllog.pairing.edition import CONFIRMS_SINCE, HEARS_AGAIN_SINCE
from calllog.pairing.parts import Parts
from calllog.pairing.roles import expecting, weighs_roles
from calllog.pairing.state import State
from calllog.pairing.table import Phase, Signal
from calllog.pairing.tape_style import ask_style, matters
from calllog.pairing.turns import status
from calllog.pairing.weighing import weigh
from calllog.values import Booking, Call, CheckPolicy, Consequence, Role, Severity, message

FINISH = "finish"
"""Name of the command that closes a line."""


def switch(state: State, taken: State) -> Step:
    """Turn the two round for the check; `taken` is the state with the command taken."""
    match state.phase:
        case Phase.TAKEN:
            turned = replace(
                taken, parts=Parts(), take_parts=state.parts, awaiting=None, style_waits=""
            )
            return Step(move(turned, Signal.SWITCH))
        case Phase.CHECKING if state.parts.is_empty:
            return Step(state)
        case Phase.FINISHED:
            return refuse(state, message("line-finished"))
        case _:
            return refuse(state, message("before-switching", status=status(state)))


def untimely(state: State, call: Call) -> State:
    """Take nobody's place for granted where the two said too soon that they switch ends.

    They may have done it. Where something was called of the pull already, that tells; where nobody
    says who calls, switching turns nobody round, and the order that was told stands.
    """
    is_begun = state.phase is not Phase.OPEN or not state.parts.is_empty or state.waiting
    is_nobodys = call.role is Role.UNSAID and not call.is_keyed
    if is_begun or not weighs_roles(state) or is_nobodys:
        return state
    places = replace(expecting(state.holder, state.habit), before=state.places.before)
    opening = state.opening and replace(state.opening, places=places)
    return replace(state, places=places, opening=opening)


def move_on(state: State, call: Call, command: str) -> Step:
    """Book without a check where that is allowed; the call is the last that was heard."""
    before = state
    result = Step(state)
    noted: tuple[Consequence, ...] = ()
    if (refused := _refused(state, call, command)) is not None:
        return refused
    if state.phase is Phase.TAKEN:
        if state.settings.policy is CheckPolicy.WANTED:
            note = finding(state, "unchecked", Severity.NOTE)
            state = replace(state, findings=(*state.findings, note))
        if call.is_live and matters(state):
            waiting, question = ask_style(before, command)
            return Step(waiting, (question,))
        if (unsure := _unsure_unchecked(state, call, command)) is not None:
            if unsure.state.awaiting is not None:
                return unsure
            state, noted = unsure.state, unsure.consequences
        result = book(state, Booking.UNCHECKED, "policy", check=None)
    follows = (*noted, *result.consequences)
    if command == "finish":
        finished = move(result.state, Signal.FINISH)
        if state.settings.pairing >= CONFIRMS_SINCE and call.name == command:
            finished = replace(finished, history=(*finished.history, call))
        return Step(finished, follows)
    return Step(result.state, follows)


def _refused(state: State, call: Call, command: str) -> Step | None:
    """Ask for what has to come first; None where nothing has."""
    if state.phase is Phase.TAKEN:
        is_needed = state.settings.policy is CheckPolicy.REQUIRED
        return refuse(state, message("check-needed")) if is_needed else None
    if state.phase is Phase.FINISHED or not state.is_between:
        return refuse(state, message("before-moving-on", status=status(state)))
    if not leaves(state, call) or _says_again(state, call):
        return None
    asks = message("still-to-measure", pull=state.pull, command=command)
    return ask(replace(state, asked_first=call), asks, call.role)


def leaves(state: State, call: Call) -> bool:
    """Tell whether a call would leave a pull that is to be measured again; from edition 4.

    Who was recorded cannot be asked.
    """
    return call.is_live and state.settings.pairing >= HEARS_AGAIN_SINCE and bool(state.superseded)


def _says_again(state: State, call: Call) -> bool:
    """Tell whether the end of the line is said again, and nothing was taken since."""
    asked = state.asked_first
    if asked is None or asked.name != FINISH or call.name != FINISH:
        return False
    return not any(each.number > asked.number for each in state.history)


def _unsure_unchecked(state: State, call: Call, command: str) -> Step | None:
    """Ask a call of an unchecked take again, or note it; None where the take is sure enough."""
    if state.take is None:
        return None
    weighing = weigh(replace(state, history=(*state.history, call)), state.take, None)
    if weighing is None or weighing.verdict.doubt is None:
        return None
    doubt = weighing.verdict.doubt
    match weighing.verdict.action:
        case Action.ASK:
            waiting, question = ask_again(state, doubt, command)
            return Step(waiting, (question,))
        case Action.NOTE:
            note = unsure_take(state, state.take, doubt)
            return Step(replace(state, findings=(*state.findings, note)), (note,))
        case _:
            return None
