"""Lines, forward against back, repeatability, stations and records."""

from __future__ import annotations

import math
import statistics
from fractions import Fraction
from itertools import accumulate

import pytest
import scipy
from hypothesis import given
from hypothesis import strategies as st

from calllog.errors import ConfigError
from calllog.lines import (
    PrecisionClass,
    Ratio,
    build_corrected,
    closures,
    compare_record,
    differences_ft,
    group_lines,
    marks,
    one_in,
    parse_class,
    plus_minus,
    ratio_as_read,
    repeatability,
    repeated,
    shown_one_in,
    spread,
    station_text,
)
from calllog.lines.classes import CLASSES
from calllog.units import Foot, in_unit, parse_length
from calllog.values import Booking, Conditions, ReadingUnit
from tests.tapes import certificate
from tests.test_lines_totals import STANDARD, segment

METRE = ReadingUnit.METRE


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
    assert (found.forward.line_from, found.again.line_from, found.is_back) == ("A", "B", True)
    assert found.difference_ft == pytest.approx(0.02)
    assert found.mean_ft == pytest.approx(100.01)
    as_read = ratio_as_read(found.difference_ft, found.mean_ft, ReadingUnit.FOOT)
    assert as_read == Ratio(Fraction(10_001, 2))


def test_a_line_run_again_the_same_way_is_another_run() -> None:
    """Two runs of A:B are two lines with totals of their own, each set against the first."""
    given_pulls = [segment(1, 10_000), segment(2, 10_002), segment(3, 3000, "B:A")]
    given_pulls += [segment(4, 10_001), segment(5, 7001, "B:A")]
    corrected = build_corrected(given_pulls, {"T-1": certificate()}, [1, 2, 1, 3, 1])
    assert [each.running_total_ft for each in corrected] == [100.0, 100.02, 30.0, 100.01, 100.01]
    lines = group_lines(corrected)
    assert [(line.line_from, line.run, line.horizontal_ft) for line in lines] == [
        ("A", 1, 100.0),
        ("A", 2, 100.02),
        ("B", 1, 100.01),
        ("A", 3, 100.01),
    ]
    assert repeated(lines) == (lines,)
    found = closures(lines)
    assert [(one.forward, one.again) for one in found] == [(lines[0], one) for one in lines[1:]]
    assert [one.is_back for one in found] == [False, True, False]
    as_read = [ratio_as_read(one.difference_ft, one.mean_ft, ReadingUnit.FOOT) for one in found]
    assert as_read == [Ratio(Fraction(10_001, 2)), *[Ratio(Fraction(20_001, 2))] * 2]


def test_runs_that_are_alike_are_told_no_finer_than_they_were_read() -> None:
    """Two runs of 100.00 ft show 1:10,000, and not that they are better than that."""
    corrected = build_corrected(
        [segment(1, 10_000), segment(2, 10_000, "B:A")], {"T-1": certificate()}
    )
    (found,) = closures(group_lines(corrected))
    ratio = ratio_as_read(found.difference_ft, found.mean_ft, ReadingUnit.FOOT)
    assert ratio == Ratio(Fraction(10_000), is_floored=True)
    assert [ratio.meets(each) for each in CLASSES] == [True, True, True, True, None, None]


def test_corrections_that_are_not_known_are_named_with_their_pulls() -> None:
    """What the trade's notes call "as read" in part: no rise stated, no temperature stated."""
    level = STANDARD.model_copy(update={"rise_ft": None})
    bare = Conditions()
    steep = STANDARD.model_copy(update={"rise_ft": 200.0})
    given_pulls = [
        segment(n, 5000, conditions=conditions)
        for n, conditions in enumerate((STANDARD, level, bare, steep), start=1)
    ]
    (line,) = group_lines(build_corrected(given_pulls, {"T-1": certificate()}))
    assert line.lacking == {
        "slope": (2, 3),
        "temperature": (3,),
        "tension": (3,),
        "sag": (3,),
    }
    assert line.uncorrected == (4,)


@pytest.mark.parametrize(
    ("n", "shown"),
    [
        (10_000.0, 10_000),
        (9_999.9, 9_900),
        (99.9, 99),
        (7.3, 7),
    ],
)
def test_precision_is_rounded_down(n: float, shown: int) -> None:
    """Two figures, never better than it was."""
    assert shown_one_in(n) == shown


