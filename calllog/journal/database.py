"""Journal: the files of a job folder; folder in, SQLite connections and rows out; shell."""

import errno
import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import ExitStack, closing
from pathlib import Path
from tempfile import TemporaryDirectory, gettempdir

from pydantic import ValidationError

from calllog import system
from calllog.errors import Fault, JournalError
from calllog.files import lock_file
from calllog.journal.entry import Entry
from calllog.journal.last import EARLIER, LAST
from calllog.journal.plain import NOT_PLAIN, is_free, is_plain_file, is_plain_folder, open_plain

DATABASE = "job.sqlite"
LOCK = "job.lock"
AUDIO = "audio"
OUT = "out"

SCHEMA_VERSION = 1
"""Kept in the database's ``user_version``."""

APPLICATION_ID = 0x63616C6C
"""Kept in the database's ``application_id``; "call" in ASCII."""

SCHEMA = (
    """CREATE TABLE entry (
    sequence INTEGER PRIMARY KEY,
    time_utc TEXT NOT NULL,
    monotonic_s REAL NOT NULL,
    kind TEXT NOT NULL,
    version INTEGER NOT NULL,
    body TEXT NOT NULL,
    previous TEXT NOT NULL,
    hash TEXT NOT NULL
)""",
    """CREATE TRIGGER entry_never_updated BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry is never changed'); END""",
    """CREATE TRIGGER entry_never_deleted BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'an entry is never deleted'); END""",
    # also stops INSERT OR REPLACE, which deletes without firing the trigger above
    """CREATE TRIGGER entry_only_appended BEFORE INSERT ON entry
WHEN NEW.sequence IS NOT (SELECT coalesce(max(sequence), 0) + 1 FROM entry)
BEGIN SELECT RAISE(ABORT, 'an entry is only appended'); END""",
)

_SELECT = (
    "SELECT sequence, time_utc, monotonic_s, kind, version, body, previous, hash"
    " FROM entry ORDER BY sequence"
)
_INSERT = "INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, ?, ?)"

_LOG = f"{DATABASE}-wal"
_FILES = (DATABASE, _LOG, f"{DATABASE}-shm", f"{DATABASE}-journal", LOCK, LAST, EARLIER)
_FOLDERS = (AUDIO, OUT)
MOST_BYTES = 1 << 30
"""Of a journal; that of a long day has 20 MB."""
MOST_FIELD_BYTES = 1 << 22
"""Of a row of the table, and of what SQLite makes of it."""
PATIENCE_S = 0.25
"""How long a lock of another program on the database is waited for."""

_HEADER_BYTES = 100
_MAGIC = b"SQLite format 3\0"
_WAL_HEADER_BYTES = 32
_SNAPSHOT_TRIES = 50
_COPIED_BYTES = 1 << 20

DAMAGE = (sqlite3.Error, MemoryError, UnicodeDecodeError)
"""What reading a damaged database may raise; the last when SQLite quotes damaged text."""

CHANGED = Fault("the tables or the guards against rewriting were changed", "fault-tables")

_NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EROFS})

_NO_RIGHT = frozenset({errno.EROFS, errno.EACCES, errno.EPERM})

WRITE_NEXT = "check that the folder is writable and the disk not full"
NEWER_NEXT = "open it with the version of calllog that wrote it, or a later one"


def rescue_next(folder: Path) -> str:
    """Give the next step where a journal is damaged."""
    named = system.quoted(folder)
    return f"`calllog rescue {named}` makes a new job of all that is sound and leaves this as it is"


def is_job(folder: Path) -> bool:
    """Tell whether a journal lies in a folder, sound or not, or what is left of one."""
    notes = (folder / LAST, folder / EARLIER)
    return any(path.exists() for path in (folder / DATABASE, log_path(folder), *notes))


def is_own_file(name: str) -> bool:
    """Tell whether a file of a job's folder, by its name, is one of the journal's."""
    return name.startswith((DATABASE, LOCK)) or name in {LAST, EARLIER}


