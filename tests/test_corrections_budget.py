"""A line's budget: sorted, whole, said in plain words, its improvements computed for real."""

from __future__ import annotations

import math

import pytest

from calllog.corrections.budget import (
    LineBudget,
    SegmentUncertainty,
    length_budget,
    line_budget,
    reduce_segments,
)
from calllog.corrections.practice import IMPROVEMENTS, PRACTICE, Improvement, Practice
from calllog.corrections.pulls import Pulls
from calllog.corrections.sensitivity import combine_pulls
from calllog.corrections.situation import Situation
from calllog.corrections.uncertainty import ComponentKind, Input, Uncertain, normal
from calllog.errors import ConfigError
from calllog.tape import Certificate
from calllog.units import in_unit
from calllog.values import (
    Booking,
    Conditions,
    Message,
    Observation,
    ReadingUnit,
    Segment,
    Style,
    message,
)
from calllog.wording import ENGLISH
from tests.correcting import correct, correct_arrays
from tests.tapes import certificate, nist_tape

BY_CODE = {one.does.code: one for one in IMPROVEMENTS}
BALANCE = "improve-spring-balance"
WAIST = Conditions(temperature_degf=60.0, tension_lb=20.0, spans=1, rise_ft=0.0, position="waist")


def segment(
    length_ft: float, conditions: Conditions = WAIST, *, pull: int = 1, tape: str = "T-1"
) -> Segment:
    """Make a segment as it is booked."""
    length = round(length_ft * 100)
    take = Observation(whole=None, fraction=None, reading=length, hold=0, length=length, calls=(1,))
    return Segment(
        pull=pull,
        line_from="A",
        line_to="B",
        tape=tape,
        style=Style.FULL,
        take=take,
        check=None,
        difference=None,
        length_read_ft=length_ft,
        booking=Booking.AGREED,
        decided_by="policy",
        conditions=conditions,
        findings=(),
        superseded=(),
    )


def alike(n: int, conditions: Conditions = WAIST, tape: str = "T-1") -> list[Segment]:
    """Make n pulls of a whole tape."""
    return [segment(100.0, conditions, pull=number + 1, tape=tape) for number in range(n)]


def budget(
    segments: list[Segment],
    *tapes: Certificate,
    practice: Practice = PRACTICE,
) -> LineBudget:
    """Make the budget of a line read on the given tapes, by default the published one."""
    known = tapes or (nist_tape(),)
    return line_budget(segments, {tape.identity: tape for tape in known}, practice)


def uncertainty(one: Segment) -> SegmentUncertainty | None:
    """Give the uncertainty of one segment alone."""
    return reduce_segments([one], {one.tape: nist_tape()})[0].uncertainty


def contribution_ft(found: LineBudget, component: Message) -> float:
    """Give what one component contributes."""
    return next(row.contribution_ft for row in found.rows if row.component == component)


def test_budget_is_whole_and_sorted() -> None:
    """Shares make 1, the greatest stands first, and random and common make the whole."""
    found = budget(alike(12))
    portions = [row.share for row in found.rows]
    assert math.fsum(portions) == pytest.approx(1.0)
    assert portions == sorted(portions, reverse=True)
    assert math.hypot(found.u_random_ft, found.u_common_ft) == pytest.approx(found.u_ft)
    for row in found.rows:
        assert row.contribution_ft == pytest.approx(abs(row.u_input * row.sensitivity))
        assert row.source
    in_squares = math.hypot(
        *(row.contribution_ft for row in found.rows if row.kind is ComponentKind.RANDOM)
    )
    assert found.u_random_ft == pytest.approx(in_squares)
    one_ft = 100.0 + correct(100.0, nist_tape(), WAIST).sum_ft
    assert found.horizontal_ft == pytest.approx(12 * one_ft)


def test_length_stated_has_the_budget_of_the_pulls_that_make_it() -> None:
    """Two hanging tapes, a rest that hangs, and what lies on the ground, on one even grade."""
    tape, sine = nist_tape(), 0.04
    situation = Situation(
        temperature_degf=60.0,
        tension_lb=20.0,
        hanging_ft=(100.0, 100.0, 36.48),
        rise_ft=sine * 436.48,
    )
    pulls = [(100.0, 1), (100.0, 1), (36.48, 1), (100.0, 0), (100.0, 0)]
    same = [
        segment(
            length_ft,
            Conditions(
                temperature_degf=60.0, tension_lb=20.0, spans=spans, rise_ft=sine * length_ft
            ),
            pull=number,
        )
        for number, (length_ft, spans) in enumerate(pulls, 1)
    ]
    found, expected = length_budget(436.48, tape, situation), budget(same, tape)
    assert found.pulls == 5
    assert found.u_ft == pytest.approx(expected.u_ft)
    assert [row.component for row in found.rows] == [row.component for row in expected.rows]


