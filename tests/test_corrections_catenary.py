"""The exact catenary against the forces added up numerically, its limits and its properties.

No published numbers exist for an elastic tape; what stands against it is numeric integration of
the forces on its parts (statics and Hooke's law), and the published parabola where that holds.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from calllog.corrections.formulas import span_sag
from tests.correcting import catenary_sag, chord, mean_pull

lengths = st.floats(5.0, 300.0)
weights = st.floats(0.005, 0.05)
stiffnesses = st.floats(20_000.0, 200_000.0)
tautness = st.floats(0.6, 40.0)
"""Pull over weight of the span; at 0.5 nothing hangs."""


def integrated(
    level_lb: float, upright_lb: float, length: float, weight: float, stiffness: float
) -> tuple[float, float]:
    """Add up a tape's small parts: each lies along its own pull and is stretched by it.

    The level part of the pull is the same everywhere; the upright one grows by the weight below.

    Returns:
        Horizontal distance of the ends, and height of the last above the first [ft].
    """

    def part(s: float, _: np.ndarray) -> list[float]:
        upright = upright_lb - weight * (length - s)
        pull = math.hypot(level_lb, upright)
        stretched = 1 + pull / stiffness
        return [stretched * level_lb / pull, stretched * upright / pull]

    done = scipy.integrate.solve_ivp(
        part, (0.0, length), [0.0, 0.0], method="DOP853", rtol=1e-12, atol=1e-12
    )
    return float(done.y[0, -1]), float(done.y[1, -1])


@pytest.mark.parametrize("stiffness", [1_000.0, 106_742.0])
@pytest.mark.parametrize(
    ("level_lb", "upright_lb", "length", "weight"),
    [
        (10.0, 0.637, 100.0, 0.01274),  # about level
        (5.0, 1.2, 100.0, 0.0127),
        (5.0, 3.0, 100.0, 0.0127),  # steep
        (5.0, -2.0, 100.0, 0.0127),  # the pull stated at the lower end
        (4.583, 2.0, 50.0, 0.08),  # the 50 m tape of 4 kg under 5 kg
        (0.5, 2.5, 50.0, 0.08),  # slack
    ],
)
def test_chord_is_that_of_the_forces_added_up(
    level_lb: float, upright_lb: float, length: float, weight: float, stiffness: float
) -> None:
    """Chord, and the pull at the other end, from the pull at one end, to 1e-9 of the length."""
    across, rise = integrated(level_lb, upright_lb, length, weight, stiffness)
    here = math.hypot(level_lb, upright_lb)
    there = math.hypot(level_lb, upright_lb - weight * length)
    middle = mean_pull(here, rise, weight, stiffness)
    assert middle == pytest.approx((here + there) / 2, rel=1e-10)
    assert mean_pull(there, -rise, weight, stiffness) == pytest.approx(middle, rel=1e-10)
    assert chord(length, middle, weight, stiffness, rise) == pytest.approx(across, rel=1e-9)


@settings(deadline=None)
@given(lengths, tautness, weights)
def test_level_tape_that_does_not_stretch(length: float, taut: float, weight: float) -> None:
    """Without stretch the chord is the textbook's: 2 c asinh(L / 2 c), c = H / w."""
    pull = taut * weight * length
    c = math.sqrt(taut**2 - 0.25) * length
    assert chord(length, pull, weight, np.inf) == pytest.approx(
        2 * c * math.asinh(length / (2 * c))
    )


@settings(deadline=None)
@given(lengths, st.floats(15.0, 60.0), weights, st.floats(-0.5, 0.5))
def test_parabola_is_its_limit(length: float, taut: float, weight: float, sine: float) -> None:
    """The tauter the tape the nearer the parabola, times cos^2 of the slope: by (w L / P)^2."""
    pull = taut * weight * length
    by_hand = span_sag(length, pull, weight) * (1 - sine**2)
    exact = catenary_sag(length, pull, weight, np.inf, sine * length)
    assert exact / by_hand == pytest.approx(1.0, abs=0.3 / taut**2)


