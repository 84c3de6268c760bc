"""All corrections of one length together: what is known, what is not, what is impossible."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calllog.corrections.hanging import throughout_length_ft
from calllog.errors import ConfigError
from calllog.values import Conditions, Corrections
from tests.correcting import correct
from tests.tapes import certificate, nist_tape

STANDARD = Conditions(temperature_degf=68.0, tension_lb=10.0, spans=0, rise_ft=0.0)
PARTS = ("standardisation_ft", "temperature_ft", "tension_ft", "sag_ft", "slope_ft")
some_conditions = st.builds(
    Conditions,
    temperature_degf=st.none() | st.floats(0.0, 120.0),
    tension_lb=st.none() | st.floats(5.0, 30.0),
    spans=st.none() | st.integers(0, 6),
    rise_ft=st.none() | st.floats(-10.0, 10.0),
)


def test_standard_conditions_leave_a_true_tape_alone() -> None:
    """A tape that is true, used as it was certified on level ground, is corrected by nothing."""
    assert correct(87.65, certificate(), STANDARD) == Corrections(
        standardisation_ft=0.0,
        temperature_ft=0.0,
        tension_ft=0.0,
        sag_ft=0.0,
        slope_ft=0.0,
        sum_ft=0.0,
    )


def test_what_is_not_known_is_left_out_and_said() -> None:
    """Without conditions only the certificate's error counts; the rest is None, never 0."""
    found = correct(50.0, certificate(certified_length_ft=100.004), Conditions())
    assert [getattr(found, name) for name in PARTS[1:]] == [None] * 4
    assert found.standardisation_ft == found.sum_ft == pytest.approx(0.002)


@pytest.mark.parametrize(
    ("spans", "tension_lb", "is_known"),
    [(0, None, True), (0, 10.0, True), (1, None, False), (None, 10.0, False), (1, 10.0, True)],
)
def test_sag_needs_support_and_tension(
    spans: int | None,
    tension_lb: float | None,
    is_known: bool,  # noqa: FBT001
) -> None:
    """Support throughout has no sag at any tension; hanging needs both, else it is not known."""
    found = correct(50.0, certificate(), Conditions(spans=spans, tension_lb=tension_lb)).sag_ft
    assert (found is not None) is is_known
    assert spans != 0 or found == 0.0


@settings(deadline=None)
@given(st.floats(20.0, 100.0), some_conditions)
def test_sum_is_that_of_the_known_parts(length_ft: float, conditions: Conditions) -> None:
    """Each part follows its own condition, and the sum is theirs to the last digit."""
    found = correct(length_ft, nist_tape(), conditions)
    parts = [getattr(found, name) for name in PARTS]
    assert found.sum_ft == math.fsum(part for part in parts if part is not None)
    assert (found.temperature_ft is None) is (conditions.temperature_degf is None)
    assert (found.tension_ft is None) is (conditions.tension_lb is None)
    assert (found.slope_ft is None) is (conditions.rise_ft is None)


@settings(deadline=None)
@given(st.floats(20.0, 100.0), some_conditions, st.floats(-10.0, 10.0))
def test_level_length_and_rise_make_the_length_along(
    length_ft: float, conditions: Conditions, rise_ft: float
) -> None:
    """The horizontal length and the rise give back the length along the slope, all else applied."""
    found = correct(length_ft, nist_tape(), conditions.model_copy(update={"rise_ft": rise_ft}))
    assert found.slope_ft is not None
    along_ft = length_ft + found.sum_ft - found.slope_ft
    horizontal_ft = length_ft + found.sum_ft
    assert math.hypot(horizontal_ft, rise_ft) == pytest.approx(along_ft, rel=1e-12)


@pytest.mark.parametrize("nominal_ft", [50, 100, 200])
@pytest.mark.parametrize("spans", [1, 2, 4])
def test_a_tape_used_as_it_was_certified_has_no_net_sag(spans: int, nominal_ft: int) -> None:
    """Certified hanging and used hanging, same tension: the whole tape has its certified length."""
    tape = certificate(
        nominal_ft=nominal_ft, certified_length_ft=nominal_ft - 0.02, certified_spans=spans
    )
    found = correct(float(nominal_ft), tape, STANDARD.model_copy(update={"spans": spans}))
    assert found.sag_ft is not None
    assert found.sag_ft < 0
    assert found.sum_ft == pytest.approx(-0.02, abs=1e-9)