def test_length_of_which_nothing_is_stated_is_less_certain() -> None:
    """What is not known has no correction, but an uncertainty: each thing stated lessens it."""
    tape = nist_tape()
    nothing = length_budget(80.0, tape, Situation()).u_ft
    for known in (
        Situation(temperature_degf=68.0),
        Situation(tension_lb=20.0, spans=0),
        Situation(rise_ft=0.0),
    ):
        assert length_budget(80.0, tape, known).u_ft < nothing


@pytest.mark.parametrize("n", [1, 4, 25])
def test_a_line_of_alike_pulls_is_as_the_trade_knows(n: int) -> None:
    """``sqrt(n u_random^2 + (n u_common)^2)``, by the uncertainty of one segment."""
    # Common practice, no published source; GUM 5.2.2 (from memory).
    one = uncertainty(segment(100.0))
    assert one is not None
    assert math.hypot(one.u_random_ft, one.u_common_ft) == pytest.approx(one.u_ft)
    found = budget(alike(n))
    assert found.u_random_ft == pytest.approx(math.sqrt(n) * one.u_random_ft)
    assert found.u_common_ft == pytest.approx(n * one.u_common_ft)
    expected = math.sqrt(n * one.u_random_ft**2 + (n * one.u_common_ft) ** 2)
    assert found.u_ft == pytest.approx(expected)


def test_contributions_by_hand() -> None:
    """Four pulls of 100 ft, worked out by hand from the formulas of the GUM and of taping."""
    found = budget(alike(4), certificate(u_certified_length_ft=0.0005))
    # Thermometer: 5 degF / sqrt(3) times 6.45e-6 times 100 ft, times 4, since it is common.
    assert contribution_ft(found, message("input-thermometer")) == pytest.approx(
        4 * 100 * 6.45e-6 * 5 / math.sqrt(3), rel=1e-6
    )
    # Certificate: 0.0005 ft each tape length, times 4.
    assert contribution_ft(found, message("input-certified-length", of="T-1")) == pytest.approx(
        0.002
    )
    # Two ends at the waist: 0.01 ft / sqrt(6), times sqrt(2) ends, times sqrt(4) pulls.
    assert contribution_ft(found, message("input-plumbing", of="waist")) == pytest.approx(
        math.sqrt(8) * 0.01 / math.sqrt(6)
    )
    # Level within a foot in a hundred: a^2 / (6 L) too short in the mean, every time.
    assert contribution_ft(found, Input("level", part="mean").told) == pytest.approx(
        4 / 600, rel=2e-3
    )
    # Weight: twice its share of the sag, 0.0128^2 100^3 / (24 20^2), times 4; in the mean over a
    # tension by feel sag is more by three variances of it, 3 (0.2^2/6 + 0.1^2/3), and a little.
    sag_ft = 0.0128**2 * 100**3 / (24 * 20**2)
    assert contribution_ft(found, Input("weight", "T-1").told) == pytest.approx(
        4 * 2 * sag_ft * 0.02 / math.sqrt(3) * (1 + 3 * (0.2**2 / 6 + 0.1**2 / 3)), rel=2e-3
    )


def test_a_row_in_meters_contributes_the_same() -> None:
    """Input and sensitivity are restated, their product is the length's own unit."""
    metre = ReadingUnit.METRE
    rows = line_budget(alike(3), {"T-1": certificate()}).rows
    units = {row.restated(metre).unit for row in rows}
    assert {"m", "degC", "share"} <= units
    assert not units & {"ft", "degF", "lb", "(ft)^2"}
    for row in rows:
        made = row.restated(metre)
        contribution_m = in_unit(row.contribution_ft, metre)
        assert made.u_input * abs(made.sensitivity) == pytest.approx(contribution_m, rel=1e-6)
        assert row.restated(ReadingUnit.FOOT) == row


