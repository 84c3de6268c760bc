"""Decides what is said by whom: grammar and voices in, plans out.

``python -m models.training.plan FOLDER``. Everything random comes from one seed. A line is one
stretch of speech: the voice, its speed, and words with the phones that are spoken. Nothing is in
it that a tuning or test voice says, nor any sentence that they say.
"""

from __future__ import annotations

import json
import random
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from pydoc_data.topics import topics
from typing import Any

from calllog.spoken import Grammar, load_grammar, spoken_forms
from calllog.spoken.compile import parts
from calllog.spoken.expression import Expression, OneOf, Phrase, Sequence
from calllog.spoken.grammar import SaidKind
from calllog.values import Expectation, Kind
from models.training.phones import SHARE, Phones, kokoro, non_rhotic, pronunciations
from models.training.voices import (
    ACCENTED,
    AMERICAN,
    BRITISH,
    ESPEAK_ACCENTS,
    ESPEAK_REGIONS,
    ESPEAK_VARIANTS,
    FLITE,
    PICO,
    TUNING_VOICES,
)

SEED = 20261126
LISTS, SINGLES, ESPEAK, FLITE_COUNT = 2800, 3000, 6000, 400
LATER = {"pico": 2200, "espeak": 1500, "flite": 700}
"""What was added once the first network had been listened to."""
MOST_SYMBOLS = 110
WATCHED = 480
SHARES = {
    "whole": 30,
    "fraction": 30,
    "reading": 12,
    "digits": 5,
    "command": 5,
    "condition": 6,
    "note": 2,
    "chatter": 5,
    "talk": 12,
    "words": 4,
}
"""How often each kind of thing is said."""
GRAMMAR = Path(__file__).parents[2] / "grammars" / "en-us-feet.toml"


class Speaker:
    """Draws things to say."""

    def __init__(self, grammar: Grammar, rng: random.Random) -> None:
        self._grammar = grammar
        self._rng = rng
        self._parts = parts(grammar, Expectation.ANY)
        text = " ".join(topics.values()).lower()
        self._talk = [w for w in re.findall(r"[a-z]+(?:'[a-z]+)?", text) if pronunciations(w)]
        self._all = sorted(set(self._talk))
        self._digits = [word for forms in grammar.digits.values() for word in forms]

    def draw(self) -> list[str]:
        """Draw the words of one thing to say."""
        rng = self._rng
        kind = rng.choices(list(SHARES), list(SHARES.values()))[0]
        if kind in ("whole", "fraction", "reading"):
            return self._call(Kind(kind))
        if kind == "digits":
            return rng.choices(self._digits, k=rng.randint(1, 5))
        if kind == "talk":
            count = rng.randint(1, 7)
            start = rng.randrange(len(self._talk) - count)
            return self._talk[start : start + count]
        if kind == "words":
            return rng.choices(self._all, k=rng.randint(1, 3))
        return self._random(self._parts[SaidKind(kind)]).split()

    def _call(self, kind: Kind) -> list[str]:
        whole, part = self._rng.randint(0, 100), self._rng.randint(0, 99)
        value = {Kind.WHOLE: 100 * whole, Kind.FRACTION: part}.get(kind, 100 * whole + part)
        forms = spoken_forms(self._grammar, kind, min(value, 10_000))
        return self._rng.choice(forms).split()

    def _random(self, tree: Expression) -> str:
        match tree:
            case Phrase(text):
                return text
            case OneOf(options):
                return self._random(self._rng.choice(options))
            case Sequence(members):
                return " ".join(self._random(member) for member in members)

    def pronounce(self, word: str, *, british: bool, other: bool = True) -> Phones:
        """Draw how a word is said."""
        forms = pronunciations(word)
        chosen = self._rng.choice(forms) if other and self._rng.random() < SHARE else forms[0]
        return non_rhotic(chosen) if british else chosen


def _kokoro_voice(rng: random.Random) -> tuple[dict[str, Any], bool]:
    """Draw a speaker: one of the network's, or a mixture of two or three; tell if British."""
    draw = rng.random()
    if draw < 0.45:
        name = rng.choice(AMERICAN if rng.random() < 0.75 else BRITISH)
        names = [name]
    else:
        names = rng.sample([*AMERICAN, *BRITISH], rng.randint(2, 3))
        if rng.random() < 0.5:
            names[-1] = rng.choice(ACCENTED)
    weights = [rng.random() + 0.1 for _ in names], [rng.random() + 0.1 for _ in names]
    british = sum(name in BRITISH for name in names) * 2 > len(names)
    voice = {
        "kind": "kokoro",
        "names": names,
        "timbre": weights[0],
        "manner": weights[1],
        "row": rng.randint(25, 75),
        "speed": round(rng.uniform(0.8, 1.3), 3),
    }
    return voice, british


