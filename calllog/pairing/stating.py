"""A condition as it is called in, why it must be asked again out; pure.

From edition 1 of the pairing: what a tape cannot have held is refused with the reason, and a
condition that states no number, which talk may sound like, is taken only where it was heard surely
or said twice. One with a number is read back with it.
"""

from __future__ import annotations

from calllog.pairing.state import State
from calllog.tape import PARTED
from calllog.values import NUMBERS, Call, Kind, Message, Outcome, Style, message

SURE = 0.97
"""A condition without a number that was heard with less is asked again."""
FIXED = frozenset({"spans", "position"})
"""Conditions that are stated by a phrase of their own, without a number."""


def refusal(state: State, call: Call) -> Message | None:
    """Say why a condition is not taken, whatever was heard before; None if it may be."""
    if not state.settings.pairing or not _states(call) or call.name != "hold":
        return None
    held = round((call.amount or 0.0) * state.settings.unit.counts)
    style = state.settings.style
    if style in PARTED and held:
        return message("nothing-held-here")
    if style is Style.INSET and not held:
        return message("zero-not-held-here")
    if held > state.settings.limit:
        return message(
            "beyond-tape", reading=held, tape=state.settings.limit // state.settings.unit.counts
        )
    return None


def unsure_of(state: State, call: Call) -> tuple[str, float] | None:
    """Name the condition that must be said again, since it was not heard surely; None if none."""
    is_sure = call.is_keyed or call.probability >= SURE or not _is_fixed(call)
    if not state.settings.pairing or not _states(call) or is_sure:
        return None
    stated = (call.name, call.amount or 0.0)
    return None if state.doubted == stated else stated


def ends_doubt(call: Call) -> bool:
    """Tell whether a call says something else than what was asked, talk and notes apart."""
    return call.outcome is Outcome.CALL and call.kind in NUMBERS | {Kind.COMMAND, Kind.CONDITION}


def _states(call: Call) -> bool:
    return call.kind is Kind.CONDITION and call.outcome is Outcome.CALL


def _is_fixed(call: Call) -> bool:
    """Tell whether a condition is stated by a phrase without a number; level is a rise of none."""
    return call.name in FIXED or (call.name == "rise" and not call.amount)
