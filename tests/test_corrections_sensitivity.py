"""Sensitivities against numeric derivatives, and the whole against a seeded Monte Carlo."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from calllog.corrections.arrays import BLOCK
from calllog.corrections.budget import length_budget
from calllog.corrections.correct import work, work_situation
from calllog.corrections.formulas import (
    equal_spans_sag,
    slope,
    standardisation,
    temperature,
    tension,
)
from calllog.corrections.practice import IMPROVEMENTS, PRACTICE, READING, Practice
from calllog.corrections.pulls import Pulls
from calllog.corrections.sag import bench_by_weight_ft
from calllog.corrections.sensitivity import combine_pulls, pull_components
from calllog.corrections.situation import Situation
from calllog.corrections.uncertainty import (
    Component,
    ComponentKind,
    Input,
    Uncertain,
    combine,
    normal,
    shares,
)
from calllog.errors import ConfigError
from calllog.tape import Certificate
from calllog.values import Conditions
from tests.correcting import catenary_sag, chord, correct_arrays
from tests.tapes import certificate, metric_tape, nist_tape
from tests.test_corrections_arrays import many_pulls
from tests.test_corrections_uncertainty import draw

known_conditions = st.builds(
    Conditions,
    temperature_degf=st.floats(0.0, 120.0),
    tension_lb=st.floats(10.0, 30.0),
    spans=st.integers(0, 4),
    rise_ft=st.just(0.0) | st.floats(0.5, 10.0) | st.floats(-10.0, -0.5),
)
lengths = st.floats(20.0, 99.7)
"""A little less than the tape, so that a reading moved by a tenth is one pull still."""
tapes = st.builds(
    nist_tape,
    certified_spans=st.sampled_from([0, 1, 4]),
    certified_length_ft=st.floats(99.9, 100.1),
    weight_lb_per_ft=st.floats(0.009, 0.0145),
)
"""In all these the parabola holds: it is within 0.0005 ft of the catenary."""


SURE = PRACTICE.model_copy(
    update={
        "tension_share": normal(1e-5, "so little that sag does not bend within it"),
        "tension_habit_share": normal(1e-5, "so little that sag does not bend within it"),
    }
)
"""A crew whose tension is so sure that partials are the whole."""


def horizontal_ft(length_ft: float, conditions: Conditions, tape: Certificate) -> float:
    """Give the horizontal length that the corrections leave."""
    found = correct_arrays(Pulls.build([length_ft], [conditions]), tape)
    return length_ft + float(found.sum_ft[0])


def components(
    length_ft: float, conditions: Conditions, tape: Certificate, practice: Practice = PRACTICE
) -> dict[Input, Component]:
    """Give the components of one pull by name."""
    pulls = Pulls.build([length_ft], [conditions])
    found = correct_arrays(pulls, tape)
    return {item.name: item for item in pull_components(pulls, found, tape, practice)}


def first_partial(function: Callable[[float], float], step: float) -> float:
    """Differentiate at 0 by central differences, the error of the step's square taken out."""
    near, far = ((function(width) - function(-width)) / (2 * width) for width in (step / 2, step))
    return (4 * near - far) / 3


def second_partial(function: Callable[[float], float], step: float) -> float:
    """Differentiate twice at 0, likewise."""
    middle = function(0.0)
    near, far = (
        (function(width) - 2 * middle + function(-width)) / width**2 for width in (step / 2, step)
    )
    return (4 * near - far) / 3


