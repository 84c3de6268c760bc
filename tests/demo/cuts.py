"""Pieces of the demo's recordings.

A piece from the beginning on is heard as it was in the whole, so that its listeners need not hear
anew what the demo's heard (see `tests.heard_once`); any other is.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import soundfile

TWO_PULLS_S = (0.0, 42.0)
"""Of the first recording: talk, the conditions, and two pulls whose check agrees."""
A_FOOT_S = (0.0, 58.8)
"""And a third, whose check is a foot shorter."""
DIFFERS_S = (0.0, 94.5)
"""And what became of it, and a fourth pull, whose check is one hundredth longer."""
ONE_PULL_S = (0.0, 23.5)
"""Of the second recording: the conditions, and a pull whose check agrees."""
AGREED_S = (30.5, 41.5)
"""Of the first recording: a pull alone."""
DIFFERS_ALONE_S = (81.5, 93.5)
"""A pull alone whose check is one hundredth longer."""


def cut(recording: Path, into: Path, *spans_s: tuple[float, float]) -> Path:
    """Write pieces of a recording one after the other, a second of silence at the end."""
    samples, rate_hz = soundfile.read(recording, dtype="int16")
    found = [samples[round(begin * rate_hz) : round(end * rate_hz)] for begin, end in spans_s]
    quiet = np.zeros((rate_hz, samples.shape[1]), np.int16)
    soundfile.write(into, np.concatenate([*found, quiet]), rate_hz)
    return into
