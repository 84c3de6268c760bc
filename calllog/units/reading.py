"""Readings in a tape's own unit in, lengths in the engine's feet out, and back; pure.

The one place where meters become feet. Everything that is computed from readings is in feet: those
of the tape's own foot on a tape in feet, international feet (0.3048 m, exact) on a metric one.
"""

import math
import re
from fractions import Fraction

from calllog.units.conditions import GRAVITY_M_PER_S2, POUND_KG
from calllog.units.foot import Foot
from calllog.values import ReadingUnit

UNIT_FT = {
    unit: Fraction(1) if unit.is_feet else 1 / Foot.INTERNATIONAL.metres for unit in ReadingUnit
}
"""How long each unit is [ft]."""
POUND_N = POUND_KG * GRAVITY_M_PER_S2
"""A pound of tension, exact [N]."""
FORCE_SYMBOLS = {unit: "lb" if unit.is_feet else "N" for unit in ReadingUnit}
"""As the unit of a tension is printed after a figure."""
PICOMETRES = 12
"""Digits of a meter beyond which there is only the arithmetic of floats."""
METRIC_WORDS = {
    "foot": "meter",
    "feet": "meters",
    "ft": "m",
    "lb": "N",
    "pounds": "newtons",
    "degF": "degC",
    "°F": "°C",
    "Fahrenheit": "Celsius",
}
"""Words of the program's texts, which are written for feet, and what stands there for meters."""
_WORD = re.compile(r"(?<![\w{])(?:" + "|".join(METRIC_WORDS) + r")(?![\w}])")
"""Names of slots, between braces, are no words of a text."""


def said_in(text: str, unit: ReadingUnit) -> str:
    """Say a text of the program, written for feet, on a tape of this unit.

    Args:
        text: words of the program and figures; no names that a person gave.
        unit: what the tape is graduated in.

    Example:
        >>> said_in("exactly ten feet apart: a ten-foot mark misread", ReadingUnit.METRE)
        'exactly ten meters apart: a ten-meter mark misread'
    """
    if unit.is_feet:
        return text
    return _WORD.sub(lambda found: METRIC_WORDS[found.group()], text)


def reading_ft(counts: float, unit: ReadingUnit) -> float:
    """Turn what was read into feet.

    Args:
        counts: least counts of the tape; the mean of two readings may lie between two.
        unit: what the tape is graduated in.

    Returns:
        The length [ft]; exact, rounded once.

    Example:
        >>> reading_ft(1542, ReadingUnit.FOOT), reading_ft(3048, ReadingUnit.METRE)
        (15.42, 100.0)
    """
    return float(Fraction(counts) / unit.counts * UNIT_FT[unit])


def length_ft(length: float, unit: ReadingUnit) -> float:
    """Turn a length in a tape's unit into feet [ft]; in feet it is the same number."""
    if unit.is_feet:
        return length
    return float(Fraction(length) * UNIT_FT[unit])


def in_unit(length_ft: float, unit: ReadingUnit) -> float:
    """Turn feet into a tape's unit, so that what was read is the same number again.

    Example:
        >>> in_unit(100.0, ReadingUnit.METRE)
        30.48
    """
    if unit.is_feet or not math.isfinite(length_ft):
        return length_ft
    return round(float(Fraction(length_ft) / UNIT_FT[unit]), PICOMETRES)


def figure(length_ft: float, unit: ReadingUnit, digits: int = 4, sign: str = "") -> str:
    """Write a length in a tape's unit, with that unit after it."""
    return f"{in_unit(length_ft, unit):{sign}.{digits}f} {unit.symbol}"


def hundredths(length_ft: float, unit: ReadingUnit) -> int:
    """Turn feet into whole hundredths of a tape's unit, the nearest, however finely it is read."""
    return round(in_unit(length_ft, unit) * 100)


def last_digits(length_ft: float, unit: ReadingUnit) -> int:
    """Turn feet into units of the last digit that a reading of the tape has, the nearest."""
    return round(in_unit(length_ft, unit) * unit.step * unit.counts)


def temperature_degf(degrees: float, unit: ReadingUnit) -> float:
    """Turn what a crew states into degrees Fahrenheit: it states Celsius beside meters."""
    if unit.is_feet:
        return degrees
    return float(Fraction(degrees) * Fraction(9, 5) + 32)


def tension_lb(force: float, unit: ReadingUnit) -> float:
    """Turn what a crew states into pounds of tension: it states newtons beside meters."""
    return force if unit.is_feet else float(Fraction(force) / POUND_N)


def stated_length(length_ft: float, unit: ReadingUnit) -> float:
    """Turn feet into what a crew states, to a thousandth of a millimeter."""
    return length_ft if unit.is_feet else round(in_unit(length_ft, unit), 6)


def stated_temperature(degf: float, unit: ReadingUnit) -> float:
    """Turn degrees Fahrenheit into what a crew states, to a thousandth of a degree Celsius."""
    if unit.is_feet:
        return degf
    return round(float((Fraction(degf) - 32) * Fraction(5, 9)), 3)


def force_text(force_lb: float, unit: ReadingUnit, form: str) -> str:
    """Write a tension as a crew states it, with its unit: 20 lb, or 89 N.

    Example:
        >>> force_text(20.0, ReadingUnit.FOOT, "g"), force_text(20.0, ReadingUnit.METRE, ".0f")
        ('20 lb', '89 N')
    """
    return f"{stated_tension(force_lb, unit):{form}} {FORCE_SYMBOLS[unit]}"


def stated_tension(force_lb: float, unit: ReadingUnit) -> float:
    """Turn pounds of tension into what a crew states, to a thousandth of a newton."""
    if unit.is_feet or not math.isfinite(force_lb):
        return force_lb
    return round(float(Fraction(force_lb) * POUND_N), 3)
