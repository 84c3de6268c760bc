"""Many lengths read with one tape in, each correction apart out, all as arrays; pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from calllog.corrections.correct import (
    LEAST_LB,
    MOST_STRAIN,
    NEGLIGIBLE_FT,
    POSSIBLE_DEGF,
    correct,
    throughout_length_ft,
)
from calllog.corrections.formulas import (
    slope,
    standardisation,
    temperature,
    tension,
)
from calllog.corrections.hanging import hang
from calllog.corrections.made_of import CLOSE_FT, reach_ft
from calllog.errors import ConfigError
from calllog.tape import MOST_SPANS, Certificate
from calllog.values import Conditions

Floats = NDArray[np.float64]
POSITIONS = ("ground", "knee", "waist", "chest")
"""Where a tape may be held, from the lowest up."""
BLOCK = 16_384
"""Pulls worked on together, so that they stay in the processor's cache."""
PARTS = ("standardisation_ft", "temperature_ft", "tension_ft", "sag_ft", "slope_ft")
ROUNDING = 1e-12
"""Relative difference that two ways of adding up the same corrections may leave."""


@dataclass(frozen=True, slots=True)
class Pulls:
    """Lengths read and conditions of n pulls with one tape, each of shape (n,).

    A condition that is not known is NaN, or -1 where it is a whole number.
    """

    length_read_ft: Floats
    temperature_degf: Floats
    tension_lb: Floats
    spans: NDArray[np.int64]
    """0 throughout, 1 at the ends only, n at n equal spans; -1 not known."""
    rise_ft: Floats
    position: NDArray[np.int64]
    """Index into `POSITIONS`; -1 not known."""
    sine: Floats | None = None
    """Of the grade, where it was stated as an angle or in percent and not as a rise; NaN where it
    was not; None for nowhere."""
    off_line_ft: Floats | None = None
    """How far one end was off the line, where that was measured; counts in the uncertainty only.
    NaN or None where it was not."""

    @property
    def fixed_sine(self) -> Floats:
        """The sine of each grade that was stated as such, NaN for all others, shape (n,)."""
        return np.full(self.length_read_ft.shape, np.nan) if self.sine is None else self.sine

    @property
    def is_slope_known(self) -> NDArray[np.bool_]:
        """Whether a slope was stated, were it none, shape (n,)."""
        return ~np.isnan(self.rise_ft) | ~np.isnan(self.fixed_sine)

    @classmethod
    def build(cls, lengths_read_ft: Sequence[float], conditions: Sequence[Conditions]) -> Pulls:
        """Put pulls side by side.

        Args:
            lengths_read_ft: in the tape's own marks [ft].
            conditions: those in force, one for each length; None becomes NaN or -1.

        Returns:
            Their arrays, in the same order.
        """
        return cls(
            length_read_ft=np.array(lengths_read_ft, dtype=np.float64),
            temperature_degf=_known_or_nan([one.temperature_degf for one in conditions]),
            tension_lb=_known_or_nan([one.tension_lb for one in conditions]),
            spans=np.array(
                [-1 if one.spans is None else one.spans for one in conditions], np.int64
            ),
            rise_ft=_known_or_nan([one.rise_ft for one in conditions]),
            position=np.array([_position(one.position) for one in conditions], np.int64),
        )

    def part(self, here: slice) -> Pulls:
        """Cut some of the pulls out, in place."""
        stated = {field.name: getattr(self, field.name) for field in fields(self)}
        cut = {name: values[here] for name, values in stated.items() if values is not None}
        return replace(self, **cut)

    def conditions(self, index: int) -> Conditions:
        """Give the conditions of one pull as a value, None for what is not known.

        What no conditions can be is kept as it is, so that `correct` says what is wrong with it.
        """
        degf, pull_lb, rise_ft = (
            None if np.isnan(values[index]) else float(values[index])
            for values in (self.temperature_degf, self.tension_lb, self.rise_ft)
        )
        spans, position = int(self.spans[index]), int(self.position[index])
        return Conditions.model_construct(
            temperature_degf=degf,
            tension_lb=pull_lb,
            spans=None if spans == -1 else spans,
            rise_ft=rise_ft,
            position=None if position == -1 else POSITIONS[position],
        )


