"""Inputs with their uncertainty and sensitivities in, combined standard uncertainty out; pure.

By the Guide to the expression of uncertainty in measurement (GUM, JCGM 100:2008), whose clauses
are cited from memory. A result is taken as its local linear form: each input adds its sensitivity
times its standard uncertainty. Where that is too little (a slope that is nearly none, sag under an
uncertain pull) the next term is one more `Component`, made by `curvature`.

What differs from pull to pull adds in squares along a line; what is common to all pulls adds in
full, each by its sign, since each pull carries the same error; what acts one way only, whatever its
sign, adds in full too, also with others of that kind.
"""

import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

import numpy as np
from pydantic import Field

from calllog.corrections.pulls import Floats
from calllog.values import Frozen, Message, message


class Shape(StrEnum):
    """How the values that an input may have are spread about its estimate."""

    NORMAL = "normal"
    RECTANGULAR = "rectangular"
    """Anywhere within the half-width alike (GUM 4.3.7)."""
    TRIANGULAR = "triangular"
    """Within the half-width, rather near the middle (GUM 4.3.9)."""


DIVISOR = {
    Shape.NORMAL: 1.0,
    Shape.RECTANGULAR: math.sqrt(3),
    Shape.TRIANGULAR: math.sqrt(6),
}
"""Half-width over standard uncertainty; for a normal one the half-width *is* the standard one."""
KURTOSIS = {
    Shape.NORMAL: 3.0,
    Shape.RECTANGULAR: 9 / 5,
    Shape.TRIANGULAR: 12 / 5,
}
"""Fourth moment over the square of the variance: how far the square of an error spreads."""


class Uncertain(Frozen):
    """How far an input may be from its estimate, and where that figure comes from."""

    half_width: float = Field(ge=0, allow_inf_nan=False)
    """a, in the unit of the input; for a normal one the standard uncertainty."""
    shape: Shape
    source: str = Field(pattern=r"\S")

    @property
    def standard(self) -> float:
        """Standard uncertainty u, k = 1, in the unit of the input (GUM 4.3)."""
        return self.half_width / DIVISOR[self.shape]

    @property
    def square(self) -> float:
        """How far the square of an error spreads: its standard deviation [unit^2]."""
        return self.standard**2 * math.sqrt(KURTOSIS[self.shape] - 1)


def rectangular(half_width: float, source: str) -> Uncertain:
    """State that a value may lie anywhere within a half-width: ``u = a / sqrt(3)``, GUM 4.3.7.

    Example:
        >>> round(rectangular(0.005, "least count 0.01 ft").standard, 5)
        0.00289
    """
    return Uncertain(half_width=half_width, shape=Shape.RECTANGULAR, source=source)


def triangular(half_width: float, source: str) -> Uncertain:
    """State a half-width whose middle is likelier: ``u = a / sqrt(6)``, GUM 4.3.9.

    Example:
        >>> round(triangular(0.01, "bob").standard, 5)
        0.00408
    """
    return Uncertain(half_width=half_width, shape=Shape.TRIANGULAR, source=source)


def normal(u: float, source: str) -> Uncertain:
    """State a standard uncertainty, k = 1, as a statistic or a certificate gives it (GUM 4.2).

    Example:
        >>> normal(0.0005, "certificate").standard
        0.0005
    """
    return Uncertain(half_width=u, shape=Shape.NORMAL, source=source)


class ComponentKind(StrEnum):
    """How an input's effects on several pulls go together."""

    RANDOM = "random"
    """Another error in each pull: adds in squares."""
    COMMON = "common"
    """One error, the same in all pulls: its effects add in full, each by its sign."""
    ONE_WAY = "one-way"
    """A mean effect that is not corrected and always acts one way: adds in full, also with
    its like. Its amount is put into the uncertainty (GUM F.2.4.5)."""


