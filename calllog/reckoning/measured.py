"""Lengths and what is known of their errors in, the uncertainty of what follows out; pure."""

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from calllog.corrections import LineBudget
from calllog.lines import COVERAGE
from calllog.units import Foot, Length

ONE_WAY, RANDOM = "one-way", "random"
"""Kinds of a budget's rows; errors of all others are common to all lines of a job."""


@dataclass(frozen=True, slots=True)
class Error:
    """What one source of error does to a length."""

    source: str
    """Errors of the same source are the same error: they add with their signs, not in squares."""
    u_m: float
    """Standard uncertainty, k = 1, with the sign of its effect [m]."""


@dataclass(frozen=True, slots=True)
class Measured:
    """A length that was measured."""

    name: str
    """Of its two ends, such as A:B."""
    length: Length
    least_m: Fraction
    """The least that its figure can show [m]."""
    errors: tuple[Error, ...] | None
    """None where nothing is known of them."""

    @property
    def m(self) -> Fraction:
        """The length, exact as it is given [m]."""
        return self.length.size

    @property
    def u_m(self) -> float | None:
        """Standard uncertainty, k = 1; None if it is not known [m]."""
        return combined_u([(self, 1.0)])


@dataclass(frozen=True, slots=True)
class Known:
    """What was reckoned, and how well it is known."""

    size: Fraction
    """[m or m2]."""
    u: float | None
    """Standard uncertainty, k = 1, in the same unit; None if it is not known."""

    @property
    def expanded(self) -> float | None:
        """The same with k = 2, about 95 %."""
        return None if self.u is None else COVERAGE * self.u

    @property
    def is_explained(self) -> bool | None:
        """Whether a difference is no more than its uncertainty (k = 2); None if not known."""
        return None if self.expanded is None else abs(self.size) <= self.expanded


def combined_u(terms: Iterable[tuple[Measured, float]]) -> float | None:
    """Combine the errors of several lengths in what follows from them (GUM 5.1.2 and 5.2.2).

    ``u^2 = sum over sources of (sum over lengths of c u)^2``: what is common to lengths adds with
    its sign, so that it cancels in a difference and grows with a sum.

    Args:
        terms: each length with the sensitivity of the result to it [result per m].

    Returns:
        The standard uncertainty, k = 1; None if that of some length is not known.
    """
    effects: defaultdict[str, float] = defaultdict(float)
    for one, sensitivity in terms:
        if one.errors is None:
            return None
        for error in one.errors:
            effects[error.source] += sensitivity * error.u_m
    return math.hypot(*effects.values())


def stated_errors(name: str, expanded_m: float) -> tuple[Error, ...]:
    """Give the error of a length whose expanded uncertainty (k = 2) was stated; it is its own."""
    return (Error(f"stated of {name}", expanded_m / COVERAGE),)


def line_errors(name: str, budget: LineBudget, foot: Foot) -> tuple[Error, ...]:
    """Give the errors of a line by its budget: what is random is its own, all else is the job's.

    Effects that go one way only are one error, as along a line.

    Args:
        name: of the line and its run, no other's.
        budget: of the line [ft].
        foot: that of its tape.
    """
    found = []
    for row in budget.rows:
        source = ONE_WAY
        if row.kind.value != ONE_WAY:
            source = f"{row.kind.value} {row.component.model_dump_json()} {row.source} {row.unit}"
            source += f" of {name}" if row.kind.value == RANDOM else ""
        found.append(Error(source, row.sensitivity * row.u_input * float(foot.metres)))
    return tuple(found)


def mean_of(name: str, runs: Sequence[Measured]) -> Measured:
    """Take the mean of one run or several of one line."""
    share = Fraction(1, len(runs))
    errors: tuple[Error, ...] | None = ()
    for one in runs:
        if one.errors is None or errors is None:
            errors = None
        else:
            errors += tuple(replace(each, u_m=each.u_m * float(share)) for each in one.errors)
    length = replace(runs[0].length, size=share * sum((one.m for one in runs), Fraction(0)))
    return Measured(name, length, min(one.least_m for one in runs), errors)
