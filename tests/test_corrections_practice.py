"""The defaults that an office may dispute: each stands in the documentation, with its source."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import calllog.corrections
from calllog.corrections import Situation, assumptions, length_budget
from calllog.corrections.practice import PRACTICE, Practice
from calllog.corrections.uncertainty import Uncertain
from calllog.units import Foot
from calllog.values import message
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
