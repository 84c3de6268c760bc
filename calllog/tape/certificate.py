"""What a tape's certificate states, checked, in the engine's units; pure."""

import re
from datetime import date, datetime
from fractions import Fraction
from typing import Annotated, Self

from pydantic import (
    BeforeValidator,
    Field,
    SerializerFunctionWrapHandler,
    ValidationInfo,
    field_validator,
    model_serializer,
    model_validator,
)
from pydantic_core import PydanticCustomError

from calllog.tape.metric import METRIC_NAMES, MetricTape, Positive, in_feet
from calllog.tape.steel import Steel
from calllog.units import Foot
from calllog.values import Frozen, ReadingUnit, Style

ZERO_IN = "zero-in"
"""What a certificate calls a tape whose zero lies in from the ring; journals and older certificates
say inset, which is such a tape held at one."""
INSET_HOLD = 100
"""A tape that is called inset, in feet, is held at its one-foot mark unless its certificate says
otherwise; a metric one has no such usage, so its certificate must say."""
LEAST_COUNTS = {
    (ReadingUnit(unit.base), f"{unit.step / 10**unit.digits:g}"): unit for unit in ReadingUnit
}
"""Tapes by what they are graduated in and to what they are read, which their certificate states."""
MOST_FINE = 100
"""The longest tape that is read more finely than to hundredths: on a longer one three figures may
be a mark [ft, m]."""
MOST_TOLERANCE = 1
"""How far apart first and check may be at the most and still agree [units]."""
STATED_SINCE = frozenset({"least_count", "tolerance", "steel"})
"""Entries that certificates have since journals of format 2; without them they are written as
before, so that an older program reads them."""
MOST_SPANS = 1000
"""One span for every foot of the longest tape."""
MOST_HOLD = 100_000
"""The last mark of the longest tape [hundredths of the unit]."""


def _as_text(given: object) -> object:
    return given.isoformat() if isinstance(given, date) else given


def _as_day(given: object) -> object:
    """Take a day as TOML has it, or its text; a time of day is no day, other forms are refused."""
    if isinstance(given, datetime):
        return str(given)
    if isinstance(given, str) and _DAY.fullmatch(given):
        try:
            return date.fromisoformat(given)
        except ValueError:
            return given
    return given


_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
Text = Annotated[str, BeforeValidator(_as_text)]
Day = Annotated[date | None, BeforeValidator(_as_day)]


def _exact(stated: float) -> Fraction:
    """Take a length as it was written: 0.01 is a hundredth."""
    return Fraction(repr(stated))


def _unit_read(base: ReadingUnit, least: float | None) -> ReadingUnit | None:
    """Tell how finely a tape is read by what its certificate states; None if none is read so."""
    return base if least is None else LEAST_COUNTS.get((base, f"{least:g}"))


def least_pull_lb(weight_lb_per_ft: float, length_ft: float, spans: int) -> float:
    """Give the pull that a tape must exceed to hang at all: each end bears half of its span.

    Statics of one span; common practice, no published source.

    Args:
        weight_lb_per_ft: weight of the tape [lb/ft].
        length_ft: the length that hangs [ft].
        spans: number of its equal spans, at least 1.
    """
    return weight_lb_per_ft * length_ft / (2 * spans)


