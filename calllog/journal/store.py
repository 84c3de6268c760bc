"""Journal: appends entries to a job and reads them back; JSON bodies in, `Entry` out; shell."""

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import Self

from pydantic import JsonValue

from calllog.closing import Closes
from calllog.errors import JournalError
from calllog.journal.database import (
    AUDIO,
    DATABASE,
    NEWER_NEXT,
    OUT,
    WRITE_NEXT,
    connect_snapshot,
    connect_writer,
    database_fault,
    file_marks,
    insert_entry,
    is_passing,
    read_entries,
    require_job,
    rescue_next,
    take_lock,
)
from calllog.journal.entry import NO_PREVIOUS, Entry, fault_of, is_newer, seal
from calllog.journal.last import Last, last_fault, note_last, read_last, take_over_note
from calllog.journal.making import make_job


def can_go_on(error: JournalError) -> bool:
    """Tell whether a journal that could not be written may be written on as it is, later.

    Otherwise its files are to be opened anew.
    """
    return isinstance(error.__cause__, sqlite3.Error) and is_passing(error.__cause__)


class Journal(Closes):
    """The append-only journal of one job folder; for one thread, closed by ``with`` or `close`.

    Entries are numbered from 1 and chained by their hashes; a correction is a new entry that names
    the old one. What `append` returned is on the disk (WAL, ``synchronous=FULL``).
    Use `create` or `open`, not the constructor.
    """

    def __init__(
        self,
        folder: Path,
        connection: sqlite3.Connection,
        resources: ExitStack,
        looked_at: tuple[Entry, ...],
        *,
        is_writer: bool,
    ) -> None:
        self.folder = folder
        self._is_writer = is_writer
        self._connection: sqlite3.Connection | None = connection
        self._last = last = looked_at[-1] if looked_at else None
        self._looked_at: tuple[Entry, ...] | None = looked_at
        """All entries as they were checked when it was opened, for whoever reads them next."""
        self._marks: tuple[tuple[int, int], ...] = ()
        """Of the files that were written last."""
        self._resources = resources.pop_all()
        if last is not None and is_writer:
            take_over_note(folder, Last(sequence=last.sequence, hash=last.hash))

    @classmethod
    def create(cls, folder: Path) -> Self:
        """Make a new job and open it for writing.

        Raises:
            JournalError: the folder is a job, holds something else, or cannot be written.
        """
        make_job(folder)
        return cls.open(folder)

    @classmethod
    def open(cls, folder: Path, *, read_only: bool = False, held: Sequence[Entry] = ()) -> Self:
        """Open a job and check its whole chain.

        Args:
            folder: a job; anything else is left as it is.
            read_only: read what is committed now, from a private copy; the folder is not touched,
                needs no right to write, and may be in use by a writer.
            held: entries that the caller has and will add; they may be missing at the end.

        Raises:
            JournalError: the folder is no job, has another schema, has another writer, cannot be
                written, an entry is damaged, or entries that were written are missing.
        """
        require_job(folder)
        with ExitStack() as resources, ExitStack() as looked:
            if not read_only:
                take_lock(folder, resources)
            noted = read_last(folder)  # before the journal, so that it is never ahead of it
            connection = connect_snapshot(folder, resources if read_only else looked)
            looked_at = _look(folder, connection, noted, held, is_writer=not read_only)
            if not read_only:
                connection = connect_writer(folder, resources)
            return cls(folder, connection, resources, looked_at, is_writer=not read_only)

    @property
    def audio(self) -> Path:
        """Where the clips of this job are kept."""
        return self.folder / AUDIO

    @property
    def out(self) -> Path:
        """Where the reports of this job are written."""
        return self.folder / OUT

    def append(self, kind: str, body: JsonValue, *, time_utc: str, monotonic_s: float) -> Entry:
        """Add one entry; it is on the disk when this returns.

        Args:
            kind: opened, line, tape, condition, call, void, question, finding, decision, segment,
                note, closed, or another lower-case word.
            body: any JSON value (see `calllog.journal.canonical`).
            time_utc: ISO 8601 date and time with its zone.
            monotonic_s: the caller's monotonic clock [s].

        Raises:
            JournalError: the journal is closed or open for reading only, a field cannot be kept,
                or the disk refused; nothing was added then.
        """
        self._require_writer()
        entry = seal(kind, body, time_utc=time_utc, monotonic_s=monotonic_s, after=self._last)
        self.add(entry)
        return entry

    def add(self, entry: Entry) -> None:
        """Add an entry that is sealed already; it is on the disk when this returns.

        Raises:
            JournalError: it does not follow the last entry, the journal is closed or open for
                reading only, its files are no longer in the folder, or the disk refused.
        """
        connection = self._require_writer()
        fault = fault_of(entry, self._last)
        if fault:
            raise JournalError(fault, where=str(self.folder), next_step=rescue_next(self.folder))
        try:
            insert_entry(connection, entry)
            marks = file_marks(self.folder)
        except (OSError, sqlite3.Error) as error:
            raise self._unwritten(entry, str(error)) from error
        if self._marks not in ((), marks):
            raise self._unwritten(entry, "other files lie in the journal's place")
        self._last, self._marks, self._looked_at = entry, marks, None
        note_last(self.folder, Last(sequence=entry.sequence, hash=entry.hash))

    def entries(self, kind: str | None = None) -> Iterator[Entry]:
        """Read the entries that stand now, of one kind or all, each checked against the one before.

        Raises:
            JournalError: the journal is closed or an entry is damaged.
        """
        connection = self._open_connection()
        looked_at, self._looked_at = self._looked_at, None
        if looked_at is None:
            return _checked(self.folder, connection, kind)
        return (each for each in looked_at if kind is None or each.kind == kind)

    def last(self) -> Entry | None:
        """Give the last entry, or None if there is none yet."""
        self._open_connection()
        return self._last

    def state_hash(self) -> str:
        """Give the hash of the last entry; 64 zeros if there is none yet.

        The chain alone cannot show that entries at its end were taken away. Note this hash on
        paper, and pass it to `calllog.journal.verify`, which then sees it.
        """
        last = self.last()
        return last.hash if last else NO_PREVIOUS

    def close(self) -> None:
        """Close the journal and let other writers in; again is no error."""
        self._connection = None
        self._resources.close()

    def __enter__(self) -> Self:
        self._open_connection()
        return self

    def _unwritten(self, entry: Entry, reason: str) -> JournalError:
        return JournalError(
            f"entry {entry.sequence} was not written ({reason})",
            where=str(self.folder / DATABASE),
            next_step=WRITE_NEXT,
        )

    def _require_writer(self) -> sqlite3.Connection:
        connection = self._open_connection()
        if not self._is_writer:
            raise JournalError(
                "the job is open for reading only",
                where=str(self.folder),
                next_step="open it for writing",
            )
        return connection

    def _open_connection(self) -> sqlite3.Connection:
        if self._connection is None:
            raise JournalError(
                "the journal is closed", where=str(self.folder), next_step="open it again"
            )
        return self._connection


