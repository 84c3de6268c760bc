"""Panel: calls and consequences in, one plain line for each out; pure."""

from __future__ import annotations

from calllog.lines import station_text
from calllog.pairing import Event
from calllog.spoken import ENGLISH, Texts
from calllog.units import in_unit, said_in, stated_length, stated_temperature, stated_tension
from calllog.values import (
    Call,
    Conditions,
    Consequence,
    Decision,
    Finding,
    Held,
    Kind,
    Outcome,
    Question,
    ReadingUnit,
    Reopened,
    Role,
    Segment,
    Severity,
    Void,
)

MARKS = {Outcome.CALL: " ", Outcome.ASK: "?", Outcome.IGNORED: "·"}
AMOUNTS = frozenset({"temperature", "tension", "rise", "hold"})
"""Conditions whose amount is a number to be read; the others' amounts stand for words."""


def who_calls(role: Role) -> str:
    """Name the caller; empty where it was not said."""
    return "" if role is Role.UNSAID else role.value


def length_text(length_ft: float, unit: ReadingUnit = ReadingUnit.FOOT) -> str:
    """Write a length read, or a sum of them, in the unit of the tape.

    To the hundredth; a mean may have a digit more.
    """
    return f"{in_unit(length_ft, unit):.3f}".removesuffix("0")


def event_line(event: Event, texts: Texts = ENGLISH, unit: ReadingUnit = ReadingUnit.FOOT) -> str:
    """Write an event as one line of a log."""
    tell = texts.tell
    match event:
        case Call():
            what = event.text or "…"
            is_taken = event.outcome is Outcome.CALL
            remark = "" if is_taken or not event.reason else f"  ({tell(event.reason)})"
            sure = tell("typed") if event.is_keyed else f"{event.probability:.0%}"
            return (
                f"{event.start_s:8.1f} s  {tell(who_calls(event.role)):4}  {MARKS[event.outcome]}"
                f" {what:<28}{sure:>5}{remark}"
            )
        case Decision():
            decided = f"> pull {event.pull}: {event.choice.value}, decided by {event.by}"
            return f"            {tell(decided)}"
        case Conditions():
            stated = ", ".join(map(tell, conditions_in_words(event, unit)))
            return f"            > {tell('conditions')}: {stated}"


def consequence_line(
    consequence: Consequence, texts: Texts = ENGLISH, unit: ReadingUnit = ReadingUnit.FOOT
) -> str:
    """Write what followed from an event as one line of a log; the sign in front tells the kind."""
    tell = texts.tell
    match consequence:
        case Segment():
            length = f"{in_unit(consequence.length_read_ft, unit):.2f}"
            booked = said_in(f"pull {consequence.pull} booked: {length} ft", unit)
            words = f"= {booked} ({consequence.booking.value})"
        case Finding():
            label = "STOP" if consequence.severity is Severity.STOP else "note"
            remedy = f"; {tell(consequence.remedy)}" if consequence.remedy else ""
            head = f"! {tell(label)} {tell('pull')} {consequence.pull}"
            return f"            {head}: {tell(consequence.words)}{remedy}"
        case Question():
            who = who_calls(consequence.role)
            is_named = not who or consequence.words.startswith(who)
            asked = tell(consequence.words)
            return f"            ? {asked}" if is_named else f"            ? {tell(who)}: {asked}"
        case Void():
            words = f"- call {consequence.call} struck"
        case Held():
            words = f"| call {consequence.call} held: pull {consequence.pull} waits"
        case Reopened():
            words = f"- pull {consequence.pull} opened again"
    return f"            {tell(words)}"


def figures(call: Call) -> str:
    """Write the number of a call in figures: 15, .42, 15.42; empty for what has none."""
    if call.outcome is Outcome.ASK:
        return "?"
    if call.kind is Kind.CONDITION and call.name in AMOUNTS and call.amount is not None:
        return f"{call.amount:g}"
    if call.note is not None:
        return station_text(call.note.station)
    if call.value is None:
        return ""
    return {
        Kind.WHOLE: f"{call.value // 100}",
        Kind.FRACTION: f".{call.value:02d}",
        Kind.READING: f"{call.value / 100:.2f}",
    }.get(call.kind, str(call.value))


def conditions_in_words(
    conditions: Conditions, unit: ReadingUnit = ReadingUnit.FOOT
) -> tuple[str, ...]:
    """Say the conditions in force, and which are not known: those are not corrected for."""
    metric = unit is ReadingUnit.METRE
    degf, pull_lb, rise_ft = conditions.temperature_degf, conditions.tension_lb, conditions.rise_ft

    def stated(value: float | None, name: str, unit: str) -> str:
        return f"{name} ?" if value is None else f"{name} {value:g} {unit}"

    supports = {None: "support ?", 0: "supported throughout", 1: "ends only"}
    words = [
        stated(
            None if degf is None else stated_temperature(degf, unit),
            "temperature",
            "C" if metric else "F",
        ),
        stated(
            None if pull_lb is None else stated_tension(pull_lb, unit),
            "tension",
            "N" if metric else "lb",
        ),
        supports.get(conditions.spans, f"{conditions.spans} equal spans"),
        "level"
        if rise_ft == 0
        else stated(None if rise_ft is None else stated_length(rise_ft, unit), "rise", unit.symbol),
    ]
    if conditions.position is not None:
        is_down = conditions.position == "ground"
        words.append("on the ground" if is_down else f"at the {conditions.position}")
    if conditions.hold:
        words.append(f"holding {conditions.hold / 100:g} {unit.symbol}")
    return tuple(words)
