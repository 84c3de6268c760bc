"""Entries in, on disk in their order as soon as the disk takes them; those that wait out; shell.

What cannot be written stays in memory, sealed with the time at which it was made, and is written
on when the disk takes it again, be it by the same open files or, where a card was pulled out and
put back, by files opened anew. Nothing is told of it before (see `calllog.live.safety`).
"""

import contextlib
import time
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from pydantic import JsonValue

from calllog.errors import JournalError
from calllog.journal import Entry, Journal, can_go_on, seal

RECENT = 256
"""Entries kept after they were written: a card that is pulled out may lose some that it took."""


class Safekeeping:
    """Keeps a job's entries until they are on disk, and closes their journal."""

    def __init__(self, journal: Journal) -> None:
        self.folder: Path = journal.folder
        self.audio: Path = journal.audio
        self.is_patient = False
        """Keep what cannot be written, instead of raising an error."""
        self.monotonic: Callable[[], float] = time.monotonic
        """A clock that only goes on [s]."""
        self.why = ""
        """Why the last entry could not be written, in plain words."""
        self._writing_since_s: float | None = None
        self._slowest_s = 0.0
        self._journal = journal
        self._head = journal.last()
        self._recent: deque[Entry] = deque([self._head] if self._head else (), RECENT)
        self._unsaved: deque[Entry] = deque()

    @property
    def head(self) -> Entry | None:
        """The last entry, on disk or not."""
        return self._head

    @property
    def unsaved(self) -> tuple[Entry, ...]:
        """Entries that are not on disk, in order."""
        return tuple(self._unsaved)

    @property
    def newest(self) -> tuple[Entry, ...]:
        """Those that are not on disk, and before them those that it took last."""
        return (*self._recent, *self._unsaved)

    @property
    def is_safe(self) -> bool:
        """Everything is on disk."""
        return not self._unsaved

    def append(self, kind: str, content: JsonValue, *, time_utc: str, monotonic_s: float) -> Entry:
        """Add an entry; it is on disk when this returns, unless `is_safe` says that some wait.

        Raises:
            JournalError: a field cannot be kept; or the disk refused and nobody is patient.
        """
        entry = seal(kind, content, time_utc=time_utc, monotonic_s=monotonic_s, after=self._head)
        try:
            if self.is_safe:
                self._add(entry)
            else:
                self._unsaved.append(entry)
        except JournalError as error:
            if not self.is_patient:
                raise
            self.why = error.what
            self._unsaved.append(entry)
        self._head = entry
        return entry

    def save(self) -> bool:
        """Try to write what waits; tell whether all is on disk."""
        for attempt in (self._write_on, self._write_anew):
            try:
                attempt()
            except JournalError as error:
                self.why = error.what
                if can_go_on(error):
                    break
            else:
                break
        return self.is_safe

    def add_all(self, entries: Sequence[Entry]) -> None:
        """Add entries that are sealed already, in their order.

        Raises:
            JournalError: one does not follow from what stands before it, or the disk refused.
        """
        for entry in entries:
            self._add(entry)
            self._head = entry

    @contextlib.contextmanager
    def timed(self) -> Iterator[None]:
        """Take the time that the disk needs within."""
        began_s = self._writing_since_s = self.monotonic()
        try:
            yield
        finally:
            self._writing_since_s = None
            self._slowest_s = max(self._slowest_s, self.monotonic() - began_s)

    @property
    def busy_s(self) -> float:
        """How long the disk has been at work on what it was given last [s]; for any thread."""
        since_s = self._writing_since_s
        return 0.0 if since_s is None else self.monotonic() - since_s

    def slowest_s(self) -> float:
        """Tell how long the slowest write since this was asked last took [s]."""
        slowest_s, self._slowest_s = self._slowest_s, 0.0
        return slowest_s

    def close(self) -> None:
        """Close the journal; closing twice does no harm."""
        self._journal.close()

    def _add(self, entry: Entry) -> None:
        with self.timed():
            self._journal.add(entry)
        self._recent.append(entry)

    def _write_on(self) -> None:
        """Write what waits into the files that are open."""
        while self._unsaved:
            self._add(self._unsaved[0])
            self._unsaved.popleft()

    def _write_anew(self) -> None:
        """Open the files again, and write what they do not hold."""
        kept = self.newest
        with self.timed():
            self._journal.close()
            self._journal = Journal.open(self.folder, held=kept)
        last = self._journal.last()
        if last is None or last.hash not in {each.hash for each in kept}:
            self._journal.close()
            raise JournalError("another journal lies in this job's folder", where=str(self.folder))
        place = next(place for place, each in enumerate(kept) if each.hash == last.hash)
        for entry in kept[place + 1 :]:
            with self.timed():
                self._journal.add(entry)
        self._recent.extend(self._unsaved)
        self._unsaved.clear()
