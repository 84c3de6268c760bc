"""Decides what is said by whom in Spanish: grammars and voices in, plans out.

``python -m models.training.es.plan FOLDER``. As `models.training.plan` does for English. Free
speech is drawn from Debian's Spanish words (`wspanish`) and manual pages (`manpages-es`).
"""

from __future__ import annotations

import gzip
import json
import random
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from calllog.spoken import Grammar, load_grammar, spoken_forms
from calllog.spoken.compile import parts
from calllog.spoken.expression import Expression, OneOf, Phrase, Sequence
from calllog.spoken.grammar import SaidKind
from calllog.values import Expectation, Kind
from models.training.es.phones import INDEX, kokoro, phones, spellings
from models.training.es.voices import ESPEAK_ACCENTS, ESPEAK_VARIANTS, FOREIGN, NATIVE, PICO

SEED = 20261129
COUNTS = {"kokoro": 3000, "espeak": 5200, "pico": 1800}
SHARES = {
    "whole": 25,
    "fraction": 26,
    "reading": 13,
    "digits": 7,
    "units": 7,
    "command": 6,
    "condition": 6,
    "note": 2,
    "chatter": 6,
    "talk": 9,
    "words": 6,
}
"""How often each kind of thing is said."""
REGIONAL_SHARE = 0.3
"""How often a speaker says words as some regions do."""
MOST_SYMBOLS, FEW_SYMBOLS = 100, 35
MANNERS = {"american": 8, "lisped": 2}
GRAMMARS = Path(__file__).parents[3] / "grammars"
DICTIONARY = Path("/usr/share/dict/spanish")
MANUALS = Path("/usr/share/man/es")
LETTERS = re.compile(r"[a-zñáéíóúü]+")
UNIT_WORDS = {
    "es-feet": (("pies", "pie"), ("centésimas", "centésima")),
    "es-metric": (("metros", "metro"), ("centímetros", "centímetro")),
}


class Speaker:
    """Draws things to say.

    Args:
        grammars: what crews say.
        rng: all chance comes from it.
    """

    def __init__(self, grammars: tuple[Grammar, ...], rng: random.Random) -> None:
        self._rng = rng
        self._grammars = grammars
        self._parts = {each.name: parts(each, Expectation.ANY) for each in grammars}
        listed = DICTIONARY.read_text("utf-8").split()
        self._all = [word for word in listed if LETTERS.fullmatch(word) and _is_spelt(word)]
        self._talk = list(_running_text())

    def draw(self) -> list[str]:
        """Draw the words of one thing to say."""
        rng = self._rng
        kind = rng.choices(list(SHARES), list(SHARES.values()))[0]
        grammar = rng.choice(self._grammars)
        if kind in ("whole", "fraction", "reading"):
            return self._call(grammar, Kind(kind)).split()
        if kind == "digits":
            digits = [word for forms in grammar.digits.values() for word in forms]
            return rng.choices(digits, k=rng.randint(1, 5))
        if kind == "units":
            return self._with_units(grammar)
        if kind == "talk":
            count = rng.randint(1, 7)
            start = rng.randrange(len(self._talk) - count)
            return self._talk[start : start + count]
        if kind == "words":
            return rng.choices(self._all, k=rng.randint(1, 3))
        return self._random(self._parts[grammar.name][SaidKind(kind)]).split()

    def _call(self, grammar: Grammar, kind: Kind) -> str:
        whole, part = self._rng.randint(0, 100), self._rng.randint(0, 99)
        value = {Kind.WHOLE: 100 * whole, Kind.FRACTION: part}.get(kind, 100 * whole + part)
        return self._rng.choice(spoken_forms(grammar, kind, min(value, 10_000)))

    def _with_units(self, grammar: Grammar) -> list[str]:
        """Say feet or metres, hundredths or both, with their units."""
        wholes, part = UNIT_WORDS[grammar.name]
        whole = [self._call(grammar, Kind.WHOLE), self._rng.choice(wholes)]
        small = [self._call(grammar, Kind.FRACTION), self._rng.choice(part)]
        joint = self._rng.choice((["y"], ["con"], []))
        said = self._rng.choice(
            (whole, small, [*whole, *joint, small[0]], [*whole, *joint, *small])
        )
        return " ".join(said).split()

    def _random(self, tree: Expression) -> str:
        match tree:
            case Phrase(text):
                return text
            case OneOf(options):
                return self._random(self._rng.choice(options))
            case Sequence(members):
                return " ".join(self._random(member) for member in members)

    def spell(self, words: list[str]) -> list[str]:
        """Draw how words are said, written so: all as usual, or as some region does."""
        if self._rng.random() >= REGIONAL_SHARE:
            return words
        said = []
        for word, after in zip(words, [*words[1:], ""], strict=True):
            ways = [
                each
                for each in spellings(word)
                if after == "y" or len(each) != len(word) - 1 or not word.endswith("enta")
            ]
            said.append(self._rng.choice(ways) if self._rng.random() < 0.7 else word)
        return said


