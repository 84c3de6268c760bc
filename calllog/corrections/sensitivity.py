"""Pulls with one tape in, the effect of every uncertain input on their horizontal lengths; pure.

The horizontal length is ``D = sqrt(A^2 - h^2)``, where the length along the slope is
``A = L + L (l' - l)/l + alpha L (T - T0) + L (P - P0)/(A E) + S``, ``S = - n w^2 (L/n)^3 / (24 P^2)
(1 - h^2/L^2)``, and l' is the certified length supported throughout. With a grade that is stated as
such, ``D = A cos a`` and ``cos^2 a`` stands in S. Sensitivities are its partial derivatives, each
written out; `tests/test_corrections_sensitivity.py` compares them with numeric ones. Where the
catenary is taken for S its own partials are taken, by small differences. Sag bends too much within
the spread of a tension for partials: see `calllog.corrections.moments`.

Where a condition is not known its correction is absent and its uncertainty is not: the true effect
lies about 0, as `calllog.corrections.practice` states it.
"""

from collections.abc import Iterator
from dataclasses import replace
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from calllog.corrections.arrays import BLOCK, CorrectionArrays
from calllog.corrections.formulas import equal_spans_sag
from calllog.corrections.practice import PRACTICE, READING, Practice
from calllog.corrections.pulls import POSITIONS, Floats, Pulls, or_zero, ratio
from calllog.corrections.sag import SagPartials, bench_by_weight_ft, sag_partials, steepness
from calllog.corrections.uncertainty import (
    Combined,
    Component,
    ComponentKind,
    Input,
    Uncertain,
    bent,
    combine,
    curvature,
    join_parts,
    linear,
    normal,
    product,
)
from calllog.errors import ConfigError
from calllog.tape import Certificate

BOTH_ENDS = 2**0.5
"""Two ends, each with its own error."""


def pull_components(
    pulls: Pulls,
    found: CorrectionArrays,
    certificate: Certificate,
    practice: Practice = PRACTICE,
) -> Iterator[Component]:
    """Give what each uncertain input does to each pull's horizontal length.

    First partials, and second ones for rise, grade, level and line; of the tension the whole course
    of sag. Against draws of all inputs the standard uncertainty of hanging pulls comes out right to
    1 %, over the whole validity table (`tests/test_corrections_sensitivity.py`).

    Args:
        pulls: lengths and conditions, shape (n,).
        found: their corrections, as `calllog.corrections.arrays.correct_arrays` gives them.
        certificate: of the tape; inputs named with the tape's identity are its own, the others are
            the crew's or of steel as such, so that several tapes share them.
        practice: how well the crew knows what it does.

    Yields:
        Components of shape (n,), sensitivities in feet per unit of the input; inputs that act on
        no pull are left out.

    Raises:
        ConfigError: a tape hangs straight down, so that its horizontal length is 0.
    """
    level_ft = pulls.length_read_ft + found.sum_ft
    by_grade = pulls.by_grade
    if np.any(~(level_ft > 0) & ~by_grade & (or_zero(pulls.rise_ft) != 0)):
        raise ConfigError(
            "a rise as great as the length leaves no horizontal length to be sure of",
            next_step="measure that pull again, with its rise stated",
        )
    slant = ratio(found.along_ft, level_ft)
    if by_grade.any():
        slant = np.where(by_grade, np.sqrt(1 - or_zero(pulls.fixed_sine) ** 2), slant)
    sag = sag_partials(pulls, found, certificate, practice, slant)
    yield from _marks(pulls, practice)
    along = (
        _tape(pulls, found, certificate, practice, slant=slant, sag=sag),
        _temperature(pulls, certificate, practice, slant),
        _tension(pulls, found, certificate, practice, slant=slant, sag=sag),
        _level(pulls, found, practice, level_ft=level_ft, slant=slant, sag=sag),
    )
    if pulls.off_line_ft is None:
        yield from chain(*along)
        yield from _by_eye(practice, level_ft)
        return
    measured = ~np.isnan(pulls.off_line_ft)
    aside_ft = np.where(measured, pulls.off_line_ft, 0.0)
    line_ft = np.sqrt(level_ft**2 - np.minimum(aside_ft**2, level_ft**2 * (1 - 1e-12)))
    aslant = level_ft / line_ft
    for item in chain(*along):
        yield replace(item, sensitivity=item.sensitivity * aslant)
    if not measured.all():
        yield from _by_eye(practice, level_ft * ~measured)
    name, given = Input("off-line-measured"), practice.off_line_ft
    yield linear(name, ComponentKind.COMMON, given, "ft", -aside_ft / line_ft)
    bend = -(aslant**2) / line_ft * measured
    yield from curvature(name, ComponentKind.COMMON, given, "ft", bend)


