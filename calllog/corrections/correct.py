"""A length read, its tape's certificate and its conditions in, all corrections out; pure."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calllog.corrections import formulas
from calllog.corrections.catenary import catenary_sag, mean_pull
from calllog.corrections.situation import End, Situation
from calllog.errors import ConfigError
from calllog.tape import MOST_SPANS, Certificate, least_pull_lb
from calllog.units import force_text, in_unit
from calllog.values import Conditions, Corrections, ReadingUnit

NEGLIGIBLE_FT = 0.0005
"""What two forms of a correction may differ by in a pull: half of the last figure, 0.001 ft."""
MOST_STRAIN = 0.01
"""Stretch that no steel tape survives (common practice, no published source)."""
SAG_FORMS = ("catenary", "parabola -w^2 s^3/(24 P^2)")

Lengths = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Pair:
    """One correction by the exact form, and by the one that is worked by hand [ft]."""

    what: str
    by_hand: str
    """The formula worked by hand."""
    by_hand_ft: float
    exact_ft: float
    pulls: int = 1
    """Over how many pulls it is the sum."""

    @property
    def difference_ft(self) -> float:
        """What the formula by hand is off by."""
        return self.by_hand_ft - self.exact_ft

    @property
    def holds(self) -> bool:
        """Whether the formula by hand will do."""
        return abs(self.difference_ft) <= NEGLIGIBLE_FT * self.pulls


@dataclass(frozen=True, slots=True)
class Worked:
    """All corrections of one length, each apart [ft]; None where not known or not wanted."""

    standardisation_ft: float
    temperature_ft: float | None
    tension_ft: float | None
    sag_ft: float | None
    slope_ft: float | None
    off_line_ft: float | None
    elevation_ft: float | None
    pairs: tuple[Pair, ...]
    """Where a form by hand exists: both forms."""

    @property
    def sum_ft(self) -> float:
        """Sum of those that are known."""
        return _sum_known(
            self.standardisation_ft,
            self.temperature_ft,
            self.tension_ft,
            self.sag_ft,
            self.slope_ft,
            self.off_line_ft,
            self.elevation_ft,
        )


def throughout_length_ft(certificate: Certificate) -> float:
    """Convert a certified length to what the tape measures when it is supported throughout.

    A tape certified in spans sags on the bench; that sag is taken out, so that the sag in use is
    put in whole (common practice, no published source).

    Returns:
        The length between the end marks under the certified tension and temperature, flat [ft].
    """
    if certificate.certified_spans == 0:
        return certificate.certified_length_ft
    spans_ft = _equal_ft(float(certificate.nominal_ft), certificate.certified_spans)
    pulls_lb = np.full_like(spans_ft, certificate.certified_tension_lb)
    sag_on_bench = _sag(spans_ft, pulls_lb, certificate, sine=0.0)
    return certificate.certified_length_ft - _sag_ft(sag_on_bench)


def correct(length_read_ft: float, certificate: Certificate, conditions: Conditions) -> Corrections:
    """Find what has to be added to a length read, each correction apart.

    A correction whose condition is not known is None and not in the sum. Sag is 0 for support
    throughout; otherwise it needs the tension. Slope is taken last, from the length along the
    slope as the other known corrections leave it, so that ``length_read_ft + sum_ft`` is the
    horizontal length. For a tape certified hanging, standardisation counts from its length
    supported throughout (`throughout_length_ft`), and sag in use is whole.

    Sag is that of the parabola, as certificates and the hand have it, unless the exact catenary
    differs by more than `NEGLIGIBLE_FT` in a pull; then it is the catenary's.

    Args:
        length_read_ft: the length in the tape's own marks, at least 0 [ft].
        certificate: that of the tape it was read on.
        conditions: those in force; None means not known.

    Returns:
        The corrections and their sum [ft].

    Raises:
        ConfigError: length or conditions are impossible: a negative length, a tension of 0 or
            less or too small for the tape to hang, fewer than no spans, a rise greater than the
            length, or what is no number.
    """
    worked = work(length_read_ft, certificate, Situation.of(conditions))
    return Corrections(
        standardisation_ft=worked.standardisation_ft,
        temperature_ft=worked.temperature_ft,
        tension_ft=worked.tension_ft,
        sag_ft=worked.sag_ft,
        slope_ft=worked.slope_ft,
        sum_ft=worked.sum_ft,
    )


def work(
    length_read_ft: float,
    certificate: Certificate,
    situation: Situation,
    *,
    sag_form: str | None = None,
) -> Worked:
    """Find all corrections of a length in any situation; see `correct`.

    Slope is taken from the length along it, off line from the level length, elevation from that.
    On a slope the tension is brought to half the height of its pull (`mean_pull`), where its ends
    are on one straight slope.

    Args:
        length_read_ft: the length in the tape's own marks, at least 0 [ft].
        certificate: that of the tape.
        situation: what is known.
        sag_form: one of `SAG_FORMS` to be used whether it holds or not; else chosen.

    Returns:
        The corrections [ft].

    Raises:
        ConfigError: as `correct`, and where listed spans are no lengths, or longer than the length
            read.
    """
    _refuse_impossible(length_read_ft, certificate, situation)
    length_ft, pull_lb, stiffness_lb = length_read_ft, situation.tension_lb, _stiffness(certificate)
    standardisation_ft = float(
        formulas.standardisation(
            length_ft, throughout_length_ft(certificate), float(certificate.nominal_ft)
        )
    )
    temperature_ft = tension_ft = sag_ft = None
    pairs: list[Pair] = []
    if situation.temperature_degf is not None:
        temperature_ft = float(
            formulas.temperature(
                length_ft,
                situation.temperature_degf,
                certificate.certified_temperature_degf,
                certificate.alpha_per_degf,
            )
        )
    spans_ft = _hanging_ft(length_ft, situation)
    if spans_ft is not None and not spans_ft.size:
        sag_ft = 0.0
    if pull_lb is not None:
        standard_lb = certificate.certified_tension_lb
        tension_ft = float(formulas.tension(length_ft, pull_lb, standard_lb, stiffness_lb))
        if spans_ft is not None and spans_ft.size:
            sine = situation.sine(length_ft)
            pulls_lb = _pulls_lb(spans_ft, certificate, situation, sine)
            _refuse_heavy(length_ft, spans_ft, pulls_lb, certificate, situation)
            tension_ft += float(np.sum((pulls_lb - pull_lb) * spans_ft) / stiffness_lb)
            listed = len(situation.hanging_ft or ())
            pairs.append(_sag(spans_ft, pulls_lb, certificate, sine, max(1, listed)))
            sag_ft = _sag_ft(pairs[0], sag_form)
    slope_ft = off_line_ft = elevation_ft = None
    along_ft = length_ft + _sum_known(standardisation_ft, temperature_ft, tension_ft, sag_ft)
    if situation.has_slope:
        slope_ft = _slope_ft(along_ft, situation, certificate.unit)
        rise_ft = math.sqrt(max(0.0, -slope_ft * (2 * along_ft + slope_ft)))
        pairs.append(_squared_pair("slope", "-h^2/(2 L)", along_ft, rise_ft, slope_ft))
    level_ft = along_ft + (slope_ft or 0.0)
    if situation.off_line_ft is not None:
        aside_ft = situation.off_line_ft
        off_line_ft = _off_line_ft(level_ft, aside_ft, certificate.unit)
        pairs.append(_squared_pair("off line", "-d^2/(2 L)", level_ft, aside_ft, off_line_ft))
        level_ft += off_line_ft
    if situation.elevation_ft is not None:
        height_ft = situation.elevation_ft
        elevation_ft = float(formulas.elevation(level_ft, height_ft))
        by_hand_ft = float(formulas.elevation_first_order(level_ft, height_ft))
        pairs.append(Pair("elevation", "-L h/R", by_hand_ft, elevation_ft))
    return Worked(
        standardisation_ft=standardisation_ft,
        temperature_ft=temperature_ft,
        tension_ft=tension_ft,
        sag_ft=sag_ft,
        slope_ft=slope_ft,
        off_line_ft=off_line_ft,
        elevation_ft=elevation_ft,
        pairs=tuple(pairs),
    )


def _stiffness(certificate: Certificate) -> float:
    return certificate.area_in2 * certificate.modulus_psi


def _sum_known(*parts_ft: float | None) -> float:
    return math.fsum(part for part in parts_ft if part is not None)


def _equal_ft(length_ft: float, count: int) -> Lengths:
    return np.full(count, length_ft / max(count, 1))


def _hanging_ft(length_ft: float, situation: Situation) -> Lengths | None:
    if situation.hanging_ft is not None:
        return np.asarray(situation.hanging_ft, dtype=np.float64)
    return None if situation.spans is None else _equal_ft(length_ft, situation.spans)


def _pulls_lb(
    spans_ft: Lengths, certificate: Certificate, situation: Situation, sine: float
) -> Lengths:
    """Bring the tension to half the height of its pull: of each listed span, or of all of them."""
    pull_lb = np.full_like(spans_ft, situation.tension_lb)
    if situation.tension_at is End.MIDDLE:
        return pull_lb
    above_ft = sine * (spans_ft if situation.hanging_ft is not None else np.sum(spans_ft))
    sign = 1.0 if situation.tension_at is End.UPPER else -1.0
    weight, stiffness_lb = certificate.weight_lb_per_ft, _stiffness(certificate)
    try:
        return pull_lb * 0 + mean_pull(pull_lb, sign * above_ft, weight, stiffness_lb)
    except ValueError as error:
        raise ConfigError(
            f"{situation.tension_lb:g} lb at the {situation.tension_at} end leaves no pull at the"
            " other",
            next_step="state the tension and where it was held",
        ) from error


def _sag(
    spans_ft: Lengths, pulls_lb: Lengths, certificate: Certificate, sine: float, pulls: int = 1
) -> Pair:
    """Work the sag of all spans by both forms; the catenary counts unstretched lengths."""
    weight, stiffness_lb = certificate.weight_lb_per_ft, _stiffness(certificate)
    stretch = 1 + certificate.certified_tension_lb / stiffness_lb
    parabola = formulas.span_sag(spans_ft, pulls_lb, weight) * (1 - sine**2)
    exact = catenary_sag(
        spans_ft / stretch, pulls_lb, weight * stretch, stiffness_lb, sine * spans_ft / stretch
    )
    return Pair("sag", SAG_FORMS[1], float(np.sum(parabola)), float(np.sum(exact)), pulls)


def _sag_ft(pair: Pair, form: str | None = None) -> float:
    is_exact = not pair.holds if form is None else form == SAG_FORMS[0]
    return pair.exact_ft if is_exact else pair.by_hand_ft


def _squared_pair(
    what: str, by_hand: str, length_ft: float, aside_ft: float, exact_ft: float
) -> Pair:
    by_hand_ft = float(formulas.slope_first_order(length_ft, aside_ft)) if length_ft else 0.0
    return Pair(what, by_hand, by_hand_ft, exact_ft)


def _length(length_ft: float, unit: ReadingUnit, form: str = ".2f") -> str:
    return f"{in_unit(length_ft, unit):{form}} {unit.symbol}"


def _force(force_lb: float, unit: ReadingUnit, digits: int = 6) -> str:
    return force_text(force_lb, unit, f".{digits}g")


def _area(certificate: Certificate) -> str:
    metric = certificate.metric
    if metric is None:
        return f"{certificate.area_in2:g} square inches"
    return f"{metric.area_mm2:g} square millimetres"


def _refuse_impossible(
    length_read_ft: float, certificate: Certificate, situation: Situation
) -> None:
    degf, pull_lb, spans = situation.temperature_degf, situation.tension_lb, situation.spans
    unit = certificate.unit
    if not 0 <= length_read_ft < math.inf:
        raise ConfigError(
            f"a length read of {_length(length_read_ft, unit)} cannot be corrected",
            next_step="measure that pull again",
            code="length-not-correctable",
            length=_length(length_read_ft, unit),
        )
    if degf is not None and not math.isfinite(degf):
        raise ConfigError(
            f"{degf:g} degF is no temperature",
            next_step="measure that pull again, with its temperature stated",
            code="not-a-temperature",
            degrees=f"{degf:g}",
        )
    if pull_lb is not None and not 0 < pull_lb < math.inf:
        raise ConfigError(
            f"a tension of {_force(pull_lb, unit)} is no pull",
            next_step="measure that pull again, with its tension stated",
            code="tension-no-pull",
            tension=_force(pull_lb, unit),
        )
    if pull_lb is not None and pull_lb > MOST_STRAIN * _stiffness(certificate):
        raise ConfigError(
            f"no tape of {_area(certificate)} survives a tension of {_force(pull_lb, unit)}",
            next_step="look at the tension, its unit, and the certificate",
            code="tension-breaks-tape",
            area=_area(certificate).partition(" ")[0],
            tension=_force(pull_lb, unit),
        )
    if spans is not None and not 0 <= spans <= MOST_SPANS:
        raise ConfigError(
            f"a tape cannot hang in {spans} spans",
            next_step="measure that pull again, with its support stated (0 is throughout)",
            code="spans-not-possible",
            spans=spans,
        )
    _refuse_list(length_read_ft, situation.hanging_ft, unit)
    if situation.elevation_ft is not None and not (
        abs(situation.elevation_ft) < formulas.EARTH_RADIUS_FT
    ):
        raise ConfigError(
            f"{_length(situation.elevation_ft, unit, 'g')} is no elevation",
            next_step=f"state it in {unit.plural}",
        )


def _refuse_list(
    length_read_ft: float, hanging_ft: tuple[float, ...] | None, unit: ReadingUnit
) -> None:
    if hanging_ft is None:
        return
    if not all(0 < span < math.inf for span in hanging_ft):
        raise ConfigError(
            "a hanging span has no length", next_step="state each span, above 0, or none"
        )
    if math.fsum(hanging_ft) > length_read_ft * (1 + 1e-9):
        raise ConfigError(
            f"spans of {_length(math.fsum(hanging_ft), unit)} in all are longer than the length"
            f" read, {_length(length_read_ft, unit)}",
            next_step="state the spans in the tape's own marks; they cannot exceed the length read",
        )


def _refuse_heavy(
    length_ft: float,
    spans_ft: Lengths,
    pulls_lb: Lengths,
    certificate: Certificate,
    situation: Situation,
) -> None:
    weight, unit = certificate.weight_lb_per_ft, certificate.unit
    if all(
        pull_lb > least_pull_lb(weight, span_ft, 1)
        for span_ft, pull_lb in zip(spans_ft, pulls_lb, strict=True)
    ):
        return
    if situation.spans is None:
        what = f"a span of {_length(float(np.max(spans_ft)), unit)} of this tape cannot hang"
        least_lb = least_pull_lb(weight, float(np.max(spans_ft)), 1)
    else:
        what = f"{_length(length_ft, unit)} of this tape cannot hang in {situation.spans} spans"
        least_lb = least_pull_lb(weight, length_ft, situation.spans)
    raise ConfigError(
        f"under {_force(situation.tension_lb or 0.0, unit)} {what}, which takes more than"
        f" {_force(least_lb, unit, digits=3)}",
        next_step="measure that pull again, with its tension and support stated",
        code="cannot-hang",
        tension=_force(situation.tension_lb or 0.0, unit),
        length=_length(length_ft, unit),
        spans=situation.spans or 1,
        least=_force(least_lb, unit, digits=3),
    )


def _slope_ft(along_ft: float, situation: Situation, unit: ReadingUnit) -> float:
    if situation.angle_deg is not None:
        return float(formulas.slope_angle(along_ft, situation.angle_deg))
    if situation.percent is not None:
        return float(formulas.slope_percent(along_ft, situation.percent))
    rise_ft = situation.rise_ft or 0.0
    try:
        return float(formulas.slope(along_ft, rise_ft))
    except ValueError as error:
        raise ConfigError(
            f"a rise of {_length(rise_ft, unit, 'g')} is greater than the length of"
            f" {_length(along_ft, unit)}",
            next_step="measure that pull again, with its rise stated",
            code="rise-beyond-length",
            rise=_length(rise_ft, unit, "g"),
            length=_length(along_ft, unit),
        ) from error


def _off_line_ft(level_ft: float, aside_ft: float, unit: ReadingUnit) -> float:
    try:
        return float(formulas.off_line(level_ft, aside_ft))
    except ValueError as error:
        raise ConfigError(
            f"{_length(aside_ft, unit, 'g')} off line is more than the length of"
            f" {_length(level_ft, unit)}",
            next_step="state how far one end was off the line",
        ) from error
