"""A folder of jobs in, a report of each out, several at once; shell.

One job that cannot be reported does not stop the others: its reason is a value.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from pathlib import Path

from calllog import children
from calllog.errors import CalllogError, ReportError
from calllog.journal import OUT, is_job, own_folder
from calllog.session.summary import Summary, summarise, write_report


@dataclass(frozen=True, slots=True)
class Reported:
    """What became of one job."""

    folder: Path
    pulls: int = 0
    state_hash: str = ""
    identity: str = ""
    """Of the job, the same in all its copies."""
    files: tuple[Path, ...] = ()
    reason: str = ""
    """Why there is no report of it; empty if there is one."""


def find_jobs(folder: Path) -> tuple[tuple[Path, ...], tuple[Path, ...]]:
    """Find the jobs that lie in a folder, and the folders there that are none, by name.

    Raises:
        ReportError: it cannot be read, or no job lies in it.
    """
    try:
        inside = sorted(path for path in folder.iterdir() if path.is_dir())
    except OSError as error:
        raise ReportError(
            f"the folder cannot be read ({error.strerror})",
            where=str(folder),
            next_step="name the folder of a job, or one in which jobs lie",
        ) from error
    jobs = tuple(path for path in inside if is_job(path))
    if not jobs:
        raise ReportError(
            "this is no job, and none lies in it",
            where=str(folder),
            next_step="name the folder of a job, or one in which jobs lie",
        )
    return jobs, tuple(path for path in inside if path not in jobs)


def report_jobs(
    jobs: Sequence[Path],
    out: Path | None,
    *,
    as_xlsx: bool,
    workers: int | None = None,
    report: Callable[[Path, Path, bool], Reported] | None = None,
) -> Iterator[Reported]:
    """Report jobs in processes of their own, giving each as it is done.

    Args:
        jobs: their folders, no two of one name.
        out: where each gets a folder of its name; None means ``out`` in the job.
        as_xlsx: write workbooks as well.
        workers: how many at once; as many as there are processors if left out.
        report: reports one job; must be importable.
    """
    report = report or report_job
    places = {job: out / job.name if out else job / OUT for job in jobs}
    died = []
    with _pool(min(workers or os.cpu_count() or 1, len(jobs))) as pool:
        asked = {pool.submit(report, job, places[job], as_xlsx): job for job in jobs}
        try:
            for done in as_completed(asked):
                if isinstance(done.exception(), BrokenProcessPool):
                    died.append(asked[done])
                else:
                    yield _result(done, asked[done])
        finally:
            pool.shutdown(cancel_futures=True)  # where it is stopped, what waits is not begun
    for job in died:  # one process that dies takes the pool along: find out which
        with _pool(1) as pool:
            yield _result(pool.submit(report, job, places[job], as_xlsx), job)


def report_job(folder: Path, out: Path, as_xlsx: bool) -> Reported:  # noqa: FBT001 - see submit
    """Report one job; what is wrong with it is the reason."""
    try:
        if out == folder / OUT:
            own_folder(folder, OUT)
        summary = summarise(folder)
        files = write_report(summary, out, as_xlsx=as_xlsx)
    except CalllogError as error:
        return Reported(folder, reason=str(error))
    return reported(folder, summary, files)


def reported(folder: Path, summary: Summary, files: tuple[Path, ...]) -> Reported:
    """Say what was reported of a job."""
    header = summary.header
    return Reported(folder, len(summary.corrected), header.state_hash, header.identity, files)


def _result(done: Future[Reported], job: Path) -> Reported:
    try:
        return done.result()
    except BrokenProcessPool:
        return Reported(job, reason=f"{job}: its process died; try it alone")
    except Exception as error:  # noqa: BLE001 - one job must not stop the others
        return Reported(job, reason=f"{job}: a fault of calllog ({type(error).__name__}: {error})")


def _pool(workers: int) -> ProcessPoolExecutor:
    """Make processes that are begun anew: a fork would copy threads in the middle of their work."""
    return ProcessPoolExecutor(workers, children.spawning())
