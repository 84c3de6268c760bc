"""A true length to be laid out in, what to read on this tape today out; pure.

Solved on `work`, the same corrections that a measured length gets, so that what is laid out and
measured again comes out as it was wanted. Flipping the signs instead is an approximation.
"""

import math
from collections.abc import Sequence

from calllog.corrections.correct import work
from calllog.corrections.formulas import EARTH_RADIUS_FT
from calllog.corrections.hanging import SAG_FORMS, throughout_length_ft
from calllog.corrections.made_of import CLOSE_FT, MOST_PULLS, reach_ft
from calllog.corrections.refusals import MOST_STRAIN
from calllog.corrections.situation import Situation
from calllog.corrections.statement import state
from calllog.corrections.tensions import normal_tension, tension_of_accuracy
from calllog.errors import ConfigError
from calllog.tape import Certificate, least_pull_lb
from calllog.units import in_unit
from calllog.values import Frozen


class Layout(Frozen):
    """What to read on the tape for a true length: pulls of the full tape, and what is left."""

    horizontal_ft: float
    """The true horizontal length wanted."""
    full_pulls: int
    full_reading_ft: float
    full_horizontal_ft: float
    """True horizontal length of one pull of the full tape."""
    last_reading_ft: float
    """What to read in the last pull; 0 if full pulls do."""
    reading_ft: float
    """Sum of all that is read."""
    warnings: tuple[str, ...]


class PocketRow(Frozen):
    """One line of the day's table."""

    length_ft: float
    add_ft: float
    """Measuring: add to this length read."""
    read_ft: float | None
    """Laying out: read this for this true length; None where one pull cannot give it."""


class TruePull(Frozen):
    """The pulls at which the errors of a whole tape cancel out."""

    spans: int
    """Support: 0 throughout, 1 at the ends only, n at n equal spans."""
    tension_of_accuracy_lb: float | None
    """At which the tape is as long as its marks say; None where it is too long at any pull."""
    normal_tension_lb: float | None
    """At which stretch cancels sag; None where the tape does not sag."""


def true_pull(certificate: Certificate, temperature_degf: float | None, spans: int) -> TruePull:
    """Find at what pull a whole tape reads true today, and at what pull stretch cancels its sag.

    By `tension_of_accuracy` and `normal_tension`, from the certificate converted to support
    throughout; by the catenary where the corrections take it in place of the parabola.

    Args:
        certificate: that of the tape.
        temperature_degf: of the tape; None takes that of the certificate.
        spans: support; 0 throughout, 1 at the ends only, n at n equal spans.
    """
    degf = certificate.certified_temperature_degf
    warmer_degf = 0.0 if temperature_degf is None else temperature_degf - degf
    length_ft, throughout_ft = float(certificate.nominal_ft), throughout_length_ft(certificate)
    stiffness_lb = certificate.area_in2 * certificate.modulus_psi
    weight, standard_lb = certificate.weight_lb_per_ft, certificate.certified_tension_lb
    try:
        accuracy_lb: float | None = float(
            tension_of_accuracy(
                length_ft,
                throughout_ft,
                warmer=warmer_degf,
                alpha=certificate.alpha_per_degf,
                standard=standard_lb,
                weight=weight,
                stiffness=stiffness_lb,
                spans=spans,
            )
        )
    except ValueError:
        accuracy_lb = None
    if not spans:
        return TruePull(spans=0, tension_of_accuracy_lb=accuracy_lb, normal_tension_lb=None)
    normal_lb = float(normal_tension(length_ft, standard_lb, weight, stiffness_lb, spans))
    excess_ft = throughout_ft - length_ft + certificate.alpha_per_degf * length_ft * warmer_degf
    return TruePull(
        spans=spans,
        tension_of_accuracy_lb=_by_form_in_use(accuracy_lb, excess_ft, certificate, spans),
        normal_tension_lb=_by_form_in_use(normal_lb, 0.0, certificate, spans),
    )


