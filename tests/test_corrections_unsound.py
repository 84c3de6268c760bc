"""Published answers that are wrong: they must not come out, what the formulas give must.

Others stand beside their kin: normal tensions in test_corrections_tensions, laying out with the
sign turned in test_corrections_layout, degrees taken for percent and kilonewtons for newtons in
test_corrections_statement, a part span in proportion in test_corrections_published.
"""

from __future__ import annotations

import math

import pytest

from calllog.corrections.formulas import (
    elevation,
    equal_spans_sag,
    slope_sine,
    span_sag,
    standardisation,
    temperature,
    tension,
)
from calllog.tape import plausibility
from tests.tapes import certificate


@pytest.mark.parametrize(
    ("found", "right", "half_digit", "wrong"),
    [
        # infinitylearn.com: 26 m at 35 degC, 26.00476 printed (another page has 26.00468).
        (26.0 + temperature(26.0, 35.0, 20.0, 1.2e-5), 26.00468, 0.000005, 26.00476),
        # studysmarter: 65.175 m, 17 degC colder, 12.18 mm printed, which is cut off, not rounded.
        (-1000 * temperature(65.175, 3.0, 20.0, 11e-6), 12.19, 0.005, 12.18),
        # aptitudecrack.com 63038: 50 m of 4 kg under 5 kg in one span, 0.083 m printed.
        (-span_sag(50.0, 5.0, 0.08), 1.333, 0.0005, 0.083),
        # The same page's other answer, 0.053 m, is that of supports every 10 m.
        (-equal_spans_sag(50.0, 5, 5.0, 0.08), 0.0533, 0.00005, 1.333),
    ],
)
def test_wrong_answers_do_not_come_out(
    found: float, right: float, half_digit: float, wrong: float
) -> None:
    """The worked answer is found, and it is not the printed one."""
    assert found == pytest.approx(right, abs=half_digit)
    assert abs(found - wrong) > half_digit


def test_a_dip_that_gives_8_n_not_15() -> None:
    """30 m under 100 N that dips 0.3015 m weighs 8.04 N: sag is 8 y^2 / 3 s of its dip y."""
    # collegedunia.com, unsound: 15 N printed, its own steps give 8.04 N. Length of a parabola over
    # its chord: common practice, no published source.
    by_dip = -8 * 0.3015**2 / (3 * 30.0)
    assert span_sag(30.0, 100.0, 8.04 / 30.0) == pytest.approx(by_dip, rel=1e-3)
    assert float(span_sag(30.0, 100.0, 15.0 / 30.0)) < 3 * by_dip


def test_sag_alone_is_not_the_whole_change() -> None:
    """25 ft of 0.010 lb/ft, 10 to 12 lb: 0.0024 in less sag, but 0.009 in with the stretch."""
    # National Bureau of Standards text, unsound: about 0.002 in for all of it.
    sag_in = 12 * (span_sag(25.0, 12.0, 0.010) - span_sag(25.0, 10.0, 0.010))
    assert sag_in == pytest.approx(0.0024, abs=0.00005)
    stretch_in = 12 * tension(25.0, 12.0, 10.0, 0.0029 * 29e6)
    assert sag_in + stretch_in == pytest.approx(0.009, abs=0.0006)


def test_areas_by_a_long_chain_are_greater() -> None:
    """A chain that is too long counts too little, so the true area is greater, by the square."""
    # curioustab.com 66741, unsound: the ratio is turned over.
    side = 100.0 + standardisation(100.0, 30.04, 30.0)
    assert side**2 == pytest.approx(100.0**2 * (30.04 / 30.0) ** 2)
    assert side**2 > 100.0**2


def test_a_slip_of_ten_in_the_area_is_seen() -> None:
    """2.2 lb for 100 ft of steel at 3.53 in3/lb is 0.00647 in2; 0.0647 is warned about."""
    # algebra.com 1195308, unsound: 0.0647 in2.
    right = certificate(weight_lb_per_ft=0.022, area_in2=0.022 * 3.53 / 12)
    assert right.area_in2 == pytest.approx(0.00647, abs=0.000005)
    assert plausibility(right) == ()
    warning, thick = plausibility(certificate(weight_lb_per_ft=0.022, area_in2=0.0647))
    assert thick.startswith("area_in2: 0.0647 is outside")
    assert warning.startswith("weight_lb_per_ft: 0.022 does not go with area_in2 0.0647")
    # 13 lb instead of 10 stretch 100 ft by 0.0016 ft, as the page says, with the right area.
    assert tension(100.0, 13.0, 10.0, right.area_in2 * 29e6) == pytest.approx(0.0016, abs=0.00005)


def test_expansion_of_another_alloy_is_seen() -> None:
    """3.5e-6 per degC is no steel's."""
    # civinnovate.com 1650 m, unsound: a nickel steel's coefficient for a steel chain.
    (warning,) = plausibility(certificate(alpha_per_degf=3.5e-6 / 1.8))
    assert warning.startswith("alpha_per_degf")


def test_slope_by_angle_is_twice_the_sine_of_half_squared() -> None:
    """2 L sin^2(A / 2), not 2 L sin^2 A + A / 2."""
    # Public wiki text, unsound as printed; the right form is L (1 - cos A).
    found = slope_sine(100.0, math.sin(math.radians(8.0)))
    assert found == pytest.approx(-100.0 * (1 - math.cos(math.radians(8.0))))
    assert float(found) + 2 * 100.0 * math.sin(math.radians(8.0)) ** 2 > 1


def test_distortion_grows_with_height() -> None:
    """The higher the ground, the more a length there exceeds that at sea level."""
    # landsurveyorlsit.passetra, unsound: it is said to diminish.
    assert elevation(1000.0, 8000.0) < elevation(1000.0, 4000.0) < 0 < elevation(1000.0, -200.0)