def moved(
    length_ft: float, conditions: Conditions, tape: Certificate
) -> dict[Input, tuple[Callable[[float], float], float]]:
    """For each input, how the horizontal length goes with its error, and a fit step."""

    def by_condition(name: str, change: Callable[[float, float], float]) -> Callable[..., float]:
        value = getattr(conditions, name)
        return lambda x: horizontal_ft(
            length_ft, conditions.model_copy(update={name: change(value, x)}), tape
        )

    def by_tape(name: str, change: Callable[[float, float], float]) -> Callable[..., float]:
        value = getattr(tape, name)
        return lambda x: horizontal_ft(
            length_ft, conditions, tape.model_copy(update={name: change(value, x)})
        )

    def plus(value: float, x: float) -> float:
        return value + x

    def times(value: float, x: float) -> float:
        return value * (1 + x)

    return {
        Input("reading"): (lambda x: horizontal_ft(length_ft + x, conditions, tape), 0.1),
        Input("certified-length", tape.identity): (by_tape("certified_length_ft", plus), 0.1),
        Input("weight", tape.identity): (by_tape("weight_lb_per_ft", times), 0.1),
        Input("stiffness", tape.identity): (by_tape("modulus_psi", times), 0.01),
        Input("expansion"): (by_tape("alpha_per_degf", times), 0.1),
        Input("temperature"): (by_condition("temperature_degf", plus), 5.0),
        Input("thermometer"): (by_condition("temperature_degf", plus), 5.0),
        Input("tension"): (by_condition("tension_lb", times), 0.02),
        Input("tension-habit"): (by_condition("tension_lb", times), 0.02),
        Input("rise"): (by_condition("rise_ft", plus), 0.05),
    }


@settings(deadline=None, max_examples=60)
@given(lengths, known_conditions, tapes)
def test_partials_are_the_numeric_ones(
    length_ft: float, conditions: Conditions, tape: Certificate
) -> None:
    """Every first partial is that of central differences through the corrections themselves."""
    found = components(length_ft, conditions, tape, SURE)
    for name, (function, step) in moved(length_ft, conditions, tape).items():
        expected = first_partial(function, step)
        if name not in found:  # left out, since it acts on nothing
            assert expected == pytest.approx(0.0, abs=1e-9), name
        else:
            got = float(found[name].sensitivity[0])
            assert got == pytest.approx(expected, rel=1e-5, abs=1e-8), name
    assert found[Input("marking")].sensitivity == pytest.approx([1.0])


@pytest.mark.parametrize(
    ("weight_lb_per_ft", "pull_lb"), [(0.0128, 20.0), (0.03, 6.0)], ids=["parabola", "catenary"]
)
def test_partial_of_an_angle_is_the_numeric_one(weight_lb_per_ft: float, pull_lb: float) -> None:
    """Sag and slope both go with it."""
    tape = nist_tape(weight_lb_per_ft=weight_lb_per_ft)

    def stated(angle_rad: float) -> Situation:
        return Situation(
            temperature_degf=50.0,
            tension_lb=pull_lb,
            spans=1,
            angle_deg=math.degrees(angle_rad),
        )

    worked = work_situation(90.0, tape, stated(0.3))
    assert bool(worked.found.is_catenary[0]) is (pull_lb < 10)
    parts = pull_components(worked.pulls, worked.found, tape, SURE)
    (got,) = (float(each.sensitivity[0]) for each in parts if each.name == Input("angle"))
    expected = first_partial(lambda x: work(90.0, tape, stated(0.3 + x)).sum_ft, 1e-3)
    assert got == pytest.approx(expected, rel=1e-4)


@settings(deadline=None, max_examples=40)
@given(
    st.floats(90.0, 99.7),
    st.floats(0.6, 4.0),
    st.integers(1, 2),
    st.floats(0.0, 30.0) | st.just(0),
)
def test_partials_are_those_of_the_catenary_where_it_is_taken(
    length_ft: float, tautness: float, spans: int, rise_ft: float
) -> None:
    """Heavy tapes under little pull, down to 0.6 of the weight of a span: right to 0.01 %."""
    tape = nist_tape(weight_lb_per_ft=0.03)
    pull_lb = tautness * 0.03 * length_ft / spans
    conditions = Conditions(temperature_degf=50.0, tension_lb=pull_lb, spans=spans, rise_ft=rise_ft)
    arrays = Pulls.build([length_ft], [conditions])
    assume(spans == 1 or not rise_ft)  # else the lower span may not hang
    assume(bool(correct_arrays(arrays, tape).is_catenary[0]))
    found = components(length_ft, conditions, tape, SURE)
    functions = moved(length_ft, conditions, tape)
    for name in (
        Input("reading"),
        Input("weight", tape.identity),
        Input("tension-habit"),
        *((Input("rise"),) if rise_ft else ()),
    ):
        function, step = functions[name]
        expected = first_partial(function, step / 50)
        got = float(found[name].sensitivity[0])
        assert got == pytest.approx(expected, rel=1e-3 if rise_ft else 1e-4, abs=1e-6), name


