"""Sums, rectangles, lots and misclosures, against what is in print and against drawn errors."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calllog.corrections import line_budget
from calllog.errors import ConfigError
from calllog.reckoning import (
    Error,
    Measured,
    line_errors,
    lot,
    mean_of,
    misclosure,
    parts_of,
    read_stated,
    rectangle,
    stated_errors,
)
from calllog.units import Foot, Length, find_unit, parse_length
from calllog.values import Segment
from tests.tapes import certificate
from tests.test_lines_totals import STANDARD, segment

FOOT = Foot.INTERNATIONAL.metres
ACRE = find_unit("ac").size


def measured(text: str, name: str = "", u: str = "") -> Measured:
    """Make a length with a standard uncertainty (k = 1) of its own, or none."""
    stated = read_stated(text)
    errors = stated_errors(name or text, 2 * float(parse_length(u).size)) if u else None
    return Measured(name or text, stated.length, stated.least_m, errors)


def in_ft2(size: Fraction | float) -> float:
    """Say square metres in square feet."""
    return float(size) / float(FOOT) ** 2


def quad(*texts: str, u: str = "") -> list[tuple[tuple[str, str], Measured]]:
    """Make the sides AB, BC, ... of a lot."""
    corners = "ABCDEFGH"[: len(texts)]
    return [
        ((corners[at], corners[(at + 1) % len(texts)]), measured(text, f"side {at}", u))
        for at, text in enumerate(texts)
    ]


def across(ends: str, text: str, u: str = "") -> tuple[tuple[str, str], Measured]:
    """Make a diagonal between two corners."""
    return (ends[0], ends[1]), measured(text, f"diagonal {ends}", u)


def test_area_of_a_field_in_print() -> None:
    """Sides 19.2, 57.6, 28.8, 48 m and diagonal 67.2 m: 1111.20 m2 of 512.6076 and 598.5967.

    solveeit.ai, "A field in the form of a quadrilateral" (read), in decimetres, figures cut.
    """
    found = lot(quad("19.2 m", "57.6 m", "28.8 m", "48 m"), [across("AC", "67.2 m")])
    areas = [float(each.area.size) for each in found.triangles]
    assert areas == pytest.approx([512.6076, 598.5967], abs=1e-4)
    assert float(found.area.size) == pytest.approx(1111.2043, abs=1e-4)
    assert found.area.u is None
    assert float(found.perimeter.size) == pytest.approx(153.6)


def test_triangle_of_a_lot_in_print() -> None:
    """113, 322 and 315.21 ft: 17,683.9 square feet; mathcentral.uregina.ca, QQ.09.05 (read).

    The sides have their last digit 0.01 ft, and the answer its 0.1 square feet.
    """
    found = lot(quad("113 ft", "322 ft", "315.21 ft"), [])
    assert in_ft2(found.area.size) == pytest.approx(17_683.9, abs=0.05)


def test_an_acre() -> None:
    """Ten square chains are an acre, 43,560 square feet (BLM 1973, sec. 2-1: read).

    A square of 208.71 ft is one, 210 ft square 1.01 (rpls.com, "210 by 210 is an acre": read).
    """
    chains = rectangle([measured(text) for text in ("5 ch", "2 ch", "5 ch", "2 ch")])
    assert chains.area.size == ACRE
    assert in_ft2(chains.area.size) == pytest.approx(43_560, abs=1e-9)
    square = lot(quad(*["208.71 ft"] * 4), [across("AC", f"{208.71 * math.sqrt(2):.4f} ft")])
    assert float(square.area.size / ACRE) == pytest.approx(1, abs=5e-5)
    big = rectangle([measured("210 ft")] * 4)
    assert float(big.area.size / ACRE) == pytest.approx(1.01, abs=0.005)


@pytest.mark.parametrize(
    ("sides", "u", "area", "u_area"),
    [
        # curioustab.com 48571 (read): 60 m by 20 m, each side within 0.01 m: 0.632 m2.
        (("60 m", "20 m"), ("0.01 m", "0.01 m"), 1200.0, 0.632),
        # engineerboards.com, "Error of an area" (read): 191,202 square feet, 4.389 acres, 41.5.
        (("339.21 ft", "563.67 ft"), ("0.05 ft", "0.09 ft"), 191_202.5, 41.5),
    ],
)
def test_uncertainty_of_a_rectangle_in_print(
    sides: tuple[str, str], u: tuple[str, str], area: float, u_area: float
) -> None:
    """Each side measured once, so that opposite sides are the same measurement."""
    length, width = (measured(text, text, error) for text, error in zip(sides, u, strict=True))
    found = rectangle([length, width, length, width])
    turn = float if sides[0].endswith("m") else in_ft2
    assert turn(found.area.size) == pytest.approx(area, abs=0.5)
    assert found.area.u is not None
    assert turn(found.area.u) == pytest.approx(u_area, rel=2e-3)


def test_acres_of_that_rectangle() -> None:
    """4.389 acres (as above), by the US survey foot 4 millionths less of it."""
    found = rectangle([measured(text) for text in ("339.21 ft", "563.67 ft") * 2])
    assert float(found.area.size / ACRE) == pytest.approx(4.389, abs=5e-4)
    survey = find_unit("ac", Foot.US_SURVEY).size
    assert float(ACRE / survey) == pytest.approx(1 - 4e-6, abs=1e-9)


def test_a_tape_too_long_is_common_to_all_sides() -> None:
    """217.3 by 148.5 m with a 30 m tape 0.04 m too long: the area is 86.15 m2 too small.

    Scribd 273835852 (read), from sides rounded to a millimetre; unrounded 86.108. To first order,
    which is what an uncertainty is, it is twice 0.04/30 of the area: 86.05.
    """
    share = 0.04 / 30
    sides = [
        Measured(
            text,
            parse_length(text),
            Fraction(1, 10),
            (Error("the tape", share * float(parse_length(text).size)),),
        )
        for text in ("217.3 m", "148.5 m") * 2
    ]
    found = rectangle(sides)
    assert found.area.u == pytest.approx(2 * share * 217.3 * 148.5)
    assert found.area.u == pytest.approx(86.15, abs=0.11)
    assert found.along.u == pytest.approx(0, abs=1e-12), "what is common cancels in a difference"


def test_error_of_a_sum() -> None:
    """753.81, 1238.40 and 1062.95 ft, each within 0.012, 0.028, 0.020: 3055.16 within 0.036 ft.

    From memory: Ghilani and Wolf, Elementary Surveying, chapter 3, error of a sum.
    """
    parts = [
        measured("753.81 ft", u="0.012 ft"),
        measured("1238.40 ft", u="0.028 ft"),
        measured("1062.95 ft", u="0.020 ft"),
    ]
    found = parts_of(parts, measured("3055.16 ft", u="0.036 ft"))
    assert float(found.sum.size / FOOT) == pytest.approx(3055.16)
    assert found.sum.u is not None
    assert found.sum.u / float(FOOT) == pytest.approx(0.036, abs=5e-4)
    assert found.difference.size == 0
    assert found.difference.is_explained
    assert found.misclosure.ratio.is_floored
    assert found.misclosure.ratio.n == 305_516


@pytest.mark.parametrize(
    ("missed", "of", "n"),
    [
        # NPTEL 105107122, module 2, p. 29 (read): 0.05 m in 584.65 m, 1 in 11,700.
        (("0.05 m",), "584.65 m", 11_693),
        # Definitions of error of closure, after a Navy manual (read): 0.33 in latitude, 2.24 in
        # departure, 2.26 ft in 2614.85, 1:1157 from the rounded 2.26; unrounded 1154.8.
        (("0.33 ft", "-2.24 ft"), "2614.85 ft", 1154.85),
    ],
)
def test_ratio_of_a_misclosure_in_print(missed: tuple[str, ...], of: str, n: float) -> None:
    """One length, or two at right angles, of what was measured in all."""
    found = misclosure([measured(text) for text in missed], [measured(of)])
    assert float(found.ratio.n) == pytest.approx(n, abs=0.05)
    assert not found.ratio.is_floored


def test_a_rectangle_closes_by_its_opposite_sides() -> None:
    """By hand: 0.03 along and 0.04 across are 0.05 ft of 200.03, 1:4000.6; and 3-4-5 corners."""
    texts = ("60.03 ft", "40.00 ft", "60.00 ft", "40.04 ft")
    sides = [measured(text, f"side {at}", "0.01 ft") for at, text in enumerate(texts)]
    found = rectangle(sides)
    assert float(found.along.size / FOOT) == pytest.approx(0.03)
    assert float(found.across.size / FOOT) == pytest.approx(-0.04)
    assert found.misclosure.ratio.n == pytest.approx(200.07 / 0.05)
    assert found.misclosure.u_m == pytest.approx(0.01 * math.sqrt(2) * float(FOOT))
    assert found.across.is_explained is False
    assert found.along.is_explained is False
    square = rectangle(
        [measured(text, text) for text in ("3 ft", "4 ft", "3 ft", "4 ft")], [measured("5 ft")]
    )
    (diagonal,) = square.diagonals
    assert (diagonal.made.size, diagonal.difference.size) == (5 * FOOT, Fraction(0))


def test_the_second_diagonal_of_a_lot_checks_the_first() -> None:
    """Of a rectangle of 30 by 40 both diagonals are 50; one 0.1 too long is found to be."""
    texts = ("30.00 ft", "40.00 ft", "30.00 ft", "40.00 ft")
    good = lot(
        quad(*texts, u="0.01 ft"),
        [across("AC", "50 ft", "0.01 ft"), across("BD", "50 ft", "0.01 ft")],
    )
    assert good.check is not None
    assert float(good.check.difference.size) == pytest.approx(0, abs=1e-12)
    assert in_ft2(good.area.size) == pytest.approx(1200)
    wrong = lot(
        quad(*texts, u="0.01 ft"),
        [across("BD", "50.10 ft", "0.01 ft"), across("AC", "50 ft", "0.01 ft")],
    )
    assert wrong.check is not None
    assert wrong.check.difference.is_explained is False
    first, second = wrong.check.areas
    assert wrong.area.size == (first.size + second.size) / 2


def test_uncertainty_of_an_area_is_that_of_drawn_errors() -> None:
    """Six corners, lengths drawn 200,000 times about what was measured: within 1 %."""
    corners = {
        "A": (0, 0),
        "B": (90, -20),
        "C": (150, 40),
        "D": (130, 110),
        "E": (60, 140),
        "F": (-20, 70),
    }
    pairs = ["AB", "BC", "CD", "DE", "EF", "FA", "AC", "AD", "AE"]
    exact = {pair: math.dist(corners[pair[0]], corners[pair[1]]) for pair in pairs}
    given_of = {
        pair: ((pair[0], pair[1]), measured(f"{size:.6f} m", pair, "0.03 m"))
        for pair, size in exact.items()
    }
    found = lot([given_of[pair] for pair in pairs[:6]], [given_of[pair] for pair in pairs[6:]])
    xs, ys = zip(*corners.values(), strict=True)
    shoelace = sum(xs[at] * ys[(at + 1) % 6] - xs[(at + 1) % 6] * ys[at] for at in range(6)) / 2
    assert float(found.area.size) == pytest.approx(shoelace, abs=1e-3)
    rng = np.random.default_rng(21)
    drawn = {pair: rng.normal(size, 0.03, 200_000) for pair, size in exact.items()}
    area = np.zeros(200_000)
    for triple in ("ABC", "ACD", "ADE", "AEF"):
        a, b, c = (
            drawn[pair] if pair in drawn else drawn[pair[::-1]]
            for pair in (triple[:2], triple[1:], triple[2] + triple[0])
        )
        s = (a + b + c) / 2
        area += np.sqrt(s * (s - a) * (s - b) * (s - c))
    assert found.area.u == pytest.approx(float(area.std()), rel=0.01)


@given(
    st.tuples(*[st.integers(-400, 400)] * 3),
    st.tuples(*[st.integers(10, 400)] * 3),
)
def test_any_four_corners_have_the_area_of_their_coordinates(
    aside: tuple[int, int, int], up: tuple[int, int, int]
) -> None:
    """A lot about a diagonal of 500: area and second diagonal as by coordinates."""
    a, c = (0.0, 0.0), (500.0, 0.0)
    b, d = (250.0 + aside[0] / 2, float(up[0])), (250.0 + aside[1] / 2, -float(up[1]))
    sides = [math.dist(*pair) for pair in ((a, b), (b, c), (c, d), (d, a))]
    texts = [f"{side:.9f} m" for side in sides]
    found = lot(quad(*texts), [across("AC", "500 m"), across("BD", f"{math.dist(b, d):.9f} m")])
    assert float(found.triangles[0].area.size + found.triangles[1].area.size) == pytest.approx(
        250 * (up[0] + up[1]), abs=1e-4
    )
    assert found.check is not None
    assert found.check.made_m == pytest.approx(math.dist(b, d), abs=1e-5)


def test_lines_of_one_job_share_what_is_common() -> None:
    """A line twice as long in two halves is as uncertain as the whole; their difference is not."""
    tapes = {"T-1": certificate()}
    half = [segment(number, 10_000, conditions=STANDARD) for number in range(1, 6)]
    other = [segment(number, 10_000, conditions=STANDARD) for number in range(6, 11)]
    whole = line_budget([*half, *other], tapes)

    def line(name: str, pulls: list[Segment]) -> Measured:
        errors = line_errors(name, line_budget(pulls, tapes), Foot.INTERNATIONAL)
        return Measured(name, parse_length("500 ft"), Fraction(1, 100), errors)

    one, two = line("A:B", half), line("B:C", other)
    found = parts_of([one, two], measured("1000 ft", u="0.0000001 ft"))
    assert found.sum.u is not None
    assert found.sum.u / float(FOOT) == pytest.approx(whole.u_ft, rel=1e-9)
    apart = parts_of([one], two)
    assert apart.difference.u is not None
    random_ft = math.hypot(*[line_budget(each, tapes).u_random_ft for each in (half, other)])
    assert apart.difference.u / float(FOOT) == pytest.approx(random_ft, rel=1e-9)
    mean = mean_of("A:C", [one, two])
    assert mean.u_m == pytest.approx(found.sum.u / 2)


@pytest.mark.parametrize(
    ("sides", "diagonals", "wrong"),
    [
        (["10 ft", "5 ft", "3 ft"], [], "make no triangle: side 0 is as long"),
        (["10 ft", "5 ft"], [], "three sides or more, not 2"),
        (["10 ft"] * 4, [], "needs 1 diagonal, and 0 are given"),
        (
            ["10 ft"] * 5,
            [("AC", "15 ft"), ("AD", "15 ft"), ("BD", "15 ft")],
            "needs 2 diagonals, and 3 are given",
        ),
        (["10 ft"] * 4, [("AE", "10 ft")], "no side meets E"),
        (["10 ft"] * 4, [("AB", "10 ft")], "two lengths between the same points"),
        (["10 ft"] * 5, [("AC", "15 ft"), ("BD", "15 ft")], "make no triangles of"),
        (["10 ft", "0 ft", "10 ft"], [], "above 0"),
    ],
)
def test_what_is_no_lot_is_refused(
    sides: list[str], diagonals: list[tuple[str, str]], wrong: str
) -> None:
    """Each says what is wrong; none ends in anything else."""
    with pytest.raises(ConfigError, match=wrong):
        lot(quad(*sides), [across(*each) for each in diagonals])


@pytest.mark.parametrize(
    ("ends", "wrong"),
    [
        ([("A", "B"), ("C", "D"), ("D", "A")], "do not go round"),
        ([("A", "B"), ("B", "C"), ("C", "D")], "do not close: they begin at A and end at D"),
        ([("A", "B"), ("B", "A"), ("A", "C")], "do not"),
    ],
)
def test_sides_go_round(ends: list[tuple[str, str]], wrong: str) -> None:
    """Whichever way each is named, the next begins where the last ends."""
    turned = [
        (("B", "A"), measured("3 ft")),
        (("B", "C"), measured("4 ft", "BC")),
        (("A", "C"), measured("5 ft")),
    ]
    assert lot(turned, []).corners == ("A", "B", "C")
    with pytest.raises(ConfigError, match=wrong):
        lot([(pair, measured("10 ft", ":".join(pair))) for pair in ends], [])


@given(st.integers(1, 10**12), st.integers(-90, 90))
def test_lots_of_any_size_are_reckoned(number: int, power: int) -> None:
    """A triangle with a right angle, from far below a hair to far beyond the earth."""
    size = Fraction(number) * Fraction(10) ** power
    sides = [
        Measured(name, Length(times * size, None), size / 1000, ())
        for name, times in (("AB", 3), ("BC", 4), ("CA", 5))
    ]
    found = lot([((one.name[0], one.name[1]), one) for one in sides], [])
    assert found.area.size == 6 * size * size
    made = rectangle([sides[0], sides[1]] * 2, [sides[2]])
    assert made.diagonals[0].difference.size == 0


def test_a_flat_triangle_is_said_to_be_rough() -> None:
    """60 and 60 with 119.99 within 0.02: they may as well lie in one line."""
    flat = lot(quad("60 ft", "60 ft", "119.99 ft", u="0.01 ft"), [])
    assert flat.triangles[0].is_flat
    assert not lot(quad("60 ft", "60 ft", "60 ft", u="0.01 ft"), []).triangles[0].is_flat


@pytest.mark.parametrize(
    ("text", "size", "expanded", "least"),
    [
        ("120.05 ft", "120.05", None, "0.01"),
        ("A:B = 120.05 \u00b1 0.02 ft", "120.05", "0.02", "0.01"),
        ("315.13 \u00b1 0.08 ft", "315.13", "0.08", "0.01"),
        ("120 ft +- 1/4 in", "120", "1/48", "1"),
        ("12 ft 6 1/2 in", "301/24", None, "1/24"),
        ("25\u00bd ft +/- 0.1ft", "25.5", "0.1", "1/2"),
        ("12 ch 45.5 lk", "822.03", None, "0.066"),
    ],
)
def test_lengths_as_they_are_typed(text: str, size: str, expanded: str | None, least: str) -> None:
    """Exact, with the last digit that was written; what the program prints is read again."""
    found = read_stated(text)
    assert found.length.size == Fraction(size) * FOOT
    assert found.least_m == Fraction(least) * FOOT
    if expanded is None:
        assert found.expanded_m is None
    else:
        assert found.expanded_m == pytest.approx(float(Fraction(expanded) * FOOT))
    assert found.ends == (("A", "B") if text.startswith("A") else None)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "120",
        "A:=3 ft",
        "A:A=3 ft",
        "A=3 ft",
        "3 ft +- 0 ft",
        "3 ft +- 1 ft +- 1 ft",
        "3 ft +- 1 ac",
    ],
)
def test_what_is_no_length_is_refused(text: str) -> None:
    """Each with what, where and what next."""
    with pytest.raises(ConfigError) as caught:
        read_stated(text)
    assert caught.value.next_step


def test_more_than_two_misclosures_are_refused() -> None:
    """Along and across; a third has no direction."""
    with pytest.raises(ConfigError, match="3 misclosures"):
        misclosure([measured("1 ft")] * 3, [measured("10 ft")])
    with pytest.raises(ConfigError, match="length above 0"):
        misclosure([measured("1 ft")], [measured("0 ft")])
