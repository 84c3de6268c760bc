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
from calllog.pairing.asking import TAKE_OR_CHECK, answer, ask_again, awaited, expected_part
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
from calllog.pairing.differing import beside_keyed, conflict, overrule
from calllog.pairing.doubtful import ask_first, remember
from calllog.pairing.parts import Parts
from calllog.pairing.proposal import (
    beyond_tape,
    is_too_steep,
    length_of,
    placed,
    propose,
    repeats_booked,
)
from calllog.pairing.state import OTHER, State
from calllog.pairing.table import Phase, Signal
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
            after = state.history[-1].number if state.history else 0
            between = (*state.between, (after, event))
            return Step(replace(state, conditions=event, between=between))
        case Call():
            asked = ask_first(state, event, _scratch)
            return remember(asked or _call(state, event), event)


def _ahead(state: State) -> State:
    """Look over stops, as if each were decided for the first."""
    while state.phase is Phase.STOPPED:
        state = _decide(state, Decision(pull=state.pull, choice=Choice.FIRST, by="")).state
    return state


def pulls_ahead(state: State) -> int:
    """Count the pulls that a crew who went on over a stop is ahead of it."""
    return _ahead(state).pull - state.pull


def caller_at(state: State, end: Role) -> Role:
    """Tell who stands at an end of the tape now: after switching ends the other one does.

    A microphone keeps the role of the one who wears it in the take; a caller who says "head" or
    "rear" names the end.
    """
    is_turned = _ahead(state).phase is Phase.CHECKING
    return OTHER[end] if is_turned else end


def expects(state: State, role: Role) -> Expectation:
    """Tell what a caller is expected to say; over a stop, as if it were decided for the first."""
    state = _ahead(state)
    if state.settings.style not in PARTED:
        return Expectation.READING
    if (part := expected_part(state, role)) is not None:
        return ASKED[part]
    if role is Role.UNSAID or state.whole_by is Role.UNSAID:
        return Expectation.ANY
    return Expectation.WHOLE if role is state.whole_by else Expectation.FRACTION


def status(state: State) -> Message:
    """Tell what the pull waits for."""
    pull = state.pull
    if state.awaiting is not None and state.phase is not Phase.STOPPED:
        return message("pull-waits-for-answer", pull=pull, question=awaited(state.awaiting))
    match state.phase:
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


def _call(  # noqa: PLR0911 - one way out for each kind of call
    state: State, call: Call
) -> Step:
    if (beside := _beside_pull(state, call)) is not None:
        return beside
    if state.phase is Phase.STOPPED and not _answers_stop(state, call):
        return _settle(state, call) or _hold(state, call)
    if state.held and call.kind is Kind.COMMAND:
        struck = voids(state, (each.number for each in state.held))
        freed = replace(state, held=())
        if call.name == "scratch":
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


def _answers_stop(state: State, call: Call) -> bool:
    """Tell whether a command is about the stop, not about a later pull of a crew that went on.

    It is as long as no more than one number was called meanwhile (a mishearing, or a slip): that
    one is struck. After more, the crew has gone on without hearing of the stop.
    """
    is_answer = call.kind is Kind.COMMAND and call.name in ("scratch", "first", "check", "again")
    return is_answer and _has_not_gone_on(state)


def _has_not_gone_on(state: State) -> bool:
    return len(state.held) <= 1 and all(each.kind in NUMBERS for each in state.held)


def _command(state: State, call: Call) -> Step:
    taken = replace(state, history=(*state.history, call))
    match call.name:
        case "scratch":
            return _scratch(state)
        case "switch":
            return _switch(state, taken)
        case "again":
            return _again(state)
        case "next" | "finish":
            return _move_on(state, call, call.name)
        case _ if state.phase is Phase.STOPPED:
            choice = Choice.FIRST if call.name == "first" else Choice.CHECK
            return _decide(state, Decision(pull=state.pull, choice=choice, by="crew"))
        case _:
            return ask(state, message("nothing-to-decide"), call.role)


