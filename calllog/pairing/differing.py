"""Two values of one part in: a stop, or what was typed stands over what was heard; pure."""

from calllog.pairing.booking import Step, change_take, complete, finding, move, refuse, voids
from calllog.pairing.changed import replace
from calllog.pairing.parts import Parts
from calllog.pairing.state import State, Stop
from calllog.pairing.table import Phase, Signal
from calllog.values import Call, Kind, Role, Severity, message

REPEAT_DIFFERS = "repeat-differs"
"""Code of the stop at a repetition that says another value."""
KEYED_STANDS = "keyed-stands"
"""Code of the finding that something was heard beside what was typed."""
NEAR_S = 10.0
"""A key and a voice this near to each other are about the same reading."""
LENGTH = "length"
"""Both parts together, where a part is named."""


def conflict(state: State, new: Parts, differing: list[str]) -> Step:
    """Stop: a repetition differs in these parts."""
    name = differing[0] if len(differing) == 1 else None
    pair = {
        "whole": (state.parts.whole, new.whole),
        "fraction": (state.parts.fraction, new.fraction),
        None: (state.parts.raw, new.raw),
    }[name]
    first, second = (each or 0 for each in pair)
    found = finding(
        state,
        REPEAT_DIFFERS,
        Severity.STOP,
        values=(first, second),
        calls=new.calls,
        part=name or LENGTH,
    )
    stopped = replace(
        move(state, Signal.CONFLICT),
        stop=Stop(origin=state.phase, check=None, other=new),
        findings=(*state.findings, found),
    )
    return Step(stopped, (found,))


def overrule(state: State, new: Parts, struck: tuple[int, ...], kept: tuple[int, ...]) -> Step:
    """Let what was typed stand over what was heard."""
    notes = tuple(
        finding(
            state,
            KEYED_STANDS,
            Severity.NOTE,
            values=(state.parts.raw, new.raw),
            calls=(number, new.calls[-1]),
            part=LENGTH,
        )
        for number in kept
    )
    follows = (*voids(state, struck), *notes)
    state = replace(state, parts=new, findings=(*state.findings, *notes))
    if state.phase is Phase.TAKEN:
        return Step(change_take(move(state, Signal.KEYED)), follows)
    if not new.is_complete:
        return Step(move(state, Signal.KEYED), follows)
    completed = complete(state)
    return Step(completed.state, (*follows, *completed.consequences))


def as_correction(state: State, call: Call) -> Call | None:
    """Let a bare number typed right after a whole foot was heard stand in its place.

    Typed by whom nobody knows, where the hundredths are still to come: those are typed with their
    point. What the one who owes the hundredths types are hundredths.

    Returns:
        The call that it makes; None where it stands for itself.
    """
    last = state.history[-1] if state.history else None
    if (
        state.settings.pairing >= 1
        and call.is_keyed
        and call.kind is Kind.NUMBER
        and Role.UNSAID in (call.role, state.whole_by)
        and state.parts.whole is not None
        and state.parts.fraction is None
        and not state.parts.is_keyed("whole")
        and last is not None
        and last is stating(state, "whole")
        and _is_near(last, call)
    ):
        return call.model_copy(
            update={"kind": Kind.WHOLE, "value": (call.value or 0) * state.settings.unit.counts}
        )
    return None


def stating(state: State, part: str) -> Call | None:
    """Find the last call that states a part as it stands."""
    numbers = {each.call for each in state.parts.stated if each.part == part}
    return next((each for each in reversed(state.history) if each.number in numbers), None)


def _is_near(one: Call, other: Call) -> bool:
    is_same = one.source.partition("#")[0] == other.source.partition("#")[0]
    return is_same and abs(other.start_s - one.end_s) <= NEAR_S


def beside_keyed(before: State, state: State, call: Call, differs: tuple[str, int]) -> Step:
    """Strike what was heard beside a part that was typed and differs.

    Within seconds of the key it is asked instead: one of the two has slipped, and nobody but the
    crew knows which.

    Args:
        before: where the pull stands.
        state: the same with the call taken.
        call: what was heard.
        differs: the part, and what was heard of it.
    """
    part, heard = differs
    keyed = state.parts.value(part) or 0
    typed = stating(before, part)
    if state.settings.pairing >= 1 and typed is not None and _is_near(typed, call):
        asks = message("keyed-and-heard", part=part, keyed=keyed, heard=heard)
        return refuse(before, asks, call.role)
    found = finding(
        state,
        KEYED_STANDS,
        Severity.NOTE,
        values=(keyed, heard),
        part=part,
        calls=(
            *(each.call for each in state.parts.stated if each.part == part and each.is_keyed),
            call.number,
        ),
    )
    state = replace(
        state,
        struck=state.struck | {call.number},
        findings=(*state.findings, found),
    )
    return Step(state, (*voids(state, (call.number,)), found))
