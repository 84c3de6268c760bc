"""Fuzz every target: ``python -m tests.torture.fuzz [COUNT]``; COUNT cases in all, shared out.

A target that came to its end without a fault is not fuzzed again with so many cases before the
program or the fuzzer has changed: all take an hour of two cores, and what is broken off goes on.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from tests.measured.results import build, digest
from tests.torture.fuzz.target import Target
from tests.torture.fuzz.targets import TARGETS
from tests.torture.tally import FOLDER, Tally, report

RESULT = "result.json"
"""In the folder of a target: what came of it."""


def fuzz(target: Target, cases: int) -> Tally:
    """Fuzz one target in a process of its own, which a native library may take down."""
    folder = FOLDER / "fuzz" / target.name.replace(" ", "-").replace("'", "")
    ended, now = folder / "ended.txt", _now(cases)
    if ended.exists() and ended.read_text("utf-8") == now:
        return _counted(target, folder)
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    with (folder / "output.txt").open("wb") as output:
        code = subprocess.run(
            [sys.executable, "-m", "tests.torture.fuzz.run", target.name, str(cases), folder],
            check=False,
            stdout=output,
            stderr=subprocess.STDOUT,
        ).returncode
    if not (folder / RESULT).exists():
        return Tally(target.name, cases, 0, note=f"the fuzzer ended with {code}, see {folder}")
    counted = _counted(target, folder)
    if counted.passed:
        ended.write_text(now, "utf-8")
    return counted


def _now(cases: int) -> str:
    """Name what is fuzzed, by what, and how often."""
    fuzzer = " ".join(digest(path) for path in sorted(Path(__file__).parent.glob("*.py")))
    return f"{build()} {cases} {fuzzer}"


def _counted(target: Target, folder: Path) -> Tally:
    counted = json.loads((folder / RESULT).read_text("utf-8"))
    failed = counted["failed"]
    note = "; ".join(f"{place}: {number}" for place, number in failed.items())
    return Tally(target.name, counted["tried"], counted["tried"] - sum(failed.values()), note=note)


def main() -> int:
    """Fuzz all."""
    full = sum(target.cases for target in TARGETS)
    count = int(sys.argv[1]) if len(sys.argv) > 1 else full
    shares = [max(1, target.cases * count // full) for target in TARGETS]
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        return report("fuzz", pool.map(fuzz, TARGETS, shares))


if __name__ == "__main__":
    sys.exit(main())
