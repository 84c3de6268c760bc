"""One of the two says back what the other one called: a number that states no part; pure.

"Fifteen" - "fifteen, forty-two": the other one repeats the number aloud, before or after their own
(common practice, no published source). Said in one breath it is a reading; said apart, it looks
like their own part, of the same value.
"""

from dataclasses import dataclass

from calllog.pairing.differing import stating
from calllog.pairing.parts import PART_NAMES
from calllog.pairing.proposal import plain, propose
from calllog.pairing.state import State
from calllog.pairing.table import Phase
from calllog.values import NUMBERS, Call, Kind, Message, Role, message

SOON_S = 4.0
"""A number is said back so soon after it was called."""
OWN_S = 8.0
"""The one who says it back calls their own so soon after that."""
SURE = 0.9
"""Below it the first measurement's part may have been another."""
OTHER = dict(zip(PART_NAMES, reversed(PART_NAMES), strict=True))


@dataclass(frozen=True, slots=True)
class _Own:
    """A number as the part of the one who called it."""

    part: str
    value: int
    """Least counts."""
    other: Call
    """What states the part of the other one."""


def is_said_back(state: State, call: Call) -> bool:
    """Tell whether a call says back the other one's number, after its caller's own."""
    own = _as_own(state, call)
    if own is None or state.parts.value(own.part) in (None, own.value):
        return False
    return _says_back(state, call, own.other)


def said_back_before(state: State, call: Call) -> int | None:
    """Find the call that only said back the other's number, where its caller now calls their own.

    Returns:
        Its number; None if this is not what comes after such a call.
    """
    own = _as_own(state, call)
    if own is None or state.parts.value(own.part) in (None, own.value):
        return None
    before = stating(state, own.part)
    if before is None or before.role is not call.role or call.start_s - before.end_s > OWN_S:
        return None
    return before.number if _says_back(state, before, own.other) else None


def asks_own(state: State, call: Call) -> Message | None:
    """Ask for a part of the check where a number may only be said back; None if it is taken.

    It would differ from the first measurement, or agree with what was not heard for sure there, and
    the other part does not differ. Who was asked so in this pull is taken at their word; so are
    recordings, since nobody hears what is asked.
    """
    own = _as_own(state, call)
    if own is None or state.phase is not Phase.CHECKING or state.said_back is call.role:
        return None
    if not call.is_live:
        return None
    if state.parts.value(own.part) is not None:
        return None
    if state.take_parts.value(own.part) == own.value and _is_sure_of_first(state, own.part):
        return None
    is_alike = state.parts.value(OTHER[own.part]) == state.take_parts.value(OTHER[own.part])
    if not is_alike or not _says_back(state, call, own.other):
        return None
    return message("say-again", role=call.role.value, part=own.part, measurement="check")


def _is_sure_of_first(state: State, part: str) -> bool:
    numbers = {each.call for each in state.take_parts.stated if each.part == part}
    stated = [each for each in state.history if each.number in numbers]
    return all(each.is_keyed or each.probability >= SURE for each in stated)


def _as_own(state: State, call: Call) -> _Own | None:
    """Take a number for its caller's part; None where who called does not tell which it is."""
    if state.settings.pairing < 1 or call.is_keyed or call.kind not in NUMBERS:
        return None
    if call.kind is Kind.READING or Role.UNSAID in (call.role, state.whole_by):
        return None
    proposed = propose(state, call)
    if isinstance(proposed, Message) or len(proposed) != 1:
        return None
    ((part, value),) = proposed.items()
    other = stating(state, OTHER[part])
    return None if other is None else _Own(part, value, other)


def _says_back(state: State, call: Call, other: Call) -> bool:
    """Tell whether a call repeats the number that the other one called just before it."""
    one = state.settings.unit.counts
    if other.is_keyed or other.kind is Kind.READING or plain(call, one) != plain(other, one):
        return False
    is_theirs = other.role is not Role.UNSAID and other.role is not call.role
    is_same_clock = call.source.partition("#")[0] == other.source.partition("#")[0]
    return is_theirs and is_same_clock and 0.0 <= call.start_s - other.end_s <= SOON_S
