"""Many lengths read with one tape in, each correction apart out, all as arrays; pure.

The one implementation of the corrections. A single length is one row (`calllog.corrections.work`),
a length longer than the tape several rows, and a report works each row once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from calllog.corrections.formulas import (
    slope,
    slope_sine,
    standardisation,
    temperature,
    tension,
)
from calllog.corrections.hanging import Hung, hang, throughout_length_ft
from calllog.corrections.made_of import reach_ft
from calllog.corrections.pulls import Floats, Pulls, or_zero
from calllog.corrections.refusals import (
    Refused,
    impossible,
    no_pull_left,
    too_heavy,
    too_steep,
)
from calllog.corrections.situation import End
from calllog.tape import Certificate
from calllog.values import Corrections

BLOCK = 32_768
"""Pulls worked on together, so that they stay in the processor's cache."""
PARTS = ("standardisation_ft", "temperature_ft", "tension_ft", "sag_ft", "slope_ft")
GRADES, STILL = 60, 1e-14
"""At most so many steps to the grade of several pulls; done when its sine stands still."""


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
    """Where the parabola is off by too much, so that sag is that of the catenary."""

    def part(self, here: slice | NDArray[np.bool_]) -> CorrectionArrays:
        """Cut some of the pulls out, in place."""
        return CorrectionArrays(*(getattr(self, field.name)[here] for field in fields(self)))

    def added(self, owner: NDArray[np.int64], count: int) -> CorrectionArrays:
        """Add up the pulls that each of so many lengths is made of.

        Args:
            owner: which length each pull is part of, shape (n,), from 0 up, in order.
            count: how many lengths there are; each has a pull at the least.
        """
        names = [field.name for field in fields(self) if field.name != "is_catenary"]
        sums = {name: _sums(owner, getattr(self, name), count) for name in names}
        return replace(self, **sums, is_catenary=_sums(owner, self.is_catenary, count) > 0)

    def row(self, index: int) -> Corrections:
        """Give the corrections of one length as a value, None for what is not known."""
        parts = {name: float(getattr(self, name)[index]) for name in PARTS}
        known = {name: None if math.isnan(value) else value for name, value in parts.items()}
        sum_ft = math.fsum(value for value in known.values() if value is not None)
        return Corrections(**known, sum_ft=sum_ft)


@dataclass(frozen=True, slots=True)
class Worked:
    """n lengths, the pulls that they are made of, and what is added to each pull."""

    pulls: Pulls
    """As they were held, their tension being the mean of both ends."""
    found: CorrectionArrays
    """Of each pull; of no meaning where its length is refused."""
    count: int
    """How many lengths there are."""
    refused: Refused
    hung: Hung | None = None
    """Those that hang, by both forms of sag; None of many."""

    def lengths(self) -> CorrectionArrays:
        """Give the corrections of each length, shape (n,)."""
        if self.pulls.whole is None:
            return self.found
        return self.found.added(self.pulls.whole, self.count)


def work_lengths(lengths: Pulls, certificate: Certificate) -> Worked:
    """Work many lengths read with one tape; those that cannot be are told, and do not stop others.

    A correction whose condition is not known is NaN and not in the sum. Sag is 0 for support
    throughout; otherwise it needs the tension. Slope is taken last, from the length along the
    slope as the other known corrections leave it, so that the length read and the sum are the
    horizontal length. For a tape certified hanging, standardisation counts from its length
    supported throughout (`throughout_length_ft`), and sag in use is whole.

    Sag is that of the parabola, as certificates and the hand have it, unless the exact catenary
    differs by more than `NEGLIGIBLE_FT` in a pull; then it is the catenary's. Refused are a
    negative length, a tension of 0 or less or too small for the tape to hang, fewer than no spans,
    a rise greater than the length, and what is no number.
    """
    count = len(lengths.length_read_ft)
    if count <= BLOCK or (lengths.length_read_ft > reach_ft(certificate)).any():
        return _work_block(lengths, certificate)
    found = CorrectionArrays(
        *(
            np.empty(count, np.bool_ if field.name == "is_catenary" else np.float64)
            for field in fields(CorrectionArrays)
        )
    )
    refused: Refused = {}
    for start in range(0, count, BLOCK):
        here = slice(start, start + BLOCK)
        block = _work_block(lengths.part(here), certificate)
        for field in fields(CorrectionArrays):
            getattr(found, field.name)[here] = getattr(block.found, field.name)
        refused |= {start + index: why for index, why in block.refused.items()}
    return Worked(lengths, found, count, refused)


