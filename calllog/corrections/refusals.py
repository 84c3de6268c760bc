"""Lengths and their conditions in, those that cannot be, with the words that say why, out; pure."""

import math
from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from calllog.corrections.formulas import EARTH_RADIUS_FT
from calllog.corrections.made_of import CLOSE_FT, MOST_PULLS, least_read_ft, reach_ft, too_long
from calllog.corrections.pulls import Floats, Pulls
from calllog.corrections.situation import End, Situation
from calllog.errors import ConfigError
from calllog.tape import MOST_SPANS, Certificate
from calllog.units import force_text, in_unit
from calllog.values import ReadingUnit

MOST_STRAIN = 0.008
"""Stretch that no steel tape survives: 232,000 psi, the tensile strength of cold-rolled spring
steel (common practice, no published source)."""
POSSIBLE_DEGF = (-459.67, 1500.0)
"""From absolute zero (10th CGPM, 1954; from memory) to steel that glows."""
LEAST_LB = 0.001
"""No pull at all: less than the weight of a tenth of a foot of any tape."""
ROUNDING = 1e-12
"""Relative difference that two ways of adding up the same corrections may leave."""

Refused = dict[int, ConfigError]
"""Lengths that cannot be corrected, by their place from 0, and why."""
Check = tuple[NDArray[np.bool_], Callable[[int], ConfigError]]
"""Where something cannot be, and the words for one such place."""


def impossible(lengths: Pulls, certificate: Certificate) -> Refused:
    """Find the lengths whose own length or conditions cannot be."""
    refused: Refused = {}
    for where, words in _checks(lengths, certificate):
        for index in np.flatnonzero(where).tolist():
            refused.setdefault(index, words(index))
    return refused


def _checks(lengths: Pulls, certificate: Certificate) -> Iterator[Check]:
    unit, metric = certificate.unit, certificate.metric
    length_ft, degf, pull_lb = lengths.length_read_ft, lengths.temperature_degf, lengths.tension_lb
    no_length = ~((length_ft >= 0) & (length_ft < math.inf))
    yield (
        no_length,
        lambda index: _refusal(
            "length-not-correctable",
            "a length read of {length} cannot be corrected",
            "measure that pull again",
            length=_length(length_ft[index], unit),
        ),
    )
    yield (
        (degf <= POSSIBLE_DEGF[0]) | (degf > POSSIBLE_DEGF[1]),
        lambda index: _refusal(
            "not-a-temperature",
            "{degrees} degF is not a possible temperature",
            "measure that pull again, with its temperature stated",
            degrees=f"{degf[index]:g}",
        ),
    )
    yield (
        (pull_lb < LEAST_LB) | (pull_lb == math.inf),
        lambda index: _refusal(
            "tension-no-pull",
            "a tension of {tension} is not possible",
            "measure that pull again, with its tension stated",
            tension=_force(pull_lb[index], unit),
        ),
    )
    area, measure = (
        (certificate.area_in2, "inches") if metric is None else (metric.area_mm2, "millimeters")
    )
    yield (
        pull_lb > MOST_STRAIN * certificate.area_in2 * certificate.modulus_psi,
        lambda index: _refusal(
            "tension-breaks-tape",
            f"a tension of {{tension}} would break any tape of {{area}} square {measure}",
            "go over the tension, its unit, and the certificate",
            area=f"{area:g}",
            tension=_force(pull_lb[index], unit),
        ),
    )
    yield (
        (lengths.spans < -1) | (lengths.spans > MOST_SPANS),
        lambda index: _refusal(
            "spans-not-possible",
            "a tape cannot hang in {spans} spans",
            "measure that pull again, with its support stated (0 is throughout)",
            spans=int(lengths.spans[index]),
        ),
    )
    most_ft = reach_ft(certificate) + MOST_PULLS * float(certificate.nominal_ft)
    yield length_ft > most_ft, lambda index: too_long(float(length_ft[index]), certificate)


