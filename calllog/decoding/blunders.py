"""A space of lengths in, which pairs of lengths each blunder makes out, with its weight; pure.

The blunders are common practice, no published source, and so are their weights: rough rates a
pull, of a crew that takes care. They are priors; what was heard speaks louder where it is clear.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from calllog.decoding.space import Places, Space, Vector
from calllog.values import HUNDREDTHS

SAME, UNRELATED = "same", "differs"
UNRELATED_WEIGHT = 3e-4
"""Two lengths that have nothing to do with each other: another mark, another tape's end."""
TENTH, TEN_FEET, INCHES = 10, 1000, 12
TEENS = {10 + unit: 10 * unit for unit in range(3, 10)}
TURNED = {6: 9, 9: 6}


@dataclass(frozen=True, slots=True, eq=False)
class Pairs:
    """All pairs of lengths that blunders make, both ways round, in order of the first.

    Args:
        codes: names of the blunders.
        first: one length of each pair, shape (n,) [hundredths of a foot or meter].
        second: the other one, shape (n,).
        weight: probability that a pull with the first length has this pair, shape (n,).
        code: place of its blunder in `codes`, shape (n,).
        starts: where the pairs of each length in `having` begin.
        having: the lengths that have pairs.
    """

    codes: tuple[str, ...]
    first: Places
    second: Places
    weight: Vector
    code: Places
    starts: Places
    having: Places

    def toward(self, other: Vector) -> Vector:
        """Sum over the pairs of each length the weight times the other one's value."""
        sums = np.zeros_like(other)
        sums[self.having] = np.add.reduceat(self.weight * other[self.second], self.starts)
        return sums


def _shift(by: int) -> Callable[[Space], Places]:
    def other(where: Space) -> Places:
        return np.arange(where.size) + by

    return other


def _reduced(where: Space, feet: Places, hundredths: Places) -> Places:
    """Give the lengths of parts called instead; -1 where there is no such call."""
    is_there = (
        (feet >= 0) & (feet <= where.most_feet) & (hundredths >= 0) & (hundredths < HUNDREDTHS)
    )
    table = np.full((where.most_feet + 1, HUNDREDTHS), -1)
    table[where.feet, where.hundredths] = np.arange(where.size)
    return np.where(
        is_there, table[np.where(is_there, feet, 0), np.where(is_there, hundredths, 0)], -1
    )


def _in_feet(change: Callable[[int], int]) -> Callable[[Space], Places]:
    def other(where: Space) -> Places:
        table = np.array([change(foot) for foot in range(where.most_feet + 1)])
        return _reduced(where, table[where.feet], where.hundredths)

    return other


def _in_hundredths(change: Callable[[int], int]) -> Callable[[Space], Places]:
    def other(where: Space) -> Places:
        table = np.array([change(part) for part in range(HUNDREDTHS)])
        return _reduced(where, where.feet, table[where.hundredths])

    return other


def _swapped(value: int) -> int:
    tens, units = divmod(value, 10)
    return 10 * units + tens if value < HUNDREDTHS else -1


def _teen(value: int) -> int:
    back = {ty: teen for teen, ty in TEENS.items()}
    return TEENS.get(value, back.get(value, -1))


def _turned_tens(value: int) -> int:
    tens, units = divmod(value, 10)
    return 10 * TURNED[tens] + units if tens in TURNED else -1


def _turned_units(value: int) -> int:
    tens, units = divmod(value, 10)
    return 10 * tens + TURNED[units] if units in TURNED and value < HUNDREDTHS else -1


def _inches(value: int) -> int:
    """Give the hundredths of a foot that so many inches are."""
    return round(value * HUNDREDTHS / INCHES) if 0 < value < INCHES else -1


def _other_side(where: Space) -> Places:
    """Read the hundredths from the wrong side: the complement in the same foot."""
    lengths = np.arange(where.size)
    return lengths // HUNDREDTHS * HUNDREDTHS + HUNDREDTHS - lengths % HUNDREDTHS


def _added_or_cut(where: Space) -> Places:
    """Add where the tape cuts, or cut where it adds: the other side of the foot that is called."""
    return 2 * (where.feet * HUNDREDTHS - where.hold) - np.arange(where.size)


def _from_other_end(where: Space) -> Places:
    return where.nominal - np.arange(where.size)


def _held(where: Space) -> Places:
    return np.arange(where.size) + (where.hold or -where.size)


BLUNDERS: tuple[tuple[str, float, tuple[Callable[[Space], Places], ...]], ...] = (
    ("one-foot", 1e-3, (_shift(HUNDREDTHS),)),
    ("ten-feet", 3e-4, (_shift(TEN_FEET),)),
    ("tape-length", 1e-5, (lambda where: np.arange(where.size) + where.nominal,)),
    ("held-mark", 3e-4, (_held,)),
    ("tape-complement", 1e-4, (_from_other_end,)),
    ("foot-complement", 5e-4, (_other_side, _added_or_cut)),
    ("swapped", 5e-4, (_in_feet(_swapped), _in_hundredths(_swapped))),
    ("six-nine", 3e-4, (
        _in_feet(_turned_tens), _in_feet(_turned_units),
        _in_hundredths(_turned_tens), _in_hundredths(_turned_units),
    )),
    ("teen-ty", 1e-4, (_in_feet(_teen), _in_hundredths(_teen))),
    ("one-tenth", 5e-4, (_shift(TENTH),)),
    ("inches", 1e-4, (_in_hundredths(_inches),)),
)  # fmt: skip
"""Name, probability a pull, and the ways in which the other length comes from one."""


@lru_cache(maxsize=8)
def pairs(where: Space) -> Pairs:
    """List every pair of unlike lengths that a blunder makes on this tape.

    Each is there both ways round with the same weight: either of the two may be the wrong one.
    """
    firsts, seconds, weights, codes = [], [], [], []
    for number, (_, weight, ways) in enumerate(BLUNDERS):
        for way in ways:
            one = np.arange(where.size)
            other = way(where)
            fits = (other >= 0) & (other < where.size) & (other != one)
            low, high = np.minimum(one, other)[fits], np.maximum(one, other)[fits]
            low, high = np.divmod(np.unique(low * where.size + high), where.size)
            share = weight / len(ways) / 2.0
            for first, second in ((low, high), (high, low)):
                firsts.append(first)
                seconds.append(second)
                weights.append(np.full(first.size, share))
                codes.append(np.full(first.size, number))
    first = np.concatenate(firsts)
    order = np.argsort(first, kind="stable")
    having, starts = np.unique(first[order], return_index=True)
    return Pairs(
        tuple(code for code, _, _ in BLUNDERS),
        first[order],
        np.concatenate(seconds)[order],
        np.concatenate(weights)[order],
        np.concatenate(codes)[order],
        starts,
        having,
    )


@lru_cache(maxsize=8)
def near(where: Space, tolerance: int) -> tuple[Places, Places, Vector]:
    """List those pairs that agree within a tolerance [hundredths]: both lengths and the weight."""
    listed = pairs(where)
    agree = np.abs(listed.first - listed.second) <= tolerance
    return listed.first[agree], listed.second[agree], listed.weight[agree]