def _work_block(lengths: Pulls, certificate: Certificate) -> Worked:
    count = len(lengths.length_read_ft)
    refused = impossible(lengths, certificate)
    if refused:
        lengths = lengths.without(_at(refused, np.arange(count)))
    pulls = lengths.split(certificate)
    return work_pulls(pulls, count, certificate, refused=refused, has_both_forms=False)


def work_pulls(
    pulls: Pulls,
    count: int,
    certificate: Certificate,
    *,
    refused: Refused | None = None,
    tension_at: End = End.MIDDLE,
    sag_form: str | None = None,
    is_listed: bool = False,
    has_both_forms: bool = True,
) -> Worked:
    """Work the pulls that lengths are made of; see `calllog.corrections.work`.

    Args:
        pulls: none longer than the tape, shape (n,).
        count: of how many lengths they are.
        certificate: that of the tape.
        refused: lengths that are refused already.
        tension_at: where on a slope the tension was held.
        sag_form: one of `SAG_FORMS` to be used whether it holds or not; else chosen.
        is_listed: whether each span that hangs was stated by itself.
        has_both_forms: whether both forms of sag are wanted of all, not only the one in use.
    """
    refused = {**too_heavy(pulls, certificate, is_listed=is_listed), **(refused or {})}
    length_ft, held_lb = pulls.length_read_ft, pulls.tension_lb
    standardisation_ft, temperature_ft, tension_ft = _straight(pulls, certificate)
    known_ft = standardisation_ft + or_zero(temperature_ft)
    known_ft += or_zero(tension_ft)
    hangs, is_held = pulls.spans > 0, ~np.isnan(held_lb)
    sag_ft = np.zeros_like(length_ft)
    sag_ft[(pulls.spans < 0) | hangs & ~is_held] = np.nan
    hangs &= is_held & (length_ft > 0)
    if refused:
        hangs &= ~_at(refused, pulls.owner)
    grade = _Grade.of(pulls, count)
    here, hung = _hang_on(
        grade,
        np.flatnonzero(hangs),
        length_ft + known_ft,
        certificate,
        tension_at=tension_at,
        refused=refused,
        has_both_forms=has_both_forms or sag_form is not None,
    )
    in_use_ft = hung.in_use_ft(sag_form)
    sag_ft[here] = in_use_ft
    if tension_at is not End.MIDDLE:
        held_lb = held_lb.copy()
        held_lb[here] = hung.mean_lb
        pulls = replace(pulls, tension_lb=held_lb)
        tension_ft[here] += hung.more_ft
        in_use_ft = in_use_ft + hung.more_ft
    known_ft[here] += in_use_ft
    along_ft = length_ft + known_ft
    steep = too_steep(grade.by_length(pulls.rise_ft), grade.by_length(along_ft), certificate.unit)
    refused = {**steep, **refused}
    slope_ft = grade.slope_ft(along_ft)
    is_catenary = np.zeros(length_ft.shape, dtype=np.bool_)
    is_catenary[here] = ~hung.by_hand_holds
    found = CorrectionArrays(
        standardisation_ft=standardisation_ft,
        temperature_ft=temperature_ft,
        tension_ft=tension_ft,
        sag_ft=sag_ft,
        slope_ft=slope_ft,
        along_ft=along_ft,
        sum_ft=known_ft + or_zero(slope_ft),
        is_catenary=is_catenary,
    )
    return Worked(pulls, found, count, refused, hung)


def _straight(pulls: Pulls, certificate: Certificate) -> tuple[Floats, Floats, Floats]:
    """Give what goes in proportion to length: standardisation, temperature and tension."""
    length_ft, whole_ft = pulls.length_read_ft, float(certificate.nominal_ft)
    stiffness_lb = certificate.area_in2 * certificate.modulus_psi
    standard_lb, standard_degf = (
        certificate.certified_tension_lb,
        certificate.certified_temperature_degf,
    )
    return (
        np.asarray(standardisation(length_ft, throughout_length_ft(certificate), whole_ft)),
        np.asarray(
            temperature(
                length_ft, pulls.temperature_degf, standard_degf, certificate.alpha_per_degf
            )
        ),
        np.asarray(tension(length_ft, pulls.tension_lb, standard_lb, stiffness_lb)),
    )


