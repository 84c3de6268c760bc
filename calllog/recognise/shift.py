"""What of the encoder model's network is shifted for one voice; pure.

To the last layer's weights something of low rank is added, and to each unit's bias a number. No
sound can be made again from it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Shift:
    """What is added to the last layer."""

    reads: Array
    """What each component reads of the values before the last layer, shape (values, rank)."""
    moves: Array
    """By how much it moves the logit of each unit, shape (rank, units)."""
    bias: Array
    """What is added to the logit of each unit, shape (units,)."""

    def logits(self, hidden: Array) -> Array:
        """Give what is added to the logits, shape (frames, values) to (frames, units)."""
        return np.asarray(hidden @ self.reads @ self.moves + self.bias, np.float32)

    @property
    def weights(self) -> Array:
        """What is added to the weights of the last layer, shape (values, units)."""
        return np.asarray(self.reads @ self.moves, np.float32)


def of_rank(weights: npt.NDArray[np.float64], bias: npt.NDArray[np.float64], rank: int) -> Shift:
    """Give the shift of a rank that is nearest to what is added to weights (Eckart and Young)."""
    left, sizes, right = np.linalg.svd(weights, full_matrices=False)
    roots = np.sqrt(sizes[:rank])
    return Shift(
        np.asarray(left[:, :rank] * roots, np.float32),
        np.asarray(roots[:, None] * right[:rank], np.float32),
        np.asarray(bias, np.float32),
    )
