"""Measured lengths in, sums, rectangles and the ratio of a misclosure out; pure."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from calllog.errors import ConfigError
from calllog.lines import Ratio
from calllog.reckoning.measured import Known, Measured, combined_u

SIDES = 4


@dataclass(frozen=True, slots=True)
class Misclosure:
    """By how much something fails to close, and of what length that is."""

    size_m: Fraction
    """Of either sign where it lies along a line; else how long it is [m]."""
    u_m: float | None
    """Standard uncertainty, k = 1; None if it is not known [m]."""
    of_m: Fraction
    """The length that was gone round, or along [m]."""
    ratio: Ratio


@dataclass(frozen=True, slots=True)
class SumParts:
    """The sum of parts against the whole."""

    sum: Known
    whole: Known
    difference: Known
    """Sum less whole."""
    misclosure: Misclosure


@dataclass(frozen=True, slots=True)
class RectangleDiagonal:
    """A diagonal of a rectangle, measured and as its sides make it."""

    measured: Measured
    made: Known
    difference: Known
    """Measured less made of the sides."""


@dataclass(frozen=True, slots=True)
class Rectangle:
    """Four taped sides taken for a rectangle."""

    along: Known
    """The first side less the third."""
    across: Known
    """The second less the fourth."""
    perimeter: Known
    misclosure: Misclosure
    area: Known
    """Mean of the first and third times mean of the second and fourth [m2]."""
    diagonals: tuple[RectangleDiagonal, ...]


def ratio_of(size_m: Fraction, of_m: Fraction, least_m: Fraction) -> Ratio:
    """Give 1:N of a misclosure, no finer than the least that the figures can show.

    Args:
        size_m: the misclosure, of either sign.
        of_m: what it is of, above 0.
        least_m: the least that the figures can show, above 0.
    """
    is_floored = abs(size_m) < least_m
    return Ratio(of_m / (least_m if is_floored else abs(size_m)), is_floored)


def misclosure(missed: Sequence[Measured], of: Sequence[Measured]) -> Misclosure:
    """Give the ratio of a misclosure, which is one length, or two at right angles.

    Raises:
        ConfigError: there are more than two, or the whole is no length above 0.
    """
    if len(missed) > 2:  # noqa: PLR2004 - along and across
        raise ConfigError(
            f"{len(missed)} misclosures",
            next_step="state one, or two at right angles, such as in latitude and in departure",
        )
    of_m = _total(of)
    if of_m <= 0:
        raise ConfigError(
            "a misclosure is of a length above 0", next_step="state what was measured in all"
        )
    parts = tuple(one.m for one in missed)
    size_m = parts[0] if len(parts) == 1 else _root_sum_squares(parts)
    weights = [float(part / size_m) if size_m else 1.0 for part in parts]
    u_m = combined_u(zip(missed, weights, strict=True))
    least_m = min(one.least_m for one in missed)
    return Misclosure(size_m, u_m, of_m, ratio_of(size_m, of_m, least_m))


def parts_of(parts: Sequence[Measured], whole: Measured) -> SumParts:
    """Set the sum of parts against the whole; ConfigError if a length is not above 0."""
    refuse_nothing((*parts, whole))
    total_m = _total(parts)
    terms = [*((one, 1.0) for one in parts), (whole, -1.0)]
    difference = Known(total_m - whole.m, combined_u(terms))
    least_m = min(one.least_m for one in (*parts, whole))
    return SumParts(
        sum=Known(total_m, combined_u((one, 1.0) for one in parts)),
        whole=Known(whole.m, whole.u_m),
        difference=difference,
        misclosure=Misclosure(
            difference.size,
            difference.u,
            whole.m,
            ratio_of(difference.size, whole.m, least_m),
        ),
    )


def rectangle(sides: Sequence[Measured], diagonals: Sequence[Measured] = ()) -> Rectangle:
    """Close a rectangle of taped sides: opposite sides, perimeter, ratio, area and diagonals.

    The sides are taken to stand at right angles, so that what opposite sides differ by is the
    misclosure along and across; its length over the perimeter is 1:N, as of a traverse
    (jerrymahun.com, Traverse Computations, D: read).

    Args:
        sides: four, going round, each above 0.
        diagonals: none, one or two, each above 0.

    Raises:
        ConfigError: there are not four sides, or a length is not above 0.
    """
    if len(sides) != SIDES:
        raise ConfigError(
            f"a rectangle has four sides, not {len(sides)}",
            next_step="state all four, going round; other lots: calllog reckon lot",
        )
    refuse_nothing((*sides, *diagonals))
    one, two, three, four = sides
    along = Known(one.m - three.m, combined_u([(one, 1.0), (three, -1.0)]))
    across = Known(two.m - four.m, combined_u([(two, 1.0), (four, -1.0)]))
    perimeter_m = _total(sides)
    missed_m = _root_sum_squares((along.size, across.size))
    share = [float(each.size / missed_m) if missed_m else 1.0 for each in (along, across)]
    u_m = combined_u([(one, share[0]), (three, -share[0]), (two, share[1]), (four, -share[1])])
    length_m, width_m = (one.m + three.m) / 2, (two.m + four.m) / 2
    by_length, by_width = float(width_m) / 2, float(length_m) / 2
    by_side = {0: by_length, 1: by_width, 2: by_length, 3: by_width}
    least_m = min(each.least_m for each in sides)
    return Rectangle(
        along=along,
        across=across,
        perimeter=Known(perimeter_m, combined_u((each, 1.0) for each in sides)),
        misclosure=Misclosure(missed_m, u_m, perimeter_m, ratio_of(missed_m, perimeter_m, least_m)),
        area=Known(length_m * width_m, combined_u((sides[at], by) for at, by in by_side.items())),
        diagonals=tuple(_diagonal(each, sides, length_m, width_m) for each in diagonals),
    )


def _diagonal(
    measured: Measured, sides: Sequence[Measured], length_m: Fraction, width_m: Fraction
) -> RectangleDiagonal:
    made_m = _root_sum_squares((length_m, width_m))
    cosine, sine = float(length_m / made_m) / 2, float(width_m / made_m) / 2
    terms = list(zip(sides, (cosine, sine, cosine, sine), strict=True))
    against = [(measured, 1.0), *((side, -by) for side, by in terms)]
    return RectangleDiagonal(
        measured=measured,
        made=Known(made_m, combined_u(terms)),
        difference=Known(measured.m - made_m, combined_u(against)),
    )


def refuse_nothing(lengths: Iterable[Measured]) -> None:
    """Refuse lengths that are not above 0, by a ConfigError."""
    for one in lengths:
        if one.m <= 0:
            raise ConfigError(
                "a measured length is above 0", where=one.name, next_step="state it again"
            )


def _total(lengths: Iterable[Measured]) -> Fraction:
    return sum((one.m for one in lengths), Fraction(0))


def _root_sum_squares(values: Iterable[Fraction]) -> Fraction:
    return square_root(sum((one * one for one in values), Fraction(0)))[0]


ROOT_DIGITS = 30
"""Significant digits to which a root is drawn, at least."""


def square_root(square: Fraction) -> tuple[Fraction, bool]:
    """Draw a square root, exactly where it ends, else to `ROOT_DIGITS` significant digits.

    Args:
        square: not below 0.

    Returns:
        The root, and whether it is exact.

    Example:
        >>> square_root(Fraction(9, 4))
        (Fraction(3, 2), True)
    """
    smallness = len(str(square.denominator)) - len(str(square.numerator))
    one = 10 ** (ROOT_DIGITS + max(0, smallness))
    under = square.numerator * square.denominator * one * one
    root = math.isqrt(under)
    return Fraction(root, square.denominator * one), root * root == under


def by_ends(
    lengths: Iterable[tuple[frozenset[str], Measured]],
) -> Mapping[frozenset[str], Measured]:
    """Put lengths by the two points they lie between; ConfigError if two lie between the same."""
    found: dict[frozenset[str], Measured] = {}
    for ends, one in lengths:
        if ends in found:
            raise ConfigError(
                "two lengths between the same points",
                where=one.name,
                next_step="state each side and each diagonal once",
            )
        found[ends] = one
    return found