@settings(deadline=None, max_examples=40)
@given(lengths, known_conditions, tapes)
def test_second_partials_are_the_numeric_ones(
    length_ft: float, conditions: Conditions, tape: Certificate
) -> None:
    """Pull, rise, level and line: the second partials, half of which are sensitivities."""
    found = components(length_ft, conditions, tape, SURE)
    functions = moved(length_ft, conditions, tape)
    along_ft = horizontal_ft(length_ft, conditions.model_copy(update={"rise_ft": 0.0}), tape)
    level_ft = horizontal_ft(length_ft, conditions, tape)

    def tilted(share: float) -> float:
        rise_ft = share * along_ft
        return horizontal_ft(length_ft, conditions.model_copy(update={"rise_ft": rise_ft}), tape)

    cases = {
        Input("tension"): functions[Input("tension")],
        Input("tension-habit"): functions[Input("tension-habit")],
        Input("rise"): (functions[Input("rise")][0], 0.05),
        Input("level"): (tilted, 0.01),
        Input("off-line"): (
            lambda share: level_ft + float(slope(level_ft, share * level_ft)),
            0.01,
        ),
    }
    for name, (function, step) in cases.items():
        if name._replace(part="mean") in found:
            # The tension's own square in the slope's chain, 1e-6 of a foot, is left out.
            expected = second_partial(function, step) / 2
            for part in ("mean", "spread"):
                got = float(found[name._replace(part=part)].sensitivity[0])
                assert got == pytest.approx(expected, rel=5e-3, abs=2e-4), (name, part)


@settings(deadline=None, max_examples=40)
@given(lengths, known_conditions, tapes)
def test_what_is_not_known_acts_as_its_correction_would(
    length_ft: float, conditions: Conditions, tape: Certificate
) -> None:
    """Unknown temperature, tension, slope and support act about the state that was left out."""

    def stated(**update: float | None) -> float:
        return horizontal_ft(length_ft, conditions.model_copy(update=update), tape)

    found = components(length_ft, conditions.model_copy(update={"temperature_degf": None}), tape)
    expected = first_partial(lambda x: stated(temperature_degf=68.0 + x), 5.0)
    got = float(found[Input("temperature-unknown")].sensitivity[0])
    assert got == pytest.approx(expected, rel=1e-4)
    assert not {Input("temperature"), Input("thermometer"), Input("expansion")} & set(found)

    found = components(length_ft, conditions.model_copy(update={"tension_lb": None}), tape)
    expected = first_partial(lambda x: stated(tension_lb=10.0 + x, spans=0), 0.5)
    got = float(found[Input("tension-unknown")].sensitivity[0])
    assert got == pytest.approx(expected, rel=1e-4)
    if conditions.spans:
        # No sag is put in; what it may be is that under the least usual pull.
        flat_ft = stated(tension_lb=10.0, spans=0)
        expected = stated(tension_lb=10.0) - flat_ft
        got = float(found[Input("sag-unknown")].sensitivity[0])
        assert got == pytest.approx(expected, rel=0.02, abs=1e-6)

    found = components(length_ft, conditions.model_copy(update={"spans": None}), tape)
    expected = stated(spans=1) - stated(spans=0)
    assert float(found[Input("sag-unknown")].sensitivity[0]) == pytest.approx(expected, rel=0.02)

    found = components(length_ft, conditions.model_copy(update={"rise_ft": None}), tape)
    assert float(found[Input("slope-unknown", part="mean")].sensitivity[0]) == pytest.approx(
        -stated(rise_ft=0.0) / 2
    )


