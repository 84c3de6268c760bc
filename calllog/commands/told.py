"""Calls and what follows from them, printed line by line as they come; shell."""

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import typer

from calllog import system
from calllog.commands.terminal import out
from calllog.journal import is_job
from calllog.pairing import Phase, status
from calllog.panel.words import consequence_line, event_line
from calllog.session import Course, Job, Replay, Told
from calllog.session.reread import replay_job
from calllog.tape import how_it_reads
from calllog.values import Consequence, Finding, Message, Outcome, Segment, Severity, message
from calllog.wording import ENGLISH, Words

INTERRUPTED_EXIT = 130
CAUTION = "log-caution"
"""Code of what is told before any work."""
CAUTION_AGAIN = "log-caution-again"
"""Code of what is told in its place where it was told in the same job before."""


def caution(job: Job) -> Message:
    """Give the caution: in full until a sitting or a recording of this job was begun with it.

    Whoever comes to a job for the first time on a later day is sent to the card, which has all.
    """
    was_told = bool(job.replay.kit or job.replay.recordings)
    return message(CAUTION_AGAIN if was_told else CAUTION)


def print_told(told: Told, words: Words = ENGLISH) -> None:
    """Print a call and what followed."""
    call = told.call
    style = "dim" if call.outcome is Outcome.IGNORED else None
    out.print(event_line(call, words), style=style)
    for consequence in told.consequences:
        print_consequence(consequence, words)
    if told.changed is not None:
        out.print(
            f"            {'=' if told.changed.is_done else '?'} {words.say(told.changed.told)}"
        )


def print_consequence(consequence: Consequence, words: Words = ENGLISH) -> None:
    """Print what followed from a call or a decision."""
    is_stop = isinstance(consequence, Finding) and consequence.severity is Severity.STOP
    is_loud = is_stop or isinstance(consequence, Segment)
    line = consequence_line(consequence, words)
    out.print(line, style="bold" if is_loud else None)


def print_how_tapes_read(course: Course, words: Words = ENGLISH) -> None:
    """Print how each tape is read, with an example, and within what its pulls agree if stated."""
    for tape in course.tapes:
        read = words.measured_in(tape.unit)
        out.print(read.say(how_it_reads(tape)))
        if tape.tolerance is not None or course.is_tolerance_said:
            agree = message("log-tape-agrees", tape=tape.identity, apart=course.tolerance(tape))
            out.print(read.say(agree))


def print_end(job: Job, words: Words = ENGLISH) -> None:
    """Print where the line stands."""
    print_standing(job.folder, job.replay, words)


def print_standing(folder: Path, replay: Replay, words: Words = ENGLISH) -> None:
    """Print what is booked and what the line waits for; nothing where no line was begun."""
    state = replay.state
    if state is None:
        return
    words = words.measured_in(state.settings.unit)
    pulls = len(replay.segments)
    out.print(words("log-end", pulls=pulls, status=status(state)))
    if state.phase is Phase.STOPPED:
        named = system.quoted(folder)
        command = f"calllog decide {named} {state.pull}"
        out.print(words("log-decide-it", command=command))


@contextmanager
def told_when_interrupted(folder: Path, words: Words = ENGLISH) -> Iterator[None]:
    """Let Ctrl-C end with what was recorded and how to go on, wherever it comes.

    Raises:
        typer.Exit: it came.
    """
    try:
        yield
    except KeyboardInterrupt:
        before = signal.signal(signal.SIGINT, signal.SIG_IGN)
        try:
            if is_job(folder):
                print_standing(folder, replay_job(folder), words)
                out.print(words("log-goes-on"))
            else:
                out.print(words("log-not-begun"))
        finally:
            signal.signal(signal.SIGINT, before)
        raise typer.Exit(INTERRUPTED_EXIT) from None