def _switch(state: State, taken: State) -> Step:
    match state.phase:
        case Phase.TAKEN:
            turned = replace(taken, parts=Parts(), take_parts=state.parts, awaiting=None)
            return Step(move(turned, Signal.SWITCH))
        case Phase.CHECKING if state.parts.is_empty:
            return Step(state)
        case Phase.FINISHED:
            return ask(state, message("line-finished"))
        case _:
            return ask(state, message("before-switching", status=status(state)))


def _move_on(state: State, call: Call, command: str) -> Step:
    """Book without a check where that is allowed; the call is the last that was heard."""
    result = Step(state)
    noted: tuple[Consequence, ...] = ()
    if state.phase is Phase.TAKEN:
        if state.settings.policy is CheckPolicy.REQUIRED:
            return ask(state, message("check-needed"))
        if state.settings.policy is CheckPolicy.WANTED:
            note = finding(state, "unchecked", Severity.NOTE)
            state = replace(state, findings=(*state.findings, note))
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
    struck = [state.take, state.stop.check if state.stop else None]
    fresh = replace(
        move(state, Signal.AGAIN),
        parts=Parts(),
        take=None,
        take_parts=Parts(),
        asked=(),
        awaiting=None,
        is_confirmed=False,
        replaced=(),
        stop=None,
        held=(),
        history=(),
        between=(),
        struck=frozenset(),
        superseded=(*state.superseded, *(each for each in struck if each is not None)),
    )
    fresh = replace(fresh, opening=replace(fresh, opening=None))
    return _drain(Step(fresh), state.held)


def _scratch(state: State) -> Step:
    """Strike the last number of the pull, or of the one booked before it, which opens again."""
    consequences: tuple[Consequence, ...] = ()
    last = _last(state.history, NUMBERS, state.struck)
    if last is None and (before := _reopening(state)) is not None:
        consequences = (Reopened(pull=before.pull),)
        state = replace(before, conditions=state.conditions)
        last = _last(state.history, NUMBERS, state.struck)
    if last is None or state.opening is None:
        return ask(state, message("no-call-to-scratch"))
    void = Void(call=last.number, pull=state.pull)
    return Step(_replay(state, last), (*consequences, void))


def _replay(state: State, scratched: Call) -> State:
    """Take the calls of a pull again without one; what it had struck stays struck.

    Each counts under the conditions of its time; those in force now stay in force.
    """
    opening = state.opening or state
    without = {scratched.number}
    while True:
        replayed = _between(replace(opening, opening=opening), state.between, 0)
        for each in state.history:
            if each.number not in without:
                replayed = _call(replayed, each).state
            replayed = _between(replayed, state.between, each.number)
        revived = state.struck - replayed.struck - without
        if not revived:
            return replace(replayed, conditions=state.conditions)
        without |= revived


def _between(
    state: State, between: tuple[tuple[int, Decision | Conditions], ...], number: int
) -> State:
    """Take again what was decided and stated after a call, so that nobody is asked twice."""
    for after, event in between:
        if after != number:
            continue
        if isinstance(event, Conditions):
            state = step(state, event).state
        elif state.stop is not None and state.stop.check is None:
            state = _decide(state, event).state
    return state


def _last(
    calls: Iterable[Call], kinds: frozenset[Kind], struck: frozenset[int] = frozenset()
) -> Call | None:
    found = [each for each in calls if each.kind in kinds and each.number not in struck]
    return found[-1] if found else None


def _reopening(state: State) -> State | None:
    """Give the booked pull that scratching opens again, if nothing was called since."""
    is_fresh = state.phase is Phase.OPEN and not state.superseded
    return state.booked if is_fresh else None


def _note_said_last(state: State) -> Call | None:
    """Find the note that was said after every number, held ones too."""
    number = _last((*state.history, *state.held), NUMBERS, state.struck)
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
        return ask(state, found, call.role)
    answered, waited = found.state, state.awaiting
    if answered.phase is Phase.CHECKING and answered.take is not None:
        done = compare(answered, answered.take)
    elif waited is not None and waited.after:
        done = _move_on(answered, call, waited.after)
    else:
        done = Step(answered)
    return Step(done.state, (*found.voids, *done.consequences))


