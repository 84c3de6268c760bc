"""Whether two people speak at once: inner layers of the encoder in, a probability out; shell.

Two numbers said over each other fit the grammar as one, often surely. What the encoder's inner
layers read tells it: a small network adds up, over all frames, what they have of two voices. It
learned from pairs of people (``models/training/beside.py``).
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from calllog.errors import ModelError
from calllog.recognise.encoder import (
    BROKEN,
    INNER,
    NEXT_STEP,
    WIDTH,
    Array,
    convolved,
    model_bytes,
    normalised,
    read_arrays,
    read_layers,
)

LIKELY = 0.94
"""From here on it is told: of held-out people who spoke alone, one in two hundred came so far."""
SUREST = 0.98
"""It is never surer than this, so that what was heard keeps its order."""
SPREAD_FLOOR = 1e-6


class AtOnceNetwork:
    """The network.

    Args:
        path: its file, as ``models/training/beside.py`` writes it: layers as those of the network
            behind the encoder, and ``layers``, which of the encoder's it reads.

    Raises:
        ModelError: the file is missing or broken.
    """

    def __init__(self, path: Path) -> None:
        data = model_bytes(path)
        try:
            arrays = read_arrays(data)
            self.layers = tuple(int(each) for each in arrays.pop("layers"))
            """Which of the encoder's layers it reads."""
            self._first, *self._blocks, self._last = read_layers(arrays)
            is_known = all(0 <= each < len(INNER) for each in self.layers)
            self.probability([np.zeros((1, WIDTH), np.float32)] * len(self.layers))
        except BROKEN as error:
            raise _broken(path, str(error)) from error
        if not is_known:
            raise _broken(path, "it reads a layer that the encoder has not")
        self.digest = hashlib.sha256(data).hexdigest()
        """SHA-256 of the file."""

    def probability(self, inner: Sequence[Array]) -> float:
        """Tell how likely two people speak, where both are as likely as one.

        Args:
            inner: what each of `layers` reads, normalised, shape (frames, 288).

        Returns:
            From 0 to 0.98; 0 without frames.
        """
        frames = np.concatenate(inner, axis=1)
        if not len(frames):
            return 0.0
        hidden: Array = np.maximum(convolved(frames, self._first), 0.0)
        for block in self._blocks:
            hidden = hidden + np.maximum(convolved(normalised(hidden), block), 0.0)
        spread = np.sqrt(hidden.var(axis=0) + SPREAD_FLOOR)
        pooled = np.concatenate([hidden.mean(axis=0), spread, hidden.max(axis=0)])
        logit = float(convolved(pooled[None], self._last)[0, 0])
        return min(0.5 * (1.0 + math.tanh(logit / 2.0)), SUREST)


def _broken(path: Path, why: str) -> ModelError:
    return ModelError(
        f"this is no network that tells two voices at once: {why}",
        where=str(path),
        next_step=NEXT_STEP,
    )
