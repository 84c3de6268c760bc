"""Hanging pulls of one tape in, their sag by hand and exactly, out; arrays; pure.

Supports stand on one straight grade, each span holds an equal part of its pull's tape, and the
pull goes over smooth supports from span to span. Along the tape ``T + T^2 / (2 A E) - w z`` stays
the same (see `calllog.corrections.catenary.mean_pull`), so that each span on a slope has a pull of
its own. An angle is that of the chord, not of the tape.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from calllog.corrections.catenary import CANNOT_HANG, energy, level_chord, pull_of
from calllog.corrections.formulas import span_sag
from calllog.corrections.pulls import Floats, or_zero
from calllog.corrections.situation import End
from calllog.tape import Certificate

HELD_AT = {End.LOWER: 0.0, End.MIDDLE: 0.5, End.UPPER: 1.0}
"""Share of a pull's rise at which its tension is stated."""
NEGLIGIBLE_FT = 0.0005
"""What two forms of a correction may differ by in a pull: half of the last figure, 0.001 ft."""
SAG_FORMS = ("catenary", "parabola -w^2 s^3/(24 P^2)")
NOTHING_FT = 1e-7
"""What the pulls of several spans need not be told apart for."""
SMALL_WEIGHT = 0.5
"""Weight of a span over its pull up to which the bound on the parabola's error holds."""
LEAST = 1 + 1e-9
"""Times the pull that just does not carry a tape, one that does."""
STEPS, STILL_FT = 200, 1e-11
"""At most so many steps; done when no chord moves any more."""


@dataclass(frozen=True, slots=True)
class Hung:
    """Sag of n hanging pulls by both forms, and what their slope does to the tension."""

    by_hand_ft: Floats
    exact_ft: Floats
    """That of the parabola where it surely holds and not both forms were asked for."""
    more_ft: Floats
    """Stretch, beyond that under the stated tension, by the mean of the pulls of its spans."""
    mean_lb: Floats
    """Mean of the pulls at both ends of the whole pull."""

    @property
    def by_hand_holds(self) -> NDArray[np.bool_]:
        """Where the parabola will do."""
        return np.abs(self.by_hand_ft - self.exact_ft) <= NEGLIGIBLE_FT

    def in_use_ft(self, form: str | None = None) -> Floats:
        """Give the sag by one of `SAG_FORMS`; by that which holds if none is named."""
        if form is None:
            return np.where(self.by_hand_holds, self.by_hand_ft, self.exact_ft)
        return self.exact_ft if form == SAG_FORMS[0] else self.by_hand_ft


def throughout_length_ft(certificate: Certificate) -> float:
    """Convert a certified length to what the tape measures when it is supported throughout.

    A tape certified in spans sags on the bench; that sag is taken out, so that the sag in use is
    put in whole (common practice, no published source).

    Returns:
        The length between the end marks under the certified tension and temperature, flat [ft].
    """
    if certificate.certified_spans == 0:
        return certificate.certified_length_ft
    hung = hang(
        np.array([float(certificate.nominal_ft)]),
        np.array([certificate.certified_spans]),
        np.array([certificate.certified_tension_lb]),
        certificate,
        rise_ft=np.zeros(1),
    )
    return certificate.certified_length_ft - float(hung.in_use_ft()[0])


@dataclass(frozen=True, slots=True)
class _Tape:
    """One tape as it hangs: its weight is that of its unstretched length."""

    stretch: float
    weight: float
    stiffness_lb: float

    @classmethod
    def of(cls, certificate: Certificate) -> _Tape:
        stiffness_lb = certificate.area_in2 * certificate.modulus_psi
        stretch = 1 + certificate.certified_tension_lb / stiffness_lb
        return cls(stretch, certificate.weight_lb_per_ft * stretch, stiffness_lb)

    def straight_ft(self, slack_ft: Floats, pull_lb: Floats) -> Floats:
        return slack_ft * (1 + pull_lb / self.stiffness_lb)


