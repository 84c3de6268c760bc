"""Report: rows of one job in, its part of a dataset of many jobs out, in columns with types; shell.

A dataset is a folder for each table, in it one for each job (``job_id=...``), as programs read it
that know partitions. Every part of a table has the same columns: those of feet and those of metres,
the other ones empty; so no length is lost where jobs in both are read together, and none is taken
for one in the other unit.
"""

import importlib
import io
from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from functools import cache
from hashlib import sha256
from pathlib import Path
from types import ModuleType
from typing import Any
from urllib.parse import quote

from calllog.errors import ReportError
from calllog.files import make_folder
from calllog.report.atomic import write_whole
from calllog.report.columns import Column, Holds, Sheet, sheet_in
from calllog.report.notes_csv import NOTE_SHEET
from calllog.report.segments_csv import SEGMENT_SHEET
from calllog.report.tables import (
    CALL_SHEET,
    JOB_SHEET,
    LINE_SHEET,
    METRIC_TAPE_SHEET,
    TAPE_SHEET,
)
from calllog.values import ReadingUnit

DATASET = "dataset"
"""Folder of a dataset below that of the report."""
PARTITION = "job_id"
TABLES = ("segments", "lines", "calls", "tapes", "notes", "jobs")
"""Names of the tables, each a folder."""
MOST_NAME = 200
"""Signs of an identity that can be a folder's name."""
PLAIN = {"use_dictionary": False, "write_statistics": False}
_METRE = ReadingUnit.METRE
_SHEETS: dict[str, tuple[Sheet[Any], Sheet[Any]]] = {
    "segments": (SEGMENT_SHEET, sheet_in(SEGMENT_SHEET, _METRE)),
    "lines": (LINE_SHEET, sheet_in(LINE_SHEET, _METRE)),
    "calls": (CALL_SHEET, sheet_in(CALL_SHEET, _METRE)),
    "tapes": (TAPE_SHEET, METRIC_TAPE_SHEET),
    "notes": (NOTE_SHEET, sheet_in(NOTE_SHEET, _METRE)),
    "jobs": (JOB_SHEET, JOB_SHEET),
}
_READ: dict[Holds, Callable[[str], object]] = {
    Holds.TEXT: str,
    Holds.WHOLE: int,
    Holds.DECIMAL: float,
    Holds.DAY: date.fromisoformat,
    Holds.TIME: lambda text: datetime.fromisoformat(text).astimezone(UTC),
}


def part_name(name: str) -> str:
    """Name the part of a job; copies of one job have parts of their own, by where they lie.

    Example:
        >>> part_name("")
        'part.parquet'
    """
    return f"part-{sha256(name.encode()).hexdigest()[:16]}.parquet" if name else "part.parquet"


def partition(dataset: Path, table: str, identity: str) -> Path:
    """Name the folder of a job in a table of a dataset."""
    name = quote(identity, safe="")
    if len(name) > MOST_NAME:
        name = sha256(identity.encode()).hexdigest()
    return dataset / table / f"{PARTITION}={name}"


def write_part(
    dataset: Path,
    table: str,
    sheet: Sheet[Any],
    rows: Sequence[tuple[Any, Any]],
    *,
    identity: str,
    part: str,
) -> Path:
    """Write a job's rows of a table.

    Args:
        dataset: its folder; made if it is not there.
        table: name of the table.
        sheet: the columns of the rows.
        rows: each with the header of the job; of the table of jobs without.
        identity: of the job.
        part: name of the file.

    Returns:
        The file written; a whole one replaces what stood there before.

    Raises:
        ReportError: the library for it is not installed, or the file cannot be written.
    """
    library = _library()
    folder = partition(dataset, table, identity)
    try:
        make_folder(folder)
    except OSError as error:
        raise ReportError(
            f"the folder of the dataset cannot be made ({error.strerror})",
            where=str(folder),
            next_step="name another folder with --out",
        ) from error
    by_name = {column.name: column for column in sheet.columns}
    columns = _columns(table)
    values = {
        column.name: [_value(by_name[column.name], each, row) for each, row in rows]
        if column.name in by_name
        else [None] * len(rows)
        for column in columns
    }
    schema = _schema(table)
    into = io.BytesIO()
    parquet = importlib.import_module("pyarrow.parquet")
    # a job has few rows: dictionaries and statistics of its columns cost more than they spare
    table_of_job = library.table(values, schema=schema)
    parquet.write_table(table_of_job, into, compression="snappy", **PLAIN)
    path = folder / part
    write_whole(path, into.getvalue())
    return path


@cache
def _schema(table: str) -> Any:  # noqa: ANN401 - of a library that need not be installed
    library = _library()
    return library.schema(
        [library.field(each.name, _type(library, each)) for each in _columns(table)]
    )


@cache
def _columns(table: str) -> tuple[Column[Any], ...]:
    """List the columns of a table in every unit, each once, but for that of the partition."""
    feet, metres = _SHEETS[table]
    by_name = {column.name: column for sheet in (feet, metres) for column in sheet.columns}
    by_name.pop(PARTITION, None)
    return tuple(by_name.values())


def _value(column: Column[Any], job: Any, row: object) -> object:  # noqa: ANN401 - see `Column`
    text = column.cell(job, row)
    if column.between:
        return [_READ[column.holds](each) for each in text.split(column.between) if each]
    if not text:
        return "" if column.holds is Holds.TEXT else None
    return _READ[column.holds](text)


def _type(library: ModuleType, column: Column[Any]) -> object:
    one = {
        Holds.TEXT: library.string(),
        Holds.WHOLE: library.int64(),
        Holds.DECIMAL: library.float64(),
        Holds.DAY: library.date32(),
        Holds.TIME: library.timestamp("us", tz="UTC"),
    }[column.holds]
    return library.list_(one) if column.between else one


def _library() -> ModuleType:
    try:
        return importlib.import_module("pyarrow")
    except ImportError as error:
        raise ReportError(
            "a dataset needs a library that is not installed",
            where="--parquet",
            next_step="install it: pip install 'calllog[parquet]'",
        ) from error
