"""Which conditions end with their pull and which run on, and what of them is undone; pure.

A rise and the mark that is held in place of zero are true of one pull; temperature, tension,
support and position run on (common practice, no published source). Edition 0 of the pairing let
all of them run on.
"""

from collections.abc import Iterable

from calllog.pairing.changed import replace
from calllog.pairing.state import State
from calllog.values import NUMBERS, Call, Conditions, Decision, Kind, LineSettings

RUNS_ON = ("temperature_degf", "tension_lb", "spans", "position")
"""What counts from then on; all else is one pull's own."""
OF_ONE_PULL = frozenset({"rise", "hold"})
"""Names of conditions that end with their pull."""
STRUCK_BY_SCRATCH = (NUMBERS, NUMBERS | {Kind.CONDITION})
"""What *scratch* may strike, by edition."""

Between = tuple[tuple[int, Decision | Conditions], ...]


def running_on(conditions: Conditions, settings: LineSettings) -> Conditions:
    """Keep what runs on into a pull that begins; of its own it has what its tape has held."""
    if not settings.pairing:
        return conditions
    kept = {name: getattr(conditions, name) for name in RUNS_ON}
    return Conditions(**kept, hold=settings.hold)


def opens_with(state: State, call: Call) -> int:
    """Tell for which pull a call counts that another one may have been meant for.

    A rise that is said once the check agrees is the next pull's, not that of the pull just
    recorded. The first number after a pull was to be measured again is of that pull.

    Args:
        state: where the line stands, the call taken.
        call: the condition or number.

    Returns:
        The pull's number; 0 where nobody can be mistaken.
    """
    if call.kind in NUMBERS:
        numbers = [each.number for each in state.history if each.kind in NUMBERS]
        return state.pull if state.superseded and numbers == [call.number] else 0
    is_own = call.kind is Kind.CONDITION and call.name in OF_ONE_PULL
    return state.pull if is_own and state.is_between and state.booked is not None else 0


def stated_anew(state: State, conditions: Conditions) -> State:
    """Let conditions stand that were stated anew as a whole.

    What they change is remembered, so that striking a call before them does not undo it.
    """
    if not state.settings.pairing:
        between = (*state.between, (_last_call(state), conditions))
        return replace(state, conditions=conditions, between=between)
    changed = {
        name: value for name, value in conditions if value != getattr(state.conditions, name)
    }
    return again_stated(state, Conditions(**changed))


def again_stated(state: State, changed: Conditions) -> State:
    """Let the conditions that were changed after the last call stand again."""
    stated = {name: getattr(changed, name) for name in changed.model_fields_set}
    return replace(
        state,
        conditions=state.conditions.model_copy(update=stated),
        between=(*state.between, (_last_call(state), changed)),
    )


def kept_by_again(state: State) -> tuple[Conditions, tuple[Call, ...], Between]:
    """Tell which conditions of a pull outlive its being measured again.

    Returns:
        The conditions that it began with; the calls that changed them; and what was stated anew,
        after which of those calls.
    """
    if not state.settings.pairing:
        return state.conditions, (), ()
    begun = state.opening or state
    stated = tuple(each for each in state.history if each.kind is Kind.CONDITION)
    between = tuple(
        (max((each.number for each in stated if each.number <= after), default=0), event)
        for after, event in state.between
        if isinstance(event, Conditions)
    )
    return begun.conditions, stated, between


def reopened(state: State, before: State) -> State:
    """Open the pull before again: it has its own conditions back; what runs on stays as it is.

    Args:
        state: of the pull that was opened after it, no call of which stands.
        before: of the pull that is opened again.
    """
    if not state.settings.pairing:
        return replace(before, conditions=state.conditions)
    for changed in _runs_on(event for _, event in state.between):
        before = again_stated(before, changed)
    return before


def _last_call(state: State) -> int:
    return state.history[-1].number if state.history else 0


def _runs_on(events: Iterable[Decision | Conditions]) -> Iterable[Conditions]:
    for event in events:
        if isinstance(event, Conditions):
            kept = {n: getattr(event, n) for n in RUNS_ON if n in event.model_fields_set}
            yield Conditions(**kept)
