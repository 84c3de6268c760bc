"""The demo, heard once for all tests of a run, whichever worker asks first: it takes minutes.

What its listeners answered is kept for those tests that hear the same sound.
"""

from __future__ import annotations

import fcntl
import os
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

from tests.virtual import ROOT

DEMO = ("demo", "--out", "demo-job")
"""The command, as the README shows it."""
HEARD = "heard"
"""Folder of what listeners answered."""


class Made(NamedTuple):
    """What the demo came to."""

    job: Path
    """To be read only: all tests of the run share it."""
    printed: str


def run_apart(
    *words: str, cwd: Path, program: tuple[str, ...] = ("calllog.cli",)
) -> subprocess.CompletedProcess[str]:
    """Run a command as its user does, in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", *program, *words],
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "100"},
        capture_output=True,
        text=True,
        check=False,
    )


def of_the_run(factory: pytest.TempPathFactory, name: str) -> Path:
    """Make a folder that all workers of a run share."""
    base = factory.getbasetemp()
    place = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / name
    place.mkdir(exist_ok=True)
    return place


def made_demo(factory: pytest.TempPathFactory) -> Made:
    """Give the demo of this run; the first who asks hears it, the others wait meanwhile."""
    place = of_the_run(factory, "demo")
    made = Made(place / DEMO[-1], "")
    with (place / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        printed = place / "printed.txt"
        if not printed.exists():
            kept = of_the_run(factory, HEARD)
            done = run_apart(*DEMO, cwd=place, program=("tests.heard_once", str(kept), "earnest"))
            assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"
            printed.write_text(done.stdout, "utf-8")
        return made._replace(printed=printed.read_text("utf-8"))