def _no_job(folder: Path, error: OSError) -> JournalError:
    """Say what is wrong with a folder whose journal cannot be opened."""
    if not folder.exists():
        return JournalError(
            "there is no such folder",
            where=str(folder),
            next_step="look at its name and at where you are; name the folder of a job",
        )
    if not folder.is_dir():
        return JournalError(
            "this is a file, and a job is a folder",
            where=str(folder),
            next_step=f"name the folder of a job, such as {folder.parent}",
        )
    return JournalError(
        f"not a job folder: {DATABASE} cannot be read ({error.strerror})",
        where=str(folder),
        next_step=f"name the folder of a job, or make a new one; if it was one,"
        f" {rescue_next(folder)}",
    )


def require_job(folder: Path) -> None:
    """Pass if the folder is a job that this program can read; looks at the files only.

    Raises:
        JournalError: there is no journal, it is something else or too large, its schema is newer,
            or the folder has links, pipes or devices where the program has files and folders.
    """
    path = folder / DATABASE
    _require_plain(folder)
    try:
        with open_plain(folder, DATABASE) as file:
            header = file.read(_HEADER_BYTES)
    except OSError as error:
        raise _no_job(folder, error) from error
    application_id = int.from_bytes(header[68:72], "big")
    if len(header) < _HEADER_BYTES or header[:16] != _MAGIC or application_id != APPLICATION_ID:
        raise JournalError(
            Fault("not the journal of a job (or its first bytes are damaged)", "fault-header"),
            where=str(path),
            next_step=f"name the folder of a job; if it is one, {rescue_next(folder)}",
        )
    version = int.from_bytes(header[60:64], "big")
    if version != SCHEMA_VERSION:
        raise JournalError(
            f"the journal has schema {version}, this program reads schema {SCHEMA_VERSION}",
            where=str(path),
            next_step=f"{NEWER_NEXT}; if none did, {rescue_next(folder)}",
        )
    refuse_rollback(folder)


def refuse_rollback(folder: Path) -> None:
    """Pass if no rollback journal lies beside the database.

    SQLite would change the database by it, and delete another file that it may name as its master
    ("Atomic Commit In SQLite", section 5).

    Raises:
        JournalError: there is one.
    """
    rollback = folder / f"{DATABASE}-journal"
    if not is_free(rollback) and not (is_plain_file(rollback) and not rollback.stat().st_size):
        raise JournalError(
            f"{rollback.name} lies beside the journal; this program writes none, and SQLite would"
            " change the journal by it",
            where=str(folder),
            next_step=rescue_next(folder),
        )


def _require_plain(folder: Path) -> None:
    """Pass if what the program keeps in a job folder are plain files and folders, of some size.

    Whoever works in a folder with links would write to where these lead.
    """
    for name in (*_FILES, *_FOLDERS):
        path = folder / name
        is_plain = is_plain_file(path) if name in _FILES else is_plain_folder(path)
        if not (is_plain or is_free(path)):
            raise JournalError(
                f"is {NOT_PLAIN}",
                where=str(path),
                next_step="put the file or folder itself there, if you trust where this job"
                " comes from",
            )
        if is_plain and name in _FILES and path.stat().st_size > MOST_BYTES:
            raise too_large(path)


def too_large(path: Path) -> JournalError:
    """Make the error for a file of a journal that has more than `MOST_BYTES`."""
    return JournalError(
        f"has more than {MOST_BYTES >> 20} MB, which no job needs",
        where=str(path),
        next_step="ask for a copy of the folder from where it was made",
    )


