"""The command `report`: the clean log of one job, or of every job in a folder."""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from calllog.commands.about import about_words
from calllog.commands.rescue import rescue_words
from calllog.commands.sign import sign_off_words
from calllog.commands.terminal import Terminal, print_json
from calllog.journal import OUT, is_job, own_folder
from calllog.pairing import status
from calllog.report import field_table, kind_words, notes_table
from calllog.session import (
    Copies,
    Reported,
    Summary,
    find_copies,
    find_jobs,
    line_results,
    report_jobs,
    reported,
    sign_offs,
    summarise,
    write_report,
)
from calllog.wording import ENGLISH

EXPECTED_EXIT = 1
XlsxOption = Annotated[
    bool, typer.Option("--xlsx", help="A workbook as well; needs calllog\\[xlsx].")
]
out = Terminal(soft_wrap=True, highlight=False, emoji=False)
err = Terminal(stderr=True, soft_wrap=True, highlight=False, emoji=False)


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(report)


def report(
    job_folder: Annotated[
        Path, typer.Argument(metavar="JOB", help="The job's folder, or one in which jobs lie.")
    ],
    folder: Annotated[
        Path | None,
        typer.Option(
            "--out", help="Where to write; JOB/out if left out. Each of several gets its own."
        ),
    ] = None,
    as_xlsx: XlsxOption = False,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document.")] = False,
) -> None:
    """Write the clean segment log of a job: CSV and JSON, and the field table here.

    For a folder of jobs all are reported, several at once; one that is broken is named and does
    not stop the others, and the exit code is 1 then. Copies of one job are named, and count once.

    Example: calllog report day-1 --out office
    """
    if not job_folder.is_dir() or not any(job_folder.iterdir()) or is_job(job_folder):
        summary, folder = summarise(job_folder), folder or own_folder(job_folder, OUT)
        if as_json:
            files = write_report(summary, folder, as_xlsx=as_xlsx)
            _print_json([reported(job_folder, summary, files)], ())
        else:
            report_one(summary, folder, as_xlsx=as_xlsx)
        return
    jobs, others = find_jobs(job_folder)
    others = tuple(path for path in others if folder is None or path.resolve() != folder.resolve())
    results = _report_all(jobs, folder, as_xlsx=as_xlsx)
    if as_json:
        _print_json(results, others)
    else:
        _print_all(results, others)
    if any(each.reason for each in results):
        raise typer.Exit(EXPECTED_EXIT)


def report_one(summary: Summary, folder: Path, *, as_xlsx: bool = False) -> None:
    """Write the report of one job and print its table."""
    files = write_report(summary, folder, as_xlsx=as_xlsx)
    width = max(100, shutil.get_terminal_size().columns)
    for words in about_words(summary.header):
        out.print(words, markup=False)
    for words in _told(summary):
        out.print(words, markup=False)
    Terminal(width=width, highlight=False, emoji=False).print(
        field_table(summary.corrected, summary.replay.remarks, summary.header.unit_read)
    )
    if summary.replay.notes:
        Terminal(width=width, highlight=False, emoji=False).print(
            notes_table(summary.replay.notes, summary.replay.remarks, summary.header.unit_read)
        )
    lengths = summary.header.lengths
    stands = ENGLISH.measured_in(summary.header.unit_read).say(status(summary.state))
    out.print(f"All lengths in {lengths}. {stands.capitalize()}.", markup=False)
    if any(len(editions) > 1 for editions in summary.replay.editions.values()):
        out.print(f"Tapes: {summary.header.tape}", markup=False)
    for words in (*rescue_words(summary.replay), *sign_off_words(sign_offs(summary.replay))):
        out.print(words, markup=False)
    for file in files:
        out.print(f"written: {file}", markup=False)


def _told(summary: Summary) -> list[str]:
    """Say the length of each line and what it is good for, where that is known."""
    found = []
    for one in line_results(summary):
        if words := one.told(summary.header.unit_read):
            run = f", run {one.line.run}" if one.line.run > 1 else ""
            name = f"{one.line.line_from} to {one.line.line_to}{run}"
            found.append(f"{name}: {words}, {kind_words(one.line.kind)} (k = 2, 95 %)")
    return found


def _report_all(jobs: Sequence[Path], folder: Path | None, *, as_xlsx: bool) -> list[Reported]:
    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
    )
    results = []
    with Progress(*columns, console=err, disable=not err.is_terminal, transient=True) as progress:
        task = progress.add_task("reports", total=len(jobs))
        for result in report_jobs(jobs, folder, as_xlsx=as_xlsx):
            results.append(result)
            if result.reason:
                progress.console.print(f"no report: {result.reason}", markup=False)
            progress.advance(task)
    return sorted(results, key=lambda each: each.folder)


def _print_all(results: Sequence[Reported], others: Sequence[Path]) -> None:
    good = [each for each in results if not each.reason]
    copies = _copies(results)
    spare = {folder for one in copies for folder in one.folders[1:]}
    pulls = sum(each.pulls for each in good if each.folder not in spare)
    once = ", of copies once" if copies else ""
    out.print(f"{len(good)} of {len(results)} jobs reported, {pulls} pulls{once}.", markup=False)
    for one in copies:
        out.print(f"! {one.words}", markup=False)
    if others:
        names = ", ".join(path.name for path in others)
        out.print(f"No jobs, left alone: {names}", markup=False)
    if len(good) < len(results):
        names = ", ".join(each.folder.name for each in results if each.reason)
        out.print(f"! Not reported: {names}", markup=False)


def _copies(results: Sequence[Reported]) -> tuple[Copies, ...]:
    return find_copies({each.folder: each.identity for each in results if not each.reason})


def _print_json(results: Sequence[Reported], others: Sequence[Path]) -> None:
    document = {
        "format": "calllog-reports",
        "version": 1,
        "jobs": [
            {
                "job": str(each.folder),
                "pulls": each.pulls,
                "state_hash": each.state_hash,
                "identity": each.identity,
                "files": [str(file) for file in each.files],
                "reason": each.reason,
            }
            for each in results
        ],
        "copies": [
            {
                "identity": one.identity,
                "jobs": [str(folder) for folder in one.folders],
                "have_parted": one.have_parted,
                "words": one.words,
            }
            for one in _copies(results)
        ],
        "no_jobs": [str(path) for path in others],
    }
    print_json(document)
