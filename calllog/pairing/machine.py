"""The pairing machine: a state and an event in, the next state and its consequences out; pure.

Rules 1 to 7 of a pull: parts in either order; a repetition that differs is a stop; after
switching ends the next observation is the check; agreement in exact hundredths books; nothing
moves ahead over a stop (calls that come meanwhile are held, in order); *scratch* voids the last
call; what may not be taken is asked again. What is typed stands over what was heard. Notes and
remarks belong to no part of a pull and move nothing. Every change of phase goes through the table.
"""

from collections.abc import Callable
from functools import partial

from calllog.pairing.anew import begins_anew, reads_anew
from calllog.pairing.asking import answer, misheard
from calllog.pairing.booking import Rules, Step, ask, compare, finding, move, refuse, voids
from calllog.pairing.changed import replace
from calllog.pairing.conditions import apply_condition, is_change, states_nothing
from calllog.pairing.deciding import RESUME, again, decide, settle_by_key
from calllog.pairing.differing import as_correction
from calllog.pairing.doubtful import ask_first, remember
from calllog.pairing.figures import begun_by
from calllog.pairing.moving import leaves, move_on, switch, untimely
from calllog.pairing.placing import ask_of_take, ask_who, noted_anew, tell, tells
from calllog.pairing.proposal import is_too_steep, repeats_booked
from calllog.pairing.roles import (
    COMMANDS,
    chosen,
    expecting,
    holder_told,
    keeps_order,
    question,
    says_once_more,
    settle,
    told_against,
    untellable,
    weighs_roles,
)
from calllog.pairing.running import stated_anew
from calllog.pairing.said_back import asks_own, is_said_back, said_back_before
from calllog.pairing.state import OTHER, State, StyleKnown
from calllog.pairing.stating import asked_of, ends_doubt, refusal, unsure_of
from calllog.pairing.stops import (
    TRIED_AGAIN,
    answers,
    crossed,
    drops_held,
    has_not_gone_on,
    is_heard,
    strike_live,
    without_live,
)
from calllog.pairing.striking import note_said_last, replayed, scratch, without, without_note
from calllog.pairing.struck_before import keep_struck
from calllog.pairing.table import Phase, Signal
from calllog.pairing.taking import taken, tried
from calllog.pairing.tape_style import CHECK, contradicts, hear, says_style, stop_by_word
from calllog.pairing.turns import status
from calllog.pairing.which_pull import ask_which, told_which
from calllog.values import (
    NUMBERS,
    Call,
    Choice,
    Conditions,
    Decision,
    Held,
    Kind,
    Message,
    Outcome,
    Severity,
    message,
)

Event = Call | Decision | Conditions

BESIDE = frozenset({"remark", "repeat", "who"})
"""Commands that move no pull: what follows them is for the session to do."""


def step(state: State, event: Event) -> Step:
    """Take one event; never an error, whatever the crew says."""
    match event:
        case Decision():
            return decide(state, event, RULES)
        case Conditions():
            return Step(stated_anew(state, event))
        case Call():
            asked = ask_first(state, event, partial(scratch, rules=RULES))
            done = asked or ask_which(state, event, _hear(state, event))
            return remember(keep_struck(state, event, done), event)


def _hear(state: State, call: Call) -> Step:
    """Take a call at the time that it is made, over a stop too; one that was held is not new."""
    if reason := refusal(state, call):
        return refuse(state, reason, call.role)
    if (stated := unsure_of(state, call)) is not None:
        return ask(replace(state, doubted=stated), asked_of(state, call), call.role)
    if state.doubted is not None and ends_doubt(call):
        state = replace(state, doubted=None)
    if (begun := begun_by(state, call)) is not None:
        return _in_place_of(state, begun, call, _call)
    done = _call(state, call)
    if call.kind is Kind.COMMAND and call.name == "switch" and done.state.phase is state.phase:
        return replace(done, state=untimely(done.state, call))
    return done


def _call(  # noqa: PLR0911 - one way out for each kind of call
    state: State, call: Call
) -> Step:
    if (beside := _beside_pull(state, call)) is not None:
        return beside
    if state.phase is Phase.STOPPED and not answers(state, call):
        return settle_by_key(state, call, RULES) or _over_stop(state, call)
    if state.held and call.kind is Kind.COMMAND:
        if is_heard(state, call):
            struck, freed = strike_live(state)[0], without_live(state)
        else:
            struck = voids(state, (each.number for each in state.held))
            freed = replace(state, held=())
        if call.name == "scratch" and struck:
            return Step(freed, struck)
        if freed.held and drops_held(state, call):
            return refuse(state, message("stop-stands", pull=state.pull), call.role)
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
        return refuse(state, call.reason or message("no-call-made-out"), call.role)
    if call.outcome is Outcome.IGNORED or call.kind is Kind.CHATTER:
        return Step(state)
    if call.kind is Kind.NOTE:
        return Step(replace(state, history=(*state.history, call)))
    if is_command and call.name == "scratch" and (note := note_said_last(state)) is not None:
        return Step(without_note(state, note), voids(state, (note.number,)))
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
        return refuse(state, message("stop-stands", pull=state.pull), call.role)
    if crossed(state, call):
        return _hold(state, call)
    return _try_again(state, call)


