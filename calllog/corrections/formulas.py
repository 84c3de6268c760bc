"""Lengths and conditions in, one correction out, floats or arrays; pure.

Textbooks are cited from memory: Ghilani and Wolf, "Elementary Surveying", chapter 6; Davis, Foote
and Kelly, "Surveying: Theory and Practice", measurement of distance.

A correction is what is ADDED to the length read to get the true length. Each function works in
any one unit of length; it never guesses units. Arrays broadcast against each other as in numpy.
"""

import numpy as np
from numpy.typing import NDArray

Quantity = float | NDArray[np.float64]
"""One value, or an array of them."""
EARTH_RADIUS_FT = 20_906_000.0
"""Mean radius of the Earth. NOAA Manual NOS NGS 5 (Stem, 1989; from memory) [ft]."""


def standardisation(length: Quantity, certified: Quantity, nominal: Quantity) -> Quantity:
    """Correct for a tape whose marks are not as far apart as they say.

    ``C_a = L (l' - l) / l``. Ghilani and Wolf, chapter 6. Valid for any length, as far as the
    error is spread evenly along the tape.

    Args:
        length: L, the length read [length].
        certified: l', the true length between the end marks [length].
        nominal: l, what they say, above 0 [length].

    Returns:
        The correction, broadcast [length]; positive for a tape that is too long.

    Example:
        >>> round(standardisation(500.0, 100.02, 100.0), 3)
        0.1
    """
    return length * (certified - nominal) / nominal


def temperature(
    length: Quantity, degrees: Quantity, standard: Quantity, alpha: Quantity
) -> Quantity:
    """Correct for a tape warmer or colder than when it was certified.

    ``C_t = alpha L (T - T0)``. Ghilani and Wolf, chapter 6; National Bureau of Standards Circular
    572 (Judson, 1956), appendix. Linear expansion: valid for weather.

    Args:
        length: L, the length read [length].
        degrees: T, of the tape [degree, any scale].
        standard: T0, of the certificate [the same scale].
        alpha: coefficient of expansion [per degree of that scale].

    Returns:
        The correction, broadcast [length]; positive for a tape that is warmer.

    Example:
        >>> round(temperature(368.5, 22.0, 68.0, 6.5e-6), 2)
        -0.11
    """
    return alpha * length * (degrees - standard)


def tension(length: Quantity, pull: Quantity, standard: Quantity, stiffness: Quantity) -> Quantity:
    """Correct for a tape pulled harder or less than when it was certified.

    ``C_p = (P - P0) L / (A E)``. Ghilani and Wolf, chapter 6. Hooke's law: valid for any pull that
    a tape survives.

    Args:
        length: L, the length read [length].
        pull: P, in use [force].
        standard: P0, of the certificate [force].
        stiffness: A E, cross section times modulus of elasticity, above 0 [force].

    Returns:
        The correction, broadcast [length]; positive for a tape that is pulled harder.

    Example:
        >>> round(tension(100.0, 18.0, 12.0, 0.015 * 29e6), 4)
        0.0014
    """
    return (pull - standard) * length / stiffness


def span_sag(span: Quantity, pull: Quantity, weight: Quantity) -> Quantity:
    """Correct for one level span that hangs between its two supports.

    ``C_s = - w^2 s^3 / (24 P^2)``, Ghilani and Wolf, chapter 6; Davis, Foote and Kelly. Parabola
    in place of the catenary: its amount is too small by about 14 % times (w s / P)^2, which is
    0.0002 ft for 100 ft of a common tape under 10 lb. Valid while P is at least 4 w s: short by
    less than 1 % of itself. At P = 1.25 w s it is short by 9 %, and below P = w s / 2 nothing
    hangs; `catenary_sag` is exact. On a slope sag is less, times cos^2 of its angle
    (vermessungsseiten.de, guide to sag), which the caller has to put in.

    Args:
        span: s, between the supports [length].
        pull: P, in use, above 0 [force].
        weight: w [force per length].

    Returns:
        The correction, broadcast [length]; never positive.

    Example:
        >>> round(span_sag(48.88, 100.0, 0.320), 4)
        -0.0498
    """
    return -(weight**2) * (span**2 * span) / (24 * pull**2)


def equal_spans_sag(
    length: Quantity, spans: int | NDArray[np.int64], pull: Quantity, weight: Quantity
) -> Quantity:
    """Correct for a length that hangs in n equal spans.

    ``n C_s(L / n)``, see `span_sag`; nothing for a tape that is supported throughout.

    Args:
        length: L, the length read [length].
        spans: n; 0 is supported throughout, 1 at the ends only.
        pull: P, in use, above 0 [force].
        weight: w [force per length].

    Returns:
        The correction, broadcast [length]; never positive.

    Example:
        >>> round(float(equal_spans_sag(50.0, 5, 5.0, 0.08)), 3)
        -0.053
    """
    count = np.maximum(spans, 1)
    return np.where(np.equal(spans, 0), 0.0, count * span_sag(length / count, pull, weight))[()]


