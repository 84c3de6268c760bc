"""The validity table: what is modelled, in which range, how far from the exact form.

Computed, not typed.
"""

from __future__ import annotations

import math

import numpy as np

from calllog.corrections import formulas
from calllog.values import Frozen
from tests.correcting import catenary_sag, mean_pull

LENGTH_FT, PULL_LB, WEIGHT_LB_PER_FT, STIFFNESS_LB = 100.0, 20.0, 0.0127, 108_750.0
"""A usual tape of 100 ft: 0.00375 square inches of steel, as `calllog.tape` finds plausible."""
STEEL_PER_DEGF = 6.45e-6


class Validity(Frozen):
    """One formula at one edge of its range."""

    formula: str
    at: str
    """Where it is tried."""
    error_ft: float
    """What it is off by there: formula less exact form, for 100 ft [ft]."""
    exact_form: str


def validity_table() -> tuple[Validity, ...]:
    """Compare each formula with its exact form, for 100 ft, at the edges of its range."""
    return (*_sag_rows(), *_slope_rows(), *_other_rows())


def _sag_rows() -> list[Validity]:
    rows = []
    for times in (20.0, 10.0, 4.0, 1.25):
        weight = PULL_LB / times / LENGTH_FT
        by_hand = formulas.span_sag(LENGTH_FT, PULL_LB, weight)
        exact = catenary_sag(LENGTH_FT, PULL_LB, weight, STIFFNESS_LB)
        rows.append(
            Validity(
                formula="sag, parabola",
                at=f"pull {times:g} times the weight of the span",
                error_ft=float(by_hand - exact),
                exact_form="elastic catenary",
            )
        )
    for percent in (10.0, 30.0):
        sine = math.sin(math.atan(percent / 100))
        by_hand = formulas.span_sag(LENGTH_FT, PULL_LB, WEIGHT_LB_PER_FT) * (1 - sine**2)
        exact = catenary_sag(LENGTH_FT, PULL_LB, WEIGHT_LB_PER_FT, STIFFNESS_LB, sine * LENGTH_FT)
        rows.append(
            Validity(
                formula="sag on a slope, parabola times cos^2",
                at=f"{percent:g} %, 1.27 lb under 20 lb",
                error_ft=float(by_hand - exact),
                exact_form="elastic catenary",
            )
        )
    rise = 10.0
    middle = float(mean_pull(PULL_LB, rise, WEIGHT_LB_PER_FT, STIFFNESS_LB))
    at_end, at_middle = (
        float(
            catenary_sag(LENGTH_FT, pull, WEIGHT_LB_PER_FT, STIFFNESS_LB, rise)
            + LENGTH_FT * pull / STIFFNESS_LB
        )
        for pull in (PULL_LB, middle)
    )
    rows.append(
        Validity(
            formula="tension at the upper end taken for that at half height",
            at="rise of 10 ft, 1.27 lb under 20 lb",
            error_ft=at_end - at_middle,
            exact_form="energy of an elastic cord",
        )
    )
    return rows


def _slope_rows() -> list[Validity]:
    rows = [
        Validity(
            formula="slope, -h^2/(2 L)",
            at=f"rise of {rise:g} ft",
            error_ft=float(
                formulas.slope_first_order(LENGTH_FT, rise) - formulas.slope(LENGTH_FT, rise)
            ),
            exact_form="sqrt(L^2 - h^2) - L",
        )
        for rise in (2.0, 5.0, 10.0, 30.0)
    ]
    rows.append(
        Validity(
            formula="off line, -d^2/(2 L)",
            at="4 ft off",
            error_ft=float(
                formulas.slope_first_order(LENGTH_FT, 4.0) - formulas.off_line(LENGTH_FT, 4.0)
            ),
            exact_form="sqrt(L^2 - d^2) - L",
        )
    )
    return rows


def _other_rows() -> list[Validity]:
    height, warmer = 5000.0, 60.0
    warm = float(formulas.temperature(LENGTH_FT, 68.0 + warmer, 68.0, STEEL_PER_DEGF))
    stretch = float(formulas.tension(LENGTH_FT, 2 * PULL_LB, PULL_LB, STIFFNESS_LB))
    hooke = LENGTH_FT * ((1 + 2 * PULL_LB / STIFFNESS_LB) / (1 + PULL_LB / STIFFNESS_LB) - 1)
    return [
        Validity(
            formula="elevation, -L h/R",
            at="5000 ft high",
            error_ft=float(
                formulas.elevation_first_order(LENGTH_FT, height)
                - formulas.elevation(LENGTH_FT, height)
            ),
            exact_form="-L h/(R + h)",
        ),
        Validity(
            formula="temperature, alpha L (T - T0)",
            at="60 degF from standard",
            error_ft=warm - LENGTH_FT * float(np.expm1(STEEL_PER_DEGF * warmer)),
            exact_form="L (exp(alpha (T - T0)) - 1)",
        ),
        Validity(
            formula="tension, (P - P0) L/(A E)",
            at="40 lb, standard 20 lb",
            error_ft=stretch - hooke,
            exact_form="from the unstretched length",
        ),
    ]
