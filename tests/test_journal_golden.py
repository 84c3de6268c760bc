"""Journals of released schemas stay readable, and the hash stays what it was."""

from __future__ import annotations

from pathlib import Path

from calllog.journal import Journal, verify
from tests.golden.make_journal import ENTRIES, main

SCHEMA_1 = Path(__file__).parent / "golden" / "journal_1"
HEAD = "0d01fbcf47d3c0e6c5e351569906c22a6c1196208af98d1a0ca90d5df864a343"


def test_the_journal_of_schema_1_is_read_and_verifies() -> None:
    """A journal made by the first schema verifies against its noted hash and gives its bodies."""
    assert verify(SCHEMA_1, expect_head=HEAD).ok
    with Journal.open(SCHEMA_1, read_only=True) as journal:
        found = [(entry.kind, entry.content) for entry in journal.entries()]
    assert found == list(ENTRIES)


def test_the_same_entries_have_the_same_hash_today(tmp_path: Path) -> None:
    """The canonical text and the hash of schema 1 have not changed."""
    main(tmp_path / "job")
    assert verify(tmp_path / "job").state_hash == HEAD