def test_improvements_are_what_a_better_crew_would_get() -> None:
    """What an improvement promises is the uncertainty of a line measured in that way."""
    segments = alike(10)
    now = budget(segments)
    promised = {one.does.code: one.u_ft for one in now.prospects}
    better = PRACTICE.model_copy(update=BY_CODE[BALANCE].practice)
    assert promised[BALANCE] == pytest.approx(budget(segments, practice=better).u_ft)
    then = budget(segments, practice=better)
    assert BALANCE not in {one.does.code for one in then.prospects}
    assert all(one.u_ft < now.u_ft for one in now.prospects)
    amounts = [one.u_ft for one in now.prospects]
    assert amounts == sorted(amounts)


def test_stating_a_condition_is_an_improvement() -> None:
    """Where the temperature was not stated, stating it is what helps most, and is computed."""
    silent = WAIST.model_copy(update={"temperature_degf": None})
    now = budget(alike(10, silent))
    assert now.rows[0].component == message("input-temperature-unknown")
    assert now.prospects[0].does == message("improve-temperature-stated")
    standard = WAIST.model_copy(update={"temperature_degf": 68.0})
    assert now.prospects[0].u_ft == pytest.approx(budget(alike(10, standard)).u_ft)
    assert not [one for one in budget(alike(10)).prospects if "temperature-stated" in one.does.code]


def test_stating_the_support_is_an_improvement() -> None:
    """Where neither tension nor support was stated sag may be anything: stating them helps."""
    silent = WAIST.model_copy(update={"tension_lb": None, "spans": None})
    now = budget(alike(10, silent))
    assert now.rows[0].component == message("input-sag-unknown")
    stated = WAIST.model_copy(update={"tension_lb": 10.0})
    promised = {one.does.code: one.u_ft for one in now.prospects}
    assert promised["improve-tension-stated"] == pytest.approx(budget(alike(10, stated)).u_ft)


def test_a_good_certificate_is_not_replaced_by_a_worse_one() -> None:
    """A fresh certificate helps one that is poor, never one that is better already."""
    code = "improve-certificate"
    poor = budget(alike(10), nist_tape(u_certified_length_ft=0.02))
    assert code in {one.does.code for one in poor.prospects}
    fresh = BY_CODE[code].practice["certificate_share"]
    certified = nist_tape(u_certified_length_ft=fresh.standard * 100)
    promised = {one.does.code: one.u_ft for one in poor.prospects}
    assert promised[code] == pytest.approx(budget(alike(10), certified).u_ft)
    good = budget(alike(10), nist_tape(u_certified_length_ft=0.0001))
    only = line_budget(
        alike(10),
        {"T-1": nist_tape(u_certified_length_ft=0.0001)},
        improvements=[BY_CODE[code]],
    )
    assert only.prospects == ()
    assert good.u_ft == only.u_ft


def test_words_say_what_dominates_and_what_would_help() -> None:
    """The sentences carry the figures of the budget, whole and in order."""
    found = budget(alike(10, WAIST.model_copy(update={"tension_lb": 10.0})))
    top, best = found.rows[0], found.prospects[0]
    assert top.component == message("input-tension-habit")
    assert best.does == message(BALANCE)
    assert tuple(map(ENGLISH.say, found.says)) == (
        f"the standard uncertainty of {found.horizontal_ft:.2f} ft is {found.u_ft:.2g} ft",
        (
            "tension, habit or balance (common) adds the most,"
            f" {100 * top.share:.0f} % of the variance"
        ),
        (
            "a spring balance in place of tension by feel would bring it from"
            f" {found.u_ft:.2g} to {best.u_ft:.2g} ft"
        ),
    )
    alone = line_budget(alike(10), {"T-1": nist_tape()}, improvements=())
    assert alone.says[-1] == message("budget-nothing-helps")


def test_two_tapes_have_two_certificates_and_one_crew() -> None:
    """Certificates of two tapes add in squares; the thermometer is the same for both."""
    two = [nist_tape(u_certified_length_ft=0.01), nist_tape(identity="T-2")]
    two[1] = two[1].model_copy(update={"u_certified_length_ft": 0.01})
    mixed = budget([*alike(5), *alike(5, tape="T-2")], *two)
    plain = budget(alike(10), two[0])
    assert contribution_ft(mixed, message("input-certified-length", of="T-1")) == pytest.approx(
        0.05
    )
    assert contribution_ft(mixed, message("input-certified-length", of="T-2")) == pytest.approx(
        0.05
    )
    assert contribution_ft(plain, message("input-certified-length", of="T-1")) == pytest.approx(
        0.10
    )
    assert contribution_ft(mixed, message("input-thermometer")) == pytest.approx(
        contribution_ft(plain, message("input-thermometer"))
    )
    assert mixed.u_ft < plain.u_ft


