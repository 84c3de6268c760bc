"""Whether an event would leave a pull as it stands, so that nobody need be offered it; pure."""

from calllog.pairing.changed import replace
from calllog.pairing.state import State


def does_nothing(before: State, after: State) -> bool:
    """Tell whether a step changed nothing but what only matters when a call is struck later."""
    return _apart_from_replay(before) == _apart_from_replay(after)


def _apart_from_replay(state: State) -> State:
    """Leave out what a pull began with, and what was taken last."""
    return replace(state, opening=None, between=(), last=None)
