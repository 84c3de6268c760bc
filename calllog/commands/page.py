"""The command `page`: the field page of a job, to look at, to print and to keep."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from calllog.commands.agreeing import tell_due
from calllog.commands.counting import counted
from calllog.commands.grouped import grouped
from calllog.commands.many import SchedulerOption, is_many, run_many, shown_place
from calllog.commands.records import read_records
from calllog.commands.tape_file import today
from calllog.commands.terminal import out
from calllog.errors import ConfigError
from calllog.journal import OUT, own_folder
from calllog.lines import parse_class
from calllog.office import summarise
from calllog.resources import job_words
from calllog.session import parse_zone
from calllog.wording import language_words

if TYPE_CHECKING:
    from calllog.page import SetAgainst


class Paper(StrEnum):
    """What a PDF is printed on."""

    LETTER = "letter"
    A4 = "a4"


@dataclass(frozen=True, slots=True)
class PagesWanted:
    """Which pages of a job are written, and how."""

    folder: Annotated[
        Path | None,
        typer.Option("--out", help="Where the pages go; JOB/out/page if left out."),
    ] = None
    pdf: Annotated[bool, typer.Option("--pdf", help="Also write each page as a PDF.")] = False
    paper: Annotated[Paper, typer.Option("--paper", help="Paper of the PDF.")] = Paper.LETTER
    clips: Annotated[
        bool,
        typer.Option(
            "--clips/--no-clips", help="Whether the sound of the calls comes with the pages."
        ),
    ] = True
    line_class: Annotated[
        str | None,
        typer.Option("--class", help="The relative precision that the lines are to meet: 1:5000."),
    ] = None
    records: Annotated[
        tuple[str, ...],
        typer.Option(
            "--record",
            help='What a record says of a line: "Spring:Oak=12 ch 45 lk"; again for each.',
        ),
    ] = ()
    language: Annotated[
        str | None,
        typer.Option(
            "--language", help="Language of the pages: en, es; left out, that of the job's grammar."
        ),
    ] = None
    zone: Annotated[
        str | None,
        typer.Option(
            "--zone",
            help="Time zone: America/Denver or -06:00; left out, the crew's computer's, if it was"
            " noted.",
        ),
    ] = None


@grouped
def page(
    job_folder: Annotated[
        Path, typer.Argument(metavar="JOB", help="The job's folder, or a folder with jobs in it.")
    ],
    *,
    wanted: PagesWanted,
    scheduler: SchedulerOption = None,
) -> None:
    """Write the pages of a job: a summary to sign, the day, each line; and a list of distances.

    They are HTML, with --pdf also PDF. A record is set beside what was measured, for information:
    this decides no boundary. Given a folder, it writes the pages of all jobs in it, several at
    once, each in its own place.

    Example: calllog page demo-job --class 1:5000 --record "Spring:Oak=19 rod"
    """
    if not is_many(job_folder):
        write_page(job_folder, wanted)
        return
    if wanted.records:
        raise ConfigError(
            "a record is of a line of one job, and these are several",
            where=str(job_folder),
            next_step="name the job that it is of",
        )

    def wanted_of(job: Path) -> dict[str, object]:
        place = wanted.folder and (wanted.folder / job.relative_to(job_folder)).absolute()
        return {"wanted": replace(wanted, folder=place), "is_brief": True}

    run_many(job_folder, write_page, wanted_of, what="pages", scheduler=scheduler)


def write_page(job_folder: Path, wanted: PagesWanted, *, is_brief: bool = False) -> None:
    """Write the pages of one job and tell of them: of each file, or in brief of the place alone."""
    from calllog.page import write_pages  # noqa: PLC0415 - templates, which listening does not need

    summary = summarise(job_folder)
    written = write_pages(
        job_folder,
        summary,
        wanted.folder or own_folder(job_folder, OUT, "page"),
        has_clips=wanted.clips,
        paper=wanted.paper.value if wanted.pdf else None,
        wanted=_set_against(wanted),
        zone=parse_zone(wanted.zone) if wanted.zone else None,
        words=language_words(wanted.language)
        if wanted.language
        else job_words(summary.replay.grammar),
    )
    if written.clips_missing:
        sounds = counted(written.clips_missing, "sound is", "sounds are")
        out.print(f"! {sounds} not in the job any more")
    if written.clips_changed:
        out.print(
            f"! {counted(written.clips_changed, 'sound')} changed since recording and left out;"
            " see `calllog verify`"
        )
    if written.clips:
        out.print(
            f"{counted(written.clips, 'sound lies', 'sounds lie')} beside the pages: voices of"
            " people; --no-clips leaves them out"
        )
    if summary.withheld:
        out.print(
            f"{counted(len(summary.withheld), 'sound or remark is', 'sounds or remarks are')} left"
            " out: removed, kept beyond their day, or not for the office to hear"
        )
    tell_due(job_folder, summary.replay, today())
    for file in written.removed:
        out.print(f"removed: {file}, of an earlier run")
    for file in written.left:
        out.print(f"! left: {file}, of an earlier run and changed since")
    for words in written.words:
        out.print(words)
    if is_brief:
        place = shown_place(written.files[0].parent)
        out.print(f"written: {counted(len(written.files), 'file')} in {place}")
        return
    for file in written.files:
        out.print(f"written: {file}")


def _set_against(wanted: PagesWanted) -> SetAgainst:
    """Read what the office sets the lines against."""
    from calllog.page import SetAgainst  # noqa: PLC0415 - templates, which listening does not need

    line_class = parse_class(wanted.line_class) if wanted.line_class else None
    return SetAgainst(line_class, read_records(wanted.records))
