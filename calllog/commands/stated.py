"""Options that state conditions in, what they come to out; every value carries its unit."""

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Annotated, TypeVar

import typer
from pydantic import JsonValue

from calllog.corrections import End, Situation
from calllog.errors import ConfigError
from calllog.tape import MOST_SPANS
from calllog.units import (
    Foot,
    form_of,
    parse_force_lbf,
    parse_length,
    parse_slope_rad,
    parse_temperature_degf,
)

TemperatureOption = Annotated[
    str | None, typer.Option("--temperature", help="Temperature of the tape: 50F, 10C.")
]
TensionOption = Annotated[
    str | None, typer.Option("--tension", help="Tension on the tape: 15lb, 66.7N.")
]
SupportOption = Annotated[
    str | None,
    typer.Option(
        "--support", help="Support of each pull: throughout, ends, or a number of equal spans."
    ),
]
T = TypeVar("T")
QUOTES = "'\"\u2019\u201d\u2032\u2033"
"""Signs of feet and inches, straight, curled or as primes."""
NAMED_SUPPORT = {"throughout": 0, "ends": 1}


def of_option(option: str, read: Callable[[str], T], text: str) -> T:
    """Read what an option states; what is wrong with it is told with the option's name.

    Raises:
        ConfigError: it cannot be read.
    """
    try:
        return read(text)
    except ConfigError as error:
        where = f"{option} {text!r}"
        raise ConfigError(error.what, where=where, next_step=error.next_step) from error


def length_ft(text: str, foot: Foot) -> float:
    """Read a length into the feet of the tape; the foot of the tape is meant if none is named."""
    return float(parse_length(text, foot).feet(foot))


def spans_ft(text: str, foot: Foot) -> tuple[float, ...]:
    """Read a list of spans, each by itself; one that has no unit is in the larger one of the last.

    Raises:
        ConfigError: one cannot be read, or the last has no unit.
    """
    parts = [part.strip() for part in text.split(",")]
    unit = form_of(parts[-1], foot).units[0].symbol
    return tuple(length_ft(part if _has_unit(part) else f"{part} {unit}", foot) for part in parts)


def _has_unit(part: str) -> bool:
    return any(each.isalpha() or each in QUOTES for each in part)


def support_spans(text: str) -> int:
    """Read a support that is the same in every pull; ConfigError if it is none."""
    if text in NAMED_SUPPORT:
        return NAMED_SUPPORT[text]
    if re.fullmatch("[0-9]{1,4}", text) and 0 < int(text) <= MOST_SPANS:
        return int(text)
    raise ConfigError(
        f"{text!r} is no support",
        where="--support",
        next_step="say throughout, ends, or a number of equal spans such as 4",
    )


@dataclass(frozen=True, slots=True)
class ConditionOptions:
    """The conditions of a crew's pulls; what is left out stays as it stands."""

    temperature: TemperatureOption = None
    tension: TensionOption = None
    support: SupportOption = None
    rise: Annotated[
        str | None,
        typer.Option(
            "--rise", help="Difference of height of the ends, of the next pull alone: 1.25ft."
        ),
    ] = None

    def stated(self, foot: Foot) -> dict[str, JsonValue]:
        """Read what was stated, by the names of the journal's conditions.

        Raises:
            ConfigError: a value has no unit or cannot be.
        """
        found: dict[str, JsonValue] = {
            "temperature_degf": _read("--temperature", parse_temperature_degf, self.temperature),
            "tension_lb": _tension_lb(self.tension),
            "spans": None if self.support is None else support_spans(self.support),
            "rise_ft": _read("--rise", partial(length_ft, foot=foot), self.rise),
        }
        return {name: value for name, value in found.items() if value is not None}


@dataclass(frozen=True, slots=True)
class SituationOptions:
    """How a tape lies when one length is corrected or laid out."""

    support: SupportOption = None
    temperature: TemperatureOption = None
    tension: TensionOption = None
    tension_at: Annotated[
        End, typer.Option("--tension-at", help="End of a slope at which the tension was held.")
    ] = End.MIDDLE
    rise: Annotated[
        str | None,
        typer.Option(
            "--rise", help="Slope as the difference of height of the ends: 1.25ft, of either sign."
        ),
    ] = None
    angle: Annotated[
        str | None, typer.Option("--angle", help="Slope as a vertical angle: 3deg.")
    ] = None
    percent: Annotated[str | None, typer.Option("--percent", help="Slope as a grade: 2.5%.")] = None
    elevation: Annotated[
        str | None,
        typer.Option(
            "--elevation", help="Elevation of the ground, for a length at sea level: 5000ft."
        ),
    ] = None

    @property
    def said(self) -> dict[str, str | None]:
        """The conditions in the words of whoever stated them."""
        return {
            "temperature": self.temperature,
            "tension": self.tension,
            "support": self.support,
        }

    def situation(
        self,
        foot: Foot,
        *,
        off_line: str | None = None,
        hanging_ft: tuple[float, ...] | None = None,
    ) -> Situation:
        """Read what was stated.

        Raises:
            ConfigError: a value has no unit or cannot be, or two contradict each other.
        """
        in_ft = partial(length_ft, foot=foot)
        angle_rad = _read("--angle", parse_slope_rad, self.angle)
        slope_rad = _read("--percent", parse_slope_rad, self.percent)
        return Situation(
            temperature_degf=_read("--temperature", parse_temperature_degf, self.temperature),
            tension_lb=_tension_lb(self.tension),
            tension_at=self.tension_at,
            spans=None if self.support is None else support_spans(self.support),
            hanging_ft=hanging_ft,
            rise_ft=_read("--rise", in_ft, self.rise),
            angle_deg=None if angle_rad is None else math.degrees(angle_rad),
            percent=None if slope_rad is None else 100 * math.tan(slope_rad),
            off_line_ft=_read("--off-line", in_ft, off_line),
            elevation_ft=_read("--elevation", in_ft, self.elevation),
        )


def _tension_lb(text: str | None) -> float | None:
    """Read a tension; nothing pulls by none.

    Raises:
        ConfigError: it has no unit, or is none.
    """
    found = _read("--tension", parse_force_lbf, text)
    if found == 0:
        raise ConfigError(
            f"{text!r} is no tension", where="--tension", next_step="state more than 0lb"
        )
    return found


def _read(option: str, read: Callable[[str], float], text: str | None) -> float | None:
    return None if text is None else of_option(option, read, text)
