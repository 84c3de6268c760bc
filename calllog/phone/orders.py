"""Phone: an order of the chief and the job as it stands in, what it does or why not out; pure.

An order names what it was given on: the pull's question, the conditions, or the pull. It is taken
only while that still stands, so that of two phones the first counts, and no order is ever about
something that its sender did not see.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from dataclasses import dataclass

from calllog.keypad import KeyedEntry, Refused, command_entry, read_entry
from calllog.pairing import Phase, State, status, step
from calllog.pairing.idle import does_nothing
from calllog.phone.messages import Does, Order
from calllog.session import PHONE, Replay
from calllog.values import (
    Call,
    Choice,
    Decision,
    Expectation,
    Held,
    Kind,
    LineSettings,
    Question,
)
from calllog.wording import ENGLISH, Words


@dataclass(frozen=True, slots=True)
class Stands:
    """What an order may be given on; each changes when that does, and with nothing else."""

    question: str
    """The pull's numbers and what they wait for."""
    conditions: str
    pull: str

    def of(self, does: Does) -> str:
        """Give what an order of a kind is about."""
        match does:
            case Does.CONDITION:
                return self.conditions
            case Does.REMARK:
                return self.pull
            case _:
                return self.question


@dataclass(frozen=True, slots=True)
class RemarkOrder:
    """A remark in words."""

    text: str


Deed = Decision | KeyedEntry | RemarkOrder
"""What an order does."""
_VALUE = re.compile(r"[0-9]{1,3}\.|\.[0-9]{2,3}|[0-9]{1,3}\.[0-9]{2,3}")
_CONDITION = re.compile(r"[1-6]\*-?[0-9]{1,3}(\.[0-9]{2})?")
_COMMANDS = {Does.AGAIN: "again", Does.SCRATCH: "scratch"}
_CHOICES = {Does.FIRST: Choice.FIRST, Does.CHECK: Choice.CHECK, Does.AGAIN: Choice.AGAIN}
_DECIDED = {
    Choice.FIRST: "the first was kept",
    Choice.CHECK: "the check was kept",
    Choice.AGAIN: "it is measured again",
}


def stands(replay: Replay) -> Stands:
    """Tell what orders may be given on now.

    Raises:
        JournalError: no line has been begun.
    """
    state = replay.require_state()
    settings, stop = state.settings, state.stop
    pull = (*replay.run_of(settings), settings.tape, state.pull)
    question = (
        pull,
        state.phase,
        state.take and state.take.length,
        (state.parts.whole, state.parts.fraction),
        stop and (stop.check and stop.check.length, stop.other.whole, stop.other.fraction),
        len(state.superseded),
        len(replay.segments),
        state.awaiting,
        state.waiting and state.waiting.call.number,
    )
    return Stands(
        question=_digest(question), conditions=_digest(state.conditions), pull=_digest(pull)
    )


def judge(
    replay: Replay,
    order: Order,
    expects: Expectation,
    typed: Callable[[KeyedEntry], Call],
    *,
    by: str,
) -> Deed | str:
    """Tell what an order does.

    Args:
        replay: the job as it stands.
        order: the order.
        expects: what the crew is expected to call.
        typed: makes a call of an entry, without taking it.
        by: who gave it.

    Returns:
        What is to be taken into the job, or why nothing is, in plain words.
    """
    state = replay.require_state()
    if order.on != stands(replay).of(order.does):
        return f"not taken: {_meanwhile(replay, order.does)}"
    choice = _CHOICES.get(order.does)
    if state.phase is Phase.STOPPED and choice is not None:
        return Decision(pull=state.pull, choice=choice, by=by)
    if order.does in (Does.FIRST, Does.CHECK):
        return f"not taken: {_status(state)}; there is nothing to decide"
    if order.does is Does.REMARK:
        text = " ".join(order.text.split())
        is_plain = text.isprintable() and text
        return RemarkOrder(text) if is_plain else "not taken: write the remark in plain words"
    entry = _entry(order, expects, state.settings)
    if isinstance(entry, str):
        return f"not taken: {entry}"
    refused = _refused(state, typed(entry))
    return f"not taken: {refused}" if refused else entry


def last_order(replay: Replay) -> str:
    """Tell what a phone ordered last, as far back as it is remembered; empty if none did."""
    for event, _ in reversed(replay.recent):
        if isinstance(event, Decision):
            return f"Pull {event.pull}: {_DECIDED[event.choice]} by {event.by}"
        if isinstance(event, Call) and (name := event.source.partition(f"#{PHONE}")[2]):
            what = "a remark" if event.kind is Kind.REMARK else event.name or event.text
            return f"{what} by {name}"
    return ""


def _words(state: State) -> Words:
    return ENGLISH.measured_in(state.settings.unit)


def _status(state: State) -> str:
    return _words(state).say(status(state))


def _digest(value: object) -> str:
    return hashlib.sha256(repr(value).encode()).hexdigest()[:16]


def _meanwhile(replay: Replay, does: Does) -> str:
    """Say what happened since an order's sender looked."""
    if does is Does.CONDITION:
        return "the conditions have changed meanwhile"
    last = next((event for event, _ in reversed(replay.recent)), None)
    if isinstance(last, Decision):
        return f"pull {last.pull} was decided meanwhile, {_DECIDED[last.choice]} by {last.by}"
    return f"the work has gone on meanwhile; {_status(replay.require_state())}"


def _entry(order: Order, expects: Expectation, settings: LineSettings) -> KeyedEntry | str:
    """Give what an order enters, as one whole; or why it enters nothing."""
    command = _COMMANDS.get(order.does)
    if command is not None:
        return command_entry(command)
    pattern = _VALUE if order.does is Does.VALUE else _CONDITION
    if not pattern.fullmatch(order.text):
        return "that is no value" if order.does is Does.VALUE else "that states no condition"
    result = read_entry(order.text, expects, settings.limit, settings.unit)
    if isinstance(result, Refused):
        return ENGLISH.measured_in(settings.unit).say(result.reason)
    return result if isinstance(result, KeyedEntry) else "that is no entry"


def _refused(state: State, call: Call) -> str:
    """Say why the machine would not take a call now; empty if it would."""
    done = step(state, call)
    if any(isinstance(each, Held) for each in done.consequences):
        return f"{_status(state)}: keep first, keep check or measure again"
    asked = [
        _words(state).question(each) for each in done.consequences if isinstance(each, Question)
    ]
    return "; ".join(asked) if does_nothing(state, done.state) else ""