def test_heights_of_the_ends() -> None:
    """A stated height counts; else the ground if the tape lies on it; else none is named.

    What nobody stated is worked as at the chest, but never told as if somebody had stated it.
    """
    tape = certificate()
    not_stated = Input("plumbing-not-stated")
    for conditions, name in (
        (Conditions(position="knee", spans=1), Input("plumbing", "knee")),
        (Conditions(position="ground"), Input("plumbing", "ground")),
        (Conditions(spans=0), Input("plumbing", "ground")),
        (Conditions(position="chest"), Input("plumbing", "chest")),
        (Conditions(spans=1), not_stated),
        (Conditions(), not_stated),
    ):
        found = components(50.0, conditions, tape)
        assert {each for each in found if each.code.startswith("plumbing")} == {name}
    chest = components(50.0, Conditions(position="chest"), tape)[Input("plumbing", "chest")]
    assert components(50.0, Conditions(), tape)[not_stated].effect == pytest.approx(chest.effect)
    waist = components(50.0, Conditions(position="waist"), tape)[Input("plumbing", "waist")]
    assert waist.effect == pytest.approx([math.sqrt(2) * 0.01 / math.sqrt(6)])


def test_the_certificate_says_its_own_uncertainty() -> None:
    """A stated standard uncertainty is used; otherwise a share of the nominal length."""
    name = Input("certified-length", "T-1")
    stated = components(50.0, Conditions(), certificate(u_certified_length_ft=0.0005))[name]
    assert stated.effect == pytest.approx([0.00025])
    silent = components(50.0, Conditions(), certificate(nominal_ft=200, certified_length_ft=200.0))
    assert silent[name].effect == pytest.approx([50.0 * 1e-5 / math.sqrt(3)])


def test_a_tape_straight_down_is_refused() -> None:
    """Where nothing horizontal is left no partial exists: said, not NaN."""
    with pytest.raises(ConfigError, match="a rise as great as the length"):
        components(50.0, Conditions(rise_ft=50.0), certificate())


def test_a_pull_of_no_length_has_an_uncertainty() -> None:
    """A pull of 0.00 ft is as uncertain as its marks, and no division by zero."""
    found = components(0.0, Conditions(spans=1, tension_lb=20.0, rise_ft=0.0), nist_tape())
    u_ft = shares(combine(found.values()).parts)[1]
    marks = math.hypot(0.005 / math.sqrt(3), 0.005 / math.sqrt(6), math.sqrt(2) * 0.015 / 6**0.5)
    assert u_ft == pytest.approx(marks)


def test_blocks_are_the_whole() -> None:
    """Working block by block gives what all at once gives, the parts of the sum too."""
    pulls, tape = many_pulls(2 * BLOCK + 5), nist_tape()
    found = correct_arrays(pulls, tape)
    whole, blocks = combine(pull_components(pulls, found, tape)), combine_pulls(pulls, found, tape)
    assert blocks.u_random == pytest.approx(whole.u_random)
    assert blocks.u_common == pytest.approx(whole.u_common)
    expected = {part.name: part.effect for part in whole.parts}
    assert {part.name: part.effect for part in blocks.parts} == pytest.approx(expected)


def test_two_tapes_share_only_what_is_theirs_together() -> None:
    """Inputs of a tape carry its name, so that another tape's are others; the crew's do not."""
    conditions = Conditions(temperature_degf=41.0, tension_lb=20.0, spans=1, rise_ft=1.5)
    one = components(80.0, conditions, nist_tape())
    other = components(80.0, conditions, nist_tape(identity="T-2"))
    own = {"certified-length", "weight", "stiffness"}
    assert set(one) - set(other) == {Input(name, "T-1") for name in own}
    assert Input("expansion") in set(one) & set(other)


