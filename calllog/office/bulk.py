"""Folders of jobs in, the same done for each of them, several at once; shell.

One job that cannot be read does not stop the others: its reason is a value. Whatever does the work
has the interface of `concurrent.futures`: processes here, or the machines of a Dask cluster.
"""

import contextlib
import importlib
import os
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Generic, TypeVar

from calllog import children
from calllog.errors import CalllogError, ConfigError, ReportError
from calllog.journal import OUT, is_job, own_folder
from calllog.office.reporting import Office, ReportWanted, write_office
from calllog.office.summary import summarise
from calllog.report import JobHeader, Written
from calllog.report.tables import JobRow, LineRow, TapeRow

T = TypeVar("T")
DIED = "its process died; try it alone"
TRIES = 3
"""How often a cluster tries one job again whose machine went away."""
CONNECT_S = "10s"
"""How long a cluster is waited for."""


@dataclass(frozen=True, slots=True)
class Done(Generic[T]):
    """What became of one job."""

    folder: Path
    value: T | None = None
    """None where nothing came of it."""
    reason: str = ""
    """Why; empty if there is a value."""


@dataclass(frozen=True, slots=True)
class Reported:
    """What was reported of one job."""

    header: JobHeader
    row: JobRow
    lines: tuple[LineRow, ...]
    tapes: tuple[TapeRow, ...]
    written: Written


def find_jobs(folder: Path) -> tuple[tuple[Path, ...], tuple[Path, ...]]:
    """Find the jobs that lie in a folder at any depth, and the folders there that hold none.

    Nothing is looked for inside a job. Links are not followed, and hidden folders are passed over.

    Returns:
        The jobs by their paths; of the folders without any the topmost, and those that cannot be
        read.

    Raises:
        ReportError: the folder itself cannot be read, or no job lies in it.
    """
    try:
        jobs, others = _search(folder)
    except OSError as error:
        raise ReportError(
            f"the folder cannot be read ({error.strerror})",
            where=str(folder),
            next_step="name the folder of a job, or a folder with jobs in it",
        ) from error
    if not jobs:
        raise ReportError(
            "this is no job, and none lies in it",
            where=str(folder),
            next_step="name the folder of a job, or a folder with jobs in it",
        )
    return tuple(sorted(jobs)), tuple(sorted(others))


def _search(folder: Path) -> tuple[list[Path], list[Path]]:
    jobs: list[Path] = []
    others: list[Path] = []
    for path in folder.iterdir():
        if path.name.startswith(".") or path.is_symlink() or not path.is_dir():
            continue
        if is_job(path):
            jobs.append(path)
            continue
        try:
            inside, beside = _search(path)
        except OSError:
            inside, beside = [], []
        jobs += inside
        others += beside if inside else [path]
    return jobs, others


@contextlib.contextmanager
def _processes(workers: int) -> Iterator[ProcessPoolExecutor]:
    """Make processes that are begun anew: a fork would copy threads in the middle of their work."""
    with ProcessPoolExecutor(workers, children.spawning()) as pool:
        try:
            yield pool
        finally:
            pool.shutdown(cancel_futures=True)  # where it is stopped, what waits is not begun


@contextlib.contextmanager
def _cluster(address: str) -> Iterator[Executor]:
    """Hand work to a Dask cluster that runs, whose machines have calllog and see the same folders.

    Raises:
        ConfigError: the library for it is not installed, or nobody answers there.
    """
    try:
        distributed = importlib.import_module("distributed")
    except ImportError as error:
        raise ConfigError(
            "a cluster needs a library that is not installed",
            where=f"--scheduler {address}",
            next_step="install it: pip install 'calllog[cluster]'",
        ) from error
    try:
        client = distributed.Client(address, timeout=CONNECT_S, set_as_default=False)
    except (OSError, ValueError) as error:
        raise ConfigError(
            f"no scheduler answers ({error})",
            where=f"--scheduler {address}",
            next_step="give the address that `dask scheduler` prints, such as tcp://10.0.0.5:8786",
        ) from error
    with client, client.get_executor(retries=TRIES) as pool:
        yield pool


def each_job(
    jobs: Sequence[Path],
    work: Callable[..., T],
    *,
    given: Callable[[Path], tuple[object, ...]] = lambda _: (),
    workers: int | None = None,
    scheduler: str | None = None,
) -> Iterator[Done[T]]:
    """Do something with each of several jobs, giving each as it is done, and none twice.

    Args:
        jobs: their folders.
        work: does it, given the job's folder first; must be importable.
        given: what else it is given for a job.
        workers: how many processes at once; as many as there are processors if left out.
        scheduler: address of a Dask cluster that does it instead.

    Raises:
        ConfigError: the cluster cannot be reached.
    """
    if not jobs:
        return
    if scheduler is not None:
        with _cluster(scheduler) as pool:
            asked = {pool.submit(_tried, work, job.resolve(), *given(job)): job for job in jobs}
            for done in as_completed(asked):
                yield _result(done, asked[done])
        return
    died = []
    with _processes(min(workers or os.cpu_count() or 1, len(jobs))) as pool:
        asked = {pool.submit(_tried, work, job, *given(job)): job for job in jobs}
        for done in as_completed(asked):
            if isinstance(done.exception(), BrokenProcessPool):
                died.append(asked[done])
            else:
                yield _result(done, asked[done])
    for job in died:  # one process that dies takes the pool along: find out which
        with _processes(1) as pool:
            yield _result(pool.submit(_tried, work, job, *given(job)), job)


def _tried(work: Callable[..., T], job: Path, *given: object) -> tuple[T | None, str]:
    """Do it, on whatever machine; what is wrong with the job is the reason."""
    try:
        return work(job, *given), ""
    except CalllogError as error:
        return None, str(error)


def _result(done: Future[tuple[T | None, str]], job: Path) -> Done[T]:
    try:
        value, reason = done.result()
    except BrokenProcessPool:
        return Done(job, reason=f"{job}: {DIED}")
    except Exception as error:  # noqa: BLE001 - one job must not stop the others
        name = type(error).__name__
        is_lost = name == "KilledWorker"  # of a cluster, whose machine died with it each time
        words = DIED if is_lost else f"a fault of calllog ({name}: {error})"
        return Done(job, reason=f"{job}: {words}")
    return Done(job, value, reason)


def report_job(folder: Path, out: Path | None, wanted: ReportWanted) -> Reported:
    """Report one job, into ``out`` in it if no folder is named; CalllogError if it cannot be."""
    office = Office(summarise(folder))
    written = write_office(office, out or own_folder(folder, OUT), wanted)
    row = office.job_row(wanted.name or ".")
    return Reported(office.header, row, office.lines, office.tapes, written)


def report_jobs(
    jobs: Sequence[Path],
    out: Path | None,
    root: Path,
    wanted: ReportWanted,
    *,
    workers: int | None = None,
    scheduler: str | None = None,
) -> Iterator[Done[Reported]]:
    """Report jobs several at once, giving each as it is done.

    Args:
        jobs: their folders, all below the root.
        out: where each gets a folder as it lies below the root; None means ``out`` in the job.
        root: the folder that was named.
        wanted: what is written of each.
        workers: how many processes at once.
        scheduler: address of a Dask cluster that does it instead.
    """

    def given(job: Path) -> tuple[object, ...]:
        name = job.relative_to(root).as_posix()
        place = None if out is None else (out / name).absolute()
        return place, replace(wanted, name=name)

    return each_job(jobs, report_job, given=given, workers=workers, scheduler=scheduler)
