"""A tape in, the pulls at which its errors cancel out, floats or arrays; pure."""

import numpy as np
from numpy.typing import NDArray

from calllog.corrections.formulas import Quantity

Count = int | NDArray[np.int64]
STEPS = 100
"""More than the root ever needs: each step at least shortens the way to it by a third."""


def normal_tension(
    length: Quantity, standard: Quantity, weight: Quantity, stiffness: Quantity, spans: Count = 1
) -> Quantity:
    """Find the pull at which the stretch of a hanging tape cancels its sag.

    The root of ``P^2 (P - P0) = W^2 A E / (24 n^2)``, W being the weight of the whole length; by
    the formulas of `tension` and `span_sag`, and valid where the latter is. Davis, Foote and Kelly,
    "Surveying: Theory and Practice" (from memory), as ``P = 0.204 W sqrt(A E) / sqrt(P - P0)``.

    Args:
        length: L, that hangs [length].
        standard: P0, of a certificate supported throughout [force].
        weight: w [force per length].
        stiffness: A E [force].
        spans: n, equal ones, at least 1.

    Returns:
        The normal tension, broadcast [force]; always above P0.

    Raises:
        ValueError: there are no spans.

    Example:
        >>> round(float(normal_tension(30.0, 5.0, 0.03, 0.06 * 2e6)), 2)
        17.79
    """
    if not np.all(np.greater_equal(spans, 1)):
        message = "a tape supported throughout has no normal tension: it does not sag"
        raise ValueError(message)
    return _pull(standard, (weight * length / spans) ** 2 * stiffness / 24)


def tension_of_accuracy(
    length: Quantity,
    throughout: Quantity,
    *,
    warmer: Quantity,
    alpha: Quantity,
    standard: Quantity,
    weight: Quantity,
    stiffness: Quantity,
    spans: Count,
) -> Quantity:
    """Find the pull at which a tape is as long as its marks say.

    The root of ``P^2 (P - P0 + A E e) = W^2 A E / (24 n^2)``, e being what the tape is too long at
    P0 and its temperature, ``(l' - L) / L + alpha (T - T0)``, and W the weight of the whole length.
    National Bureau of Standards Circular 572 (Judson, 1956), appendix. Valid where `span_sag` is.

    Args:
        length: L, what the marks say [length].
        throughout: l', the length supported throughout at P0 and T0 [length].
        warmer: T - T0 [degree].
        alpha: coefficient of expansion [per such degree].
        standard: P0, of the certificate [force].
        weight: w [force per length].
        stiffness: A E [force].
        spans: n, equal ones; 0 is supported throughout.

    Returns:
        The tension of accuracy, broadcast [force].

    Raises:
        ValueError: the tape is too long at any pull, or spans are fewer than none.

    Example:
        >>> nist_1991 = {"alpha": 6.45e-6, "weight": 0.0127468, "stiffness": 106_742.0}
        >>> found = tension_of_accuracy(
        ...     100.0, 100.0045, warmer=0.0, standard=10.0, spans=2, **nist_1991
        ... )
        >>> round(float(found), 2)
        14.18
    """
    if not np.all(np.greater_equal(spans, 0)):
        message = "a tape cannot hang in fewer than no spans"
        raise ValueError(message)
    excess = (throughout - length) / length + alpha * warmer
    hung = np.where(np.equal(spans, 0), 0.0, weight * length / np.maximum(spans, 1))
    found = _pull(standard - stiffness * excess, hung**2 * stiffness / 24)
    if not np.all(found > 0):
        message = "supported throughout, the tape is too long at any pull"
        raise ValueError(message)
    return found


def _pull(straight: Quantity, cube: Quantity) -> Quantity:
    """Solve ``P^2 (P - straight) = cube`` for P, cube being 0 or more, by Newton's steps.

    From above the one positive root, where the curve is convex, the steps go down to it and never
    past it. Without sag (cube 0) the root is ``straight`` itself, or 0 where that is negative.
    """
    straight, cube = np.broadcast_arrays(
        np.asarray(straight, dtype=np.float64), np.asarray(cube, dtype=np.float64)
    )
    pull = np.maximum(straight, 0.0) + np.cbrt(cube)
    for _ in range(STEPS):
        steepness = pull * (3 * pull - 2 * straight)
        excess = pull**2 * (pull - straight) - cube
        step = np.divide(excess, steepness, out=np.zeros_like(pull), where=steepness > 0)
        pull = pull - step
        if np.all(np.abs(step) <= 4 * np.spacing(pull)):
            break
    return pull[()]