def _look(
    folder: Path,
    connection: sqlite3.Connection,
    noted: Last | None,
    held: Sequence[Entry],
    *,
    is_writer: bool,
) -> tuple[Entry, ...]:
    """Check a whole journal; give its entries."""
    entries = tuple(_checked(folder, connection))
    hashes = [each.hash for each in entries]
    here = set(hashes)
    fault = last_fault(noted, [*hashes, *(e.hash for e in held if e.hash not in here)])
    if is_writer and not fault:
        fault = database_fault(connection)
    if fault:
        raise JournalError(fault, where=str(folder), next_step=rescue_next(folder))
    return entries


def _checked(
    folder: Path, connection: sqlite3.Connection, kind: str | None = None
) -> Iterator[Entry]:
    return _sound(folder, tuple(read_entries(connection)), kind)


def _sound(folder: Path, rows: tuple[Entry | str, ...], kind: str | None) -> Iterator[Entry]:
    after: Entry | None = None
    for row in rows:
        fault = row if isinstance(row, str) else fault_of(row, after)
        if isinstance(row, str) or fault:
            is_later = isinstance(row, Entry) and is_newer(row)
            next_step = NEWER_NEXT if is_later else rescue_next(folder)
            raise JournalError(fault, where=str(folder), next_step=next_step)
        after = row
        if kind is None or row.kind == kind:
            yield row