def _try_again(state: State, call: Call) -> Step:
    """Measure the pull again, a number being its first call; one that is asked begins nothing."""
    begun = again(state, RULES)
    found = finding(
        begun.state, TRIED_AGAIN, Severity.NOTE, values=_struck(state), calls=(call.number,)
    )
    is_switched = state.stop is not None and state.stop.origin is Phase.CHECKING
    places = begun.state.places
    if is_switched and weighs_roles(state) and not keeps_order(state):  # read as they stand
        places = expecting(OTHER[state.holder], state.habit)
    fresh = replace(begun.state, findings=(*begun.state.findings, found), places=places)
    opening = fresh.opening and replace(fresh.opening, findings=fresh.findings, places=places)
    fresh = replace(fresh, opening=opening)
    done = _number(fresh, call)
    if done.is_refused:
        return Step(state, done.consequences)
    return Step(done.state, (*begun.consequences, found, *done.consequences))


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
        return refuse(state, message("states-no-condition"), call.role)
    conditions = apply_condition(state.conditions, call, unit)
    if state.take is not None and is_too_steep(conditions, state.take.length, unit):
        rise = message("rise-beyond-tape", rise=call.amount or 0.0)
        return refuse(state, rise, call.role)
    return Step(replace(state, conditions=conditions, history=(*state.history, call)))


def _change(state: State, call: Call) -> Step:
    """Let the session change tape or line, or ask; it changes nothing here."""
    if (call.amount or 0) < 1:
        return refuse(state, message("numbered-from-one", what=call.name), call.role)
    is_left = state.phase is Phase.OPEN and call.name == "line" and leaves(state, call)
    if is_left or (state.phase is not Phase.FINISHED and not state.is_between):
        first = message("finish-pull-first", pull=state.pull, what=call.name)
        return refuse(state, first, call.role)
    return Step(state)


def _command(  # noqa: PLR0911 - one way out for each command
    state: State, call: Call
) -> Step:
    waiting = state.blocking if call.name in COMMANDS else state.waiting
    if waiting is not None and call.name in (*COMMANDS, "switch", "next", "finish"):
        return told_which(state, call, RULES) or refuse(state, question(waiting))
    if call.name in COMMANDS:
        return _holds(state, call)
    with_call = replace(state, history=(*state.history, call))
    match call.name:
        case _ if says_style(call):
            return _style(state, call)
        case "scratch":
            return scratch(state, RULES)
        case "switch":
            return switch(state, with_call)
        case "again":
            return again(state, RULES)
        case "next" | "finish":
            return move_on(state, call, call.name)
        case _ if state.stop is not None and state.stop.word is not None:
            return refuse(state, status(state), call.role)
        case _ if state.phase is Phase.STOPPED:
            choice = Choice.FIRST if call.name == "first" else Choice.CHECK
            return decide(state, Decision(pull=state.pull, choice=choice, by="crew"), RULES)
        case _:
            return refuse(state, message("nothing-to-decide"), call.role)


def _style(state: State, call: Call) -> Step:
    """Take a number, or the word alone, that says how the tape is graduated.

    What waited for it is done, if the call left the pull as it stood.
    """
    if call.kind is Kind.COMMAND and state.phase is Phase.FINISHED:
        return refuse(state, message("line-finished"), call.role)
    if contradicts(state, call):
        return _stop_by_word(state, call)
    if call.kind is not Kind.COMMAND:
        return _placed(state, call)
    known, stop = hear(state, call), state.stop
    if stop is not None:
        known = replace(move(known, RESUME[stop.origin]), stop=None)
    with_call = replace(known, history=(*known.history, call))
    return _go_on_with_style(Step(with_call), known.style_waits, call)


def _stop_by_word(state: State, call: Call) -> Step:
    """Stop: the crew says another style than the certificate does."""
    if state.phase is Phase.STOPPED:
        return refuse(state, status(state), call.role)
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
    is_known = state.style is StyleKnown.CONFIRMED and state.blocking is None
    if not waiting or not is_known or state.style_waits != waiting:
        return done
    state = replace(state, style_waits="")
    if waiting == CHECK and state.phase is Phase.CHECKING and state.take is not None:
        following = compare(state, state.take) if state.parts.is_complete else Step(state)
    elif waiting != CHECK and state.phase is Phase.TAKEN:
        following = move_on(state, call, waiting)
    else:
        following = Step(state)
    return Step(following.state, (*done.consequences, *following.consequences))