def hang(
    length_ft: Floats,
    count: NDArray[np.int64],
    pull_lb: Floats,
    certificate: Certificate,
    *,
    rise_ft: Floats,
    sine: Floats | None = None,
    tension_at: End = End.MIDDLE,
    has_both_forms: bool = True,
) -> Hung:
    """Work the sag of pulls that hang, by the parabola and by the catenary.

    Args:
        length_ft: of each pull, in the tape's own marks, above 0, shape (n,) [ft].
        count: equal spans of each, at least 1.
        pull_lb: the tension stated, above 0.
        certificate: that of the tape.
        rise_ft: of the ends of each pull [ft]; counts where no sine is given.
        sine: of the grade of the chord; NaN where the rise is given instead, None for everywhere.
        tension_at: where on the slope the tension was held.
        has_both_forms: the exact form is wanted of all, not only where it may be the one in use.

    Returns:
        Both forms, shape (n,). By hand the mean pull counts for all spans of a pull.

    Raises:
        ValueError: a pull cannot carry the tape, or nothing is left of it at an end.
    """
    tape = _Tape.of(certificate)
    rise_ft = np.abs(rise_ft)
    share = np.minimum(1.0, rise_ft / length_ft)
    if sine is not None:
        by_sine = ~np.isnan(sine)
        rise_ft, share = np.where(by_sine, 0.0, rise_ft), np.where(by_sine, sine, share)
    span_ft, weight = length_ft / count, certificate.weight_lb_per_ft
    flatter = 1 - share**2
    by_hand_ft = count * span_sag(span_ft, pull_lb, weight) * flatter
    if has_both_forms:
        exact_ft = count * _single(tape, span_ft, pull_lb, rise_ft / count, sine)
    else:
        exact_ft = by_hand_ft.copy()
        here = np.flatnonzero(_may_fail(tape, length_ft, count, pull_lb))
        if len(here):
            exact_ft[here] = count[here] * _single(
                tape,
                span_ft[here],
                pull_lb[here],
                rise_ft[here] / count[here],
                None if sine is None else sine[here],
            )
    hung = Hung(by_hand_ft, exact_ft, np.zeros_like(span_ft), pull_lb)
    if tension_at is End.MIDDLE:
        apart = (tape.weight / 2 * share * length_ft / pull_lb) ** 2
        apart *= by_hand_ft
        uneven = (apart < -NOTHING_FT / 3) & (count > 1)
    else:
        uneven = share > 0
    if not uneven.any():
        return hung
    here = np.flatnonzero(uneven)
    exact_ft[here], ends_lb, spans_lb = _over_supports(
        tape,
        length_ft=length_ft[here],
        count=count[here],
        pull_lb=pull_lb[here],
        rise_ft=rise_ft[here],
        sine=None if sine is None else sine[here],
        held_at=HELD_AT[tension_at],
    )
    if tension_at is End.MIDDLE:
        return hung
    mean_lb = pull_lb.copy()
    mean_lb[here] = ends_lb
    hung.more_ft[here] = (spans_lb - pull_lb[here]) * length_ft[here] / tape.stiffness_lb
    by_hand_ft = count * span_sag(span_ft, mean_lb, weight) * flatter
    return replace(hung, by_hand_ft=by_hand_ft, mean_lb=mean_lb)


def catenary_ft(
    length_ft: Floats,
    count: NDArray[np.int64],
    pull_lb: Floats,
    certificate: Certificate,
    *,
    rise_ft: Floats,
    sine: Floats,
    heavier: float = 1.0,
) -> Floats:
    """Give the exact sag of pulls that hang under a mean pull, all their spans alike.

    A pull that is too small to carry the tape counts as the least one that does.

    Args:
        length_ft: of each pull, above 0; it broadcasts with the others [ft].
        count: equal spans of each, at least 1.
        pull_lb: the mean pull.
        certificate: that of the tape.
        rise_ft: of the ends of each pull [ft]; counts where no sine is given.
        sine: of the grade of the chord; NaN where the rise is given instead.
        heavier: by how much the tape is heavier than its certificate says.

    Returns:
        The sag [ft]; never positive.
    """
    plain = _Tape.of(certificate)
    tape = _Tape(plain.stretch, plain.weight * heavier, plain.stiffness_lb)
    least_lb = tape.weight * length_ft / plain.stretch / (2 * count) * LEAST
    each_ft = _single(
        tape,
        length_ft / count,
        np.maximum(pull_lb, least_lb),
        np.where(np.isnan(sine), np.abs(rise_ft), 0.0) / count,
        sine,
    )
    return count * each_ft