class Certificate(Frozen):
    """What is known of one tape: its marks, its length under stated conditions, its steel.

    A tape in metres has the same fields in the same units, converted from what its certificate
    states, which is kept beside them. Each field's title and description are the words of its
    error message.
    """

    identity: str = Field(
        pattern=r"\S", title="identity", description='name the tape as it is marked, such as "T-1"'
    )
    style: Style = Field(
        strict=False, title="graduation style", description="state full, add, cut or zero-in"
    )
    metric: MetricTape | None = None
    """What the certificate of a tape in metres states; None for a tape in feet."""
    nominal_ft: int | float = Field(
        gt=0,
        le=1000,
        title="nominal length",
        description="state whole feet up to 1000, such as 100; the extra foot of an add tape is"
        " implied by its style",
    )
    certified_length_ft: Positive = Field(
        title="certified length",
        description="state the length in feet between the end marks, such as 100.004",
    )
    u_certified_length_ft: Positive | None = Field(
        default=None,
        title="standard uncertainty",
        description="state the standard uncertainty (k = 1) of the certified length in feet, such"
        " as 0.0005, which is half of an expanded one with k = 2",
    )
    certified_spans: int = Field(
        ge=0,
        le=MOST_SPANS,
        title="support",
        description="state 0 for supported throughout, 1 for at the ends only, n for n equal spans",
    )
    certified_temperature_degf: float = Field(
        ge=-50,
        le=150,
        title="temperature",
        description="state degrees Fahrenheit from -50 to 150, such as 68",
    )
    certified_tension_lb: Positive = Field(
        title="tension", description="state the pull in pounds, such as 10"
    )
    weight_lb_per_ft: Positive = Field(
        title="weight", description="state the weight of one foot in pounds, such as 0.0127"
    )
    area_in2: Positive = Field(
        title="area", description="state the cross section in square inches, such as 0.00375"
    )
    steel: Steel | None = None
    """What stands in for a weight or a cross-section that it does not state; None if it states
    both."""
    modulus_psi: Positive = Field(
        default=29e6,
        title="modulus of elasticity",
        description="state pounds per square inch, such as 29e6 for steel",
    )
    """Default as in Ghilani and Wolf, "Elementary Surveying", chapter 6 (from memory)."""
    alpha_per_degf: Positive = Field(
        default=6.45e-6,
        title="coefficient of expansion",
        description="state it per degree Fahrenheit, such as 6.45e-6 for steel",
    )
    """Default as in National Bureau of Standards Circular 572 (Judson, 1956), appendix."""
    foot: Foot = Field(
        strict=False, title="foot", description="state which: international or us-survey"
    )
    hold: int = Field(
        default=0,
        ge=0,
        le=MOST_HOLD,
        title="held mark",
        description="state hundredths of a foot, such as 100 for the one-foot mark",
    )
    """Mark that the other end holds [hundredths of the unit]; 0 unless the certificate says so,
    but 100 of a tape in feet that it calls inset."""
    least_count: float | None = Field(
        default=None,
        title="least count",
        description="state in feet 0.01 or 0.005; left out it is 0.01",
    )
    """To what the tape is read, in its unit; None for a hundredth of it."""
    tolerance: Annotated[float, Field(allow_inf_nan=False)] | None = Field(
        default=None,
        title="tolerance",
        description="state a whole number of least counts in feet, up to 1 ft, such as 0.02",
    )
    """In the tape's unit; None for one least count."""
    certificate_number: Text = Field(
        default="", title="certificate number", description="state it as text in quotes"
    )
    certificate_date: Text = Field(
        default="", title="date", description='state it as text, such as "2031-04-12"'
    )
    laboratory: Text = Field(
        default="", title="laboratory", description="state its name as text in quotes"
    )
    valid_from: Day = Field(
        default=None, title="day", description="state the first day it holds for, as 2031-04-12"
    )
    valid_until: Day = Field(
        default=None, title="day", description="state the last day it holds for, as 2032-04-11"
    )

    @property
    def unit(self) -> ReadingUnit:
        """What the tape is graduated in, and to how much of that it is read."""
        base = ReadingUnit.FOOT if self.metric is None else ReadingUnit.METRE
        return _unit_read(base, self.least_count) or base

    @property
    def lengths(self) -> str:
        """What lengths on this tape are in, in words."""
        is_feet = self.unit.is_feet
        return f"the {self.foot.words}" if is_feet else self.unit.plural

    @property
    def nominal(self) -> int:
        """Nominal length, whole units."""
        return int(self.nominal_ft) if self.metric is None else self.metric.nominal_m

    @property
    def tolerance_read(self) -> int:
        """How far apart first and check may be and still agree [least counts]."""
        return 1 if self.tolerance is None else int(_exact(self.tolerance) * self.unit.counts)

    @property
    def hold_read(self) -> int:
        """Mark that the other end holds [least counts]."""
        return self.unit.of_hundredths(self.hold)

    @property
    def assumed(self) -> dict[str, str]:
        """What it does not state and from what it is taken instead, by the engine's names."""
        if self.steel is None:
            return {}
        found, other = {}, {"weight": "cross-section", "area": "weight"}
        if self.steel.width is not None:
            size = f"width {self.steel.width:g} and thickness {self.steel.thickness:g}"
            found["area_in2"] = f"from {size} {'in' if self.metric is None else 'mm'}"
        if by := self.steel.by_density:
            name = "weight_lb_per_ft" if by == "weight" else "area_in2"
            found[name] = f"from its {other[by]}, by the density of steel"
        return found

    @property
    def told(self) -> str:
        """The same in words, by the names of its own entries; empty where it states both."""
        named = self.assumed.items()
        if self.metric is not None:
            named = {METRIC_NAMES[name]: how for name, how in named}.items()
        return "; ".join(f"{name} {how}" for name, how in named)

    @property
    def entries(self) -> dict[str, object]:
        """What the certificate states, by the names and in the units that it states it in."""
        measures: dict[str, object] = {}
        if self.metric is not None:
            measures = {each: getattr(self.metric, each) for each in MetricTape.model_fields}
        names = [each for each in Certificate.model_fields if each not in {"metric", "steel"}]
        if measures:
            names = [each for each in names if each not in METRIC_NAMES and each != "foot"]
        return {each: getattr(self, each) for each in names} | measures | {"assumed": self.told}

    @property
    def document(self) -> dict[str, object]:
        """The same as JSON has it."""
        plain: dict[str, object] = self.model_dump(mode="json", exclude={"metric"})
        measures = {} if self.metric is None else self.metric.model_dump(mode="json")
        told = {"assumed": self.told}
        return {each: (plain | measures | told).get(each) for each in self.entries}

    @model_serializer(mode="wrap")
    def _without_unstated(self, write: SerializerFunctionWrapHandler) -> dict[str, object]:
        """Write one that does not state the later entries as it was before there were these."""
        written: dict[str, object] = write(self)
        return {
            name: value
            for name, value in written.items()
            if value is not None or name not in STATED_SINCE
        }

    @model_validator(mode="before")
    @classmethod
    def _hold_by_style(cls, given: object) -> object:
        if isinstance(given, dict) and given.get("style") == ZERO_IN:
            return {"hold": 0, **given, "style": Style.INSET}
        is_inset = isinstance(given, dict) and given.get("style") == Style.INSET
        if isinstance(given, dict) and is_inset and given.get("metric") is None:
            return {"hold": INSET_HOLD, **given}
        return given

    @field_validator("nominal_ft")
    @classmethod
    def _must_be_whole(cls, nominal_ft: float, info: ValidationInfo) -> float:
        if info.data.get("metric") is None and not isinstance(nominal_ft, int):
            raise PydanticCustomError("whole_number", "whole feet are stated")
        return nominal_ft

    @model_validator(mode="after")
    def _must_be_as_stated(self) -> Self:
        if self.metric is not None:
            wrong = [
                name for name, value in in_feet(self.metric).items() if getattr(self, name) != value
            ]
            if wrong or self.foot is not Foot.INTERNATIONAL:
                message = f"{', '.join(wrong) or 'foot'} is not what the certificate in meters says"
                raise ValueError(message)
        return self

    @field_validator("weight_lb_per_ft")
    @classmethod
    def _must_hang(cls, weight: float, info: ValidationInfo) -> float:
        spans, pull_lb = info.data.get("certified_spans"), info.data.get("certified_tension_lb")
        nominal_ft = info.data.get("nominal_ft")
        if spans and pull_lb is not None and nominal_ft is not None:
            least_lb = least_pull_lb(weight, nominal_ft, spans)
            if pull_lb <= least_lb:
                message = (
                    f"{weight:g} is too heavy to hang as certified, which takes more than"
                    f" {least_lb:.3g} lb; state the weight of one foot, not of the whole tape"
                )
                raise ValueError(message)
        return weight

    @field_validator("valid_until")
    @classmethod
    def _must_not_end_before_it_begins(
        cls, until: date | None, info: ValidationInfo
    ) -> date | None:
        begin = info.data.get("valid_from")
        if until is not None and begin is not None and until < begin:
            message = f"{until} is before valid_from, {begin}; state the last day it holds for"
            raise ValueError(message)
        return until

    @field_validator("least_count")
    @classmethod
    def _must_be_a_least_count(cls, least: float | None, info: ValidationInfo) -> float | None:
        metric = info.data.get("metric")
        base = ReadingUnit.FOOT if metric is None else ReadingUnit.METRE
        unit = _unit_read(base, least)
        if unit is None:
            raise PydanticCustomError("least_count", "no tape is read so")
        nominal = info.data.get("nominal_ft") if metric is None else metric.nominal_m
        if unit.is_fine and nominal is not None and nominal > MOST_FINE:
            message = (
                f"a tape of {nominal} {unit.symbol} is not read to {unit.text(1)} here, since three"
                f" figures may be a mark of it; state 0.01, or use one up to {MOST_FINE}"
                f" {unit.symbol}"
            )
            raise ValueError(message)
        return least

    @field_validator("tolerance")
    @classmethod
    def _tolerance_must_be_read(cls, tolerance: float | None, info: ValidationInfo) -> float | None:
        base = ReadingUnit.FOOT if info.data.get("metric") is None else ReadingUnit.METRE
        unit = _unit_read(base, info.data.get("least_count")) or base
        if tolerance is None:
            return None
        counts = _exact(tolerance) * unit.counts
        if counts.denominator != 1 or not 1 <= counts <= MOST_TOLERANCE * unit.counts:
            raise PydanticCustomError("tolerance", "no tolerance of this tape")
        return tolerance

    @field_validator("hold")
    @classmethod
    def _hold_must_fit(cls, hold: int, info: ValidationInfo) -> int:
        style, nominal = info.data.get("style"), info.data.get("nominal_ft")
        metric, unit = info.data.get("metric"), ReadingUnit.FOOT
        if metric is not None:
            nominal, unit = metric.nominal_m, ReadingUnit.METRE
        if hold and style in (Style.ADD, Style.CUT):
            message = f"{hold} is given, but nothing is held on this style; leave it out"
            raise ValueError(message)
        if nominal is not None and hold >= nominal * 100:
            message = (
                f"{hold} is no mark of a {nominal} {unit.symbol} tape; state hundredths of a"
                f" {unit.singular}"
            )
            raise ValueError(message)
        return hold