def take_lock(folder: Path, resources: ExitStack) -> None:
    """Become the only writer of a job.

    The only writer is the one who holds the system's lock on the file ``job.lock``, from opening to
    closing. The system ends it with the process, however that dies, so a lock is never left behind;
    readers do not look at it. Nothing is read from the file: it may be a stranger's (an SQLite
    database in its place, as earlier versions had, would be rolled back by whatever journal lies
    beside it, and that may name any other file to be deleted).

    Raises:
        JournalError: another writer has it, or it cannot be written.
    """
    try:
        resources.callback(os.close, lock_file(folder / LOCK))
    except BlockingIOError as error:
        raise JournalError(
            "another calllog is writing this job",
            where=str(folder),
            next_step="close it there first; report, page, line and verify need not wait",
        ) from error
    except OSError as error:
        if error.errno in _NO_RIGHT:
            raise JournalError(
                f"the folder cannot be written ({error.strerror})",
                where=str(folder),
                next_step=WRITE_NEXT,
            ) from error
        raise JournalError(
            f"the lock cannot be taken ({error.strerror})",
            where=str(folder / LOCK),
            next_step=WRITE_NEXT,
        ) from error


def connect_writer(folder: Path, resources: ExitStack) -> sqlite3.Connection:
    """Open the journal of a job whose lock was taken, durable at every commit.

    SQLite takes over what the log holds and throws the rest of it away, so whoever opens a journal
    has looked at a copy first.

    Raises:
        JournalError: it cannot be written.
    """
    refuse_rollback(folder)
    try:
        connection = _connect(folder / DATABASE, resources)
        # the index of the log then lies in memory, not in a mapped file: a card that is pulled out
        # would end the process by a signal; nobody else can lock the database either
        connection.execute("PRAGMA locking_mode=EXCLUSIVE")
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute("PRAGMA fullfsync=ON")  # macOS: out of the drive's own memory too
    except DAMAGE as error:
        if is_busy(error):
            raise JournalError(
                "another program has locked the journal",
                where=str(folder / DATABASE),
                next_step="close it there first",
            ) from error
        if not os.access(folder, os.W_OK):
            raise JournalError(
                f"the folder cannot be written ({error})", where=str(folder), next_step=WRITE_NEXT
            ) from error
        raise damaged(folder, error) from error
    return connection


def is_busy(error: Exception) -> bool:
    """Tell whether SQLite refused because another program has locked the file."""
    return getattr(error, "sqlite_errorcode", None) == sqlite3.SQLITE_BUSY


def is_passing(error: Exception) -> bool:
    """Tell whether SQLite refused for want of room or for a lock, and is as it was before."""
    code = getattr(error, "sqlite_errorcode", None)
    return code in (sqlite3.SQLITE_FULL, sqlite3.SQLITE_BUSY)


def file_marks(folder: Path) -> tuple[tuple[int, int], ...]:
    """Tell which files the journal's are now: device and inode of each.

    A journal that was deleted, or lies on a card that was pulled out, can still be written by who
    has it open; what is written then is in no folder.

    Raises:
        OSError: one of them is not there.
    """
    return tuple(
        (one.st_dev, one.st_ino) for one in map(os.stat, (folder / DATABASE, log_path(folder)))
    )


def connect_snapshot(folder: Path, resources: ExitStack) -> sqlite3.Connection:
    """Open a private copy of the journal, what was committed up to now included.

    Nothing in the folder is changed or created, so it may be on a read-only medium, and another
    process may go on writing. The copy holds together if no checkpoint began or ended a round of
    the write-ahead log meanwhile: pages carried over to the database during the copying then still
    stand in the log. A new round has a new log header (SQLite, "Database File Format", section
    4.1), so equal headers before and after show it.

    Args:
        folder: a job (see `require_job`).
        resources: takes over the closing and the deletion of the copy.

    Raises:
        JournalError: the files cannot be copied or opened.
    """
    try:
        into = Path(resources.enter_context(TemporaryDirectory(prefix="calllog-")))
    except OSError as error:
        raise _no_room(error) from error
    try:
        for _ in range(_SNAPSHOT_TRIES):
            if _copy_journal(folder, into):
                return _connect(into / DATABASE, resources)
    except (OSError, sqlite3.Error) as error:
        if isinstance(error, OSError) and error.errno in _NO_ROOM:
            raise _no_room(error) from error
        raise damaged(folder, error) from error
    raise JournalError(
        "the journal is being written too fast to be copied",
        where=str(folder),
        next_step="try again when the writer rests",
    )


