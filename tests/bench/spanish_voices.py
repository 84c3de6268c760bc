"""Synthetic speakers of Spanish for benchmarks: words in, sound out; shell (runs speech programs).

Besides what `tests.bench.voices` needs: Festival's "el", Debian's `festvox-ellpc11k` (non-free:
research and individual use; from 1996), which nothing learns from.
"""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path

import numpy as np
import soundfile
import soxr

from models.training.es.plan import symbols
from models.training.speak import kokoro_says
from tests.bench.voices import RATE_HZ, Sound


def say_spanish(text: str, voice: str) -> Sound:
    """Speak a text.

    Args:
        text: Spanish words, numbers spelled out.
        voice: ``kokoro-<speaker>``, ``espeak-<variant>`` or ``festival-<voice>``.

    Returns:
        Samples, shape (n,), float32 within -1 to 1, mono at 16 kHz.

    Raises:
        ValueError: no such kind of voice.
        subprocess.CalledProcessError: the speech program refused.
    """
    kind, _, name = voice.partition("-")
    if kind == "kokoro":
        speaker = {"names": [name], "timbre": [1.0], "manner": [1.0], "row": 45, "speed": 1.0}
        manner = "american" if name.startswith("e") else _MANNERS.get(name, "american")
        return kokoro_says(symbols(text.split(), manner) + ".", speaker)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.wav"
        if kind == "espeak":
            command = ["espeak-ng", "-v", f"es-419+{name}", "-w", str(path), text]
        elif kind == "festival":
            command = ["text2wave", "-eval", f"(voice_{name}_diphone)", "-o", str(path)]
        else:
            message = f"{voice}: no such kind of voice; take kokoro-..., espeak-... or festival-..."
            raise ValueError(message)
        said = text.encode("latin-1") if kind == "festival" else text.encode()
        subprocess.run(command, check=True, capture_output=True, input=said)
        samples, rate_hz = soundfile.read(path, dtype="float32")
    resampled = samples if rate_hz == RATE_HZ else soxr.resample(samples, rate_hz, RATE_HZ)
    return np.asarray(np.clip(resampled, -1.0, 1.0), np.float32)


_MANNERS = {"am_michael": "english", "bf_lily": "english"}
"""Who grew up with English says Spanish with its sounds."""
