"""The pairing machine: a state and an event in, the next state and its consequences out; pure.

Rules 1 to 7 of a pull: parts in either order; a repetition that differs is a stop; after
switching ends the next observation is the check; agreement in exact hundredths books; nothing
moves ahead over a stop (calls that come meanwhile are held, in order); *scratch* voids the last
call; what may not be taken is asked again. Every change of phase goes through the table.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

from calllog.pairing.diagnosis import FOOT, diagnose
from calllog.pairing.state import OTHER, Parts, State, Stop
from calllog.pairing.table import TRANSITIONS, Phase, Signal
from calllog.tape import PARTED
from calllog.values import (
    Booking,
    BookPolicy,
    Call,
    CheckPolicy,
    Choice,
    Conditions,
    Consequence,
    Decision,
    Expectation,
    Finding,
    Held,
    Kind,
    LineSettings,
    Observation,
    Outcome,
    Question,
    Reopened,
    Role,
    Segment,
    Severity,
    Style,
    Void,
)

Event = Call | Decision | Conditions

LONG_GAP_S = 60.0
"""Parts of one observation further apart than this are noted."""
REPEAT_WITHIN_S = 20.0
"""A full reading that repeats a booked pull this soon after it is a repetition, not a new pull."""

NUMBERS = frozenset({Kind.WHOLE, Kind.FRACTION, Kind.READING, Kind.NUMBER})
POSITIONS = ("ground", "knee", "waist", "chest")
PLACES = {None: "the length", "whole": "the whole foot", "fraction": "the hundredths"}


@dataclass(frozen=True, slots=True)
class Step:
    """The next state and what follows from the event, in order."""

    state: State
    consequences: tuple[Consequence, ...] = ()


def start(settings: LineSettings, pull: int = 1, conditions: Conditions | None = None) -> State:
    """Begin a line with its first pull."""
    state = State(settings, pull, conditions or Conditions())
    return replace(state, opening=state)


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
            return Step(replace(state, conditions=event))
        case Call():
            return _call(state, event)


def _ahead(state: State) -> State:
    """Look over stops, as if each were decided for the first."""
    while state.phase is Phase.STOPPED:
        state = _decide(state, Decision(pull=state.pull, choice=Choice.FIRST, by="")).state
    return state


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
    if role is Role.UNSAID or state.whole_by is Role.UNSAID:
        return Expectation.ANY
    return Expectation.WHOLE if role is state.whole_by else Expectation.FRACTION


def status(state: State) -> str:
    """Say in plain words what the pull waits for."""
    match state.phase:
        case Phase.STOPPED:
            held = f", {len(state.held)} calls held" if state.held else ""
            return f"pull {state.pull} waits for a decision{held}"
        case Phase.TAKEN:
            return f"pull {state.pull} waits for switching ends"
        case Phase.FINISHED:
            return "the line is finished"
        case _:
            what = "check" if state.phase is Phase.CHECKING else "take"
            if state.parts.is_empty:
                return f"pull {state.pull} waits for the {what}"
            part = "whole foot" if state.parts.whole is None else "hundredths"
            return f"pull {state.pull} waits for the {part} of the {what}"


def _go(state: State, signal: Signal) -> State:
    return replace(state, phase=TRANSITIONS[state.phase, signal])


def _ask(state: State, words: str, role: Role = Role.UNSAID) -> Step:
    return Step(state, (Question(pull=state.pull, role=role, words=words),))


def _call(  # noqa: PLR0911 - one way out for each kind of call
    state: State, call: Call
) -> Step:
    if call.outcome is Outcome.ASK:
        return _ask(state, call.reason, call.role)
    if call.outcome is Outcome.IGNORED or call.kind is Kind.CHATTER:
        return Step(state)
    if state.phase is Phase.STOPPED and not _answers_stop(state, call):
        held = replace(_go(state, Signal.HOLD), held=(*state.held, call))
        return Step(held, (Held(call=call.number, pull=state.pull),))
    if state.held and call.kind is Kind.COMMAND:
        struck = tuple(Void(call=each.number, pull=state.pull) for each in state.held)
        freed = replace(state, held=())
        if call.name == "scratch":
            return Step(freed, struck)
        answered = _command(freed, call)
        return Step(answered.state, (*struck, *answered.consequences))
    if call.kind is Kind.COMMAND:
        return _command(state, call)
    if call.kind is Kind.CONDITION:
        conditions = apply_condition(state.conditions, call)
        if state.take is not None and _is_too_steep(conditions, state.take.length):
            return _ask(
                state, f"a rise of {call.amount} ft is more than the tape length", call.role
            )
        return Step(replace(state, conditions=conditions, history=(*state.history, call)))
    return _number(state, call)


def _answers_stop(state: State, call: Call) -> bool:
    """Tell whether a command is about the stop, not about a later pull of a crew that went on.

    It is as long as no more than one number was called meanwhile (a mishearing, or a slip): that
    one is struck. After more, the crew has gone on without hearing of the stop.
    """
    is_answer = call.kind is Kind.COMMAND and call.name in ("scratch", "first", "check", "again")
    return is_answer and len(state.held) <= 1 and all(each.kind in NUMBERS for each in state.held)


def apply_condition(conditions: Conditions, call: Call) -> Conditions:
    """Change what a condition call states; a position also says how the tape is supported."""
    amount = call.amount or 0.0
    match call.name:
        case "temperature":
            return conditions.model_copy(update={"temperature_degf": amount})
        case "tension":
            return conditions.model_copy(update={"tension_lb": amount})
        case "spans":
            return conditions.model_copy(update={"spans": int(amount)})
        case "rise":
            return conditions.model_copy(update={"rise_ft": amount})
        case "hold":
            return conditions.model_copy(update={"hold": round(amount * FOOT)})
        case _:
            position = POSITIONS[int(amount)]
            spans = 0 if position == "ground" else 1
            return conditions.model_copy(update={"position": position, "spans": spans})


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
            return _move_on(state, is_finish=call.name == "finish")
        case _ if state.phase is Phase.STOPPED:
            choice = Choice.FIRST if call.name == "first" else Choice.CHECK
            return _decide(state, Decision(pull=state.pull, choice=choice, by="crew"))
        case _:
            return _ask(state, "there is nothing to decide", call.role)


def _switch(state: State, taken: State) -> Step:
    match state.phase:
        case Phase.TAKEN:
            return Step(_go(replace(taken, parts=Parts()), Signal.SWITCH))
        case Phase.CHECKING if state.parts.is_empty:
            return Step(state)
        case Phase.FINISHED:
            return _ask(state, "the line is finished")
        case _:
            return _ask(state, f"before switching: {status(state)}")


def _move_on(state: State, *, is_finish: bool) -> Step:
    result = Step(state)
    if state.phase is Phase.TAKEN:
        if state.settings.policy is CheckPolicy.REQUIRED:
            return _ask(state, "this line needs a check: switch ends first")
        if state.settings.policy is CheckPolicy.WANTED:
            note = _finding(state, "unchecked", Severity.NOTE, "the wanted check was not made", "")
            state = replace(state, findings=(*state.findings, note))
        result = _book(state, Booking.UNCHECKED, "policy", check=None)
    elif state.phase is Phase.FINISHED or not (state.phase is Phase.OPEN and state.parts.is_empty):
        return _ask(state, f"before moving on: {status(state)}")
    if is_finish:
        return Step(_go(result.state, Signal.FINISH), result.consequences)
    return result


def _again(state: State) -> Step:
    if state.phase is Phase.FINISHED:
        return _ask(state, "the line is finished")
    struck = [state.take, state.stop.check if state.stop else None]
    fresh = replace(
        _go(state, Signal.AGAIN),
        parts=Parts(),
        take=None,
        stop=None,
        held=(),
        history=(),
        superseded=(*state.superseded, *(each for each in struck if each is not None)),
    )
    fresh = replace(fresh, opening=replace(fresh, opening=None))
    return _drain(Step(fresh), state.held)


def _scratch(state: State) -> Step:
    consequences: tuple[Consequence, ...] = ()
    numbers = [each for each in state.history if each.kind in NUMBERS]
    reopens = state.booked is not None and state.phase is Phase.OPEN and not state.superseded
    if not numbers and reopens and state.booked is not None:
        consequences = (Reopened(pull=state.booked.pull),)
        state = replace(state.booked, conditions=state.conditions)
        numbers = [each for each in state.history if each.kind in NUMBERS]
    if not numbers or state.opening is None:
        return _ask(state, "there is no call to scratch")
    last = numbers[-1]
    replayed = replace(state.opening, opening=state.opening, conditions=state.conditions)
    for each in state.history:
        if each is not last:
            replayed = _call(replayed, each).state
    return Step(replayed, (*consequences, Void(call=last.number, pull=state.pull)))


def _number(state: State, call: Call) -> Step:  # noqa: PLR0911 - one way out for each rule
    if state.phase is Phase.FINISHED:
        return _ask(state, "the line is finished; no call is expected", call.role)
    if _repeats_booked(state, call):
        return Step(state)
    proposed = _propose(state, call)
    if isinstance(proposed, str):
        return _ask(state, proposed, call.role)
    parts = state.parts
    changed = {
        name: value
        for name, value in proposed.items()
        if value != (parts.whole if name == "whole" else parts.fraction)
    }
    new = replace(
        parts,
        whole=proposed.get("whole", parts.whole),
        fraction=proposed.get("fraction", parts.fraction),
        calls=(*parts.calls, call.number),
        times=(*parts.times, (call.source, call.start_s)),
    )
    if new.is_complete and _length(state, new) < 0:
        words = f"{(new.whole or 0) // FOOT} less {new.fraction} hundredths is less than nothing"
        return _ask(state, f"{words}; say both parts again", call.role)
    if new.is_complete and _is_too_steep(state.conditions, _length(state, new)):
        words = f"the rise of {state.conditions.rise_ft} ft is more than the tape length"
        return _ask(state, f"{words}; state the rise, then say both parts again", call.role)
    taken = replace(state, history=(*state.history, call))
    differing = [
        name for name in changed if (parts.whole if name == "whole" else parts.fraction) is not None
    ]
    if differing:
        return _conflict(taken, new, differing)
    taken = replace(taken, parts=new)
    if not changed:
        return Step(_go(taken, Signal.REPEAT))
    if not new.is_complete:
        return Step(_go(taken, Signal.PART))
    return _complete(taken)


def _length(state: State, parts: Parts) -> int:
    return parts.observe(state.settings.style, state.conditions.hold).length


def _is_too_steep(conditions: Conditions, length: int) -> bool:
    return conditions.rise_ft is not None and abs(conditions.rise_ft) * FOOT > length


def _repeats_booked(state: State, call: Call) -> bool:
    """Tell whether a full reading only repeats the pull that was booked a moment ago."""
    before = state.booked
    if (
        before is None
        or before.pull != state.pull - 1
        or call.kind is not Kind.READING
        or call.name
        or state.settings.style not in PARTED
        or not state.parts.is_empty
        or not before.history
    ):
        return False
    last = before.history[-1]
    values = (
        {before.parts.raw, _length(before, before.parts)} if before.parts.is_complete else set()
    )
    return (
        call.value in values
        and call.source.partition("#")[0] == last.source.partition("#")[0]
        and call.start_s - last.start_s <= REPEAT_WITHIN_S
    )


def _propose(  # noqa: PLR0911 - one way out for each kind of call
    state: State, call: Call
) -> dict[str, int] | str:
    """Tell which parts a call states, or why it must be asked again."""
    value, parts, style = call.value or 0, state.parts, state.settings.style
    match call.kind:
        case Kind.WHOLE:
            return {"whole": value}
        case Kind.FRACTION:
            return {"fraction": value}
        case Kind.NUMBER:
            return _propose_bare(state, call, value)
        case _ if call.name and style is Style.INSET:
            return "on this tape a mark is held: say what is read and what is held"
        case _ if style is Style.CUT and not call.name:
            if parts.is_complete and value in (parts.raw, _length(state, parts)):
                return {}
            if value % FOOT and not parts.is_complete:
                return "this tape cuts: say the foot mark and the hundredths apart"
    return {"whole": value // FOOT * FOOT, "fraction": value % FOOT}


def _propose_bare(state: State, call: Call, value: int) -> dict[str, int] | str:
    """Give a bare number its place: by the caller's role, else whole foot first."""
    parts = state.parts
    if call.role is not Role.UNSAID and state.whole_by is not Role.UNSAID:
        is_whole = call.role is state.whole_by
    elif parts.whole is None:
        is_whole = True
    elif parts.whole == value * FOOT and parts.fraction is None:
        return f"{value} again, or {value} hundredths? say point before hundredths"
    else:
        is_whole = parts.fraction is not None and parts.whole == value * FOOT
    if is_whole:
        return {"whole": value * FOOT}
    if value < 10:  # noqa: PLR2004 - one digit
        return f"{value} may be .0{value} or .{value}0; say both digits"
    return {"fraction": value}


