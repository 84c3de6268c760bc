"""The command `report`: the clean log of one job, or of every job in a folder."""

import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Any

import typer

from calllog.commands.about import about_words
from calllog.commands.counting import counted
from calllog.commands.many import SchedulerOption, is_many, progress_of, shown_place
from calllog.commands.rescue import rescue_words
from calllog.commands.sign import sign_off_words
from calllog.commands.terminal import Terminal, asked_messages, out, print_json
from calllog.errors import ConfigError
from calllog.journal import OUT, own_folder
from calllog.office import (
    Copies,
    Done,
    Office,
    Reported,
    ReportWanted,
    Summary,
    find_copies,
    find_jobs,
    line_results,
    report_job,
    report_jobs,
    sign_offs,
    state_words,
    summarise,
    unfinished_runs,
    write_combined,
    write_office,
)
from calllog.pairing import status
from calllog.report import DATASET, Written, field_table, kind_words, notes_table

EXPECTED_EXIT = 1
MOST_TOLD = 40
"""What is printed of the states of several jobs; all of it stands in their tables."""
XlsxOption = Annotated[
    bool, typer.Option("--xlsx", help="A workbook as well; needs calllog\\[xlsx].")
]
FullOption = Annotated[
    bool, typer.Option("--full", help="All columns of the segments, not the short form.")
]


def report(
    job_folder: Annotated[
        Path,
        typer.Argument(
            metavar="JOB", help="The job's folder, or a folder with jobs in it, at any depth."
        ),
    ],
    folder: Annotated[
        Path | None,
        typer.Option(
            "--out", help="Where to write; JOB/out if left out. Each of several gets its own."
        ),
    ] = None,
    as_xlsx: XlsxOption = False,
    is_full: FullOption = False,
    as_parquet: Annotated[
        bool,
        typer.Option(
            "--parquet", help="The tables as a dataset by job as well; needs calllog\\[parquet]."
        ),
    ] = False,
    scheduler: SchedulerOption = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON document.")] = False,
) -> None:
    """Write the tables of a job: segments, lines, calls, tapes, notes; and print the field table.

    Given a folder, it reports all jobs in it, several at once; a broken one is named and does not
    stop the others, and the exit code is then 1. Copies of one job are named, and count once. With
    --out there is one table of all jobs as well, and one workbook or dataset of them.

    Example: calllog report day-1 --out office
    """
    wanted = ReportWanted(as_xlsx=as_xlsx, is_full=is_full)
    if is_many(job_folder):
        _report_many(job_folder, folder, wanted, scheduler, as_parquet, as_json)
        return
    place = folder or own_folder(job_folder, OUT)
    dataset = place / DATASET if as_parquet else None
    wanted = ReportWanted(as_xlsx=as_xlsx, is_full=is_full, dataset=dataset)
    if as_json:
        _print_json([Done(job_folder, report_job(job_folder, place, wanted))], (), Written(()))
    else:
        report_one(summarise(job_folder), place, wanted)


def report_one(summary: Summary, folder: Path, wanted: ReportWanted | None = None) -> None:
    """Write the report of one job and print its table."""
    office = Office(summary)
    written = write_office(office, folder, wanted or ReportWanted())
    width = max(100, shutil.get_terminal_size().columns)
    for words in about_words(summary.header):
        out.print(words)
    unit = summary.header.unit_read
    for words in state_words(office.facts, asked_messages().measured_in(unit)):
        out.print(f"! {words[:1].upper()}{words[1:]}.")
    for words in _told(summary):
        out.print(words)
    Terminal(width=width).print(
        field_table(summary.corrected, summary.replay.remarks, unit, asked_messages())
    )
    if summary.replay.notes:
        Terminal(width=width).print(notes_table(summary.replay.notes, summary.replay.remarks, unit))
    out.print(f"All lengths in {summary.header.lengths}. {_stands(summary)}.")
    if any(len(editions) > 1 for editions in summary.replay.editions.values()):
        out.print(f"Tapes: {summary.header.tape}")
    for words in (*rescue_words(summary.replay), *sign_off_words(sign_offs(summary.replay))):
        out.print(words)
    _print_written(written)


def _print_written(written: Written) -> None:
    """Name what was written, of a dataset its folder alone, and what became of earlier files."""
    datasets: dict[Path, int] = {}
    for file in written:
        folder = next((each for each in file.parents if each.name == DATASET), None)
        if folder is None:
            out.print(f"written: {file}")
        else:
            datasets[folder] = datasets.get(folder, 0) + 1
    for folder, parts in datasets.items():
        out.print(f"written: {shown_place(folder)}, a dataset of {counted(parts, 'part')}")
    for words in written.words:
        out.print(words)


