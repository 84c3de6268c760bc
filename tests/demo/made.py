"""The demo's job, made once for all tests of a run: hearing the day takes a minute and more."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest


def _place(factory: pytest.TempPathFactory) -> Path:
    """Name where all workers of a run find it."""
    base = factory.getbasetemp()
    return (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "demo-job-made"


def keep_demo(job: Path, factory: pytest.TempPathFactory) -> None:
    """Keep a copy of the job that the demo made."""
    part = _place(factory).with_suffix(".part")
    shutil.copytree(job, part)
    part.rename(_place(factory))


def made_demo(factory: pytest.TempPathFactory) -> Path | None:
    """Give the job that the demo made in this run; None if it has not run yet."""
    place = _place(factory)
    return place if place.is_dir() else None
