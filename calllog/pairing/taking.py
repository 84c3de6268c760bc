"""A number that has its place in, the parts of the pull with it out, or why it is refused; pure."""

from calllog.pairing.booking import Step, compare, complete, move, refuse
from calllog.pairing.changed import replace
from calllog.pairing.differing import beside_keyed, conflict, overrule
from calllog.pairing.parts import Parts
from calllog.pairing.proposal import is_too_steep, length_of, no_reading, placed, propose
from calllog.pairing.roles import weighs_roles
from calllog.pairing.state import State, StyleKnown
from calllog.pairing.table import Phase, Signal
from calllog.pairing.tape_style import CHECK
from calllog.units import stated_length
from calllog.values import Call, Message, message


def taken(state: State, call: Call) -> Step:  # noqa: PLR0911 - one way out for each rule
    """Take a number in, as it is placed."""
    proposed = propose(state, call)
    if isinstance(proposed, Message):
        return refuse(state, proposed, call.role)
    parts = state.parts
    differing = parts.differing(proposed)
    keyed = tuple(part for part in differing if parts.is_keyed(part))
    kept = call if weighs_roles(state) else placed(call, proposed)
    with_call = replace(state, history=(*state.history, kept))
    if keyed and not call.is_keyed:
        return beside_keyed(state, with_call, call, (keyed[0], proposed[keyed[0]]))
    overrules = bool(differing) and call.is_keyed and not keyed
    new, struck, others = (
        parts.overrule(call, proposed) if overrules else (parts.add(call, proposed), (), ())
    )
    if new.is_complete and (why := impossible(state, new)):
        return refuse(state, why, call.role)
    if overrules:
        return overrule(
            replace(with_call, struck=with_call.struck.union(struck)), new, struck, others
        )
    if differing:
        return conflict(with_call, new, list(differing))
    with_call = replace(with_call, parts=new)
    if (new.whole, new.fraction) == (parts.whole, parts.fraction):
        return _repeated(move(with_call, Signal.REPEAT))
    return complete(with_call) if new.is_complete else Step(move(with_call, Signal.PART))


def tried(state: State, call: Call) -> Parts | Message | None:
    """Add a number to the parts: why it cannot be; None where it contradicts what stands."""
    proposed = propose(state, call)
    if isinstance(proposed, Message):
        return proposed
    if state.parts.differing(proposed):
        return None
    new = state.parts.add(call, proposed)
    why = impossible(state, new) if new.is_complete else None
    return why or new


def _repeated(state: State) -> Step:
    """Take a repetition alike; where an answer is awaited it is evidence, and decides again."""
    is_waited = state.awaiting or (
        state.style_waits == CHECK and state.style is not StyleKnown.CONFIRMED
    )
    if state.phase is Phase.CHECKING and is_waited and state.take is not None:
        return compare(state, state.take)
    return Step(state)


def impossible(state: State, parts: Parts) -> Message | None:
    """Say why complete parts cannot go together; None if they can."""
    length, unit = length_of(state, parts), state.settings.unit
    if why := no_reading(state.settings, parts, length):
        return message("both-parts-again", why=why)
    if is_too_steep(state.conditions, length, unit):
        rise = stated_length(state.conditions.rise_ft or 0.0, unit)
        return message("rise-in-force-beyond-tape", rise=rise)
    return None