def _by_form_in_use(
    by_hand_lb: float | None, excess_ft: float, certificate: Certificate, spans: int
) -> float | None:
    """Take the catenary's root in place of the parabola's where that form is in use.

    Args:
        by_hand_lb: the root of the parabola; None where there is none.
        excess_ft: what the tape is too long, but for tension and sag [ft].
        certificate: that of the tape.
        spans: n, at least 1.

    Returns:
        The pull at which stretch and sag take that away [lb]; None beyond what a tape survives.
    """
    from scipy.optimize import brentq  # noqa: PLC0415 - 20 MB that listening does not need

    length_ft = float(certificate.nominal_ft)

    def left_ft(pull_lb: float, form: str | None = SAG_FORMS[0]) -> float:
        held = Situation(tension_lb=pull_lb, spans=spans)
        found = work(length_ft, certificate, held, sag_form=form)
        return excess_ft + (found.tension_ft or 0.0) + (found.sag_ft or 0.0)

    least_lb = least_pull_lb(certificate.weight_lb_per_ft, length_ft, spans) * (1 + 1e-9)
    most_lb = MOST_STRAIN * certificate.area_in2 * certificate.modulus_psi
    can_be = by_hand_lb is not None and least_lb < by_hand_lb < most_lb
    if by_hand_lb is not None and can_be and abs(left_ft(by_hand_lb, None)) <= 10 * CLOSE_FT:
        return by_hand_lb
    if left_ft(most_lb) < 0 or left_ft(least_lb) > 0:
        return None
    return float(brentq(left_ft, least_lb, most_lb, xtol=1e-12))


def layout_reading(horizontal_ft: float, certificate: Certificate, situation: Situation) -> Layout:
    """Find what to read on this tape so that the true horizontal length results.

    A bracketing root of ``r + corrections(r) - D`` for each pull. A line longer than the tape is
    made of pulls of the full tape and one more, as `pull_lengths_ft` has it; every pull lies and
    hangs as the situation says, on one even slope. With an elevation the length wanted is that at
    sea level.

    Args:
        horizontal_ft: D, above 0 [ft].
        certificate: that of the tape.
        situation: what is known; support as a number of equal spans of each pull, not as a list.

    Raises:
        ConfigError: the length or the situation is impossible, or a pull of the full tape is (it
            has to hang under the tension even where a shorter one is wanted).
    """
    unit = certificate.unit
    if not 0 < horizontal_ft < math.inf:
        raise ConfigError(
            f"{in_unit(horizontal_ft, unit):g} {unit.symbol} cannot be laid out",
            next_step="state a length above 0",
        )
    if situation.hanging_ft is not None:
        raise ConfigError(
            "listed spans do not say how each pull will hang",
            next_step="state support throughout, at the ends, or a number of equal spans",
        )
    if situation.off_line_ft is not None:
        raise ConfigError(
            "nothing is laid out off its line", next_step="leave the distance off line out"
        )
    whole_ft, most_ft = float(certificate.nominal_ft), reach_ft(certificate)
    even = _even_slope(horizontal_ft, situation)
    full = state(whole_ft, certificate, even)
    if full.horizontal_ft <= 0:
        raise ConfigError(
            f"a pull of the full tape is {in_unit(full.horizontal_ft, unit):.2f} {unit.symbol}"
            " long",
            next_step="look at the certificate and the situation",
        )
    full_ft = full.horizontal_ft
    if horizontal_ft / full_ft > MOST_PULLS:
        raise ConfigError(
            f"{in_unit(horizontal_ft, unit):g} {unit.symbol} are more than {MOST_PULLS:,} pulls"
            " of this tape",
            next_step="look at the length and its unit",
        )
    count, last_ft, rest_ft = 0, 0.0, horizontal_ft
    alone = _within_ft(horizontal_ft, certificate, situation)
    if alone is None:
        over_ft = horizontal_ft - _horizontal_ft(most_ft, certificate, even) - CLOSE_FT
        count = max(1, math.ceil(over_ft / full_ft))
        rest_ft = horizontal_ft - count * full_ft
        if rest_ft > CLOSE_FT:
            last_ft = _reading_ft(rest_ft, certificate, even)
    else:
        last_ft = alone
    if last_ft == whole_ft:
        count, last_ft = count + 1, 0.0
    reading_ft = count * whole_ft + last_ft
    return Layout(
        horizontal_ft=horizontal_ft,
        full_pulls=count,
        full_reading_ft=whole_ft,
        full_horizontal_ft=full_ft,
        last_reading_ft=last_ft,
        reading_ft=reading_ft,
        warnings=state(reading_ft, certificate, situation).warnings,
    )


