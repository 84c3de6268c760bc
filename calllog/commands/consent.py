"""The command `consent`: who agrees to sound being kept, given later, taken back, or listed."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from calllog.commands.agreeing import (
    CREW,
    ConsentUntilOption,
    ListenersOption,
    agreement,
    tell_due,
)
from calllog.commands.counting import counted
from calllog.commands.tape_file import today
from calllog.commands.terminal import out
from calllog.errors import ConfigError, JournalError
from calllog.session import Consent, Job, Person, Voices
from calllog.session.kinds import content_of
from calllog.session.reread import replay_job
from calllog.values import Role


def consent(
    job_folder: Annotated[Path, typer.Argument(metavar="JOB", help="The job's folder.")],
    people: Annotated[
        list[str] | None,
        typer.Option("--person", help="Who agrees: NAME, or head=NAME, rear=NAME; again for each."),
    ] = None,
    withdraw: Annotated[
        list[str] | None,
        typer.Option("--withdraw", help="Who takes consent back: no sound of theirs from now on."),
    ] = None,
    until: ConsentUntilOption = None,
    listeners: ListenersOption = None,
    by: Annotated[str, typer.Option("--by", help="Who records it.")] = CREW,
) -> None:
    """Record who agrees to sound being kept, or takes that back; without names, list it.

    What was kept before a withdrawal stays until it is removed: calllog expunge.

    Example: calllog consent day-1 --withdraw "Ash Birch" --by "the office"
    """
    given = agreement(people or (), until, listeners)
    if not given.people and (until is not None or listeners is not None):
        raise ConfigError(
            "it is not said whose sound it is",
            where="--consent-until, --listeners",
            next_step="name each with --person NAME",
        )
    if not given.people and not withdraw:
        _list(job_folder)
        return
    with Job.open_existing(job_folder) as job:
        _require_known(job.replay.voices, withdraw or ())
        given.record(job, by=by)
        if withdraw:
            _take_back(job, withdraw, by)
        _print(job.replay.voices, job.today)
        tell_due(job.folder, job.replay, job.today, job.not_removed)


def _list(folder: Path) -> None:
    """Say who stands where, also of a job that cannot be written or is being written."""
    try:
        with Job.open_existing(folder) as job:  # finishes removals that were broken off
            replay, day, not_removed = job.replay, job.today, job.not_removed
    except JournalError:
        replay, day, not_removed = replay_job(folder), today(), ()
        if replay.wrong:
            raise
    _print(replay.voices, day)
    tell_due(folder, replay, day, not_removed)


def _require_known(voices: Voices, names: Sequence[str]) -> None:
    known = voices.people
    for name in names:
        if name not in known:
            raise ConfigError(
                f"{name!r} has not agreed to anything in this job",
                where="--withdraw",
                next_step=f"name one of these: {', '.join(known) or 'nobody has'}",
            )


def _take_back(job: Job, names: list[str], by: str) -> None:
    known = job.replay.voices.people
    withdrawn = Consent(people=tuple(Person(name=name) for name in names), by=by, is_withdrawn=True)
    if any(known[name].is_given for name in names):
        job.note("consent", content_of(withdrawn))


def _print(voices: Voices, today: date) -> None:
    if not voices.people:
        out.print("Nobody has agreed to sound being kept: none is kept.")
    for name, standing in voices.people.items():
        worn = [role.value for role, names in voices.wearers.items() if name in names]
        what = "agrees" if standing.is_given else "took consent back"
        day = f", kept until {standing.until}" if standing.until else ""
        out.print(
            f"{name} ({' and '.join(worn) or Role.UNSAID.value}) {what}{day}; heard by"
            f" {', '.join(standing.listeners)};"
            f" {counted(len(voices.of(name)), 'sound is', 'sounds are')} kept"
        )
    for role in (Role.HEAD, Role.REAR):
        is_kept = voices.covers(role, today)
        out.print(f"sound of the {role.value}: {'kept' if is_kept else 'not kept'}")