def _by_eye(practice: Practice, level_ft: Floats) -> Iterator[Component]:
    """Give what lining in by eye does: a share of the length, of either side."""
    given = practice.off_line_share
    yield from curvature(Input("off-line"), ComponentKind.RANDOM, given, "share", -level_ft)


def combine_pulls(
    pulls: Pulls,
    found: CorrectionArrays,
    certificate: Certificate,
    practice: Practice = PRACTICE,
) -> Combined:
    """Combine the components of many pulls with one tape, block by block.

    The same as `calllog.corrections.uncertainty.combine` of `pull_components`; blocks that stay in
    the processor's cache make it fast.

    Returns:
        Standard uncertainties (k = 1) of shape (n,), and the parts of their sum [ft].

    Raises:
        ConfigError: a tape hangs straight down.
    """
    blocks = [
        combine(pull_components(pulls.part(here), found.part(here), certificate, practice))
        for start in range(0, len(pulls.length_read_ft), BLOCK)
        for here in (slice(start, start + BLOCK),)
    ]
    return Combined(
        u_random=np.concatenate([block.u_random for block in blocks]),
        u_common=np.concatenate([block.u_common for block in blocks]),
        parts=join_parts(part for block in blocks for part in block.parts),
    )


def _marks(pulls: Pulls, practice: Practice) -> Iterator[Component]:
    yield linear(
        Input("marking"),
        ComponentKind.RANDOM,
        practice.marking_ft,
        "ft",
        np.ones(pulls.position.shape),
    )
    position = pulls.position
    if (position < 0).any():
        position = np.where(pulls.spans == 0, np.maximum(position, 0), position)
    for index, height in enumerate((*POSITIONS, "")):
        here = position == (index if height else -1)
        if here.any():
            name = Input("plumbing", height) if height else Input("plumbing-not-stated")
            given: Uncertain = getattr(practice, f"plumb_{height or 'chest'}_ft")
            yield linear(name, ComponentKind.RANDOM, given, "ft", here * BOTH_ENDS)


def _tape(
    pulls: Pulls,
    found: CorrectionArrays,
    certificate: Certificate,
    practice: Practice,
    *,
    slant: Floats,
    sag: SagPartials,
) -> Iterator[Component]:
    length_ft, nominal_ft = pulls.length_read_ft, float(certificate.nominal_ft)
    growth_ft = found.along_ft + sag.by_length_ft - or_zero(found.sag_ft)  # L dA/dL
    read: Uncertain = getattr(practice, READING[certificate.unit])
    yield linear(
        Input("reading"), ComponentKind.RANDOM, read, "ft", slant * ratio(growth_ft, length_ft)
    )
    tapes = slant * length_ft / nominal_ft  # how many tapes long
    tape = certificate.identity
    u_ft = certificate.u_certified_length_ft
    share = practice.certificate_share
    given = (
        share.model_copy(update={"half_width": share.half_width * nominal_ft})
        if u_ft is None
        else normal(u_ft, "certificate")
    )
    yield linear(Input("certified-length", tape), ComponentKind.COMMON, given, "ft", tapes)
    by_weight_ft = slant * sag.by_weight_ft + tapes * bench_by_weight_ft(certificate)
    if by_weight_ft.any():
        name, given = Input("weight", tape), practice.weight_share
        if "weight_lb_per_ft" in certificate.assumed:
            given = practice.weight_assumed_share
        yield linear(name, ComponentKind.COMMON, given, "share", by_weight_ft)
    by_stiffness_ft = -slant * or_zero(found.tension_ft)
    if by_stiffness_ft.any():
        name, given = Input("stiffness", tape), practice.stiffness_share
        if "area_in2" in certificate.assumed:
            given = practice.stiffness_assumed_share
        yield linear(name, ComponentKind.COMMON, given, "share", by_stiffness_ft)


def _temperature(
    pulls: Pulls, certificate: Certificate, practice: Practice, slant: Floats
) -> Iterator[Component]:
    per_degf = slant * certificate.alpha_per_degf * pulls.length_read_ft
    warmer_degf = pulls.temperature_degf - certificate.certified_temperature_degf
    known = ~np.isnan(warmer_degf)
    if known.any():
        stated = per_degf if known.all() else per_degf * known
        given = practice.temperature_degf
        yield linear(Input("temperature"), ComponentKind.RANDOM, given, "degF", stated)
        yield linear(
            Input("thermometer"), ComponentKind.COMMON, practice.thermometer_degf, "degF", stated
        )
        name, by_alpha = Input("expansion"), stated * or_zero(warmer_degf)
        yield linear(name, ComponentKind.COMMON, practice.alpha_share, "share", by_alpha)
    if not known.all():
        unknown, given = per_degf * ~known, practice.temperature_unknown_degf
        yield linear(Input("temperature-unknown"), ComponentKind.COMMON, given, "degF", unknown)


