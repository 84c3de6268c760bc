"""Synthetic speakers of Spanish for benchmarks: words in, sound out; shell (runs speech programs).

Besides what `tests.bench.voices` needs: Festival's "el", Debian's `festvox-ellpc11k` (non-free:
research and individual use; from 1996), which nothing learns from.
"""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import soundfile
import soxr

from models.training.es.plan import symbols
from models.training.speak import kokoro_says
from tests.bench.voices import RATE_HZ, Sound


def say_spanish(texts: Sequence[str], voice: str) -> list[Sound]:
    """Speak some texts.

    Args:
        texts: Spanish words, numbers spelled out.
        voice: ``kokoro-<speaker>``, ``espeak-<variant>`` or ``festival-<voice>``.

    Returns:
        For each samples, shape (n,), float32 within -1 to 1, mono at 16 kHz.

    Raises:
        ValueError: no such kind of voice.
        subprocess.CalledProcessError: the speech program refused.
    """
    kind, _, name = voice.partition("-")
    if kind == "kokoro":
        return [_kokoro(text, name) for text in texts]
    with tempfile.TemporaryDirectory() as folder:
        paths = [Path(folder) / f"{number}.wav" for number in range(len(texts))]
        if kind == "espeak":
            for path, text in zip(paths, texts, strict=True):
                command = ["espeak-ng", "-v", f"es-419+{name}", "-w", str(path), text]
                subprocess.run(command, check=True, capture_output=True)
        elif kind == "festival":  # all in one process: it takes long to begin
            script = Path(folder) / "say.scm"
            lines = [f"(voice_{name}_diphone)"]
            for path, text in zip(paths, texts, strict=True):
                utterance = f'(utt.synth (Utterance Text "{text}"))'
                lines.append(f'(utt.save.wave {utterance} "{path}" \'riff)')
            script.write_text("\n".join(lines) + "\n", "latin-1")
            subprocess.run(["festival", "-b", str(script)], check=True, capture_output=True)
        else:
            message = f"{voice}: no such kind of voice; take kokoro-..., espeak-... or festival-..."
            raise ValueError(message)
        return [_read(path) for path in paths]


def _kokoro(text: str, name: str) -> Sound:
    speaker = {"names": [name], "timbre": [1.0], "manner": [1.0], "row": 45, "speed": 1.0}
    manner = _MANNERS.get(name, "american")
    return kokoro_says(symbols(text.split(), manner) + ".", speaker)


def _read(path: Path) -> Sound:
    samples, rate_hz = soundfile.read(path, dtype="float32")
    resampled = samples if rate_hz == RATE_HZ else soxr.resample(samples, rate_hz, RATE_HZ)
    return np.asarray(np.clip(resampled, -1.0, 1.0), np.float32)


_MANNERS = {"am_michael": "english", "bf_lily": "english"}
"""Who grew up with English says Spanish with its sounds."""
