"""A person's own voice: numbers put together from recorded words, and recorded sentences; shell.

Debian's ``asterisk-core-sounds-en-g722`` (CC-BY-SA 3.0) holds the words of numbers and some hundred
prompts of a telephone exchange, spoken by one woman in a studio, at 16 kHz. Only for figures.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt

FOLDER = Path("/usr/share/asterisk/sounds")
DIGITS = {
    **dict(enumerate("zero one two three four five six seven eight nine ten".split())),
    11: "eleven",
    12: "twelve",
    13: "thirteen",
    14: "fourteen",
    15: "fifteen",
    16: "sixteen",
    17: "seventeen",
    18: "eighteen",
    19: "nineteen",
    20: "twenty",
    30: "thirty",
    40: "forty",
    50: "fifty",
    60: "sixty",
    70: "seventy",
    80: "eighty",
    90: "ninety",
}
NAMES = {word: str(number) for number, word in DIGITS.items()} | {"oh": "oh", "hundred": "hundred"}
APART_S = 0.03
"""Between two words, beyond the silence that each recording has."""
SENTENCE_S = (0.9, 4.0)
RATE_HZ = 16_000

Sound = npt.NDArray[np.float32]


def has_words(text: str) -> bool:
    """Tell whether all words of a text were recorded."""
    return all(word in NAMES for word in text.split())


def recorded_says(text: str) -> Sound:
    """Say a number, or the sentence that a name of `sentences` stands for; shape (n,), 16 kHz.

    Raises:
        KeyError: a word was not recorded.
    """
    if text in sentences():
        return _decoded(sentences()[text])
    gap = np.zeros(int(APART_S * RATE_HZ), np.float32)
    parts = []
    for word in text.split():
        sound = _decoded(_folder() / "digits" / f"{NAMES[word]}.g722")
        loud = np.flatnonzero(np.abs(sound) > 0.02 * np.abs(sound).max())
        parts += [sound[max(0, loud[0] - 160) : loud[-1] + 480], gap]
    return np.concatenate(parts)


@cache
def sentences() -> dict[str, Path]:
    """Find the prompts of a sentence's length, by name."""
    low, high = (s * RATE_HZ / 2 for s in SENTENCE_S)
    found = sorted(_folder().glob("*.g722"))
    return {path.stem: path for path in found if low <= path.stat().st_size <= high}


@cache
def _folder() -> Path:
    return next(iter(sorted(FOLDER.glob("en_*"))))


@cache
def _decoded(path: Path) -> Sound:
    from G722 import G722  # noqa: PLC0415 - only the corpus extra brings it

    samples = np.asarray(G722(RATE_HZ, 64_000).decode(path.read_bytes()), np.float32)
    return samples / np.float32(32768)