@pytest.mark.parametrize(
    ("error", "length", "exact", "three"),
    [
        # NPTEL 105107122, module 2, p. 29 (read): 0.05 m in 584.65 m, printed rounded to the
        # nearest, 1 in 11 700; rounded down it is 11 600.
        (0.05, 584.65, Fraction(11_693), 11_600),
        # A 30 m tape with ends 0.4 m apart in height (read at m.liontapemeasure.com): 2.667 mm,
        # printed 1/11200, which is 11 250 rounded down.
        (0.4**2 / 60, 30.0, None, 11_200),
        # NIST Handbook 44, sec. 5.52 (read second-hand): a quarter of an inch in 100 ft, 1:4800.
        (0.25 / 12, 100.0, None, 4_800),
    ],
)
def test_published_precisions(
    error: float, length: float, exact: Fraction | None, three: int
) -> None:
    """The exact ratio is kept; what is printed is rounded down."""
    found = one_in(error, length)
    assert found is not None
    assert exact is None or found == exact
    assert shown_one_in(found, 3) == three


@given(st.integers(1, 10**6), st.integers(10**4, 10**8))
def test_a_class_at_its_very_limit_is_met(error: int, length: int) -> None:
    """Hundredths are no binary fractions, and yet 0.01 in 50.00 is 1:5000, not a little less."""
    found = one_in(error / 100, length / 100)
    assert found == Fraction(length, error)
    assert PrecisionClass(5000).is_met(found) is (length >= 5000 * error)
    shown = shown_one_in(found) if found >= 1 else 0
    assert shown <= found
    assert shown > found * Fraction(9, 10) - 1


def test_classes_are_those_that_sources_name() -> None:
    """1:5,000, 1:10,000 and 1:20,000 of traverses: FGCC, 1984 (from memory).

    1:10,000 and 1:5,000 also in Washington, WAC 332-130-090 (read); 1:25,000 first order in the
    older scheme (read, glossary); steel taping 1/1,000 to 1/10,000: Hicks, p. 179 (read).
    """
    names = "1:1000 1:2500 1:5000 1:10000 1:20000 1:25000".split()
    assert [one.name for one in CLASSES] == names
    words = {one.one_in: " ".join(one.said_of_it) for one in CLASSES}
    for one_n, word in ((5000, "class II"), (10_000, "class I"), (20_000, "class II")):
        assert f"{word}: FGCC" in words[one_n]
    assert all("(read)" in said or "(from memory)" in said for said in words.values())


@pytest.mark.parametrize(
    ("text", "n"), [("1:5000", 5000), ("1 : 10,000", 10_000), ("1:3 000", 3000), (" 1:750 ", 750)]
)
def test_any_class_may_be_asked_for(text: str, n: int) -> None:
    """Those of the table come with what is said of them, others without."""
    assert parse_class(text).one_in == n
    assert bool(parse_class(text).said_of_it) is (n in {5000, 10_000})


@pytest.mark.parametrize("text", ["5000", "1:0", "2:5000", "1:x", "1:10,00", "1:,5", "1:5.5", ""])
def test_what_is_no_class_is_refused(text: str) -> None:
    """A class is one in so many, commas at thousands."""
    with pytest.raises(ConfigError, match="no class"):
        parse_class(text)


@pytest.mark.parametrize(
    ("lengths", "mean", "s_one"),
    [
        # University of Calgary, error analysis (read): mean 1.184, s 0.018 m.
        ([1.18, 1.16, 1.18, 1.19, 1.21], 1.184, 0.0181659),
        # Scribd 485469452 (inputs read; probable errors computed by us): 0.0503 of one, 0.0205 of
        # the mean, by 0.6745 s (Hicks, p. 179: read).
        ([1000.58, 1000.40, 1000.38, 1000.48, 1000.40, 1000.46], 1000.45, 0.0503 / 0.6745),
    ],
)
def test_spread_of_several_runs(lengths: list[float], mean: float, s_one: float) -> None:
    """Mean and standard deviation of repeated lengths, to the printed rounding."""
    found = spread(lengths)
    assert found.runs == len(lengths)
    assert found.mean_ft == pytest.approx(mean, abs=1e-9)
    assert found.s_one_ft == pytest.approx(s_one, rel=1e-3)
    assert found.s_mean_ft == pytest.approx(s_one / math.sqrt(len(lengths)), rel=1e-3)