@dataclass(frozen=True, slots=True)
class CorrectionArrays:
    """What is added to n lengths read, each apart, shape (n,) [ft]; NaN where not known."""

    standardisation_ft: Floats
    temperature_ft: Floats
    tension_ft: Floats
    sag_ft: Floats
    slope_ft: Floats
    along_ft: Floats
    """The length along the slope: read, and corrected by all known but the slope."""
    sum_ft: Floats
    """Sum of those that are known."""
    is_catenary: NDArray[np.bool_]
    """Where sag is that of the catenary, since the parabola is off by too much."""

    def part(self, here: slice) -> CorrectionArrays:
        """Cut some of the pulls out, in place."""
        return CorrectionArrays(*(getattr(self, field.name)[here] for field in fields(self)))


def correct_arrays(pulls: Pulls, certificate: Certificate) -> CorrectionArrays:
    """Find what has to be added to many lengths read with one tape, each correction apart.

    The same formulas and rules as `calllog.corrections.correct`, for all pulls at once. An infinite
    condition or length is refused as there; a NaN among the lengths too.

    Args:
        pulls: lengths and conditions, shape (n,) each.
        certificate: that of the tape on which all were read.

    Returns:
        The corrections, shape (n,) each [ft].

    Raises:
        ConfigError: a pull is impossible, as for `correct`; the first such is named, from 0.

    Example:
        >>> from calllog.tape import Certificate, Foot
        >>> from calllog.values import Style
        >>> tape = Certificate(
        ...     identity="T-1", style=Style.FULL, nominal_ft=100, certified_length_ft=100.004,
        ...     certified_spans=0, certified_temperature_degf=68.0, certified_tension_lb=10.0,
        ...     weight_lb_per_ft=0.0128, area_in2=0.00375, foot=Foot.US_SURVEY,
        ... )
        >>> warm, unknown = Conditions(temperature_degf=88.0), Conditions()
        >>> correct_arrays(Pulls.build([100.0, 50.0], [warm, unknown]), tape).sum_ft.round(4)
        array([0.0169, 0.002 ])
    """
    is_long = pulls.length_read_ft > reach_ft(certificate) + CLOSE_FT
    if is_long.any():
        return _several_each(pulls, certificate, is_long & np.isfinite(pulls.length_read_ft))
    count = len(pulls.length_read_ft)
    if count <= BLOCK:
        return _one_each(pulls, certificate)
    blocks = []
    for start in range(0, count, BLOCK):
        try:
            blocks.append(_one_each(pulls.part(slice(start, start + BLOCK)), certificate))
        except ConfigError:
            _one_each(pulls, certificate)  # which names the pull by its place among all
            raise
    return CorrectionArrays(
        *(
            np.concatenate([getattr(block, field.name) for block in blocks])
            for field in fields(CorrectionArrays)
        )
    )


def _several_each(
    pulls: Pulls, certificate: Certificate, is_long: NDArray[np.bool_]
) -> CorrectionArrays:
    """Correct pulls of which some are longer than the tape, and so are several."""
    found = _one_each(
        replace(
            pulls,
            length_read_ft=np.where(is_long, 0.0, pulls.length_read_ft),
            rise_ft=np.where(is_long, np.nan, pulls.rise_ft),
        ),
        certificate,
    )
    for index in np.flatnonzero(is_long).tolist():
        length_ft, conditions = float(pulls.length_read_ft[index]), pulls.conditions(index)
        try:
            one = correct(length_ft, certificate, conditions)
        except ConfigError as error:
            raise _of_pull(index, error) from error
        for name in PARTS:
            value = getattr(one, name)
            getattr(found, name)[index] = np.nan if value is None else value
        found.along_ft[index] = length_ft + one.sum_ft - (one.slope_ft or 0.0)
        found.sum_ft[index] = one.sum_ft
    return found


