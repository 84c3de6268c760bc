"""Journal: a folder in, a new job's files in it out, at once or not at all; shell."""

import sqlite3
from collections.abc import Iterable
from contextlib import ExitStack, closing
from pathlib import Path

from calllog.errors import JournalError
from calllog.files import make_folder, open_new, replace, sync_folder
from calllog.journal.carving import PAGE_BYTES
from calllog.journal.database import (
    APPLICATION_ID,
    AUDIO,
    DATABASE,
    LOCK,
    OUT,
    SCHEMA,
    SCHEMA_VERSION,
    WRITE_NEXT,
    insert_entry,
    is_job,
    take_lock,
)
from calllog.journal.entry import Entry

_MAKING = f"{DATABASE}.new"
"""Name of the database while it is made."""


def make_job(folder: Path) -> None:
    """Make a new job: the folder with an empty journal, ``audio/`` and ``out/``.

    Made at once or not at all: where it is cut off, the same can be done again (`may_begin`).

    Raises:
        JournalError: the folder is a job, holds something else, or cannot be made.
    """
    where = str(folder)
    try:
        if is_job(folder):
            raise JournalError("is a job already", where=where, next_step="open it instead")
        make_folder(folder)
        if not may_begin(folder):
            raise JournalError(
                "the folder is not empty", where=where, next_step="name a new or empty folder"
            )
        for name in (AUDIO, OUT):
            make_folder(folder / name)
        with ExitStack() as resources:
            take_lock(folder, resources)
            if is_job(folder):
                raise JournalError("is a job by now", where=where, next_step="open it instead")
            write_database(folder, ())
    except OSError as error:
        raise JournalError(
            f"no job can be made here ({error.strerror or error})",
            where=where,
            next_step=WRITE_NEXT,
        ) from error


def write_database(folder: Path, entries: Iterable[Entry]) -> None:
    """Make the database of a new journal in a folder that has none, at once or not at all.

    Raises:
        JournalError: the disk refused.
        OSError: the same, or the folder is not there.
    """
    making = folder / _MAKING
    for path in folder.glob(f"{_MAKING}*"):
        path.unlink()
    open_new(making).close()  # SQLite would make it for all to read; its log gets the same rights
    try:
        with closing(sqlite3.connect(making, isolation_level=None)) as connection:
            connection.execute(f"PRAGMA page_size={PAGE_BYTES}")
            connection.execute("BEGIN IMMEDIATE")
            for statement in SCHEMA:
                connection.execute(statement)
            connection.execute(f"PRAGMA application_id={APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version={SCHEMA_VERSION}")
            for entry in entries:
                insert_entry(connection, entry)
            connection.execute("COMMIT")
            # only now, so that the marks above stand in the main file from the beginning
            connection.execute("PRAGMA journal_mode=WAL")
    except sqlite3.Error as error:
        raise JournalError(
            f"no journal can be written ({error})", where=str(folder), next_step=WRITE_NEXT
        ) from error
    replace(making, folder / DATABASE)
    sync_folder(folder)


def may_begin(folder: Path) -> bool:
    """Tell whether a job can be made: nothing stands there but what a cut-off making leaves."""
    if not folder.exists():
        return True
    if not folder.is_dir():
        return False
    ours = {AUDIO, OUT, LOCK, f"{LOCK}-journal"}
    return all(
        path.name.startswith(_MAKING)
        or (path.name in ours and not (path.is_dir() and any(path.iterdir())))
        for path in folder.iterdir()
    )