def test_precision_of_the_mean_of_six_runs() -> None:
    """Probable error of the mean 0.0205 m in 1000.45 m, about 1:48,700 (as above)."""
    found = spread([1000.58, 1000.40, 1000.38, 1000.48, 1000.40, 1000.46])
    n = one_in(0.6745 * found.s_mean_ft, found.mean_ft)
    assert n is not None
    assert shown_one_in(n, 3) == 48_700


@given(st.floats(-1.0, 1.0), st.floats(1.0, 5_000.0), st.sampled_from(list(ReadingUnit)))
def test_no_precision_is_finer_than_the_reading(
    error_ft: float, length_ft: float, unit: ReadingUnit
) -> None:
    """An error is taken for a least count at least; one that is greater stands as it is."""
    ratio = ratio_as_read(error_ft, length_ft, unit)
    assert ratio is not None
    error, length = in_unit(error_ft, unit), in_unit(length_ft, unit)
    least = 1 / unit.counts
    assert float(ratio.n) == pytest.approx(length / max(abs(error), least), rel=1e-3)
    assert ratio.is_floored is (abs(error) < least * (1 - 1e-9))
    assert ratio_as_read(error_ft, 0.0, unit) is None


def test_the_spread_of_runs_that_are_alike_is_that_of_a_reading() -> None:
    """Half of 0.01 ft over sqrt(3) is 0.0029 ft (GUM F.2.2.1); a greater one stands."""
    shown, is_floored = spread([100.0, 100.0, 100.0]).floored(ReadingUnit.FOOT)
    assert is_floored
    assert shown.s_one_ft == pytest.approx(0.005 / math.sqrt(3))
    assert spread([100.0, 100.1]).floored(ReadingUnit.FOOT) == (spread([100.0, 100.1]), False)


@pytest.mark.parametrize(
    ("length_ft", "u_ft", "unit", "words"),
    [
        (315.1274, 0.0371, ReadingUnit.FOOT, "315.13 \u00b1 0.08 ft"),
        (315.1274, 0.0, ReadingUnit.FOOT, "315.13 \u00b1 0.01 ft"),
        (100.0, 0.02, ReadingUnit.FOOT, "100.00 \u00b1 0.04 ft"),
        (100.0, 0.02, ReadingUnit.METRE, "30.48 \u00b1 0.02 m"),
        (100.0, 0.02, ReadingUnit.FINE_FOOT, "100.000 \u00b1 0.040 ft"),
        (-0.001, 0.001, ReadingUnit.FOOT, "0.00 \u00b1 0.01 ft"),
    ],
)
def test_lengths_are_told_with_twice_their_uncertainty(
    length_ft: float, u_ft: float, unit: ReadingUnit, words: str
) -> None:
    """To the last digit that is read; the uncertainty rounded up, never told as nothing."""
    assert plus_minus(length_ft, u_ft, unit) == words


def test_a_precision_that_is_none_is_refused() -> None:
    """A line of no length has no relative precision."""
    for n in (0.0, -1.0, math.inf, math.nan):
        with pytest.raises(ValueError, match="no relative precision"):
            shown_one_in(n)


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
    assert scipy.special.chdtri(10, 0.025) == pytest.approx(squares / 2 / found.low_ft**2)
    assert repeatability([]) is None


def test_one_pair_alone_is_as_a_single_normal_deviate() -> None:
    """With one degree of freedom chi-square is the square of a normal deviate.

    Hicks, p. 179 (read): 1 s is 68.3 %, 1.6449 s 90 %, 2 s 95.5 %. At 97.5 % it is 2.2414 s (from
    memory: tables of the normal distribution).
    """
    found = repeatability([0.02])
    assert found is not None
    assert found.s_one_ft == pytest.approx(0.02 / math.sqrt(2))
    assert found.s_mean_ft == pytest.approx(0.01)
    assert found.low_ft == pytest.approx(found.s_one_ft / 2.2414, rel=1e-4)
    for level, deviates in ((0.90, 1.6449), (0.9545, 2.0), (0.6827, 1.0)):
        assert math.sqrt(2 * scipy.special.gammaincinv(0.5, level)) == pytest.approx(
            deviates, rel=1e-4
        )
    assert found.high_ft == pytest.approx(
        found.s_one_ft / math.sqrt(2 * scipy.special.gammaincinv(0.5, 0.025)), rel=1e-9
    )


