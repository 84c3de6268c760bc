"""Measure the journal of a day: 2,000 pulls, 12,000 entries.

Run from the source tree: ``python -m tests.bench.bench_journal``. Budget: open and read <= 0.5 s.
"""

from __future__ import annotations

import sqlite3
import statistics
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from pydantic import JsonValue

from calllog.journal import Journal, verify
from tests.measured.results import keep

PULLS = 2000
KINDS = ("call", "call", "call", "call", "segment", "condition")
ROUNDS = 7


def call_body(number: int) -> JsonValue:
    """Make a body of the size of a call with its alternatives."""
    return {
        "number": number,
        "source": "morning.flac#1",
        "role": "head",
        "kind": "reading",
        "text": "fifteen forty two",
        "value": 1542,
        "probability": 0.9871,
        "alternatives": [
            {"text": "fifty forty two", "kind": "reading", "value": 5042, "probability": 0.01},
            {"text": "fifteen forty", "kind": "reading", "value": 1540, "probability": 0.002},
        ],
        "outcome": "call",
        "start_s": number * 1.5,
        "end_s": number * 1.5 + 1.2,
        "clip": f"audio/{number:05}.flac",
    }


def measure(work: Callable[[], object]) -> float:
    """Give the median seconds of several rounds."""
    seconds = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - start)
    return round(statistics.median(seconds), 4)


def read_all(folder: Path) -> int:
    """Open a job for writing and read every body."""
    with Journal.open(folder) as journal:
        return sum(entry.content is not None for entry in journal.entries())


def main() -> None:
    """Write a day's journal, then time its writing, reading and verification."""
    now = datetime.now(UTC).isoformat()
    with TemporaryDirectory() as name:
        folder = Path(name) / "job"
        appends = []
        with Journal.create(folder) as journal:
            for number in range(PULLS * len(KINDS)):
                start = time.perf_counter()
                kind = KINDS[number % len(KINDS)]
                journal.append(kind, call_body(number), time_utc=now, monotonic_s=start)
                appends.append(time.perf_counter() - start)
        result = {
            "sqlite": sqlite3.sqlite_version,
            "pulls": PULLS,
            "entries": len(appends),
            "database_bytes": (folder / "job.sqlite").stat().st_size,
            "append_p50_s": round(statistics.median(appends), 6),
            "append_p99_s": round(statistics.quantiles(appends, n=100)[98], 6),
            "open_and_read_s": measure(lambda: read_all(folder)),
            "verify_s": measure(lambda: verify(folder)),
        }
    keep("journal", result, n=f"{len(appends):,} entries, median of {ROUNDS} rounds")


if __name__ == "__main__":
    main()
