"""What *scratch* strikes, and the calls of a pull taken again without it; pure.

Striking replays: the pull is begun anew and takes its other calls, with what was decided and stated
after each of them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from calllog.pairing.booking import Rules, Step, refuse, voids
from calllog.pairing.places import Places
from calllog.pairing.running import STRUCK_BY_SCRATCH, Between, again_stated, reopened, stated_anew
from calllog.pairing.state import State
from calllog.pairing.table import Phase
from calllog.values import Call, Conditions, Consequence, Kind, Reopened, Void, message

NOTES = frozenset({Kind.NOTE})


def scratch(state: State, rules: Rules) -> Step:
    """Strike the last number of the pull, or of the one booked before it, which opens again."""
    if state.waiting is not None:
        number = state.waiting.call.number
        return Step(replace(state, waiting=None), voids(state, (number,)))
    consequences: tuple[Consequence, ...] = ()
    kinds = _strikes(state)
    last = _last(state.history, kinds, state.struck)
    if state.stop is not None and state.stop.word is not None:
        last = state.stop.word
    if last is None and (before := _reopening(state)) is not None:
        consequences = (Reopened(pull=before.pull),)
        state = reopened(state, before)
        last = _last(state.history, kinds, state.struck)
    if last is None or state.opening is None:
        return refuse(state, message("no-call-to-scratch"))
    void = Void(call=last.number, pull=state.pull)
    is_condition = last.kind is Kind.CONDITION
    replayed = without(state, {last.number}, rules, is_condition=is_condition)
    return Step(replayed, (*consequences, void))


def without(state: State, gone: set[int], rules: Rules, *, is_condition: bool = False) -> State:
    """Take the calls of a pull again without some; what they had struck stays struck.

    Each counts under the conditions of its time. In edition 0 those in force now stay in force.
    """
    opening = state.opening or state
    while True:
        replayed = _between(replace(opening, opening=opening), state.between, 0, rules)
        for each in state.history:
            if each.number not in gone:
                replayed = rules.call(replayed, each).state
            replayed = _between(replayed, state.between, each.number, rules)
        revived = state.struck - replayed.struck - gone
        if not revived:
            break
        gone |= revived
    if not state.settings.pairing:
        return replace(replayed, conditions=state.conditions)
    if not is_condition:
        return replayed
    # a condition moves nothing: the line stays finished, and the pull before may open again
    is_finished = state.phase is Phase.FINISHED
    phase = Phase.FINISHED if is_finished else replayed.phase
    return replace(replayed, phase=phase, booked=state.booked)


def replayed(state: State, places: Places, rules: Rules) -> State | None:
    """Take the calls of a pull again with other places; None where they do not go so."""
    opening = state.opening or state
    as_told = replace(opening, places=replace(places, is_told=True))
    again = without(replace(state, opening=as_told), set(), rules)
    numbers = [each.number for each in state.history]
    if (again.phase, [each.number for each in again.history]) != (state.phase, numbers):
        return None
    if again.struck != state.struck or again.superseded != state.superseded:
        return None
    return replace(again, places=places, opening=state.opening)


def _between(state: State, between: Between, number: int, rules: Rules) -> State:
    """Take again what was decided and stated after a call, so that nobody is asked twice."""
    for after, event in between:
        if after != number:
            continue
        if isinstance(event, Conditions):
            stands_again = again_stated if state.settings.pairing else stated_anew
            state = stands_again(state, event)
        elif state.stop is not None and state.stop.check is None:
            state = rules.decide(state, event).state
    return state


def _last(
    calls: Iterable[Call], kinds: frozenset[Kind], struck: frozenset[int] = frozenset()
) -> Call | None:
    found = [each for each in calls if each.kind in kinds and each.number not in struck]
    return found[-1] if found else None


def _strikes(state: State) -> frozenset[Kind]:
    """Tell what *scratch* may strike."""
    return STRUCK_BY_SCRATCH[min(state.settings.pairing, 1)]


def _reopening(state: State) -> State | None:
    """Give the booked pull that scratching opens again, if nothing was called since."""
    is_fresh = state.phase is Phase.OPEN and not state.superseded
    return state.booked if is_fresh else None


def note_said_last(state: State) -> Call | None:
    """Find the note that was said after every number, held ones too."""
    number = _last((*state.history, *state.held), _strikes(state), state.struck)
    note = _last(state.history, NOTES)
    if number is None and note is None and (before := _reopening(state)) is not None:
        return note_said_last(before)
    return note if note and (number is None or note.number > number.number) else None


def without_note(state: State, note: Call) -> State:
    """Leave out a note, in the pull that was booked before too."""
    return replace(
        state,
        history=tuple(each for each in state.history if each is not note),
        booked=state.booked and without_note(state.booked, note),
    )