def plan(grammar: Grammar, seed: int = SEED) -> Iterator[dict[str, Any]]:
    """Draw all stretches of speech."""
    rng = random.Random(seed)  # noqa: S311 - which calls are drawn is no secret
    speaker = Speaker(grammar, rng)
    for number in range(LISTS + SINGLES):
        voice, british = _kokoro_voice(rng)
        said: list[dict[str, Any]] = []
        symbols = ""
        most = 40 if number >= LISTS else MOST_SYMBOLS
        while len(symbols) < most:
            words = speaker.draw()
            phones = [speaker.pronounce(word, british=british) for word in words]
            mark = rng.choice((".", ".", ".", ",", "!", "?"))
            more = " ".join(kokoro(each, british=british) for each in phones) + mark + " "
            if said and len(symbols) + len(more) > most:
                break
            symbols += more
            said.append({"words": " ".join(words), "phones": [list(each) for each in phones]})
            if number >= LISTS:
                break
        yield {"voice": voice, "said": said, "symbols": symbols.strip()}
    for number in range(ESPEAK + FLITE_COUNT):
        accent = rng.choice(ESPEAK_ACCENTS)
        british = number < ESPEAK and accent != "en-us"
        words = speaker.draw()
        phones = [speaker.pronounce(word, british=british, other=False) for word in words]
        voice = (
            {
                "kind": "espeak",
                "name": f"{accent}+{rng.choice(ESPEAK_VARIANTS)}",
                "speed": rng.randint(120, 220),
                "pitch": rng.randint(25, 75),
            }
            if number < ESPEAK
            else {
                "kind": "flite",
                "name": rng.choice(FLITE),
                "speed": round(rng.uniform(0.8, 1.3), 2),
            }
        )
        said = [{"words": " ".join(words), "phones": [list(each) for each in phones]}]
        yield {"voice": voice, "said": said}
    yield from _later(speaker, rng)


def _later(speaker: Speaker, rng: random.Random) -> Iterator[dict[str, Any]]:
    for kind, count in LATER.items():
        for _ in range(count):
            name = {
                "pico": rng.choice(PICO),
                "espeak": f"{rng.choice(ESPEAK_REGIONS)}+{rng.choice(ESPEAK_VARIANTS)}",
                "flite": rng.choice(FLITE),
            }[kind]
            british = "en-gb-x" in name
            words = speaker.draw()
            phones = [speaker.pronounce(word, british=british, other=False) for word in words]
            voice = {
                "kind": kind,
                "name": name,
                "speed": rng.randint(120, 220)
                if kind == "espeak"
                else round(rng.uniform(0.8, 1.3), 2),
                "pitch": rng.randint(25, 75),
            }
            said = [{"words": " ".join(words), "phones": [list(each) for each in phones]}]
            yield {"voice": voice, "said": said}


def watched(grammar: Grammar, seed: int = SEED + 1) -> Iterator[dict[str, Any]]:
    """Draw calls of the tuning voices, to watch the training with."""
    rng = random.Random(seed)  # noqa: S311 - which calls are drawn is no secret
    names = [name.removeprefix("kokoro-") for name in TUNING_VOICES if name.startswith("kokoro")]
    for number in range(WATCHED):
        name = names[number % len(names)]
        british = name.startswith("b")
        kind = (Kind.WHOLE, Kind.FRACTION)[number // len(names) % 2]
        value = rng.randint(0, 100) * 100 if kind is Kind.WHOLE else rng.randint(0, 99)
        words = rng.choice(spoken_forms(grammar, kind, value)).split()
        phones = [pronunciations(word)[0] for word in words]
        phones = [non_rhotic(each) if british else each for each in phones]
        voice = {"names": [name], "timbre": [1.0], "manner": [1.0], "row": 45, "speed": 1.0}
        symbols = " ".join(kokoro(each, british=british) for each in phones) + "."
        said = [{"words": " ".join(words), "phones": [list(each) for each in phones]}]
        yield {"voice": {"kind": "kokoro", **voice}, "said": said, "symbols": symbols}


def values(grammar: Grammar) -> dict[str, list[tuple[str, int, list[list[str]]]]]:
    """List all spoken forms of each role's values: words, value and how they are pronounced."""
    table = {}
    for kind, spoken in ((Kind.WHOLE, range(0, 10_001, 100)), (Kind.FRACTION, range(100))):
        table[kind.value] = [
            (words, value // 100 if kind is Kind.WHOLE else value, _pronounced(words.split()))
            for value in spoken
            for words in spoken_forms(grammar, kind, value)
        ]
    return table


def _pronounced(words: list[str]) -> list[list[str]]:
    """Pronounce words in up to six ways: American and British, each with the usual variants."""
    ways = []
    for drop in (False, True):
        for which in range(3):
            forms = [pronunciations(word) for word in words]
            chosen = [form[min(which, len(form) - 1)] for form in forms]
            phones = [p for each in chosen for p in (non_rhotic(each) if drop else each)]
            if phones not in ways:
                ways.append(phones)
    return ways


def main(folder: Path) -> None:
    """Write the plans and the table of values."""
    folder.mkdir(parents=True, exist_ok=True)
    grammar = load_grammar(GRAMMAR.read_text("utf-8"))
    for name, lines in (("plan", plan(grammar)), ("watched", watched(grammar))):
        with (folder / f"{name}.jsonl").open("w", encoding="utf-8") as file:
            for each in lines:
                file.write(json.dumps(each, ensure_ascii=False) + "\n")
    (folder / "values.json").write_text(json.dumps(values(grammar)), "utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
