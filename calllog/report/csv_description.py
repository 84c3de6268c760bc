"""Report: columns in, a description of their CSV file by an open standard out; no files touched.

"Metadata Vocabulary for Tabular Data", W3C Recommendation of 17 December 2015. A program that
knows the standard finds the description beside the file by its name, and reads each cell with its
type. Units are named by the vocabulary QUDT, in a property of its own since the standard has none.
"""

from typing import Any, Literal

from calllog.report.atomic import pretty
from calllog.report.columns import Column, ColumnUnit, Holds, RowT, Sheet

SUFFIX = "-metadata.json"
"""What stands after the name of the CSV file (section 5.3 of "Model for Tabular Data")."""
FootName = Literal["international", "us_survey"]

CONTEXT = ["http://www.w3.org/ns/csvw", {"@language": "en"}]
_UNIT = "http://qudt.org/schema/qudt/unit"
_UNITS = "http://qudt.org/vocab/unit/"
_FEET: dict[FootName, str] = {"international": "FT", "us_survey": "FT_US"}
_OTHERS = {
    ColumnUnit.DEGF: "DEG_F",
    ColumnUnit.LB: "LB_F",
    ColumnUnit.M: "M",
    ColumnUnit.DEGC: "DEG_C",
    ColumnUnit.N: "N",
    ColumnUnit.SECOND: "SEC",
}
GUARD = (
    "An apostrophe at the beginning of a cell was put there so that no spreadsheet runs the cell"
    " as a formula: take one off every cell that begins with one, of several values off the first."
)


def csv_description(name: str, sheet: Sheet[RowT], foot: FootName) -> str:
    """Describe a CSV file as `calllog.report.sheet_csv` writes it."""
    description = {
        "@context": CONTEXT,
        "url": name,
        "dc:title": sheet.title,
        "dc:description": GUARD,
        "schema:version": str(sheet.version),
        "dialect": {"header": True, "encoding": "utf-8", "delimiter": ",", "doubleQuote": True},
        "tableSchema": {
            "columns": [_column(column, foot) for column in sheet.columns],
            "primaryKey": list(sheet.key),
        },
    }
    return pretty(description)


def _column(column: Column[RowT], foot: FootName) -> dict[str, Any]:
    described: dict[str, Any] = {
        "name": column.name,
        "titles": column.name,
        "dc:description": column.description,
        "datatype": _datatype(column),
    }
    if column.between:
        described["separator"] = column.between
    if column.unit is not ColumnUnit.NONE:
        unit = _FEET[foot] if column.unit is ColumnUnit.FT else _OTHERS[column.unit]
        described[_UNIT] = {"@id": _UNITS + unit}
    return described


def _datatype(column: Column[RowT]) -> str | dict[str, str]:
    if column.choices:
        return {"base": Holds.TEXT.value, "format": "|".join(column.choices)}
    return column.holds.value
