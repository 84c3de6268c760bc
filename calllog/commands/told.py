"""Calls and what follows from them, printed line by line as they come; shell."""

from __future__ import annotations

from rich.console import Console
from rich.markup import escape

from calllog.pairing import Phase, status
from calllog.session import Job, Told
from calllog.values import (
    Consequence,
    Finding,
    Held,
    Outcome,
    Question,
    Reopened,
    Role,
    Segment,
    Severity,
    Void,
)

CAUTION = (
    "Caution: keep steel tapes clear of overhead lines, mind the traffic, keep your ears open, "
    "and record nobody without consent."
)

out = Console(soft_wrap=True, highlight=False)


def print_told(told: Told) -> None:
    """Print a call and what followed."""
    call = told.call
    who = call.role.value if call.role is not Role.UNSAID else ""
    what = call.text or "…"
    mark = {Outcome.CALL: " ", Outcome.ASK: "?", Outcome.IGNORED: "·"}[call.outcome]
    remark = f"  ({call.reason})" if call.reason and call.outcome is not Outcome.CALL else ""
    out.print(
        f"{call.start_s:8.1f} s  {who:4}  {mark} {what:<28}{call.probability:5.0%}{remark}",
        markup=False,
        style="dim" if call.outcome is Outcome.IGNORED else None,
    )
    for consequence in told.consequences:
        print_consequence(consequence)
    if told.changed is not None:
        out.print(
            f"            {'=' if told.changed.is_done else '?'} {told.changed.words}", markup=False
        )


def print_consequence(consequence: Consequence) -> None:
    """Print what followed from a call or a decision."""
    match consequence:
        case Segment():
            words = f"pull {consequence.pull} booked: {consequence.length_read_ft:.2f} ft"
            out.print(f"            [bold]= {escape(words)}[/bold] ({consequence.booking.value})")
        case Finding():
            is_stop = consequence.severity is Severity.STOP
            label = "STOP" if is_stop else "note"
            remedy = f"; {consequence.remedy}" if consequence.remedy else ""
            words = f"pull {consequence.pull}: {consequence.words}{remedy}"
            out.print(
                f"            ! {label} {words}", markup=False, style="bold" if is_stop else None
            )
        case Question():
            who = f"{consequence.role.value}: " if consequence.role is not Role.UNSAID else ""
            out.print(f"            ? {who}{consequence.words}", markup=False)
        case Void():
            out.print(f"            - call {consequence.call} struck", markup=False)
        case Held():
            out.print(
                f"            | call {consequence.call} held: pull {consequence.pull} waits",
                markup=False,
            )
        case Reopened():
            out.print(f"            - pull {consequence.pull} opened again", markup=False)


def print_end(job: Job) -> None:
    """Print where the line stands."""
    state = job.state
    out.print(f"{len(job.replay.segments)} pulls booked; {status(state)}.", markup=False)
    if state.phase is Phase.STOPPED:
        command = f"calllog decide {job.folder} {state.pull} first|check|again"
        out.print(f"Decide it: {command}", markup=False)
