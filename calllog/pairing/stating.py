"""A condition as it is called in, why it must be asked again out; pure.

From edition 1 of the pairing: what a tape cannot have held is refused with the reason, and a
condition that states no number, which talk may sound like, is taken only where it was heard surely
or said twice. One with a number is read back with it. Who holds the whole mark, and how the tape is
graduated, said by voice, are taken as a condition without a number is.
"""

from calllog.pairing.roles import CALLER
from calllog.pairing.state import State, StyleKnown
from calllog.pairing.tape_style import contradicts, matters, says_style
from calllog.tape import PARTED
from calllog.values import NUMBERS, Call, Kind, Message, Outcome, Style, message

SURE = 0.97
"""A condition without a number that was heard with less is asked again."""
SURE_WHO = 0.9
"""The same for who holds the whole mark: nothing that a crew says sounds like it."""
SURE_STYLE = 2.0 / 3.0
"""The same for the word that says how the tape reads where that was asked and the certificate says
so too: all that is left to confuse it with is another call."""
OTHER_CALL = 0.05
"""It is asked again where one, such as the other word, is likelier than this."""
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
    """Name what must be said again, since it was not heard surely; None if nothing."""
    is_command = call.kind is Kind.COMMAND and call.name == CALLER
    sure = SURE_WHO if is_command else SURE
    if is_expected_style(state, call):
        sure = SURE_STYLE
    is_sure = call.is_keyed or call.probability >= sure or call.outcome is not Outcome.CALL
    if not state.settings.pairing or is_sure:
        return None
    if is_command:
        stated = (f"{call.name} {call.role.value}", 0.0)
    elif settles_style(state, call):
        stated = (call.name, float(call.value or 0))
    elif _states(call) and _is_fixed(call):
        stated = (call.name, call.amount or 0.0)
    else:
        return None
    return None if state.doubted == stated else stated


def settles_style(state: State, call: Call) -> bool:
    """Tell whether a live crew's word would confirm the tape's style, or stop the pull over it."""
    is_known = state.style is StyleKnown.CONFIRMED and not contradicts(state, call)
    return says_style(call) and call.is_live and not is_known


def is_expected_style(state: State, call: Call) -> bool:
    """Tell whether a word says what the certificate does, where the crew was asked for just that.

    A number that was said with it is none of this: it stands for more than the word.
    """
    other = max(
        (each.probability for each in call.alternatives if each.text not in ("", call.text)),
        default=0.0,
    )
    is_word = call.kind is Kind.COMMAND and says_style(call) and not contradicts(state, call)
    is_asked = call.is_live and state.take is not None and matters(state)
    return is_word and is_asked and other < OTHER_CALL


def asked_of(state: State, call: Call) -> Message:
    """Say what is asked of a call that was not heard surely."""
    return message(
        "not-sure-of-style" if settles_style(state, call) else "not-sure-of", said=call.text
    )


def ends_doubt(call: Call) -> bool:
    """Tell whether a call says something else than what was asked, talk and notes apart."""
    return call.outcome is Outcome.CALL and call.kind in NUMBERS | {Kind.COMMAND, Kind.CONDITION}


def _states(call: Call) -> bool:
    return call.kind is Kind.CONDITION and call.outcome is Outcome.CALL


def _is_fixed(call: Call) -> bool:
    """Tell whether a condition is stated by a phrase without a number; level is a rise of none."""
    return call.name in FIXED or (call.name == "rise" and not call.amount)
