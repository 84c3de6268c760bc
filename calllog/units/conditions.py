"""Conditions as people write them in, floats in the engine's units out; pure.

A value without a unit is refused. Factors are exact until the last step: a pound is 0.45359237 kg
and an inch 0.0254 m (Federal Register, 1 July 1959; from memory), standard gravity is 9.80665 m/s2
(3rd CGPM, 1901; from memory). Kilograms and pounds of tension are weights under that gravity.
"""

import math
import re
from fractions import Fraction

from calllog.errors import ConfigError
from calllog.units.numbers import NUMBER, exact, mended, plain

POUND_KG = Fraction(45_359_237, 100_000_000)
GRAVITY_M_PER_S2 = Fraction(980_665, 100_000)
_N_LBF = 1 / (POUND_KG * GRAVITY_M_PER_S2)
_KG_LBF = 1 / POUND_KG
_FORCES_LBF = {
    **dict.fromkeys(("lb", "lbs", "lbf", "pound", "pounds"), Fraction(1)),
    **dict.fromkeys(("oz", "ozf", "ounce", "ounces"), Fraction(1, 16)),
    **dict.fromkeys(("n", "newton", "newtons"), _N_LBF),
    **dict.fromkeys(("kgf", "kg", "kp", "kilogram", "kilograms"), _KG_LBF),
    **dict.fromkeys(("g", "gf", "gram", "grams"), _KG_LBF / 1000),
}
_VALUE = re.compile(rf"([+-]?) ?({NUMBER}) ?(.*)")
_RATIO = re.compile(rf"([+-]?)({NUMBER}) ?(?:in|:) ?({NUMBER})")
_ANGLE = re.compile(
    rf"([+-]?)({NUMBER}) ?(?:°|deg|degrees?)"
    rf"(?: ?({NUMBER}) ?(?:'|min|minutes?)(?: ?({NUMBER}) ?(?:\"|sec|seconds?))?)?"
)


def parse_temperature_degf(text: str) -> float:
    """Read a temperature.

    ``F = 1.8 C + 32``, exact by definition.

    Args:
        text: such as "50F", "50 degF", "10 °C", "-4 degC".

    Raises:
        ConfigError: it has no unit, or none of temperature.

    Example:
        >>> parse_temperature_degf("20 degC")
        68.0
    """
    number, unit, where = _value(text, "50F or 10C")
    scale = unit.replace("°", "").removeprefix("degrees").removeprefix("deg").strip()
    if scale in {"f", "fahrenheit"}:
        return float(number)
    if scale in {"c", "celsius"}:
        return float(number * Fraction(9, 5) + 32)
    raise _no_unit(unit, "temperature", "50F or 10C", where)


def parse_force_lbf(text: str) -> float:
    """Read a tension.

    Args:
        text: such as "15lb", "15 lbf", "66.7 N", "6.8 kgf", "10 kg".

    Raises:
        ConfigError: it has no unit, none of force, or is negative.

    Example:
        >>> round(parse_force_lbf("66.7 N"), 2)
        14.99
    """
    number, unit, where = _value(text, "15lb or 66.7 N")
    if unit not in _FORCES_LBF:
        raise _no_unit(unit, "force", "15lb or 66.7 N", where)
    return float(_not_negative(number, "tension", where) * _FORCES_LBF[unit])


def parse_slope_rad(text: str) -> float:
    """Read a slope or a vertical angle.

    A grade is rise over level length, so ``angle = atan(grade)``; common practice.

    Args:
        text: such as "2.5%", "3deg", "15 deg 25 min 30 sec", "1 in 10", "-1:10".

    Returns:
        The vertical angle, positive upwards, less than a right angle [rad].

    Raises:
        ConfigError: it has no unit, none of slope, or is a right angle or more.

    Example:
        >>> round(math.degrees(parse_slope_rad("15 deg 25 min")), 4)
        15.4167
    """
    words, where = plain(text).casefold(), repr(text)
    if ratio := _RATIO.fullmatch(words):
        rise, run = (exact(part, where=where) for part in ratio.group(2, 3))
        if not run:
            raise _too_steep(where)
        return _signed(ratio[1], _flat_enough(math.atan(rise / run), where))
    if angle := _ANGLE.fullmatch(words):
        degrees, minutes, seconds = (
            exact(part or "0", where=where) for part in angle.group(2, 3, 4)
        )
        if max(minutes, seconds) >= 60:  # noqa: PLR2004 - to a degree, and to a minute
            raise ConfigError(
                "minutes and seconds go up to 59", where=where, next_step="look at the angle again"
            )
        degrees += minutes / 60 + seconds / 3600
        if degrees >= 90:  # noqa: PLR2004 - a right angle
            raise _too_steep(where)
        return _signed(angle[1], math.radians(degrees))
    number, unit, where = _value(text, "2.5%, 3deg or 1 in 10")
    if unit not in {"%", "percent", "per cent"}:
        raise _no_unit(unit, "slope", "2.5%, 3deg or 1 in 10", where)
    return _flat_enough(math.atan(number / 100), where)


def _value(text: str, example: str) -> tuple[Fraction, str, str]:
    """Take a value apart: number, unit, and the value as it was given."""
    where = repr(text)
    value = _VALUE.fullmatch(plain(text).casefold())
    if value is None:
        raise ConfigError(
            "this is no value",
            where=where,
            next_step=mended(text.strip(), f"state one, such as {example}"),
        )
    number = exact(value[2], where=where)
    return (-number if value[1] == "-" else number), value[3], where


def _no_unit(unit: str, quantity: str, example: str, where: str) -> ConfigError:
    wrong = f"{unit!r} is no unit of {quantity}" if unit else "there is no unit"
    return ConfigError(wrong, where=where, next_step=f"state one, such as {example}")


def _not_negative(number: Fraction, quantity: str, where: str) -> Fraction:
    if number < 0:
        raise ConfigError(
            f"no {quantity} is negative", where=where, next_step=f"state the {quantity} again"
        )
    return number


def _flat_enough(angle_rad: float, where: str) -> float:
    """Refuse a slope that is a right angle to the last digit of a float."""
    if abs(angle_rad) >= math.pi / 2:
        raise _too_steep(where)
    return angle_rad


def _too_steep(where: str) -> ConfigError:
    return ConfigError(
        "a slope is less than a right angle", where=where, next_step="look at the angle again"
    )


def _signed(sign: str, angle_rad: float) -> float:
    return -angle_rad if sign == "-" else angle_rad
