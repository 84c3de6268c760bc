"""One command on every job of a folder: several at once, with progress, broken ones named."""

import contextlib
import io
import json
import threading
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, TypeVar

import typer
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

from calllog.commands.counting import counted
from calllog.commands.terminal import err, out, print_json
from calllog.journal import is_job
from calllog.office import Done, each_job, find_copies, find_jobs, replay_job, summarise

T = TypeVar("T")
EXPECTED_EXIT = 1
SchedulerOption = Annotated[
    str | None,
    typer.Option(
        "--scheduler",
        metavar="ADDRESS",
        help="Address of a Dask cluster that works through a folder of jobs; needs"
        " calllog\\[cluster].",
    ),
]
_ONE_AT_A_TIME = threading.Lock()
"""A machine of a cluster may do several jobs in threads, but there is one standard output."""


@dataclass(frozen=True, slots=True)
class Ran:
    """What a command printed about one job."""

    printed: str
    warned: str
    """What went to standard error."""
    code: int
    identity: str
    """Of the job; empty if it cannot be told."""


def is_many(folder: Path) -> bool:
    """Tell whether a folder is no job itself, but may hold some."""
    return folder.is_dir() and not is_job(folder) and any(folder.iterdir())


def progress_of(done: Iterable[Done[T]], number: int, what: str, failed: str) -> list[Done[T]]:
    """Gather what becomes of jobs while a bar shows how far it is; what fails is told at once.

    Args:
        done: each as it is done.
        number: how many there are.
        what: is being made.
        failed: stands before the reason where nothing came of a job.

    Returns:
        All of them, by their folders.
    """
    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
    )
    results = []
    with Progress(*columns, console=err, disable=not err.is_terminal, transient=True) as progress:
        task = progress.add_task(what, total=number)
        for result in done:
            results.append(result)
            if result.reason:
                progress.console.print(f"{failed}: {result.reason}")
            progress.advance(task)
    return sorted(results, key=lambda each: each.folder)


def run_captured(job: Path, command: Callable[..., None], options: Mapping[str, object]) -> Ran:
    """Run a command on one job and keep what it prints; CalllogError if it fails."""
    printed, warned, code = io.StringIO(), io.StringIO(), 0
    with (
        _ONE_AT_A_TIME,
        contextlib.redirect_stdout(printed),
        contextlib.redirect_stderr(warned),
    ):
        try:
            command(job, **options)
        except typer.Exit as ended:
            code = ended.exit_code
    identity = ""
    with contextlib.suppress(Exception):  # a job that cannot be read is no copy of another
        identity = replay_job(job).identity
    return Ran(printed.getvalue(), warned.getvalue(), code, identity)


def run_many(
    root: Path,
    command: Callable[..., None],
    options: Callable[[Path], Mapping[str, object]],
    *,
    what: str,
    scheduler: str | None,
    as_json: bool = False,
) -> None:
    """Run a command on every job of a folder, and print all of it by job.

    Args:
        root: the folder.
        command: takes a job's folder and options by name; must be importable.
        options: those for a job.
        what: is being made, for the bar and the document.
        scheduler: address of a Dask cluster that does it.
        as_json: the command prints one JSON document each, and so does this.

    Raises:
        typer.Exit: a job is broken, or the command ended so about one.
        ReportError: no job lies in the folder.
    """
    jobs, others = find_jobs(root)
    done = each_job(
        jobs, run_captured, given=lambda job: (command, dict(options(job))), scheduler=scheduler
    )
    results = progress_of(done, len(jobs), what, "broken")
    if as_json:
        _print_json(results, others, what)
    else:
        _print_all(root, results, others)
    if any(each.value is None or each.value.code for each in results):
        raise typer.Exit(EXPECTED_EXIT)


def jobs_by_time(named: Sequence[Path], scheduler: str | None) -> tuple[list[Path], bool]:
    """Put the jobs of folders in the place of those folders, in the order of their work.

    Args:
        named: jobs, and folders in which jobs lie.
        scheduler: address of a Dask cluster that looks at them.

    Returns:
        The jobs, and whether any is broken; those are told and left out.

    Raises:
        ReportError: no job lies in a folder.
    """
    listed: list[Path] = []
    is_broken = False
    for folder in named:
        if not is_many(folder):
            listed.append(folder)
            continue
        jobs, _ = find_jobs(folder)
        done = each_job(jobs, first_time, scheduler=scheduler)
        results = progress_of(done, len(jobs), "jobs", "left out")
        good = {each.folder: each.value for each in results if each.value is not None}
        is_broken |= len(good) < len(results)
        spare = _spare_copies({job: identity for job, (_, _, identity) in good.items()})
        listed += [job for _, job in sorted((when, job) for job, when in good.items())]
        listed = [job for job in listed if job not in spare]
    return listed, is_broken


def _spare_copies(identities: Mapping[Path, str]) -> set[Path]:
    """Find, and tell, the copies of jobs of which another holds all there is."""
    spare = set()
    for one in find_copies(identities):
        if not one.have_parted:
            for folder in one.folders[1:]:
                err.print(
                    f"left out: {folder}: a copy of {one.folders[0]}, which holds all there is"
                )
                spare.add(folder)
    return spare


def first_time(job: Path) -> tuple[str, str, str]:
    """Tell when a job was begun: its first day of field work, when that was, its identity.

    Raises:
        CalllogError: the job cannot be read, or no line was begun in it.
    """
    summary = summarise(job)
    days = summary.replay.days
    times = [each.time_utc for each in summary.replay.placed.values()]
    first = days[0].isoformat() if days else ""
    return first, min(times, default=""), summary.header.identity


def shown_place(path: Path) -> str:
    """Name a place as seen from here, where it lies below."""
    here = Path.cwd()
    return str(path.relative_to(here)) if path.is_relative_to(here) else str(path)


def _print_all(root: Path, results: Sequence[Done[Ran]], others: Sequence[Path]) -> None:
    for each in results:
        if each.value is None:
            continue
        out.print(f"{each.folder.relative_to(root)}:")
        for line in each.value.printed.splitlines():
            out.print(f"  {line}" if line else "")
        for line in each.value.warned.splitlines():
            err.print(f"  {each.folder.name}: {line}")
    broken = [str(each.folder.relative_to(root)) for each in results if each.reason]
    wrong = [
        str(each.folder.relative_to(root)) for each in results if each.value and each.value.code
    ]
    good = len(results) - len(broken) - len(wrong)
    out.print(f"{good} of {counted(len(results), 'job')} without a fault.")
    for words in _copies(results):
        out.print(f"! {words}")
    if others:
        names = ", ".join(path.name for path in others)
        out.print(f"No jobs, left alone: {names}")
    if broken:
        out.print(f"! Broken: {', '.join(broken)}")
    if wrong:
        out.print(f"! With a fault: {', '.join(wrong)}")


def _copies(results: Sequence[Done[Ran]]) -> list[str]:
    identities = {
        each.folder: each.value.identity
        for each in results
        if each.value is not None and each.value.identity
    }
    return [one.words for one in find_copies(identities)]


def _print_json(results: Sequence[Done[Ran]], others: Sequence[Path], what: str) -> None:
    jobs: list[dict[str, Any]] = [
        {
            "job": str(each.folder),
            "exit_code": EXPECTED_EXIT if each.value is None else each.value.code,
            "reason": each.reason,
            what: None if each.value is None else json.loads(each.value.printed),
        }
        for each in results
    ]
    print_json(
        {
            "format": f"calllog-many-{what}",
            "version": 1,
            "jobs": jobs,
            "copies": _copies(results),
            "no_jobs": [str(path) for path in others],
        }
    )
