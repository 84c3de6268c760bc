"""A condition call and the conditions in force in, the conditions from then on out; pure."""

from calllog.units import length_ft, temperature_degf, tension_lb
from calllog.values import Call, Conditions, Kind, ReadingUnit

CHANGES = frozenset({"tape", "line"})
"""Conditions that are no condition of a pull: the session begins another line after them."""
POSITIONS = ("ground", "knee", "waist", "chest")


def is_change(call: Call) -> bool:
    """Tell whether a call wants another tape or line."""
    return call.kind is Kind.CONDITION and call.name in CHANGES


def states_nothing(call: Call) -> bool:
    """Tell whether a condition call names what cannot be, as only a stranger's journal does."""
    amount = call.amount or 0.0
    if call.name == "position":
        return not 0 <= amount < len(POSITIONS)
    return call.name in {"spans", "hold"} and amount < 0


def apply_condition(
    conditions: Conditions, call: Call, unit: ReadingUnit = ReadingUnit.FOOT
) -> Conditions:
    """Change what a condition call states; a position also says how the tape is supported.

    Args:
        conditions: those in force.
        call: what was said or typed: degrees Fahrenheit, pounds and feet on a tape in feet, degrees
            Celsius, newtons and metres on a metric one.
        unit: what the tape is graduated in.
    """
    amount = call.amount or 0.0
    update: dict[str, object] = {}
    match call.name:
        case "temperature":
            update = {"temperature_degf": temperature_degf(amount, unit)}
        case "tension":
            update = {"tension_lb": tension_lb(amount, unit)}
        case "spans":
            update = {"spans": int(amount)}
        case "rise":
            update = {"rise_ft": length_ft(amount, unit)}
        case "hold":
            update = {"hold": round(amount * unit.counts)}
        case "position":
            position = POSITIONS[int(amount)]
            update = {"position": position, "spans": 0 if position == "ground" else 1}
    return conditions.model_copy(update=update)