def _may_fail(
    tape: _Tape, length_ft: Floats, count: NDArray[np.int64], pull_lb: Floats
) -> NDArray[np.bool_]:
    """Tell where the parabola may differ from the catenary by more than `NEGLIGIBLE_FT`.

    With x, the weight of a span over its pull, the parabola of a level pull is ``L x^2 / 24``. It
    is off by less than ``x^2 / 5 + 8 (P + P0) / (A E)`` of that, on any slope, while x is small.
    """
    square = (tape.weight / tape.stretch * length_ft / (count * pull_lb)) ** 2
    strain = tape.stretch - 1 + pull_lb / tape.stiffness_lb
    is_off = length_ft * square / 24 * (square / 5 + 8 * strain) > NEGLIGIBLE_FT
    found: NDArray[np.bool_] = is_off | (square > SMALL_WEIGHT**2)
    return found


def _single(
    tape: _Tape, span_ft: Floats, pull_lb: Floats, rise_ft: Floats, sine: Floats | None
) -> Floats:
    """Give the sag of one span of each pull under the mean pull."""
    slack_ft = span_ft / tape.stretch
    straight_ft = tape.straight_ft(slack_ft, pull_lb)
    return _chord_ft(tape, slack_ft, pull_lb, rise_ft, sine) - straight_ft


def _chord_ft(
    tape: _Tape, slack_ft: Floats, pull_lb: Floats, rise_ft: Floats, sine: Floats | None
) -> Floats:
    """Give the straight distance of a span's ends, by its rise or by the sine of its grade.

    With the chord D on the level and the straight tape S, its square is
    ``D^2 + h^2 (1 - D^2 / S^2)``, and ``D^2 / (1 - sin^2 (1 - D^2 / S^2))`` by its grade. A rise
    beyond the straight tape, which is refused where lengths are known, counts as upright.
    """
    level_ft = np.asarray(level_chord(slack_ft, pull_lb, tape.weight, tape.stiffness_lb))
    if sine is None and not rise_ft.any():
        return level_ft
    straight_ft = tape.straight_ft(slack_ft, pull_lb)
    less = 1 - (level_ft / straight_ft) ** 2
    by_rise = np.sqrt(level_ft**2 + np.minimum(rise_ft, straight_ft) ** 2 * less)
    if sine is None:
        return by_rise
    by_sine = level_ft / np.sqrt(1 - or_zero(sine) ** 2 * less)
    return np.where(np.isnan(sine), by_rise, by_sine)


def _over_supports(
    tape: _Tape,
    *,
    length_ft: Floats,
    count: NDArray[np.int64],
    pull_lb: Floats,
    rise_ft: Floats,
    sine: Floats | None,
    held_at: float,
) -> tuple[Floats, Floats, Floats]:
    """Work pulls on a slope whose spans have each their own pull, by repeated chords.

    Returns:
        The sag of each pull, the mean of the pulls at its two ends, and that of its spans.

    Raises:
        ValueError: a span cannot hang, or no chords are found that go together.
    """
    pulls, stiffness_lb = len(length_ft), tape.stiffness_lb
    owner = np.repeat(np.arange(pulls), count)
    first = np.cumsum(count) - count
    slack_ft = (length_ft / count / tape.stretch)[owner]
    chord_ft = (length_ft / count)[owner]
    held_lb, no_rise = energy(pull_lb, stiffness_lb), np.zeros_like(slack_ft)
    for _ in range(STEPS):
        total_ft = np.bincount(owner, chord_ft, pulls)
        grade = np.minimum(1.0, rise_ft / total_ft)
        if sine is not None:
            grade = np.where(np.isnan(sine), grade, sine)
        before_ft = np.cumsum(chord_ft) - chord_ft
        before_ft -= before_ft[first][owner]
        base = (held_lb - tape.weight * grade * total_ft * held_at)[owner]
        slope = tape.weight * grade[owner]
        lower_lb = np.asarray(pull_of(base + slope * before_ft, stiffness_lb))
        upper_lb = np.asarray(pull_of(base + slope * (before_ft + chord_ft), stiffness_lb))
        span_lb = (lower_lb + upper_lb) / 2
        new_ft = _chord_ft(tape, slack_ft, span_lb, no_rise, grade[owner])
        moved_ft = float(np.abs(new_ft - chord_ft).max())
        chord_ft = new_ft
        if moved_ft <= STILL_FT:
            break
    else:
        raise ValueError(CANNOT_HANG)
    straight_ft = tape.straight_ft(slack_ft, span_lb)
    last = first + count - 1
    sag_ft = np.bincount(owner, chord_ft - straight_ft, pulls).astype(np.float64)
    ends_lb: Floats = (lower_lb[first] + upper_lb[last]) / 2
    spans_lb: Floats = np.bincount(owner, span_lb, pulls) / count
    return sag_ft, ends_lb, spans_lb
