"""Lengths and areas as exact rationals, and conditions with their units; pure."""

from calllog.units.conditions import (
    parse_force_lbf,
    parse_slope_rad,
    parse_temperature_degf,
    parse_weight_lb_per_ft,
)
from calllog.units.foot import Foot
from calllog.units.measure import (
    Area,
    Form,
    Length,
    Measure,
    form_of,
    parse_form,
    parse_length,
    parse_measure,
    show,
)
from calllog.units.numbers import rounded, written_out
from calllog.units.table import UNITS, Dimension, Unit, find_unit

__all__ = [
    "UNITS",
    "Area",
    "Dimension",
    "Foot",
    "Form",
    "Length",
    "Measure",
    "Unit",
    "find_unit",
    "form_of",
    "parse_force_lbf",
    "parse_form",
    "parse_length",
    "parse_measure",
    "parse_slope_rad",
    "parse_temperature_degf",
    "parse_weight_lb_per_ft",
    "rounded",
    "show",
    "written_out",
]
