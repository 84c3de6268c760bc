"""A number called in, the parts of an observation that it states out, or a question; pure."""

from calllog.pairing.edition import KNOWS_TAKE_SINCE
from calllog.pairing.parts import Parts
from calllog.pairing.state import State
from calllog.tape import PARTED
from calllog.units import UNIT_FT
from calllog.values import (
    NUMBERS,
    Call,
    CalledFirst,
    Conditions,
    Kind,
    LineSettings,
    Message,
    ReadingUnit,
    Role,
    Style,
    message,
)

FULL_TAPE = "full tape"
"""Name of the call that states the whole tape."""
REPEAT_WITHIN_S = 20.0
"""A full reading that repeats a booked pull this soon after it is a repetition, not a new pull."""


def propose(state: State, call: Call) -> dict[str, int] | Message:
    """Tell which parts a call states [hundredths], or why it must be asked again."""
    proposed = _propose(state, call)
    if isinstance(proposed, Message) or proposed.get("whole", 0) <= state.settings.limit:
        return proposed
    return beyond_tape(state.settings, Parts(whole=proposed["whole"])) or proposed


def beyond_tape(settings: LineSettings, parts: Parts) -> Message | None:
    """Say that parts are no reading of this tape; None if they are.

    Hundredths count backwards from the mark on a tape that cuts.
    """
    greatest = (parts.whole or 0) if settings.style is Style.CUT else parts.raw
    if greatest <= settings.limit:
        return None
    return message("beyond-tape", reading=greatest, tape=settings.limit // settings.unit.counts)


def no_reading(settings: LineSettings, parts: Parts, length: int) -> Message | None:
    """Say that parts are no reading of this tape, or leave no length on one that cuts."""
    if beyond := beyond_tape(settings, parts):
        return beyond
    if length >= 0:
        return None
    return message("less-than-nothing", whole=parts.whole or 0, fraction=parts.fraction or 0)


def _propose(  # noqa: PLR0911 - one way out for each kind of call
    state: State, call: Call
) -> dict[str, int] | Message:
    value, parts, style = call.value or 0, state.parts, state.settings.style
    one = state.settings.unit.counts
    match call.kind:
        case Kind.WHOLE:
            return {"whole": value}
        case Kind.FRACTION:
            return {"fraction": value}
        case Kind.NUMBER:
            return _propose_bare(state, call, value)
        case _ if call.name == FULL_TAPE and style is Style.INSET and _is_held(state):
            return message("say-read-and-held")
        case _ if style is Style.CUT and not call.name:
            if parts.is_complete and value in (parts.raw, length_of(state, parts)):
                return {}
            if value % one and (call.is_keyed or not parts.is_complete):
                return message("tape-cuts")
    return {"whole": value // one * one, "fraction": value % one}


def _is_held(state: State) -> bool:
    """Tell whether a mark is held, so that a whole tape is not what is read."""
    return bool(state.conditions.hold) or state.settings.pairing < 1


def _propose_bare(state: State, call: Call, value: int) -> dict[str, int] | Message:
    """Give a bare number its place: by the caller's role, else whole foot first."""
    parts, one = state.parts, state.settings.unit.counts
    if call.role is not Role.UNSAID and state.whole_by is not Role.UNSAID:
        is_whole = call.role is state.whole_by
    elif parts.is_empty:
        is_whole = state.called_first is CalledFirst.WHOLE
    elif parts.whole is None:
        is_whole = True
    elif parts.whole == value * one and parts.fraction is None:
        return message("again-or-hundredths", value=value)
    else:
        is_whole = parts.fraction is not None and parts.whole == value * one
    if is_whole:
        return {"whole": value * one}
    return bare_fraction(value, state.settings.unit)


def bare_fraction(value: int, unit: ReadingUnit) -> dict[str, int] | Message:
    """Take a bare number for what stands after the point, or say what it lacks."""
    if unit is ReadingUnit.FINE_METRE:
        return message("three-digits-due", said=str(value))
    if value < 10:  # noqa: PLR2004 - one digit
        return message("one-digit", said=str(value), digit=value)
    return {"fraction": unit.of_hundredths(value)}


def plain(call: Call, one: int) -> int:
    """Give a number as it was said: 15 for a whole mark of 15, 42 for hundredths.

    Args:
        call: the number.
        one: least counts of the tape's unit.
    """
    value = call.value or 0
    return value // one if call.kind is Kind.WHOLE else value


def placed(call: Call, proposed: dict[str, int]) -> Call:
    """Give a bare number the place that it was taken for, so that it keeps it when replayed."""
    if call.kind is not Kind.NUMBER:
        return call
    ((part, value),) = proposed.items()
    return call.model_copy(update={"kind": Kind(part), "value": value})


def repeats_booked(state: State, call: Call) -> bool:
    """Tell whether a full reading that was heard only repeats the pull booked a moment ago."""
    before = state.booked
    if (
        before is None
        or before.pull != state.pull - 1
        or call.kind is not Kind.READING
        or call.is_keyed
        or call.name == FULL_TAPE
        or state.settings.style not in PARTED
        or not state.parts.is_empty
    ):
        return False
    last = next((each for each in reversed(before.history) if each.kind in NUMBERS), None)
    values = (
        {before.parts.raw, length_of(before, before.parts)} if before.parts.is_complete else set()
    )
    if state.settings.pairing >= KNOWS_TAKE_SINCE and before.take is not None:
        values |= {before.take_parts.raw, before.take.length}
    return (
        last is not None
        and call.value in values
        and call.source.partition("#")[0] == last.source.partition("#")[0]
        and call.start_s - last.start_s <= REPEAT_WITHIN_S
    )


def length_of(state: State, parts: Parts) -> int:
    """Reduce complete parts under the conditions in force [hundredths]."""
    return parts.observe(state.settings.style, state.conditions.hold).length


def is_too_steep(conditions: Conditions, length: int, unit: ReadingUnit) -> bool:
    """Tell whether the rise in force is more than a length [hundredths of the unit]."""
    rise_ft = conditions.rise_ft
    return rise_ft is not None and abs(rise_ft) * unit.counts > length * float(UNIT_FT[unit])