def slope(length: Quantity, rise: Quantity) -> Quantity:
    """Correct a length along a slope to the level, exactly.

    ``sqrt(L^2 - h^2) - L``, by Pythagoras; valid for any slope. That a tape is level *within* h is
    no slope to correct but an uncertainty of up to this amount.

    Args:
        length: L, along the slope [length].
        rise: h, difference of height of its ends, up or down, at most L [length].

    Returns:
        The correction, broadcast [length]; never positive.

    Raises:
        ValueError: a rise is greater than its length (or either is no number).

    Example:
        >>> round(float(slope(30.0, 0.70)), 6)
        -0.008168
    """
    if not np.all(np.abs(rise) <= length):
        message = "no rise can be greater than the length along the slope"
        raise ValueError(message)
    return np.sqrt(length**2 - rise**2) - length


def slope_first_order(length: Quantity, rise: Quantity) -> Quantity:
    """Correct a length along a slope to the level, as worked by hand.

    ``- h^2 / (2 L)``. NAVEDTRA 14069, p. 12-15, which adds ``- h^4 / (8 L^3)`` above 5 %. The same
    formula serves a tape held off line by h at one end. For comparison with hand computations;
    `work` uses `slope`. Too small in amount by h^4 / (8 L^3).

    Args:
        length: L, along the slope, above 0 [length].
        rise: h, difference of height of its ends [length].

    Returns:
        The correction, broadcast [length]; never positive.

    Example:
        >>> round(slope_first_order(300.0, 26.15), 2)
        -1.14
    """
    return -(rise**2) / (2 * length)


def slope_sine(length: Quantity, sine: Quantity) -> Quantity:
    """Correct a length along a slope whose sine is known to the level, exactly.

    ``H = L cos a`` (Ghilani and Wolf, chapter 6), as ``- L sin^2 a / (1 + cos a)``, which is
    ``- L (1 - cos a)`` without its loss of digits.

    Args:
        length: L, along the slope [length].
        sine: of the vertical angle a, from -1 to 1.

    Returns:
        The correction, broadcast [length]; never positive.

    Example:
        >>> round(float(slope_sine(30.0, 0.70 / 30.0)), 6)
        -0.008168
    """
    found: Quantity = -length * sine**2 / (1 + np.sqrt(1 - np.square(sine)))
    return found


def off_line(length: Quantity, distance: Quantity) -> Quantity:
    """Correct a level length one end of which was held off the line, exactly.

    ``sqrt(L^2 - d^2) - L``, by Pythagoras as `slope`; valid for any d up to L. Its first order,
    ``- d^2 / (2 L)``, is `slope_first_order`.

    Args:
        length: L, level, as it was held [length].
        distance: d, of that end from the line, to either side, at most L [length].

    Returns:
        The correction, broadcast [length]; never positive.

    Raises:
        ValueError: a distance off line is greater than its length (or either is no number).

    Example:
        >>> round(float(off_line(50.0, 2.0)), 4)
        -0.04
    """
    return slope(length, distance)


def elevation(length: Quantity, height: Quantity, radius: Quantity = EARTH_RADIUS_FT) -> Quantity:
    """Reduce a level length on the ground to sea level, or to the ellipsoid.

    ``- L h / (R + h)``. NOAA Manual NOS NGS 5 (Stem, 1989; from memory), with R as 20 906 000 ft.
    Valid for a mean radius: the Earth's own differs from it by up to 0.6 %, and so may this.

    Args:
        length: L, level, at that height [length].
        height: h, above sea level for a length there, above the ellipsoid for one there [length].
        radius: R, in the same unit [length]; in feet if left out.

    Returns:
        The correction, broadcast [length]; negative above, positive below.

    Example:
        >>> round(elevation(1000.0, 5000.0), 3)
        -0.239
    """
    return -length * height / (radius + height)


def elevation_first_order(
    length: Quantity, height: Quantity, radius: Quantity = EARTH_RADIUS_FT
) -> Quantity:
    """Reduce a level length to sea level, as worked by hand.

    ``- L h / R``; common practice, no published source. For comparison; too great in amount by
    ``L (h / R)^2``.

    Args:
        length: L, level, at that height [length].
        height: h [length].
        radius: R, in the same unit [length]; in feet if left out.

    Returns:
        The correction, broadcast [length].

    Example:
        >>> round(elevation_first_order(6422.46, 400.0, 6_400_000.0), 2)
        -0.4
    """
    return -length * height / radius