# A line of eight pulls, each its own way.
LINE = (
    (99.87, Conditions(temperature_degf=41, tension_lb=20, spans=1, rise_ft=0, position="waist")),
    (100.0, Conditions(temperature_degf=41, tension_lb=20, spans=1, rise_ft=0, position="chest")),
    (63.42, Conditions(temperature_degf=44, tension_lb=15, spans=1, rise_ft=2.5, position="knee")),
    (88.10, Conditions(temperature_degf=95, tension_lb=20, spans=2, rise_ft=-4, position="waist")),
    (100.0, Conditions(temperature_degf=95, tension_lb=12, spans=0, rise_ft=0, position="ground")),
    (42.76, Conditions(temperature_degf=90, tension_lb=25, spans=1, rise_ft=0, position="chest")),
    (97.31, Conditions(temperature_degf=90, tension_lb=20, spans=1, position="chest")),
    (71.55, Conditions(tension_lb=20, spans=1, rise_ft=0, position="waist")),
)
BALANCE = PRACTICE.model_copy(update=IMPROVEMENTS[0].practice)
TRIALS = 100_000


def simulate(tape: Certificate, practice: Practice) -> tuple[np.ndarray, np.ndarray]:
    """Draw every input of `LINE` and give the true errors, shape (pulls, TRIALS), and lengths.

    The true lengths come from the formulas with drawn inputs, without any derivative: GUM
    Supplement 1 (JCGM 101:2008).
    """
    rng = np.random.default_rng(20)

    def errors(given: Uncertain) -> np.ndarray:
        return draw(given, rng, TRIALS)

    u_ft = tape.u_certified_length_ft
    assert u_ft is not None
    certified_ft = tape.certified_length_ft + errors(normal(u_ft, "certificate"))
    weight = tape.weight_lb_per_ft * (1 + errors(practice.weight_share))
    stiffness = tape.area_in2 * tape.modulus_psi * (1 + errors(practice.stiffness_share))
    alpha = tape.alpha_per_degf * (1 + errors(practice.alpha_share))
    habit, thermometer = errors(practice.tension_habit_share), errors(practice.thermometer_degf)
    unknown_degf = errors(practice.temperature_unknown_degf)
    bench_ft = equal_spans_sag(
        float(tape.nominal_ft), tape.certified_spans, tape.certified_tension_lb, weight
    )
    true_ft = []
    for length_ft, state in LINE:
        assert state.tension_lb is not None
        assert state.spans is not None
        read_ft = length_ft + errors(practice.reading_ft)
        degf = tape.certified_temperature_degf + unknown_degf
        if state.temperature_degf is not None:
            degf = state.temperature_degf + thermometer + errors(practice.temperature_degf)
        pull_lb = state.tension_lb * (1 + habit + errors(practice.tension_share))
        along_ft = (
            read_ft
            + standardisation(read_ft, certified_ft - bench_ft, float(tape.nominal_ft))
            + temperature(read_ft, degf, tape.certified_temperature_degf, alpha)
            + tension(read_ft, pull_lb, tape.certified_tension_lb, stiffness)
            + equal_spans_sag(read_ft, state.spans, pull_lb, weight)
        )
        if state.rise_ft:
            rise_ft = state.rise_ft + errors(practice.rise_ft)
        elif state.rise_ft is None:
            rise_ft = along_ft * errors(practice.slope_unknown_share)
        else:
            rise_ft = along_ft * errors(practice.level_share)
        level_ft = along_ft + slope(along_ft, rise_ft)
        level_ft = level_ft + slope(level_ft, level_ft * errors(practice.off_line_share))
        ends = getattr(practice, f"plumb_{state.position}_ft")
        true_ft.append(level_ft + errors(practice.marking_ft) + errors(ends) + errors(ends))
    given_ft = np.array([horizontal_ft(length_ft, state, tape) for length_ft, state in LINE])
    return np.array(true_ft) - given_ft[:, None], given_ft


