"""A length as an office types it in, with its name and its plus-minus, exact values out; pure."""

import re
from dataclasses import dataclass
from fractions import Fraction

from calllog.errors import ConfigError
from calllog.units import Foot, Length, form_of, parse_length
from calllog.units.numbers import plain

EXAMPLE = "120.05 ft, or 120.05 ft \u00b1 0.02 ft, or A:B=120.05 ft"
_PLUS_MINUS = re.compile(r"\u00b1|\+/-|\+-")
_NAMED = re.compile(r"\s*([^=:]+?)\s*:\s*([^=:]+?)\s*=(.*)", re.DOTALL)
_FIGURE = re.compile(r"([0-9,]*)(?:\.([0-9]*))?(?:[ -]?[0-9]+/([0-9]+))?")
_LAST_NUMBER = re.compile(r"[0-9][0-9,./ -]*(?=[^0-9]*$)")


@dataclass(frozen=True, slots=True)
class TypedLength:
    """A length that was typed."""

    ends: tuple[str, str] | None
    """The two points it lies between; None where none are named."""
    length: Length
    expanded_m: float | None
    """Its uncertainty, k = 2; None if none is stated [m]."""
    least_m: Fraction
    """One of the last digit, or part, that was written [m]."""


def read_stated(text: str, foot: Foot = Foot.INTERNATIONAL) -> TypedLength:
    """Read a length, with its two points before it and its uncertainty (k = 2) after it.

    Args:
        text: such as "120.05 ft", "120.05 \u00b1 0.02 ft", "A:B=12 ch 45 lk +- 2 lk".
        foot: the foot in use, for units that do not name theirs.

    Raises:
        ConfigError: a value cannot be read, or an uncertainty is not above 0.

    Example:
        >>> float(read_stated("A:B=30.48 m").length.feet(Foot.INTERNATIONAL))
        100.0
    """
    ends, value = None, text
    if "=" in text:
        named = _NAMED.fullmatch(text)
        if named is None or named[1] == named[2]:
            raise ConfigError(
                "what stands before the = names no two points",
                where=repr(text),
                next_step=f"state it such as {EXAMPLE}",
            )
        ends, value = (named[1], named[2]), named[3]
    parts = _PLUS_MINUS.split(value)
    if len(parts) > 2:  # noqa: PLR2004 - a value and its uncertainty
        raise ConfigError(
            "more than one plus-minus", where=repr(text), next_step=f"state it such as {EXAMPLE}"
        )
    value, expanded_m = parts[0].strip(), None
    if len(parts) > 1:
        error = parse_length(parts[1], foot)
        if error.size <= 0:
            raise ConfigError(
                "an uncertainty is above 0",
                where=repr(text),
                next_step="state that with k = 2 (95 %), or leave it out",
            )
        expanded_m = float(error.size)
        if re.fullmatch(r"-?[0-9.,/ ]+", value):
            value = f"{value} {_unit_words(parts[1])}"
    length = parse_length(value, foot)
    return TypedLength(ends, length, expanded_m, _least_m(value, foot))


def _unit_words(text: str) -> str:
    """Give the unit of a value that has a single one."""
    return re.sub(r"^[-0-9.,/ ]+", "", text.strip())


def _least_m(value: str, foot: Foot) -> Fraction:
    """Tell what one of the last digit, or part, is worth [m]."""
    unit = form_of(value, foot).units[-1]
    number = _LAST_NUMBER.search(re.sub(r"\(.*\)$", "", plain(value)))
    figure = _FIGURE.fullmatch(number[0].strip() if number else "")
    if figure is None:
        return unit.size
    parts = int(figure[3]) if figure[3] else int(10 ** len(figure[2] or ""))
    return unit.size / parts
