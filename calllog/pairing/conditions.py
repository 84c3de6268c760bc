"""A condition call and the conditions in force in, the conditions from then on out; pure."""

from __future__ import annotations

from calllog.values import Call, Conditions, Kind

CHANGES = frozenset({"tape", "line"})
"""Conditions that are no condition of a pull: the session begins another line after them."""
POSITIONS = ("ground", "knee", "waist", "chest")
FOOT = 100


def is_change(call: Call) -> bool:
    """Tell whether a call wants another tape or line."""
    return call.kind is Kind.CONDITION and call.name in CHANGES


def apply_condition(conditions: Conditions, call: Call) -> Conditions:
    """Change what a condition call states; a position also says how the tape is supported."""
    amount = call.amount or 0.0
    update: dict[str, object] = {}
    match call.name:
        case "temperature":
            update = {"temperature_degf": amount}
        case "tension":
            update = {"tension_lb": amount}
        case "spans":
            update = {"spans": int(amount)}
        case "rise":
            update = {"rise_ft": amount}
        case "hold":
            update = {"hold": round(amount * FOOT)}
        case "position":
            position = POSITIONS[int(amount)]
            update = {"position": position, "spans": 0 if position == "ground" else 1}
    return conditions.model_copy(update=update)
