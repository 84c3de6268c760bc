"""The command `expunge`: sounds and typed words removed from a job for good."""

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated

import typer

from calllog.commands.counting import counted
from calllog.commands.terminal import out
from calllog.errors import ConfigError
from calllog.office import Wanted, wanted
from calllog.office import expunge as remove
from calllog.session import Job, Removed, Replay, left_over

LISTED = 8
"""So many files are named; of more the rest is counted."""
REACH = (
    "Out of reach are copies of the job, pages and reports that were given away, backups, and what"
    " a memory card keeps of removed files; have them removed where they are."
)


def expunge(
    job_folder: Annotated[Path, typer.Argument(metavar="JOB", help="The job's folder.")],
    why: Annotated[
        str, typer.Option("--why", help="The reason; it stays in the journal, so name no secret.")
    ],
    by: Annotated[str, typer.Option("--by", help="Who removes it.")],
    person: Annotated[
        str | None,
        typer.Option(
            "--person",
            help="Whose sound: a name given with consent; head or rear for that microphone.",
        ),
    ] = None,
    calls: Annotated[
        list[int] | None,
        typer.Option("--call", min=1, help="Number of a call or typed remark; again for each."),
    ] = None,
    is_due: Annotated[
        bool, typer.Option("--due", help="All sound that is kept beyond its day.")
    ] = False,
    is_sure: Annotated[
        bool, typer.Option("--yes", help="Ask nothing; copies in the job's folder go as well.")
    ] = False,
) -> None:
    """Remove sounds, and the words of typed remarks, for good; what was measured stays.

    An entry in the journal says which, by whom and why, and `verify` counts it as no fault. Files
    are removed, not overwritten: on a memory card, overwriting would not reach them. Copies of the
    job elsewhere, pages and reports that were given away, and backups keep them.

    Example: calllog expunge day-1 --person "Ash Birch" --by "the office" --why "asked by letter"
    """
    if sum((person is not None, bool(calls), is_due)) != 1:
        raise ConfigError(
            "it is not said what to remove",
            where=str(job_folder),
            next_step="give one of --person NAME, --call NUMBER, --due",
        )
    with Job.open_existing(job_folder) as job:
        found = wanted(job, calls or _sounds(job, person))
        for words in _told(found):
            out.print(words)
        if not is_sure and not _is_agreed("Remove it for good?"):
            out.print("Nothing was removed.")
            return
        with_copies = bool(found.copies) and (is_sure or _is_agreed("Remove the copies as well?"))
        failed = remove(job, found, by=by, why=why, person=person or "", with_copies=with_copies)
        for words in removed_words(job.replay, job.folder)[-1:]:
            out.print(words)
        for name in failed:
            out.print(f"! {name} cannot be removed; remove it by hand")
    out.print(REACH)


def removed_words(replay: Replay, folder: Path) -> list[str]:
    """Say what was removed from a job at a person's request, one line for each time."""
    left = set(left_over(folder, replay))
    return [_removed(each, left) for each in replay.voices.removed]


def _removed(one: Removed, left: set[str]) -> str:
    body = one.body
    numbers = ", ".join(map(str, body.calls))
    whose = f" of {body.person}" if body.person else ""
    still = sorted(left & {*body.files, *body.copies})
    rest = (
        f"; ! STILL THERE: {_listed(still)}; the next command that opens the job for work removes"
        " them"
        if still
        else ""
    )
    plural = "call" if len(body.calls) == 1 else "calls"
    return (
        f"removed at a person's request, entry {one.entry}: sound or words{whose}, {plural}"
        f" {numbers}, by {body.by} ({body.why}){rest}"
    )


def _sounds(job: Job, person: str | None) -> tuple[int, ...]:
    """Find the calls whose sound is a person's, or is due."""
    voices = job.replay.voices
    found = voices.due(job.today) if person is None else voices.of(person)
    if found:
        return found
    if person is None:
        raise ConfigError(
            "no sound is kept beyond its day",
            where=str(job.folder),
            next_step="name a person or a call to remove sound before it",
        )
    raise ConfigError(
        f"no sound here is known to be of {person!r}",
        where=str(job.folder),
        next_step=f"name one of these: {', '.join((*voices.people, 'head', 'rear'))}; or calls by"
        " number, --call",
    )


def _told(found: Wanted) -> Iterator[str]:
    """Say what will be removed, and what cannot be."""
    if found.sounds:
        yield f"{counted(len(found.sounds), 'sound')}: {_listed(found.sounds)}"
    if found.words:
        yield f"words of {counted(len(found.words), 'typed remark')}: {_listed(found.words)}"
    if found.copies:
        yield f"{len(found.copies)} copies in the job's folder: {_listed(found.copies)}"
    if found.hidden:
        numbers = ", ".join(map(str, found.hidden))
        yield (
            f"! The words of remark {numbers} stand in the journal itself, as an earlier calllog"
            " wrote it; they cannot be taken out of it. Pages, reports and screens will leave them"
            " out, that is all."
        )
    if found.published:
        yield (
            f"! These were written before and may show the words: {_listed(found.published)};"
            " write them anew or remove them"
        )
    if found.loose:
        yield (
            f"! These belong to no call, so nobody knows whose they are: {_listed(found.loose)};"
            " look at them, and remove them by hand"
        )


def _listed(names: tuple[str, ...] | list[str]) -> str:
    more = len(names) - LISTED
    return ", ".join(names[:LISTED]) + (f" and {more} more" if more > 0 else "")


def _is_agreed(question: str) -> bool:
    """Ask in the terminal; ConfigError if there is none to ask in."""
    if not sys.stdin.isatty():
        raise ConfigError(
            "nothing was removed: there is no terminal to ask in",
            next_step="say --yes if it is to be removed for good",
        )
    return typer.confirm(question)
