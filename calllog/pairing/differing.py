"""Two values of one part in: a stop, or what was typed stands over what was heard; pure."""

from __future__ import annotations

from dataclasses import replace

from calllog.pairing.booking import Step, change_take, complete, finding, move, voids
from calllog.pairing.parts import Parts
from calllog.pairing.state import State, Stop
from calllog.pairing.table import Phase, Signal
from calllog.values import Call, Severity

KEYED_STANDS = "keyed-stands"
"""Code of the finding that something was heard beside what was typed."""
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
        "repeat-differs",
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


def beside_keyed(state: State, call: Call, part: str, heard: int) -> Step:
    """Strike what was heard beside a part that was typed and differs."""
    keyed = state.parts.value(part) or 0
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
