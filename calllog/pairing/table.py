"""All transitions of a pull, as data; the machine looks them up here and nowhere else; pure."""

from enum import StrEnum


class Phase(StrEnum):
    """Where a pull stands."""

    OPEN = "open"
    """Waiting for the take, or for its missing part."""
    TAKEN = "taken"
    """The take is complete; the ends are to be switched."""
    CHECKING = "checking"
    """Ends switched; waiting for the check."""
    STOPPED = "stopped"
    """Two values do not go together; nothing moves ahead until the chief decides."""
    FINISHED = "finished"
    """The line is closed."""


class Signal(StrEnum):
    """What happened to a pull."""

    PART = "a part called"
    REPEAT = "repeated alike"
    KEYED = "keyed over heard"
    COMPLETE = "take complete"
    SWITCH = "switch ends"
    AGREE = "check agrees: booked"
    DIFFER = "check differs"
    CONFLICT = "repetition differs"
    UNSURE = "call asked again"
    ANSWERED = "asked call answered"
    UNSOLVED = "still unsure: chief decides"
    UNCHECKED = "next pull: booked unchecked"
    HOLD = "call held"
    BOOK = "chief keeps first or check: booked"
    RESUME_OPEN = "chief or key settles a part of the take"
    RESUME_TAKEN = "chief or key settles the take"
    RESUME_CHECKING = "chief or key settles a part of the check"
    AGAIN = "measure again"
    FINISH = "line finished"
    UNFINISH = "line finished struck"


TRANSITIONS: dict[tuple[Phase, Signal], Phase] = {
    (Phase.OPEN, Signal.PART): Phase.OPEN,
    (Phase.OPEN, Signal.REPEAT): Phase.OPEN,
    (Phase.OPEN, Signal.KEYED): Phase.OPEN,
    (Phase.OPEN, Signal.COMPLETE): Phase.TAKEN,
    (Phase.OPEN, Signal.CONFLICT): Phase.STOPPED,
    (Phase.OPEN, Signal.AGAIN): Phase.OPEN,
    (Phase.OPEN, Signal.FINISH): Phase.FINISHED,
    (Phase.TAKEN, Signal.REPEAT): Phase.TAKEN,
    (Phase.TAKEN, Signal.KEYED): Phase.TAKEN,
    (Phase.TAKEN, Signal.UNSURE): Phase.TAKEN,
    (Phase.TAKEN, Signal.ANSWERED): Phase.TAKEN,
    (Phase.TAKEN, Signal.SWITCH): Phase.CHECKING,
    (Phase.TAKEN, Signal.CONFLICT): Phase.STOPPED,
    (Phase.TAKEN, Signal.UNCHECKED): Phase.OPEN,
    (Phase.TAKEN, Signal.AGAIN): Phase.OPEN,
    (Phase.CHECKING, Signal.PART): Phase.CHECKING,
    (Phase.CHECKING, Signal.REPEAT): Phase.CHECKING,
    (Phase.CHECKING, Signal.KEYED): Phase.CHECKING,
    (Phase.CHECKING, Signal.CONFLICT): Phase.STOPPED,
    (Phase.CHECKING, Signal.UNSURE): Phase.CHECKING,
    (Phase.CHECKING, Signal.ANSWERED): Phase.CHECKING,
    (Phase.CHECKING, Signal.UNSOLVED): Phase.STOPPED,
    (Phase.CHECKING, Signal.AGREE): Phase.OPEN,
    (Phase.CHECKING, Signal.DIFFER): Phase.STOPPED,
    (Phase.CHECKING, Signal.AGAIN): Phase.OPEN,
    (Phase.STOPPED, Signal.HOLD): Phase.STOPPED,
    (Phase.STOPPED, Signal.BOOK): Phase.OPEN,
    (Phase.STOPPED, Signal.RESUME_OPEN): Phase.OPEN,
    (Phase.STOPPED, Signal.RESUME_TAKEN): Phase.TAKEN,
    (Phase.STOPPED, Signal.RESUME_CHECKING): Phase.CHECKING,
    (Phase.STOPPED, Signal.AGAIN): Phase.OPEN,
    (Phase.FINISHED, Signal.UNFINISH): Phase.OPEN,
}
