"""Let the programs of an office read everything: LibreOffice, pandas, DuckDB, a CSVW validator.

Run from the source tree: ``python -m tests.bench.bench_readers``. It needs LibreOffice Calc
(``apt install libreoffice-calc``) and ``pip install 'calllog[bench]'``. What they read is set
beside what was written, cell by cell: a figure must be the same number, anything else the same
text.
"""

from __future__ import annotations

import csv
import json
import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from datetime import date, datetime
from math import isclose
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import duckdb
import pandas as pd
from csvw import CSVW
from openpyxl import load_workbook

from calllog.office import ReportWanted, find_jobs, report_jobs, write_combined
from calllog.report import DATASET
from calllog.report.csv_description import SUFFIX
from tests.fieldjob import field_job, long_job
from tests.measured.results import keep
from tests.metricjob import metric_job

OFFICE = shutil.which("soffice")
TYPES = {"True": "yes", "False": "no", "nan": "", "NaT": "", "<NA>": ""}
"""What readers make of words and of nothing, and what that was."""
UTF_8 = "--infilter=CSV:44,34,76"
"""What a person chooses when LibreOffice asks how to read a CSV file: commas, quotes, UTF-8."""
ALL_SHEETS = "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,-1"
Rows = list[list[str]]


def same(one: object, other: object) -> bool:
    """Tell whether two cells say the same: as numbers, or letter by letter."""
    first, second = ("" if each is None or each is pd.NaT else str(each) for each in (one, other))
    first = TYPES.get(first, first)
    if first == second:
        return True
    try:
        return isclose(float(first), float(second), rel_tol=1e-9, abs_tol=1e-12)
    except ValueError:
        pass
    try:
        return moment(first) == moment(second)
    except ValueError:
        return False


def moment(text: str) -> datetime | date:
    """Read a time or a day, however it is written."""
    found = datetime.fromisoformat(text)
    return found if found.tzinfo else found.date()


def compared(wanted: Rows, found: Rows) -> tuple[int, list[str]]:
    """Count the cells of a table that were compared, and list those that differ."""
    if [len(row) for row in wanted] != [len(row) for row in found]:
        return 0, [f"{len(found)} rows, not {len(wanted)}, or of another width"]
    pairs = [
        (a, b)
        for one, other in zip(wanted, found, strict=True)
        for a, b in zip(one, other, strict=True)
    ]
    return len(pairs), [f"{a!r} became {b!r}" for a, b in pairs if not same(b, a)]


def rows_of(path: Path) -> Rows:
    """Read a CSV file as texts."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file, strict=True))


def by_libreoffice(paths: Sequence[Path], scratch: Path) -> dict[Path, dict[str, Rows]]:
    """Let LibreOffice open files of one kind, and write each of their sheets as CSV.

    Returns:
        By file and title of the sheet, what it read; a CSV file has one sheet without a title.
    """
    assert OFFICE is not None, "needs LibreOffice Calc: apt install libreoffice-calc"
    kind = paths[0].suffix
    into, staged = scratch / f"read{kind}", scratch / f"given{kind}"
    staged.mkdir()
    names = {path: f"file{at:03}" for at, path in enumerate(paths)}
    for path, name in names.items():
        shutil.copy(path, staged / f"{name}{kind}")
    given = [str(staged / f"{name}{kind}") for name in names.values()]
    words = [OFFICE, f"-env:UserInstallation=file://{scratch}/profile", "--headless"]
    words += [UTF_8] if kind == ".csv" else []
    words += ["--convert-to", ALL_SHEETS, "--outdir", str(into), *given]
    subprocess.run(words, check=True, capture_output=True, timeout=1800)
    return {
        path: {
            file.stem.removeprefix(name).removeprefix("-"): rows_of(file)
            for file in into.glob(f"{name}*.csv")
        }
        for path, name in names.items()
    }


def sheets(path: Path) -> dict[str, Rows]:
    """Read a workbook's tables as they were written."""
    book = load_workbook(path)
    return {
        page.title: [
            ["" if c is None else str(c) for c in row] for row in page.iter_rows(values_only=True)
        ]
        for page in book.worksheets
    }