@dataclass(frozen=True, slots=True)
class _Grade:
    """The slopes of pulls; the rise of a length of several is shared out on one even grade."""

    pulls: Pulls
    count: int
    """How many lengths there are."""
    here: NDArray[np.bool_] | None
    """Pulls that share a rise; None for nowhere."""

    @classmethod
    def of(cls, pulls: Pulls, count: int) -> _Grade:
        if pulls.whole is None:
            return cls(pulls, count, None)
        several = np.bincount(pulls.whole, minlength=count)[pulls.whole] > 1
        here = several & ~np.isnan(pulls.rise_ft) & np.isnan(pulls.fixed_sine)
        return cls(pulls, count, here if here.any() else None)

    def by_length(self, values: Floats) -> Floats:
        """Add up the values of each length's pulls."""
        whole = self.pulls.whole
        return values if whole is None else _sums(whole, values, self.count)

    def sine(self, along_ft: Floats) -> Floats | None:
        """Give the sine of each grade that is known by it; NaN for those known by their rise."""
        return self.pulls.sine if self.here is None else self.shared_sine(self.here, along_ft)

    def shared_sine(self, sharing: NDArray[np.bool_], along_ft: Floats) -> Floats:
        """Give the same where some pulls share a rise."""
        rise_ft, total_ft = np.abs(self.by_length(self.pulls.rise_ft)), self.by_length(along_ft)
        even = np.divide(rise_ft, total_ft, out=np.zeros_like(rise_ft), where=total_ft > 0)
        return np.where(sharing, np.fmin(even, 1.0)[self.pulls.owner], self.pulls.fixed_sine)

    def slope_ft(self, along_ft: Floats) -> Floats:
        """Bring lengths along their slopes to the level; NaN where a slope is not known."""
        rise_ft, sine = self.pulls.rise_ft, self.sine(along_ft)
        usable_ft = np.maximum(along_ft, 0.0)
        by_rise: Floats = np.asarray(slope(usable_ft, np.fmin(np.abs(rise_ft), usable_ft)))
        by_rise[np.isnan(rise_ft)] = np.nan
        if sine is None:
            return by_rise
        return np.where(np.isnan(sine), by_rise, slope_sine(along_ft, sine))


def _hang_on(
    grade: _Grade,
    here: NDArray[np.int64],
    straight_ft: Floats,
    certificate: Certificate,
    *,
    tension_at: End,
    refused: Refused,
    has_both_forms: bool,
) -> tuple[NDArray[np.int64], Hung]:
    """Hang pulls on their grades; what has no pull left is refused, and hangs no more.

    Args:
        grade: the pulls and their slopes.
        here: the places of those that hang.
        straight_ft: lengths along the slope, but for sag and what a slope adds to stretch, of all.
        certificate: that of the tape.
        tension_at: where on a slope the tension was held.
        refused: lengths that are refused; changed in place.
        has_both_forms: whether both forms are wanted of all.

    Returns:
        The places of those that hang still, and how.
    """
    pulls = grade.pulls

    def hung_on(sine: Floats | None, here: NDArray[np.int64]) -> Hung:
        return hang(
            pulls.length_read_ft[here],
            pulls.spans[here],
            pulls.tension_lb[here],
            certificate,
            rise_ft=or_zero(pulls.rise_ft[here]),
            sine=None if sine is None else sine[here],
            tension_at=tension_at,
            has_both_forms=has_both_forms,
        )

    def hung_now(sine: Floats | None, here: NDArray[np.int64]) -> tuple[NDArray[np.int64], Hung]:
        try:
            return here, hung_on(sine, here)
        except ValueError:
            left = []
            for index in here.tolist():
                try:
                    hung_on(sine, np.array([index]))
                    left.append(index)
                except ValueError:
                    why = no_pull_left(float(pulls.tension_lb[index]), tension_at)
                    refused.setdefault(int(pulls.owner[index]), why)
            here = np.array(left, np.int64)
            return here, hung_on(sine, here)

    here, hung = hung_now(grade.sine(straight_ft), here)
    sharing = grade.here
    if sharing is None:
        return here, hung
    sine = grade.shared_sine(sharing, straight_ft)
    for _ in range(GRADES if len(here) else 0):
        before, along_ft = sine, straight_ft.copy()
        along_ft[here] += hung.in_use_ft() + hung.more_ft
        sine = grade.shared_sine(sharing, along_ft)
        if np.abs(sine - before)[sharing].max() <= STILL:
            break
        here, hung = hung_now(sine, here)
    return here, hung


def _sums(owner: NDArray[np.int64], values: Floats | NDArray[np.bool_], count: int) -> Floats:
    return np.bincount(owner, values, count).astype(np.float64)


def _at(refused: Refused, owner: NDArray[np.int64]) -> NDArray[np.bool_]:
    return np.isin(owner, np.fromiter(refused, np.int64))
