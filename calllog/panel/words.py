"""Panel: calls and consequences in, one plain line for each out; pure."""

from calllog.lines import station_text
from calllog.pairing import Event
from calllog.units import in_unit, stated_length, stated_temperature, stated_tension
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
    Void,
)
from calllog.wording.catalogue import Words

MARKS = {Outcome.CALL: " ", Outcome.ASK: "?", Outcome.IGNORED: "·"}
AMOUNTS = frozenset({"temperature", "tension", "rise", "hold"})
"""Conditions whose amount is a number to be read; the others' amounts stand for words."""
NAMING = frozenset({"say-again", "say-again-or-type", "typed-before"})
"""Questions that say by themselves who is asked."""


def caller(role: Role, words: Words) -> str:
    """Say who calls; empty where it was not said."""
    return "" if role is Role.UNSAID else words("crew-role", role=role.value)


def _widest(words: Words) -> int:
    """Give the width of the column of those who call."""
    return max(len(caller(each, words)) for each in (Role.HEAD, Role.REAR))


def length_text(length_ft: float, unit: ReadingUnit = ReadingUnit.FOOT) -> str:
    """Write a length read, or a sum of them, in the unit of the tape.

    To the last digit that is read; a mean may have a digit more.
    """
    return f"{in_unit(length_ft, unit):.{unit.digits + 1}f}".removesuffix("0")


def event_line(event: Event, words: Words) -> str:
    """Write an event as one line of a log."""
    match event:
        case Call():
            what = event.text or "…"
            is_taken = event.outcome is Outcome.CALL
            reason = "" if is_taken or not event.reason else f"  ({words.say(event.reason)})"
            sure = words("screen-typed") if event.is_keyed else f"{event.probability:.0%}"
            who = caller(event.role, words).ljust(_widest(words))
            return (
                f"{event.start_s:8.1f} s  {who}  {MARKS[event.outcome]} {what:<28}{sure:>5}{reason}"
            )
        case Decision():
            facts = {"choice": event.choice.value, "by": event.by}
            return f"            > {words('log-decided', pull=event.pull, **facts)}"
        case Conditions():
            stated = ", ".join(conditions_in_words(event, words))
            return f"            > {words('log-conditions-stated', conditions=stated)}"


def consequence_line(consequence: Consequence, words: Words) -> str:
    """Write what followed from an event as one line of a log; the sign in front tells the kind."""
    match consequence:
        case Segment():
            told = "= " + words(
                "log-booked",
                pull=consequence.pull,
                length=f"{in_unit(consequence.length_read_ft, words.unit):.{words.unit.digits}f}",
                booking=consequence.booking.value,
            )
        case Finding():
            found = words(
                "log-finding",
                severity=consequence.severity.value,
                pull=consequence.pull,
                finding=words.finding(consequence),
            )
            told = "; ".join(filter(None, (f"! {found}", words.remedy(consequence))))
        case Question():
            is_named = consequence.role is Role.UNSAID or consequence.asks.code in NAMING
            asked = words.question(consequence) if is_named else question(consequence, words)
            told = f"? {asked}"
        case Void():
            told = f"- {words('log-struck', call=consequence.call)}"
        case Held():
            told = f"| {words('log-held', call=consequence.call, pull=consequence.pull)}"
        case Reopened():
            told = f"- {words('log-opened-again', pull=consequence.pull)}"
    return f"            {told}"


def question(asked: Question, words: Words) -> str:
    """Say what is asked of whom."""
    return words("screen-question", role=asked.role.value, question=asked.asks)


def figures(call: Call, unit: ReadingUnit = ReadingUnit.FOOT) -> str:
    """Write the number of a call in figures: 15, .42, 15.42; empty for what has none."""
    if call.outcome is Outcome.ASK:
        return "?"
    if call.kind is Kind.CONDITION and call.name in AMOUNTS and call.amount is not None:
        return f"{call.amount:g}"
    if call.note is not None:
        return station_text(call.note.station, unit.base)
    if call.value is None:
        return ""
    return {
        Kind.WHOLE: f"{call.value // unit.counts}",
        Kind.FRACTION: f".{unit.part(call.value)}",
        Kind.READING: unit.text(call.value),
    }.get(call.kind, str(call.value))


def conditions_in_words(conditions: Conditions, words: Words) -> tuple[str, ...]:
    """Say the conditions in force, and which are not known: those are not corrected for."""
    unit = words.unit
    degf, pull_lb, rise_ft = conditions.temperature_degf, conditions.tension_lb, conditions.rise_ft
    told = [
        words("condition-temperature-unknown")
        if degf is None
        else words("condition-temperature", degrees=stated_temperature(degf, unit)),
        words("condition-tension-unknown")
        if pull_lb is None
        else words("condition-tension", force=stated_tension(pull_lb, unit)),
        words("condition-support-unknown")
        if conditions.spans is None
        else words("condition-support", spans=conditions.spans),
    ]
    if rise_ft is None:
        told.append(words("condition-rise-unknown"))
    elif rise_ft == 0:
        told.append(words("condition-level"))
    else:
        told.append(words("condition-rise", rise=stated_length(rise_ft, unit)))
    if conditions.position is not None:
        told.append(words("condition-position", position=conditions.position))
    if conditions.hold:
        told.append(words("condition-hold", mark=conditions.hold / unit.counts))
    return tuple(told)
