"""The validity table: its numbers against the next term of each series, and as it is printed."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import calllog.corrections
from calllog.corrections.hanging import NEGLIGIBLE_FT
from tests.validity import validity_table

ROOM = Path(calllog.corrections.__file__).parent
PAPER = (ROOM / "FIGURES.md").read_text("utf-8")
ROWS = {(row.formula, row.at): row for row in validity_table()}


def test_paper_shows_the_table_as_it_is_computed() -> None:
    """Every row stands there with the error that is computed now, in this order."""
    shown = re.findall(r"^\| (.+?) \| (.+?) \| (\d\.\d{6}) \| (.+?) \|$", PAPER, re.MULTILINE)
    assert shown == [
        (row.formula, row.at, f"{abs(row.error_ft):.6f}", row.exact_form)
        for row in validity_table()
    ]


@pytest.mark.parametrize(
    ("formula", "at", "next_term_ft"),
    [
        # NAVEDTRA 14069, p. 12-15: the next term of the slope is h^4 / (8 L^3).
        ("slope, -h^2/(2 L)", "rise of 2 ft", 2.0**4 / 8e6),
        ("slope, -h^2/(2 L)", "rise of 5 ft", 5.0**4 / 8e6),
        ("slope, -h^2/(2 L)", "rise of 10 ft", 10.0**4 / 8e6),
        ("off line, -d^2/(2 L)", "4 ft off", 4.0**4 / 8e6),
        # The next terms of 1 / (R + h) and of the exponential; common practice.
        ("elevation, -L h/R", "5000 ft high", -100 * (5000 / 20_906_000) ** 2),
        ("temperature, alpha L (T - T0)", "60 degF from standard", -50 * (6.45e-6 * 60) ** 2),
        ("tension, (P - P0) L/(A E)", "40 lb, standard 20 lb", 100 * 20 * 20 / 108_750**2),
        # A level cord: the next term of the sag is (11/80) (w s / P)^2 of it, and where the tape
        # hangs it has less pull than at its ends, hence less stretch: 3 P / (A E) of the sag.
        (
            "sag, parabola",
            "pull 10 times the weight of the span",
            100 / (24 * 10**2) * (11 / 80 / 10**2 + 3 * 20 / 108_750),
        ),
    ],
)
def test_errors_are_the_next_term(formula: str, at: str, next_term_ft: float) -> None:
    """Each first-order form is off by about the next term of its series."""
    assert ROWS[formula, at].error_ft == pytest.approx(next_term_ft, rel=0.02)


def test_sag_is_as_its_docstring_says() -> None:
    """Under 1 % of itself at P = 4 w s, 9 % at 1.25 w s; negligible at 10 w s and beyond."""
    for times, least, most in ((4.0, 0.008, 0.01), (1.25, 0.08, 0.1)):
        row = ROWS["sag, parabola", f"pull {times:g} times the weight of the span"]
        exact_ft = 100 / (24 * times**2) + row.error_ft
        assert least < row.error_ft / exact_ft < most
    for times in (10, 20):
        row = ROWS["sag, parabola", f"pull {times} times the weight of the span"]
        assert abs(row.error_ft) < NEGLIGIBLE_FT
