"""Corrections of lengths in the simplest situations, as tests compare them with other sources."""

from __future__ import annotations

import numpy as np

from calllog.corrections.arrays import CorrectionArrays, work_lengths
from calllog.corrections.catenary import energy, level_chord, pull_of
from calllog.corrections.formulas import Quantity
from calllog.corrections.pulls import Pulls
from calllog.errors import ConfigError
from calllog.tape import Certificate
from calllog.values import Conditions, Corrections


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
    worked = work_lengths(Pulls.build([length_read_ft], [conditions]), certificate)
    if worked.refused:
        raise worked.refused[0]
    return worked.lengths().row(0)


def correct_arrays(lengths: Pulls, certificate: Certificate) -> CorrectionArrays:
    """Find what has to be added to many lengths read with one tape, each correction apart.

    See `work_lengths` for the rules. An infinite condition or length is refused; a
    NaN among the lengths too.

    Args:
        lengths: lengths and conditions, shape (n,) each.
        certificate: that of the tape on which all were read.

    Returns:
        The corrections, shape (n,) each [ft].

    Raises:
        ConfigError: a length is impossible, as for `correct`; the first such is named, from 0.

    Example:
        >>> from calllog.tape import Certificate, Foot
        >>> from calllog.values import Conditions, Style
        >>> tape = Certificate(
        ...     identity="T-1", style=Style.FULL, nominal_ft=100, certified_length_ft=100.004,
        ...     certified_spans=0, certified_temperature_degf=68.0, certified_tension_lb=10.0,
        ...     weight_lb_per_ft=0.0128, area_in2=0.00375, foot=Foot.US_SURVEY,
        ... )
        >>> warm, unknown = Conditions(temperature_degf=88.0), Conditions()
        >>> correct_arrays(Pulls.build([100.0, 50.0], [warm, unknown]), tape).sum_ft.round(4)
        array([0.0169, 0.002 ])
    """
    worked = work_lengths(lengths, certificate)
    if worked.refused:
        index = min(worked.refused)
        error = worked.refused[index]
        raise ConfigError(error.what, where=f"pull {index} (from 0)", next_step=error.next_step)
    return worked.lengths()


def mean_pull(pull: Quantity, rise: Quantity, weight: Quantity, stiffness: Quantity) -> Quantity:
    """Find the mean of the pulls at both ends of a hanging tape from the pull at one end.

    Exact: along an elastic cord ``T + T^2 / (2 A E) - w z`` stays the same, z being the height. So
    the lower end has less pull, by the weight of a tape as long as the rise. Valid for any shape
    and number of spans over smooth supports.

    Args:
        pull: P, at the end where the balance is, above 0 [force].
        rise: height of that end above the other one; negative if it is the lower [length].
        weight: w, of the unstretched tape [force per length].
        stiffness: A E [force]; `numpy.inf` for a tape that does not stretch.

    Returns:
        The mean pull, broadcast [force].

    Raises:
        ValueError: nothing is left of the pull at the other end.

    Example:
        >>> round(float(mean_pull(10.0, 8.0, 0.0128, 108_750.0)), 4)
        9.9488
    """
    return (pull + pull_of(energy(pull, stiffness) - weight * rise, stiffness)) / 2


def chord(
    length: Quantity,
    pull: Quantity,
    weight: Quantity,
    stiffness: Quantity,
    rise: Quantity = 0.0,
) -> Quantity:
    """Find the horizontal distance of the ends of a hanging elastic tape, exactly.

    That of the level (`level_chord`) times ``sqrt(1 - (k / L)^2)``, h being the difference of
    height of the ends, ``k = h / (1 + P / (A E))`` and P the mean pull.

    Args:
        length: L, unstretched [length].
        pull: P, the mean of the pulls at both ends, above w L / 2 [force].
        weight: w, of the unstretched tape, above 0 [force per length].
        stiffness: A E [force]; `numpy.inf` for a tape that does not stretch.
        rise: h, difference of height of the ends, up or down [length].

    Returns:
        The horizontal distance, broadcast [length].

    Raises:
        ValueError: the pull cannot carry the tape, or the tape is too short for the rise.

    Example:
        >>> round(float(chord(50.0, 5.0, 0.08, np.inf)), 3)
        48.535
    """
    on_level = level_chord(length, pull, weight, stiffness)
    share = rise / (1 + pull / stiffness)
    if not np.all(np.abs(share) <= length):
        message = "no rise can be greater than the length of the tape"
        raise ValueError(message)
    flatter: Quantity = np.sqrt(1 - np.divide(share, np.where(length == 0, 1.0, length)) ** 2)
    return on_level * flatter


def catenary_sag(
    length: Quantity,
    pull: Quantity,
    weight: Quantity,
    stiffness: Quantity,
    rise: Quantity = 0.0,
) -> Quantity:
    """Correct for one span that hangs between its two supports, exactly.

    The straight distance of its ends, less the length of the same tape lying straight under the
    same pull: what is left when stretch and slope are corrected by themselves. `span_sag` is its
    parabola.

    Args:
        length: L, unstretched [length].
        pull: P, the mean of the pulls at both ends, above w L / 2 [force].
        weight: w, of the unstretched tape, above 0 [force per length].
        stiffness: A E [force]; `numpy.inf` for a tape that does not stretch.
        rise: h, difference of height of the ends, up or down [length].

    Returns:
        The correction, broadcast [length]; never positive.

    Raises:
        ValueError: as `chord`.

    Example:
        >>> round(float(catenary_sag(50.0, 5.0, 0.08, np.inf)), 3)
        -1.465
    """
    level = chord(length, pull, weight, stiffness, rise)
    return np.hypot(level, rise) - length * (1 + pull / stiffness)