def _answer(state: State, call: Call) -> Step | None:
    """Take a call as the answer to what was asked, and decide again; None if it is no answer."""
    found = answer(state, call)
    if found is None:
        return None
    if isinstance(found, Message):
        if (number := misheard(state, call)) is not None:
            return _in_place_of(state, number, call)
        return refuse(state, found, call.role)
    answered, waited = found.state, state.awaiting
    if answered.phase is Phase.CHECKING and answered.take is not None:
        done = compare(answered, answered.take)
    elif waited is not None and waited.after:
        done = move_on(answered, call, waited.after)
    else:
        done = Step(answered)
    return Step(done.state, (*found.voids, *done.consequences))


def _number(state: State, call: Call) -> Step:
    if state.blocking is not None:
        told = told_which(state, call, RULES) if state.blocking.asks else tells(state, call, RULES)
        return told or refuse(state, question(state.blocking))
    if says_style(call) and state.phase is not Phase.FINISHED:
        return _style(state, call)
    return _placed(state, call)


def _placed(state: State, call: Call) -> Step:
    """Give a number its place; what it says of the tape's style counts though it be refused."""
    known = hear(state, call)
    done = begins_anew(known, _place(known, call), RULES)
    if known.style is not state.style:
        done = replace(done, is_refused=False)
    return _go_on_with_style(done, known.style_waits, call)


def _place(  # noqa: PLR0911 - one way out for each rule
    state: State, call: Call
) -> Step:
    if state.phase is Phase.FINISHED:
        return refuse(state, message("line-finished-no-call"), call.role)
    if (answered := _answer(state, call) or _said_back(state, call)) is not None:
        return answered
    if repeats_booked(state, call):
        return Step(state, is_refused=True)
    if (corrected := as_correction(state, call)) is not None:
        return taken(state, corrected)
    if state.waiting is not None:
        told = tells(state, call, RULES) or reads_anew(state, call, RULES)
        return told or refuse(state, question(state.waiting))
    if not weighs_roles(state) or state.awaiting is not None:
        return taken(state, call)
    match settle(state, call, partial(replayed, rules=RULES), tried):
        case None:
            return taken(state, call)
        case State() as found if found.holder is state.holder:
            return taken(found, call)
        case State() as found:
            return noted_anew(taken(found, call), found)
        case options:
            return ask_who(state, call, options)


def _in_place_of(
    state: State, number: int, call: Call, take: Callable[[State, Call], Step] = _place
) -> Step:
    """Strike a number and take a call; not where the crew is asked to call both parts again."""
    struck = voids(state, (number,))
    left = without(state, {number}, RULES)
    if left.consequences:
        return Step(left.state, (*struck, *left.consequences, *voids(state, (call.number,))))
    done = take(left.state, call)
    return Step(done.state, (*struck, *done.consequences))


def _said_back(state: State, call: Call) -> Step | None:
    """Leave out a number that only says back the other one's; None where none does."""
    if is_said_back(state, call):
        return Step(state, is_refused=True)
    if (before := said_back_before(state, call)) is not None:
        return _in_place_of(state, before, call)
    if (asks := asks_own(state, call)) is not None:
        return ask(replace(state, said_back=call.role), asks, call.role)
    return None


def _holds(state: State, call: Call) -> Step:
    """Place the calls of the pull as the crew tells: by who holds the whole mark now."""
    holder, stop = holder_told(call), state.stop
    if (why := untellable(state, holder)) is not None:
        return refuse(state, why, call.role)
    if says_once_more(state, call):
        return Step(state, is_refused=True)
    opening = state.opening and replace(state.opening, told=call)
    state = replace(state, told=call, opening=opening)
    if stop is not None and (stop.waiting is None or not has_not_gone_on(state)):
        return _over_stop(state, call)
    if (option := chosen(state, call)) is not None:
        return tell(state, option.places, RULES)
    origin = stop.origin if stop else state.phase
    holder = OTHER[holder] if origin is Phase.CHECKING else holder
    if holder is not state.holder and (why := told_against(state, origin)) is not None:
        return ask_of_take(state, call, RULES) or refuse(state, why, call.role)
    return tell(state, replace(state.places, holder=holder), RULES)


def _decide(state: State, decision: Decision) -> Step:
    return decide(state, decision, RULES)


RULES = Rules(call=_call, number=_number, decide=_decide)
"""What this module is for the rules of others."""
