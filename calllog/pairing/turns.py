"""The state of a pull in, what it waits for and who is expected to call out; pure."""

from calllog.pairing.asking import TAKE_OR_CHECK, awaited
from calllog.pairing.roles import question
from calllog.pairing.state import State
from calllog.pairing.table import Phase
from calllog.pairing.tape_style import style_question
from calllog.tape import PARTED
from calllog.values import Message, Role, message


def status(  # noqa: PLR0911 - one way out for each phase
    state: State,
) -> Message:
    """Tell what the pull waits for."""
    pull = state.pull
    if state.blocking is not None:
        return message("pull-waits-for-answer", pull=pull, question=question(state.blocking))
    if state.awaiting is not None and state.phase is not Phase.STOPPED:
        return message("pull-waits-for-answer", pull=pull, question=awaited(state.awaiting))
    if state.style_waits and state.phase is not Phase.STOPPED:
        return message("pull-waits-for-answer", pull=state.pull, question=style_question(state))
    if state.waiting is not None:
        return message("pull-waits-for-answer", pull=pull, question=question(state.waiting))
    match state.phase:
        case Phase.STOPPED if state.stop is not None and state.stop.word is not None:
            return message("pull-waits-for-right-tape", pull=state.pull)
        case Phase.STOPPED:
            return message("pull-waits-for-decision", pull=pull, held=len(state.held))
        case Phase.TAKEN:
            return message("pull-waits-for-switch", pull=pull)
        case Phase.FINISHED:
            return message("line-finished")
        case _:
            part = "whole" if state.parts.whole is None else "fraction"
            return message(
                "pull-waits",
                pull=pull,
                measurement=TAKE_OR_CHECK[state.phase is not Phase.CHECKING],
                part="all" if state.parts.is_empty else part,
            )


def whose_turn(state: State) -> Message:
    """Tell what the pull waits for, and which end calls the whole mark and which the hundredths.

    Ends are named as microphones are worn, as in every question.
    """
    is_parted = state.settings.style in PARTED and state.awaiting is None
    is_called = is_parted and state.phase in (Phase.OPEN, Phase.CHECKING)
    whole_by = state.whole_by if is_called else Role.UNSAID
    return message("whose-turn", status=status(state), whole_by=whole_by.value)
