"""Make the Spanish clips beside this file; needs Debian's `espeak-ng`.

``python -m tests.audio.make_spanish_clips``. As `tests.audio.make_clips`; the voice is one of those
that settings are tuned on, which the network never heard.
"""

from __future__ import annotations

import numpy as np
import soundfile

from tests.audio.make_clips import HERE, laid_in_hiss
from tests.bench.spanish_voices import say_spanish
from tests.bench.voices import RATE_HZ

FOLDER, VOICE = "espeak-es-m3", "espeak-m3"
CLIPS = (
    "quince",
    "cuarenta_y_dos",
    "cero_cinco",
    "quince_cuarenta_y_dos",
    "cambiar_extremos",
    "dame_un_pie",
    "reject_corta_esa_rama_por_favor",
)


def main() -> None:
    """Write all clips."""
    (HERE / FOLDER).mkdir(exist_ok=True)
    texts = [name.removeprefix("reject_").replace("_", " ") for name in CLIPS]
    for number, (name, said) in enumerate(zip(CLIPS, say_spanish(texts, VOICE), strict=True)):
        sound = laid_in_hiss(said, np.random.default_rng(number))
        path = HERE / FOLDER / f"{name}.flac"
        soundfile.write(path, sound, RATE_HZ, subtype="PCM_16", compression_level=1.0)


if __name__ == "__main__":
    main()