@given(st.lists(st.tuples(st.integers(0, 9999), st.integers(-3, 3)), min_size=1, max_size=40))
def test_repeatability_is_the_pooled_deviation_of_the_pairs(pairs: list[tuple[int, int]]) -> None:
    """By the standard library: the mean of the variances within the pairs, one freedom each."""
    found = repeatability([d / 100 for _, d in pairs])
    assert found is not None
    variances = [statistics.variance([take / 100, (take + d) / 100]) for take, d in pairs]
    assert found.s_one_ft == pytest.approx(math.sqrt(statistics.fmean(variances)), abs=1e-9)


def test_blunders_do_not_count_as_repeatability() -> None:
    """A pull that the chief decided says nothing of how well the crew repeats itself."""
    agreed = segment(1, 1542).model_copy(update={"difference": -1, "booking": Booking.AGREED})
    kept = agreed.model_copy(update={"difference": 100, "decided_by": "chief"})
    assert differences_ft([agreed, kept, segment(3, 1542)]) == [-0.01]


@given(st.integers(0, 10_000_000), st.sampled_from(((ReadingUnit.FOOT, 100), (METRE, 1000))))
def test_every_distance_has_one_station(hundredths: int, way: tuple[ReadingUnit, int]) -> None:
    """What stands before the plus and after it is that distance."""
    unit, full = way
    before, after = station_text(hundredths, unit).split("+")
    assert int(before) * full * 100 + int(after.replace(".", "")) == hundredths


def test_stations_of_the_trade() -> None:
    """3+00, 3+25, 3+50: hundreds before the plus (common practice, no published source)."""
    assert [station_text(at) for at in (30_000, 32_500, 35_000)] == [
        "3+00.00",
        "3+25.00",
        "3+50.00",
    ]


def test_metric_stations_have_kilometres_before_the_plus() -> None:
    """1+234.56 is 1234.56 m (common practice, no published source)."""
    assert station_text(123_456, METRE) == "1+234.56"
    assert [station_text(at, METRE) for at in (0, 700, 12_500, 100_000)] == [
        "0+000.00",
        "0+007.00",
        "0+125.00",
        "1+000.00",
    ]


def test_nothing_lies_before_the_beginning() -> None:
    """A negative distance is refused."""
    with pytest.raises(ConfigError, match="before the beginning"):
        station_text(-1)


def test_marks_hit_every_hundred() -> None:
    """Marks every 25, 50 or 100 ft, the end among them once; others would miss the hundreds."""
    ends = [(1, 120.0), (2, 200.0)]
    assert [mark.at for mark in marks(ends, 50)] == [0, 5000, 10_000, 15_000, 20_000]
    assert [mark.at for mark in marks([(4, 99.5), (5, 260.48)], 100)] == [0, 10_000, 20_000, 26_048]
    assert [mark.at for mark in marks(ends, 50) if mark.is_full] == [0, 10_000, 20_000]
    for interval_ft in (30, 0, -25, 200):
        with pytest.raises(ConfigError, match="would miss"):
            marks(ends, interval_ft)
    assert marks([], 25) == ()


def test_a_mark_is_given_from_the_rear_mark_of_its_pull() -> None:
    """At a pull's end it belongs to that pull; the end of the line is a mark of the last pull."""
    found = marks([(3, 100.0), (4, 130.25), (5, 181.3)], 25)
    assert [(station_text(mark.at), mark.pull, mark.beyond) for mark in found] == [
        ("0+00.00", 3, 0),
        ("0+25.00", 3, 2500),
        ("0+50.00", 3, 5000),
        ("0+75.00", 3, 7500),
        ("1+00.00", 3, 10_000),
        ("1+25.00", 4, 2500),
        ("1+50.00", 5, 1975),
        ("1+75.00", 5, 4475),
        ("1+81.30", 5, 5105),
    ]


@given(
    st.lists(st.integers(1, 12_000), min_size=1, max_size=12),
    st.sampled_from([1, 10, 20, 25, 50, 100]),
)
def test_marks_lie_where_they_say(lengths: list[int], interval_ft: int) -> None:
    """The rear mark of its pull and the distance beyond it give back each mark; none is missed."""
    ends = list(accumulate(lengths))
    found = marks([(n, end / 100) for n, end in enumerate(ends, start=1)], interval_ft)
    rears = [0, *ends]
    assert all(mark.at == rears[mark.pull - 1] + mark.beyond for mark in found)
    assert all(0 <= mark.beyond <= lengths[mark.pull - 1] for mark in found)
    step = interval_ft * 100
    assert [mark.at for mark in found] == sorted({*range(0, ends[-1] + 1, step), ends[-1]})


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
