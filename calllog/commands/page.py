"""The command `page`: the field page of a job, to look at, to print and to keep."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from calllog.commands.agreeing import tell_due
from calllog.commands.tape_file import today
from calllog.commands.terminal import Terminal
from calllog.journal import OUT, own_folder
from calllog.resources import job_words
from calllog.session import summarise
from calllog.wording import language_words

out = Terminal(soft_wrap=True, highlight=False)


class Paper(StrEnum):
    """What a PDF is printed on."""

    LETTER = "letter"
    A4 = "a4"


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(page)


def page(
    job_folder: Annotated[Path, typer.Argument(metavar="JOB", help="The job's folder.")],
    folder: Annotated[
        Path | None,
        typer.Option("--out", help="Where the pages go; JOB/out/page if left out."),
    ] = None,
    pdf: Annotated[bool, typer.Option("--pdf", help="Also write each page as a PDF.")] = False,
    paper: Annotated[Paper, typer.Option("--paper", help="Of the PDF.")] = Paper.LETTER,
    clips: Annotated[
        bool, typer.Option("--clips/--no-clips", help="Whether the sound of the calls goes along.")
    ] = True,
    language: Annotated[
        str | None,
        typer.Option("--language", help="Of the pages: en, es; that of the job's grammar."),
    ] = None,
) -> None:
    """Write the field page of a job: one for the day, one for each line, as HTML and PDF.

    Example: calllog page demo-job --out field-page
    """
    from calllog.page import write_pages  # noqa: PLC0415 - templates, which listening does not need

    summary = summarise(job_folder)
    written = write_pages(
        job_folder,
        summary,
        folder or own_folder(job_folder, OUT, "page"),
        has_clips=clips,
        paper=paper.value if pdf else None,
        words=language_words(language) if language else job_words(summary.replay.grammar),
    )
    if written.clips_missing:
        out.print(f"! {written.clips_missing} sounds are not in the job any more", markup=False)
    if written.clips_changed:
        out.print(
            f"! {written.clips_changed} sounds were changed and are left out: they are not those"
            " that were recorded; see `calllog verify`",
            markup=False,
        )
    if written.clips:
        out.print(
            f"{written.clips} sounds lie beside the pages: voices of people; --no-clips leaves"
            " them out",
            markup=False,
        )
    if summary.withheld:
        out.print(
            f"{len(summary.withheld)} sounds or remarks are left out: removed, kept beyond their"
            " day, or not for the office to hear",
            markup=False,
        )
    tell_due(job_folder, summary.replay, today())
    for file in written.removed:
        out.print(f"removed: {file}, the page of a line that this job does not have", markup=False)
    for file in written.files:
        out.print(f"written: {file}", markup=False)