def _conflict(state: State, new: Parts, differing: list[str]) -> Step:
    name = differing[0] if len(differing) == 1 else None
    pair = {
        "whole": (state.parts.whole, new.whole),
        "fraction": (state.parts.fraction, new.fraction),
        None: (state.parts.raw, new.raw),
    }[name]
    first, second = (each or 0 for each in pair)
    finding = _finding(
        state,
        "repeat-differs",
        Severity.STOP,
        f"{PLACES[name]} was {_said(first, name)}, now {_said(second, name)}",
        "scratch the wrong one, decide first or check, or measure again",
        values=(first, second),
        calls=new.calls,
    )
    stopped = replace(
        _go(state, Signal.CONFLICT),
        stop=Stop(origin=state.phase, check=None, other=new),
        findings=(*state.findings, finding),
    )
    return Step(stopped, (finding,))


def _said(value: int, name: str | None) -> str:
    return {"whole": f"{value // FOOT}", "fraction": f".{value:02d}"}.get(
        name or "", f"{value / FOOT:.2f}"
    )


def _complete(state: State) -> Step:
    """Go on with complete parts: they are the take, or the check to be compared."""
    notes = _gap(state)
    state = replace(state, findings=(*state.findings, *notes))
    observation = state.parts.observe(state.settings.style, state.conditions.hold)
    if state.phase is Phase.OPEN or state.take is None:
        return Step(replace(_go(state, Signal.COMPLETE), take=observation), notes)
    compared = _compare(state, state.take, observation)
    return Step(compared.state, (*notes, *compared.consequences))


