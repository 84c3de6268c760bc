"""What was asked whether it is a call, said again: then it counts; pure."""

from calllog.pairing.edition import HEARS_AGAIN_SINCE
from calllog.pairing.proposal import FULL_TAPE, plain
from calllog.pairing.state import State
from calllog.values import NUMBERS, Call, Kind

AGAIN_WITHIN_S = 20.0
"""What is said again so soon answers the question."""
UNASKED_S = 1.0
"""What begins so soon after a call was said before its question was heard."""
TEN = 10
OPENING = frozenset({Kind.WHOLE, Kind.FRACTION, Kind.NUMBER})


def is_said_again(state: State, call: Call) -> bool:
    """Tell whether a call answers the question whether it is one.

    A full tape does not once something else of its pull was called: then it is none.
    """
    asked = state.asked_first
    if asked is None or (call.source, call.role) != (asked.source, asked.role):
        return False
    if call.name == FULL_TAPE and any(each.number > asked.number for each in state.history):
        return False
    is_soon = call.start_s - asked.start_s <= AGAIN_WITHIN_S
    if state.settings.pairing >= HEARS_AGAIN_SINCE and _goes_on(asked, call, state):
        return False
    return is_soon and is_alike(asked, call, state.settings.unit.counts)


def _goes_on(asked: Call, call: Call, state: State) -> bool:
    """Tell whether a figure follows another so soon that it answers nothing: "six", "six"."""
    are_figures = all(is_figure(each, state) for each in (asked, call))
    return are_figures and call.start_s - asked.end_s <= UNASKED_S


def is_figure(call: Call, state: State) -> bool:
    """Tell whether a call is a number of one figure."""
    return call.kind in OPENING and plain(call, state.settings.unit.counts) < TEN


def is_alike(first: Call, second: Call, one: int) -> bool:
    """Tell whether two calls say the same, whichever part it was taken for."""
    if first.text and first.text == second.text:
        return True
    if first.kind not in NUMBERS or second.kind not in NUMBERS:
        return False
    is_reading = [each.kind is Kind.READING for each in (first, second)]
    return is_reading[0] is is_reading[1] and plain(first, one) == plain(second, one)
