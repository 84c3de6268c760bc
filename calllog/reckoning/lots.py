"""Sides and diagonals of a lot in, its triangles and its area out; pure.

The area of a triangle is by its sides: ``16 A^2 = 2 (a^2 b^2 + b^2 c^2 + c^2 a^2) - (a^4 + b^4 +
c^4)`` (Heron), exact but for the root; ``dA/da = a (b^2 + c^2 - a^2) / (8 A)``.
"""

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from calllog.errors import ConfigError
from calllog.reckoning.measured import Known, Measured, combined_u
from calllog.reckoning.sums import by_ends, refuse_nothing, square_root

Ends = frozenset[str]
TRIANGLE, FOUR = 3, 4
MOST_CORNERS = 100


@dataclass(frozen=True, slots=True)
class Triangle:
    """A triangle of a lot."""

    corners: tuple[str, str, str]
    area: Known
    """[m2]"""
    is_flat: bool
    """Its sides may as well lie in one line, within their uncertainty (k = 2): its area and the
    uncertainty of that are rough."""


@dataclass(frozen=True, slots=True)
class LotDiagonal:
    """The second diagonal of a lot of four sides, measured and as all else makes it."""

    measured: Measured
    made_m: float
    difference: Known
    """Measured less made of the sides and the other diagonal."""
    areas: tuple[Known, Known]
    """By the other diagonal, and by this one."""


@dataclass(frozen=True, slots=True)
class Lot:
    """A lot, flat, with straight sides."""

    corners: tuple[str, ...]
    area: Known
    """By its triangles; of a lot of four sides with both diagonals the mean by the two [m2]."""
    perimeter: Known
    triangles: tuple[Triangle, ...]
    """Those by the first diagonals that were given."""
    check: LotDiagonal | None
    """What a second diagonal of four sides says."""


def lot(
    sides: Sequence[tuple[tuple[str, str], Measured]],
    diagonals: Sequence[tuple[tuple[str, str], Measured]],
) -> Lot:
    """Reckon the area of a lot from its sides and diagonals, which lie inside it.

    Args:
        sides: three or more, going round, each with the two corners it lies between.
        diagonals: as many as make triangles of it, three less than its sides, that do not cross;
            with four sides both will do, and the second checks the first.

    Raises:
        ConfigError: the sides do not go round, the diagonals do not make triangles, or three
            lengths make no triangle.
    """
    refuse_nothing(one for _, one in (*sides, *diagonals))
    corners = _round(sides)
    lengths = by_ends((frozenset(ends), one) for ends, one in (*sides, *diagonals))
    chords = [frozenset(ends) for ends, _ in diagonals]
    _refuse_wrong_diagonals(corners, chords, lengths)
    first = chords[:1] if len(corners) == FOUR else chords
    triangles, by_length = _area(corners, first, lengths)
    area = _known(triangles, by_length, lengths)
    check = None
    if len(corners) == FOUR and len(chords) > 1:
        others, by_other = _area(corners, chords[1:], lengths)
        second = _known(others, by_other, lengths)
        check = _second_diagonal(corners, chords, lengths, (area, second))
        mean = {ends: (by_length[ends] + by_other[ends]) / 2 for ends in {*by_length, *by_other}}
        area = Known((area.size + second.size) / 2, _u(mean, lengths))
    ring = tuple(one for _, one in sides)
    perimeter_m = sum((one.m for one in ring), Fraction(0))
    return Lot(
        corners=corners,
        area=area,
        perimeter=Known(perimeter_m, combined_u((one, 1.0) for one in ring)),
        triangles=triangles,
        check=check,
    )


def _round(sides: Sequence[tuple[tuple[str, str], Measured]]) -> tuple[str, ...]:
    """Go round the sides, whichever way each is named, and give the corners in their order."""
    if not TRIANGLE <= len(sides) <= MOST_CORNERS:
        raise ConfigError(
            f"a lot has three sides or more, not {len(sides)}"
            if len(sides) < TRIANGLE
            else f"{len(sides)} sides are more than {MOST_CORNERS}",
            next_step="state all sides, going round",
        )
    (begin, at), following = sides[0][0], sides[1][0]
    if at not in following:
        begin, at = at, begin
    corners = [begin]
    for ends, one in sides[1:]:
        if at not in ends:
            raise ConfigError(
                f"the sides do not go round: {one.name} does not begin at {at}",
                where=one.name,
                next_step="state the sides in their order, going round",
            )
        corners.append(at)
        at = ends[1] if ends[0] == at else ends[0]
    if at != begin or len(set(corners)) < len(corners):
        raise ConfigError(
            f"the sides do not close: they begin at {begin} and end at {at}"
            if at != begin
            else "the sides meet one corner twice",
            next_step="state all sides, going round to the corner where they began",
        )
    return tuple(corners)


def _refuse_wrong_diagonals(
    corners: tuple[str, ...], chords: Sequence[Ends], lengths: Mapping[Ends, Measured]
) -> None:
    for chord in chords:
        if not chord <= set(corners):
            (other, *_) = sorted(chord - set(corners))
            raise ConfigError(
                f"no side meets {other}",
                where=lengths[chord].name,
                next_step=f"name diagonals by their corners: {', '.join(corners)}",
            )
    wanted = len(corners) - TRIANGLE
    if len(chords) == wanted or (len(corners) == FOUR and len(chords) == wanted + 1):
        return
    need = f"{wanted} {'diagonal' if wanted == 1 else 'diagonals'}" if wanted else "no diagonal"
    first = f"{corners[0]}:{corners[2]}"
    raise ConfigError(
        f"a lot of {len(corners)} sides needs {need}, and {len(chords)} are given",
        next_step=f"state it such as --diagonal {first}=145.60ft"
        if wanted and len(chords) < wanted
        else "leave out what is too much",
    )


