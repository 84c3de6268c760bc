"""Report: names and records of a job in feet in, those of a metric job out; no files touched.

A metric job has the same columns and fields under names of its own units, in a list beside that of
feet: ``length_read_m`` and never meters under ``length_read_ft``.
"""

from __future__ import annotations

import re
import types
from collections.abc import Callable, Mapping
from copy import copy
from functools import cache
from inspect import isclass
from typing import Annotated, Any, Literal, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, create_model

from calllog.report.figures import plain_figure, plain_number
from calllog.units import in_unit, stated_temperature, stated_tension
from calllog.values import Message, ReadingUnit

ENDINGS = {"_ft": "_m", "_degf": "_degc", "_lb": "_n"}
"""How the names of measures end on paper, in feet and in meters."""
Turn = Callable[[float, ReadingUnit], float]
TURNED: dict[str, Turn] = {"_ft": in_unit, "_degf": stated_temperature, "_lb": stated_tension}
"""How a number is turned into the unit of a metric job, by the end of its name."""
FORMATS = "-metric"
"""What the name of a file's format ends in."""
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
ModelT = TypeVar("ModelT", bound=BaseModel)


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


@cache
def in_metres(model: type[ModelT]) -> type[ModelT]:
    """Make the model of a metric job's record: the same fields, named and described in meters.

    Args:
        model: of a job in feet; models in its fields are made metric too.

    Returns:
        The model; the given one itself where nothing in it is in a unit.
    """
    twin: type[ModelT] | None = getattr(model, "metric_twin", lambda: None)()
    if twin is not None:
        return twin
    metre = ReadingUnit.METRE
    fields: dict[str, Any] = {}
    for name, field in model.model_fields.items():
        info = copy(field)
        for part in ("alias", "validation_alias", "serialization_alias"):
            if isinstance(alias := getattr(info, part), str):
                setattr(info, part, named(alias, metre))
        info.description = in_words_of(info.description, metre) if info.description else None
        annotation = _in_metres(field.annotation)
        if name == "format":
            info.default = f"{field.default}{FORMATS}"
            annotation = Literal[info.default]
        info.annotation = annotation
        if repr(info) != repr(field):
            fields[name] = (annotation, info)
    if not fields:
        return model
    words = in_words_of(model.__doc__ or "", metre)
    return create_model(
        f"Metric{model.__name__}", __base__=model, __doc__=words, __module__=__name__, **fields
    )


def _in_metres(annotation: Any) -> Any:  # noqa: ANN401 - any type that a field may have
    if annotation is Message:  # names no unit, and may hold others of its kind
        return annotation
    if isclass(annotation) and issubclass(annotation, BaseModel):
        return in_metres(annotation)
    origin, inside = get_origin(annotation), get_args(annotation)
    if origin is None or origin in (Annotated, Literal):
        return annotation
    made = tuple(map(_in_metres, inside))
    return Union[made] if origin in (Union, types.UnionType) else origin[made]  # noqa: UP007


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
