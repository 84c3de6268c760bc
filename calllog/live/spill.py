"""Entries that no disk took in, a file in another place and the calls in words out; shell.

The file holds the entries as they were sealed, one JSON object a line, so that the job can be
opened with them.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

from pydantic import ValidationError

from calllog.errors import JournalError
from calllog.journal import Entry, Journal, is_job
from calllog.panel.words import event_line
from calllog.session import event_of
from calllog.wording import ENGLISH, Words

SUFFIX = ".jsonl"
MOST_BYTES = 64_000_000
"""Of a file that is read back; a day has about a tenth of it."""


def spill(entries: Sequence[Entry], folder: Path) -> Path | None:
    """Write entries to a file in the system's temporary folder; None if that is not possible.

    Args:
        entries: what is not on disk, and what was written before it in case the disk forgets that.
        folder: the job's, whose name stands in the file's.
    """
    text = "".join(f"{entry.model_dump_json()}\n" for entry in entries)
    try:
        handle, name = tempfile.mkstemp(SUFFIX, _prefix(folder))
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
    except OSError:
        return None
    return Path(name)


def left_behind(folder: Path) -> Path | None:
    """Find what `spill` wrote of a job and the job does not hold yet.

    Raises:
        JournalError: the job is damaged.
    """
    found = sorted(Path(tempfile.gettempdir()).glob(f"{_prefix(folder)}*{SUFFIX}"))
    if not found or not is_job(folder):
        return None
    for path in found:
        try:
            entries = read_spill(path)
        except JournalError:
            continue
        with Journal.open(folder, read_only=True, held=entries) as journal:
            hashes = {each.hash for each in journal.entries()}
        are_here = [each.hash in hashes for each in entries]
        # another job of the same name has none of them
        is_ours = any(are_here) or any(each.previous in hashes for each in entries[:1])
        if is_ours and not all(are_here):
            return path
    return None


def read_spill(path: Path) -> tuple[Entry, ...]:
    """Read what `spill` wrote.

    Raises:
        JournalError: it cannot be read, or is something else.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise _no_spill(path, f"it is larger than {MOST_BYTES // 1_000_000} MB")
        lines = path.read_text("utf-8").splitlines()
        return tuple(Entry.model_validate_json(line) for line in lines)
    except OSError as error:
        raise _no_spill(path, error.strerror or "unreadable") from error
    except (UnicodeDecodeError, ValidationError) as error:
        raise _no_spill(path, "it is none that calllog wrote") from error


def spilt_lines(entries: Sequence[Entry], words: Words = ENGLISH) -> Iterator[str]:
    """Word the calls, decisions and conditions among entries, each with the time of its making."""
    for entry in entries:
        if (event := event_of(entry)) is not None:
            yield f"{entry.time_utc}  {event_line(event, words)}"


def _prefix(folder: Path) -> str:
    name = "".join(sign if sign.isalnum() else "-" for sign in folder.resolve().name)
    return f"calllog-unsaved-{name[:40]}-"


def _no_spill(path: Path, reason: str) -> JournalError:
    return JournalError(
        f"what was not saved cannot be read: {reason}",
        where=str(path),
        next_step="name the file that was told when the work ended",
    )
