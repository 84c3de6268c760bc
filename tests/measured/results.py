"""The form in which a measurement is kept: one JSON file a part, with what it was measured on.

A benchmark hands its figures to `keep`, as it would print them; they are printed, and written where
`FOLDER_NAME` says (``make bench`` says so). What was measured before results were kept stands in
the folder ``before``, with the commit that told it.
"""

from __future__ import annotations

import hashlib
import json
import os
import platform
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Annotated, Any, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

ROOT = Path(__file__).parents[2]
PEOPLE = "PEOPLE"
"""Variable of the environment: a folder of people's sounds, which are not part of the project."""
FOLDER_NAME = "CALLLOG_RESULTS"
"""Variable of the environment: the folder that results are kept in."""
BUILT_OF = ("calllog", "grammars", "models")
"""Folders whose files are the program that is measured."""
MODELS = {
    "encoder model": ROOT / "models" / "encoder-en-us" / "head.npz",
    "Spanish encoder model": ROOT / "models" / "encoder-es" / "head.npz",
    "numbers model": ROOT / "models" / "numbers-en-us" / "am" / "final.mdl",
}

Cell = str | int | float | None
Figures = Mapping[str, Any]
"""Figures by name; what is itself such a mapping is a table, or nested rows of one."""
Words = Annotated[str, Field(min_length=1)]


class Table(BaseModel):
    """Rows of figures under a heading each."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    title: str = ""
    columns: tuple[str, ...]
    """The first one names the rows."""
    rows: tuple[tuple[Cell, ...], ...]

    @model_validator(mode="after")
    def _is_whole(self) -> Self:
        if any(len(row) != len(self.columns) for row in self.rows):
            message = f"{self.title}: a row has more or fewer cells than there are columns"
            raise ValueError(message)
        return self

    def cell(self, row: str, column: str) -> Cell:
        """Find one figure.

        Raises:
            KeyError: there is no such row or column.
        """
        for each in self.rows:
            if each[0] == row and column in self.columns:
                return each[self.columns.index(column)]
        message = f"{self.title}: no {row}, {column}"
        raise KeyError(message)


class Took(BaseModel):
    """How long a part was at work, with all that it began and waited for."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    seconds: int
    """By the clock."""
    processor_s: int


class Results(BaseModel):
    """What one part measured, when, on what."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    part: Words
    title: str = ""
    """Over what was measured before; parts that run have theirs in `tests.measured.parts`."""
    measured: date
    machine: Words
    """In plain words."""
    commit: Words
    """Of the program that was measured; ``+`` after it: with changes. In the folder ``before``, the
    commit that told the figures."""
    build: str = ""
    """Digest of the program's files; empty of what was measured before results were kept."""
    by: str = ""
    """Digest of the file that measured."""
    asked: tuple[str, ...] = ()
    """Words of the command that measured."""
    models: dict[str, str] = {}
    """Digest of each model that was shipped then."""
    voices: tuple[str, ...] = ()
    n: Words
    """How many of what each figure is of."""
    remark: str = ""
    """What a reader has to know to read the figures right."""
    took: Took | None = None
    """None where it was not run by `tests.measured.run`, or before that told it."""
    tables: tuple[Table, ...]

    def table(self, title: str) -> Table:
        """Find a table.

        Raises:
            KeyError: there is no such table.
        """
        for each in self.tables:
            if each.title == title:
                return each
        message = f"{self.part}: no table {title}"
        raise KeyError(message)

    def text(self) -> str:
        """Give the file's content: a row of a table a line."""
        kept = self.model_dump(mode="json", exclude_defaults=True)
        tables = [
            {**table, "rows": [f"@{i}.{j}@" for j in range(len(table["rows"]))]}
            for i, table in enumerate(kept["tables"])
        ]
        text = json.dumps({**kept, "tables": tables}, indent=1, ensure_ascii=False)
        for i, table in enumerate(kept["tables"]):
            for j, row in enumerate(table["rows"]):
                line = json.dumps(row, ensure_ascii=False)
                text = text.replace(f'"@{i}.{j}@"', line, 1)
        return text + "\n"


def read_results(path: Path) -> Results:
    """Read a file of results."""
    return Results.model_validate_json(path.read_bytes())


