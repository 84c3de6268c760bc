"""Running totals of lines: exact, apart for each line, and clear about what is missing."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calllog.corrections import arrays
from calllog.corrections.pulls import Pulls
from calllog.corrections.refusals import Refused
from calllog.errors import ConfigError
from calllog.lines import build_corrected
from calllog.lines.totals import running_totals
from calllog.tape import Certificate
from calllog.values import Booking, Conditions, Observation, Segment, Severity, Style
from calllog.wording import ENGLISH
from tests.correcting import correct
from tests.tapes import certificate, nist_tape

STANDARD = Conditions(temperature_degf=68.0, tension_lb=10.0, spans=0, rise_ft=0.0)


def segment(
    pull: int,
    hundredths: int,
    line: str = "A:B",
    tape: str = "T-1",
    conditions: Conditions = STANDARD,
) -> Segment:
    """Make a booked pull of a full tape."""
    line_from, line_to = line.split(":")
    take = Observation(
        whole=None, fraction=None, reading=hundredths, hold=0, length=hundredths, calls=(pull,)
    )
    return Segment(
        pull=pull,
        line_from=line_from,
        line_to=line_to,
        tape=tape,
        style=Style.FULL,
        take=take,
        check=None,
        difference=None,
        length_read_ft=hundredths / 100,
        booking=Booking.UNCHECKED,
        decided_by="policy",
        conditions=conditions,
        findings=(),
        superseded=(),
    )


def test_no_segments_make_no_lines() -> None:
    """An empty job is an empty log, not an error."""
    assert build_corrected([], {}) == ()


def test_each_pull_is_worked_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A log of two tapes works as many rows as it has pulls; one that is long is several."""
    rows: list[int] = []

    def counted(
        pulls: Pulls,
        count: int,
        tape: Certificate,
        *,
        refused: Refused | None,
        has_both_forms: bool,
    ) -> arrays.Worked:
        rows.append(len(pulls.length_read_ft))
        return work_pulls(pulls, count, tape, refused=refused, has_both_forms=has_both_forms)

    work_pulls = arrays.work_pulls
    monkeypatch.setattr(arrays, "work_pulls", counted)
    tapes = {"T-1": certificate(), "T-2": nist_tape(identity="T-2")}
    steep = STANDARD.model_copy(update={"rise_ft": 99.0})
    given = [
        segment(1, 10_000),
        segment(2, 25_000, tape="T-2"),
        segment(3, 5_000, conditions=steep),
        segment(4, 4_000, tape="T-2"),
    ]
    found = build_corrected(given, tapes)
    assert sorted(rows) == [2, 4]
    assert [bool(each.segment.findings) for each in found] == [False, False, True, False]
    assert all(each.u_random_ft for each in found if not each.segment.findings)


def test_each_segment_is_corrected_by_its_own_tape() -> None:
    """The certificate is that of the segment's tape, and the horizontal length is its sum."""
    cold = STANDARD.model_copy(update={"temperature_degf": 30.0})
    tapes = {"T-1": certificate(), "T-2": nist_tape(identity="T-2")}
    given = [segment(1, 99_50, tape="T-2", conditions=cold), segment(2, 50_00)]
    first, second = build_corrected(given, tapes)
    assert (first.segment, second.segment) == tuple(given)
    assert first.corrections == correct(99.5, tapes["T-2"], cold)
    assert first.horizontal_ft == 99.5 + first.corrections.sum_ft < 99.5
    assert second.horizontal_ft == 50.0
    assert second.running_total_ft == pytest.approx(first.horizontal_ft + 50.0, rel=1e-15)


def test_lines_are_totalled_apart() -> None:
    """Interleaved lines, a line run back, one with the same end: each has a total of its own."""
    given = [
        segment(1, 10_00),
        segment(2, 20_00, "B:C"),
        segment(3, 30_00),
        segment(4, 40_00, "B:A"),
        segment(5, 50_00, "B:C"),
        segment(6, 60_00, "D:C"),
    ]
    totals = [each.running_total_ft for each in build_corrected(given, {"T-1": certificate()})]
    assert totals == [10.0, 20.0, 40.0, 40.0, 70.0, 60.0]


