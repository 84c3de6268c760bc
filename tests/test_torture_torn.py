"""A small torture of a job's files: each damage is unharmed, or told and rescued."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from calllog.session import Job
from tests.golden.make_jobs import feet_job
from tests.torture.torn import Base, must, tallies, torture

CASES = 40


@pytest.fixture(scope="module")
def bases(tmp_path_factory: pytest.TempPathFactory) -> list[Base]:
    """Make a job at rest, and one as a kill leaves it, its end in the log alone."""
    folder = tmp_path_factory.mktemp("jobs")
    feet_job(folder / "rest")
    feet_job(folder / "working")
    with Job.open(folder / "working") as job:
        for number in range(12):
            job.note("disk_failed", {"n": number, "reason": "x" * 700 * number})
        shutil.copytree(folder / "working", folder / "killed")
    return [Base(folder=folder / "rest"), Base(folder=folder / "killed")]


@pytest.mark.slow
def test_random_damage_is_unharmed_or_told_and_rescued(bases: list[Base], tmp_path: Path) -> None:
    """Bits, pages, cuts, files gone: never a traceback, another report or a silent loss."""
    found = torture(bases, CASES, tmp_path, seed=20310504)
    assert [words for each in found.values() for words in each.wrong] == []
    assert sum(each.tried for each in tallies(found)) == CASES
    outcomes = {name for each in found.values() for name in each.outcomes}
    assert {"unharmed", "rescued"} <= outcomes


def test_torture_would_notice(
    bases: list[Base], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Compared with a job that has other segments, a sound job is counted as another report."""
    shutil.copytree(bases[0].folder, tmp_path / "other")
    with Job.open_existing(tmp_path / "other") as job:
        job.note("phone_codes_guessed", {})
    other = Base(folder=tmp_path / "other")
    swapped = Base(folder=bases[0].folder)
    swapped.__dict__["summary"] = other.summary
    monkeypatch.setattr("tests.torture.torn.DAMAGES", {"none": ("job.sqlite", lambda *_: None)})
    found = torture([swapped], 1, tmp_path)
    assert any("another report" in words for each in found.values() for words in each.wrong)
    assert not all(each.passed for each in tallies(found))
    with pytest.raises(AssertionError, match="words"):
        must(bool(""), "words")
