"""What was stated of a length in, warnings of what is possible but unlikely, out; pure.

Limits are common practice, no published source, unless they say otherwise; they are wide.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping

from calllog.corrections.made_of import made_of
from calllog.corrections.situation import Situation
from calllog.errors import ConfigError
from calllog.tape import Certificate
from calllog.units import (
    force_text,
    form_of,
    in_unit,
    parse_force_lbf,
    parse_temperature_degf,
)
from calllog.values import ReadingUnit

FIELD_DEGF = (-40.0, 140.0)
"""From the hardest frost that crews work in to steel in the sun."""
HAND_LB = (3.0, 35.0)
"""What a tape is pulled by hand; 10 to 25 lb is usual (published teaching pages)."""
STEEP_SINE = 0.5**0.5
"""Of 45 degrees."""
GROUND_FT = (-1_500.0, 30_000.0)
"""From below the lowest shore to above the highest summit."""
TAUT = 1.25
"""Times the weight of a span: below it the validity table ends."""
_NUMBER = re.compile(r"\s*([^A-Za-z\u00b0]*)")


def doubts(
    length_ft: float,
    certificate: Certificate,
    situation: Situation,
    said: Mapping[str, str | None],
) -> tuple[str, ...]:
    """Warn of values that are possible but unlikely, with what was probably meant.

    Args:
        length_ft: read or wanted, in the tape's own foot [ft].
        certificate: that of the tape.
        situation: what was stated.
        said: temperature, tension and reading as they were written.

    Example:
        >>> from calllog.tape import Certificate, Foot
        >>> from calllog.values import Style
        >>> tape = Certificate(
        ...     identity="T-1", style=Style.FULL, nominal_ft=100, certified_length_ft=100.004,
        ...     certified_spans=0, certified_temperature_degf=68.0, certified_tension_lb=10.0,
        ...     weight_lb_per_ft=0.0128, area_in2=0.00375, foot=Foot.US_SURVEY,
        ... )
        >>> hot = Situation(temperature_degf=154.4)
        >>> doubts(50.0, tape, hot, {"temperature": "68C"})
        ('a temperature of 68C is 154.4 degF, which no crew works in: was 68F meant?',)
    """
    return tuple(_doubts(length_ft, certificate, situation, said))


def _doubts(
    length_ft: float,
    certificate: Certificate,
    situation: Situation,
    said: Mapping[str, str | None],
) -> Iterator[str]:
    unit = certificate.unit
    degf, pull_lb = situation.temperature_degf, situation.tension_lb
    if degf is not None and not _within(degf, FIELD_DEGF):
        words = said.get("temperature") or f"{degf:g}F"
        yield (
            f"a temperature of {words} is {_degrees(degf, unit)}, which no crew works in"
            + _meant(words, ("F", "C"), parse_temperature_degf, FIELD_DEGF)
        )
    if pull_lb is not None and not _within(pull_lb, HAND_LB):
        words = said.get("tension") or f"{pull_lb:g}lb"
        how = "less" if pull_lb < HAND_LB[0] else "more"
        form = ".3g" if pull_lb < HAND_LB[1] else ".4g"
        yield (
            f"a tension of {words} is {force_text(pull_lb, unit, form)}, {how} than a tape is"
            f" pulled by hand" + _meant(words, ("lb", "N", "kg"), parse_force_lbf, HAND_LB)
        )
    if (reading := said.get("reading")) is not None:
        yield from _other_marks(reading, length_ft, certificate)
    if situation.sine(length_ft) > STEEP_SINE:
        yield "the slope is steeper than 45 degrees; look at the rise, the angle or the percent"
    if abs(situation.off_line_ft or 0.0) > length_ft / 2:
        yield "the distance off line is more than half of the length; look at both"
    height_ft = situation.elevation_ft
    if height_ft is not None and not _within(height_ft, GROUND_FT):
        yield (
            f"an elevation of {in_unit(height_ft, unit):g} {unit.symbol} is that of no ground;"
            " look at it and at its unit"
        )
    if pull_lb is not None:
        yield from _slack(length_ft, certificate, situation, pull_lb)


def _other_marks(reading: str, length_ft: float, certificate: Certificate) -> Iterator[str]:
    """Warn of a reading in meters of a tape in feet, or the other way: nobody can have read it."""
    unit = certificate.unit
    if all((each.foot is None) is not unit.is_feet for each in form_of(reading).units):
        return
    yield (
        f"{reading} cannot have been read on {certificate.identity}, which is marked in"
        f" {unit.plural}: taken as {in_unit(length_ft, unit):.4f} {unit.symbol} on it;"
        " state what was read"
    )


def _slack(
    length_ft: float, certificate: Certificate, situation: Situation, pull_lb: float
) -> Iterator[str]:
    try:
        pulls = made_of(length_ft, certificate, situation)
    except ConfigError:
        return
    span_ft = max((one_ft / spans for one_ft, spans in pulls if spans), default=0.0)
    weight_lb = certificate.weight_lb_per_ft * span_ft
    if pull_lb < TAUT * weight_lb:
        unit = certificate.unit
        yield (
            f"a span of {in_unit(span_ft, unit):.2f} {unit.symbol} weighs"
            f" {force_text(weight_lb, unit, '.3g')} and is pulled by less than {TAUT:g} times that;"
            " its sag is beyond the table of what the corrections are worth"
        )


def _within(value: float, limits: tuple[float, float]) -> bool:
    return limits[0] <= value <= limits[1]


def _meant(
    words: str, units: Iterable[str], read: Callable[[str], float], usual: tuple[float, float]
) -> str:
    """Ask whether the same number in another unit was meant, where that is usual."""
    found = _NUMBER.match(words)
    number = found[1].strip() if found else ""
    for unit in units:
        text = f"{number}{unit}"
        try:
            value = read(text)
        except ConfigError:
            continue
        if _within(value, usual):
            return f": was {text} meant?"
    return "; look at it and at its unit"


def _degrees(degf: float, unit: ReadingUnit) -> str:
    if not unit.is_feet:
        return f"{(degf - 32) / 1.8:.1f} degC"
    return f"{degf:.1f} degF"
