"""Whether all is said by a call, so that its caller will not go on in the same breath; pure.

A call is over when enough silence has followed. Where a call surely completes a measurement by a
number to which nothing can be added, or switches the ends, nobody need wait for that: "forty" may
go on as "forty-two", and "fifteen" as "fifteen forty-two", but not "forty-two" once the fifteen was
called. It changes nothing of what follows from a call.
"""

from calllog.pairing.machine import step
from calllog.pairing.state import State
from calllog.pairing.table import Phase
from calllog.values import HUNDREDTHS, NUMBERS, Call, Finding, Kind, Outcome, Segment, Severity

SURE = 0.9
"""A call is waited for if it is less likely."""
TEN = 10


def completes(state: State, call: Call) -> bool:
    """Tell whether a call, if taken now, would complete a measurement or switch the ends."""
    if call.outcome is not Outcome.CALL or call.probability < SURE:
        return False
    if call.kind is Kind.COMMAND and call.name == "switch":
        done = step(state, call)
        return state.phase is Phase.TAKEN and done.state.phase is Phase.CHECKING
    if call.kind not in NUMBERS or not _takes_no_more(state, call):
        return False
    done = step(state, call)
    follows = done.consequences
    if any(isinstance(each, Finding) and each.severity is Severity.STOP for each in follows):
        return False
    if any(isinstance(each, Segment) for each in follows):
        return True
    was_complete = state.phase is Phase.TAKEN or state.parts.is_complete
    return not was_complete and done.state.parts.is_complete


def _takes_no_more(state: State, call: Call) -> bool:
    """Tell whether nothing can follow a number in the same breath.

    Its hundredths have a ten and a one; and it is not the number that stands as the other part,
    which is said again before the hundredths: "fifteen forty-two".
    """
    value, counts = call.value or 0, state.settings.unit.counts
    hundredths = value % HUNDREDTHS
    is_other = value in (state.parts.fraction, (state.parts.whole or 0) // counts)
    is_in_figures = hundredths > TEN and bool(hundredths % TEN)
    return counts == HUNDREDTHS and is_in_figures and not is_other
