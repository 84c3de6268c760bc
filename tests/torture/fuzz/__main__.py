"""Fuzz every target: ``python -m tests.torture.fuzz [COUNT]``; COUNT cases in all, shared out."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

from tests.torture.fuzz.target import Target
from tests.torture.fuzz.targets import TARGETS
from tests.torture.tally import FOLDER, Tally, report


def fuzz(target: Target, cases: int) -> Tally:
    """Fuzz one target in a process of its own, which a native library may take down."""
    folder = FOLDER / "fuzz" / target.name.replace(" ", "-").replace("'", "")
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    with (folder / "output.txt").open("wb") as output:
        code = subprocess.run(
            [sys.executable, "-m", "tests.torture.fuzz.run", target.name, str(cases), folder],
            check=False,
            stdout=output,
            stderr=subprocess.STDOUT,
        ).returncode
    result = folder / "result.json"
    if not result.exists():
        return Tally(target.name, cases, 0, note=f"the fuzzer ended with {code}, see {folder}")
    counted = json.loads(result.read_text("utf-8"))
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
