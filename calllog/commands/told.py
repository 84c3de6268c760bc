"""Calls and what follows from them, printed line by line as they come; shell."""

from __future__ import annotations

from calllog.commands.terminal import Terminal
from calllog.pairing import Phase, status
from calllog.panel.words import consequence_line, event_line
from calllog.session import Job, Told
from calllog.spoken import ENGLISH, Texts
from calllog.values import Consequence, Finding, Outcome, ReadingUnit, Segment, Severity

CAUTION = (
    "Caution: keep steel tapes clear of overhead lines, mind the traffic, keep your ears open, "
    "and record nobody without consent."
)

out = Terminal(soft_wrap=True, highlight=False, emoji=False)


def print_told(told: Told, texts: Texts = ENGLISH, unit: ReadingUnit = ReadingUnit.FOOT) -> None:
    """Print a call and what followed."""
    call = told.call
    style = "dim" if call.outcome is Outcome.IGNORED else None
    out.print(event_line(call, texts, unit), markup=False, style=style)
    for consequence in told.consequences:
        print_consequence(consequence, texts, unit)
    if told.changed is not None:
        out.print(
            f"            {'=' if told.changed.is_done else '?'} {texts.tell(told.changed.words)}",
            markup=False,
        )


def print_consequence(
    consequence: Consequence, texts: Texts = ENGLISH, unit: ReadingUnit = ReadingUnit.FOOT
) -> None:
    """Print what followed from a call or a decision."""
    is_stop = isinstance(consequence, Finding) and consequence.severity is Severity.STOP
    is_loud = is_stop or isinstance(consequence, Segment)
    out.print(
        consequence_line(consequence, texts, unit), markup=False, style="bold" if is_loud else None
    )


def print_end(job: Job, texts: Texts = ENGLISH) -> None:
    """Print where the line stands."""
    state = job.state
    words = texts.fill(
        "{pulls} pulls booked; {STATUS}.", pulls=len(job.replay.segments), STATUS=status(state)
    )
    out.print(words, markup=False)
    if state.phase is Phase.STOPPED:
        command = f"calllog decide {job.folder} {state.pull} first|check|again"
        out.print(f"{texts.tell('Decide it')}: {command}", markup=False)
