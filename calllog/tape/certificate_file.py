"""A certificate's TOML text in, in feet or in meters, a checked `Certificate` out; pure.

The shell reads the file.
"""

from collections.abc import Iterable
from difflib import get_close_matches

from pydantic import ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from calllog.errors import ConfigError, require_plain
from calllog.tape.certificate import Certificate
from calllog.tape.metric import FACTORS, METRIC_NAMES, MetricTape, in_feet
from calllog.tape.steel import IN_FEET, IN_METRES, complete
from calllog.toml_text import read_toml, shown
from calllog.units import Foot, said_in
from calllog.values import ReadingUnit, Style

MOST_SIGNS = 10_000
"""Of a certificate's file; those that travel with the program have 500."""
NO_ENTRY = "there is no such entry"
UNNAMED = ("metric", "steel")
"""Fields that are no entries of a file."""
MOST_PROBLEMS = 30
"""Told at once."""


def load_certificate(text: str, where: str) -> Certificate:
    """Read and check a certificate, in feet or, where it says ``unit = "metre"``, in meters.

    Raises:
        ConfigError: the text is no TOML, or fields are missing, unknown or out of their range; all
            of them are listed, each with what was given and what to state instead.
    """
    data = read_toml(text, where=where, most_signs=MOST_SIGNS, kind=ConfigError)
    unit = data.pop("unit", ReadingUnit.FOOT.value)
    if unit not in (ReadingUnit.FOOT.value, ReadingUnit.METRE.value):
        raise ConfigError(
            f"{shown(unit)} is no unit of a tape",
            where=where,
            next_step='state unit = "foot" or unit = "metre"; foot if it is left out',
        )
    problems: dict[str, None] = {}
    if data.pop("steel", None) is not None:
        problems["steel: there is no such entry; state weight, cross-section, width, thickness"] = (
            None
        )
    data, wrong = complete(data, is_metric=unit == ReadingUnit.METRE)
    problems |= dict.fromkeys(wrong)
    if unit == ReadingUnit.METRE:
        data = _from_metric(data, problems)
    else:
        for name in ("metric", *FACTORS):
            if data.pop(name, None) is not None:
                problems[f'{name}: a tape in meters says unit = "metre", in a line of its own'] = (
                    None
                )
    try:
        found = Certificate.model_validate(data)
    except ValidationError as error:
        is_metric = unit == ReadingUnit.METRE
        problems |= dict.fromkeys(_problem(item, is_metric=is_metric) for item in error.errors())
    if problems:
        raise ConfigError(
            f"{len(problems)} of this certificate's entries cannot be used",
            where=where,
            next_step="fix each:",
            each=(*_first(tuple(problems)), *_names(problems, is_metric=unit == ReadingUnit.METRE)),
        )
    for name, given in found.entries.items():
        require_plain(str(given), f"{where}: {name}")
    return found


def _names(problems: Iterable[str], *, is_metric: bool) -> tuple[str, ...]:
    """Name all entries that there are, once, where one was stated that is like none of them."""
    if not any(each.endswith(NO_ENTRY) for each in problems):
        return ()
    return (f"what may stand there: {', '.join(_listed(is_metric=is_metric))}",)


def _listed(*, is_metric: bool) -> list[str]:
    sizes = (IN_METRES if is_metric else IN_FEET)[2:4]
    return [*(each for each in _known(is_metric=is_metric) if each not in UNNAMED), *sizes]


def _known(*, is_metric: bool) -> dict[str, FieldInfo]:
    known = {**Certificate.model_fields, **(MetricTape.model_fields if is_metric else {})}
    if is_metric:
        return {each: field for each, field in known.items() if each not in METRIC_NAMES}
    return known


def _first(problems: tuple[str, ...]) -> tuple[str, ...]:
    more = len(problems) - MOST_PROBLEMS
    return problems if more <= 0 else (*problems[:MOST_PROBLEMS], f"and {more} more")


USUAL = MetricTape(
    nominal_m=30,
    certified_length_m=30.0,
    certified_temperature_degc=20.0,
    certified_tension_n=50.0,
    mass_kg_per_m=0.0189,
    area_mm2=2.4,
)
"""Stands in for measures that cannot be used, so that the other entries are checked too."""


def _from_metric(data: dict[str, object], problems: dict[str, None]) -> dict[str, object]:
    """Turn the entries of a metric certificate into those of a `Certificate`; note problems."""
    own = {name: value for name, value in data.items() if name in FACTORS}
    rest = {name: value for name, value in data.items() if name not in FACTORS}
    for name in ("metric", "foot", *METRIC_NAMES):
        if rest.pop(name, None) is not None:
            meant = METRIC_NAMES.get(name)
            words = f"state {meant}" if meant else "leave it out"
            problems[f"{name}: this certificate is in meters; {words}"] = None
    if rest.get("style") == Style.INSET and "hold" not in rest:
        problems["hold: missing; state the mark that is held, in hundredths of a meter"] = None
    tape = USUAL
    try:
        tape = MetricTape.model_validate(own)
    except ValidationError as error:
        problems |= dict.fromkeys(_problem(item, is_metric=True) for item in error.errors())
    return {**rest, **in_feet(tape), "metric": tape, "foot": Foot.INTERNATIONAL}


def _problem(item: ErrorDetails, *, is_metric: bool) -> str:
    name = str(item["loc"][0])
    known = _known(is_metric=is_metric)
    if name in METRIC_NAMES and is_metric:
        return f"{METRIC_NAMES[name]}: too heavy to hang as certified; state the mass of one meter"
    if name not in known:
        near = get_close_matches(name, _listed(is_metric=is_metric), n=1)
        return f"{name}: {NO_ENTRY}" + (f"; is {near[0]} meant?" if near else "")
    if item["type"] == "value_error":
        return f"{name}: {item['ctx']['error']}"
    field = known[name]
    given = (
        "missing" if item["type"] == "missing" else f"{shown(item['input'])} is no {field.title}"
    )
    description = field.description or ""
    if is_metric:
        description = said_in(description, ReadingUnit.METRE).replace("0.005", "0.001")
    if item["type"] == "missing" and name in (*IN_FEET[:2], *IN_METRES[:2]):
        weight, area, width, thickness, _ = IN_METRES if is_metric else IN_FEET
        description += f"; one of {weight} and {area}, or {width} and {thickness}, will do"
    return f"{name}: {given}; {description}"
