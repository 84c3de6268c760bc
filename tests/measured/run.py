"""Runs the parts of a measurement, all of them or those that are named, and tells the papers.

``python -m tests.measured.run bench [NAME ...]`` (or ``torture``). Without names every part is run
that has no results of this very build, so that what was broken off goes on where it stopped; a part
that fails or takes too long is told at the end, and the others are run. Named parts are run in any
case. What takes no times is run abreast first, a part for each core, and more of a torture, which
mostly waits; what does, one after the other. Afterwards the papers are made anew.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from calllog.cli import ONE_THREAD
from tests.measured.papers import FOLDERS, write_papers
from tests.measured.parts import PARTS, Part
from tests.measured.results import (
    FOLDER_NAME,
    PEOPLE,
    ROOT,
    Took,
    build,
    digest,
    read_results,
)

PATIENCE = 4
"""A part is broken off after so many times the minutes that it was planned to take; after more
where several share a core."""
UNTIMED = ("torture", "mutants")
"""Kinds whose parts take no times."""
ABREAST = {"torture": 3}
"""Parts for each core, where not one."""
LOOK_S = 0.2
END_S = 30.0
"""A part that is told to end has so long to do it."""


class Ended(NamedTuple):
    """How a part ended."""

    trouble: str
    """What went wrong, or nothing."""
    took: Took


def is_done(kind: str, part: Part, built: str) -> bool:
    """Tell whether a part has results of this build, by this file, as it would be run."""
    path = FOLDERS[kind] / f"{part.name}.json"
    if not path.exists():
        return False
    found = read_results(path)
    return (found.build, found.by, found.asked) == (built, digest(part.module), part.command[1:])


def run(kind: str, part: Part) -> Ended:
    """Run a part; what it kept counts only if it came to its end, well or not.

    It takes one thread for arithmetic, as the commands do.
    """
    if PEOPLE in part.command and not os.environ.get(PEOPLE):
        trouble = f"left out: it needs a folder of people's sounds, {PEOPLE}=FOLDER"
        return Ended(trouble, Took(seconds=0, processor_s=0))
    minutes = part.minutes * PATIENCE * ABREAST.get(kind, 1)
    told = ROOT / "build" / kind / f"{part.name}.txt"
    told.parent.mkdir(parents=True, exist_ok=True)
    kept = told.with_suffix(".kept")
    shutil.rmtree(kept, ignore_errors=True)
    with told.open("w", encoding="utf-8") as output:
        begun_s = time.monotonic()
        process = subprocess.Popen(
            [sys.executable, "-m", *part.words()],
            cwd=ROOT,
            env=dict.fromkeys(ONE_THREAD, "1") | os.environ | {FOLDER_NAME: str(kept)},
            stdout=output,
            stderr=subprocess.STDOUT,
            start_new_session=True,
        )
        try:
            used_s = _wait(process, 60.0 * minutes)
        except KeyboardInterrupt:
            _end(process)
            raise
        is_late = used_s is None
        if used_s is None:
            used_s = _end(process)
    took = Took(seconds=round(time.monotonic() - begun_s), processor_s=round(used_s))
    if is_late:
        return Ended(f"broken off after {minutes:.0f} min; see {told}", took)
    code = process.returncode
    if code >= 0:
        _take_over(kept, FOLDERS[kind])
    return Ended("" if code == 0 else f"ended with {code}; see {told}", took)


def _take_over(kept: Path, folder: Path) -> None:
    """Put the results of a part that came to its end in the place of earlier ones."""
    folder.mkdir(parents=True, exist_ok=True)
    for path in sorted(kept.glob("*.json")):
        shutil.move(path, folder / path.name)


def _wait(process: subprocess.Popen[bytes], timeout_s: float) -> float | None:
    """Wait for a part; give what the processor did for it and all that it began; None if late."""
    until_s = time.monotonic() + timeout_s
    while time.monotonic() < until_s:
        found, status, used = os.wait4(process.pid, os.WNOHANG)
        if found:
            process.returncode = os.waitstatus_to_exitcode(status)
            return used.ru_utime + used.ru_stime
        time.sleep(LOOK_S)
    return None


def _end(process: subprocess.Popen[bytes]) -> float:
    """End a part and all that it began, by force if need be; give what the processor did [s]."""
    used_s: float | None = None
    for sign in (signal.SIGTERM, signal.SIGKILL):
        with suppress(ProcessLookupError):
            os.killpg(process.pid, sign)
        if used_s is None:
            used_s = _wait(process, END_S)
    return used_s or 0.0


def keep_what_it_took(kind: str, part: Part, took: Took, begun: float) -> None:
    """Put into a part's results how long it was at work, if it has kept any since it was begun."""
    path = FOLDERS[kind] / f"{part.name}.json"
    if path.exists() and path.stat().st_mtime >= begun:
        found = read_results(path)
        path.write_text(found.model_copy(update={"took": took}).text(), "utf-8")


def main(kind: str, names: Sequence[str]) -> int:
    """Run parts; give an exit code."""
    parts = {part.name: part for part in PARTS[kind]}
    if unknown := [name for name in names if name not in parts]:
        _say(f"no part {', '.join(unknown)}; there are: {', '.join(parts)}")
        return 2
    built = build()
    failed: list[str] = []
    wanted = [parts[name] for name in names] or [p for p in parts.values() if not p.is_asked]
    turn = threading.Lock()

    def do(part: Part) -> None:
        if not names and is_done(kind, part, built):
            _say(f"{part.name}: has results of this build")
            return
        _say(f"{part.name}: about {part.minutes:.0f} min ...")
        begun = time.time()
        ended = run(kind, part)
        took, trouble = ended.took, ended.trouble
        with turn:
            _say(
                f"{part.name}: {trouble or 'done'}, {took.seconds} s, "
                f"{took.processor_s} s of the processor"
            )
            if trouble and not trouble.startswith("left out"):
                failed.append(part.name)
            keep_what_it_took(kind, part, took, begun)
            write_papers()

    timed = [part for part in wanted if part.is_timed and kind not in UNTIMED]
    untimed = [part for part in wanted if part not in timed]
    with ThreadPoolExecutor((os.cpu_count() or 1) * ABREAST.get(kind, 1)) as pool:
        list(pool.map(do, sorted(untimed, key=lambda part: -part.minutes)))
    for part in timed:
        do(part)
    _say(f"failed: {', '.join(failed)}" if failed else "all parts have results")
    return bool(failed)


def _say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2:]))
