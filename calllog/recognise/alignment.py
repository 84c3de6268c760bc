"""Units laid out in time, the likeliest way; arrays, no file."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from calllog.recognise.word_sums import BLANK

NEVER = -1e30


def aligned(
    log_probs: npt.NDArray[np.float32], units: Sequence[int]
) -> tuple[npt.NDArray[np.intp], float]:
    """Lay units out in time, the likeliest way (Viterbi over CTC's states).

    Args:
        log_probs: shape (frames, units of the network); index 0 is the blank.
        units: what was said.

    Returns:
        The state of each frame, 2 k + 1 for the unit k and even ones for blanks between; nats.
    """
    states = np.full(2 * len(units) + 1, BLANK)
    states[1::2] = units
    places = np.arange(len(states))
    skips = (states != BLANK) & (states != np.concatenate([[BLANK] * 2, states[:-2]]))
    skips &= places > 1
    best = np.full(len(states), NEVER)
    best[:2] = log_probs[0, states[:2]]
    steps = np.zeros((len(log_probs), len(states)), np.intp)
    for frame in range(1, len(log_probs)):
        ways = np.stack(
            [
                best,
                np.concatenate([[NEVER], best[:-1]]),
                np.where(skips, np.concatenate([[NEVER] * 2, best[:-2]]), NEVER),
            ]
        )
        steps[frame] = ways.argmax(0)
        best = ways[steps[frame], places] + log_probs[frame, states]
    state = len(states) - 1 - int(best[-2] > best[-1])
    nats = float(best[state])
    path = np.zeros(len(log_probs), np.intp)
    for frame in range(len(log_probs) - 1, -1, -1):
        path[frame] = state
        state -= int(steps[frame, state])
    return path, nats
