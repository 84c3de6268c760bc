"""The journal of a job: append-only, hash-chained, durable; shell."""

from __future__ import annotations

from calllog.journal.database import OUT, is_job
from calllog.journal.entry import ENTRY_VERSION, NO_PREVIOUS, Entry, canonical
from calllog.journal.plain import is_free, is_plain_file, is_plain_folder, own_folder, read_plain
from calllog.journal.store import Journal
from calllog.journal.verification import Verification, verify

__all__ = [
    "ENTRY_VERSION",
    "NO_PREVIOUS",
    "OUT",
    "Entry",
    "Journal",
    "Verification",
    "canonical",
    "is_free",
    "is_job",
    "is_plain_file",
    "is_plain_folder",
    "own_folder",
    "read_plain",
    "verify",
]
