"""Sound that is at hand as a source of blocks, as a recording is one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt


@dataclass
class Frames:
    """Blocks of shape (frames, channels) at 16 kHz; can be heard once."""

    given: Iterable[npt.NDArray[np.floating]]
    channels: int = 1
    name: str = "mic"
    duration_s: float | None = None

    def blocks(self) -> Iterator[npt.NDArray[np.float32]]:
        """Give them."""
        return (block.astype(np.float32, copy=False) for block in self.given)
