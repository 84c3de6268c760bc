"""The corrections' signs, zeros, scaling and shapes, by property."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calllog.corrections.formulas import (
    Quantity,
    equal_spans_sag,
    slope,
    slope_first_order,
    span_sag,
    standardisation,
    temperature,
    tension,
)

ALPHA = 6.45e-6
STIFFNESS_LB = 0.00375 * 29e6
lengths = st.floats(1.0, 300.0)
pulls = st.floats(5.0, 30.0)
weights = st.floats(0.008, 0.03)
degrees = st.floats(-20.0, 120.0)
scales = st.floats(0.1, 10.0)
counts = st.integers(1, 12)


@settings(deadline=None)
@given(lengths, degrees, pulls)
def test_standard_conditions_need_no_correction(length: float, degf: float, pull: float) -> None:
    """A true tape at its own temperature and tension, level and supported, is corrected by 0."""
    assert standardisation(length, 100.0, 100.0) == 0
    assert temperature(length, degf, degf, ALPHA) == 0
    assert tension(length, pull, pull, STIFFNESS_LB) == 0
    assert equal_spans_sag(length, 0, pull, 0.0128) == 0
    assert slope(length, 0.0) == 0


def test_signs() -> None:
    """What makes the tape long adds to the length read; what makes it short takes away."""
    assert standardisation(100.0, 100.01, 100.0) > 0 > standardisation(100.0, 99.99, 100.0)
    assert temperature(100.0, 90.0, 68.0, ALPHA) > 0 > temperature(100.0, 40.0, 68.0, ALPHA)
    assert tension(100.0, 20.0, 10.0, STIFFNESS_LB) > 0 > tension(100.0, 5.0, 10.0, STIFFNESS_LB)
    assert span_sag(100.0, 10.0, 0.0128) < 0
    assert slope(100.0, -1.0) == slope(100.0, 1.0) < 0
    assert slope_first_order(100.0, -1.0) == slope_first_order(100.0, 1.0) < 0


@settings(deadline=None)
@given(lengths, scales, pulls, weights)
def test_any_unit_of_length_will_do(
    length: float, scale: float, pull: float, weight: float
) -> None:
    """Lengths in another unit (with weight per that unit) give the correction in that unit."""
    assert scale * span_sag(length, pull, weight) == pytest.approx(
        span_sag(scale * length, pull, weight / scale)
    )
    assert scale * slope(length, length / 7) == pytest.approx(
        slope(scale * length, scale * length / 7)
    )
    assert scale * standardisation(length, 100.01, 100.0) == pytest.approx(
        standardisation(scale * length, scale * 100.01, scale * 100.0)
    )


@settings(deadline=None)
@given(lengths, scales, degrees, pulls)
def test_even_corrections_grow_with_length(
    length: float, scale: float, degf: float, pull: float
) -> None:
    """Standardisation, temperature and tension are in proportion to the length."""
    longer = scale * length
    for one, scaled in (
        (standardisation(length, 100.004, 100.0), standardisation(longer, 100.004, 100.0)),
        (temperature(length, degf, 68.0, ALPHA), temperature(longer, degf, 68.0, ALPHA)),
        (tension(length, pull, 10.0, STIFFNESS_LB), tension(longer, pull, 10.0, STIFFNESS_LB)),
    ):
        assert scaled == pytest.approx(scale * one)


@settings(deadline=None)
@given(lengths, pulls, weights, scales)
def test_sag_scales_by_cube_and_squares(
    span: float, pull: float, weight: float, scale: float
) -> None:
    """Sag goes by the cube of the span, the square of the weight, and down by that of the pull."""
    once = span_sag(span, pull, weight)
    assert span_sag(scale * span, pull, weight) == pytest.approx(scale**3 * once)
    assert span_sag(span, pull, scale * weight) == pytest.approx(scale**2 * once)
    assert span_sag(span, scale * pull, weight) == pytest.approx(once / scale**2)


@settings(deadline=None)
@given(lengths, counts, pulls, weights)
def test_equal_spans_are_their_spans(length: float, n: int, pull: float, weight: float) -> None:
    """Equal spans sag as so many spans do, and by their number squared less than one span."""
    found = equal_spans_sag(length, n, pull, weight)
    assert found == pytest.approx(sum(span_sag(length / n, pull, weight) for _ in range(n)))
    assert n**2 * found == pytest.approx(span_sag(length, pull, weight))


@settings(deadline=None)
@given(lengths, st.floats(0.0, 0.99), st.floats(1e-3, 0.01))
def test_steeper_is_shorter(length: float, share: float, more: float) -> None:
    """A greater rise always shortens the level length more, and exact more than first order."""
    flatter, steeper = slope(length, share * length), slope(length, (share + more) * length)
    assert steeper < flatter
    assert steeper <= slope_first_order(length, (share + more) * length) + 1e-9


@settings(deadline=None)
@given(lengths, st.floats(0.0, 1.0))
def test_slope_is_the_level_side_of_a_right_triangle(length: float, share: float) -> None:
    """Level length and rise, put together at a right angle, give the length along the slope."""
    rise = share * length
    assert np.hypot(length + slope(length, rise), rise) == pytest.approx(length)


@pytest.mark.parametrize(
    ("length", "rise"),
    [(1.0, 1.001), (1.0, -2.0), (-1.0, 0.0), (1.0, float("nan")), (float("nan"), 0.0)],
)
def test_impossible_slopes_are_refused(length: float, rise: float) -> None:
    """A rise greater than its length raises a clear error, alone and inside an array; no NaN."""
    with pytest.raises(ValueError, match="no rise can be greater than the length"):
        slope(length, rise)
    with pytest.raises(ValueError, match="no rise can be greater than the length"):
        slope(np.array([100.0, length]), np.array([1.0, rise]))


def test_arrays_broadcast_and_equal_one_by_one() -> None:
    """A column of lengths against a row of conditions gives the table of single results."""
    column, row = np.array([[20.0], [50.0], [99.5]]), np.array([8.0, 12.0, 20.0, 25.0])
    n = np.array([0, 1, 2, 4])
    tables: list[tuple[Quantity, Callable[[float, int], Quantity]]] = [
        (
            standardisation(column, 100 + row / 1e4, 100.0),
            lambda s, j: standardisation(s, 100 + row[j] / 1e4, 100.0),
        ),
        (temperature(column, row, 68.0, ALPHA), lambda s, j: temperature(s, row[j], 68.0, ALPHA)),
        (
            tension(column, row, 10.0, STIFFNESS_LB),
            lambda s, j: tension(s, row[j], 10.0, STIFFNESS_LB),
        ),
        (
            equal_spans_sag(column, n, row, 0.0128),
            lambda s, j: equal_spans_sag(s, int(n[j]), row[j], 0.0128),
        ),
        (slope(column, row / 2), lambda s, j: slope(s, row[j] / 2)),
        (slope_first_order(column, row / 2), lambda s, j: slope_first_order(s, row[j] / 2)),
    ]
    for table, one in tables:
        expected = [[one(float(s), j) for j in range(4)] for s in column[:, 0]]
        assert np.shape(table) == (3, 4)
        assert table == pytest.approx(np.array(expected), rel=1e-12)