def _tension(
    pulls: Pulls,
    found: CorrectionArrays,
    certificate: Certificate,
    practice: Practice,
    *,
    slant: Floats,
    sag: SagPartials,
) -> Iterator[Component]:
    length_ft, pull_lb = pulls.length_read_ft, or_zero(pulls.tension_lb)
    stretch_ft = slant * length_ft / (certificate.area_in2 * certificate.modulus_psi)  # per lb
    known = pull_lb > 0
    if known.any():
        each, habit = practice.tension_share, practice.tension_habit_share
        bends = sag.by_tension
        straight_ft, is_bent = stretch_ft * pull_lb, bends.mean.any()
        by_variance = bends.mean / (each.standard**2 + habit.standard**2) if is_bent else bends.mean
        for name, kind, given, by_sag_ft, spread_ft in (
            (Input("tension"), ComponentKind.RANDOM, each, bends.one, bends.one_spread),
            (Input("tension-habit"), ComponentKind.COMMON, habit, bends.other, bends.other_spread),
        ):
            yield linear(name, kind, given, "share", straight_ft + by_sag_ft)
            if is_bent:
                spread = spread_ft / (given.square or 1.0)
                yield from bent(name, kind, given, "share", mean=by_variance, spread=spread)
        if each.standard and habit.standard and is_bent:
            u = each.standard * habit.standard
            name = Input("tension-times-habit")
            by_both = bends.both_spread / u
            yield product(
                name,
                ComponentKind.RANDOM,
                one=each,
                other=habit,
                unit="share^2",
                mixed_partial=by_both,
            )
    if not known.all():
        given = practice.tension_unknown_lb
        yield linear(
            Input("tension-unknown"), ComponentKind.COMMON, given, "lb", stretch_ft * ~known
        )
    unsure = np.isnan(found.sag_ft)
    if unsure.any():
        count = np.where(pulls.spans == -1, 1, pulls.spans)
        usable_lb = np.where(known, pull_lb, practice.least_usual_pull_lb)
        weight = certificate.weight_lb_per_ft
        most_ft = slant * equal_spans_sag(length_ft, count, usable_lb, weight)
        most_ft = most_ft * (1 - steepness(pulls))
        given = practice.sag_unknown_share
        yield linear(Input("sag-unknown"), ComponentKind.COMMON, given, "share", most_ft * unsure)


def _level(
    pulls: Pulls,
    found: CorrectionArrays,
    practice: Practice,
    *,
    level_ft: Floats,
    slant: Floats,
    sag: SagPartials,
) -> Iterator[Component]:
    by_grade, unknown, stated = pulls.by_grade, ~pulls.is_slope_known, pulls.rise_ft == 0
    if pulls.sine is not None:
        stated = np.where(by_grade, pulls.sine == 0, stated)
    measured: NDArray[np.bool_] = ~(unknown | stated | by_grade)
    for code, given, where in (
        ("level", practice.level_share, stated),
        ("slope-unknown", practice.slope_unknown_share, unknown),
    ):
        if where.any():
            yield from curvature(
                Input(code), ComponentKind.RANDOM, given, "share", -level_ft * where
            )
    if measured.any():
        given, per_ft = practice.rise_ft, measured * ratio(measured, level_ft)
        by_rise = slant * sag.by_slope_ft * measured - or_zero(pulls.rise_ft) * per_ft
        yield linear(Input("rise"), ComponentKind.RANDOM, given, "ft", by_rise)
        yield from curvature(Input("rise"), ComponentKind.RANDOM, given, "ft", -(slant**2) * per_ft)
    graded = by_grade & ~stated
    if graded.any():
        # One angle, stated once for all pulls of its length: its error is common to them.
        given = practice.slope_angle_rad
        by_angle = (slant * sag.by_slope_ft - or_zero(pulls.fixed_sine) * found.along_ft) * graded
        yield linear(Input("angle"), ComponentKind.COMMON, given, "rad", by_angle)
        yield from curvature(Input("angle"), ComponentKind.COMMON, given, "rad", -level_ft * graded)
