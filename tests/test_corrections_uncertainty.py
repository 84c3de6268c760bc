"""Distributions and the combination of inputs, against the GUM's own example and by property."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from calllog.corrections.uncertainty import (
    KURTOSIS,
    Component,
    ComponentKind,
    Input,
    Shape,
    Uncertain,
    combine,
    curvature,
    join_parts,
    linear,
    normal,
    product,
    rectangular,
    shares,
    triangular,
)

GUM_H1 = "GUM H.1 (JCGM 100:2008), read second-hand"
LENGTH_NM = 50.000623e6
ALPHA = 11.5e-6

# The inputs as printed: standard uncertainty and degrees of freedom.
STANDARD = normal(25.0, GUM_H1)
DIFFERENCE = normal(9.7, GUM_H1)
EXPANSION = normal(1.2e-6, GUM_H1)
DEVIATION = normal(0.41, GUM_H1)
EXPANSION_DIFFERENCE = normal(0.58e-6, GUM_H1)
TEMPERATURE_DIFFERENCE = normal(0.029, GUM_H1)


def end_gauge() -> list[Component]:
    """Model ``l = ls + d - ls (da theta + as dtheta)`` at theta -0.1 degC, da 0, dtheta 0."""
    return [
        linear(Input("ls"), ComponentKind.COMMON, STANDARD, "nm", 1.0),
        linear(Input("d"), ComponentKind.RANDOM, DIFFERENCE, "nm", 1.0),
        linear(Input("as"), ComponentKind.COMMON, EXPANSION, "per degC", 0.0),
        linear(Input("theta"), ComponentKind.RANDOM, DEVIATION, "degC", 0.0),
        linear(
            Input("da"), ComponentKind.COMMON, EXPANSION_DIFFERENCE, "per degC", -LENGTH_NM * -0.1
        ),
        linear(
            Input("dtheta"),
            ComponentKind.RANDOM,
            TEMPERATURE_DIFFERENCE,
            "degC",
            -LENGTH_NM * ALPHA,
        ),
    ]


def test_gum_h1_end_gauge() -> None:
    """The end gauge of GUM H.1: contributions 25, 9.7, 2.9, 16.6 nm, u 32 nm."""
    # Read second-hand (general-purpose GUM test files in public repositories).
    found = combine(end_gauge())
    effects = {part.name: abs(part.effect) for part in found.parts}
    assert effects[Input("ls")] == 25.0
    assert effects[Input("d")] == 9.7
    assert effects[Input("da")] == pytest.approx(2.9, abs=0.05)
    assert effects[Input("dtheta")] == pytest.approx(16.6, abs=0.1)  # 16.599 from the unrounded u
    assert effects[Input("as")] == effects[Input("theta")] == 0.0
    portions, u_nm = shares(found.parts)
    assert u_nm**2 == pytest.approx(1002, abs=4)  # printed from rounded contributions
    assert round(u_nm) == 32
    assert found.u == pytest.approx([u_nm])
    assert math.fsum(portions) == pytest.approx(1.0)


def test_gum_h1_second_order() -> None:
    """The two products of H.1, of which first partials know nothing, raise 32 nm to 34 nm."""
    # From memory: GUM H.1.7.
    pairs = [(EXPANSION_DIFFERENCE, DEVIATION), (EXPANSION, TEMPERATURE_DIFFERENCE)]
    products = [
        product(
            Input("product", str(index)),
            ComponentKind.RANDOM,
            one=one,
            other=other,
            unit="1",
            mixed_partial=np.array([-LENGTH_NM]),
        )
        for index, (one, other) in enumerate(pairs)
    ]
    assert abs(products[1].effect[0]) == pytest.approx(1.7, abs=0.05)
    _, u_nm = shares(combine([*end_gauge(), *products]).parts)
    assert round(u_nm) == 34


def test_gum_h1_half_widths() -> None:
    """The half-widths of H.1.3 give its standard uncertainties."""
    # From memory: GUM H.1.3.1 to H.1.3.5.
    assert rectangular(2e-6, GUM_H1).standard == pytest.approx(1.2e-6, abs=0.05e-6)
    assert rectangular(1e-6, GUM_H1).standard == pytest.approx(0.58e-6, abs=0.005e-6)
    assert rectangular(0.05, GUM_H1).standard == pytest.approx(0.029, abs=0.0005)


def draw(given: Uncertain, rng: np.random.Generator, size: int) -> np.ndarray:
    """Draw errors as the shape says; written apart from the program's own constants."""
    a = given.half_width
    match given.shape:
        case Shape.NORMAL:
            return rng.normal(0.0, a, size)
        case Shape.RECTANGULAR:
            return rng.uniform(-a, a, size)
        case Shape.TRIANGULAR:
            return rng.triangular(-a, 0.0, a, size)