def database_fault(connection: sqlite3.Connection) -> str:
    """Say what is wrong with a database whose entries are sound; empty if nothing is."""
    try:
        (found,) = connection.execute("PRAGMA integrity_check(1)").fetchone()
        if found != "ok":
            return _malformed(" ".join(str(found).split()))
        schema = _schema(connection)
    except DAMAGE as error:
        return _malformed(str(error))
    return "" if sorted(schema) == sorted(SCHEMA) else CHANGED


def read_entries(connection: sqlite3.Connection) -> Iterator[Entry | str]:
    """Read all entries in their sequence; what is none comes as a str saying why.

    A database that is damaged ends with such a str. One with another table, or with anything
    beside it, is not read at all: a view in its place, a column that is computed or an index could
    run for ever. Where guards are missing, reading does no harm.
    """
    names, number = tuple(Entry.model_fields), 1
    try:
        schema = _schema(connection)
        if schema.count(SCHEMA[0]) != 1 or not set(schema) <= set(SCHEMA):
            yield CHANGED
            return
        for row in connection.execute(_SELECT):
            number += 1
            try:
                yield Entry.model_validate(dict(zip(names, row, strict=True)))
            except ValidationError as error:
                column = error.errors()[0]["loc"][0]
                words = f"entry {row[0]} was changed: its column {column} has the wrong type"
                yield Fault(words, "fault-column", entry=str(row[0]), column=str(column))
    except DAMAGE as error:
        words = f"the database is malformed near entry {number} ({error})"
        yield Fault(words, "fault-malformed-near", entry=number, reason=str(error))


def _malformed(reason: str) -> Fault:
    return Fault(f"the database is malformed ({reason})", "fault-malformed", reason=reason)


def insert_entry(connection: sqlite3.Connection, entry: Entry) -> None:
    """Write one entry in a transaction of its own; on the disk when it returns.

    Raises:
        sqlite3.Error: it could not be written; nothing was changed.
    """
    connection.execute(_INSERT, tuple(entry.model_dump().values()))


def damaged(folder: Path, error: Exception) -> JournalError:
    """Make the error for a journal that SQLite or the system refuses to read."""
    return JournalError(
        Fault(f"the journal cannot be read ({error})", "fault-unreadable", reason=str(error)),
        where=str(folder / DATABASE),
        next_step=rescue_next(folder),
    )


def _no_room(error: OSError) -> JournalError:
    return JournalError(
        f"the journal is looked at in a copy, and there is no room for one ({error.strerror})",
        where=gettempdir(),
        next_step="make room there, or name a folder that has some: TMPDIR=FOLDER calllog ...",
    )


def _connect(path: Path, resources: ExitStack) -> sqlite3.Connection:
    """Open a database that may be a stranger's: its schema may call no function of its own."""
    uri = f"{path.resolve().as_uri()}?mode=rw"
    made = sqlite3.connect(uri, timeout=PATIENCE_S, uri=True, isolation_level=None)
    connection = resources.enter_context(closing(made))
    connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, MOST_FIELD_BYTES)
    connection.execute("PRAGMA trusted_schema=OFF")
    connection.execute("PRAGMA cell_size_check=ON")
    return connection


def _schema(connection: sqlite3.Connection) -> list[str]:
    return [str(sql) for (sql,) in connection.execute("SELECT sql FROM sqlite_schema")]


def _copy_journal(folder: Path, into: Path) -> bool:
    before = _wal_header(folder)
    _copy(folder, into, DATABASE)
    if before:
        try:
            _copy(folder, into, _LOG)
        except FileNotFoundError:
            return False
    return _wal_header(folder) == before


def _copy(folder: Path, into: Path, name: str) -> None:
    with open_plain(folder, name) as source, (into / name).open("wb") as target:
        shutil.copyfileobj(source, target, _COPIED_BYTES)


def log_path(folder: Path) -> Path:
    """Name the write-ahead log."""
    return folder / _LOG


def _wal_header(folder: Path) -> bytes:
    try:
        with open_plain(folder, _LOG) as file:
            return file.read(_WAL_HEADER_BYTES)
    except FileNotFoundError:
        return b""
