"""Lengths read and their conditions side by side, and the pulls that each is made of; pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from calllog.corrections.made_of import pulls_of, reach_ft
from calllog.tape import Certificate
from calllog.values import Conditions

Floats = NDArray[np.float64]
POSITIONS = ("ground", "knee", "waist", "chest")
"""Where a tape may be held, from the lowest up."""


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
    whole: NDArray[np.int64] | None = None
    """Which length each pull is part of, from 0 up, in order; None where each is one by itself. The
    rises of one length's pulls are shares of its rise, on one even grade."""

    @property
    def fixed_sine(self) -> Floats:
        """The sine of each grade that was stated as such, NaN for all others, shape (n,)."""
        return np.full(self.length_read_ft.shape, np.nan) if self.sine is None else self.sine

    @property
    def by_grade(self) -> NDArray[np.bool_]:
        """Where a grade was stated as such; shape (n,), or () and nowhere."""
        return np.zeros((), np.bool_) if self.sine is None else ~np.isnan(self.sine)

    @property
    def is_slope_known(self) -> NDArray[np.bool_]:
        """Whether a slope was stated, were it none, shape (n,)."""
        return ~np.isnan(self.rise_ft) | self.by_grade

    @property
    def owner(self) -> NDArray[np.int64]:
        """Which length each pull is part of, shape (n,)."""
        return np.arange(len(self.length_read_ft)) if self.whole is None else self.whole

    @classmethod
    def build(cls, lengths_read_ft: Sequence[float], conditions: Sequence[Conditions]) -> Pulls:
        """Put lengths side by side.

        Args:
            lengths_read_ft: in the tape's own marks [ft].
            conditions: those in force, one for each length; None becomes NaN or -1, and what is no
                number becomes what can be no condition.

        Returns:
            Their arrays, in the same order.
        """
        return cls(
            length_read_ft=np.array(lengths_read_ft, dtype=np.float64),
            temperature_degf=_known_or_nan([one.temperature_degf for one in conditions]),
            tension_lb=_known_or_nan([one.tension_lb for one in conditions]),
            spans=np.array(
                [
                    -1 if one.spans is None else one.spans if one.spans >= 0 else -2
                    for one in conditions
                ],
                np.int64,
            ),
            rise_ft=_known_or_nan([one.rise_ft for one in conditions]),
            position=np.array(
                [
                    POSITIONS.index(one.position) if one.position in POSITIONS else -1
                    for one in conditions
                ],
                np.int64,
            ),
        )

    def part(self, here: slice | NDArray[np.bool_] | NDArray[np.int64]) -> Pulls:
        """Cut some of the pulls out, or repeat them."""
        stated = {field.name: getattr(self, field.name) for field in fields(self)}
        cut = {name: values[here] for name, values in stated.items() if values is not None}
        return replace(self, **cut)

    def without(self, here: NDArray[np.bool_]) -> Pulls:
        """Put pulls of nothing in place of some, so that the others keep their places."""
        return replace(
            self,
            length_read_ft=np.where(here, 0.0, self.length_read_ft),
            temperature_degf=np.where(here, np.nan, self.temperature_degf),
            tension_lb=np.where(here, np.nan, self.tension_lb),
            spans=np.where(here, 0, self.spans),
            rise_ft=np.where(here, np.nan, self.rise_ft),
        )

    def split(self, certificate: Certificate) -> Pulls:
        """Give the pulls that these lengths are made of, on one even grade for each length.

        What is longer than the tape is several pulls (`calllog.corrections.made_of`).
        """
        if not (self.length_read_ft > reach_ft(certificate)).any():
            return self
        lengths_ft, owner = pulls_of(self.length_read_ft, certificate)
        return self.made_up_of(lengths_ft, owner) if len(owner) > len(self.spans) else self

    def made_up_of(self, lengths_ft: Floats, owner: NDArray[np.int64]) -> Pulls:
        """Give the pulls that each length is made of; each has its share of the rise.

        Args:
            lengths_ft: of each pull, shape (m,) [ft].
            owner: which length each is part of, shape (m,), in order.
        """
        own_ft = self.length_read_ft[owner]
        share = np.divide(lengths_ft, own_ft, out=np.ones_like(own_ft), where=own_ft > 0)
        each = self.part(owner)
        return replace(
            each,
            length_read_ft=lengths_ft,
            rise_ft=each.rise_ft * share,
            off_line_ft=None if each.off_line_ft is None else each.off_line_ft * share,
            whole=owner,
        )


def or_zero(values: Floats) -> Floats:
    """Take what is not known for nothing; values that are all known come back as they are."""
    unknown = np.isnan(values)
    return np.where(unknown, 0.0, values) if unknown.any() else values


def ratio(one: Floats | NDArray[np.bool_], other: Floats) -> Floats:
    """Divide, giving 1 where the divisor is not above 0."""
    can = other > 0
    if can.all():
        return one / other
    return np.divide(one, other, out=np.ones_like(other), where=can)


def _known_or_nan(values: Sequence[float | None]) -> Floats:
    stated = [
        math.nan if value is None else math.inf if math.isnan(value) else value for value in values
    ]
    return np.array(stated, dtype=np.float64)
