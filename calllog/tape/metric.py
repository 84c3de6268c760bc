"""What a certificate in meters states in, the engine's feet, pounds and degF out; pure.

Every factor is exact, and each value is rounded once: the corrections know one set of units.
"""

from fractions import Fraction
from typing import Annotated

from pydantic import Field

from calllog.units import POUND_KG, POUND_N, UNIT_FT
from calllog.values import Frozen, ReadingUnit

Positive = Annotated[float, Field(ge=1e-12, le=1e12, allow_inf_nan=False)]
"""Of any measure of a tape; beyond that it is no measure, and overflows when it is converted."""
METRE_FT = UNIT_FT[ReadingUnit.METRE]
INCH_M = Fraction(254, 10_000)
GPA = 10**9
MM2_M2 = Fraction(1, 10**6)


class MetricTape(Frozen):
    """The measures of a tape in meters, as its certificate states them.

    Each field's title and description are the words of its error message.
    """

    nominal_m: int = Field(
        gt=0,
        le=300,
        title="nominal length",
        description="state whole meters up to 300, such as 30; the extra meter of an add tape is"
        " implied by its style",
    )
    certified_length_m: Positive = Field(
        title="certified length",
        description="state the length in meters between the end marks, such as 30.0012",
    )
    u_certified_length_m: Positive | None = Field(
        default=None,
        title="standard uncertainty",
        description="state the standard uncertainty (k = 1) of the certified length in meters, such"
        " as 0.0002, which is half of an expanded one with k = 2",
    )
    certified_temperature_degc: float = Field(
        ge=-45,
        le=65,
        title="temperature",
        description="state degrees Celsius from -45 to 65, such as 20",
    )
    certified_tension_n: Positive = Field(
        title="tension", description="state the pull in newtons, such as 50"
    )
    mass_kg_per_m: Positive = Field(
        title="mass", description="state the mass of one meter in kilograms, such as 0.0189"
    )
    area_mm2: Positive = Field(
        title="area", description="state the cross section in square millimeters, such as 2.4"
    )
    modulus_gpa: Positive = Field(
        default=200.0,
        title="modulus of elasticity",
        description="state gigapascals, such as 200 for steel",
    )
    """Default for steel; common practice, no published source."""
    alpha_per_degc: Positive = Field(
        default=1.16e-5,
        title="coefficient of expansion",
        description="state it per degree Celsius, such as 1.16e-5 for steel",
    )
    """Default for steel; common practice, no published source."""


FACTORS: dict[str, tuple[str, Fraction]] = {
    "nominal_m": ("nominal_ft", METRE_FT),
    "certified_length_m": ("certified_length_ft", METRE_FT),
    "u_certified_length_m": ("u_certified_length_ft", METRE_FT),
    "certified_temperature_degc": ("certified_temperature_degf", Fraction(9, 5)),
    "certified_tension_n": ("certified_tension_lb", 1 / POUND_N),
    "mass_kg_per_m": ("weight_lb_per_ft", 1 / (POUND_KG * METRE_FT)),
    "area_mm2": ("area_in2", MM2_M2 / INCH_M**2),
    "modulus_gpa": ("modulus_psi", GPA * INCH_M**2 / POUND_N),
    "alpha_per_degc": ("alpha_per_degf", Fraction(5, 9)),
}
"""Each measure: the engine's name for it, and by what it is multiplied."""
OFFSETS = {"certified_temperature_degc": 32}
METRIC_NAMES = {name: metric for metric, (name, _) in FACTORS.items()}
"""Measures as a metric certificate has them, by the engine's names."""


def in_feet(tape: MetricTape) -> dict[str, float | None]:
    """Give all measures of a tape by the engine's names, in its units.

    Example:
        >>> tape = MetricTape(nominal_m=30, certified_length_m=30.48, certified_tension_n=50.0,
        ...     certified_temperature_degc=20.0, mass_kg_per_m=0.0189, area_mm2=2.4)
        >>> in_feet(tape)["certified_length_ft"], in_feet(tape)["certified_temperature_degf"]
        (100.0, 68.0)
    """
    found: dict[str, float | None] = {}
    for metric, (name, factor) in FACTORS.items():
        stated = getattr(tape, metric)
        found[name] = (
            None if stated is None else float(Fraction(stated) * factor + OFFSETS.get(metric, 0))
        )
    return found


def in_metric(name: str, value: float) -> float:
    """Turn one of the engine's values into what a metric certificate would state.

    Args:
        name: the engine's name of the measure, such as ``certified_tension_lb``.
        value: in the engine's unit.
    """
    metric = METRIC_NAMES[name]
    return float((Fraction(value) - OFFSETS.get(metric, 0)) / FACTORS[metric][1])