def _is_spelt(word: str) -> bool:
    return bool(phones(word)) and set(phones(word)) <= INDEX.keys()


def _running_text() -> Iterator[str]:
    for path in sorted(MANUALS.rglob("*.gz")):
        for line in gzip.decompress(path.read_bytes()).decode("utf-8", "replace").splitlines():
            if line.startswith((".", "'")) or "\\" in line:
                continue
            words = line.split()
            plain = [word.strip('.,;:()«»"¿?¡!').lower() for word in words]
            yield from (word for word in plain if LETTERS.fullmatch(word) and len(word) < 14)


def _said(spelt: list[str]) -> dict[str, Any]:
    return {"words": " ".join(spelt), "phones": [list(phones(word)) for word in spelt]}


def _kokoro_voice(rng: random.Random) -> tuple[dict[str, Any], str]:
    """Draw a speaker, native or not, or a mixture of both; and how the words are said."""
    draw = rng.random()
    if draw < 0.2:
        names = [rng.choice(NATIVE)]
    elif draw < 0.5:
        names = [rng.choice(FOREIGN)]
    elif draw < 0.8:
        names = [rng.choice(NATIVE), *rng.sample(FOREIGN, rng.randint(1, 2))]
    else:
        names = rng.sample(FOREIGN, rng.randint(2, 3))
    is_accented = names[0] not in NATIVE and rng.random() < 0.3
    manner = "english" if is_accented else rng.choices(list(MANNERS), list(MANNERS.values()))[0]
    voice = {
        "kind": "kokoro",
        "names": names,
        "timbre": [rng.random() + 0.1 for _ in names],
        "manner": [rng.random() + 0.1 for _ in names],
        "row": rng.randint(25, 75),
        "speed": round(rng.uniform(0.8, 1.3), 3),
    }
    return voice, manner


def symbols(spelt: list[str], manner: str) -> str:
    """Write words for Kokoro."""
    if manner == "american" and any(word.endswith("j") for word in spelt):
        manner = "breathed"
    written, last = [], ""
    for word in spelt:
        written.append(kokoro(word, manner=manner, before=last))
        last = (phones(word) or ("",))[-1]
    return " ".join(written)


def plan(grammars: tuple[Grammar, ...], seed: int = SEED) -> Iterator[dict[str, Any]]:
    """Draw all stretches of speech."""
    rng = random.Random(seed)  # noqa: S311 - which calls are drawn is no secret
    speaker = Speaker(grammars, rng)
    for number in range(COUNTS["kokoro"]):
        voice, manner = _kokoro_voice(rng)
        said: list[dict[str, Any]] = []
        text = ""
        most = FEW_SYMBOLS if number % 2 else MOST_SYMBOLS
        while len(text) < most:
            spelt = speaker.spell(speaker.draw())
            more = symbols(spelt, manner) + rng.choice((".", ".", ".", ",", "!", "?")) + " "
            if said and len(text) + len(more) > most:
                break
            text += more
            said.append(_said(spelt))
            if number % 2:
                break
        yield {"voice": voice, "said": said, "symbols": text.strip()}
    for kind in ("espeak", "pico"):
        for _ in range(COUNTS[kind]):
            name = rng.choice(PICO)
            if kind == "espeak":
                name = f"{rng.choice(ESPEAK_ACCENTS)}+{rng.choice(ESPEAK_VARIANTS)}"
            quick = rng.randint(120, 230) if kind == "espeak" else round(rng.uniform(0.8, 1.3), 2)
            voice = {"kind": kind, "name": name, "speed": quick, "pitch": rng.randint(25, 75)}
            said = [_said(speaker.spell(speaker.draw())) for _ in range(rng.choice((1, 1, 2, 3)))]
            yield {"voice": voice, "said": said}


def spanish_grammars() -> tuple[Grammar, ...]:
    """Load the Spanish grammars."""
    paths = sorted(GRAMMARS.glob("es-*.toml"))
    return tuple(load_grammar(path.read_text("utf-8"), str(path)) for path in paths)


def main(folder: Path) -> None:
    """Write the plan."""
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "plan.jsonl").open("w", encoding="utf-8") as file:
        for each in plan(spanish_grammars()):
            file.write(json.dumps(each, ensure_ascii=False) + "\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
