"""Runs the parts of a measurement, all of them or those that are named, and tells the papers.

``python -m tests.measured.run bench [NAME ...]`` (or ``torture``). Without names every part is run
that has no results of this very build, so that what was broken off goes on where it stopped; a part
that fails or takes too long is told at the end, and the others are run. Named parts are run in any
case. Afterwards the papers are made anew.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Sequence

from tests.measured.papers import FOLDERS, write_papers
from tests.measured.parts import PARTS, Part
from tests.measured.results import FOLDER_NAME, PEOPLE, ROOT, build, digest, read_results

PATIENCE = 4
"""A part is broken off after so many times the minutes that it was planned to take."""


def is_done(kind: str, part: Part, built: str) -> bool:
    """Tell whether a part has results of this build, by this file, as it would be run."""
    path = FOLDERS[kind] / f"{part.name}.json"
    if not path.exists():
        return False
    found = read_results(path)
    return (found.build, found.by, found.asked) == (built, digest(part.module), part.command[1:])


def run(kind: str, part: Part) -> str:
    """Run a part; give what went wrong, or nothing."""
    if PEOPLE in part.command and not os.environ.get(PEOPLE):
        return f"left out: it needs a folder of people's sounds, {PEOPLE}=FOLDER"
    told = ROOT / "build" / kind / f"{part.name}.txt"
    told.parent.mkdir(parents=True, exist_ok=True)
    with told.open("w", encoding="utf-8") as output:
        process = subprocess.Popen(
            [sys.executable, "-m", *part.words()],
            cwd=ROOT,
            env=os.environ | {FOLDER_NAME: str(FOLDERS[kind])},
            stdout=output,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
        try:
            code = process.wait(60.0 * part.minutes * PATIENCE)
        except (subprocess.TimeoutExpired, KeyboardInterrupt) as error:
            os.killpg(process.pid, signal.SIGTERM)
            process.wait(30.0)
            if isinstance(error, KeyboardInterrupt):
                raise
            return f"broken off after {part.minutes * PATIENCE:.0f} min; see {told}"
    return "" if code == 0 else f"ended with {code}; see {told}"


def main(kind: str, names: Sequence[str]) -> int:
    """Run parts; give an exit code."""
    parts = {part.name: part for part in PARTS[kind]}
    if unknown := [name for name in names if name not in parts]:
        _say(f"no part {', '.join(unknown)}; there are: {', '.join(parts)}")
        return 2
    built, failed = build(), []
    wanted = [parts[name] for name in names] or [p for p in parts.values() if not p.is_asked]
    for part in wanted:
        if not names and is_done(kind, part, built):
            _say(f"{part.name}: has results of this build")
            continue
        _say(f"{part.name}: about {part.minutes:.0f} min ...")
        begun_s = time.monotonic()
        trouble = run(kind, part)
        _say(f"{part.name}: {trouble or 'done'}, {time.monotonic() - begun_s:.0f} s")
        if trouble and not trouble.startswith("left out"):
            failed.append(part.name)
        write_papers()
    _say(f"failed: {', '.join(failed)}" if failed else "all parts have results")
    return bool(failed)


def _say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2:]))