def pocket_table(
    lengths_ft: Sequence[float], certificate: Certificate, situation: Situation
) -> tuple[PocketRow, ...]:
    """Make the day's table: what to add to each length read, and what to read for each true one.

    Args:
        lengths_ft: of single pulls, above 0, at most the tape [ft].
        certificate: that of the tape.
        situation: what is known; a slope as an angle or in percent, not as a rise.

    Raises:
        ConfigError: the situation is impossible, or a slope is stated as a rise.
    """
    if situation.rise_ft is not None:
        raise ConfigError(
            "one rise does not go with a table of lengths",
            next_step="state the slope as an angle or in percent",
        )
    reach_ft = _horizontal_ft(float(certificate.nominal_ft), certificate, situation)
    return tuple(
        PocketRow(
            length_ft=length_ft,
            add_ft=work(length_ft, certificate, situation).sum_ft,
            read_ft=_reading_ft(length_ft, certificate, situation)
            if length_ft <= reach_ft
            else None,
        )
        for length_ft in lengths_ft
    )


def _even_slope(horizontal_ft: float, situation: Situation) -> Situation:
    """Give each pull its share of the whole rise: the same grade, on the ground."""
    if situation.rise_ft is None:
        return situation
    on_ground = 1 + (situation.elevation_ft or 0.0) / EARTH_RADIUS_FT
    percent = 100 * situation.rise_ft / (horizontal_ft * on_ground)
    return situation.model_copy(update={"rise_ft": None, "percent": percent})


def _horizontal_ft(
    reading_ft: float, certificate: Certificate, situation: Situation, form: str | None = None
) -> float:
    return reading_ft + work(reading_ft, certificate, situation, sag_form=form).sum_ft


def _within_ft(wanted_ft: float, certificate: Certificate, situation: Situation) -> float | None:
    """Solve one pull whose situation is stated for it alone; None where it takes several."""
    most_ft = reach_ft(certificate)
    if _off_ft(most_ft, wanted_ft, certificate, situation) < -CLOSE_FT:
        return None
    return _reading_ft(wanted_ft, certificate, situation)


def _off_ft(
    reading_ft: float,
    wanted_ft: float,
    certificate: Certificate,
    situation: Situation,
    form: str | None = None,
) -> float:
    """Give what a reading leaves beyond the length wanted; one shorter than its rise leaves none.

    Raises:
        ConfigError: the situation is impossible in any other way.
    """
    try:
        return _horizontal_ft(reading_ft, certificate, situation, form) - wanted_ft
    except ConfigError as error:
        if error.code != "rise-beyond-length":
            raise
        return -wanted_ft


def _reading_ft(wanted_ft: float, certificate: Certificate, situation: Situation) -> float:
    """Solve one pull by both forms of sag, and take the one that its reading is corrected by."""
    from scipy.optimize import brentq  # noqa: PLC0415 - 20 MB that listening does not need

    most_ft = reach_ft(certificate)

    def solved(form: str) -> float:
        def off_ft(reading_ft: float) -> float:
            return _off_ft(reading_ft, wanted_ft, certificate, situation, form)

        if off_ft(most_ft) <= 0:
            return most_ft
        return float(brentq(off_ft, 0.0, most_ft, xtol=CLOSE_FT))

    def missed_ft(reading_ft: float) -> float:
        return abs(_off_ft(reading_ft, wanted_ft, certificate, situation))

    exact, by_hand = SAG_FORMS
    reading_ft = solved(by_hand)
    if missed_ft(reading_ft) > 10 * CLOSE_FT:
        reading_ft = min(reading_ft, solved(exact), key=missed_ft)
    whole_ft = float(certificate.nominal_ft)
    return whole_ft if abs(reading_ft - whole_ft) <= 2 * CLOSE_FT else reading_ft