@pytest.mark.parametrize("spans", [0, 1])
@pytest.mark.parametrize("practice", [BALANCE, PRACTICE])
def test_monte_carlo(spans: int, practice: Practice) -> None:
    """Each pull and the line are as uncertain as 100,000 drawn days are, about what was stated.

    Tolerance: a root mean square of 100,000 draws is itself uncertain by 0.22 % (k = 1), four
    times that is 0.9 %.
    """
    tolerance = 0.01
    tape = nist_tape(
        certified_spans=spans,
        certified_length_ft=100.0045 - 0.0677 * spans,
        u_certified_length_ft=0.0005,
    )
    errors, _ = simulate(tape, practice)
    pulls = Pulls.build([length for length, _ in LINE], [state for _, state in LINE])
    found = combine_pulls(pulls, correct_arrays(pulls, tape), tape, practice)
    expected = np.sqrt(np.mean(errors**2, axis=1))
    assert found.u == pytest.approx(expected, rel=tolerance)
    _, u_line_ft = shares(found.parts)
    line_ft = math.sqrt(np.mean(errors.sum(axis=0) ** 2))
    assert u_line_ft == pytest.approx(line_ft, rel=tolerance)
    # As if nothing were common: far from it, so the check above means something.
    assert math.hypot(*found.u) < 0.85 * line_ft


DRAWS = 40_000


def drawn_u_ft(length_ft: float, situation: Situation, tape: Certificate) -> float:
    """Draw every input of one pull and give the root mean square of its errors [ft].

    The full model, exact in each draw: the elastic catenary with its end pulls on a chord of the
    stated rise or angle, no derivative and no parabola (GUM Supplement 1, JCGM 101:2008).
    """
    rng, p = np.random.default_rng(21), PRACTICE

    def errors(given: Uncertain) -> np.ndarray:
        return draw(given, rng, DRAWS)

    assert situation.tension_lb is not None
    assert situation.spans is not None
    stiffness = tape.area_in2 * tape.modulus_psi * (1 + errors(p.stiffness_share))
    weight = tape.weight_lb_per_ft * (1 + errors(p.weight_share))
    u_ft = tape.u_certified_length_ft or 0.0
    certified_ft = tape.certified_length_ft + errors(normal(u_ft, "certificate"))
    pull = situation.tension_lb * (1 + errors(p.tension_habit_share) + errors(p.tension_share))
    read_ft = length_ft + errors(p.reading_ft)
    degf = (situation.temperature_degf or 0.0) + errors(p.thermometer_degf)
    warmer = degf + errors(p.temperature_degf) - tape.certified_temperature_degf
    stretch = 1 + tape.certified_tension_lb / stiffness
    slack_ft = read_ft / situation.spans / stretch
    pull = np.maximum(pull, weight * stretch * slack_ft / 2 * (1 + 1e-9))
    angle = np.zeros(DRAWS)
    if situation.angle_deg is not None:
        angle = np.radians(situation.angle_deg) + errors(p.slope_angle_rad)
    level_ft = chord(slack_ft, pull, weight * stretch, stiffness)
    straight_ft = slack_ft * (1 + pull / stiffness)
    if situation.rise_ft:
        rise_ft = (situation.rise_ft + errors(p.rise_ft)) / situation.spans
        chord_ft = np.hypot(chord(slack_ft, pull, weight * stretch, stiffness, rise_ft), rise_ft)
    else:
        less = 1 - (level_ft / straight_ft) ** 2
        chord_ft = level_ft / np.sqrt(1 - np.sin(angle) ** 2 * less)
    along_ft = situation.spans * chord_ft + standardisation(
        read_ft, certified_ft, float(tape.nominal_ft)
    )
    alpha = tape.alpha_per_degf * (1 + errors(p.alpha_share))
    along_ft = along_ft + temperature(read_ft, warmer, 0.0, alpha)
    if situation.rise_ft:
        true_ft = np.sqrt(along_ft**2 - (rise_ft * situation.spans) ** 2)
    elif situation.angle_deg:
        true_ft = along_ft * np.cos(angle)
    else:
        true_ft = along_ft + slope(along_ft, along_ft * errors(p.level_share))
    true_ft = true_ft + slope(true_ft, true_ft * errors(p.off_line_share))
    ends, marking = p.plumb_chest_ft, p.marking_ft
    true_ft = true_ft + errors(marking) + errors(ends) + errors(ends)
    given_ft = length_ft + work(length_ft, tape, situation).sum_ft
    return float(np.sqrt(np.mean((true_ft - given_ft) ** 2)))


