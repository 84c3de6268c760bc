"""A call in, the figure that it was begun with out: a number whose figures were said apart; pure.

Who says a number figure by figure may stop between two, and is heard to say two calls. The second
is heard again with the first, and is a call from where that one began. From edition 4.
"""

from calllog.pairing.edition import HEARS_AGAIN_SINCE
from calllog.pairing.state import State
from calllog.values import NUMBERS, Call


def begun_by(state: State, call: Call) -> int | None:
    """Find the number that stands and is the beginning of a call; None if there is none."""
    if state.settings.pairing < HEARS_AGAIN_SINCE or call.is_keyed or _words(call) == 1:
        return None
    begun = (
        each.number
        for each in reversed(state.history)
        if each.kind in NUMBERS
        and _words(each) == 1
        and each.number not in state.struck
        and (each.source, each.start_s) == (call.source, call.start_s)
        and each.end_s < call.end_s
    )
    return next(begun, None)


def _words(call: Call) -> int:
    return len(call.text.split())