def filled(rows: Rows) -> Rows:
    """Give rows one width, and leave out empty ones at the end."""
    wide = max(len(row) for row in rows)
    found = [[*row, *[""] * (wide - len(row))] for row in rows]
    while found and not any(found[-1]):
        found.pop()
    return found


def frame_rows(frame: Any) -> Rows:  # noqa: ANN401 - of a library without types
    """Give a table of pandas as rows with a head."""
    return [[str(each) for each in frame.columns], *frame.astype(object).to_numpy().tolist()]


def readings(out: Path, scratch: Path) -> Iterator[tuple[str, str, int, list[str]]]:
    """Read every table by every program: program, file, cells compared, what differs."""
    tables = sorted(out.rglob("*.csv"))
    opened = by_libreoffice(tables, scratch)
    for path in tables:
        name, wanted = path.relative_to(out).as_posix(), rows_of(path)
        read = pd.read_csv(path, keep_default_na=False, na_values=[""])
        yield "pandas, CSV", name, *compared(wanted, frame_rows(read))
        yield "DuckDB, CSV", name, *compared(wanted, by_duckdb(path))
        faults = CSVW(str(path.with_name(path.name + SUFFIX)), validate=True)
        yield "CSVW validator", name, len(wanted), [] if faults.is_valid else ["not valid"]
        (found,) = opened[path].values()
        yield "LibreOffice, CSV", name, *compared(filled(wanted), filled(found))
    books = sorted(out.rglob("*.xlsx"))
    opened = by_libreoffice(books, scratch)
    for path in books:
        name, wanted_by = path.relative_to(out).as_posix(), sheets(path)
        for title, wanted in wanted_by.items():
            where = f"{name}, {title}"
            found = opened[path].get(title, [])
            yield "LibreOffice, workbook", where, *compared(filled(wanted), filled(found))
            if title != "Summary":
                read = pd.read_excel(path, sheet_name=title, keep_default_na=False, na_values=[""])
                yield "pandas, workbook", where, *compared(wanted, frame_rows(read))
    for path in sorted(out.rglob("segments.json")):
        document = json.loads(path.read_text("utf-8"))
        read = pd.json_normalize(document["segments"])
        count = len(document["segments"])
        yield (
            "pandas, JSON",
            path.relative_to(out).as_posix(),
            count,
            [] if len(read) == count else ["rows"],
        )
    for table in sorted((out / DATASET).iterdir()):
        read = pd.read_parquet(table)
        parts = str(table / "*" / "*.parquet")
        query = "select count(*) from read_parquet($parts, hive_partitioning = true)"
        counted = duckdb.execute(query, {"parts": parts}).fetchone()
        told = [] if counted == (len(read),) else [f"DuckDB has {counted}, pandas {len(read)} rows"]
        yield "pandas and DuckDB, dataset", table.name, len(read), told


def by_duckdb(path: Path) -> Rows:
    """Let DuckDB find out by itself what a CSV file holds."""
    found = duckdb.execute(f"select * from read_csv('{path}', header = true)")  # noqa: S608 - a path of ours
    head = [each[0] for each in found.description]
    return [head, *(["" if c is None else str(c) for c in row] for row in found.fetchall())]


def main() -> None:
    """Write all there is of three jobs, then let each program read it."""
    counts: dict[str, dict[str, int]] = {}
    with TemporaryDirectory() as name:
        root, out, scratch = (Path(name) / each for each in ("jobs", "out", "scratch"))
        for folder in (root / "deep", scratch):
            folder.mkdir(parents=True)
        field_job(root / "deep" / "field")
        long_job(root / "long", pulls=60)
        metric_job(root / "metric")
        wanted = ReportWanted(as_xlsx=True, is_full=True, dataset=out / DATASET)
        jobs, _ = find_jobs(root)
        results = sorted(report_jobs(jobs, out, root, wanted), key=lambda each: each.folder)
        write_combined(out, root, results, (), wanted)
        for program, file, cells, faults in readings(out, scratch):
            row = counts.setdefault(program, {"tables": 0, "cells": 0, "differences": 0})
            row["tables"] += 1
            row["cells"] += cells
            row["differences"] += len(faults)
            for fault in faults[:5]:
                sys.stderr.write(f"{program}, {file}: {fault}\n")
    keep("readers", {"read": counts}, n="3 jobs: feet, 60 pulls, metres")


if __name__ == "__main__":
    main()