def test_each_segment_has_its_own_uncertainty() -> None:
    """Segments of several tapes come back in their order, as arrays give them."""
    segments = [segment(99.0), segment(40.0, tape="T-2"), segment(70.0, Conditions())]
    tapes = {"T-1": nist_tape(), "T-2": certificate(identity="T-2")}
    found = reduce_segments(segments, tapes)
    for one, reduced in zip(segments, found, strict=True):
        got = reduced.uncertainty
        pulls = Pulls.build([one.length_read_ft], [one.conditions])
        tape = tapes[one.tape]
        expected = combine_pulls(pulls, correct_arrays(pulls, tape), tape)
        assert reduced.corrections == correct(one.length_read_ft, tape, one.conditions)
        assert got is not None
        assert (got.u_random_ft, got.u_common_ft, got.u_ft) == pytest.approx(
            (expected.u_random[0], expected.u_common[0], expected.u[0])
        )


def test_a_segment_longer_than_its_tape_counts_as_pulls() -> None:
    """250 ft booked in one are two whole tapes and a half, in every figure of the line."""
    sloping = WAIST.model_copy(update={"rise_ft": 5.0})
    long, half = sloping.model_copy(update={"rise_ft": 2.0}), {"rise_ft": 1.0}
    parts = [*alike(2, long), segment(50.0, sloping.model_copy(update=half), pull=3)]
    (one,), whole = [segment(250.0, sloping)], budget(parts)
    found = budget([one])
    assert found.pulls == 3
    assert found.u_ft == pytest.approx(whole.u_ft)
    assert found.horizontal_ft == pytest.approx(whole.horizontal_ft, abs=1e-6)
    alone = uncertainty(one)
    assert alone is not None
    assert alone.u_ft == pytest.approx(whole.u_ft, rel=5e-3)
    pulls = Pulls.build([20.0, 250.0], [WAIST, sloping])
    assert correct_arrays(pulls, nist_tape()).sum_ft[1] == pytest.approx(
        correct(250.0, nist_tape(), sloping).sum_ft
    )


def test_what_cannot_be_corrected_is_left_out_and_said() -> None:
    """One impossible pull does not hide the others; none left is refused in words."""
    bad = [
        segment(50.0, WAIST.model_copy(update={"tension_lb": 0.1}), pull=8),
        segment(50.0, WAIST.model_copy(update={"rise_ft": 50.01}), pull=9),
    ]
    found = budget([*alike(3), *bad])
    assert (found.pulls, found.left_out) == (3, (8, 9))
    assert found.u_ft == budget(alike(3)).u_ft
    assert ENGLISH.say(found.says[-1]) == ("not in it, since they cannot be corrected: pulls 8, 9")
    assert uncertainty(bad[0]) is None
    refused = reduce_segments([*alike(1), *bad], {"T-1": nist_tape()})
    assert [one.refused and one.refused.code for one in refused] == [
        None,
        "cannot-hang",
        "rise-beyond-length",
    ]
    assert refused[0].corrections == correct(100.0, nist_tape(), WAIST)
    with pytest.raises(ConfigError, match="no pull of this line can be corrected"):
        budget(bad)


def test_a_tape_without_certificate_is_refused() -> None:
    """The message names the tape, the pull and what to give."""
    with pytest.raises(ConfigError) as caught:
        budget(alike(1, tape="T-9"))
    assert str(caught.value) == (
        "pull 1 of line A to B: tape T-9 has no certificate here; give its certificate; there are:"
        " T-1"
    )


def test_every_figure_has_its_source_and_may_be_changed() -> None:
    """Defaults are data with a source each; another figure changes the result."""
    entries = [getattr(PRACTICE, name) for name in Practice.model_fields]
    assert all(entry.source for entry in entries if isinstance(entry, Uncertain))
    for improvement in IMPROVEMENTS:
        assert set(improvement.practice) <= set(Practice.model_fields)
        assert set(improvement.states) <= set(Conditions.model_fields)
    careless = PRACTICE.model_copy(update={"marking_ft": normal(0.5, "test")})
    assert budget(alike(4), practice=careless).u_ft == pytest.approx(1.0, rel=1e-3)
    own = Improvement(does=message("pins"), practice={"marking_ft": normal(0.001, "test")})
    found = line_budget(alike(4), {"T-1": nist_tape()}, careless, [own])
    assert ENGLISH.say(found.says[-1]).startswith("pins would bring it from 1 to 0.0")
