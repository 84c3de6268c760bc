"""A stop and the calls that come after it: which answer it, which crossed it in the air; pure.

Live, the crew hears the stop. A decision answers it and strikes what was held; a number is another
try at the same pull, unless it was begun before anyone can have heard the stop. Recordings were
called by a crew that heard nothing: their calls are held, and go on after the decision.
"""

from calllog.pairing.booking import voids
from calllog.pairing.changed import replace
from calllog.pairing.roles import COMMANDS
from calllog.pairing.state import State
from calllog.pairing.table import Phase
from calllog.pairing.tape_style import WORDS
from calllog.values import NUMBERS, Call, Consequence, Kind

SINCE = 1
"""The edition of the pairing from which live calls answer a stop."""
HEARD_S = 1.5
"""What begins this soon after the end of the call that brought a stop crossed it in the air: the
stop sounds 0.6 to 0.9 s after that end, and takes 0.6 s to be heard and acted on."""
DECISIONS = ("scratch", "first", "check", "again")
"""Names of the commands that answer a stop."""
GO_ON = frozenset({"first", "check", "again"})
"""Those after which the recorded calls go on."""
KEEPS_SINCE = 2
"""The edition from which no live command lets go of recorded calls that are held."""
TRIED_AGAIN = "tried-again"
"""Code of the finding that a pull was measured again without a word, after a stop."""


def is_heard(state: State, call: Call) -> bool:
    """Tell whether a call comes from a crew that hears the stop in which the pull stands."""
    return state.settings.pairing >= SINCE and call.is_live and state.phase is Phase.STOPPED


def is_live_stop(state: State) -> bool:
    """Tell whether the crew that brought the stop heard it: what they call next is another try."""
    cause = _cause(state)
    return cause is not None and is_heard(state, cause)


def answers(state: State, call: Call) -> bool:
    """Tell whether a call is a command about the stop, not about a later pull.

    Recorded, and in lines of edition 0, it is as long as no more than one number was called
    meanwhile (a mishearing, or a slip): that one is struck. After more, the crew has gone on
    without hearing of the stop.
    """
    tells: tuple[str, ...] = ()
    if state.stop is not None and state.stop.waiting is not None:
        tells = tuple(COMMANDS)
    elif state.stop is not None and state.stop.word is not None:
        tells = tuple(WORDS)
    if call.kind is not Kind.COMMAND or call.name not in (*DECISIONS, *tells):
        return False
    return is_heard(state, call) or has_not_gone_on(state)


def has_not_gone_on(state: State) -> bool:
    """Tell whether at most one number was called since the stop."""
    return len(state.held) <= 1 and all(each.kind in NUMBERS for each in state.held)


def crossed(state: State, call: Call) -> bool:
    """Tell whether a call was begun before anyone can have heard the stop."""
    cause = _cause(state)
    if cause is None or cause.source.partition("#")[0] != call.source.partition("#")[0]:
        return False
    return call.start_s < cause.end_s + HEARD_S


def strike_live(state: State) -> tuple[tuple[Consequence, ...], tuple[Call, ...]]:
    """Strike those of the held calls that were called live; the recorded ones go on.

    Returns:
        What strikes the live ones, and the others, in order.
    """
    if state.settings.pairing < SINCE:
        return (), state.held
    struck = voids(state, (each.number for each in state.held if each.is_live))
    return struck, tuple(each for each in state.held if not each.is_live)


def drops_held(state: State, call: Call) -> bool:
    """Tell whether a command would end the stop without what was held over it being taken."""
    return state.settings.pairing >= KEEPS_SINCE and call.name not in GO_ON


def without_live(state: State) -> State:
    """Leave out the held calls that were called live."""
    return replace(state, held=strike_live(state)[1])


def _cause(state: State) -> Call | None:
    """Find the call that brought the stop: the last number that was taken."""
    return next((each for each in reversed(state.history) if each.kind in NUMBERS), None)
