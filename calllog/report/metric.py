"""Report: names and records of a job in feet in, those of a metric job out; no files touched.

A metric job has the same columns and fields under names of its own units, in a list beside that of
feet: ``length_read_m`` and never meters under ``length_read_ft``.
"""

import re
from collections.abc import Callable, Mapping
from typing import Any

from calllog.report.figures import plain_figure, plain_number
from calllog.units import in_unit, stated_temperature, stated_tension
from calllog.values import ReadingUnit

ENDINGS = {"_ft": "_m", "_degf": "_degc", "_lb": "_n"}
"""How the names of measures end on paper, in feet and in meters."""
Turn = Callable[[float, ReadingUnit], float]
TURNED: dict[str, Turn] = {"_ft": in_unit, "_degf": stated_temperature, "_lb": stated_tension}
"""How a number is turned into the unit of a metric job, by the end of its name."""
METRIC = "Metric"
"""Begins the name of what is described in meters."""
FACTS = "facts"
"""The field of a finding that holds what its words are made of, under names without a unit."""
METRIC_WORDS = {
    "foot": "meter",
    "feet": "meters",
    "pounds": "newtons",
    "Fahrenheit": "Celsius",
    "hundreds of feet before the plus: 1+25.00": "kilometers before the plus: 0+125.00",
    "hundreds before the plus": "kilometers before the plus",
}
"""Words of descriptions of a job in feet, and what stands there in a metric one."""

_WORD = re.compile(rf"\b(?:{'|'.join(map(re.escape, METRIC_WORDS))})\b")
_CODE_WORDS = {"foot": "metre", "feet": "metres"}
"""The same in codes, which keep their spelling."""


def named(name: str, unit: ReadingUnit) -> str:
    """Name a column or field of a job in feet as a job in this unit has it.

    Example:
        >>> named("length_read_ft", ReadingUnit.METRE), named("tension_lb", ReadingUnit.METRE)
        ('length_read_m', 'tension_n')
    """
    if unit.is_feet:
        return name
    for ending, metric in ENDINGS.items():
        if name.endswith(ending):
            return name.removesuffix(ending) + metric
    return name


def in_words_of(text: str, unit: ReadingUnit) -> str:
    """Write what describes a column or field of a job in feet for a job in this unit.

    Example:
        >>> in_words_of("Tension, pounds", ReadingUnit.METRE)
        'Tension, newtons'
    """
    if unit.is_feet:
        return text
    return _WORD.sub(lambda found: METRIC_WORDS[found.group()], text)


def code_of(code: str, unit: ReadingUnit) -> str:
    """Write the code of a finding as the files of a job in this unit have it.

    Example:
        >>> code_of("foot-mark", ReadingUnit.METRE)
        'metre-mark'
    """
    if unit.is_feet:
        return code
    return re.sub(r"\bf(oo|ee)t\b", lambda found: _CODE_WORDS[found.group()], code)


def renamed(document: Any, name: Callable[[str], str]) -> Any:  # noqa: ANN401 - any JSON there is
    """Give the fields of a JSON document other names; the facts of a finding keep theirs."""
    if isinstance(document, list):
        return [renamed(each, name) for each in document]
    if not isinstance(document, dict):
        return document
    return {
        name(field): value if field == FACTS else renamed(value, name)
        for field, value in document.items()
    }


def schema_in_metres(schema: dict[str, Any]) -> dict[str, Any]:
    """Turn the schema of a document whose fields are named in feet into that of a metric one.

    A definition in which a name or a description is in feet, or that holds such a one, is named
    ``Metric`` and its name.
    """
    parts: dict[str, Any] = schema["$defs"]
    turned: frozenset[str] = frozenset()
    while True:
        found = {name for name, part in parts.items() if _is_in_feet(part, turned)}
        if found == turned:
            break
        turned = frozenset(found)
    made = {
        _titled(name, turned): {**_metric(part, turned), "title": _titled(name, turned)}
        if name in turned
        else part
        for name, part in parts.items()
    }
    rest = {name: part for name, part in schema.items() if name != "$defs"}
    return {"$defs": dict(sorted(made.items())), **_metric(rest, turned)}


def _titled(name: str, turned: frozenset[str]) -> str:
    return f"{METRIC}{name}" if name in turned else name


def _is_in_feet(part: dict[str, Any], turned: frozenset[str]) -> bool:
    fields = {name: each for name, each in part.items() if name != "description"}
    return bool(_metric(fields, turned) != fields)


def _metric(node: Any, turned: frozenset[str]) -> Any:  # noqa: ANN401 - any part of a schema
    if isinstance(node, list):
        return [_metric(each, turned) for each in node]
    if not isinstance(node, dict):
        return node
    made: dict[str, Any] = {}
    for key, value in node.items():
        match key:
            case "properties":
                made[key] = dict(_field(name, each, turned) for name, each in value.items())
            case "required":
                made[key] = [named(name, ReadingUnit.METRE) for name in value]
            case "description":
                made[key] = in_words_of(value, ReadingUnit.METRE)
            case "$ref":
                where, _, name = value.rpartition("/")
                made[key] = f"{where}/{_titled(name, turned)}"
            case _:
                made[key] = _metric(value, turned)
    return made


def _field(name: str, field: Any, turned: frozenset[str]) -> tuple[str, Any]:  # noqa: ANN401
    metric, made = named(name, ReadingUnit.METRE), _metric(field, turned)
    return metric, made if metric == name else {**made, "title": metric.replace("_", " ").title()}


def document_in(value: Any, unit: ReadingUnit) -> Any:  # noqa: ANN401 - any JSON there is
    """Turn a document in feet, degF and lb, under names that say so, into one of a metric job.

    Args:
        value: lists and tables of the document; a length is a number under a name in ``_ft``.
        unit: what the job's tapes are graduated in; feet change no name and no number but for the
            noise of binary arithmetic.
    """
    if isinstance(value, float):
        return plain_figure(value)
    if isinstance(value, list | tuple):
        return [document_in(each, unit) for each in value]
    if not isinstance(value, Mapping):
        return value
    made: dict[str, Any] = {}
    for name, each in value.items():
        if name == "foot" and not unit.is_feet:
            made["unit"] = unit.base.value
        elif ending := next((end for end in TURNED if name.endswith(end)), ""):
            made[named(name, unit)] = _turned(each, unit, TURNED[ending])
        else:
            made[name] = document_in(each, unit)
    return made


def _turned(value: Any, unit: ReadingUnit, turn: Turn) -> Any:  # noqa: ANN401 - numbers or null
    if isinstance(value, list | tuple):
        return [_turned(each, unit, turn) for each in value]
    if value is None or isinstance(value, str):
        return value
    turned = value if unit.is_feet else turn(value, unit)
    return plain_number(turned) if isinstance(turned, float) else turned
