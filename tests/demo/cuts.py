"""Pieces of the demo's recordings: hearing all of one takes a minute of computing."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import soundfile

STATED_S = (0.0, 13.5)
"""Of the first recording: talk, and the conditions."""
AGREED_S = ((13.5, 25.5), (30.5, 41.5), (102.4, 114.8))
"""Pulls whose check agrees; all are booked."""
DIFFERS_S = (81.5, 93.5)
"""A pull whose check is one hundredth longer."""
A_FOOT_S = (47.0, 58.5)
"""A pull whose check is a foot shorter."""


def cut(recording: Path, into: Path, *spans_s: tuple[float, float]) -> Path:
    """Write pieces of a recording one after the other, a second of silence at the end."""
    samples, rate_hz = soundfile.read(recording)
    found = [samples[round(begin * rate_hz) : round(end * rate_hz)] for begin, end in spans_s]
    quiet = np.zeros((rate_hz, samples.shape[1]))
    soundfile.write(into, np.concatenate([*found, quiet]), rate_hz)
    return into
