"""Lines, forward against back, repeatability, stations and records."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2

from calllog.errors import ConfigError
from calllog.lines import (
    build_corrected,
    closures,
    compare_record,
    differences_ft,
    group_lines,
    marks,
    parse_station,
    repeatability,
    shown_one_in,
    station_text,
)
from calllog.units import Foot, parse_length
from calllog.values import Booking
from tests.tapes import certificate
from tests.test_lines_totals import STANDARD, segment


def test_segments_are_put_together_by_line() -> None:
    """Interleaved lines come apart, and say which pulls are unchecked or stand as read."""
    steep = STANDARD.model_copy(update={"rise_ft": 200.0})
    corrected = build_corrected(
        [
            segment(1, 5000),
            segment(2, 2000, line="B:C"),
            segment(3, 2500, conditions=steep),
        ],
        {"T-1": certificate()},
    )
    first, second = group_lines(corrected)
    assert (first.line_from, first.line_to, first.length_read_ft) == ("A", "B", 75.0)
    assert (first.unchecked, first.uncorrected) == ((1, 3), (3,))
    assert (second.horizontal_ft, second.uncorrected) == (20.0, ())


def test_forward_and_back_are_compared() -> None:
    """A:B and B:A are one closure; A:C has none. Arithmetic: 0.02 in 100.01 is 1:5000.5."""
    corrected = build_corrected(
        [
            segment(1, 10_000),
            segment(2, 3000, line="A:C"),
            segment(3, 5001, line="B:A"),
            segment(4, 5001, line="B:A"),
        ],
        {"T-1": certificate()},
    )
    (found,) = closures(group_lines(corrected))
    assert (found.forward.line_from, found.back.line_from) == ("A", "B")
    assert found.difference_ft == pytest.approx(0.02)
    assert found.mean_ft == pytest.approx(100.01)
    assert found.one_in == pytest.approx(5000.5)


@pytest.mark.parametrize(
    ("one_in", "shown"),
    [
        (584.65 / 0.05, 11_000),
        (10_000.0, 10_000),
        (9_999.9, 9_900),
        (99.9, 99),
        (7.3, 7),
        (math.inf, None),
    ],
)
def test_precision_is_rounded_down(one_in: float, shown: int | None) -> None:
    """Never better than it was: 0.05 in 584.65 is 1:11,693, NPTEL 105107122, module 2 (read)."""
    assert shown_one_in(one_in) == shown


def test_a_precision_that_is_none_is_refused() -> None:
    """A line of no length has no relative precision."""
    with pytest.raises(ValueError, match="no relative precision"):
        shown_one_in(0.0)


def test_repeatability_is_that_of_double_measurements() -> None:
    """sqrt(sum d^2 / 2n), half of sqrt(sum d^2 / n) for the mean, and the interval of the first.

    From memory: any text on adjustment; printed tables of chi-square, which with 10 degrees of
    freedom and at 95 % give 3.247 and 20.483.
    """
    given_ft = [0.01, -0.01, 0.0, 0.02, 0.0, -0.01, 0.01, 0.0, 0.0, -0.02]
    found = repeatability(given_ft)
    assert found is not None
    squares = math.fsum(one**2 for one in given_ft)
    assert found.pairs == 10
    assert found.s_one_ft == pytest.approx(math.sqrt(squares / 20))
    assert found.s_mean_ft == pytest.approx(math.sqrt(squares / 10) / 2)
    assert found.low_ft == pytest.approx(math.sqrt(squares / 2 / 20.483), rel=1e-4)
    assert found.high_ft == pytest.approx(math.sqrt(squares / 2 / 3.247), rel=1e-4)
    assert chi2(10).ppf(0.975) == pytest.approx(squares / 2 / found.low_ft**2)
    assert repeatability([]) is None


def test_blunders_do_not_count_as_repeatability() -> None:
    """A pull that the chief decided says nothing of how well the crew repeats itself."""
    agreed = segment(1, 1542).model_copy(update={"difference": -1, "booking": Booking.AGREED})
    kept = agreed.model_copy(update={"difference": 100, "decided_by": "chief"})
    assert differences_ft([agreed, kept, segment(3, 1542)]) == [-0.01]


@given(st.integers(0, 10_000_000))
def test_stations_read_back(hundredths: int) -> None:
    """Every distance has one station, and that station is that distance."""
    assert parse_station(station_text(hundredths)) == hundredths


def test_stations_of_the_trade() -> None:
    """3+00, 3+25, 3+50: hundreds before the plus (common practice, no published source)."""
    assert [station_text(at) for at in (30_000, 32_500, 35_000)] == [
        "3+00.00",
        "3+25.00",
        "3+50.00",
    ]
    assert parse_station(" 1+05.4 ") == 10_540


@pytest.mark.parametrize("text", ["3+125", "325", "3+2", "-1+00", "3+25.125", "3 + 25", ""])
def test_what_is_no_station_is_refused(text: str) -> None:
    """Three digits after the plus would be another hundred: asked again, never guessed."""
    with pytest.raises(ConfigError, match="no station"):
        parse_station(text)


def test_nothing_lies_before_the_beginning() -> None:
    """A negative distance is refused."""
    with pytest.raises(ConfigError, match="before the beginning"):
        station_text(-1)


def test_marks_hit_every_hundred() -> None:
    """Marks every 25, 50 or 100 ft, the end among them once; others would miss the hundreds."""
    assert marks(200.0, 50) == (0, 5000, 10_000, 15_000, 20_000)
    assert marks(260.48, 100) == (0, 10_000, 20_000, 26_048)
    for interval_ft in (30, 0, -25, 200):
        with pytest.raises(ConfigError, match="would miss"):
            marks(200.0, interval_ft)


def test_a_record_stands_beside_the_measured_line() -> None:
    """12 ch 45 lk of US survey feet is 821.70 of them (trade); 2 ppm less in international feet.

    The ratio of the feet: NIST, Federal Register vol. 85 no. 193, 5 Oct 2020.
    """
    record = parse_length("12 ch 45 lk", Foot.US_SURVEY)
    same = compare_record(record, 821.7, Foot.US_SURVEY)
    assert float(same.record_ft) == 821.7
    assert abs(same.difference_ft) < Fraction(1, 10**9)
    other = compare_record(record, 821.7, Foot.INTERNATIONAL)
    assert float(other.difference_ft) == pytest.approx(-821.7 * 2e-6, rel=1e-3)
    assert float(other.index) == pytest.approx(0.999998, abs=1e-9)


def test_a_record_of_nothing_is_refused() -> None:
    """No line is 0 long."""
    with pytest.raises(ConfigError, match="above 0"):
        compare_record(parse_length("0 ft"), 100.0, Foot.INTERNATIONAL)
