"""What is added to what the encoder model's network makes of a sound, for one voice; pure.

To the logit of each unit something is added that is read, by a matrix of low rank, out of an inner
layer of the speech encoder. No sound can be made again from it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Shift:
    """What is added to the logits."""

    reads: Array
    """What each component reads of the encoder's inner layer, shape (288, rank)."""
    moves: Array
    """By how much it moves the logit of each unit, shape (rank, units)."""
    bias: Array
    """What is added to the logit of each unit, shape (units,)."""

    def logits(self, inner: Array) -> Array:
        """Give what is added to the logits, shape (frames, 288) to (frames, units)."""
        return np.asarray(inner @ self.reads @ self.moves + self.bias, np.float32)

    @property
    def weights(self) -> Array:
        """What is added to the logits for each of the inner layer's values, shape (288, units)."""
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