def _gap(state: State) -> tuple[Finding, ...]:
    times = state.parts.times
    for (source, earlier), (other, later) in pairwise(times):
        same = source.partition("#")[0] == other.partition("#")[0]
        if same and later - earlier > LONG_GAP_S:
            words = f"{later - earlier:.0f} seconds between the parts of one observation"
            return (
                _finding(
                    state, "long-gap", Severity.NOTE, words, "look whether they belong together"
                ),
            )
    return ()


def _compare(state: State, take: Observation, check: Observation) -> Step:
    difference = check.length - take.length
    values = (take.length, check.length)
    calls = (*take.calls, *check.calls)
    if abs(difference) > state.settings.tolerance:
        found = diagnose(take.length, check.length, state.settings.nominal_ft * FOOT)
        words = f"take {take.length / FOOT:.2f}, check {check.length / FOOT:.2f}: {found.words}"
        finding = _finding(
            state, found.code, Severity.STOP, words, found.remedy, values=values, calls=calls
        )
        stopped = replace(
            _go(state, Signal.DIFFER),
            stop=Stop(origin=state.phase, check=check, other=state.parts),
            findings=(*state.findings, finding),
        )
        return Step(stopped, (finding,))
    notes: tuple[Finding, ...] = ()
    if difference:
        words = (
            f"take {take.length / FOOT:.2f}, check {check.length / FOOT:.2f}: within the tolerance"
        )
        notes = (
            _finding(
                state, "within-tolerance", Severity.NOTE, words, "", values=values, calls=calls
            ),
        )
        state = replace(state, findings=(*state.findings, *notes))
    booked = _book(state, Booking.AGREED, "policy", check=check)
    return Step(booked.state, (*notes, *booked.consequences))