class Input(NamedTuple):
    """Something that is not known exactly; inputs that are equal are one and the same."""

    code: str
    of: str = ""
    """The tape it belongs to, or the height; empty for what all pulls share."""
    part: str = ""
    """``mean`` or ``spread`` of what its square does; empty for what it does itself."""

    @property
    def told(self) -> Message:
        """What is told of it."""
        whole = message(f"input-{self.code}", **({"of": self.of} if self.of else {}))
        return message(f"input-{self.part}", input=whole) if self.part else whole


@dataclass(frozen=True, slots=True)
class Component:
    """What one input does to n results."""

    name: Input
    kind: ComponentKind
    given: Uncertain
    u: float
    """Standard uncertainty of the input [unit]."""
    unit: str
    sensitivity: Floats
    """How much each result grows for one unit of the input, shape (n,) [result per unit]."""

    @property
    def effect(self) -> Floats:
        """What it contributes to each result, shape (n,), with the sign of its sensitivity."""
        return self.sensitivity * self.u


def linear(
    name: Input, kind: ComponentKind, given: Uncertain, unit: str, sensitivity: Floats | float
) -> Component:
    """Make the component of an input by its first partial derivative (GUM 5.1.3)."""
    return Component(name, kind, given, given.standard, unit, np.atleast_1d(sensitivity))


def curvature(
    name: Input, kind: ComponentKind, given: Uncertain, unit: str, second_partial: Floats
) -> tuple[Component, Component]:
    """Make the components of an input's square, where the first partial says too little.

    An error x adds ``f'' x^2 / 2``, which is ``f'' u^2 / 2`` in the mean and spreads about it by
    ``|f''| u^2 sqrt(kurtosis - 1) / 2``. With no first partial this is how GUM F.2.4.4 treats a
    cosine error; the mean is not corrected, so it counts as uncertainty (F.2.4.5).

    Args:
        name: of the input.
        kind: how the input's errors go together; the mean is one-way in any case.
        given: the input's uncertainty.
        unit: of the input.
        second_partial: f'', shape (n,) [result per unit squared].

    Returns:
        The spread and the mean.

    Example:
        >>> level = rectangular(1.0, "level within a foot")
        >>> bends = np.array([-1 / 100])
        >>> spread, mean = curvature(Input("level"), ComponentKind.RANDOM, level, "ft", bends)
        >>> mean.effect.round(5), spread.effect.round(5)
        (array([-0.00167]), array([-0.00149]))
    """
    half = second_partial / 2
    return bent(name, kind, given, unit, mean=half, spread=half)


def bent(
    name: Input, kind: ComponentKind, given: Uncertain, unit: str, *, mean: Floats, spread: Floats
) -> tuple[Component, Component]:
    """Make the components of what an input does by its square and above, as `curvature` does.

    Args:
        name: of the input.
        kind: how the input's errors go together; the mean is one-way in any case.
        given: the input's uncertainty, which is not nothing.
        unit: of the input.
        mean: by how much it moves the mean, shape (n,) [result per variance of the input].
        spread: standard deviation of what does not go straight with it, with the sign of the mean,
            shape (n,) [result per `Uncertain.square`].

    Returns:
        The spread and the mean.
    """
    squared, spreads, means = (
        f"({unit})^2",
        name._replace(part="spread"),
        name._replace(part="mean"),
    )
    return (
        Component(spreads, kind, given, given.square, squared, spread),
        Component(means, ComponentKind.ONE_WAY, given, given.standard**2, squared, mean),
    )


def product(
    name: Input,
    kind: ComponentKind,
    *,
    one: Uncertain,
    other: Uncertain,
    unit: str,
    mixed_partial: Floats,
) -> Component:
    """Make the component of two inputs that act by their product (GUM 5.1.2, note).

    Args:
        name: of the pair.
        kind: random where either is.
        one: an input's uncertainty; its shape and source are those told of the pair.
        other: that of the other, independent of it.
        unit: of the product.
        mixed_partial: the second partial by both, shape (n,) [result per unit].
    """
    return Component(name, kind, one, one.standard * other.standard, unit, mixed_partial)


