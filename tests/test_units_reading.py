"""Readings in feet and metres: one place turns one into the other, exactly."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calllog.units import (
    Foot,
    force_text,
    hundredths,
    in_unit,
    last_digits,
    length_ft,
    parse_force_lbf,
    parse_length,
    parse_temperature_degf,
    reading_ft,
    stated_temperature,
    stated_tension,
    temperature_degf,
    tension_lb,
)
from calllog.values import ReadingUnit

FOOT, METRE = ReadingUnit.FOOT, ReadingUnit.METRE


@pytest.mark.parametrize(
    ("length_ft", "unit", "expected"),
    [
        (15.424, FOOT, 1542),
        (15.426, FOOT, 1543),
        (100.0, METRE, 3048),
        (15.4249, ReadingUnit.FINE_FOOT, 15_425),
        (100.0, ReadingUnit.FINE_METRE, 30_480),
    ],
)
def test_last_digit_of_a_reading(length_ft: float, unit: ReadingUnit, expected: int) -> None:
    """Hundredths, or thousandths on a tape that is read to 0.005 ft or 1 mm."""
    assert last_digits(length_ft, unit) == expected


def test_what_is_no_length_stays_so() -> None:
    """A correction that is not known is none in any unit."""
    assert math.isnan(in_unit(math.nan, METRE))
    assert in_unit(math.inf, METRE) == math.inf
    assert in_unit(1 / 3, FOOT) == 1 / 3


def test_a_tension_is_written_with_its_unit() -> None:
    """20 lb are 88.96 N (NIST SP 811, appendix B.8: 4.448 222 N in a pound of force)."""
    assert force_text(20.0, FOOT, "g") == "20 lb"
    assert force_text(20.0, METRE, ".2f") == "88.96 N"


@given(st.integers(0, 10_099))
def test_feet_stay_the_number_that_was_read(read: int) -> None:
    """A tape in feet books what it always booked, bit for bit."""
    assert reading_ft(read, FOOT) == read / 100
    assert reading_ft((read + 0.5), FOOT) == (read + 0.5) / 100
    assert in_unit(read / 100, FOOT) == read / 100


@given(st.integers(0, 10_099))
def test_metres_come_back_as_they_were_read(read: int) -> None:
    """Whatever can be read on a metric tape is the same hundredths after the engine's feet."""
    feet = reading_ft(read, METRE)
    assert feet == float(parse_length(f"{read / 100:.2f} m").feet(Foot.INTERNATIONAL))
    assert hundredths(feet, METRE) == read
    assert in_unit(feet, METRE) == read / 100


def test_metre_is_exact() -> None:
    """An international foot is 0.3048 m, no more and no less."""
    assert reading_ft(3048, METRE) == 100.0
    assert length_ft(0.3048, METRE) == 1.0
    assert Fraction(in_unit(1250.0, METRE)) == 381


@given(st.integers(-40, 60))
def test_celsius_is_the_fahrenheit_of_the_command_line(degrees: int) -> None:
    """Said, typed or given as an option: the same temperature; and it is shown as it was said."""
    assert temperature_degf(degrees, METRE) == parse_temperature_degf(f"{degrees}C")
    assert stated_temperature(temperature_degf(degrees, METRE), METRE) == degrees
    assert temperature_degf(degrees, FOOT) == stated_temperature(degrees, FOOT) == degrees


@given(st.integers(1, 300))
def test_newtons_are_the_pounds_of_the_command_line(force: int) -> None:
    """Said, typed or given as an option: the same tension; and it is shown as it was said."""
    assert tension_lb(force, METRE) == parse_force_lbf(f"{force}N")
    assert stated_tension(tension_lb(force, METRE), METRE) == force
    assert tension_lb(force, FOOT) == stated_tension(force, FOOT) == force