def keep(
    part: str,
    figures: Figures,
    *,
    n: str,
    voices: Sequence[str] = (),
    remark: str = "",
    by: str = "",
) -> None:
    """Print what was measured, and keep it where the environment says.

    Args:
        part: its name, which is the file's.
        figures: single figures, and tables of them by title.
        n: how many of what each figure is of.
        voices: who spoke.
        remark: what a reader has to know to read the figures right.
        by: the file that measures; the one that is run, if it is not said.
    """
    people = os.environ.get(PEOPLE)
    found = Results(
        part=part,
        measured=datetime.now(UTC).date(),
        machine=machine(),
        commit=commit(),
        build=build(),
        by=digest(Path(by or sys.modules["__main__"].__file__ or __file__)),
        asked=tuple(PEOPLE if each == people else each for each in sys.argv[1:]),
        models={name: digest(path) for name, path in MODELS.items()},
        voices=tuple(voices),
        n=n,
        remark=remark,
        tables=tuple(tables(figures)),
    )
    sys.stdout.write(found.text())
    if folder := os.environ.get(FOLDER_NAME):
        Path(folder).mkdir(parents=True, exist_ok=True)
        (Path(folder) / f"{part}.json").write_text(found.text(), "utf-8")


def tables(figures: Figures, title: str = "") -> Iterator[Table]:
    """Make tables of nested figures.

    What is no mapping goes into one table without a title, each mapping into a table of its own,
    whatever is nested deeper into rows that are named by all the names above.

    Example:
        >>> [*tables({"s": 2, "calls": {"quiet": {"right": 9, "wrong": 1}}})][1].rows
        (('quiet', 9, 1),)
    """
    single = {name: each for name, each in figures.items() if not isinstance(each, Mapping)}
    if single:
        yield _single(title, single)
    for name, each in figures.items():
        if not isinstance(each, Mapping) or not each:
            continue
        found = dict(_rows(each, ()))
        if set(found) == {()}:
            yield _single(name, each)
            continue
        columns = tuple(dict.fromkeys(key for row in found.values() for key in row))
        rows = tuple(
            (", ".join(path), *(_cell(row.get(key)) for key in columns))
            for path, row in found.items()
        )
        yield Table(title=name, columns=("what", *columns), rows=rows)


def _single(title: str, figures: Figures) -> Table:
    rows = tuple((str(name), _cell(each)) for name, each in figures.items())
    return Table(title=title, columns=("what", "figure"), rows=rows)


def _rows(
    figures: Figures, path: tuple[str, ...]
) -> Iterator[tuple[tuple[str, ...], dict[str, object]]]:
    here = {str(name): each for name, each in figures.items() if not isinstance(each, Mapping)}
    if here:
        yield path, here
    for name, each in figures.items():
        if isinstance(each, Mapping):
            yield from _rows(each, (*path, str(name)))


def _cell(value: object) -> Cell:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None or isinstance(value, str | int):
        return value
    if isinstance(value, float):
        return float(f"{value:.4g}")
    if isinstance(value, Sequence):
        return " / ".join(str(_cell(each)) for each in value)
    return str(value)


def machine() -> str:
    """Tell what this computer is, in plain words."""
    pages, size = os.sysconf("SC_PHYS_PAGES"), os.sysconf("SC_PAGE_SIZE")
    return (
        f"{platform.system()}, {os.cpu_count()} cores ({platform.machine()}), "
        f"{round(pages * size / 2**30)} GB of memory, Python {platform.python_version()}, "
        f"load {os.getloadavg()[1]:.1f}"
    )


def commit() -> str:
    """Name the commit of this tree; ``+`` if the program's files differ from it."""
    name = _git("rev-parse", "--short=12", "HEAD") or "unknown"
    return name + ("+" if _git("status", "--porcelain", "--", *BUILT_OF) else "")


def _git(*words: str) -> str:
    done = subprocess.run(["git", *words], cwd=ROOT, capture_output=True, text=True, check=False)
    return done.stdout.strip()


def build() -> str:
    """Give the digest of the program's files, wherever they are kept."""
    found = hashlib.sha256()
    for folder in BUILT_OF:
        for path in sorted((ROOT / folder).rglob("*")):
            if path.is_file() and path.suffix not in (".md", ".pyc"):
                found.update(f"{path.relative_to(ROOT)}\0{digest(path)}\n".encode())
    return found.hexdigest()[:12]


def digest(path: Path) -> str:
    """Give the first 12 digits of a file's SHA-256; empty if there is none."""
    return hashlib.sha256(path.read_bytes()).hexdigest()[:12] if path.is_file() else ""
