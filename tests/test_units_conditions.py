"""Temperatures, tensions, weights and slopes as they are written."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calllog.errors import ConfigError
from calllog.units import (
    parse_force_lbf,
    parse_slope_rad,
    parse_temperature_degf,
)


@pytest.mark.parametrize(
    ("text", "degf"),
    [
        # Standard temperatures of tapes, foot system and metric: SURE 110 and GEE 141: read.
        ("68F", 68.0),
        ("20C", 68.0),
        ("50 degF", 50.0),
        ("50 deg F", 50.0),
        ("50°F", 50.0),
        ("122 degrees Fahrenheit", 122.0),
        ("10C", 50.0),
        ("-40 degC", -40.0),
        ("-40 °F", -40.0),
        ("+10 Celsius", 50.0),
        ("68.5F", 68.5),
    ],
)
def test_temperatures(text: str, degf: float) -> None:
    """Both scales, to the last bit."""
    assert parse_temperature_degf(text) == degf


@pytest.mark.parametrize(
    ("text", "lbf", "tolerance"),
    [
        ("15lb", 15.0, 0.0),
        ("15 lbf", 15.0, 0.0),
        ("15 pounds", 15.0, 0.0),
        ("8 oz", 0.5, 0.0),
        # 15 lb is 66.7 N: conditions of good tape work (Hicks, and engineeringcivil.com): read.
        ("66.7 N", 15.0, 0.012),
        # 1 lb is 4.448 N: SURE 110 and GEE 141: read.
        ("4.448 N", 1.0, 0.0002),
        # By the exact definitions: 1 kgf is 1/0.45359237 lbf.
        ("6.8 kgf", 6.8 / 0.45359237, 1e-12),
        ("10 kg", 10 / 0.45359237, 1e-12),
        ("9.80665 N", 1 / 0.45359237, 1e-12),
    ],
)
def test_tensions(text: str, lbf: float, tolerance: float) -> None:
    """Pounds of force; kilograms pull as they weigh under standard gravity."""
    assert parse_force_lbf(text) == pytest.approx(lbf, abs=tolerance, rel=0)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("3deg", 3.0),
        ("3°", 3.0),
        ("-3 degrees", -3.0),
        ("15 deg 25 min", 15 + 25 / 60),
        ("15° 25' 30\"", 15 + 25 / 60 + 30 / 3600),
        ("100%", 45.0),
        ("-100 percent", -45.0),
        ("1 in 1", 45.0),
        ("0%", 0.0),
    ],
)
def test_angles(text: str, degrees: float) -> None:
    """A vertical angle, upwards positive."""
    assert math.degrees(parse_slope_rad(text)) == pytest.approx(degrees, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "along", "level", "tolerance"),
    [
        # 756.52 m at 15 deg 25 min: assignmentexpert.com question 259114: read.
        ("15 deg 25 min", 756.52, 729.30, 0.005),
        # 300.00 ft at 5 deg: slides "Taping Corrections": read.
        ("5deg", 300.0, 298.86, 0.005),
        # 285.5 m at 1 in 10, exactly: the tape's 283.6096 m of GATE 2019 without its other
        # correction of -0.47583 m; worked here.
        ("1 in 10", 285.5 - 0.47583, 283.6096, 0.0001),
        ("1:10", 285.5 - 0.47583, 283.6096, 0.0001),
        ("10%", 100.0, 99.504, 0.0005),
    ],
)
def test_slopes_give_printed_lengths(
    text: str, along: float, level: float, tolerance: float
) -> None:
    """The level length by the angle read."""
    assert along * math.cos(parse_slope_rad(text)) == pytest.approx(level, abs=tolerance)


@pytest.mark.parametrize(
    ("parse", "text", "message"),
    [
        (parse_temperature_degf, "50", "'50': there is no unit; state one, such as 50F or 10C"),
        (parse_temperature_degf, "50 lb", "'lb' is no unit of temperature"),
        (parse_temperature_degf, "50 deg", "'deg' is no unit of temperature"),
        (parse_temperature_degf, "warm", "this is no value"),
        (parse_temperature_degf, "", "this is no value"),
        (parse_force_lbf, "66,723 N", "66,723 may be 66.723 or 66723"),
        (parse_force_lbf, "15,5 lb", "set a point before decimals, not a comma: 15.5 lb"),
        (parse_force_lbf, "15", "there is no unit; state one, such as 15lb or 66.7 N"),
        (parse_force_lbf, "75 kN", "'kn' is no unit of force"),
        (parse_force_lbf, "15 lb/ft", "is no unit of force"),
        (parse_force_lbf, "-15 lb", "no tension is negative"),
        (parse_force_lbf, "1/0 lb", "divided by zero"),
        (parse_slope_rad, "2.5", "there is no unit; state one, such as 2.5%, 3deg or 1 in 10"),
        (parse_slope_rad, "3 ft", "'ft' is no unit of slope"),
        (parse_slope_rad, "90deg", "a slope is less than a right angle"),
        (parse_slope_rad, "1 in 0", "a slope is less than a right angle"),
        (parse_slope_rad, "15 deg 60 min", "minutes and seconds go up to 59"),
    ],
)
def test_conditions_without_their_unit_are_refused(
    parse: Callable[[str], float], text: str, message: str
) -> None:
    """The error says what is missing and what to state."""
    with pytest.raises(ConfigError) as error:
        parse(text)
    assert message in str(error.value)
    assert error.value.next_step


@given(st.text(alphabet="0123456789 .,/-+'\"°%FClbNkgindegmrp:", max_size=20) | st.text())
def test_any_text_is_a_condition_or_refused(text: str) -> None:
    """A finite number or the one declared error, never another."""
    for parse in (
        parse_temperature_degf,
        parse_force_lbf,
        parse_slope_rad,
    ):
        try:
            found = parse(text)
        except ConfigError:
            continue
        assert math.isfinite(found)
