"""The defaults that an office may dispute: each stands in the documentation, with its source."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import calllog.corrections
from calllog.corrections import Situation, assumptions, length_budget
from calllog.corrections.practice import PRACTICE, Practice
from calllog.corrections.uncertainty import Uncertain
from calllog.units import Foot, in_unit
from calllog.values import Message, ReadingUnit, message
from tests.tapes import certificate, metric_tape

PAPER = Path(calllog.corrections.__file__).parent / "FIGURES.md"
UNITS = {"ft": "ft", "lb": "lb", "degf": "degF", "rad": "rad", "share": "share"}


def described() -> list[str]:
    """Write every default as the documentation has it."""
    rows = []
    for name in Practice.model_fields:
        given = getattr(PRACTICE, name)
        if isinstance(given, Uncertain):
            entry, unit = re.fullmatch("(.*)_([a-z]+)", name).groups()  # type: ignore[union-attr]
            rows.append(
                f"| {entry.replace('_', ' ')} | {given.half_width:.4g} | {UNITS[unit]}"
                f" | {given.shape.value} | {given.source} |"
            )
    return rows


def test_every_half_width_stands_in_the_documentation() -> None:
    """The table of the room's figures is the program's own, row by row."""
    rows = PAPER.read_text("utf-8").splitlines()
    assert [row for row in rows if row in set(described())] == described()


def test_a_certificate_without_uncertainty_is_a_laboratorys() -> None:
    """0.0010 ft in 100 ft, not the 0.01 ft of a field check; and it is said."""
    # NIST report of calibration, 1991: 0.0010 ft of 100 ft (read second-hand, see tests.tapes).
    tape = certificate()
    on_ground = Situation(temperature_degf=68.0, tension_lb=10.0, spans=0, rise_ft=0.0)
    rows = length_budget(100.0, tape, on_ground).rows
    (row,) = [one for one in rows if one.component == message("input-certified-length", of="T-1")]
    assert row.u_input == pytest.approx(0.0010 / 3**0.5)
    assert "NIST report of calibration, 1991" in row.source
    assert row.source.endswith("assumed")
    assert assumptions(tape) == (f"uncertainty of the certified length, {row.source}",)
    assert assumptions(certificate(u_certified_length_ft=0.0005)) == ()
    metric = metric_tape()
    assert length_budget(30.0 / 0.3048, metric, on_ground).rows
    assert metric.foot is Foot.INTERNATIONAL


def test_what_a_certificate_leaves_out_is_less_certain() -> None:
    """A weight or a cross-section that only follows from the other counts with more uncertainty."""
    steel = {"width": 0.3125, "thickness": 0.012}
    hanging = Situation(temperature_degf=68.0, tension_lb=20.0, spans=1, rise_ft=0.0)
    stated, assumed = (
        {
            row.component.code: row.u_input
            for row in length_budget(100.0, tape, hanging).rows
            if row.component.code in {"input-weight", "input-stiffness"}
        }
        for tape in (certificate(), certificate(steel={"by_density": "weight", **steel}))
    )
    assert assumed["input-weight"] > 2 * stated["input-weight"]
    assert assumed["input-stiffness"] > 2 * stated["input-stiffness"]


SAID = (
    Situation(),
    Situation(temperature_degf=41.0, tension_lb=15.0, spans=1, rise_ft=3.0, off_line_ft=2.0),
    Situation(temperature_degf=41.0, tension_lb=15.0, spans=2, percent=4.0),
    Situation(temperature_degf=41.0, tension_lb=15.0, spans=0, rise_ft=0.0),
)
TERMS = {
    "reading": "reading_ft",
    "marking": "marking_ft",
    "plumbing": "plumb_ground_ft",
    "plumbing-not-stated": "plumb_chest_ft",
    "weight": "weight_share",
    "stiffness": "stiffness_share",
    "temperature": "temperature_degf",
    "thermometer": "thermometer_degf",
    "expansion": "alpha_share",
    "temperature-unknown": "temperature_unknown_degf",
    "tension": "tension_share",
    "tension-habit": "tension_habit_share",
    "tension-unknown": "tension_unknown_lb",
    "sag-unknown": "sag_unknown_share",
    "level": "level_share",
    "rise": "rise_ft",
    "slope-unknown": "slope_unknown_share",
    "angle": "slope_angle_rad",
    "off-line": "off_line_share",
    "off-line-measured": "off_line_ft",
}
"""The figure of each input."""
OTHERS = {
    "certified-length": ("ft", 1e-5 * 100 / 3**0.5),
    "tension-times-habit": ("share^2", 0.2 / 6**0.5 * 0.1 / 3**0.5),
}
"""Unit and standard uncertainty of what is a figure of a whole tape, or of two inputs."""
IN_METERS = {"ft": "m", "degF": "degC", "lb": "N", "(ft)^2": "(m)^2"}


def test_every_term_of_a_budget_is_a_figure_of_the_documentation() -> None:
    """Its unit and its amount are those of the table there; or of its square, or of a product.

    In meters each term contributes the same length.
    """
    rows = [row for how in SAID for row in length_budget(80.0, certificate(), how).rows]
    found = set()
    for row in rows:
        part = row.component.code.removeprefix("input-")
        within = row.component.facts.get("input")
        name = within.code.removeprefix("input-") if isinstance(within, Message) else part
        found.add(name)
        if name in OTHERS:
            unit, u_input = OTHERS[name]
        else:
            given: Uncertain = getattr(PRACTICE, TERMS[name])
            unit, u_input = UNITS[TERMS[name].rpartition("_")[2]], given.standard
            assert (row.source, row.distribution) == (given.source, given.shape)
            if within is not None:
                unit = f"({unit})^2"
                u_input = {"mean": given.standard**2, "spread": given.square}[part]
        assert row.unit == unit
        assert row.u_input == pytest.approx(u_input)
        made = row.restated(ReadingUnit.METRE)
        assert made.unit == IN_METERS.get(unit, unit)
        assert made.u_input * abs(made.sensitivity) == pytest.approx(
            in_unit(row.contribution_ft, ReadingUnit.METRE), rel=1e-6
        )
    assert found == {*TERMS, *OTHERS}