def _triples(corners: tuple[str, ...], chords: Sequence[Ends]) -> list[tuple[str, str, str]]:
    """Cut a lot into triangles along diagonals."""
    if len(corners) == TRIANGLE:
        return [(corners[0], corners[1], corners[2])]
    for begin, one in enumerate(corners):
        for end in range(begin + 2, len(corners)):
            if frozenset((one, corners[end])) in chords and end - begin < len(corners) - 1:
                here = corners[begin : end + 1]
                there = corners[end:] + corners[: begin + 1]
                return _triples(here, chords) + _triples(there, chords)
    raise ConfigError(
        f"the diagonals make no triangles of {', '.join(corners)}",
        next_step="state diagonals that do not cross",
    )


def _area(
    corners: tuple[str, ...], chords: Sequence[Ends], lengths: Mapping[Ends, Measured]
) -> tuple[tuple[Triangle, ...], dict[Ends, float]]:
    """Give the triangles, and what each length does to their area [m2 per m]."""
    by_length: defaultdict[Ends, float] = defaultdict(float, dict.fromkeys(lengths, 0.0))
    triangles = []
    for triple in _triples(corners, chords):
        pairs = tuple(
            frozenset((triple[at], triple[(at + 1) % TRIANGLE])) for at in range(TRIANGLE)
        )
        one, two, three = (lengths[pair] for pair in pairs)
        area_m2, slopes = _heron(triple, (one, two, three))
        for pair, slope in zip(pairs, slopes, strict=True):
            by_length[pair] += slope
        terms = list(zip((one, two, three), slopes, strict=True))
        triangles.append(
            Triangle(
                corners=triple,
                area=Known(area_m2, combined_u(terms)),
                is_flat=_is_flat((one, two, three)),
            )
        )
    return tuple(triangles), dict(by_length)


def _heron(
    corners: tuple[str, str, str], sides: tuple[Measured, Measured, Measured]
) -> tuple[Fraction, tuple[float, float, float]]:
    """Give the area of a triangle, and its slope by each side."""
    a, b, c = (one.m for one in sides)
    square = 2 * (a * a * b * b + b * b * c * c + c * c * a * a) - (a**4 + b**4 + c**4)
    if square <= 0:
        longest = max(sides, key=lambda one: one.m)
        raise ConfigError(
            f"these three lengths make no triangle: {longest.name} is as long as the other two"
            " together, or longer",
            where=f"corners {', '.join(corners)}",
            next_step="look at the three again; a pull may be missing, or counted twice",
        )
    root, _ = square_root(square)
    area = root / 4
    slopes = tuple(
        float(one * (two * two + three * three - one * one) / (8 * area))
        for one, two, three in ((a, b, c), (b, c, a), (c, a, b))
    )
    return area, (slopes[0], slopes[1], slopes[2])


def _is_flat(sides: tuple[Measured, Measured, Measured]) -> bool:
    longest = max(sides, key=lambda one: one.m)
    terms = [(one, -1.0 if one is longest else 1.0) for one in sides]
    slack_m = sum((one.m if by > 0 else -one.m for one, by in terms), Fraction(0))
    expanded_m = Known(slack_m, combined_u(terms)).expanded
    return expanded_m is not None and expanded_m >= slack_m


def _known(
    triangles: Sequence[Triangle],
    by_length: Mapping[Ends, float],
    lengths: Mapping[Ends, Measured],
) -> Known:
    area = sum((each.area.size for each in triangles), Fraction(0))
    return Known(area, _u(by_length, lengths))


def _u(by_length: Mapping[Ends, float], lengths: Mapping[Ends, Measured]) -> float | None:
    return combined_u((lengths[ends], by) for ends, by in by_length.items() if by)


def _second_diagonal(
    corners: tuple[str, ...],
    chords: Sequence[Ends],
    lengths: Mapping[Ends, Measured],
    areas: tuple[Known, Known],
) -> LotDiagonal:
    """Set the second diagonal of four sides against what the sides and the first make of it."""
    turned = (
        corners if frozenset((corners[0], corners[2])) == chords[0] else corners[1:] + corners[:1]
    )
    pairs = [frozenset((turned[at], turned[(at + 1) % FOUR])) for at in range(FOUR)]
    made_of = [*pairs, chords[0]]
    values = [float(lengths[pair].m) for pair in made_of]
    made_m = _other_diagonal(values)
    terms = [(lengths[chords[1]], 1.0)]
    for at, (pair, value) in enumerate(zip(made_of, values, strict=True)):
        step = value * 1e-6
        ahead, behind = (
            _other_diagonal([*values[:at], value + by, *values[at + 1 :]]) for by in (step, -step)
        )
        terms.append((lengths[pair], -(ahead - behind) / (2 * step)))
    measured = lengths[chords[1]]
    return LotDiagonal(
        measured=measured,
        made_m=made_m,
        difference=Known(measured.m - Fraction(made_m), combined_u(terms)),
        areas=areas,
    )


def _other_diagonal(values: Sequence[float]) -> float:
    """Give the other diagonal of A, B, C, D from AB, BC, CD, DA and AC, B and D on either side."""
    ab, bc, cd, da, ac = values
    at_b, at_d = (ab**2 + ac**2 - bc**2) / (2 * ac), (da**2 + ac**2 - cd**2) / (2 * ac)
    up = math.sqrt(max(ab**2 - at_b**2, 0.0))
    down = math.sqrt(max(da**2 - at_d**2, 0.0))
    return math.hypot(at_b - at_d, up + down)