def _one_each(pulls: Pulls, certificate: Certificate) -> CorrectionArrays:
    length_ft, degf, pull_lb = pulls.length_read_ft, pulls.temperature_degf, pulls.tension_lb
    count = np.maximum(pulls.spans, 1)
    least_lb = certificate.weight_lb_per_ft * length_ft / (2 * count)
    impossible = ~(length_ft >= 0) | np.isinf(length_ft) | np.isinf(degf) | np.isinf(pull_lb)
    impossible |= (degf <= POSSIBLE_DEGF[0]) | (degf > POSSIBLE_DEGF[1])
    impossible |= (pull_lb < LEAST_LB) | ((pulls.spans > 0) & (pull_lb <= least_lb))
    impossible |= (pulls.spans < -1) | (pulls.spans > MOST_SPANS)
    stiffness_lb = certificate.area_in2 * certificate.modulus_psi
    impossible |= pull_lb > MOST_STRAIN * stiffness_lb
    _refuse(impossible, pulls, certificate)
    standardisation_ft = np.asarray(
        standardisation(length_ft, throughout_length_ft(certificate), float(certificate.nominal_ft))
    )
    temperature_ft = np.asarray(
        temperature(
            length_ft, degf, certificate.certified_temperature_degf, certificate.alpha_per_degf
        )
    )
    tension_ft = np.asarray(
        tension(length_ft, pull_lb, certificate.certified_tension_lb, stiffness_lb)
    )
    sag_ft, is_catenary = _sag_ft(pulls, certificate)
    along_ft = length_ft + standardisation_ft
    for part_ft in (temperature_ft, tension_ft, sag_ft):
        along_ft = along_ft + np.nan_to_num(part_ft, nan=0.0)
    rise_ft = np.abs(pulls.rise_ft)
    _refuse(rise_ft > along_ft * (1 + ROUNDING), pulls, certificate)
    level_ft = np.asarray(slope(along_ft, np.fmin(rise_ft, along_ft)))
    slope_ft = np.where(np.isnan(rise_ft), np.nan, level_ft)
    if pulls.sine is not None:
        by_grade = along_ft * (np.sqrt(1 - pulls.sine**2) - 1)
        slope_ft = np.where(np.isnan(pulls.sine), slope_ft, by_grade)
    return CorrectionArrays(
        standardisation_ft=standardisation_ft,
        temperature_ft=temperature_ft,
        tension_ft=tension_ft,
        sag_ft=sag_ft,
        slope_ft=slope_ft,
        along_ft=along_ft,
        sum_ft=along_ft - length_ft + np.nan_to_num(slope_ft, nan=0.0),
        is_catenary=is_catenary,
    )


def _sag_ft(pulls: Pulls, certificate: Certificate) -> tuple[Floats, NDArray[np.bool_]]:
    """Work sag by the parabola, and by the catenary where they differ by more than is nothing."""
    sag_ft = np.where(pulls.spans == 0, 0.0, np.nan)
    hanging = (pulls.spans > 0) & ~np.isnan(pulls.tension_lb) & (pulls.length_read_ft > 0)
    sag_ft[(pulls.spans > 0) & ~np.isnan(pulls.tension_lb)] = 0.0
    try:
        hung = hang(
            pulls.length_read_ft[hanging],
            pulls.spans[hanging],
            pulls.tension_lb[hanging],
            certificate,
            rise_ft=np.nan_to_num(pulls.rise_ft[hanging], nan=0.0),
            sine=None if pulls.sine is None else pulls.sine[hanging],
        )
    except ValueError:
        _refuse_each(pulls, certificate)
        raise
    holds = np.abs(hung.by_hand_ft - hung.exact_ft) <= NEGLIGIBLE_FT
    sag_ft[hanging] = np.where(holds, hung.by_hand_ft, hung.exact_ft)
    is_catenary = np.zeros(sag_ft.shape, dtype=np.bool_)
    is_catenary[hanging] = ~holds
    return sag_ft, is_catenary


def _refuse(impossible: NDArray[np.bool_], pulls: Pulls, certificate: Certificate) -> None:
    if impossible.any():
        _refuse_one(int(impossible.argmax()), pulls, certificate)


def _refuse_each(pulls: Pulls, certificate: Certificate) -> None:
    for index in range(len(pulls.length_read_ft)):
        _refuse_one(index, pulls, certificate)


def _refuse_one(index: int, pulls: Pulls, certificate: Certificate) -> None:
    try:
        correct(float(pulls.length_read_ft[index]), certificate, pulls.conditions(index))
    except ConfigError as error:
        raise _of_pull(index, error) from error


def _of_pull(index: int, error: ConfigError) -> ConfigError:
    return ConfigError(error.what, where=f"pull {index} (from 0)", next_step=error.next_step)


def _known_or_nan(values: Sequence[float | None]) -> Floats:
    return np.array([np.nan if value is None else value for value in values], dtype=np.float64)


def _position(name: str | None) -> int:
    return POSITIONS.index(name) if name in POSITIONS else -1
