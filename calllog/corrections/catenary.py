"""A hanging elastic tape in, the exact chord and sag out, floats or arrays; pure.

The tape is a heavy elastic cord that obeys Hooke's law and does not resist bending; its weight
hangs on its unstretched length: the elastic catenary (H. M. Irvine, "Cable Structures", 1981; from
memory), tested against numeric integration of the forces. Any one unit of length and any one of
force; arrays broadcast. Where nothing can hang the functions raise ValueError.

On a slope they need the mean of the pulls at the two ends; `energy` and `pull_of` give the one from
the other.
On the level the pulls at both ends are alike and are the mean.
"""

import numpy as np

from calllog.corrections.formulas import Quantity

CANNOT_HANG = "this pull cannot carry the tape"


def energy(pull: Quantity, stiffness: Quantity) -> Quantity:
    """Give what stays the same along a cord, at the height of its pull [force]."""
    return pull + pull**2 / (2 * stiffness)


def pull_of(kept: Quantity, stiffness: Quantity) -> Quantity:
    """Give the pull that goes with an `energy` [force]; ValueError if nothing is left of it."""
    if not np.all(kept > 0):
        raise ValueError(CANNOT_HANG)
    return 2 * kept / (1 + np.sqrt(1 + 2 * kept / stiffness))


def chord(
    length: Quantity,
    pull: Quantity,
    weight: Quantity,
    stiffness: Quantity,
    rise: Quantity = 0.0,
) -> Quantity:
    """Find the horizontal distance of the ends of a hanging elastic tape, exactly.

    On the level, with ``H = sqrt(P^2 - (w L / 2)^2)``, the horizontal part of the pull,
    ``H L / (A E) + (2 H / w) asinh(w L / (2 H))``. With ends at different heights h, that times
    ``sqrt(1 - (k / L)^2)``, where ``k = h / (1 + P / (A E))`` and P is the mean pull.

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


def level_chord(
    length: Quantity, pull: Quantity, weight: Quantity, stiffness: Quantity
) -> Quantity:
    """Find the distance of the ends of a hanging elastic tape that are at one height; see `chord`.

    Raises:
        ValueError: the pull cannot carry the tape.
    """
    half_weight = (weight / 2) * length
    if not np.all(pull > half_weight):
        raise ValueError(CANNOT_HANG)
    level = np.sqrt(pull**2 - half_weight**2)
    return level * (length / stiffness + (2 / weight) * np.arcsinh(half_weight / level))
