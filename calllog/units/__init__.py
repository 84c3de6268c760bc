"""Lengths and areas as exact rationals, and conditions with their units; pure."""

from calllog.units.conditions import (
    POUND_KG,
    parse_force_lbf,
    parse_slope_rad,
    parse_temperature_degf,
)
from calllog.units.foot import Foot
from calllog.units.measure import Length, form_of, parse_form, parse_length, parse_measure, show
from calllog.units.numbers import rounded, written_out
from calllog.units.reading import (
    POUND_N,
    UNIT_FT,
    figure,
    force_text,
    hundredths,
    in_unit,
    last_digits,
    length_ft,
    reading_ft,
    said_in,
    stated_length,
    stated_temperature,
    stated_tension,
    temperature_degf,
    tension_lb,
)
from calllog.units.table import find_unit

__all__ = [
    "POUND_KG",
    "POUND_N",
    "UNIT_FT",
    "Foot",
    "Length",
    "figure",
    "find_unit",
    "force_text",
    "form_of",
    "hundredths",
    "in_unit",
    "last_digits",
    "length_ft",
    "parse_force_lbf",
    "parse_form",
    "parse_length",
    "parse_measure",
    "parse_slope_rad",
    "parse_temperature_degf",
    "reading_ft",
    "rounded",
    "said_in",
    "show",
    "stated_length",
    "stated_temperature",
    "stated_tension",
    "temperature_degf",
    "tension_lb",
    "written_out",
]