@pytest.mark.parametrize("tautness", [20.0, 10.0, 7.8, 4.0, 2.7, 2.0, 1.25])
@pytest.mark.parametrize(
    ("spans", "slant"),
    [
        (1, {"percent": 0.0}),
        (3, {"percent": 0.0}),
        (1, {"rise_ft": 10.0}),
        (1, {"rise_ft": 30.0}),
        (1, {"angle_deg": 16.7}),
        (1, {"angle_deg": 45.0}),
    ],
)
def test_monte_carlo_over_the_validity_table(
    tautness: float, spans: int, slant: dict[str, float]
) -> None:
    """Tension by feel, from a taut tape to one that hangs deep, level and steep: within 1.2 %.

    1 % is for the computation; draws of 40,000 are themselves uncertain by 0.35 to 0.5 %.
    """
    tape = nist_tape(u_certified_length_ft=0.0005)
    pull_lb = tautness * tape.weight_lb_per_ft * 100.0 / spans
    situation = Situation.model_validate(
        {"temperature_degf": 60.0, "tension_lb": pull_lb, "spans": spans} | slant
    )
    found = length_budget(100.0, tape, situation)
    expected = drawn_u_ft(100.0, situation, tape)
    assert found.u_ft == pytest.approx(expected, rel=0.012)


def test_an_angle_is_less_sensitive_than_a_rise() -> None:
    """A foot more along a fixed angle is its cosine more on the level; of a fixed rise its secant.

    By Pythagoras: 1.09 times that at 30 %, double at 100 %.
    """
    for percent, ratio in ((30.0, 1.09), (100.0, 2.0)):
        grade = Situation(spans=0, percent=percent)
        along_ft = 100.0
        rise = Situation(spans=0, rise_ft=along_ft * grade.sine(along_ft))
        by_grade, by_rise = (
            next(
                row.sensitivity
                for row in length_budget(along_ft, certificate(), one).rows
                if row.component == Input("reading").told
            )
            for one in (grade, rise)
        )
        assert by_rise / by_grade == pytest.approx(ratio, rel=1e-9)