def _told(summary: Summary) -> list[str]:
    """Say the length of each line and what it is good for, where that is known."""
    found = []
    for one in line_results(summary):
        if words := one.told(summary.header.unit_read):
            run = f", run {one.line.run}" if one.line.run > 1 else ""
            name = f"{one.line.line_from} to {one.line.line_to}{run}"
            found.append(f"{name}: {words}, {kind_words(one.line.kind)} (k = 2, 95 %)")
    return found


def _stands(summary: Summary) -> str:
    """Say where a job stands: of one line what it waits for, of several how many are finished."""
    begun, unfinished = summary.replay.begun, unfinished_runs(summary.replay)
    if len(begun) == 1:
        words = asked_messages().measured_in(summary.header.unit_read).say(status(summary.state))
        return words[:1].upper() + words[1:]
    if not unfinished:
        return f"All {len(begun)} lines are finished"
    return f"{len(unfinished)} of {len(begun)} lines are not finished"


def _report_many(
    root: Path,
    folder: Path | None,
    wanted: ReportWanted,
    scheduler: str | None,
    as_parquet: bool,  # noqa: FBT001 - an option
    as_json: bool,  # noqa: FBT001 - an option
) -> None:
    """Report all jobs of a folder, and what they come to together."""
    dataset = None
    if as_parquet:
        if folder is None:
            raise ConfigError(
                "a dataset of several jobs needs a place",
                where="--parquet",
                next_step="name it with --out",
            )
        dataset = (folder / DATASET).absolute()
    wanted = ReportWanted(as_xlsx=wanted.as_xlsx, is_full=wanted.is_full, dataset=dataset)
    jobs, others = find_jobs(root)
    if folder is not None:
        place = folder.resolve()
        others = tuple(path for path in others if path.resolve() != place)
    done = report_jobs(jobs, folder, root, wanted, scheduler=scheduler)
    results = progress_of(done, len(jobs), "reports", "no report")
    spare = {path for one in _copies(results) for path in one.folders[1:]}
    written = Written(())
    if folder is not None:
        written = write_combined(folder, root, results, spare, wanted)
    if as_json:
        _print_json(results, others, written)
    else:
        _print_all(root, results, others, written)
    if any(each.reason for each in results):
        raise typer.Exit(EXPECTED_EXIT)


def _print_all(
    root: Path, results: Sequence[Done[Reported]], others: Sequence[Path], written: Written
) -> None:
    good = [(each.folder, each.value) for each in results if each.value is not None]
    copies = _copies(results)
    spare = {folder for one in copies for folder in one.folders[1:]}
    pulls = sum(value.row.pulls for folder, value in good if folder not in spare)
    once = ", of copies once" if copies else ""
    out.print(
        f"{len(good)} of {counted(len(results), 'job')} reported, {counted(pulls, 'pull')}{once}."
    )
    told = [
        f"! {value.row.folder}: {words}"
        for folder, value in good
        for words in ("" if folder in spare else value.row.state.words)
    ]
    for words in told[:MOST_TOLD]:
        out.print(words)
    if len(told) > MOST_TOLD:
        more = len(told) - MOST_TOLD
        out.print(f"! and {more} more, in the column `state` of each table")
    for one in copies:
        out.print(f"! {one.words}")
    if others:
        names = ", ".join(path.name for path in others)
        out.print(f"No jobs, left alone: {names}")
    if len(good) < len(results):
        names = ", ".join(str(each.folder.relative_to(root)) for each in results if each.reason)
        out.print(f"! Not reported: {names}")
    for _, value in good:
        for words in value.written.words:
            out.print(words)
    if good and not written.files:
        out.print("written: the tables of each job, in its folder out")
    _print_written(written)


def _copies(results: Sequence[Done[Reported]]) -> tuple[Copies, ...]:
    return find_copies(
        {each.folder: each.value.header.identity for each in results if each.value is not None}
    )


def _print_json(
    results: Sequence[Done[Reported]], others: Sequence[Path], written: Written
) -> None:
    document = {
        "format": "calllog-reports",
        "version": 1,
        "jobs": [_job_json(each) for each in results],
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
        "files": [str(file) for file in written],
        "removed": [str(file) for file in written.removed],
        "left": [str(file) for file in written.left],
        "kept": [str(file) for file in written.kept],
    }
    print_json(document)


def _job_json(each: Done[Reported]) -> dict[str, Any]:
    row = None if each.value is None else each.value.row
    files = Written(()) if each.value is None else each.value.written
    return {
        "job": str(each.folder),
        "pulls": 0 if row is None else row.pulls,
        "state": [] if row is None else list(row.state.words),
        "state_codes": [] if row is None else list(row.state.codes),
        "state_hash": "" if row is None else row.state_hash,
        "identity": "" if row is None else row.job_id,
        "files": [str(file) for file in files],
        "removed": [str(file) for file in files.removed],
        "left": [str(file) for file in files.left],
        "kept": [str(file) for file in files.kept],
        "reason": each.reason,
    }
