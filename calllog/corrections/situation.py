"""What the office states of a length beyond the crew's conditions: a frozen value; pure."""

import math
from enum import StrEnum
from typing import Self

from pydantic import model_validator

from calllog.errors import ConfigError
from calllog.values import Conditions, Frozen

UPRIGHT_DEG = 90.0


class End(StrEnum):
    """Where on a slope the tension was held."""

    UPPER = "upper"
    LOWER = "lower"
    MIDDLE = "middle"
    """Not known, or at both ends: the tension counts at half the height."""


class Situation(Frozen):
    """How a length was measured, or is to be laid out; None means not known, or none."""

    temperature_degf: float | None = None
    tension_lb: float | None = None
    spans: int | None = None
    """Support: 0 throughout, 1 at the ends only, n at n equal spans."""
    hanging_ft: tuple[float, ...] | None = None
    """Support instead: each hanging span, a pull by itself; what is left lies on the ground."""
    tension_at: End = End.MIDDLE
    rise_ft: float | None = None
    angle_deg: float | None = None
    """Slope instead: vertical angle."""
    percent: float | None = None
    """Slope instead: rise on 100 of level length."""
    off_line_ft: float | None = None
    """How far one end is off the line."""
    elevation_ft: float | None = None
    """Height above sea level or the ellipsoid, if the length there is wanted."""

    @property
    def conditions(self) -> Conditions:
        """What the crew states of it too; unchecked, so that what cannot be is refused in words."""
        return Conditions.model_construct(
            temperature_degf=self.temperature_degf,
            tension_lb=self.tension_lb,
            spans=self.spans,
            rise_ft=self.rise_ft,
        )

    @property
    def fixed_sine(self) -> float | None:
        """The sine of a slope that was stated as an angle or a grade; None for any other."""
        if self.angle_deg is not None:
            return math.sin(math.radians(abs(self.angle_deg)))
        if self.percent is not None:
            return math.sin(math.atan(abs(self.percent) / 100))
        return None

    def sine(self, length_ft: float) -> float:
        """Give the sine of the slope over a length along it, 0 to 1; 0 where none was stated.

        A rise that is greater than the length is refused with the slope's correction.
        """
        if (fixed := self.fixed_sine) is not None:
            return fixed
        if self.rise_ft is None or length_ft <= 0:
            return 0.0
        return min(1.0, abs(self.rise_ft) / length_ft)

    @model_validator(mode="after")
    def _one_of_each(self) -> Self:
        if self.spans is not None and self.hanging_ft is not None:
            raise ConfigError(
                "support is stated twice", next_step="state equal spans or a list of them, not both"
            )
        if sum(slope is not None for slope in (self.rise_ft, self.angle_deg, self.percent)) > 1:
            raise ConfigError(
                "slope is stated twice",
                next_step="state one of rise, vertical angle and percent",
            )
        if self.angle_deg is not None and not abs(self.angle_deg) < UPRIGHT_DEG:
            raise ConfigError(
                f"{self.angle_deg:g} degrees is no slope",
                next_step="state a vertical angle from the level, of less than 90 degrees",
            )
        if self.percent is not None and not math.isfinite(self.percent):
            raise ConfigError(f"{self.percent:g} % is no slope", next_step="state a number")
        return self
