"""A length read, its tape's certificate and its conditions in, all corrections out; pure."""

from __future__ import annotations

import math

from calllog.corrections.formulas import (
    equal_spans_sag,
    slope,
    standardisation,
    temperature,
    tension,
)
from calllog.errors import ConfigError
from calllog.tape import MOST_SPANS, Certificate, least_pull_lb
from calllog.values import Conditions, Corrections


def throughout_length_ft(certificate: Certificate) -> float:
    """Convert a certified length to what the tape measures when it is supported throughout.

    A tape certified in spans sags on the bench; that sag is taken out, so that the sag in use is
    put in whole (common practice, no published source).

    Returns:
        The length between the end marks under the certified tension and temperature, flat [ft].
    """
    sag_on_bench_ft = equal_spans_sag(
        float(certificate.nominal_ft),
        certificate.certified_spans,
        certificate.certified_tension_lb,
        certificate.weight_lb_per_ft,
    )
    return certificate.certified_length_ft - float(sag_on_bench_ft)


def correct(length_read_ft: float, certificate: Certificate, conditions: Conditions) -> Corrections:
    """Find what has to be added to a length read, each correction apart.

    A correction whose condition is not known is None and not in the sum. Sag is 0 for support
    throughout; otherwise it needs the tension. Slope is taken last, from the length along the
    slope as the other known corrections leave it, so that ``length_read_ft + sum_ft`` is the
    horizontal length. For a tape certified hanging, standardisation counts from its length
    supported throughout (`throughout_length_ft`), and sag in use is whole.

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
    _refuse_impossible(length_read_ft, certificate, conditions)
    standardisation_ft = float(
        standardisation(
            length_read_ft, throughout_length_ft(certificate), float(certificate.nominal_ft)
        )
    )
    temperature_ft = tension_ft = sag_ft = slope_ft = None
    degf, pull_lb, spans = conditions.temperature_degf, conditions.tension_lb, conditions.spans
    if degf is not None:
        standard_degf, alpha = certificate.certified_temperature_degf, certificate.alpha_per_degf
        temperature_ft = float(temperature(length_read_ft, degf, standard_degf, alpha))
    if pull_lb is not None:
        stiffness_lb = certificate.area_in2 * certificate.modulus_psi
        standard_lb = certificate.certified_tension_lb
        tension_ft = float(tension(length_read_ft, pull_lb, standard_lb, stiffness_lb))
    if spans == 0:
        sag_ft = 0.0
    elif spans is not None and pull_lb is not None:
        weight = certificate.weight_lb_per_ft
        sag_ft = float(equal_spans_sag(length_read_ft, spans, pull_lb, weight))
    along_ft = [standardisation_ft, temperature_ft, tension_ft, sag_ft]
    if conditions.rise_ft is not None:
        slope_ft = _slope_ft(length_read_ft + _sum_known(along_ft), conditions.rise_ft)
    return Corrections(
        standardisation_ft=standardisation_ft,
        temperature_ft=temperature_ft,
        tension_ft=tension_ft,
        sag_ft=sag_ft,
        slope_ft=slope_ft,
        sum_ft=_sum_known([*along_ft, slope_ft]),
    )


def _sum_known(parts_ft: list[float | None]) -> float:
    return math.fsum(part for part in parts_ft if part is not None)


def _refuse_impossible(
    length_read_ft: float, certificate: Certificate, conditions: Conditions
) -> None:
    degf, pull_lb, spans = conditions.temperature_degf, conditions.tension_lb, conditions.spans
    if not 0 <= length_read_ft < math.inf:
        raise ConfigError(
            f"a length read of {length_read_ft:.2f} ft cannot be corrected",
            next_step="measure that pull again",
        )
    if degf is not None and not math.isfinite(degf):
        raise ConfigError(
            f"{degf:g} degF is no temperature",
            next_step="measure that pull again, with its temperature stated",
        )
    if pull_lb is not None and not 0 < pull_lb < math.inf:
        raise ConfigError(
            f"a tension of {pull_lb:g} lb is no pull",
            next_step="measure that pull again, with its tension stated",
        )
    if spans is not None and not 0 <= spans <= MOST_SPANS:
        raise ConfigError(
            f"a tape cannot hang in {spans} spans",
            next_step="measure that pull again, with its support stated (0 is throughout)",
        )
    if not spans or pull_lb is None:
        return
    least_lb = least_pull_lb(certificate.weight_lb_per_ft, length_read_ft, spans)
    if pull_lb <= least_lb:
        raise ConfigError(
            f"under {pull_lb:g} lb {length_read_ft:.2f} ft of this tape cannot hang in {spans}"
            f" spans, which takes more than {least_lb:.3g} lb",
            next_step="measure that pull again, with its tension and support stated",
        )


def _slope_ft(along_ft: float, rise_ft: float) -> float:
    try:
        return float(slope(along_ft, rise_ft))
    except ValueError as error:
        raise ConfigError(
            f"a rise of {rise_ft:g} ft is greater than the length of {along_ft:.2f} ft",
            next_step="measure that pull again, with its rise stated",
        ) from error
