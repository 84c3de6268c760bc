"""The name of a unit in, the exact unit out: the table of lengths and areas; pure.

A unit that is made of feet stands in the table once. Its own name means the foot in use; with
``i`` or ``us`` before its symbol (``ift``, ``usft``, ``usch``), or "international" or "US survey"
before its name, it is made of that foot, whichever is in use.
"""

from dataclasses import dataclass
from difflib import get_close_matches
from enum import StrEnum
from fractions import Fraction

from calllog.errors import ConfigError
from calllog.units.foot import Foot


class Dimension(StrEnum):
    """What a unit measures."""

    LENGTH = "length"
    AREA = "area"


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit of length or area, exact."""

    name: str
    symbol: str
    """As it is printed, without its foot."""
    dimension: Dimension
    size: Fraction
    """How large it is [m or m2]."""
    foot: Foot | None
    """The foot that it is made of; None for a metric unit."""
    source: str
    """Where its size is laid down."""


NIST = 'NIST, "U.S. Survey Foot: Revised Unit Conversion Factors"'
BLM = f"{NIST}; BLM, Manual of Surveying Instructions (1973), sec. 2-1"
FOOT = "NIST and NGS, Federal Register vol. 85 no. 193, 5 Oct 2020"
IMPERIAL = "from memory: NIST Handbook 44, Appendix C"
SI = "from memory: SI Brochure"
VARA = "https://www.sizes.com/units/vara_texas.htm"
VARAS = "https://petrowiki.spe.org/Conversion_factors_for_the_vara, after P. G. McElwee (1940)"
GLOSSARY = "https://learncst.com/vara-definition/, a glossary for land surveyors"
LAND = "http://lifeonthebrazosriver.com/Measurements.htm"

_LENGTHS_FT: tuple[tuple[str, str, str, int | str, str], ...] = (
    ("ft", "foot", "feet,'", 1, FOOT),
    ("in", "inch", 'inches,ins,"', "1/12", IMPERIAL),
    ("yd", "yard", "yards,yds", 3, IMPERIAL),
    ("fathom", "fathom", "fathoms", 6, NIST),
    ("lk", "link", "links,lks,li", "0.66", BLM),
    ("rd", "rod", "rods,pole,poles,perch,perches", "16.5", BLM),
    ("ch", "chain", "chains,chs", 66, BLM),
    ("fur", "furlong", "furlongs", 660, NIST),
    ("cable", "cable's length", "cables", 720, NIST),
    ("mi", "mile", "miles", 5280, BLM),
    ("league", "league", "leagues", 15_840, NIST),
    # 33 1/3 in by the law of 1919 (read second-hand): 36 varas are 100 ft.
    ("txvara", "Texas vara", "texas varas", "25/9", VARA),
    # 33.372 in, as in Los Angeles County's records (2.781 ft); in San Francisco 33 in.
    ("cavara", "California vara", "california varas", "2.781", VARAS),
    ("sfvara", "San Francisco vara", "san francisco varas", "2.75", VARAS),
    ("azvara", "Arizona vara", "arizona varas", "2.75", GLOSSARY),
    # 33.372 in: the Castilian vara of Mitchel against United States, 15 Peters 51 (1841).
    ("flvara", "Florida vara", "florida varas", "2.781", GLOSSARY),
    # Ten of them on a chain of 27 ft 10 in.
    ("ingramvara", "Ingram vara", "ingram varas", "167/60", VARA),
)
"""Symbol, name, other names, feet, source."""
_AREAS_FT2: tuple[tuple[str, str, str, int | str, str], ...] = (
    ("ac", "acre", "acres", 43_560, BLM),
    ("rood", "rood", "roods", 10_890, "a quarter of an acre; from memory"),
    ("labor", "labor", "labors", "625000000/81", f"1,000,000 sq Texas varas, {LAND}"),
    ("txleague", "Texas league", "texas leagues", "15625000000/81", f"25 labors, {LAND}"),
)
"""Symbol, name, other names, square feet, source. The square of each length is there as well."""
_LENGTHS_M: tuple[tuple[str, str, str, int | str, str], ...] = (
    ("m", "meter", "meters,metre,metres", 1, SI),
    ("km", "kilometer", "kilometers,kilometre,kilometres", 1000, SI),
    ("cm", "centimeter", "centimeters,centimetre,centimetres", "0.01", SI),
    ("mm", "millimeter", "millimeters,millimetre,millimetres", "0.001", SI),
    # The standard measured about 1844; others were told from 0.837 to 0.839 m.
    ("mxvara", "Mexican vara", "mexican varas,mexico vara,mexico varas", "0.838", VARAS),
)
_AREAS_M2: tuple[tuple[str, str, str, int | str, str], ...] = (
    ("ha", "hectare", "hectares", 10_000, SI),
)
WHICH = dict.fromkeys(
    ("vara", "varas", "vr"),
    "say Texas, California, San Francisco, Arizona, Florida, Mexican or Ingram vara",
)
"""Names that mean several units, and what to say instead."""
_PREFIXES = {Foot.US_SURVEY: ("us survey", "us"), Foot.INTERNATIONAL: ("international", "i")}
"""What names a foot before a unit's name, and before its symbol."""


