"""A length read, its tape's certificate and its conditions in, all corrections out; pure."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calllog.corrections import formulas
from calllog.corrections.catenary import catenary_sag
from calllog.corrections.hanging import Hung, hang
from calllog.corrections.made_of import CLOSE_FT, least_read_ft, made_of
from calllog.corrections.situation import End, Situation
from calllog.errors import ConfigError
from calllog.tape import MOST_SPANS, Certificate, least_pull_lb
from calllog.units import force_text, in_unit
from calllog.values import Conditions, Corrections, ReadingUnit

NEGLIGIBLE_FT = 0.0005
"""What two forms of a correction may differ by in a pull: half of the last figure, 0.001 ft."""
MOST_STRAIN = 0.008
"""Stretch that no steel tape survives: 232,000 psi, the tensile strength of cold-rolled spring
steel (common practice, no published source)."""
POSSIBLE_DEGF = (-459.67, 1500.0)
"""From absolute zero (10th CGPM, 1954; from memory) to steel that glows."""
LEAST_LB = 0.001
"""No pull at all: less than the weight of a tenth of a foot of any tape."""
SAG_FORMS = ("catenary", "parabola -w^2 s^3/(24 P^2)")

GRADES, STILL = 60, 1e-14
"""At most so many steps to the grade of several pulls; done when its sine stands still."""

Lengths = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Pair:
    """One correction by the exact form, and by the one that is worked by hand [ft]."""

    what: str
    by_hand: str
    """The formula worked by hand."""
    by_hand_ft: float
    exact_ft: float
    holds: bool
    """Whether the formula by hand will do."""
    pulls: int = 1
    """Over how many pulls it is the sum."""
    of: int = 1
    """How many pulls there are."""

    @property
    def difference_ft(self) -> float:
        """What the formula by hand is off by."""
        return self.by_hand_ft - self.exact_ft

    @classmethod
    def compare(cls, what: str, by_hand: str, by_hand_ft: float, exact_ft: float) -> Pair:
        """Put both forms of a whole length side by side."""
        holds = abs(by_hand_ft - exact_ft) <= NEGLIGIBLE_FT
        return cls(what, by_hand, by_hand_ft, exact_ft, holds)


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
    return certificate.certified_length_ft - _sag_on_bench_ft(certificate)


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

    A length longer than the tape is pulls, each of which lies or hangs by itself
    (`calllog.corrections.made_of`), on one even slope. Slope is taken from the length along it, off
    line from the level length, elevation from that. On a slope each span hangs under its own pull
    (`calllog.corrections.hanging`).

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
    pulls = _Pulls.of(length_ft, certificate, situation)
    if not pulls.hangs and not pulls.is_unknown:
        sag_ft = 0.0
    if pull_lb is not None:
        standard_lb = certificate.certified_tension_lb
        tension_ft = float(formulas.tension(length_ft, pull_lb, standard_lb, stiffness_lb))
        if pulls.hangs:
            sags = _sags(
                pulls,
                certificate,
                situation,
                length_ft + standardisation_ft + (temperature_ft or 0.0) + tension_ft,
                sag_form,
            )
            tension_ft += sags.more_ft
            pairs += sags.pairs
            sag_ft = sags.sag_ft
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
        pairs.append(Pair.compare("elevation", "-L h/R", by_hand_ft, elevation_ft))
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


@dataclass(frozen=True, slots=True)
class _Pulls:
    """The pulls that a length is made of: length, spans and what a slope is known by."""

    length_ft: Lengths
    spans: NDArray[np.int64]
    """0 throughout, -1 not known."""

    @classmethod
    def of(cls, length_ft: float, certificate: Certificate, situation: Situation) -> _Pulls:
        pulls = made_of(length_ft, certificate, situation)
        return cls(
            np.array([one for one, _ in pulls], dtype=np.float64),
            np.array([-1 if spans is None else spans for _, spans in pulls], np.int64),
        )

    @property
    def is_unknown(self) -> bool:
        """Whether the support of any is not known."""
        return bool(np.any(self.spans < 0))

    @property
    def hanging(self) -> NDArray[np.bool_]:
        return (self.spans > 0) & (self.length_ft > 0)

    @property
    def hangs(self) -> bool:
        return bool(np.any(self.spans > 0))


@dataclass(frozen=True, slots=True)
class _Sags:
    """Sag of all pulls together, and what their slope adds to the stretch [ft]."""

    sag_ft: float
    more_ft: float
    pairs: tuple[Pair, ...]


def _sags(
    pulls: _Pulls,
    certificate: Certificate,
    situation: Situation,
    straight_ft: float,
    form: str | None,
) -> _Sags:
    """Work the sag of each pull; the rise of several is shared out on one even grade.

    Args:
        pulls: of which some hang.
        certificate: that of the tape.
        situation: with its tension.
        straight_ft: the length along the slope, but for sag and what a slope adds to the stretch.
        form: one of `SAG_FORMS`, or None for that which holds.
    """
    several = len(pulls.length_ft) > 1 and situation.rise_ft is not None
    sine = situation.sine(float(pulls.length_ft.sum())) if several else situation.fixed_sine
    sags = _at_grade(pulls, certificate, situation, sine, form)
    for _ in range(GRADES if several else 0):
        along_ft = straight_ft + sags.sag_ft + sags.more_ft
        grade = situation.sine(along_ft)
        if sine is not None and abs(grade - sine) <= STILL:
            break
        sine = grade
        sags = _at_grade(pulls, certificate, situation, sine, form)
    return sags


def _at_grade(
    pulls: _Pulls,
    certificate: Certificate,
    situation: Situation,
    sine: float | None,
    form: str | None,
) -> _Sags:
    here = pulls.hanging
    length_ft, spans = pulls.length_ft[here], pulls.spans[here]
    if not here.any():
        return _Sags(0.0, 0.0, ())
    hung = _hang(length_ft, spans, certificate, situation, sine)
    holds = np.abs(hung.by_hand_ft - hung.exact_ft) <= NEGLIGIBLE_FT
    by_hand = holds if form is None else np.full_like(holds, form == SAG_FORMS[1])
    pairs = tuple(
        Pair(
            "sag",
            SAG_FORMS[1],
            math.fsum(hung.by_hand_ft[which]),
            math.fsum(hung.exact_ft[which]),
            holds=held,
            pulls=int(which.sum()),
            of=len(holds),
        )
        for held, which in ((True, holds), (False, ~holds))
        if which.any()
    )
    sag_ft = math.fsum(np.where(by_hand, hung.by_hand_ft, hung.exact_ft))
    return _Sags(sag_ft, math.fsum(hung.more_ft), pairs)


def _hang(
    length_ft: Lengths,
    spans: NDArray[np.int64],
    certificate: Certificate,
    situation: Situation,
    sine: float | None,
) -> Hung:
    """Hang the pulls; what cannot hang is refused in words."""
    stated_lb = situation.tension_lb or 0.0
    _refuse_heavy(length_ft, spans, certificate, situation)
    nothing = np.zeros_like(length_ft)
    try:
        return hang(
            length_ft,
            spans,
            nothing + stated_lb,
            certificate,
            rise_ft=nothing + (situation.rise_ft or 0.0),
            sine=nothing + (math.nan if sine is None else sine),
            tension_at=situation.tension_at,
        )
    except ValueError as error:
        where = situation.tension_at
        raise ConfigError(
            f"{stated_lb:g} lb at the {where} end leaves no pull at the other"
            if where is not End.MIDDLE
            else f"{stated_lb:g} lb at half the height leaves no pull at the lower end",
            next_step="state the tension and where it was held",
        ) from error


def _sag_on_bench_ft(certificate: Certificate) -> float:
    """Work the sag of the whole tape, level, as it was certified, by the form that holds."""
    count, pull_lb = certificate.certified_spans, certificate.certified_tension_lb
    weight, stiffness_lb = certificate.weight_lb_per_ft, _stiffness(certificate)
    span_ft = float(certificate.nominal_ft) / count
    stretch = 1 + pull_lb / stiffness_lb
    by_hand_ft = count * float(formulas.span_sag(span_ft, pull_lb, weight))
    exact_ft = count * float(
        catenary_sag(span_ft / stretch, pull_lb, weight * stretch, stiffness_lb)
    )
    return by_hand_ft if abs(by_hand_ft - exact_ft) <= NEGLIGIBLE_FT else exact_ft


def _squared_pair(
    what: str, by_hand: str, length_ft: float, aside_ft: float, exact_ft: float
) -> Pair:
    by_hand_ft = float(formulas.slope_first_order(length_ft, aside_ft)) if length_ft else 0.0
    return Pair.compare(what, by_hand, by_hand_ft, exact_ft)


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
    if degf is not None and not POSSIBLE_DEGF[0] < degf <= POSSIBLE_DEGF[1]:
        raise ConfigError(
            f"{degf:g} degF is no temperature",
            next_step="measure that pull again, with its temperature stated",
            code="not-a-temperature",
            degrees=f"{degf:g}",
        )
    if pull_lb is not None and not LEAST_LB <= pull_lb < math.inf:
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
    sum_ft = math.fsum(hanging_ft)
    if sum_ft - length_read_ft > least_read_ft(unit) + CLOSE_FT:
        raise ConfigError(
            f"spans of {_length(sum_ft, unit, '.4f')} in all are longer than the length read,"
            f" {_length(length_read_ft, unit, '.4f')}",
            next_step="state the spans in the tape's own marks; they cannot exceed the length read",
        )


def _refuse_heavy(
    length_ft: Lengths, spans: NDArray[np.int64], certificate: Certificate, situation: Situation
) -> None:
    """Refuse a pull that hangs under less than half the weight of its span at each end."""
    pull_lb = situation.tension_lb or 0.0
    weight, unit = certificate.weight_lb_per_ft, certificate.unit
    worst = int(np.argmax(length_ft / spans))
    count = int(spans[worst])
    least_lb = least_pull_lb(weight, float(length_ft[worst]), count)
    if pull_lb > least_lb:
        return
    length = _length(float(length_ft[worst]), unit)
    what = f"a span of {length} of this tape cannot hang"
    if situation.hanging_ft is None:
        what = f"{length} of this tape cannot hang in {count} spans"
    raise ConfigError(
        f"under {_force(pull_lb, unit)} {what}, which takes more than"
        f" {_force(least_lb, unit, digits=3)}",
        next_step="measure that pull again, with its tension and support stated",
        code="cannot-hang",
        tension=_force(pull_lb, unit),
        length=length,
        spans=count,
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
