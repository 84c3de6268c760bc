"""Measure the office's work on many jobs: tables, pages, PDFs, verification, in one run each.

Run from the source tree: ``python -m tests.bench.bench_office [JOBS [RUN...]]``. Each job is
another one: a line of 13 pulls there and one back, 70 calls or so. Memory is that of the processes
as the system tells it (resident), looked at twice a second; that of the first and of the last third
of a run show whether it grows. Budget: pages <= 0.5 s, PDFs <= 1.5 s a job on one core.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

import duckdb

from calllog.office import make_folder
from calllog.session import Job
from tests.fieldjob import KNOWN, Paper, settings
from tests.measured.results import keep
from tests.tapes import certificate

JOBS = 1000
PULLS = 13
LOOK_S = 0.5
RUNS: dict[str, tuple[str, ...]] = {
    "report": ("report", "{jobs}", "--out", "{out}/report"),
    "report, workbook, dataset": ("report", "{jobs}", "--out", "{out}/all", "--xlsx", "--parquet"),
    "pages": ("page", "{jobs}", "--out", "{out}/page", "--no-clips"),
    "pages and PDFs": ("page", "{jobs}", "--out", "{out}/pdf", "--no-clips", "--pdf"),
    "verify": ("verify", "{jobs}"),
    "line": ("line", "{jobs}", "--json"),
    "extract": ("extract", "{jobs}", "--out", "{out}/log", "--unfinished", "again"),
}


def make_job(folder: Path, number: int) -> None:
    """Write a job that is like no other: its points, its readings."""
    tape = certificate(identity=f"T-{number % 7}")
    ends = f"Post {number}", f"Mark {number}"
    with Job.open(folder) as job:
        paper = Paper(job)
        for line_from, line_to in (ends, ends[::-1]):
            job.begin_line(settings(line_from, line_to, tape=tape.identity), tape)
            job.record(KNOWN)
            for at in range(PULLS):
                reading = 9_900 - 37 * at - number
                paper.pull(reading, reading - (at % 2))
            paper.say("finish")


def resident_mb(process: int) -> float:
    """Tell how much memory a process has now; 0 once it is gone."""
    try:
        status = Path(f"/proc/{process}/status").read_text("utf-8")
    except OSError:
        return 0.0
    found = [line for line in status.splitlines() if line.startswith("VmRSS")]
    return int(found[0].split()[1]) / 1024 if found else 0.0


def children(process: int) -> list[int]:
    """List the processes that a process has begun."""
    try:
        listed = Path(f"/proc/{process}/task/{process}/children").read_text("utf-8")
    except OSError:
        return []
    return [int(each) for each in listed.split()]


def measure(words: list[str]) -> dict[str, float | None]:
    """Run a command; give its seconds, its processor seconds, and its memory early and late."""
    own: list[float] = []
    largest: list[float] = []
    begun = time.perf_counter()
    with TemporaryDirectory() as scratch, (Path(scratch) / "told").open("wb") as told:
        process = subprocess.Popen([sys.executable, "-m", "calllog.cli", *words], stdout=told)
        while True:
            ended, status, used = os.wait4(process.pid, os.WNOHANG)
            if ended:
                break
            own.append(resident_mb(process.pid))
            largest.append(max(map(resident_mb, children(process.pid)), default=0.0))
            time.sleep(LOOK_S)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise SystemExit(f"{' '.join(words)}: exit code {process.returncode}")
    third = max(1, len(own) // 3)
    return {
        "seconds": time.perf_counter() - begun,
        "processor s": used.ru_utime + used.ru_stime,
        "main, first third, MB": max(own[:third]),
        "main, last third, MB": max(own[-third:]),
        "worker, first third, MB": max(largest[:third]),
        "worker, last third, MB": max(largest[-third:]),
        "any process at most, MB": used.ru_maxrss / 1024,
    }


def query(dataset: Path) -> dict[str, object]:
    """Ask one question of the tables of all jobs."""
    begun = time.process_time()
    names = {name: str(dataset / name / "*" / "*.parquet") for name in ("segments", "lines")}
    found = duckdb.execute(
        """
        select count(distinct l.job_id), count(*), sum(s.length_read_ft), max(l.u_expanded_ft)
        from read_parquet($segments, hive_partitioning = true) s
        join read_parquet($lines, hive_partitioning = true) l using (line_key, job_id)
        """,
        names,
    ).fetchone()
    assert found is not None
    names_of = ("jobs", "pulls", "length read, ft", "greatest expanded uncertainty, ft")
    return {**dict(zip(names_of, found, strict=True)), "processor s": time.process_time() - begun}


def main() -> None:
    """Make the jobs, then run each command over all of them."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else JOBS
    asked = sys.argv[2:] or list(RUNS)
    figures: dict[str, object] = {"jobs": count, "pulls": 2 * PULLS * count}
    runs: dict[str, object] = {}
    with TemporaryDirectory() as scratch:
        root, out = Path(scratch) / "jobs", Path(scratch) / "out"
        begun = time.process_time()
        for number in range(count):
            year = root / f"{2000 + number % 20}"
            make_folder(year)
            make_job(year / f"job-{number:04}", number)
        figures["made in, processor s"] = time.process_time() - begun
        for name in asked:
            found = measure([each.format(jobs=root, out=out) for each in RUNS[name]])
            used = found["processor s"]
            assert used is not None
            runs[name] = {"processor s a job": used / count, **found}
            sys.stderr.write(f"{name}: {json.dumps(runs[name])}\n")
        figures["one run over all"] = runs
        if (out / "all" / "dataset").is_dir():
            figures["one question of the dataset"] = query(out / "all" / "dataset")
        files = [path for path in out.rglob("*") if path.is_file()]
        figures["files"], figures["MB"] = (
            len(files),
            sum(path.stat().st_size for path in files) / 1e6,
        )
    keep(
        "office-pdf" if asked == ["pages and PDFs"] else "office",
        figures,
        n=f"{count} jobs, each its own",
        remark="Processor seconds are of all processes together, their beginning too.",
    )


if __name__ == "__main__":
    main()
