"""The gain of a high-pass filter at given frequencies; pure.

Applied to spectra with numpy: a signal library would take 80 MB of memory for it.
"""

import numpy as np
import numpy.typing as npt


def high_pass_gain(
    frequencies_hz: npt.NDArray[np.floating], corner_hz: float, order: int
) -> npt.NDArray[np.float64]:
    """Give the gain of Butterworth's high-pass filter: 1 / sqrt(1 + (corner / f) ** (2 order)).

    Butterworth, "On the theory of filter amplifiers", Wireless Engineer 7 (1930) 536 (from memory).

    Args:
        frequencies_hz: shape (n,), 0 or more [Hz].
        corner_hz: where the gain is 1 / sqrt(2) [Hz].
        order: how steep it is below: 6 dB an octave times this.

    Returns:
        Gains from 0 to 1, shape (n,).
    """
    power = (frequencies_hz / corner_hz) ** (2 * order)
    result: npt.NDArray[np.float64] = np.sqrt(power / (1.0 + power))
    return result
