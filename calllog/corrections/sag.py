"""Hanging pulls in, how their sag goes with each uncertain input, out; arrays; pure.

The parabola's partials are written out. Where the catenary is in use its own are taken by central
differences: it is smooth, so that they are right to a millionth of themselves.
"""

import math
from dataclasses import dataclass, fields, replace
from functools import cache

import numpy as np

from calllog.corrections.arrays import CorrectionArrays
from calllog.corrections.hanging import catenary_ft, throughout_length_ft
from calllog.corrections.moments import Rule, Split, split
from calllog.corrections.practice import Practice
from calllog.corrections.pulls import Floats, Pulls, or_zero, ratio
from calllog.corrections.uncertainty import Uncertain
from calllog.tape import Certificate

STEP = 1e-4
"""Share by which an input is moved for a difference."""
LEAST_SHARE = 0.01
"""Of the tension stated; nobody pulls less by mistake."""


@dataclass(frozen=True, slots=True)
class SagPartials:
    """How the sag of n pulls goes with its inputs, shape (n,) each; 0 where there is none."""

    by_length_ft: Floats
    """L dS/dL."""
    by_weight_ft: Floats
    """w dS/dw, in the mean over the tension's spread."""
    by_slope_ft: Floats
    """dS/dh [ft per ft], or dS/da of a slope that is stated as an angle [ft per rad]."""
    by_tension: Split
    """By the shares by which a pull differs from the crew's mean, and that mean from its own; of
    the level length."""


def sag_partials(
    pulls: Pulls,
    found: CorrectionArrays,
    certificate: Certificate,
    practice: Practice,
    slant: Floats,
) -> SagPartials:
    """Find how the sag of pulls goes with length, weight, slope and tension.

    Args:
        pulls: lengths and conditions, shape (n,).
        found: their corrections.
        certificate: of the tape.
        practice: how well the crew knows its tension.
        slant: dH/dA of each, by which the effects of its tension are told.
    """
    sag_ft, sine = or_zero(found.sag_ft), _sine(pulls)
    flat_ft = sag_ft / (1 - _square(sine))
    by_length_ft = sag_ft + 2 * flat_ft
    by_slope_ft = -2 * flat_ft * ratio(sine, pulls.length_read_ft)
    if pulls.sine is not None:
        here = pulls.by_grade
        by_length_ft = np.where(here, 3 * sag_ft, by_length_ft)
        by_slope_ft = np.where(here, -2 * flat_ft * sine * np.sqrt(1 - sine**2), by_slope_ft)
    parabola = _parabola(practice.tension_share, practice.tension_habit_share)
    by_tension = parabola.times(slant * sag_ft)
    by_weight_ft = sag_ft * (2 * (1 + parabola.mean))
    here = found.is_catenary
    if not here.any():
        return SagPartials(by_length_ft, by_weight_ft, by_slope_ft, by_tension)
    one, other = Rule.of(practice.tension_share), Rule.of(practice.tension_habit_share)
    exact = _catenary_partials(pulls, here, certificate, one, other)
    exact = replace(exact, by_tension=exact.by_tension.times(slant[here]))
    for into, value in (
        (by_length_ft, exact.by_length_ft),
        (by_weight_ft, exact.by_weight_ft),
        (by_slope_ft, exact.by_slope_ft),
        *(
            (getattr(by_tension, each.name), getattr(exact.by_tension, each.name))
            for each in fields(Split)
        ),
    ):
        into[here] = value
    return SagPartials(by_length_ft, by_weight_ft, by_slope_ft, by_tension)


@cache
def _parabola(each: Uncertain, habit: Uncertain) -> Split:
    """Split what the two tension errors do to one foot of sag that goes by the parabola."""
    one, other = Rule.of(each), Rule.of(habit)
    share = np.maximum(1 + one.points[:, None] + other.points[None, :], LEAST_SHARE)
    return split((share**-2)[None], np.ones(1), one, other)


def _catenary_partials(
    pulls: Pulls, here: np.ndarray, certificate: Certificate, one: Rule, other: Rule
) -> SagPartials:
    """Give the partials of those pulls that hang in a catenary, by differences."""
    length_ft, count, pull_lb = (
        values[here] for values in (pulls.length_read_ft, pulls.spans, pulls.tension_lb)
    )
    rise_ft, sine = or_zero(pulls.rise_ft[here]), pulls.fixed_sine[here]

    def sag_ft(
        longer: float = 1.0, heavier: float = 1.0, higher: float = 0.0, turned: float = 0.0
    ) -> Floats:
        return catenary_ft(
            length_ft * longer,
            count,
            pull_lb,
            certificate,
            rise_ft=np.abs(rise_ft) + higher,
            sine=np.sin(np.arcsin(sine) + turned),
            heavier=heavier,
        )

    share = 1 + one.points[:, None] + other.points[None, :]

    def under_all(heavier: float = 1.0) -> Floats:
        """Give the sag under every pull of both rules, shape (n, points, points)."""
        return catenary_ft(
            length_ft[:, None, None],
            count[:, None, None],
            pull_lb[:, None, None] * np.maximum(share, LEAST_SHARE),
            certificate,
            rise_ft=rise_ft[:, None, None],
            sine=sine[:, None, None],
            heavier=heavier,
        )

    more, less = (
        np.einsum("nij,i,j->n", under_all(1 + step), one.weights, other.weights)
        for step in (STEP, -STEP)
    )
    move_ft = STEP * length_ft.max()
    by_rise = (sag_ft(higher=move_ft) - sag_ft(higher=-move_ft)) / (2 * move_ft)
    by_angle = (sag_ft(turned=STEP) - sag_ft(turned=-STEP)) / (2 * STEP)
    return SagPartials(
        by_length_ft=(sag_ft(longer=1 + STEP) - sag_ft(longer=1 - STEP)) / (2 * STEP),
        by_weight_ft=(more - less) / (2 * STEP),
        by_slope_ft=np.where(np.isnan(sine), np.sign(rise_ft) * by_rise, by_angle),
        by_tension=split(under_all(), sag_ft(), one, other),
    )


def bench_by_weight_ft(certificate: Certificate) -> float:
    """Give what a share of the weight does to the length of a tape that was certified hanging [ft].

    Its sag on the bench is taken out of the certified length, so this is positive.
    """
    hung_ft = throughout_length_ft(certificate) - certificate.certified_length_ft
    if not hung_ft:
        return 0.0
    more, less = (
        throughout_length_ft(
            certificate.model_copy(
                update={"weight_lb_per_ft": certificate.weight_lb_per_ft * (1 + step)}
            )
        )
        for step in (STEP, -STEP)
    )
    by_difference_ft = (more - less) / (2 * STEP)
    # A difference over the change from one form to the other says nothing.
    is_smooth = math.isclose(by_difference_ft, 2 * hung_ft, rel_tol=0.5)
    return by_difference_ft if is_smooth else 2 * hung_ft


def steepness(pulls: Pulls) -> Floats:
    """Give sin^2 of each pull's slope; 0 where it is none or not known, always less than 1."""
    return _square(_sine(pulls))


def _sine(pulls: Pulls) -> Floats:
    by_rise = ratio(or_zero(pulls.rise_ft), pulls.length_read_ft)
    return by_rise if pulls.sine is None else np.where(pulls.by_grade, pulls.sine, by_rise)


def _square(sine: Floats) -> Floats:
    square: Floats = np.minimum(sine**2, 1 - 1e-9)
    return square
