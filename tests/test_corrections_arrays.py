"""The corrections of many pulls at once: as in a loop, none by its neighbours, linear in time."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calllog.corrections import arrays
from calllog.corrections.arrays import work_lengths
from calllog.corrections.hanging import hang
from calllog.corrections.pulls import POSITIONS, Pulls
from calllog.corrections.sensitivity import combine_pulls
from calllog.errors import ConfigError
from calllog.values import Conditions
from tests.bench.bench_corrections import by_arrays, by_loop, make_pulls
from tests.correcting import correct, correct_arrays
from tests.effort import most_bytes, steps
from tests.tapes import certificate, nist_tape

PARTS = ("standardisation_ft", "temperature_ft", "tension_ft", "sag_ft", "slope_ft")
some_conditions = st.builds(
    Conditions,
    temperature_degf=st.none() | st.floats(0.0, 120.0),
    tension_lb=st.none() | st.floats(5.0, 30.0),
    spans=st.none() | st.integers(0, 6),
    rise_ft=st.none() | st.floats(-10.0, 10.0),
    position=st.none() | st.sampled_from(POSITIONS),
)
some_pulls = st.lists(st.tuples(st.floats(20.0, 320.0), some_conditions), min_size=1, max_size=12)


def many_pulls(n: int) -> Pulls:
    """Make n pulls of all kinds of conditions, known and not."""
    rng = np.random.default_rng(7)

    def sometimes(values: np.ndarray) -> np.ndarray:
        return np.where(rng.random(n) < 0.1, np.nan, values)

    return Pulls(
        length_read_ft=rng.uniform(20.0, 100.0, n).round(2),
        temperature_degf=sometimes(rng.uniform(20.0, 100.0, n)),
        tension_lb=sometimes(rng.uniform(10.0, 25.0, n)),
        spans=rng.integers(-1, 4, n),
        rise_ft=sometimes(np.where(rng.random(n) < 0.5, 0.0, rng.uniform(-3.0, 3.0, n))),
        position=rng.integers(-1, 4, n),
    )


@settings(deadline=None)
@given(some_pulls, st.sampled_from([0, 1, 4]))
def test_no_row_depends_on_others(
    pulls: list[tuple[float, Conditions]], certified_spans: int
) -> None:
    """Every correction of every length is what it is alone, and NaN stands where it is None."""
    tape = nist_tape(certified_spans=certified_spans, certified_length_ft=99.98)
    arrays = Pulls.build([length for length, _ in pulls], [one for _, one in pulls])
    found = correct_arrays(arrays, tape)
    for index, (length_ft, conditions) in enumerate(pulls):
        expected = correct(length_ft, tape, conditions)
        for name in PARTS:
            value, got = getattr(expected, name), getattr(found, name)[index]
            assert (value is None) == bool(np.isnan(got)), name
            assert value is None or got == pytest.approx(value, rel=1e-12, abs=1e-13), name
        assert found.sum_ft[index] == pytest.approx(expected.sum_ft, abs=1e-12)


def test_blocks_are_worked_as_the_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    """More pulls than fit a block: corrections, refusals and forms stand at their places."""
    pulls, tape = many_pulls(50), nist_tape(weight_lb_per_ft=0.05)
    cannot_be = np.isin(np.arange(50), (3, 19, 20, 49))
    pulls = replace(pulls, length_read_ft=np.where(cannot_be, -1.0, pulls.length_read_ft))
    whole = work_lengths(pulls, tape)
    monkeypatch.setattr(arrays, "BLOCK", 16)
    found = work_lengths(pulls, tape)
    assert sorted(found.refused) == sorted(whole.refused) == [3, 19, 20, 49]
    for index, why in whole.refused.items():
        assert str(found.refused[index]) == str(why)
    for name in (*PARTS, "along_ft", "sum_ft", "is_catenary"):
        one, other = (getattr(each.lengths(), name)[~cannot_be] for each in (found, whole))
        assert one.dtype == other.dtype
        assert np.array_equal(one, other, equal_nan=one.dtype.kind == "f"), name
    assert 0 < found.lengths().is_catenary.sum() < 46


def test_arrays_are_as_a_plain_loop_has_them() -> None:
    """Lengths and uncertainties are those of the model written out once more, pull by pull."""
    pulls = make_pulls(2_000)
    lengths_ft, u_ft = by_arrays(pulls)
    expected_ft, expected_u_ft = np.array(by_loop(pulls)).T
    assert lengths_ft == pytest.approx(expected_ft, abs=1e-11)
    assert u_ft == pytest.approx(expected_u_ft, rel=1e-9)


IMPOSSIBLE = [
    (-0.58, Conditions()),
    (math.nan, Conditions()),
    (math.inf, Conditions()),
    (50.0, Conditions(tension_lb=0.0)),
    (50.0, Conditions.model_construct(tension_lb=math.inf)),
    (50.0, Conditions.model_construct(temperature_degf=-math.inf)),
    (50.0, Conditions.model_construct(spans=-2)),
    (50.0, Conditions(spans=1001)),
    (50.0, Conditions(spans=1, tension_lb=0.32)),
    (5.0, Conditions(rise_ft=5.1)),
    (5.0, Conditions.model_construct(rise_ft=-math.inf)),
]


@pytest.mark.parametrize(("length_ft", "conditions"), IMPOSSIBLE)
def test_the_impossible_is_refused_as_by_itself(length_ft: float, conditions: Conditions) -> None:
    """One impossible pull among others is named, in the words that it gets alone."""
    pulls = Pulls.build([50.0, length_ft, 60.0], [Conditions(), conditions, Conditions()])
    with pytest.raises(ConfigError) as alone:
        correct(length_ft, certificate(), conditions)
    with pytest.raises(ConfigError) as among:
        correct_arrays(pulls, certificate())
    assert str(among.value) == f"pull 1 (from 0): {alone.value}"


@pytest.mark.parametrize("is_graded", [False, True])
def test_catenary_is_in_use_wherever_it_must_be(*, is_graded: bool) -> None:
    """Where it is worked only for pulls that may need it, none that needs it goes without."""
    rng, count, tape = np.random.default_rng(23), 20_000, nist_tape()
    length_ft, spans = rng.uniform(0.01, 300.0, count), rng.integers(1, 6, count)
    weight_lb = tape.weight_lb_per_ft * length_ft
    most_lb = 0.008 * tape.area_in2 * tape.modulus_psi
    times = np.exp(rng.uniform(np.log(0.6), np.log(200.0), count))
    pull_lb = np.clip(weight_lb * times, 0.001, most_lb)
    rise_ft = np.where(rng.random(count) < 0.5, 0.0, length_ft * rng.uniform(0.0, 0.99, count))
    sine = rng.uniform(0.0, 0.99, count) if is_graded else None
    every, few = (
        hang(length_ft, spans, pull_lb, tape, rise_ft=rise_ft, sine=sine, has_both_forms=both)
        for both in (True, False)
    )
    assert np.array_equal(every.in_use_ft(), few.in_use_ft())
    assert np.array_equal(every.by_hand_holds, few.by_hand_holds)
    assert 0.1 < every.by_hand_holds.mean() < 0.9
    assert (every.exact_ft != few.exact_ft).mean() > 0.1


def test_no_pulls_have_no_corrections() -> None:
    """Empty arrays give empty arrays."""
    assert correct_arrays(Pulls.build([], []), certificate()).sum_ft.shape == (0,)


def test_a_tape_straight_up_has_no_horizontal_length() -> None:
    """A rise equal to the corrected length is level 0, whatever the rounding of the sum."""
    tape = certificate(certified_length_ft=100.003)
    along_ft = 55.55 + correct(55.55, tape, Conditions()).sum_ft
    pulls = Pulls.build([55.55], [Conditions(rise_ft=along_ft)])
    found = correct_arrays(pulls, tape)
    assert 55.55 + found.sum_ft[0] == pytest.approx(0.0, abs=1e-6)


def test_time_grows_with_the_number_of_pulls() -> None:
    """Four times as many pulls take about as many steps, each over four times as much."""
    tape = nist_tape()

    def work(pulls: Pulls) -> Callable[[], object]:
        return lambda: combine_pulls(pulls, correct_arrays(pulls, tape), tape)

    few, many = (work(many_pulls(n)) for n in (2_000, 8_000))
    few()
    assert steps(many) < 2 * steps(few)
    assert most_bytes(many) < 5 * most_bytes(few)
