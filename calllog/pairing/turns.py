"""The state of a pull in, who is expected to call what out; pure."""

from __future__ import annotations

from calllog.pairing.machine import status
from calllog.pairing.state import State
from calllog.pairing.table import Phase
from calllog.tape import PARTED
from calllog.values import Message, Role, message


def whose_turn(state: State) -> Message:
    """Tell what the pull waits for, and which end calls the whole mark and which the hundredths.

    Ends are named as microphones are worn, as in every question.
    """
    is_parted = state.settings.style in PARTED and state.awaiting is None
    is_called = is_parted and state.phase in (Phase.OPEN, Phase.CHECKING)
    whole_by = state.whole_by if is_called else Role.UNSAID
    return message("whose-turn", status=status(state), whole_by=whole_by.value)
