"""Phone: an order of the chief and the job as it stands in, what it does or why not out; pure.

An order names what it was given on: the pull's question, the conditions, or the pull. It is taken
only while that still stands, so that of two phones the first counts, and no order is ever about
something that its sender did not see.
"""

import hashlib
import re
from collections.abc import Callable
from dataclasses import dataclass

from calllog.keypad import ROWS, KeyedEntry, Refused, command_entry, read_entry
from calllog.pairing import Phase, State, status, step
from calllog.pairing.idle import does_nothing
from calllog.server.messages import Does, Order
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
_KEYS = {row.typed: row.does for row in ROWS if row.is_command} | {"-": "keys-scratch-typed"}
"""What each key of a command does, once it was typed: code of a message."""
_VALUE = re.compile(r"[0-9]{1,3}\.|\.[0-9]{2,3}|[0-9]{1,3}\.[0-9]{2,3}")
_CONDITION = re.compile(r"[1-6]\*-?[0-9]{1,3}(\.[0-9]{2})?")
_COMMANDS = {Does.AGAIN: "again", Does.SCRATCH: "scratch"}
_CHOICES = {Does.FIRST: Choice.FIRST, Does.CHECK: Choice.CHECK, Does.AGAIN: Choice.AGAIN}


def stands(replay: Replay) -> Stands:
    """Tell what orders may be given on now; JournalError if no line has been begun."""
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
    words: Words = ENGLISH,
) -> Deed | str:
    """Tell what an order does.

    Args:
        replay: the job as it stands.
        order: the order.
        expects: what the crew is expected to call.
        typed: makes a call of an entry, without taking it.
        by: who gave it.
        words: of the crew.

    Returns:
        What is to be taken into the job, or why nothing is, in plain words.
    """
    words = words.measured_in(replay.require_state().settings.unit)
    found = _judged(replay, order, expects, typed, by=by, words=words)
    return words("order-not-taken", why=found) if isinstance(found, str) else found


def last_order(replay: Replay, words: Words = ENGLISH) -> str:
    """Tell what a phone ordered last, as far back as it is remembered; empty if none did."""
    for event, _ in reversed(replay.recent):
        if isinstance(event, Decision):
            return words(
                "order-last-decision", pull=event.pull, choice=event.choice.value, by=event.by
            )
        if isinstance(event, Call) and (name := event.source.partition(f"#{PHONE}")[2]):
            return words("order-last", order=_ordered(event, words), by=name)
    return ""


def _judged(
    replay: Replay,
    order: Order,
    expects: Expectation,
    typed: Callable[[KeyedEntry], Call],
    *,
    by: str,
    words: Words,
) -> Deed | str:
    """Tell what an order does, or why it does nothing."""
    state = replay.require_state()
    if order.on != stands(replay).of(order.does):
        return _meanwhile(replay, order.does, words)
    choice = _CHOICES.get(order.does)
    if state.phase is Phase.STOPPED and choice is not None:
        return Decision(pull=state.pull, choice=choice, by=by)
    if order.does in (Does.FIRST, Does.CHECK):
        return words("order-nothing-to-decide", status=status(state))
    if order.does is Does.REMARK:
        text = " ".join(order.text.split())
        is_plain = text.isprintable() and text
        return RemarkOrder(text) if is_plain else words("order-plain-words")
    entry = _entry(order, expects, state.settings, words)
    if isinstance(entry, str):
        return entry
    return _refused(state, typed(entry), words) or entry


def spelt(typed: str, words: Words) -> str:
    """Spell the keys of a command out: "+" is "switch ends"."""
    return words(_KEYS[typed]) if typed in _KEYS else typed


def _ordered(call: Call, words: Words) -> str:
    """Name what a phone entered."""
    if call.kind is Kind.REMARK:
        return words("order-remark")
    if call.kind is Kind.CONDITION:
        return words("crew-condition", name=call.name)
    return spelt(call.text, words)


def _digest(value: object) -> str:
    return hashlib.sha256(repr(value).encode()).hexdigest()[:16]


def _meanwhile(replay: Replay, does: Does, words: Words) -> str:
    """Say what happened since an order's sender looked."""
    if does is Does.CONDITION:
        return words("order-conditions-changed")
    last = next((event for event, _ in reversed(replay.recent)), None)
    if isinstance(last, Decision):
        choice = last.choice.value
        return words("order-decided-meanwhile", pull=last.pull, choice=choice, by=last.by)
    return words("order-gone-on", status=status(replay.require_state()))


def _entry(
    order: Order, expects: Expectation, settings: LineSettings, words: Words
) -> KeyedEntry | str:
    """Give what an order enters, as one whole; or why it enters nothing."""
    command = _COMMANDS.get(order.does)
    if command is not None:
        return command_entry(command)
    pattern = _VALUE if order.does is Does.VALUE else _CONDITION
    if not pattern.fullmatch(order.text):
        return words("order-no-value" if order.does is Does.VALUE else "states-no-condition")
    result = read_entry(order.text, expects, settings.limit, settings.unit)
    if isinstance(result, Refused):
        return words.say(result.reason)
    return result if isinstance(result, KeyedEntry) else words("order-no-entry")


def _refused(state: State, call: Call, words: Words) -> str:
    """Say why the machine would not take a call now; empty if it would."""
    done = step(state, call)
    if any(isinstance(each, Held) for each in done.consequences):
        return words("order-held", status=status(state))
    asked = [words.question(each) for each in done.consequences if isinstance(each, Question)]
    return "; ".join(asked) if does_nothing(state, done.state) else ""