@dataclass(frozen=True, slots=True)
class InputPart:
    """What one input does to the sum of n results."""

    name: Input
    kind: ComponentKind
    given: Uncertain
    u: float
    unit: str
    sensitivity: float
    """Of the sum: the root of the summed squares for a random input, else the plain sum."""

    @property
    def effect(self) -> float:
        """What it contributes to the sum, with the sign of its sensitivity."""
        return self.sensitivity * self.u


@dataclass(frozen=True, slots=True)
class Combined:
    """Standard uncertainty (k = 1) of n results, and the parts of that of their sum."""

    u_random: Floats
    """Shape (n,); from what differs from pull to pull."""
    u_common: Floats
    """Shape (n,); from what is common to all, one-way effects included."""
    parts: tuple[InputPart, ...]

    @property
    def u(self) -> Floats:
        """Of each result, both together, shape (n,)."""
        found: Floats = np.square(self.u_random)
        found += np.square(self.u_common)
        return np.sqrt(found, out=found)


def combine(components: Iterable[Component]) -> Combined:
    """Combine independent inputs (GUM 5.1.2), for each of n results and for their sum (5.2.2).

    Results are correlated by the inputs that they share. Of one result:
    ``u^2 = sum (c u)^2``; of the sum of n: ``u^2 = sum over random inputs of sum_i (c_i u)^2 +
    sum over common inputs of (sum_i c_i)^2 u^2 + (sum over one-way inputs and i of c_i u)^2``.

    Args:
        components: one for each input, all of shape (n,); taken one by one, so that a generator
            spares memory.

    Returns:
        Standard uncertainties, k = 1 [unit of the results].

    Raises:
        ValueError: there is no component.
    """
    sums: dict[ComponentKind, Floats] = {}
    parts: list[InputPart] = []
    effect = np.empty(0)
    for item in components:
        given, is_random = item.sensitivity, item.kind is ComponentKind.RANDOM
        if not parts:
            effect = np.empty_like(given)
            sums = {kind: np.zeros_like(given) for kind in ComponentKind}
        np.multiply(given, item.u, out=effect)  # in place: new arrays cost more than their sums
        if item.kind is not ComponentKind.ONE_WAY:
            effect *= effect
        sums[item.kind] += effect
        sensitivity = math.sqrt(float(given @ given)) if is_random else float(given.sum())
        parts.append(InputPart(item.name, item.kind, item.given, item.u, item.unit, sensitivity))
    if not parts:
        message = "nothing to combine: there is no component"
        raise ValueError(message)
    random_sq, common_sq, one_way = (sums[kind] for kind in ComponentKind)
    one_way *= one_way
    common_sq += one_way
    return Combined(
        np.sqrt(random_sq, out=random_sq), np.sqrt(common_sq, out=common_sq), tuple(parts)
    )


def join_parts(parts: Iterable[InputPart]) -> tuple[InputPart, ...]:
    """Put the parts of sums together that share inputs, those of the same name being one input."""
    alike: defaultdict[tuple[Input, ComponentKind], list[InputPart]] = defaultdict(list)
    for part in parts:
        alike[part.name, part.kind].append(part)
    return tuple(
        InputPart(
            name, kind, same[0].given, same[0].u, same[0].unit, add(p.sensitivity for p in same)
        )
        for (name, kind), same in alike.items()
        for add in (_root_sum_squares if kind is ComponentKind.RANDOM else math.fsum,)
    )


def shares(parts: Iterable[InputPart]) -> tuple[tuple[float, ...], float]:
    """Give each part's share of the variance of the sum, and the sum's standard uncertainty.

    Returns:
        The shares, which add up to 1 (or are all 0), and u with k = 1 [unit of the results].
    """
    listed = tuple(parts)
    one_way = math.fsum(part.effect for part in listed if part.kind is ComponentKind.ONE_WAY)
    variances = [
        part.effect * (one_way if part.kind is ComponentKind.ONE_WAY else part.effect)
        for part in listed
    ]
    variance = math.fsum(variances)
    return tuple(one / variance if variance else 0.0 for one in variances), math.sqrt(variance)


def _root_sum_squares(values: Iterable[float]) -> float:
    return math.hypot(*values)