@pytest.mark.parametrize("make", [normal, rectangular, triangular])
def test_shapes_have_the_moments_of_their_draws(make: Callable[[float, str], Uncertain]) -> None:
    """Standard uncertainty and kurtosis are those of 400,000 seeded draws, within 1 %."""
    value = make(0.3, "test")
    errors = draw(value, np.random.default_rng(11), 400_000)
    assert value.standard == pytest.approx(errors.std(), rel=0.01)
    assert KURTOSIS[value.shape] == pytest.approx(np.mean(errors**4) / errors.var() ** 2, rel=0.01)


@pytest.mark.parametrize("shape", list(Shape))
def test_curvature_is_that_of_the_square(shape: Shape) -> None:
    """The square of a drawn error has the mean and the spread that `curvature` gives, to 1.5 %."""
    # GUM F.2.4.4 (from memory) does this for a normal angle: mean u^2/2, variance u^4/2.
    value = Uncertain(half_width=0.02, shape=shape, source="test")
    errors = draw(value, np.random.default_rng(5), 400_000)
    effects = -100.0 * errors**2 / 2
    spread, mean = curvature(
        Input("slope"), ComponentKind.RANDOM, value, "share", np.array([-100.0])
    )
    assert mean.effect[0] == pytest.approx(effects.mean(), rel=0.015)
    assert abs(spread.effect[0]) == pytest.approx(effects.std(), rel=0.015)
    assert (spread.kind, mean.kind) == (ComponentKind.RANDOM, ComponentKind.ONE_WAY)
    if shape is Shape.NORMAL:
        assert spread.effect[0] ** 2 == pytest.approx(100.0**2 * value.standard**4 / 2)


@settings(deadline=None)
@given(st.integers(1, 200), st.floats(1e-4, 1.0), st.floats(1e-4, 1.0))
def test_alike_pulls_add_as_the_trade_knows(n: int, random_ft: float, common_ft: float) -> None:
    """A line of n pulls is ``sqrt(n u_random^2 + (n u_common)^2)``, not ``sqrt(n) u``."""
    # GUM 5.2.2 (from memory); common practice, no published source.
    ones = np.ones(n)
    found = combine(
        [
            linear(Input("bob"), ComponentKind.RANDOM, normal(random_ft, "test"), "ft", ones),
            linear(Input("tape"), ComponentKind.COMMON, normal(common_ft, "test"), "ft", ones),
        ]
    )
    assert found.u == pytest.approx(np.full(n, math.hypot(random_ft, common_ft)))
    expected = math.sqrt(n * random_ft**2 + (n * common_ft) ** 2)
    assert shares(found.parts)[1] == pytest.approx(expected)


def test_common_errors_may_cancel_and_one_way_ones_add() -> None:
    """A common input that acts up here and down there cancels; one-way means never add in squares.

    A length measured forward and subtracted from itself is sure to be 0.
    """
    there_and_back = linear(
        Input("tape"), ComponentKind.COMMON, normal(0.01, "x"), "ft", np.array([1.0, -1.0])
    )
    assert shares(combine([there_and_back]).parts) == ((0.0,), 0.0)
    means = [
        Component(
            Input(name), ComponentKind.ONE_WAY, normal(1.0, "x"), 1.0, "ft", np.array([-3.0, -1.0])
        )
        for name in ("level", "off-line")
    ]
    found = combine(means)
    assert found.u_common == pytest.approx([6.0, 2.0])
    portions, u_ft = shares(found.parts)
    assert portions == pytest.approx((0.5, 0.5))
    assert u_ft == pytest.approx(8.0)


def test_sums_of_parts_are_parts_of_the_sum() -> None:
    """Two halves of a line put together by their parts give the parts of the whole line."""
    c, given = np.array([1.0, 2.0, -0.5, 4.0]), normal(0.1, "x")

    def parts(here: slice) -> list[Component]:
        spread, mean = curvature(Input("level"), ComponentKind.RANDOM, given, "ft", c[here])
        return [linear(Input("tape"), ComponentKind.COMMON, given, "ft", c[here]), spread, mean]

    whole = combine(parts(slice(None))).parts
    halves = [*combine(parts(slice(2))).parts, *combine(parts(slice(2, 4))).parts]
    joined = join_parts(halves)
    assert [part.name for part in joined] == [part.name for part in whole]
    effects = [part.effect for part in whole]
    assert [part.effect for part in joined] == pytest.approx(effects)


def test_nothing_is_not_combined() -> None:
    """Without any input there is no uncertainty of 0 but an error."""
    with pytest.raises(ValueError, match="nothing to combine"):
        combine([])


@pytest.mark.parametrize("half_width", [-0.1, math.nan, math.inf])
def test_an_impossible_half_width_is_refused(half_width: float) -> None:
    """A half-width is a finite amount, and says where it comes from."""
    with pytest.raises(ValidationError):
        rectangular(half_width, "test")
    with pytest.raises(ValidationError):
        rectangular(0.1, " ")
