"""Report: described CSV files in, one description of them and of their keys out; shell.

``csv-metadata.json`` is where "Model for Tabular Data" (W3C, section 5.4) lets a program look for
what describes all tables of a folder. It says which column of one table names a row of another.
"""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from calllog.report.atomic import pretty, write_whole
from calllog.report.csv_description import CONTEXT, SUFFIX

GROUP = "csv-metadata.json"
KEYS = {
    ("segments.csv", "line_key"): "lines.csv",
    ("segments.csv", "certificate_key"): "tapes.csv",
    ("calls.csv", "line_key"): "lines.csv",
}
"""Columns that name a row of another table, whose column has the same name."""


def write_table_group(out: Path, tables: Sequence[Path]) -> Path:
    """Describe the CSV files of a folder in one file; ReportError if it cannot be written."""
    path = out / GROUP
    described = [_table(table, {each.name for each in tables}) for table in tables]
    document = {"@context": CONTEXT, "tables": described}
    write_whole(path, pretty(document))
    return path


def _table(path: Path, names: set[str]) -> dict[str, Any]:
    text = path.with_name(path.name + SUFFIX).read_text("utf-8")
    described: dict[str, Any] = json.loads(text)
    del described["@context"]
    schema = described["tableSchema"]
    columns = [column["name"] for column in schema["columns"]]
    schema["foreignKeys"] = [
        {
            "columnReference": [column],
            "reference": {"resource": other, "columnReference": [column]},
        }
        for (name, column), other in KEYS.items()
        if name == path.name and other in names and column in columns
    ]
    return described