@pytest.mark.parametrize(
    ("spans", "tension_lb", "certified_ft"),
    [
        (1, 10.0, 99.9368),
        (1, 15.0, 99.9791),
        (1, 20.0, 99.9969),
        (1, 25.0, 100.0077),
        (4, 10.0, 100.0003),
    ],
)
def test_all_certificates_of_one_tape_agree(
    spans: int, tension_lb: float, certified_ft: float
) -> None:
    """NIST's tape certified flat, and by any of its lengths hanging, measures the same."""
    # NIST report, 1991, 68 degF (read second-hand; the first entry served to fit the weight):
    # each length in spans, taken as the certificate, predicts the flat one, 100.0045 ft at 10 lb.
    flat = nist_tape()
    hanging = nist_tape(
        certified_length_ft=certified_ft, certified_spans=spans, certified_tension_lb=tension_lb
    )
    assert throughout_length_ft(flat) == 100.0045
    assert 100.0 + correct(100.0, hanging, STANDARD).sum_ft == pytest.approx(100.0045, abs=1.1e-4)
    conditions = Conditions(temperature_degf=41.0, tension_lb=20.0, spans=1, rise_ft=1.5)
    assert correct(81.27, hanging, conditions).sum_ft == pytest.approx(
        correct(81.27, flat, conditions).sum_ft, abs=1.1e-4
    )


@pytest.mark.parametrize(
    ("length_ft", "conditions", "said"),
    [
        (-0.58, Conditions(), "a length read of -0.58 ft cannot be corrected; measure that pull"),
        (math.nan, Conditions(), "a length read of nan ft cannot be corrected; measure that pull"),
        (
            50.0,
            Conditions(tension_lb=0.0),
            "a tension of 0 lb is not possible; measure that pull",
        ),
        (
            50.0,
            Conditions(tension_lb=-5.0),
            "a tension of -5 lb is not possible; measure that pull",
        ),
        (
            50.0,
            Conditions.model_construct(tension_lb=math.inf),
            "a tension of inf lb is not possible; measure that",
        ),
        (
            50.0,
            Conditions.model_construct(tension_lb=math.nan),
            "a tension of inf lb is not possible; measure that",
        ),
        (math.inf, Conditions(), "a length read of inf ft cannot be corrected; measure that"),
        (
            50.0,
            Conditions.model_construct(temperature_degf=math.nan),
            "inf degF is not a possible temperature; measure that",
        ),
        (
            50.0,
            Conditions.model_construct(temperature_degf=-math.inf),
            "-inf degF is not a possible temperature; measure",
        ),
        (
            50.0,
            Conditions.model_construct(spans=-3),
            "a tape cannot hang in -2 spans; measure that pull again",
        ),
        (50.0, Conditions(spans=1001), "a tape cannot hang in 1001 spans; measure that pull"),
        (
            # Statics: 0.0128 lb/ft times 50 ft is 0.64 lb, half of it at each end.
            50.0,
            Conditions(spans=1, tension_lb=0.32),
            (
                "at a tension of 0.32 lb, 50.00 ft of this tape cannot hang in 1 span; that takes"
                " more than 0.32 lb; measure that pull again, with its tension and support stated"
            ),
        ),
        (5.0, Conditions(rise_ft=5.1), "a rise of 5.1 ft is greater than the length of 5.00 ft;"),
        (5.0, Conditions(rise_ft=-6.0), "a rise of -6 ft is greater than the length of 5.00 ft;"),
        (
            0.0,
            Conditions.model_construct(rise_ft=math.nan),
            "a rise of inf ft is greater than the length of 0.00",
        ),
    ],
)
def test_the_impossible_is_refused_in_words(
    length_ft: float, conditions: Conditions, said: str
) -> None:
    """Nothing impossible becomes NaN or a crash: the message says what, and what to do."""
    with pytest.raises(ConfigError) as caught:
        correct(length_ft, certificate(), conditions)
    assert str(caught.value).startswith(said)


@pytest.mark.parametrize(("spans", "tension_lb"), [(1, 0.33), (2, 0.17), (0, 0.01)])
def test_a_pull_that_can_be_is_corrected(spans: int, tension_lb: float) -> None:
    """What hangs by a hair, or lies on the ground under next to no pull, is not refused."""
    found = correct(50.0, certificate(), Conditions(spans=spans, tension_lb=tension_lb))
    assert found.sag_ft is not None
    assert math.isfinite(found.sum_ft)


def test_no_length_is_corrected_by_nothing() -> None:
    """A pull of 0.00 ft, hanging and level, is 0 ft long and no division by zero."""
    hanging = STANDARD.model_copy(update={"spans": 1, "tension_lb": 20.0})
    assert correct(0.0, nist_tape(), hanging).sum_ft == 0.0
