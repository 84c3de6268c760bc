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


def level_chord(
    length: Quantity, pull: Quantity, weight: Quantity, stiffness: Quantity
) -> Quantity:
    """Find the distance of the ends of a hanging elastic tape that are at one height, exactly.

    With ``H = sqrt(P^2 - (w L / 2)^2)``, the horizontal part of the pull P at both ends, above
    w L / 2: ``H L / (A E) + (2 H / w) asinh(w L / (2 H))``, L being unstretched and w above 0.

    Raises:
        ValueError: the pull cannot carry the tape.
    """
    half_weight = (weight / 2) * length
    if not np.all(pull > half_weight):
        raise ValueError(CANNOT_HANG)
    level = np.sqrt(pull**2 - half_weight**2)
    return level * (length / stiffness + (2 / weight) * np.arcsinh(half_weight / level))
