"""The journal of a job: append-only, hash-chained, durable; shell."""

from __future__ import annotations

from calllog.journal.database import is_job
from calllog.journal.entry import ENTRY_VERSION, NO_PREVIOUS, Entry, canonical, seal
from calllog.journal.store import Journal, can_go_on
from calllog.journal.verification import Verification, verify

__all__ = [
    "ENTRY_VERSION",
    "NO_PREVIOUS",
    "Entry",
    "Journal",
    "Verification",
    "can_go_on",
    "canonical",
    "is_job",
    "seal",
    "verify",
]
