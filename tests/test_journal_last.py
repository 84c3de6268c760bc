"""The note of a job's last entry: under its name of today, and that of jobs of before."""

from __future__ import annotations

from pathlib import Path

import pytest

from calllog.errors import JournalError
from calllog.journal import Journal, verify
from calllog.journal.last import EARLIER, LAST, Last, note_last, read_last, take_over_note
from tests.test_journal_verify import COUNT, fill, tamper


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """Give a job as an earlier program left it: its note has the earlier name."""
    folder = tmp_path / "job"
    with Journal.create(folder) as journal:
        fill(journal, COUNT)
    (folder / LAST).rename(folder / EARLIER)
    return folder


def test_earlier_note_is_read(job: Path) -> None:
    """Entries that were noted and are missing are told, and the job is not opened."""
    assert verify(job).ok
    tamper(job, "DELETE FROM entry WHERE sequence > 8")
    assert verify(job).first_bad == COUNT
    with pytest.raises(JournalError):
        Journal.open(job)


def test_reading_leaves_the_earlier_note(job: Path) -> None:
    """Who only reads changes no file of the job."""
    Journal.open(job, read_only=True).close()
    assert (job / EARLIER).exists()
    assert not (job / LAST).exists()


def test_writing_replaces_the_earlier_note(job: Path) -> None:
    """One name from then on, with the same entry."""
    before = read_last(job)
    with Journal.open(job) as journal:
        assert not (job / EARLIER).exists()
        assert read_last(job) == before
        fill(journal, 1)
    found = read_last(job)
    assert found is not None
    assert found.sequence == COUNT + 1


def test_earlier_note_stays_where_none_of_today_can_be_written(job: Path) -> None:
    """A full disk takes no note away."""
    (job / LAST).mkdir()
    last = read_last(job)
    assert last is not None
    take_over_note(job, last)
    assert read_last(job) == last
    assert (job / EARLIER).exists()


@pytest.mark.parametrize(("today", "earlier"), [(1, COUNT), (COUNT, 1)])
def test_later_of_two_notes_counts(job: Path, today: int, earlier: int) -> None:
    """An earlier program that wrote on leaves both: neither hides what the other knows."""
    known = read_last(job)
    assert known is not None
    note_last(job, Last(sequence=earlier, hash=known.hash))
    (job / LAST).replace(job / EARLIER)
    note_last(job, Last(sequence=today, hash=known.hash))
    found = read_last(job)
    assert found is not None
    assert found.sequence == COUNT
