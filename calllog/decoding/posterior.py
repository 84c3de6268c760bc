"""Two likelihoods in, the joint posterior of take and check out, exact over the tape; pure.

P(take, check | heard) is in proportion to L_take L_check P(take, check), with a prior that is a
mixture: the same within the crew's repeatability, each known blunder, or unrelated. It is even
over the take and the same both ways round. Pairs are never laid out: each part of the mixture is
a shift, a list of pairs, or a product.
"""

import math
from dataclasses import dataclass

import numpy as np

from calllog.decoding.arithmetic import EXACT, Arithmetic
from calllog.decoding.blunders import BLUNDERS, SAME, UNRELATED, UNRELATED_WEIGHT, near, pairs
from calllog.decoding.repeatability import REACH
from calllog.decoding.space import Space, Vector

SAME_WEIGHT = 1.0 - UNRELATED_WEIGHT - math.fsum(weight for _, weight, _ in BLUNDERS)


@dataclass(frozen=True, slots=True)
class Explanation:
    """One way to explain what was heard of a pull."""

    code: str
    """``same``, a blunder's name, or ``differs``."""
    take: int
    check: int
    """Lengths that were called, hundredths of a foot or meter."""
    probability: float


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """What take and check may have been, as they were called.

    Args:
        where: the lengths.
        take: probability of each length of the take, shape (lengths,).
        check: the same for the check; None where there is none.
    """

    where: Space
    take: Vector
    check: Vector | None
    _likelihoods: tuple[Vector, Vector] | None = None
    _same: Vector | None = None
    _total: float = 1.0
    _arithmetic: Arithmetic = EXACT

    @property
    def codes(self) -> dict[str, float]:
        """Probability of each explanation by its name; empty without a check."""
        if self._likelihoods is None or self._same is None:
            return {}
        first, second = self._likelihoods
        arithmetic = self._arithmetic
        listed = pairs(self.where)
        products = listed.weight * first[listed.first] * second[listed.second]
        sums = np.bincount(listed.code, products, len(listed.codes))
        found = {code: float(sums[at]) for at, code in enumerate(listed.codes)}
        alike = (_overlap(first, second, at - REACH) for at in range(self._same.size))
        found[SAME] = SAME_WEIGHT * arithmetic.listed(
            float(share) * arithmetic.product(one, other)
            for share, (one, other) in zip(self._same, alike, strict=True)
        )
        both = arithmetic.total(first) * arithmetic.total(second)
        found[UNRELATED] = UNRELATED_WEIGHT / self.where.size * both
        return {code: weight / self._total for code, weight in found.items()}

    def pair(self, take: int, check: int) -> float:
        """Give the probability of one pair of lengths [hundredths of a foot or meter]."""
        return self._arithmetic.listed(each.probability for each in self._explain(take, check))

    def within(self, tolerance: int) -> float:
        """Give the probability that what was called agrees within a tolerance [hundredths]."""
        if self._likelihoods is None or self._same is None:
            return 1.0
        first, second = self._likelihoods
        one, other, weight = near(self.where, tolerance)
        found = self._arithmetic.total(weight * first[one] * second[other])
        even = UNRELATED_WEIGHT / self.where.size
        for shift in range(-tolerance, tolerance + 1):
            taken, checked = _overlap(first, second, shift)
            share = SAME_WEIGHT * float(self._same[shift + REACH]) if abs(shift) <= REACH else 0.0
            found += (share + even) * self._arithmetic.product(taken, checked)
        return found / self._total

    def best(self, count: int) -> tuple[Explanation, ...]:
        """List the likeliest explanations, likeliest first."""
        if self._likelihoods is None or self._same is None or self.check is None:
            return ()
        first, second = self._likelihoods
        listed = pairs(self.where)
        score = listed.weight * first[listed.first] * second[listed.second]
        found = {
            (int(listed.first[at]), int(listed.second[at]))
            for at in np.argsort(-score, kind="stable")[:count]
        }
        for shift in range(-REACH, REACH + 1):
            one, other = _overlap(first, second, shift)
            start = max(-shift, 0)
            for at in np.argsort(-(one * other), kind="stable")[:count] + start:
                found.add((int(at), int(at) + shift))
        tops = [np.argsort(-vector, kind="stable")[:count] for vector in (first, second)]
        found |= {(int(one), int(other)) for one in tops[0] for other in tops[1]}
        ways = [way for pair in found for way in self._explain(*pair)]
        return tuple(sorted(ways, key=lambda way: -way.probability)[:count])

    def _explain(self, take: int, check: int) -> list[Explanation]:
        if self._likelihoods is None or self._same is None:
            return []
        heard = float(self._likelihoods[0][take] * self._likelihoods[1][check]) / self._total
        listed = pairs(self.where)
        ways = {UNRELATED: UNRELATED_WEIGHT / self.where.size}
        if abs(check - take) <= REACH:
            ways[SAME] = SAME_WEIGHT * float(self._same[check - take + REACH])
        for at in np.flatnonzero((listed.first == take) & (listed.second == check)):
            code = listed.codes[listed.code[at]]
            ways[code] = ways.get(code, 0.0) + float(listed.weight[at])
        return [Explanation(code, take, check, way * heard) for code, way in ways.items()]


def decode(
    where: Space,
    take: Vector,
    check: Vector | None,
    deviation: float,
    arithmetic: Arithmetic = EXACT,
) -> Posterior:
    """Weigh take and check together.

    Args:
        where: the lengths that can be read.
        take: likelihood of each length of the take, shape (lengths,).
        check: the same for the check; None without one.
        deviation: the crew's repeatability (see `calllog.decoding.repeatability`) [hundredths].
        arithmetic: the edition's.
    """
    if check is None:
        return Posterior(where, take / arithmetic.total(take), None)
    same = arithmetic.spread(deviation)
    listed = pairs(where)
    even = UNRELATED_WEIGHT / where.size
    toward_take = arithmetic.toward(listed, check) + even * arithmetic.total(check)
    toward_check = arithmetic.toward(listed, take) + even * arithmetic.total(take)
    for at, share in enumerate(same):
        one, other = _overlap(toward_take, check, at - REACH)
        one += SAME_WEIGHT * share * other
        one, other = _overlap(take, toward_check, at - REACH)
        other += SAME_WEIGHT * share * one
    both, back = take * toward_take, check * toward_check
    total = arithmetic.total(both)
    return Posterior(where, both / total, back / total, (take, check), same, total, arithmetic)


def _overlap(first: Vector, second: Vector, shift: int) -> tuple[Vector, Vector]:
    """Lay the second beside the first, so many hundredths further on."""
    size = first.size
    return (
        first[max(-shift, 0) : size - max(shift, 0)],
        second[max(shift, 0) : size - max(-shift, 0)],
    )
