"""A person's own voice: numbers and short sentences put together from recorded words; shell.

Debian's ``saytime`` holds the words of the time of day, spoken by one man: 0 to 20, the tens to 50,
"oh" and some others, 8 kHz, 8-bit mu-law without a header, as telephones and some wireless headsets
carry it. Only for figures.
"""

from __future__ import annotations

from functools import cache
from itertools import permutations
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soundfile
import soxr

FOLDER = Path("/usr/share/saytime")
NUMBERS = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen"
    " sixteen seventeen eighteen nineteen twenty"
).split()
NAMES = (
    {word: str(number) for number, word in enumerate(NUMBERS)}
    | {"thirty": "30", "forty": "40", "fifty": "50", "oh": "oh"}
    | {word: word for word in ("hour", "hours", "minute", "minutes", "second", "seconds")}
    | {"exactly": "exactly", "clock": "oclock"}
)
SENTENCES = tuple(
    " ".join(words)
    for words in permutations(("hours", "minutes", "seconds", "exactly", "clock", "hour"), 3)
)
"""What holds no number; each is said with pauses as short as those within a number."""
APART_S = 0.03
"""Between two words, beyond the silence that each recording has."""
RECORDED_HZ, RATE_HZ = 8_000, 16_000

Sound = npt.NDArray[np.float32]


def has_words(text: str) -> bool:
    """Tell whether all words of a text were recorded."""
    return all(word in NAMES for word in text.split())


def recorded_says(text: str) -> Sound:
    """Say numbers, or one of `SENTENCES`; shape (n,), 16 kHz.

    Raises:
        KeyError: a word was not recorded.
    """
    gap = np.zeros(int(APART_S * RATE_HZ), np.float32)
    parts = []
    for word in text.split():
        sound = _decoded(NAMES[word])
        loud = np.flatnonzero(np.abs(sound) > 0.05 * np.abs(sound).max())
        parts += [sound[max(0, loud[0] - 160) : loud[-1] + 480], gap]
    return np.concatenate(parts)


@cache
def _decoded(name: str) -> Sound:
    samples, _ = soundfile.read(
        FOLDER / f"{name}.au",
        dtype="float32",
        samplerate=RECORDED_HZ,
        channels=1,
        format="RAW",
        subtype="ULAW",
    )
    return np.asarray(soxr.resample(samples, RECORDED_HZ, RATE_HZ), np.float32)
