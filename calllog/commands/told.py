"""Calls and what follows from them, printed line by line as they come; shell."""

from __future__ import annotations

from rich.console import Console

from calllog.pairing import Phase, status
from calllog.panel.words import consequence_line, event_line
from calllog.session import Job, Told
from calllog.values import Consequence, Finding, Outcome, Segment, Severity

CAUTION = (
    "Caution: keep steel tapes clear of overhead lines, mind the traffic, keep your ears open, "
    "and record nobody without consent."
)

out = Console(soft_wrap=True, highlight=False, emoji=False)


def print_told(told: Told) -> None:
    """Print a call and what followed."""
    call = told.call
    style = "dim" if call.outcome is Outcome.IGNORED else None
    out.print(event_line(call), markup=False, style=style)
    for consequence in told.consequences:
        print_consequence(consequence)
    if told.changed is not None:
        out.print(
            f"            {'=' if told.changed.is_done else '?'} {told.changed.words}", markup=False
        )


def print_consequence(consequence: Consequence) -> None:
    """Print what followed from a call or a decision."""
    is_stop = isinstance(consequence, Finding) and consequence.severity is Severity.STOP
    is_loud = is_stop or isinstance(consequence, Segment)
    out.print(consequence_line(consequence), markup=False, style="bold" if is_loud else None)


def print_end(job: Job) -> None:
    """Print where the line stands."""
    state = job.state
    out.print(f"{len(job.replay.segments)} pulls booked; {status(state)}.", markup=False)
    if state.phase is Phase.STOPPED:
        command = f"calllog decide {job.folder} {state.pull} first|check|again"
        out.print(f"Decide it: {command}", markup=False)
