"""A part that was typed of a pull before it was measured again, and is heard otherwise now; pure.

Who types a part was misheard, often more than once, and is misheard in the same way when the pull
is measured again: take and check agree then, and both are wrong. So what was typed is held up to
what would be recorded. It is asked once; said again, what was heard counts.

From edition 6 of the pairing (decision 110).
"""

from collections.abc import Iterator

from calllog.decoding import Part
from calllog.pairing.asking import wait_for
from calllog.pairing.changed import replace
from calllog.pairing.edition import ASKS_TYPED_SINCE
from calllog.pairing.parts import PART_NAMES, Parts
from calllog.pairing.state import Asked, State
from calllog.values import Question, Role, message

TypedParts = tuple[tuple[str, int], ...]


def typed_parts(state: State) -> TypedParts:
    """List what was typed of the pull that is measured again now, or was before [least counts].

    What was typed in two ways tells nothing.
    """
    if state.settings.pairing < ASKS_TYPED_SINCE:
        return ()
    observed = (state.take_parts, state.parts, *((state.stop.other,) if state.stop else ()))
    typed = dict(state.typed)
    for part in PART_NAMES:
        values = {value for each in observed for value in _typed(each, part)}
        if values:
            typed.pop(part, None)
        if len(values) == 1:
            typed[part] = values.pop()
    return tuple(typed.items())


def ask_typed(state: State) -> tuple[State, Question] | None:
    """Ask a part that take and check agree in and that was typed otherwise before; None if none.

    Args:
        state: with a complete check that agrees with the take.
    """
    for part, value in state.typed:
        if _is_otherwise(state, part, value):
            others = tuple(each for each in state.typed if each[0] != part)
            asked = Asked(is_take=False, part=Part(part), role=Role.UNSAID)
            waiting = wait_for(replace(state, typed=others), asked)
            role = waiting.asked[-1].role
            asks = message("typed-before", role=role.value, part=part, value=value)
            return waiting, Question(pull=state.pull, role=role, asks=asks)
    return None


def _typed(parts: Parts, part: str) -> Iterator[int]:
    value = parts.value(part)
    if value is not None and parts.is_keyed(part):
        yield value


def _is_otherwise(state: State, part: str, value: int) -> bool:
    """Tell whether take and check were both heard, and neither is what was typed."""
    observed = (state.take_parts, state.parts)
    if any(each.is_keyed(part) for each in observed):
        return False
    return all(_are_apart(state, value, each.value(part)) for each in observed)


def _are_apart(state: State, one: int, other: int | None) -> bool:
    """Tell whether two values of a part differ; .99 and .00 are beside each other."""
    counts = state.settings.unit.counts
    apart = abs(one - (one if other is None else other))
    if max(one, other or 0) < counts:
        apart = min(apart, counts - apart)
    return apart > state.settings.tolerance