def _units(foot: Foot) -> dict[str, Unit]:
    """Find all units by all their names, those made of feet for one foot."""
    units: dict[str, Unit] = {}
    for rows, dimension, base, of in (
        (_LENGTHS_FT, Dimension.LENGTH, foot.metres, foot),
        (_AREAS_FT2, Dimension.AREA, foot.metres**2, foot),
        (_LENGTHS_M, Dimension.LENGTH, Fraction(1), None),
        (_AREAS_M2, Dimension.AREA, Fraction(1), None),
    ):
        for symbol, name, others, size, source in rows:
            unit = Unit(name, symbol, dimension, Fraction(size) * base, of, source)
            units |= dict.fromkeys((symbol, name.casefold(), *others.split(",")), unit)
    lengths = [(name, unit) for name, unit in units.items() if unit.dimension is Dimension.LENGTH]
    for name, unit in lengths:
        square = Unit(
            f"square {unit.name}",
            f"{unit.symbol}2",
            Dimension.AREA,
            unit.size**2,
            unit.foot,
            unit.source,
        )
        units |= {square.symbol: square, f"sq {name}": square}
    return units


def _units_by_foot(foot: Foot) -> dict[str, Unit]:
    """Find all units by all their names, the foot in use being this one."""
    units = _units(foot)
    for explicit, (before_name, before_symbol) in _PREFIXES.items():
        made_of_feet = {name: unit for name, unit in _units(explicit).items() if unit.foot}
        for name, unit in made_of_feet.items():
            units[f"{before_name} {name}"] = unit
            units[before_symbol + unit.symbol] = unit
            if name.startswith("sq "):
                units[f"sq {before_name} {name.removeprefix('sq ')}"] = unit
    return units


UNITS = {foot: _units_by_foot(foot) for foot in Foot}
"""Every unit by every name that it is known by, for each foot in use."""


def find_unit(name: str, foot: Foot = Foot.INTERNATIONAL, *, where: str = "") -> Unit:
    """Find a unit by its name or symbol, singular or plural, in capitals or not.

    Args:
        name: such as "ch", "chains", "usft", "US survey feet", "sq. rods", "m2".
        foot: the foot in use, for a unit that does not name its own.
        where: what the name was read in, for error messages.

    Raises:
        ConfigError: no unit, or several, are known by that name.

    Example:
        >>> find_unit("chains", Foot.US_SURVEY).size
        Fraction(79200, 3937)
    """
    words = name.casefold().replace(".", "").replace("²", "2").replace("^", "").split()
    key = " ".join("sq" if word == "square" else word for word in words)
    if unit := UNITS[foot].get(key):
        return unit
    if key in WHICH:
        raise ConfigError(f"{name!r} may be several units", where=where, next_step=WHICH[key])
    near = get_close_matches(key, UNITS[foot], n=1)
    raise ConfigError(
        f"{name!r} is no unit of length or area",
        where=where,
        next_step=f"is {near[0]} meant?" if near else "say one such as ft, usft, ch, lk, rd, m, ac",
    )
