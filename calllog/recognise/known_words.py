"""Which word a stretch of a sound is, by what one voice taught; pure.

The network tells units, made for all voices. How this voice says a word as a whole is told beside
it: each stretch that may be a word is read at five points of an inner layer of the encoder, and
each word of the voice gets a score from them. Words that are not the stretch's likeliest lose what
they are behind; nothing is gained, so that what was never taught is heard as before.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calllog.recognise.shift import Array

POINTS = 5
"""At which a stretch is read, the first and the last frame among them."""
WEIGHT = 2.0
"""How often over the log-odds of words count beside the sums over units: these take frames to be
independent and are too sure, and their temperature divides both."""
MOST_NATS = 25.0
"""No word loses more."""


def places(longer: int) -> npt.NDArray[np.intp]:
    """Give the frames at which a stretch is read, from its first frame to one so much later."""
    return np.rint(np.linspace(0, longer, POINTS)).astype(np.intp)


@dataclass(frozen=True, slots=True, eq=False)
class KnownWords:
    """How a voice says some words."""

    words: tuple[str, ...]
    reads: Array
    """What each component reads of the encoder's inner layer, shape (288, rank)."""
    moves: Array
    """By how much it moves the score of each word at each point, shape (rank, points · words)."""
    bias: Array
    """What is added to the score of each word, shape (words,)."""
    sharpness: float
    """What makes log-odds of scores."""

    @property
    def weights(self) -> Array:
        """What each point's values add to the score of each word; shape (points · 288, words)."""
        by_point = (self.reads @ self.moves).reshape(len(self.reads), POINTS, len(self.words))
        return np.ascontiguousarray(by_point.transpose(1, 0, 2).reshape(-1, len(self.words)))

    def factors(self, inner: Array, longest: int) -> dict[str, npt.NDArray[np.float64]]:
        """Give by what the likelihood of each word is multiplied on each stretch.

        Args:
            inner: of the sound's frames, shape (frames, 288).
            longest: frames of the longest stretch.

        Returns:
            For each word shape (lengths, frames): at [d, t] that of the stretch from t to t + d.
        """
        frames, count = len(inner), len(self.words)
        lengths = min(frames, longest)
        moved = (inner @ self.reads @ self.moves).reshape(frames, POINTS, count)
        scores = np.zeros((lengths, frames, count), np.float32)
        for longer in range(lengths):
            left = frames - longer
            scores[longer, :left] = self.bias + sum(
                moved[at : at + left, point] for point, at in enumerate(places(longer))
            )
        behind = self.sharpness * (scores - scores.max(axis=2, keepdims=True))
        found = np.exp(np.maximum(WEIGHT * behind, -MOST_NATS), dtype=np.float64)
        return {word: found[:, :, place] for place, word in enumerate(self.words)}
