"""A length of several pulls, and spans on a slope, against sums by hand and added-up forces."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import scipy
from hypothesis import given, settings
from hypothesis import strategies as st

from calllog.corrections import End, Situation, layout_reading, length_budget, state, true_pull
from calllog.corrections.correct import work
from calllog.corrections.formulas import span_sag
from calllog.corrections.hanging import SAG_FORMS
from calllog.corrections.made_of import counted, made_of, pull_lengths_ft
from calllog.errors import ConfigError
from calllog.tape import Certificate
from calllog.values import Conditions, Style
from tests.correcting import correct
from tests.tapes import certificate, metric_tape, nist_tape

TRUE = certificate()
STIFFNESS_LB = TRUE.area_in2 * TRUE.modulus_psi


# Four tapes of 0.0128 lb/ft at the ends only under 15 lb: each sags w^2 s^3/(24 P^2), the formula
# of the slides "Taping Corrections" (university course); worked here.
def test_a_length_beyond_the_tape_is_pulls() -> None:
    """400 ft on a tape of 100 ft under 15 lb sag as four tapes do, not as one span of 400 ft."""
    one_ft = -(0.0128**2) * 100.0**3 / (24 * 15.0**2)
    found = work(400.0, TRUE, Situation(tension_lb=15.0, spans=1))
    assert found.sag_ft == pytest.approx(4 * one_ft, abs=1e-9)
    assert one_ft * 4 > -0.13
    in_two = work(400.0, TRUE, Situation(tension_lb=15.0, spans=2))
    assert in_two.sag_ft == pytest.approx(one_ft, abs=1e-9)
    assert correct(400.0, TRUE, Conditions(tension_lb=15.0, spans=1)).sag_ft == found.sag_ft


@pytest.mark.parametrize(
    ("tape", "length_ft", "expected"),
    [
        (TRUE, 100.0, (100.0,)),
        (TRUE, 300.0, (100.0, 100.0, 100.0)),
        (TRUE, 250.5, (100.0, 100.0, 50.5)),
        # An add tape has one more foot beyond zero, read to 0.99 (NAVEDTRA 14069, p. 12-9).
        (certificate(style=Style.ADD), 100.75, (100.75,)),
        (certificate(style=Style.ADD), 200.75, (100.0, 100.75)),
        (certificate(style=Style.ADD), 101.5, (100.0, 1.5)),
        (metric_tape(), 70 / 0.3048, (30 / 0.3048, 30 / 0.3048, 10 / 0.3048)),
    ],
)
def test_how_a_length_is_made_of_pulls(
    tape: Certificate, length_ft: float, expected: tuple[float, ...]
) -> None:
    """Whole tapes, and what is left; the extra foot of an add tape spares a pull."""
    assert pull_lengths_ft(length_ft, tape) == pytest.approx(expected, abs=1e-9)


def test_the_uncertainty_counts_the_same_pulls() -> None:
    """Four pulls of a whole tape; a rest that no crew can read is no pull of its own."""
    hanging = Situation(temperature_degf=68.0, tension_lb=20.0, spans=1, percent=0.0)
    assert length_budget(400.0, TRUE, hanging).pulls == 4
    assert length_budget(400.000001, TRUE, hanging).pulls == 4
    assert length_budget(400.01, TRUE, hanging).pulls == 5
    assert length_budget(100.75, certificate(style=Style.ADD), hanging).pulls == 1


round_trips = st.builds(
    Situation,
    temperature_degf=st.none() | st.floats(-20.0, 120.0),
    tension_lb=st.floats(5.0, 30.0),
    spans=st.integers(0, 5),
    tension_at=st.sampled_from(End),
    percent=st.none() | st.floats(-40.0, 40.0),
    elevation_ft=st.none() | st.floats(-300.0, 15_000.0),
)


@settings(deadline=None, max_examples=80)
@given(st.floats(1.0, 1000.0), round_trips, st.sampled_from(["full", "add"]), st.floats(-0.5, 0.5))
def test_what_is_laid_out_is_corrected_back(
    wanted_ft: float, situation: Situation, style: str, share: float
) -> None:
    """The reading laid out, corrected as a whole, is the length wanted to 0.0002 ft."""
    tape = nist_tape(style=Style(style))
    if situation.percent is None:
        situation = situation.model_copy(update={"rise_ft": share * wanted_ft})
    found = layout_reading(wanted_ft, tape, situation)
    back = state(found.reading_ft, tape, situation)
    assert back.horizontal_ft == pytest.approx(wanted_ft, abs=2e-4)


@pytest.mark.parametrize("tension_lb", [12.0, 20.0])
def test_a_usual_line_is_corrected_back(tension_lb: float) -> None:
    """529.81 ft at the ends only: laid out and corrected it is 529.81 ft again, not 4 ft less."""
    situation = Situation(temperature_degf=41.0, tension_lb=tension_lb, spans=1, percent=5.0)
    found = layout_reading(529.81, nist_tape(), situation)
    back = state(found.reading_ft, nist_tape(), situation)
    assert back.horizontal_ft == pytest.approx(529.81, abs=2e-4)


def laid_along(
    length_ft: float, spans: int, grade: float, end: End, pull_lb: float, weight: float
) -> float:
    """Give the straight length of a tape over smooth supports on one straight grade [ft].

    Without any of the program's formulas: the forces on the parts of each span are added up
    (statics and Hooke's law), the pull goes over from span to span, and the unknown forces are
    found such that every support lies on the grade and the pull at the stated end is as stated.
    """
    slack = length_ft / (1 + TRUE.certified_tension_lb / STIFFNESS_LB) / spans
    unstretched = weight * (1 + TRUE.certified_tension_lb / STIFFNESS_LB)

    def span(level: float, upright: float) -> tuple[float, float, float]:
        """Add up one span from its lower end: where its upper end is, and the pull there."""

        def part(_: float, at: np.ndarray) -> list[float]:
            pull = math.hypot(level, at[2])
            stretched = 1 + pull / STIFFNESS_LB
            return [stretched * level / pull, stretched * at[2] / pull, unstretched]

        done = scipy.integrate.solve_ivp(
            part, (0.0, slack), [0.0, 0.0, upright], rtol=1e-10, atol=1e-10
        )
        return float(done.y[0, -1]), float(done.y[1, -1]), math.hypot(level, done.y[2, -1])

    def ends(unknown: np.ndarray) -> list[float]:
        off, pulls = [], []
        for level, upright in unknown.reshape(spans, 2):
            far, high, above = span(level, upright)
            off.append(high - far * math.tan(grade))
            pulls.append((math.hypot(level, upright), above))
        off += [next_[0] - one[1] for one, next_ in pairwise(pulls)]
        off.append((pulls[-1][1] if end is End.UPPER else pulls[0][0]) - pull_lb)
        return off

    drop = unstretched * slack / 2
    guess = np.array([[pull_lb * math.cos(grade), pull_lb * math.sin(grade) - drop]] * spans)
    found = scipy.optimize.fsolve(ends, guess.ravel(), xtol=1e-11)
    assert np.abs(ends(found)).max() < 1e-8
    return sum(math.hypot(*span(*each)[:2]) for each in found.reshape(spans, 2))


@pytest.mark.parametrize(
    ("length_ft", "spans", "degrees", "end", "pull_lb", "weight"),
    [
        (100.0, 1, 30.0, End.UPPER, 1.5, 0.0128),
        (100.0, 1, 30.0, End.LOWER, 1.0, 0.0128),
        (100.0, 1, 30.0, End.UPPER, 5.0, 0.0128),
        (100.0, 3, 37.0, End.UPPER, 8.0, 0.0128),
        (100.0, 3, 37.0, End.LOWER, 2.0, 0.03),
        (100.0, 4, 20.0, End.UPPER, 6.0, 0.0128),
    ],
)
def test_spans_on_a_grade_are_the_forces_added_up(
    length_ft: float, spans: int, degrees: float, end: End, pull_lb: float, weight: float
) -> None:
    """An angle is that of the chord, each span has its own pull: 0.0005 ft, and exact 0.00001."""
    tape = certificate(weight_lb_per_ft=weight)
    along_ft = laid_along(length_ft, spans, math.radians(degrees), end, pull_lb, weight)
    by_angle = Situation(tension_lb=pull_lb, spans=spans, tension_at=end, angle_deg=degrees)
    by_rise = by_angle.model_copy(
        update={"angle_deg": None, "rise_ft": along_ft * math.sin(math.radians(degrees))}
    )
    for situation in (by_angle, by_rise):
        for form, tolerance in ((None, 5e-4), (SAG_FORMS[0], 1e-5)):
            found = work(length_ft, tape, situation, sag_form=form)
            got = length_ft + (found.tension_ft or 0.0) + (found.sag_ft or 0.0)
            assert got == pytest.approx(along_ft, abs=tolerance)
            level_ft = length_ft + found.sum_ft
            assert level_ft == pytest.approx(along_ft * math.cos(math.radians(degrees)), abs=5e-4)


@settings(deadline=None, max_examples=40)
@given(
    st.floats(101.0, 450.0),
    st.floats(2.0, 20.0),
    st.integers(1, 3),
    st.floats(0.05, 0.6),
    st.sampled_from(End),
)
def test_rise_and_angle_of_several_pulls_are_one_grade(
    length_ft: float, tension_lb: float, spans: int, sine: float, end: End
) -> None:
    """The rise that an angle makes of the whole length gives that length again."""
    angle = Situation(
        tension_lb=tension_lb,
        spans=spans,
        tension_at=end,
        angle_deg=math.degrees(math.asin(sine)),
    )
    by_angle = work(length_ft, TRUE, angle)
    along_ft = length_ft + by_angle.sum_ft - (by_angle.slope_ft or 0.0)
    rise = angle.model_copy(update={"angle_deg": None, "rise_ft": sine * along_ft})
    assert work(length_ft, TRUE, rise).sum_ft == pytest.approx(by_angle.sum_ft, abs=1e-6)


def test_listed_spans_hang_as_they_are_listed() -> None:
    """100 and 50 ft hang, 200 ft lie: the sum of the published formula, the rest without sag."""
    situation = Situation(tension_lb=15.0, hanging_ft=(100.0, 50.0))
    expected = sum(float(span_sag(span, 15.0, 0.0128)) for span in (100.0, 50.0))
    assert work(350.0, TRUE, situation).sag_ft == pytest.approx(expected, abs=1e-9)
    assert length_budget(350.0, TRUE, situation).pulls == 4


def test_a_span_longer_than_the_tape_cannot_hang() -> None:
    """A span of 400 ft of a tape of 100 ft is refused; nobody stretched it."""
    with pytest.raises(ConfigError, match=r"a span of 400\.00 ft is longer than this tape"):
        state(400.0, TRUE, Situation(tension_lb=15.0, hanging_ft=(400.0,)))


@pytest.mark.parametrize("spans", [1, 2])
def test_true_pulls_follow_the_form_of_sag_in_use(spans: int) -> None:
    """A heavy tape: under the tension of accuracy told, and the normal one, nothing is left."""
    heavy = certificate(weight_lb_per_ft=0.05, area_in2=0.0147, certified_length_ft=100.05)
    pull = true_pull(heavy, None, spans)
    assert pull.tension_of_accuracy_lb is not None
    assert pull.normal_tension_lb is not None
    situation = Situation(temperature_degf=68.0, tension_lb=pull.tension_of_accuracy_lb)
    situation = situation.model_copy(update={"spans": spans, "percent": 0.0})
    assert work(100.0, heavy, situation).sum_ft == pytest.approx(0.0, abs=1e-6)
    normal = work(100.0, heavy, situation.model_copy(update={"tension_lb": pull.normal_tension_lb}))
    assert (normal.tension_ft or 0.0) + (normal.sag_ft or 0.0) == pytest.approx(0.0, abs=1e-6)


def test_a_sum_of_spans_is_the_length_read_to_half_a_least_count() -> None:
    """Where listed spans make a little more the longest gives way; a rest too short to read joins.

    Of a longer sum nobody can say which span is wrong: it is refused.
    """
    tape = nist_tape()
    found = made_of(100.0, tape, Situation(hanging_ft=(39.5, 60.504)))
    assert [spans for _, spans in found] == [1, 1]
    assert [length_ft for length_ft, _ in found] == pytest.approx([39.5, 60.5])
    assert made_of(100.0, tape, Situation(hanging_ft=(39.5, 60.5))) == ((39.5, 1), (60.5, 1))
    assert made_of(100.0, tape, Situation(hanging_ft=(39.5, 60.0))) == (
        *((39.5, 1), (60.0, 1)),
        (0.5, 0),
    )
    joined = counted(((39.5, 1), (60.5, 0), (0.004, 0)), tape)
    assert joined == ((39.5, 1), (60.5 + 0.004, 0))
    assert counted(((60.5, 1), (0.006, 0)), tape) == ((60.5, 1), (0.006, 0))
