"""What *scratch* strikes, and the calls of a pull taken again without it; pure.

Striking replays: the pull is begun anew and takes its other calls, with what was decided and stated
after each of them. Without the struck one they may go another way: a call that the chief decided
against counts, a check is complete earlier, and stops or books the pull before calls that were its
own. From edition 2 calls that do not go as they went are struck too, and asked for again.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from calllog.pairing.booking import Rules, Step, ask, move, refuse, voids
from calllog.pairing.changed import replace
from calllog.pairing.differing import REPEAT_DIFFERS
from calllog.pairing.moving import FINISH
from calllog.pairing.places import Places
from calllog.pairing.roles import expecting, weighs_roles
from calllog.pairing.running import STRUCK_BY_SCRATCH, Between, again_stated, reopened, stated_anew
from calllog.pairing.state import OTHER, State
from calllog.pairing.table import Phase, Signal
from calllog.values import (
    NUMBERS,
    Call,
    Choice,
    Conditions,
    Consequence,
    Decision,
    Finding,
    Kind,
    Reopened,
    Segment,
    Severity,
    Void,
    message,
)

NOTES = frozenset({Kind.NOTE})
ASKS_SINCE = 2
"""The edition of the pairing from which calls are asked for again that do not go as they went."""


def scratch(state: State, rules: Rules) -> Step:
    """Strike the last number of the pull, or of the one booked before it, which opens again."""
    if state.waiting is not None and state.waiting.asks is not None:
        numbers = called_now(state.history) - state.struck
        left = without(replace(state, waiting=None), numbers, rules)
        return Step(left.state, (*voids(state, sorted(numbers)), *left.consequences))
    if state.waiting is not None:
        number = state.waiting.call.number
        return Step(replace(state, waiting=None), voids(state, (number,)))
    if _is_just_finished(state):
        open_again = replace(move(state, Signal.UNFINISH), history=state.history[:-1])
        return Step(open_again, voids(state, (state.history[-1].number,)))
    consequences: tuple[Consequence, ...] = ()
    kinds = _strikes(state)
    last = _last(state.history, kinds, state.struck)
    if state.stop is not None and state.stop.word is not None:
        last = state.stop.word
    is_asked = state.settings.pairing >= ASKS_SINCE
    if is_asked and state.stop is not None and state.stop.waiting is not None:
        last = state.stop.waiting.call
    if last is None and (before := _reopening(state)) is not None:
        consequences = (Reopened(pull=before.pull),)
        state = reopened(state, before)
        last = _last(state.history, kinds, state.struck)
    if last is None or state.opening is None:
        return refuse(state, message("no-call-to-scratch"))
    void = Void(call=last.number, pull=state.pull)
    is_condition = last.kind is Kind.CONDITION
    done = without(state, {last.number}, rules, is_condition=is_condition)
    return Step(done.state, (*consequences, void, *done.consequences))


def without(state: State, gone: set[int], rules: Rules, *, is_condition: bool = False) -> Step:
    """Take the calls of a pull again without some; what they had struck stays struck.

    Each counts under the conditions of its time. In edition 0 those in force now stay in force.
    Where the others do not go as they went, those of the measurement in progress are struck too,
    or all of the pull if that is not enough; the crew is asked to call them again.

    Returns:
        The state without them; what else is struck, and the question.
    """
    left = _again(state, gone, rules)
    if state.settings.pairing < ASKS_SINCE or left.goes_as_it_went:
        return Step(_settled(state, left.state, is_condition=is_condition))
    is_check = any(map(_switches, state.history))
    left = _again(state, {*gone, *called_now(state.history)}, rules)
    if not left.goes_as_it_went or (left.state.phase is Phase.CHECKING) is not is_check:
        begun = _begun_anew(state, is_check=is_check)
        every = {each.number for each in state.history if each.kind in NUMBERS}
        left = _again(begun, {*gone, *every}, rules)
    struck = [
        each.number
        for each in state.history
        if each.number in left.gone and each.number not in gone | state.struck
    ]
    settled = _settled(state, left.state, is_condition=is_condition)
    if not struck:
        return Step(settled)
    asked = ask(settled, message("call-both-again"))
    return Step(settled, (*voids(state, struck), *asked.consequences))


@dataclass(frozen=True, slots=True)
class _Again:
    """The calls of a pull taken again."""

    state: State
    gone: frozenset[int]
    """The calls that were not taken."""
    goes_as_it_went: bool
    """All others count as they did: none is held or refused now, and no stop or booking is new."""


def _again(state: State, without: set[int], rules: Rules) -> _Again:
    opening, gone = state.opening or state, set(without)
    while True:
        again = _between(replace(opening, opening=opening), state.between, 0, rules)
        goes = True
        for each in state.history:
            if each.number not in gone:
                done = rules.call(again, each)
                again = done.state
                goes = goes and not any(isinstance(x, Segment) for x in done.consequences)
            again = _between(again, state.between, each.number, rules)
            goes = goes and not again.held and (again.stop is None or _is_known(state, again))
        revived = state.struck - again.struck - gone
        if not revived:
            break
        gone |= revived
    goes = goes and again.struck <= state.struck and _counts_all(state, again, gone)
    goes = goes and not _brings_back(state, again, without, gone)
    return _Again(again, frozenset(gone), goes)


def _is_known(state: State, again: State) -> bool:
    """Tell whether the stop of a pull taken again is one in which it stood before."""
    stops = [_of(each) for each in again.findings if each.severity is Severity.STOP]
    return bool(stops) and stops[-1] in map(_of, state.findings)


def _counts_all(state: State, again: State, gone: set[int]) -> bool:
    """Tell whether a pull taken again has all its calls, each in the measurement that it had.

    That the ends were switched may be left out, if nothing was called since.
    """
    taken = {each.number for each in again.history}
    is_unswitched = False
    for each in state.history:
        if each.number in gone:
            continue
        if each.number not in taken and not _switches(each):
            return False
        if is_unswitched and each.kind in NUMBERS:
            return False
        is_unswitched = is_unswitched or each.number not in taken
    return True


def _brings_back(state: State, again: State, without: set[int], gone: set[int]) -> bool:
    """Tell whether a call counts again that differed from another, now gone, and did not stand.

    Where the crew strikes the later one of the two, and nobody had chosen it, the other stands.
    """
    stands = set(map(_of, again.findings))
    chosen = {
        number
        for number, event in state.between
        if isinstance(event, Decision) and event.choice is Choice.CHECK
    }
    for each in state.findings:
        if each.code != REPEAT_DIFFERS or _of(each) in stands or gone.issuperset(each.calls):
            continue
        if each.calls[-1] not in without - chosen:
            return True
    return False


def _of(finding: Finding) -> tuple[str, tuple[int, ...]]:
    return finding.code, finding.calls


def _begun_anew(state: State, *, is_check: bool) -> State:
    """Let a pull begin anew where the two stand now: after the take they switched ends."""
    opening = state.opening or state
    if not is_check or not weighs_roles(state):
        return state
    opening = replace(opening, places=expecting(OTHER[state.holder], state.habit))
    return replace(state, opening=opening)


def _settled(state: State, again: State, *, is_condition: bool) -> State:
    """Keep what striking does not undo."""
    if not state.settings.pairing:
        return replace(again, conditions=state.conditions)
    if not is_condition:
        return again
    # a condition moves nothing: the line stays finished, and the pull before may open again
    is_finished = state.phase is Phase.FINISHED
    phase = Phase.FINISHED if is_finished else again.phase
    return replace(again, phase=phase, booked=state.booked)


def _switches(call: Call) -> bool:
    return call.kind is Kind.COMMAND and call.name == "switch"


def called_now(history: Iterable[Call]) -> set[int]:
    """List the numbers of the measurement in progress."""
    found: set[int] = set()
    for each in history:
        if _switches(each):
            found.clear()
        elif each.kind in NUMBERS:
            found.add(each.number)
    return found


def replayed(state: State, places: Places, rules: Rules) -> State | None:
    """Take the calls of a pull again with other places; None where they do not go so."""
    opening = state.opening or state
    as_told = replace(opening, places=replace(places, is_told=True))
    left = _again(replace(state, opening=as_told), set(), rules)
    if state.settings.pairing >= ASKS_SINCE and not left.goes_as_it_went:
        return None
    again = _settled(state, left.state, is_condition=False)
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


def _is_just_finished(state: State) -> bool:
    """Tell whether the end of the line was said last."""
    return (
        state.phase is Phase.FINISHED and bool(state.history) and state.history[-1].name == FINISH
    )


def note_said_last(state: State) -> Call | None:
    """Find the note that was said after every number, held ones too."""
    if _is_just_finished(state):
        return None
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