@settings(deadline=None)
@given(lengths, tautness, weights, stiffnesses, st.floats(-0.95, 0.95))
def test_chord_keeps_its_bounds(
    length: float, taut: float, weight: float, stiffness: float, sine: float
) -> None:
    """No longer than the straight stretched tape, longer under more pull, alike up and down."""
    pull, rise = taut * weight * length, sine * length
    found = chord(length, pull, weight, stiffness, rise)
    assert found > 0
    assert math.hypot(found, rise) <= length * (1 + pull / stiffness) * (1 + 1e-12)
    assert chord(length, 1.01 * pull, weight, stiffness, rise) > found
    assert chord(length, pull, weight, stiffness, -rise) == found
    assert catenary_sag(length, pull, weight, stiffness, rise) <= 1e-12 * length


@settings(deadline=None)
@given(lengths, tautness, weights, stiffnesses, st.floats(0.1, 10.0), st.floats(0.1, 10.0))
def test_any_units_will_do(
    length: float, taut: float, weight: float, stiffness: float, metres: float, newtons: float
) -> None:
    """Another unit of length and of force gives the same chord in that unit."""
    pull, rise = taut * weight * length, 0.1 * length
    found = chord(length, pull, weight, stiffness, rise)
    assert chord(
        metres * length,
        newtons * pull,
        newtons / metres * weight,
        newtons * stiffness,
        metres * rise,
    ) == pytest.approx(metres * found)


@settings(deadline=None)
@given(st.floats(5.0, 40.0), st.floats(0.0, 50.0), weights, stiffnesses)
def test_energy_is_the_same_at_both_ends(
    pull: float, rise: float, weight: float, stiffness: float
) -> None:
    """The upper end has more pull, by about the weight of a tape hanging over the rise."""
    assume(weight * rise < 0.9 * pull)
    other = 2 * mean_pull(pull, rise, weight, stiffness) - pull
    work_done = pull + pull**2 / (2 * stiffness) - other - other**2 / (2 * stiffness)
    assert work_done == pytest.approx(weight * rise, abs=1e-12)
    assert mean_pull(pull, rise, weight, np.inf) == pytest.approx(pull - weight * rise / 2)


def test_arrays_broadcast_and_equal_one_by_one() -> None:
    """A column of lengths against a row of pulls gives the table of single results."""
    column, row = np.array([[0.0], [20.0], [99.5]]), np.array([8.0, 12.0, 20.0])
    rises = column / 10
    table = catenary_sag(column, mean_pull(row, rises, 0.0128, 1e5), 0.0128, 1e5, rises)
    expected = [
        [
            catenary_sag(s, mean_pull(p, s / 10, 0.0128, 1e5), 0.0128, 1e5, s / 10)
            for p in map(float, row)
        ]
        for s in map(float, column[:, 0])
    ]
    assert np.shape(table) == (3, 3)
    assert table == pytest.approx(np.array(expected), rel=1e-12)
    assert np.all(np.asarray(table)[0] == 0)


@pytest.mark.parametrize("pull", [0.64, 0.3, -1.0, math.nan])
def test_what_cannot_hang_is_refused(pull: float) -> None:
    """100 ft of 0.0128 lb/ft weigh 1.28 lb: half of it at each end, or nothing hangs; no NaN."""
    with pytest.raises(ValueError, match="this pull cannot carry the tape"):
        chord(np.array([10.0, 100.0]), np.array([9.0, pull]), 0.0128, 1e5)


def test_what_does_not_reach_is_refused() -> None:
    """A tape shorter than the rise spans nothing; nor is a pull left above its own weight."""
    with pytest.raises(ValueError, match="no rise can be greater than the length of the tape"):
        chord(10.0, 9.0, 0.0128, 1e5, 10.1)
    with pytest.raises(ValueError, match="this pull cannot carry the tape"):
        mean_pull(1.0, 100.0, 0.0128, 1e5)
