"""A line in, over a stop too, what its crew is expected to say and from which end out; pure."""

from calllog.decoding import Part
from calllog.pairing.asking import expected_part
from calllog.pairing.machine import step
from calllog.pairing.roles import weighs_roles
from calllog.pairing.state import OTHER, State
from calllog.pairing.stops import is_live_stop
from calllog.pairing.table import Phase
from calllog.tape import PARTED
from calllog.values import Choice, Decision, Expectation, Role

ASKED = {Part.WHOLE: Expectation.WHOLE, Part.FRACTION: Expectation.FRACTION}


def _ahead(state: State) -> State:
    """Look over stops, as if each were decided for the first; live the pull is measured again."""
    while state.phase is Phase.STOPPED:
        choice = Choice.AGAIN if is_live_stop(state) else Choice.FIRST
        state = step(state, Decision(pull=state.pull, choice=choice, by="")).state
    return state


def pulls_ahead(state: State) -> int:
    """Count the pulls that a crew who went on over a stop is ahead of it."""
    return _ahead(state).pull - state.pull


def caller_at(state: State, end: Role) -> Role:
    """Tell who stands at an end of the tape now: after switching ends the other one does.

    A microphone keeps the role of the one who wears it in the take; a caller who says "head" or
    "rear" names the end.
    """
    ahead = _ahead(state)
    if weighs_roles(state):
        is_turned = ahead.whole_by is not state.settings.whole_by
    else:
        is_turned = ahead.phase is Phase.CHECKING
    return OTHER[end] if is_turned else end


def expects(state: State, role: Role) -> Expectation:
    """Tell what a caller is expected to say; over a stop, as if it were decided (see `_ahead`)."""
    is_unplaced = state.stop is not None and state.stop.waiting is not None
    state = _ahead(state)
    if state.settings.style not in PARTED:
        return Expectation.READING
    if is_unplaced:
        return Expectation.ANY
    if (part := expected_part(state, role)) is not None:
        return ASKED[part]
    if weighs_roles(state) and not state.places.is_told:
        return Expectation.ANY
    if role is Role.UNSAID or state.whole_by is Role.UNSAID:
        return Expectation.ANY
    return Expectation.WHOLE if role is state.whole_by else Expectation.FRACTION