def refuse_situation(length_read_ft: float, situation: Situation, unit: ReadingUnit) -> None:
    """Refuse listed spans and an elevation that cannot be, by a ConfigError."""
    if situation.hanging_ft is not None:
        if not all(0 < span < math.inf for span in situation.hanging_ft):
            raise ConfigError(
                "a hanging span has no length", next_step="state each span, above 0, or none"
            )
        sum_ft = math.fsum(situation.hanging_ft)
        if sum_ft - length_read_ft > least_read_ft(unit) + CLOSE_FT:
            raise ConfigError(
                f"spans of {_length(sum_ft, unit, '.4f')} in all are longer than the length read,"
                f" {_length(length_read_ft, unit, '.4f')}",
                next_step="state the spans in the tape's own marks; they cannot exceed the length"
                " read",
            )
    height_ft = situation.elevation_ft
    if height_ft is not None and not abs(height_ft) < EARTH_RADIUS_FT:
        raise ConfigError(
            f"{_length(height_ft, unit, 'g')} is no elevation",
            next_step=f"state it in {unit.plural}",
        )


def too_heavy(pulls: Pulls, certificate: Certificate, *, is_listed: bool) -> Refused:
    """Find the lengths of which a pull hangs under less than half the weight of its span.

    Args:
        pulls: that the lengths are made of.
        certificate: that of the tape.
        is_listed: whether each span was stated by itself.
    """
    spans = np.maximum(pulls.spans, 1)
    least_lb = certificate.weight_lb_per_ft * pulls.length_read_ft / (2 * spans)
    refused: Refused = {}
    cannot = (pulls.spans > 0) & (pulls.length_read_ft > 0) & (pulls.tension_lb <= least_lb)
    if not cannot.any():
        return refused
    places, owner = np.flatnonzero(cannot), pulls.owner
    unit = certificate.unit
    for index in places[np.argsort(-least_lb[places], kind="stable")].tolist():
        what = "a span of {length} of this tape cannot hang"
        if not is_listed:
            word = "span" if spans[index] == 1 else "spans"
            what = f"{{length}} of this tape cannot hang in {{spans}} {word}"
        why = _refusal(
            "cannot-hang",
            f"at a tension of {{tension}}, {what}; that takes more than {{least}}",
            "measure that pull again, with its tension and support stated",
            tension=_force(pulls.tension_lb[index], unit),
            length=_length(pulls.length_read_ft[index], unit),
            spans=int(spans[index]),
            least=_force(least_lb[index], unit, digits=3),
        )
        refused.setdefault(int(owner[index]), why)
    return refused


def no_pull_left(pull_lb: float, where: End) -> ConfigError:
    """Say that a slope takes all of the pull at one end."""
    return ConfigError(
        f"{pull_lb:g} lb at the {where} end leaves no pull at the other"
        if where is not End.MIDDLE
        else f"{pull_lb:g} lb at half the height leaves no pull at the lower end",
        next_step="state the tension and where it was held",
    )


def too_steep(rise_ft: Floats, along_ft: Floats, unit: ReadingUnit) -> Refused:
    """Find the lengths whose rise is greater than they are, shape (n,) each."""
    return {
        index: _refusal(
            "rise-beyond-length",
            "a rise of {rise} is greater than the length of {length}",
            "measure that pull again, with its rise stated",
            rise=_length(rise_ft[index], unit, "g"),
            length=_length(along_ft[index], unit),
        )
        for index in np.flatnonzero(np.abs(rise_ft) > along_ft * (1 + ROUNDING)).tolist()
    }


def too_far_off(level_ft: float, aside_ft: float, unit: ReadingUnit) -> ConfigError:
    """Say that a distance off line is greater than the length."""
    return ConfigError(
        f"{_length(aside_ft, unit, 'g')} off line is more than the length of"
        f" {_length(level_ft, unit)}",
        next_step="state how far one end was off the line",
    )


def _refusal(code: str, what: str, next_step: str, **facts: float | str) -> ConfigError:
    found = ConfigError(what.format(**facts), next_step=next_step, code=code)
    found.facts.update(facts)
    return found


def _length(length_ft: float, unit: ReadingUnit, form: str = ".2f") -> str:
    return f"{in_unit(float(length_ft), unit):{form}} {unit.symbol}"


def _force(force_lb: float, unit: ReadingUnit, digits: int = 6) -> str:
    return force_text(float(force_lb), unit, f".{digits}g")
