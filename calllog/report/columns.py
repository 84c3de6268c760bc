"""Report: what a column is, and how its cells are kept from being run; no files touched.

An empty cell is unknown or does not apply.

A spreadsheet takes a cell that begins with ``=``, ``+``, ``-``, ``@``, a tab or a line end for a
formula (OWASP ASVS 5.0, requirement 1.2.10). So a cell that begins so, also in full-width form or
after blanks, gets an apostrophe in front, unless it is a plain number such as ``-0.01``. A cell
that begins with an apostrophe gets one more: taking one off every cell that begins with one gives
back the text.
"""

import re
import unicodedata
from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from typing import Any, Generic, TypeVar

from calllog.report.cells import exact, fixed
from calllog.report.header import JobHeader
from calllog.report.metric import in_words_of, named
from calllog.values import ReadingUnit

BETWEEN = " | "
"""Between several findings or struck observations in one cell."""
FOOT = "foot"
"""Name of the column that says which foot."""

RowT = TypeVar("RowT")
_PLAIN_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?")
_UNIT = re.compile("_(ft|degf|lb|m|degc|n)$")
"""How the name of a measure ends."""
_FORMULA_STARTS = frozenset("=+-@\u2212")


class Holds(StrEnum):
    """What the cells of a column hold, by the names of XML Schema."""

    TEXT = "string"
    WHOLE = "integer"
    DECIMAL = "decimal"
    DAY = "date"
    TIME = "dateTimeStamp"


class ColumnUnit(StrEnum):
    """What a number is in, as it is printed."""

    NONE = ""
    FT = "ft"
    DEGF = "degF"
    LB = "lb"
    M = "m"
    DEGC = "degC"
    N = "N"
    SECOND = "s"


@dataclass(frozen=True, slots=True)
class Column(Generic[RowT]):
    """One column: its name in the header row, its meaning, and how its cell is written."""

    name: str
    description: str
    holds: Holds = Holds.TEXT
    unit: ColumnUnit = ColumnUnit.NONE
    value: Callable[[JobHeader, RowT], object] | None = None
    """Gives what stands in its cell; None for what the row has under its name without the unit."""
    between: str = ""
    """What stands between several values in one cell; empty where there is one."""
    choices: tuple[str, ...] = ()
    """All texts that may stand in it; empty where any may."""
    digits: int | None = None
    """Decimals of a number; None for all that it has."""

    def cell(self, job: JobHeader, row: RowT) -> str:
        """Write its cell of a row; empty where there is nothing."""
        value = self.value(job, row) if self.value else getattr(row, _UNIT.sub("", self.name))
        match value:
            case None:
                return ""
            case bool():
                return "yes" if value else "no"
            case float():
                return exact(value) if self.digits is None else fixed(value, self.digits)
            case tuple() | list():
                return self.between.join(map(str, value))
        return str(value)


@dataclass(frozen=True, slots=True)
class Sheet(Generic[RowT]):
    """What rows of one kind look like in every file that they are written to."""

    title: str
    version: int
    """Raised whenever a column is added, taken out, moved or given another meaning."""
    columns: tuple[Column[RowT], ...]
    key: tuple[str, ...]
    """The columns that tell one row from all others."""


def feet(
    name: str,
    description: str,
    value: Callable[[JobHeader, RowT], object] | None = None,
    digits: int | None = None,
) -> Column[RowT]:
    """Make a column of decimal feet."""
    return Column(name, description, Holds.DECIMAL, ColumnUnit.FT, value, digits=digits)


JOB_COLUMN: Column[Any] = Column("job", "Name of the job", value=lambda job, _: job.job)
JOB_ID_COLUMN: Column[Any] = Column(
    "job_id",
    "Identity of the job, the same in all its copies",
    value=lambda job, _: job.identity,
)
FOOT_COLUMN: Column[Any] = Column(
    FOOT,
    "The foot of all lengths: international or us_survey",
    value=lambda job, _: job.foot,
    choices=("international", "us_survey"),
)


def version_column(version: int) -> Column[Any]:
    """Give the column that says the version of a list of columns."""
    return Column(
        "columns_version", "Version of this list of columns", Holds.WHOLE, value=lambda *_: version
    )


METRIC = {
    ColumnUnit.FT: ColumnUnit.M,
    ColumnUnit.DEGF: ColumnUnit.DEGC,
    ColumnUnit.LB: ColumnUnit.N,
}
"""What stands for each unit in a metric job."""
UNIT_COLUMN: Column[Any] = Column(
    "unit", "The unit of all lengths: metre", value=lambda *_: "metre", choices=("metre",)
)
"""What a metric job has in its place."""


@cache
def sheet_in(sheet: Sheet[RowT], unit: ReadingUnit) -> Sheet[RowT]:
    """Give a sheet as a job in this unit has it: the same columns in the same places.

    Those of lengths, temperatures and tensions have other names and units, and the column of the
    foot says ``metre`` instead, so that no program takes one list for the other.
    """
    if unit.is_feet:
        return sheet
    return replace(sheet, columns=tuple(_in_metres(each) for each in sheet.columns))


def _in_metres(column: Column[RowT]) -> Column[RowT]:
    if column.name == FOOT:
        return UNIT_COLUMN
    metre = ReadingUnit.METRE
    return replace(
        column,
        name=named(column.name, metre),
        description=in_words_of(column.description, metre),
        unit=METRIC.get(column.unit, column.unit),
    )


def guard_cell(cell: str) -> str:
    """Put an apostrophe before a cell that a spreadsheet might take for a formula.

    Example:
        >>> guard_cell("=1+1"), guard_cell("-0.01"), guard_cell("3+00")
        ("'=1+1", '-0.01', '3+00')
    """
    if not cell or _PLAIN_NUMBER.fullmatch(cell):
        return cell
    visible = next((sign for sign in cell if unicodedata.category(sign)[0] not in "ZC"), "")
    is_risky = cell[0] in "'\t\r\n\0" or not _FORMULA_STARTS.isdisjoint(
        unicodedata.normalize("NFKC", visible)[:1]
    )
    return f"'{cell}" if is_risky else cell