def _book(state: State, booking: Booking, by: str, check: Observation | None) -> Step:
    if state.take is None:
        message = "a pull without a take cannot be booked"
        raise ValueError(message)
    take = state.take
    length = {
        Booking.CHECK: check.length if check else take.length,
        Booking.AGREED: (take.length + check.length) / 2
        if check and state.settings.book is BookPolicy.MEAN
        else take.length,
    }.get(booking, take.length)
    segment = Segment(
        pull=state.pull,
        line_from=state.settings.line_from,
        line_to=state.settings.line_to,
        tape=state.settings.tape,
        style=state.settings.style,
        take=take,
        check=check,
        difference=check.length - take.length if check else None,
        length_read_ft=length / FOOT,
        booking=booking,
        decided_by=by,
        conditions=state.conditions,
        findings=state.findings,
        superseded=state.superseded,
    )
    signal = {Booking.AGREED: Signal.AGREE, Booking.UNCHECKED: Signal.UNCHECKED}.get(
        booking, Signal.BOOK
    )
    phase = TRANSITIONS[state.phase, signal]
    following = replace(start(state.settings, state.pull + 1, state.conditions), phase=phase)
    return Step(replace(following, booked=replace(state, booked=None)), (segment,))


def _decide(state: State, decision: Decision) -> Step:
    stop = state.stop
    if state.phase is not Phase.STOPPED or stop is None or decision.pull != state.pull:
        return _ask(state, f"pull {decision.pull} waits for no decision; {status(state)}")
    if decision.choice is Choice.AGAIN:
        return _again(state)
    held, state = state.held, replace(state, held=(), stop=None)
    if stop.check is not None:
        booking = Booking.FIRST if decision.choice is Choice.FIRST else Booking.CHECK
        return _drain(_book(state, booking, decision.by, stop.check), held)
    resume = {
        Phase.OPEN: Signal.RESUME_OPEN,
        Phase.TAKEN: Signal.RESUME_TAKEN,
        Phase.CHECKING: Signal.RESUME_CHECKING,
    }[stop.origin]
    is_kept = decision.choice is Choice.FIRST
    settled = replace(_go(state, resume), parts=state.parts if is_kept else stop.other)
    if not is_kept and settled.phase is Phase.TAKEN and settled.take is not None:
        changed = settled.parts.observe(settled.settings.style, settled.conditions.hold)
        struck = (*settled.superseded, settled.take)
        return _drain(Step(replace(settled, take=changed, superseded=struck)), held)
    if settled.parts.is_complete and settled.phase is not Phase.TAKEN:
        return _drain(_complete(settled), held)
    return _drain(Step(settled), held)


def _drain(done: Step, held: tuple[Call, ...]) -> Step:
    """Take the calls that were held, until the next stop holds them again."""
    state, consequences = done.state, done.consequences
    for index, call in enumerate(held):
        if state.phase is Phase.STOPPED:
            return Step(replace(state, held=held[index:]), consequences)
        following = _call(state, call)
        state, consequences = following.state, (*consequences, *following.consequences)
    return Step(state, consequences)


def _finding(
    state: State,
    code: str,
    severity: Severity,
    words: str,
    remedy: str,
    *,
    values: tuple[int, int] | tuple[None, None] = (None, None),
    calls: tuple[int, ...] = (),
) -> Finding:
    return Finding(
        code=code,
        severity=severity,
        pull=state.pull,
        words=words,
        remedy=remedy,
        first=values[0],
        second=values[1],
        calls=calls,
    )