def test_a_distance_off_line_counts_as_a_rise_does() -> None:
    """60 ft off line in 100 is the same triangle as 60 ft of rise: the same uncertainty, drawn too.

    Draws: ``sqrt((L + e)^2 - (d + f)^2)``, Pythagoras, all other errors as on the level.
    """
    tape, flat = certificate(u_certified_length_ft=0.0005), {"spans": 0, "temperature_degf": 68.0}
    off = Situation.model_validate({**flat, "rise_ft": 0.0, "off_line_ft": 60.0})
    found = length_budget(100.0, tape, off)
    assert found.horizontal_ft == pytest.approx(80.0)
    up = Situation.model_validate({**flat, "rise_ft": 60.0})
    as_rise = length_budget(100.0, tape, up)
    assert found.u_ft == pytest.approx(as_rise.u_ft, rel=0.02)
    level = Situation.model_validate({**flat, "rise_ft": 0.0})
    rng = np.random.default_rng(22)
    by_eye = PRACTICE.model_copy(update={"off_line_share": normal(0.0, "none")})
    marks_ft = math.hypot(0.005 / math.sqrt(6), 0.002 / math.sqrt(3))
    u_along_ft = math.sqrt(length_budget(100.0, tape, level, by_eye).u_ft ** 2 - marks_ft**2)
    along_ft = 100.0 + rng.normal(0.0, u_along_ft, 100_000)
    aside_ft = 60.0 + draw(PRACTICE.off_line_ft, rng, 100_000)
    drawn_ft = np.sqrt(along_ft**2 - aside_ft**2) + rng.normal(0.0, marks_ft, 100_000)
    expected = math.sqrt(np.mean((drawn_ft - 80.0) ** 2))
    assert found.u_ft == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize(
    "tape",
    [
        nist_tape(),
        nist_tape(least_count=0.005),
        metric_tape(nominal_m=50),
        metric_tape(nominal_m=50, least_count=0.001),
    ],
)
def test_more_careful_is_more_certain(tape: Certificate) -> None:
    """Halving every half-width in turn lowers a line's uncertainty each time, to half or less."""
    others = set(READING.values()) - {READING[tape.unit]}
    others |= {"weight_assumed_share", "stiffness_assumed_share", "slope_angle_rad", "off_line_ft"}
    pulls = many_pulls(50)
    found = correct_arrays(pulls, tape)
    practice, uncertainties = PRACTICE, [shares(combine_pulls(pulls, found, tape).parts)[1]]
    for name in Practice.model_fields:
        given = getattr(practice, name)
        if isinstance(given, Uncertain) and name not in others:
            half = given.model_copy(update={"half_width": given.half_width / 2})
            practice = practice.model_copy(update={name: half})
            combined = combine_pulls(pulls, found, tape, practice)
            uncertainties.append(shares(combined.parts)[1])
    assert all(after < before for before, after in pairwise(uncertainties))
    assert uncertainties[-1] <= 0.5 * uncertainties[0]


def test_kinds() -> None:
    """What differs from pull to pull and what is common is as the trade has it."""
    conditions = Conditions(temperature_degf=41.0, tension_lb=20.0, spans=1, rise_ft=0.0)
    kinds = {name: item.kind for name, item in components(80.0, conditions, nist_tape()).items()}
    common = {name for name, kind in kinds.items() if kind is ComponentKind.COMMON}
    assert common == {
        Input("certified-length", "T-1"),
        Input("weight", "T-1"),
        Input("stiffness", "T-1"),
        Input("thermometer"),
        Input("expansion"),
        Input("tension-habit"),
        Input("tension-habit", part="spread"),
    }
    one_way = {name for name, kind in kinds.items() if kind is ComponentKind.ONE_WAY}
    assert one_way == {
        Input(code, part="mean") for code in ("tension", "tension-habit", "level", "off-line")
    }


@pytest.mark.parametrize(("weight", "pull_lb"), [(0.0128, 10.0), (0.05, 15.0), (0.08, 20.0)])
def test_weight_on_the_bench_counts_as_the_catenary_has_it(weight: float, pull_lb: float) -> None:
    """A share of the weight lengthens a tape that was certified hanging by what it sags more."""
    tape = certificate(certified_spans=1, weight_lb_per_ft=weight, certified_tension_lb=pull_lb)
    stiffness_lb = tape.area_in2 * tape.modulus_psi
    less, more = (
        float(catenary_sag(100.0, pull_lb, weight * (1 + share), stiffness_lb))
        for share in (-1e-4, 1e-4)
    )
    assert bench_by_weight_ft(tape) == pytest.approx((less - more) / 2e-4, rel=0.01)
    assert bench_by_weight_ft(certificate(weight_lb_per_ft=weight)) == 0.0
