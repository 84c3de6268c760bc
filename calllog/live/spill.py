"""Entries that no disk took in, a file in another place and the calls in words out; shell.

The file holds the entries as they were sealed, one JSON object a line, so that the job can be
opened with them. It lies where nobody else can read it or plant another: in a folder of the user's
own, or a new private one where that cannot be written; what belongs to somebody else is not read.
"""

import errno
import os
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import suppress
from pathlib import Path

import platformdirs
from pydantic import ValidationError

from calllog.errors import JournalError
from calllog.files import bring_to_disk, is_mine_alone, make_mine, read_mine
from calllog.journal import Entry, Journal, is_job
from calllog.panel.words import event_line
from calllog.session import event_of
from calllog.wording import ENGLISH, Words

PREFIX, SUFFIX = "calllog-unsaved-", ".jsonl"
MOST_BYTES = 64_000_000
"""Of a file that is read back; a day has about a tenth of it."""


def spill(entries: Sequence[Entry], folder: Path) -> Path | None:
    """Write entries to a file in a private folder of the user; None if that is not possible.

    Args:
        entries: what is not on disk, and what was written before it in case the disk forgets that.
        folder: the job's, whose name stands in the file's.
    """
    text = "".join(f"{entry.model_dump_json()}\n" for entry in entries)
    for find in (kept_folder, lambda: Path(tempfile.mkdtemp(prefix=PREFIX))):
        try:
            place = find()
            make_mine(place)
            handle, name = tempfile.mkstemp(SUFFIX, _prefix(folder), place)
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(text)
                bring_to_disk(file)
        except OSError:
            continue
        return Path(name)
    return None


def kept_folder() -> Path:
    """Name the folder in which the user's programs keep what outlives them.

    Raises:
        OSError: the user has none, or it is named by no whole path.
    """
    place = platformdirs.user_state_path("calllog", appauthor=False)
    if not place.is_absolute():
        raise OSError(errno.EINVAL, "it is no whole path", str(place))
    return place


def _places() -> Iterator[Path]:
    """List the folders in which `spill` may have written: those that nobody else can write to."""
    with suppress(OSError):
        yield kept_folder()
    yield from sorted(Path(tempfile.gettempdir()).glob(f"{PREFIX}*"))


def left_behind(folder: Path) -> Path | None:
    """Find what `spill` wrote of a job and the job does not hold yet.

    Raises:
        JournalError: the job is damaged.
    """
    places = [place for place in _places() if is_mine_alone(place)]
    found = [path for place in places for path in sorted(place.glob(f"{_prefix(folder)}*{SUFFIX}"))]
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
    """Read what `spill` wrote; JournalError if it cannot be read, or is something else."""
    try:
        lines = read_mine(path, most_bytes=MOST_BYTES).decode("utf-8").splitlines()
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
    return f"{PREFIX}{name[:40]}-"


def _no_spill(path: Path, reason: str) -> JournalError:
    return JournalError(
        f"what was not saved cannot be read: {reason}",
        where=str(path),
        next_step="name the file that was told when the work ended",
    )
