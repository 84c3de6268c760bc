"""Speaks single words, of which figures said apart are put together: ``apart.npy`` and an index.

``python -m models.training.apart FOLDER``. People who call "three, six" say two words, each by
itself, and many say them with the sounds of another language: synthesisers of other languages read
English figures as their own spelling writes them. What is learnt from is the usual English
pronunciation. Needs Debian's `espeak-ng` and `flite`, and PyPI's `ttspico`.
"""

from __future__ import annotations

import json
import random
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from models.training.phones import non_rhotic, pronunciations
from models.training.speak import Sound, speak
from models.training.voices import ESPEAK_ACCENTS, ESPEAK_REGIONS, ESPEAK_VARIANTS, FLITE, PICO

SEED = 5
FIGURES = "zero one two three four five six seven eight nine".split()
OTHERS = (
    "oh niner ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen "
    "twenty thirty forty fifty sixty seventy eighty ninety hundred point no sorry correction foot "
    "feet double"
).split()
OTHERS_SHARE = 0.3
"""How many of the other words a voice says."""
SPELLED = {
    "fr": "ziro ouane tou sri for faïve sixe sévène éite naïne",
    "fr-be": "zirô ouan tou tri fort faïve sixe sèveune eïte naïne",
    "el": "ζίρο ουάν του θρι φορ φάιβ σιξ σέβεν έιτ νάιν",
    "es": "ziro uan tu tri for faif six seven eit nain",
    "es-419": "siro guan tu tri for faib six seben eit nain",
    "de": "siro wann tu srie for faif six sewwen äit nain",
    "it": "ziro uan tu tri for faiv six seven eit nain",
    "pt": "ziro uan tu tri for faiv sics seven eit nain",
    "pt-br": "zirou uan tu tri for faiv sics seven eit nain",
    "ru": "зироу уан ту сри фор файв сикс сэвэн эйт найн",
    "pl": "ziro łan tu tri for fajw siks sewen ejt najn",
    "tr": "ziro van tu tri for fayv siks sevın eyt nayn",
    "nl": "ziro wan toe srie foor faiv six sevven eet nain",
    "cs": "zírou uan tú srí fór fajv siks sevn ejt najn",
    "sv": "siro oann to tri får fajv six seven ejt najn",
    "hi": "ज़ीरो वन टू थ्री फोर फाइव सिक्स सेवन एट नाइन",
    "ro": "ziro uan tu tri for faiv sics seven eit nain",
    "fi": "siirou uan tuu thrii foor faiv siks seven eit nain",
}
"""The ten figures of English as a reader of another language would say them; made for this."""
PICO_FOREIGN = {"fr-FR": "fr", "de-DE": "de", "es-ES": "es", "it-IT": "it"}
NATIVE_VOICES, FOREIGN_VOICES, PICO_VOICES, FLITE_VOICES = 14, 12, 10, 6
"""How many voices of each accent or language."""


def words(seed: int = SEED) -> Iterator[tuple[str, dict[str, Any], str, bool]]:
    """Draw what is said by whom: word, voice, the text that is spoken, and if it is British."""
    rng = random.Random(seed)  # noqa: S311 - which words are drawn is no secret
    accents = (*ESPEAK_ACCENTS, *ESPEAK_REGIONS)
    for accent in accents:
        for variant in rng.sample(ESPEAK_VARIANTS, NATIVE_VOICES):
            voice = {
                "kind": "espeak",
                "name": f"{accent}+{variant}",
                "speed": rng.randint(110, 190),
            }
            yield from _native(voice | {"pitch": rng.randint(25, 75)}, rng, british="gb" in accent)
    for language, spelled in SPELLED.items():
        for variant in rng.sample(ESPEAK_VARIANTS, FOREIGN_VOICES):
            voice = {
                "kind": "espeak",
                "name": f"{language}+{variant}",
                "speed": rng.randint(100, 170),
            }
            yield from _foreign(voice | {"pitch": rng.randint(25, 75)}, spelled)
    for language, spelling in PICO_FOREIGN.items():
        for _ in range(PICO_VOICES):
            voice = {"kind": "pico", "name": language, "speed": rng.uniform(0.75, 1.2)}
            yield from _foreign(voice | {"pitch": rng.randint(10, 90)}, SPELLED[spelling])
    for kind, names, count in (("pico", PICO, PICO_VOICES), ("flite", FLITE, FLITE_VOICES)):
        for name in names * count:
            voice = {"kind": kind, "name": name, "speed": rng.uniform(0.75, 1.25)}
            yield from _native(voice | {"pitch": rng.randint(10, 90)}, rng, british=False)


def _native(
    voice: dict[str, Any], rng: random.Random, *, british: bool
) -> Iterator[tuple[str, dict[str, Any], str, bool]]:
    for word in (*FIGURES, *(each for each in OTHERS if rng.random() < OTHERS_SHARE)):
        yield word, voice, word, british


def _foreign(
    voice: dict[str, Any], spelled: str
) -> Iterator[tuple[str, dict[str, Any], str, bool]]:
    for word, text in zip(FIGURES, spelled.split(), strict=True):
        yield word, voice, text, False


def main(folder: Path) -> None:
    """Speak all words."""
    folder.mkdir(parents=True, exist_ok=True)
    sounds: list[Sound] = []
    start = 0
    with (folder / "apart.jsonl").open("w", encoding="utf-8") as index:
        for word, voice, text, british in words():
            try:
                sound = speak({"voice": voice, "said": [{"words": text}]})
            except (subprocess.CalledProcessError, IndexError, ValueError) as error:
                sys.stderr.write(f"{voice}: {error!r}\n")
                continue
            usual = pronunciations(word)[0]
            phones = list(non_rhotic(usual) if british else usual)
            who = json.dumps(voice, sort_keys=True)
            entry = {"start": start, "n": len(sound), "word": word, "phones": phones, "who": who}
            index.write(json.dumps(entry) + "\n")
            sounds.append(sound)
            start += len(sound)
    np.save(folder / "apart.npy", np.rint(np.concatenate(sounds) * 32767).astype(np.int16))
    sys.stderr.write(f"{len(sounds)} words\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
