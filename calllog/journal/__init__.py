"""The journal of a job: append-only, hash-chained, durable; shell."""

from calllog.journal.database import NEWER_NEXT, OUT, is_job, is_own_file, rescue_next
from calllog.journal.entry import NO_PREVIOUS, Entry, canonical, seal
from calllog.journal.making import may_begin, write_database
from calllog.journal.plain import (
    digest_plain,
    is_free,
    is_plain_file,
    is_plain_folder,
    open_plain,
    own_folder,
    read_plain,
    remove_plain,
)
from calllog.journal.salvage import RESCUED, Rescue, Salvaged, salvage
from calllog.journal.store import Journal, can_go_on
from calllog.journal.verification import (
    EXPUNGED,
    Verification,
    clip_faults,
    has_changed_sound,
    verify,
)

__all__ = [
    "EXPUNGED",
    "NEWER_NEXT",
    "NO_PREVIOUS",
    "OUT",
    "RESCUED",
    "Entry",
    "Journal",
    "Rescue",
    "Salvaged",
    "Verification",
    "can_go_on",
    "canonical",
    "clip_faults",
    "digest_plain",
    "has_changed_sound",
    "is_free",
    "is_job",
    "is_own_file",
    "is_plain_file",
    "is_plain_folder",
    "may_begin",
    "open_plain",
    "own_folder",
    "read_plain",
    "remove_plain",
    "rescue_next",
    "salvage",
    "seal",
    "verify",
    "write_database",
]
