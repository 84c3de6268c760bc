"""Two uncertain inputs and a curved function of them in, the parts of its variance out; pure.

Where a function bends within the spread of its inputs, first partials say too little (GUM 5.1.2,
note). Its values are taken at the points of a Gauss rule for each input instead, and their mean and
variance are split exactly: what goes straight with each input, what is left of each by itself, and
what only both together do. Each part is uncorrelated with the others.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields

import numpy as np

from calllog.corrections.pulls import Floats
from calllog.corrections.uncertainty import Shape, Uncertain

POINTS = 8
"""Of each rule; even, so that a triangle is split at its tip."""


@dataclass(frozen=True, slots=True)
class Rule:
    """Points and weights that stand for the spread of one input; the weights add up to 1."""

    points: Floats
    weights: Floats

    @classmethod
    def of(cls, given: Uncertain) -> Rule:
        """Make the rule of an input, about its estimate.

        Exact for polynomials up to degree 15, of a triangular input up to 6; `numpy`'s Gauss rules.
        """
        width = given.half_width
        if given.shape is Shape.NORMAL:
            points, weights = np.polynomial.hermite.hermgauss(POINTS)
            return cls(points * math.sqrt(2) * width, weights / math.sqrt(math.pi))
        if given.shape is Shape.RECTANGULAR:
            points, weights = np.polynomial.legendre.leggauss(POINTS)
            return cls(points * width, weights / 2)
        points, weights = np.polynomial.legendre.leggauss(POINTS // 2)
        points = (points + 1) / 2
        half = weights / 2 * (1 - points)
        return cls(
            np.concatenate([-points[::-1], points]) * width, np.concatenate([half[::-1], half])
        )


@dataclass(frozen=True, slots=True)
class Split:
    """What an input x and another y do to n values, shape (n,) each [unit of the values]."""

    mean: Floats
    """By how much the mean differs from the value at the estimates."""
    one: Floats
    """What goes straight with x, per unit of it."""
    other: Floats
    one_spread: Floats
    """Standard deviation of what x does besides, with the sign of the mean."""
    other_spread: Floats
    both_spread: Floats
    """Standard deviation of what only x and y together do, with that sign."""

    def times(self, factor: Floats) -> Split:
        """Give the same of values that are larger by a factor, shape (n,)."""
        return Split(*(getattr(self, field.name) * factor for field in fields(self)))


def split(values: Floats, middle: Floats, one: Rule, other: Rule) -> Split:
    """Split the mean and the variance of values at the points of two rules.

    Args:
        values: shape (n, points of one, points of other).
        middle: those at the estimates, shape (n,).
        one: the rule of x.
        other: that of y.

    Returns:
        The parts; their variances add up to that of the values.

    Example:
        >>> from calllog.corrections.uncertainty import rectangular
        >>> rule = Rule.of(rectangular(1.0, "each"))
        >>> x, y = rule.points[:, None], rule.points[None, :]
        >>> found = split((2 * x + x * y + y**2)[None], np.zeros(1), rule, rule)
        >>> found.mean.round(4), found.one.round(4), found.both_spread.round(4)
        (array([0.3333]), array([2.]), array([0.3333]))
    """
    by_one = values @ other.weights
    by_other = np.einsum("nij,i->nj", values, one.weights)
    mean = by_one @ one.weights
    both = values - by_one[:, :, None] - by_other[:, None, :] + mean[:, None, None]
    both_variance = np.einsum("nij,i,j->n", both**2, one.weights, other.weights)
    slope_one, spread_one = _straight(by_one - mean[:, None], one)
    slope_other, spread_other = _straight(by_other - mean[:, None], other)
    moved = mean - middle
    return Split(
        mean=moved,
        one=slope_one,
        other=slope_other,
        one_spread=np.copysign(spread_one, moved),
        other_spread=np.copysign(spread_other, moved),
        both_spread=np.copysign(np.sqrt(both_variance), moved),
    )


def _straight(values: Floats, rule: Rule) -> tuple[Floats, Floats]:
    """Give the slope of values of mean 0 against their input, and the spread that is left."""
    variance = float(rule.points**2 @ rule.weights)
    slope = values @ (rule.points * rule.weights) / (variance or 1.0)
    left = values - slope[:, None] * rule.points
    return slope, np.sqrt(left**2 @ rule.weights)
