"""What comes from a microphone: sound, and what befell it, as values; pure."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Samples = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Sound:
    """A stretch of sound."""

    samples: Samples
    """Shape (n, channels), 16 kHz, full scale -1 to 1."""
    begin_s: float
    """When the first sample was captured, on the monotonic clock [s]."""
    is_missing: tuple[bool, ...] = ()
    """Of each channel, whether zeros stand in for some of its sound; empty for none."""


@dataclass(frozen=True, slots=True)
class Overflow:
    """Samples are missing, because the computer or the reader was too busy."""

    name: str
    at_s: float
    """Where, on the monotonic clock [s]; to half a second."""
    frames: int | None
    """How many at 16 kHz; None if the device does not say."""


@dataclass(frozen=True, slots=True)
class Lost:
    """A device gives no sound any more."""

    name: str
    at_s: float
    """Since when, on the monotonic clock [s]; sound given out from there on is not its own."""
    reason: str
    is_filled: bool = False
    """The other channels go on, and zeros stand in for this one (see `Sound.is_missing`)."""


@dataclass(frozen=True, slots=True)
class Gap:
    """Some sound of one channel never came; zeros stood in for it (see `Sound.is_missing`)."""

    name: str
    at_s: float
    """Where it begins, on the monotonic clock [s]."""
    frames: int
    """How many at 16 kHz."""


@dataclass(frozen=True, slots=True)
class Returned:
    """A lost device gives sound again, at a time on the monotonic clock [s]."""

    name: str
    at_s: float
    gap_s: float
    """How long it gave none [s]."""


Event = Sound | Overflow | Gap | Lost | Returned
