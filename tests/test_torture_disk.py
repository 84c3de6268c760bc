"""The torture of disks, small: each fault a few times; `make torture` has hundreds of each."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from calllog.errors import JournalError
from calllog.session import Job
from tests.torture.disk import FAULTS, MOUNTED, can_mount, mounted, run, torture

needs_mount = pytest.mark.skipif(not can_mount(), reason="needs the right to mount file systems")


@pytest.mark.parametrize("is_ended", [False, True])
@pytest.mark.parametrize("fault", FAULTS)
def test_no_call_is_lost_or_doubled(fault: str, *, is_ended: bool) -> None:
    """The disk fails at a random moment of a short day, and comes back or the program ends."""
    found = torture(fault, FAULTS[fault], 1, seed=7, is_ended=is_ended)
    assert found.passed, found


@needs_mount
@pytest.mark.parametrize("fault", MOUNTED)
def test_no_call_is_lost_or_doubled_on_a_real_file_system(fault: str) -> None:
    """The system itself says that the disk is full, gone or read-only."""
    found = torture(fault, MOUNTED[fault], 2, seed=7)
    assert found.passed, found


@needs_mount
def test_read_only_folder_is_told_as_such(tmp_path: Path) -> None:
    """A card with its slide at lock is no damaged journal."""
    with mounted(tmp_path / "card") as card:
        Job.open(card / "job").close()
        run("mount", "-o", "remount,ro", card)
        with pytest.raises(JournalError, match="the folder cannot be written"):
            Job.open(card / "job")
        with pytest.raises(JournalError, match="no job can be made here"):
            Job.open(card / "other")


def test_locked_journal_is_told_as_such(tmp_path: Path) -> None:
    """Another program that looks into the database is named as the reason, not damage."""
    Job.open(tmp_path / "job").close()
    with closing(sqlite3.connect(tmp_path / "job" / "job.sqlite")) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(JournalError, match="another program has locked the journal; close"):
            Job.open(tmp_path / "job")
    Job.open(tmp_path / "job").close()