def _number(state: State, call: Call) -> Step:  # noqa: PLR0911 - one way out for each rule
    if state.phase is Phase.FINISHED:
        return ask(state, message("line-finished-no-call"), call.role)
    if (answered := _answer(state, call)) is not None:
        return answered
    if repeats_booked(state, call):
        return Step(state)
    proposed = propose(state, call)
    if isinstance(proposed, Message):
        return ask(state, proposed, call.role)
    parts = state.parts
    differing = parts.differing(proposed)
    keyed = tuple(part for part in differing if parts.is_keyed(part))
    taken = replace(state, history=(*state.history, placed(call, proposed)))
    if keyed and not call.is_keyed:
        return beside_keyed(taken, call, keyed[0], proposed[keyed[0]])
    overrules = bool(differing) and call.is_keyed and not keyed
    new, struck, kept = (
        parts.overrule(call, proposed) if overrules else (parts.add(call, proposed), (), ())
    )
    if new.is_complete and (impossible := _impossible(state, new)):
        return ask(state, impossible, call.role)
    if overrules:
        return overrule(replace(taken, struck=taken.struck.union(struck)), new, struck, kept)
    if differing:
        return conflict(taken, new, list(differing))
    taken = replace(taken, parts=new)
    if (new.whole, new.fraction) == (parts.whole, parts.fraction):
        return _repeated(move(taken, Signal.REPEAT))
    return complete(taken) if new.is_complete else Step(move(taken, Signal.PART))


def _repeated(state: State) -> Step:
    """Take a repetition alike; where an answer is awaited it is evidence, and decides again."""
    if state.phase is Phase.CHECKING and state.awaiting and state.take is not None:
        return compare(state, state.take)
    return Step(state)


def _impossible(state: State, parts: Parts) -> Message | None:
    """Say why complete parts cannot go together; None if they can."""
    if beyond := beyond_tape(state.settings, parts):
        return message("both-parts-again", why=beyond)
    if length_of(state, parts) < 0:
        whole, fraction = parts.whole or 0, parts.fraction or 0
        less = message("less-than-nothing", whole=whole, fraction=fraction)
        return message("both-parts-again", why=less)
    unit = state.settings.unit
    if is_too_steep(state.conditions, length_of(state, parts), unit):
        rise = stated_length(state.conditions.rise_ft or 0.0, unit)
        return message("rise-in-force-beyond-tape", rise=rise)
    return None


def _settle(state: State, call: Call) -> Step | None:
    """Let a typed part settle a stop where two voices differ in it; None if it does not.

    It does as long as the crew has not gone on (see `_answers_stop`) and no part that differs was
    typed itself. What agrees with it stays, what differs is struck.
    """
    stop = state.stop
    if stop is None or stop.check or not call.is_keyed or call.kind not in NUMBERS:
        return None
    if not _has_not_gone_on(state):
        return None
    resumed = replace(move(state, RESUME[stop.origin]), stop=None, held=())
    proposed = propose(resumed, call)
    differing = [
        part
        for part in ("whole", "fraction")
        if state.parts.value(part) not in (None, stop.other.value(part))
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
    return _drain(Step(done.state, follows), state.held)


def _decide(state: State, decision: Decision) -> Step:
    stop = state.stop
    if state.phase is not Phase.STOPPED or stop is None or decision.pull != state.pull:
        return ask(
            state,
            message("no-decision-awaited", pull=decision.pull, status=status(state)),
        )
    if decision.choice is Choice.AGAIN:
        return _again(state)
    held, state = state.held, replace(state, held=(), stop=None)
    if stop.check is not None:
        booking = Booking.FIRST if decision.choice is Choice.FIRST else Booking.CHECK
        return _drain(book(state, booking, decision.by, stop.check), held)
    is_kept = decision.choice is Choice.FIRST
    settled = replace(
        move(state, RESUME[stop.origin]),
        parts=state.parts if is_kept else stop.other,
        between=(*state.between, (stop.other.calls[-1], decision)),
    )
    if not is_kept and settled.phase is Phase.TAKEN:
        return _drain(Step(change_take(settled)), held)
    if settled.parts.is_complete and settled.phase is not Phase.TAKEN:
        return _drain(complete(settled), held)
    return _drain(Step(settled), held)


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
