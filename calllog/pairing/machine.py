"""The pairing machine: a state and an event in, the next state and its consequences out; pure.

Rules 1 to 7 of a pull: parts in either order; a repetition that differs is a stop; after
switching ends the next observation is the check; agreement in exact hundredths books; nothing
moves ahead over a stop (calls that come meanwhile are held, in order); *scratch* voids the last
call; what may not be taken is asked again. What is typed stands over what was heard. Notes and
remarks belong to no part of a pull and move nothing. Every change of phase goes through the table.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from calllog.decoding import Action, Part
from calllog.pairing.asking import (
    TAKE_OR_CHECK,
    answer,
    ask_again,
    awaited,
    expected_part,
    misheard,
)
from calllog.pairing.booking import (
    Step,
    ask,
    book,
    change_take,
    compare,
    complete,
    finding,
    move,
    unsure_take,
    voids,
)
from calllog.pairing.conditions import apply_condition, is_change, states_nothing
from calllog.pairing.differing import (
    as_correction,
    beside_keyed,
    conflict,
    overrule,
)
from calllog.pairing.doubtful import ask_first, remember
from calllog.pairing.parts import PART_NAMES, Parts
from calllog.pairing.places import Option, Places, Waiting
from calllog.pairing.proposal import (
    beyond_tape,
    is_too_steep,
    length_of,
    less_than_nothing,
    placed,
    propose,
    repeats_booked,
)
from calllog.pairing.roles import (
    COMMANDS,
    TURNED,
    WHO_HOLDS,
    chosen,
    expecting,
    holder_told,
    is_said,
    keeps_order,
    question,
    settle,
    told,
    told_against,
    untellable,
    weighs_roles,
)
from calllog.pairing.running import (
    STRUCK_BY_SCRATCH,
    again_stated,
    kept_by_again,
    reopened,
    stated_anew,
)
from calllog.pairing.state import OTHER, State, Stop, StyleKnown
from calllog.pairing.stating import asked_of, ends_doubt, refusal, unsure_of
from calllog.pairing.stops import (
    TRIED_AGAIN,
    answers,
    crossed,
    has_not_gone_on,
    is_heard,
    is_live_stop,
    strike_live,
    without_live,
)
from calllog.pairing.table import Phase, Signal
from calllog.pairing.tape_style import (
    CHECK,
    ask_style,
    contradicts,
    hear,
    matters,
    says_style,
    stop_by_word,
    style_question,
)
from calllog.pairing.weighing import weigh
from calllog.tape import PARTED
from calllog.units import stated_length
from calllog.values import (
    NUMBERS,
    Booking,
    Call,
    CheckPolicy,
    Choice,
    Conditions,
    Consequence,
    Decision,
    Expectation,
    Held,
    Kind,
    Message,
    Outcome,
    Reopened,
    Role,
    Severity,
    Void,
    message,
)

Event = Call | Decision | Conditions

RESUME = {
    Phase.OPEN: Signal.RESUME_OPEN,
    Phase.TAKEN: Signal.RESUME_TAKEN,
    Phase.CHECKING: Signal.RESUME_CHECKING,
}
"""How a pull goes on after a repetition that differed."""
NOTES = frozenset({Kind.NOTE})
BESIDE = frozenset({"remark", "repeat", "who"})
"""Commands that move no pull: what follows them is for the session to do."""
ASKED = {Part.WHOLE: Expectation.WHOLE, Part.FRACTION: Expectation.FRACTION}


def step(state: State, event: Event) -> Step:
    """Take one event.

    Args:
        state: where the line stands.
        event: a call, a decision of the chief, or conditions stated anew as a whole.

    Returns:
        The next state and its consequences; never an error, whatever the crew says.
    """
    match event:
        case Decision():
            return _decide(state, event)
        case Conditions():
            return Step(stated_anew(state, event))
        case Call():
            asked = ask_first(state, event, _scratch)
            return remember(asked or _hear(state, event), event)


def _ahead(state: State) -> State:
    """Look over stops, as if each were decided for the first; live the pull is measured again."""
    while state.phase is Phase.STOPPED:
        choice = Choice.AGAIN if is_live_stop(state) else Choice.FIRST
        state = _decide(state, Decision(pull=state.pull, choice=choice, by="")).state
    return state


def pulls_ahead(state: State) -> int:
    """Count the pulls that a crew who went on over a stop is ahead of it."""
    return _ahead(state).pull - state.pull


def caller_at(state: State, end: Role) -> Role:
    """Tell who stands at an end of the tape now: after switching ends the other one does.

    A microphone keeps the role of the one who wears it in the take; a caller who says "head" or
    "rear" names the end.
    """
    ahead = _ahead(state)
    if weighs_roles(state):
        is_turned = ahead.whole_by is not state.settings.whole_by
    else:
        is_turned = ahead.phase is Phase.CHECKING
    return OTHER[end] if is_turned else end


def expects(state: State, role: Role) -> Expectation:
    """Tell what a caller is expected to say; over a stop, as if it were decided (see `_ahead`)."""
    is_unplaced = state.stop is not None and state.stop.waiting is not None
    state = _ahead(state)
    if state.settings.style not in PARTED:
        return Expectation.READING
    if is_unplaced:
        return Expectation.ANY
    if (part := expected_part(state, role)) is not None:
        return ASKED[part]
    if weighs_roles(state) and not state.places.is_told:
        return Expectation.ANY
    if role is Role.UNSAID or state.whole_by is Role.UNSAID:
        return Expectation.ANY
    return Expectation.WHOLE if role is state.whole_by else Expectation.FRACTION


def status(  # noqa: PLR0911 - one way out for each phase
    state: State,
) -> Message:
    """Tell what the pull waits for."""
    pull = state.pull
    if state.awaiting is not None and state.phase is not Phase.STOPPED:
        return message("pull-waits-for-answer", pull=pull, question=awaited(state.awaiting))
    if state.style_waits and state.phase is not Phase.STOPPED:
        return message("pull-waits-for-answer", pull=state.pull, question=style_question(state))
    if state.waiting is not None:
        return message("pull-waits-for-answer", pull=pull, question=question(state.waiting))
    match state.phase:
        case Phase.STOPPED if state.stop is not None and state.stop.word is not None:
            return message("pull-waits-for-right-tape", pull=state.pull)
        case Phase.STOPPED:
            return message("pull-waits-for-decision", pull=pull, held=len(state.held))
        case Phase.TAKEN:
            return message("pull-waits-for-switch", pull=pull)
        case Phase.FINISHED:
            return message("line-finished")
        case _:
            part = "whole" if state.parts.whole is None else "fraction"
            return message(
                "pull-waits",
                pull=pull,
                measurement=TAKE_OR_CHECK[state.phase is not Phase.CHECKING],
                part="all" if state.parts.is_empty else part,
            )


def _hear(state: State, call: Call) -> Step:
    """Take a call at the time that it is made, over a stop too; one that was held is not new."""
    if reason := refusal(state, call):
        return ask(state, reason, call.role)
    if (stated := unsure_of(state, call)) is not None:
        return ask(replace(state, doubted=stated), asked_of(state, call), call.role)
    if state.doubted is not None and ends_doubt(call):
        state = replace(state, doubted=None)
    return _call(state, call)


def _call(  # noqa: PLR0911 - one way out for each kind of call
    state: State, call: Call
) -> Step:
    if (beside := _beside_pull(state, call)) is not None:
        return beside
    if state.phase is Phase.STOPPED and not answers(state, call):
        return _settle(state, call) or _over_stop(state, call)
    if state.held and call.kind is Kind.COMMAND:
        if is_heard(state, call):
            struck, freed = strike_live(state)[0], without_live(state)
        else:
            struck = voids(state, (each.number for each in state.held))
            freed = replace(state, held=())
        if call.name == "scratch" and struck:
            return Step(freed, struck)
        answered = _command(freed, call)
        return Step(answered.state, (*struck, *answered.consequences))
    if call.kind is Kind.COMMAND:
        return _command(state, call)
    if call.kind is Kind.CONDITION:
        return _condition(state, call)
    return _number(state, call)


def _beside_pull(state: State, call: Call) -> Step | None:
    """Take what moves no pull, over a stop too; None for all else."""
    is_command = call.kind is Kind.COMMAND
    if call.kind is Kind.REMARK or (is_command and call.name in BESIDE):
        return Step(state)
    if call.outcome is Outcome.ASK:
        return ask(state, call.reason or message("no-call-made-out"), call.role)
    if call.outcome is Outcome.IGNORED or call.kind is Kind.CHATTER:
        return Step(state)
    if call.kind is Kind.NOTE:
        return Step(replace(state, history=(*state.history, call)))
    if is_command and call.name == "scratch" and (note := _note_said_last(state)) is not None:
        return Step(_without_note(state, note), voids(state, (note.number,)))
    return None


def _over_stop(state: State, call: Call) -> Step:
    """Take a call that decides nothing while the pull is stopped.

    Live, a number is another try at the pull; a condition holds from now on; anything else is
    asked. What crossed the stop in the air is held, and so is all that was recorded.
    """
    if not is_heard(state, call):
        return _hold(state, call)
    if call.kind is Kind.CONDITION:
        return _condition(state, call)
    if call.kind not in NUMBERS or without_live(state).held:
        return ask(state, message("stop-stands", pull=state.pull), call.role)
    if crossed(state, call):
        return _hold(state, call)
    return _try_again(state, call)


def _try_again(state: State, call: Call) -> Step:
    """Measure the pull again, a number being its first call; one that is asked begins nothing."""
    again = _again(state)
    found = finding(
        again.state, TRIED_AGAIN, Severity.NOTE, values=_struck(state), calls=(call.number,)
    )
    is_switched = state.stop is not None and state.stop.origin is Phase.CHECKING
    places = again.state.places
    if is_switched and weighs_roles(state) and not keeps_order(state):  # read as they stand
        places = expecting(OTHER[state.holder], state.habit)
    fresh = replace(again.state, findings=(*again.state.findings, found), places=places)
    opening = fresh.opening and replace(fresh.opening, findings=fresh.findings, places=places)
    fresh = replace(fresh, opening=opening)
    done = _number(fresh, call)
    if done.state is fresh:
        return Step(state, done.consequences)
    return Step(done.state, (*again.consequences, found, *done.consequences))


def _struck(state: State) -> tuple[int, int] | tuple[None, None]:
    """Give the lengths of a take and a check that differ; none where a repetition differs."""
    if state.take is None or state.stop is None or state.stop.check is None:
        return (None, None)
    return (state.take.length, state.stop.check.length)


def _hold(state: State, call: Call) -> Step:
    held = replace(move(state, Signal.HOLD), held=(*state.held, call))
    return Step(held, (Held(call=call.number, pull=state.pull),))


def _condition(state: State, call: Call) -> Step:
    if is_change(call):
        return _change(state, call)
    unit = state.settings.unit
    if states_nothing(call):
        return ask(state, message("states-no-condition"), call.role)
    conditions = apply_condition(state.conditions, call, unit)
    if state.take is not None and is_too_steep(conditions, state.take.length, unit):
        rise = message("rise-beyond-tape", rise=call.amount or 0.0)
        return ask(state, rise, call.role)
    return Step(replace(state, conditions=conditions, history=(*state.history, call)))


def _change(state: State, call: Call) -> Step:
    """Let the session change tape or line, or ask; it changes nothing here."""
    if (call.amount or 0) < 1:
        return ask(state, message("numbered-from-one", what=call.name), call.role)
    is_begun = state.phase is not Phase.FINISHED and (
        state.phase is not Phase.OPEN or not state.parts.is_empty
    )
    if is_begun:
        first = message("finish-pull-first", pull=state.pull, what=call.name)
        return ask(state, first, call.role)
    return Step(state)


def _command(  # noqa: PLR0911 - one way out for each command
    state: State, call: Call
) -> Step:
    if call.name in COMMANDS:
        return _holds(state, call)
    if state.waiting is not None and call.name in ("switch", "next", "finish"):
        return ask(state, question(state.waiting))
    taken = replace(state, history=(*state.history, call))
    match call.name:
        case _ if says_style(call):
            return _style(state, call)
        case "scratch":
            return _scratch(state)
        case "switch":
            return _switch(state, taken)
        case "again":
            return _again(state)
        case "next" | "finish":
            return _move_on(state, call, call.name)
        case _ if state.stop is not None and state.stop.word is not None:
            return ask(state, status(state), call.role)
        case _ if state.phase is Phase.STOPPED:
            choice = Choice.FIRST if call.name == "first" else Choice.CHECK
            return _decide(state, Decision(pull=state.pull, choice=choice, by="crew"))
        case _:
            return ask(state, message("nothing-to-decide"), call.role)


def _style(state: State, call: Call) -> Step:
    """Take a number, or the word alone, that says how the tape is graduated.

    What waited for it is done, if the call left the pull as it stood.
    """
    if call.kind is Kind.COMMAND and state.phase is Phase.FINISHED:
        return ask(state, message("line-finished"), call.role)
    if contradicts(state, call):
        return _stop_by_word(state, call)
    known = hear(state, call)
    if call.kind is not Kind.COMMAND:
        return _go_on_with_style(_taken_number(known, call), known.style_waits, call)
    stop = state.stop
    if stop is not None:
        known = replace(move(known, RESUME[stop.origin]), stop=None)
    taken = replace(known, history=(*known.history, call))
    return _go_on_with_style(Step(taken), known.style_waits, call)


def _stop_by_word(state: State, call: Call) -> Step:
    """Stop: the crew says another style than the certificate does."""
    if state.phase is Phase.STOPPED:
        return ask(state, status(state), call.role)
    stop, found = stop_by_word(state, call)
    stopped = replace(
        move(state, Signal.CONFLICT),
        stop=stop,
        findings=(*state.findings, found),
        history=(*state.history, call),
        style=StyleKnown.NOT_YET,
        style_waits="",
    )
    return Step(stopped, (found,))


def _go_on_with_style(done: Step, waiting: str, call: Call) -> Step:
    """Do what waited for the style to be said."""
    state = done.state
    if not waiting or state.style is not StyleKnown.CONFIRMED or state.style_waits != waiting:
        return done
    state = replace(state, style_waits="")
    if waiting == CHECK and state.phase is Phase.CHECKING and state.take is not None:
        following = compare(state, state.take) if state.parts.is_complete else Step(state)
    elif waiting != CHECK and state.phase is Phase.TAKEN:
        following = _move_on(state, call, waiting)
    else:
        following = Step(state)
    return Step(following.state, (*done.consequences, *following.consequences))


def _switch(state: State, taken: State) -> Step:
    match state.phase:
        case Phase.TAKEN:
            turned = replace(
                taken, parts=Parts(), take_parts=state.parts, awaiting=None, style_waits=""
            )
            return Step(move(turned, Signal.SWITCH))
        case Phase.CHECKING if state.parts.is_empty:
            return Step(state)
        case Phase.FINISHED:
            return ask(state, message("line-finished"))
        case _:
            return ask(state, message("before-switching", status=status(state)))


def _move_on(state: State, call: Call, command: str) -> Step:
    """Book without a check where that is allowed; the call is the last that was heard."""
    before = state
    result = Step(state)
    noted: tuple[Consequence, ...] = ()
    if state.phase is Phase.TAKEN:
        if state.settings.policy is CheckPolicy.REQUIRED:
            return ask(state, message("check-needed"))
        if state.settings.policy is CheckPolicy.WANTED:
            note = finding(state, "unchecked", Severity.NOTE)
            state = replace(state, findings=(*state.findings, note))
        if call.is_live and matters(state):
            waiting, question = ask_style(before, command)
            return Step(waiting, (question,))
        if (unsure := _unsure_unchecked(state, call, command)) is not None:
            if unsure.state.awaiting is not None:
                return unsure
            state, noted = unsure.state, unsure.consequences
        result = book(state, Booking.UNCHECKED, "policy", check=None)
    elif state.phase is Phase.FINISHED or not (state.phase is Phase.OPEN and state.parts.is_empty):
        return ask(state, message("before-moving-on", status=status(state)))
    follows = (*noted, *result.consequences)
    if command == "finish":
        return Step(move(result.state, Signal.FINISH), follows)
    return Step(result.state, follows)


def _unsure_unchecked(state: State, call: Call, command: str) -> Step | None:
    """Ask a call of an unchecked take again, or note it; None where the take is sure enough."""
    if state.take is None:
        return None
    weighing = weigh(replace(state, history=(*state.history, call)), state.take, None)
    if weighing is None or weighing.verdict.doubt is None:
        return None
    doubt = weighing.verdict.doubt
    match weighing.verdict.action:
        case Action.ASK:
            waiting, question = ask_again(state, doubt, command)
            return Step(waiting, (question,))
        case Action.NOTE:
            note = unsure_take(state, state.take, doubt)
            return Step(replace(state, findings=(*state.findings, note)), (note,))
        case _:
            return None


def _again(state: State) -> Step:
    if state.phase is Phase.FINISHED:
        return ask(state, message("line-finished"))
    differing = [state.take, state.stop.check if state.stop else None]
    origin = state.stop.origin if state.stop else state.phase
    is_switched = origin is Phase.CHECKING and weighs_roles(state) and not keeps_order(state)
    begun, stated, between = kept_by_again(state)
    fresh = replace(
        move(state, Signal.AGAIN),
        parts=Parts(),
        take=None,
        take_parts=Parts(),
        asked=(),
        awaiting=None,
        is_confirmed=False,
        replaced=(),
        style_waits="",
        stop=None,
        held=(),
        history=stated,
        between=between,
        struck=frozenset(),
        superseded=(*state.superseded, *(each for each in differing if each is not None)),
        places=expecting(state.holder, state.habit) if is_switched else state.places,
        waiting=None,
    )
    opening = replace(fresh, opening=None, conditions=begun, history=(), between=())
    fresh = replace(fresh, opening=opening)
    struck, held = strike_live(state)
    return _drain(Step(fresh, struck), held)


def _scratch(state: State) -> Step:
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
        return ask(state, message("no-call-to-scratch"))
    void = Void(call=last.number, pull=state.pull)
    is_condition = last.kind is Kind.CONDITION
    replayed = _replay(state, {last.number}, is_condition=is_condition)
    return Step(replayed, (*consequences, void))


def _replay(state: State, without: set[int], *, is_condition: bool = False) -> State:
    """Take the calls of a pull again without some; what they had struck stays struck.

    Each counts under the conditions of its time. In edition 0 those in force now stay in force.
    """
    opening = state.opening or state
    while True:
        replayed = _between(replace(opening, opening=opening), state.between, 0)
        for each in state.history:
            if each.number not in without:
                replayed = _call(replayed, each).state
            replayed = _between(replayed, state.between, each.number)
        revived = state.struck - replayed.struck - without
        if not revived:
            break
        without |= revived
    if not state.settings.pairing:
        return replace(replayed, conditions=state.conditions)
    if not is_condition:
        return replayed
    # a condition moves nothing: the line stays finished, and the pull before may open again
    is_finished = state.phase is Phase.FINISHED
    phase = Phase.FINISHED if is_finished else replayed.phase
    return replace(replayed, phase=phase, booked=state.booked)


def _replayed(state: State, places: Places) -> State | None:
    """Take the calls of a pull again with other places; None where they do not go so."""
    opening = state.opening or state
    as_told = replace(opening, places=replace(places, is_told=True))
    again = _replay(replace(state, opening=as_told), set())
    numbers = [each.number for each in state.history]
    if (again.phase, [each.number for each in again.history]) != (state.phase, numbers):
        return None
    if again.struck != state.struck or again.superseded != state.superseded:
        return None
    return replace(again, places=places, opening=state.opening)


def _between(
    state: State, between: tuple[tuple[int, Decision | Conditions], ...], number: int
) -> State:
    """Take again what was decided and stated after a call, so that nobody is asked twice."""
    for after, event in between:
        if after != number:
            continue
        if isinstance(event, Conditions):
            stands_again = again_stated if state.settings.pairing else stated_anew
            state = stands_again(state, event)
        elif state.stop is not None and state.stop.check is None:
            state = _decide(state, event).state
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


def _note_said_last(state: State) -> Call | None:
    """Find the note that was said after every number, held ones too."""
    number = _last((*state.history, *state.held), _strikes(state), state.struck)
    note = _last(state.history, NOTES)
    if number is None and note is None and (before := _reopening(state)) is not None:
        return _note_said_last(before)
    return note if note and (number is None or note.number > number.number) else None


def _without_note(state: State, note: Call) -> State:
    return replace(
        state,
        history=tuple(each for each in state.history if each is not note),
        booked=state.booked and _without_note(state.booked, note),
    )


def _answer(state: State, call: Call) -> Step | None:
    """Take a call as the answer to what was asked, and decide again; None if it is no answer."""
    found = answer(state, call)
    if found is None:
        return None
    if isinstance(found, Message):
        if (number := misheard(state, call)) is not None:
            done = _taken_number(_replay(state, {number}), call)
            return Step(done.state, (*voids(state, (number,)), *done.consequences))
        return ask(state, found, call.role)
    answered, waited = found.state, state.awaiting
    if answered.phase is Phase.CHECKING and answered.take is not None:
        done = compare(answered, answered.take)
    elif waited is not None and waited.after:
        done = _move_on(answered, call, waited.after)
    else:
        done = Step(answered)
    return Step(done.state, (*found.voids, *done.consequences))


def _number(state: State, call: Call) -> Step:
    if says_style(call) and state.phase is not Phase.FINISHED:
        return _style(state, call)
    known = hear(state, call)
    return _go_on_with_style(_taken_number(known, call), known.style_waits, call)


def _taken_number(  # noqa: PLR0911 - one way out for each rule
    state: State, call: Call
) -> Step:
    if state.phase is Phase.FINISHED:
        return ask(state, message("line-finished-no-call"), call.role)
    if (answered := _answer(state, call)) is not None:
        return answered
    if repeats_booked(state, call):
        return Step(state)
    corrected = as_correction(state, call)
    if corrected is not call:
        return _taken(state, corrected)
    if state.waiting is not None:
        return _tells(state, call) or ask(state, question(state.waiting))
    if not weighs_roles(state) or state.awaiting is not None:
        return _taken(state, call)
    match settle(state, call, _replayed, _tried):
        case None:
            return _taken(state, call)
        case State() as found if found.holder is state.holder:
            return _taken(found, call)
        case State() as found:
            return _anew(_taken(found, call), found)
        case options:
            return _ask_who(state, call, options)


def _tried(state: State, call: Call) -> Parts | Message | None:
    """Add a number to the parts: why it cannot be; None where it contradicts what stands."""
    proposed = propose(state, call)
    if isinstance(proposed, Message):
        return proposed
    if state.parts.differing(proposed):
        return None
    new = state.parts.add(call, proposed)
    impossible = _impossible(state, new) if new.is_complete else None
    return impossible or new


def _ask_who(state: State, call: Call, options: tuple[Option, ...]) -> Step:
    """Ask who holds the whole mark; where the crew cannot be asked, stop for the office."""
    waiting = Waiting(call, options)
    asks = question(waiting)
    if call.is_live:
        return ask(replace(state, waiting=waiting), asks)
    facts = {name: value for name, value in asks.facts.items() if isinstance(value, str)}
    first, other = asks.facts["first"], asks.facts["other"]
    found = finding(
        state,
        WHO_HOLDS,
        Severity.STOP,
        values=(int(str(first)), int(str(other))),
        calls=(*state.parts.calls, call.number),
        **facts,
    )
    stopped = replace(
        move(state, Signal.CONFLICT),
        stop=Stop(origin=state.phase, check=None, other=state.parts, waiting=waiting),
        findings=(*state.findings, found),
    )
    return Step(stopped, (found,))


def _anew(done: Step, before: State) -> Step:
    """Note that the two hold the other ends than the habit has it."""
    state = done.state
    if state.pull != before.pull or state.phase is Phase.STOPPED:
        return done
    note = finding(
        state,
        TURNED,
        Severity.NOTE,
        calls=state.parts.calls,
        holder=state.whole_by.value if is_said(state) else Role.UNSAID.value,
        reading=state.parts.raw if state.parts.is_complete else -1,
    )
    noted = replace(state, findings=(*state.findings, note))
    return Step(noted, (*done.consequences, note))


def _tells(state: State, call: Call) -> Step | None:
    """Take a number that tells how the one that waits is to be placed; None if it does not."""
    option = chosen(state, call)
    if option is None:
        return _tells_against(state, call)
    done = _tell(state, option.places)
    if done.state.pull != state.pull or done.state.phase is Phase.STOPPED:
        return done
    repeated = _taken(done.state, call)
    return Step(repeated.state, (*done.consequences, *repeated.consequences))


def _tells_against(state: State, call: Call) -> Step | None:
    """Take a reading that goes with what stands, whoever called it, and not with what waits."""
    waiting = state.waiting
    if waiting is None or len(waiting.options) > 1 or call.kind is not Kind.READING:
        return None
    for places in (state.places, waiting.options[0].places):
        base = state if places == state.places else _replayed(state, places)
        if base is not None and isinstance(_tried(base, call), Parts):
            done = _taken(told(replace(base, findings=state.findings), places), call)
            return Step(done.state, (*voids(state, (waiting.call.number,)), *done.consequences))
    return None


def _holds(state: State, call: Call) -> Step:
    """Place the calls of the pull as the crew tells: by who holds the whole mark now."""
    holder, stop = holder_told(call), state.stop
    if (why := untellable(state, holder)) is not None:
        return ask(state, why, call.role)
    if stop is not None and (stop.waiting is None or not has_not_gone_on(state)):
        return _over_stop(state, call)
    if (option := chosen(state, call)) is not None:
        return _tell(state, option.places)
    origin = stop.origin if stop else state.phase
    holder = OTHER[holder] if origin is Phase.CHECKING else holder
    if holder is not state.holder and (why := told_against(state, origin)) is not None:
        return ask(state, why, call.role)
    return _tell(state, replace(state.places, holder=holder))


def _tell(state: State, places: Places) -> Step:
    """Place the calls of the pull as the crew told, the one that waits last."""
    stop = state.stop
    waiting = stop.waiting if stop else state.waiting
    plain = replace(
        state, phase=stop.origin if stop else state.phase, stop=None, waiting=None, held=()
    )
    placed = _replayed(plain, places)
    if placed is None:
        return _call_anew(plain, places, waiting)
    placed = told(replace(placed, findings=state.findings), places)
    if waiting is None:
        is_plain = places.holder is state.places.holder or placed.parts.is_empty
        return Step(placed) if is_plain else _anew(Step(placed), placed)
    return _anew(_taken(placed, waiting.call), placed)


def _call_anew(state: State, places: Places, waiting: Waiting | None) -> Step:
    """Strike the calls of the pull, which do not go together with what the crew told."""
    numbers = [each.number for each in state.history if each.kind in NUMBERS]
    gone = [each for each in numbers if each not in state.struck]
    gone += [waiting.call.number] if waiting else []
    opening = state.opening or state
    fresh = replace(opening, opening=opening, conditions=state.conditions)
    asked = ask(told(fresh, places), message("call-both-again"))
    return Step(asked.state, (*voids(state, gone), *asked.consequences))


def _taken(state: State, call: Call) -> Step:  # noqa: PLR0911 - one way out for each rule
    """Take a number in, as it is placed."""
    proposed = propose(state, call)
    if isinstance(proposed, Message):
        return ask(state, proposed, call.role)
    parts = state.parts
    differing = parts.differing(proposed)
    keyed = tuple(part for part in differing if parts.is_keyed(part))
    kept = call if weighs_roles(state) else placed(call, proposed)
    taken = replace(state, history=(*state.history, kept))
    if keyed and not call.is_keyed:
        return beside_keyed(state, taken, call, (keyed[0], proposed[keyed[0]]))
    overrules = bool(differing) and call.is_keyed and not keyed
    new, struck, others = (
        parts.overrule(call, proposed) if overrules else (parts.add(call, proposed), (), ())
    )
    if new.is_complete and (impossible := _impossible(state, new)):
        return ask(state, impossible, call.role)
    if overrules:
        return overrule(replace(taken, struck=taken.struck.union(struck)), new, struck, others)
    if differing:
        return conflict(taken, new, list(differing))
    taken = replace(taken, parts=new)
    if (new.whole, new.fraction) == (parts.whole, parts.fraction):
        return _repeated(move(taken, Signal.REPEAT))
    return complete(taken) if new.is_complete else Step(move(taken, Signal.PART))


def _repeated(state: State) -> Step:
    """Take a repetition alike; where an answer is awaited it is evidence, and decides again."""
    is_waited = state.awaiting or (
        state.style_waits == CHECK and state.style is not StyleKnown.CONFIRMED
    )
    if state.phase is Phase.CHECKING and is_waited and state.take is not None:
        return compare(state, state.take)
    return Step(state)


def _impossible(state: State, parts: Parts) -> Message | None:
    """Say why complete parts cannot go together; None if they can."""
    if beyond := beyond_tape(state.settings, parts):
        return message("both-parts-again", why=beyond)
    if length_of(state, parts) < 0:
        return message("both-parts-again", why=less_than_nothing(parts))
    unit = state.settings.unit
    if is_too_steep(state.conditions, length_of(state, parts), unit):
        rise = stated_length(state.conditions.rise_ft or 0.0, unit)
        return message("rise-in-force-beyond-tape", rise=rise)
    return None


def _settle(  # noqa: PLR0911 - one way out for each case
    state: State, call: Call
) -> Step | None:
    """Let a typed part settle a stop where two voices differ in it; None if it does not.

    It does as long as the crew has not gone on (see `answers`) and no part that differs was
    typed itself. What agrees with it stays, what differs is struck.
    """
    stop = state.stop
    if stop is None or stop.word or stop.check or not call.is_keyed or call.kind not in NUMBERS:
        return None
    if not has_not_gone_on(state):
        return None
    if stop.waiting is not None:
        done = _tells(replace(state, phase=stop.origin, stop=None, waiting=stop.waiting), call)
        struck, held = strike_live(state)
        return done and _drain(Step(done.state, (*struck, *done.consequences)), held)
    resumed = replace(move(state, RESUME[stop.origin]), stop=None, held=())
    proposed = propose(resumed, call)
    differing = [
        part for part in PART_NAMES if state.parts.value(part) not in (None, stop.other.value(part))
    ]
    if isinstance(proposed, Message) or not set(differing) <= set(proposed):
        return None
    if any(parts.is_keyed(part) for parts in (state.parts, stop.other) for part in differing):
        return None
    later = next(each for each in state.history if each.number == stop.other.calls[-1])
    agrees = all(proposed[part] == stop.other.value(part) for part in differing)
    follows: tuple[Consequence, ...] = ()
    if not agrees:
        follows = voids(state, (later.number,))
        resumed = replace(resumed, struck=resumed.struck | {later.number})
    done = _number(resumed, call)
    if done.state is resumed:
        return Step(state, done.consequences)
    follows = (*follows, *done.consequences)
    if agrees and done.state.phase is stop.origin and done.state.pull == state.pull:
        again = tuple(each for each in done.state.history if each is not later)
        done = _number(replace(done.state, history=again), later)
        follows = (*follows, *done.consequences)
    struck, held = strike_live(state)
    return _drain(Step(done.state, (*struck, *follows)), held)


def _decide(  # noqa: PLR0911 - one way out for each case
    state: State, decision: Decision
) -> Step:
    stop = state.stop
    if state.phase is not Phase.STOPPED or stop is None or decision.pull != state.pull:
        return ask(
            state,
            message("no-decision-awaited", pull=decision.pull, status=status(state)),
        )
    if decision.choice is Choice.AGAIN:
        return _again(state)
    struck, held = strike_live(state)
    if stop.waiting is not None:
        option = stop.waiting.options[0 if decision.choice is Choice.FIRST else -1]
        told_so = _tell(state, option.places)
        return _drain(Step(told_so.state, (*struck, *told_so.consequences)), held)
    state = replace(state, held=(), stop=None)
    if stop.check is not None:
        booking = Booking.FIRST if decision.choice is Choice.FIRST else Booking.CHECK
        booked = book(state, booking, decision.by, stop.check)
        return _drain(Step(booked.state, (*struck, *booked.consequences)), held)
    is_kept = decision.choice is Choice.FIRST
    settled = replace(
        move(state, RESUME[stop.origin]),
        parts=state.parts if is_kept else stop.other,
        between=(
            *state.between,
            (stop.word.number if stop.word else stop.other.calls[-1], decision),
        ),
    )
    if not is_kept and settled.phase is Phase.TAKEN:
        return _drain(Step(change_take(settled), struck), held)
    if settled.parts.is_complete and settled.phase is not Phase.TAKEN:
        done = complete(settled)
        return _drain(Step(done.state, (*struck, *done.consequences)), held)
    return _drain(Step(settled, struck), held)


def _drain(done: Step, held: tuple[Call, ...]) -> Step:
    """Take the calls that were held, until the next stop holds them again.

    What follows one of them cannot answer a question about it, so none is asked.
    """
    state, consequences = done.state, done.consequences
    for index, said in enumerate(held):
        call = said.model_copy(update={"is_live": False})
        if state.phase is Phase.STOPPED:
            return Step(replace(state, held=held[index:]), consequences)
        if is_change(call):
            broken = _break_off(state, call, held[index + 1 :])
            return Step(broken.state, (*consequences, *broken.consequences))
        following = _call(state, call)
        state, consequences = following.state, (*consequences, *following.consequences)
    return Step(state, consequences)


def _break_off(state: State, change: Call, later: tuple[Call, ...]) -> Step:
    """Strike what was called after a tape or line was to be changed: it belongs to another."""
    asked = ask(
        state,
        message(
            "said-while-waiting",
            what=change.name,
            number=round(change.amount or 0),
            later=len(later),
        ),
        change.role,
    )
    return Step(state, (*voids(state, (each.number for each in later)), *asked.consequences))
