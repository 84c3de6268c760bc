"""Whether the crew has said how this tape is graduated, and what is done until it has; pure.

A tape that adds, logged as one that cuts, is wrong by twice its hundredths,
and take and check agree on it. So the crew says once, of each tape in a job, what only that style
allows: the word "cut" or "add", alone or before a call; or, where one end reads all, a reading in
one call. A word that contradicts the certificate stops the pull, at any time.
"""

from calllog.pairing.changed import replace
from calllog.pairing.state import State, Stop, StyleKnown
from calllog.pairing.table import Phase
from calllog.tape import PARTED
from calllog.values import (
    Call,
    Finding,
    Kind,
    Message,
    Question,
    Role,
    Severity,
    Style,
    message,
)

WORDS = frozenset({Style.CUT.value, Style.ADD.value})
"""Names of calls and commands that say the word."""
CHECK = "check"
"""What waits for the answer where it is no command: the comparison of the check with the take."""
ASKS_SINCE = 1
"""The first edition of the pairing that asks."""


def says_style(call: Call) -> bool:
    """Tell whether a call says whether the tape cuts or adds."""
    return call.name in WORDS


def contradicts(state: State, call: Call) -> bool:
    """Tell whether a call says another style than the certificate does."""
    return says_style(call) and call.name != state.settings.style.value


def hear(state: State, call: Call) -> State:
    """Take what a call says of the style, if only this tape's style allows it."""
    is_one_reading = (
        call.kind is Kind.READING and not call.name and state.settings.style not in PARTED
    )
    if state.style is StyleKnown.CONFIRMED:
        return state
    if not is_one_reading and (not says_style(call) or contradicts(state, call)):
        return state
    return replace(state, style=StyleKnown.CONFIRMED)


def matters(state: State) -> bool:
    """Tell whether the style must be said before the parts that stand are booked.

    Without hundredths every style gives the same length; one end's reading in one call is no mark
    and hundredths of two ends.
    """
    if state.settings.pairing < ASKS_SINCE or state.style is StyleKnown.CONFIRMED:
        return False
    if state.settings.style in PARTED:
        return bool(state.parts.fraction or (state.take and state.take.fraction))
    return bool(state.parts.fraction) and len({each.call for each in state.parts.stated}) > 1


def awaits_style(state: State) -> bool:
    """Tell whether a crew was asked and has not answered yet."""
    is_live = bool(state.history) and state.history[-1].is_live
    is_open = state.phase is Phase.TAKEN or (
        state.phase is Phase.CHECKING and state.parts.is_complete
    )
    return is_live and is_open and matters(state)


def style_question(state: State) -> Message:
    """Say what the crew is asked."""
    if state.settings.style not in PARTED:
        return message("say-one-reading")
    return message("say-style", whole=state.parts.whole or 0, fraction=state.parts.fraction or 0)


def ask_style(state: State, waiting: str = "") -> tuple[State, Question]:
    """Ask the crew; what waits is done when it has answered."""
    question = Question(pull=state.pull, role=Role.UNSAID, asks=style_question(state))
    return replace(state, style_waits=waiting), question


def unconfirmed(state: State) -> Finding | None:
    """Note that a pull is booked on a tape whose style nobody said; once for each tape."""
    if state.style is not StyleKnown.NOT_YET or not matters(state):
        return None
    return Finding(
        code="style-not-confirmed",
        severity=Severity.NOTE,
        pull=state.pull,
        first=None,
        second=None,
        calls=state.parts.calls,
        facts={"tape": state.settings.tape, "style": state.settings.style.value},
    )


def stop_by_word(state: State, call: Call) -> tuple[Stop, Finding]:
    """Make the stop over a word that contradicts the certificate, and its finding."""
    facts = {"said": call.name, "tape": state.settings.tape, "style": state.settings.style.value}
    found = Finding(
        code="style-contradicted",
        severity=Severity.STOP,
        pull=state.pull,
        first=None,
        second=None,
        calls=(call.number,),
        facts=dict(facts),
    )
    return Stop(origin=state.phase, check=None, other=state.parts, word=call), found
