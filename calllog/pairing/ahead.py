"""A line in, over a stop too, what its crew is expected to say and from which end out; pure."""

from dataclasses import replace

from calllog.decoding import Part
from calllog.pairing.asking import expected_part
from calllog.pairing.machine import step
from calllog.pairing.proposal import is_too_steep, length_of
from calllog.pairing.roles import is_said, weighs_roles
from calllog.pairing.state import OTHER, State
from calllog.pairing.stops import is_live_stop
from calllog.pairing.table import Phase
from calllog.tape import PARTED
from calllog.units import stated_length
from calllog.values import (
    CalledFirst,
    Choice,
    Decision,
    Expectation,
    Message,
    Role,
    message,
)

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
    is_unplaced = (state.waiting or (state.stop and state.stop.waiting)) is not None
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


def due(state: State) -> Expectation:
    """Tell which part is due by the crew's order, where nobody says who calls.

    It is what they stated, what a mark proved, or the foot first, by custom. What is typed without
    its point may be the other part all the same, and is asked; but not because its digits alone
    allow no more: a foot of another tape, or one with a zero before it, is no hundredths.

    Returns:
        Any where both parts may come, or a question is to be answered.
    """
    state = _read_again(state)
    is_asked = state.waiting is not None or state.awaiting is not None
    is_open = state.phase in (Phase.OPEN, Phase.CHECKING) and not state.parts.is_complete
    if not weighs_roles(state) or is_asked or not is_open or is_said(state):
        return Expectation.ANY
    is_whole = state.parts.whole is None
    if state.parts.is_empty:
        is_whole = state.called_first is CalledFirst.WHOLE
    return Expectation.WHOLE if is_whole else Expectation.FRACTION


def too_steep(state: State, number: int) -> Message | None:
    """Say that the rise in force is more than the length that a number completes as the part due.

    Args:
        state: where the pull stands.
        number: without a point, of whom nobody says who calls it.
    """
    state, part = _read_again(state), due(state)
    unit, parts = state.settings.unit, state.parts
    if part is Expectation.ANY or parts.is_empty or unit.is_fine:
        return None
    if part is Expectation.WHOLE:
        parts = replace(parts, whole=number * unit.counts)
    else:
        parts = replace(parts, fraction=unit.of_hundredths(number))
    length = length_of(state, parts)
    if length < 0 or not is_too_steep(state.conditions, length, unit):
        return None
    return message("rise-beyond-tape", rise=stated_length(state.conditions.rise_ft or 0.0, unit))


def _read_again(state: State) -> State:
    """Give the pull as the next number finds it: where first and check differ, it is read again."""
    is_differing = state.stop is not None and state.stop.check is not None
    return _ahead(state) if is_differing else state