def test_a_thousand_tenths_make_one_hundred() -> None:
    """No rounding piles up: one thousand pulls of 0.10 ft are 100 ft, where adding up fails."""
    corrected = build_corrected([segment(n, 10) for n in range(1, 1001)], {"T-1": certificate()})
    assert corrected[-1].running_total_ft == 100.0
    added = 0.0
    for each in corrected:
        added += each.horizontal_ft
    assert added != 100.0


@settings(deadline=None)
@given(st.lists(st.tuples(st.integers(1, 100_00), st.floats(-20.0, 120.0)), max_size=30))
def test_every_total_is_the_exact_sum_rounded_once(pulls: list[tuple[int, float]]) -> None:
    """Each total is the sum of the horizontal lengths so far in exact fractions, rounded once."""
    given = [
        segment(n, length, conditions=Conditions(temperature_degf=degf))
        for n, (length, degf) in enumerate(pulls, start=1)
    ]
    exact = Fraction(0)
    for each in build_corrected(given, {"T-1": nist_tape()}):
        exact += Fraction(each.horizontal_ft)
        assert each.running_total_ft == float(exact)


@given(st.lists(st.floats(-1e6, 1e6), max_size=30))
def test_running_totals_are_exact_at_every_step(lengths_ft: list[float]) -> None:
    """Each total is Python's exact sum (`math.fsum`) of the lengths so far; none, none."""
    expected = tuple(math.fsum(lengths_ft[:n]) for n in range(1, len(lengths_ft) + 1))
    assert running_totals(iter(lengths_ft)) == expected


def test_a_missing_certificate_is_named_with_its_pull() -> None:
    """The message says which tape, at which pull of which line, and which there are."""
    with pytest.raises(ConfigError) as caught:
        build_corrected([segment(7, 50_00, tape="T-9")], {"T-1": certificate()})
    assert str(caught.value) == (
        "pull 7 of line A to B: tape T-9 has no certificate here;"
        " give its certificate; there are: T-1"
    )
    with pytest.raises(ConfigError, match="there are: none"):
        build_corrected([segment(7, 50_00)], {})


def test_impossible_conditions_do_not_hide_the_other_pulls() -> None:
    """A rise that cannot be leaves its pull uncorrected, with a finding; the others are whole."""
    steep = STANDARD.model_copy(update={"rise_ft": 51.0})
    segments = [segment(3, 50_00, conditions=steep), segment(4, 50_00)]
    first, second = build_corrected(segments, {"T-1": certificate()})
    (finding,) = first.segment.findings
    assert (finding.code, finding.severity, finding.pull) == ("not-corrected", Severity.STOP, 3)
    assert ENGLISH.finding(finding) == (
        "not corrected: a rise of 51 ft is greater than the length of 50.00 ft"
    )
    assert ENGLISH.remedy(finding) == "measure that pull again, with its rise stated"
    assert (first.corrections.slope_ft, first.horizontal_ft) == (None, 50.0)
    assert second.segment.findings == ()
    assert second.corrections.slope_ft is not None


def test_each_segment_has_its_uncertainty_and_an_uncorrected_one_has_none() -> None:
    """What a pull is uncertain by goes with it; one that hangs under no pull has no figure.

    The least that any reading to the hundredth leaves is 0.005 / sqrt(3) ft (GUM 4.3.7).
    """
    impossible = STANDARD.model_copy(update={"rise_ft": 200.0})
    short, long, wrong = build_corrected(
        [segment(1, 1542), segment(2, 9907), segment(3, 5000, conditions=impossible)],
        {"T-1": certificate()},
    )
    assert short.u_random_ft is not None
    assert long.u_common_ft is not None
    assert short.u_common_ft is not None
    assert short.u_random_ft > 0.005 / math.sqrt(3)
    assert long.u_common_ft > 5 * short.u_common_ft
    assert (wrong.u_random_ft, wrong.u_common_ft) == (None, None)
