"""What training needs to know of a language: its units, its grammars, how its words are said.

A further language is a folder beside `es` with the same modules, and an entry here.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from calllog.spoken import load_grammar, words
from models.training import phones as english
from models.training.es import phones as spanish

GRAMMARS = Path(__file__).parents[2] / "grammars"

Units = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Language:
    """One language."""

    code: str
    """With which the names of its grammars begin."""
    units: Units
    """Of the network; the blank comes first."""
    pronunciations: Callable[[str], tuple[Units, ...]]
    """All ways to say a word, the usual one first."""
    like: Mapping[str, tuple[str, ...]]
    """For each unit the English ones that it is most like: where its training starts from."""

    @property
    def index(self) -> dict[str, int]:
        """The place of each unit."""
        return {unit: place for place, unit in enumerate(self.units)}

    def write_words(self, folder: Path) -> None:
        """Write the units, and how each word of the grammars is said in them."""
        paths = sorted(GRAMMARS.glob(f"{self.code}-*.toml"))
        grammars = [load_grammar(path.read_text("utf-8"), str(path)) for path in paths]
        spelt = {word: self.pronunciations(word) for each in grammars for word in words(each)}
        if missing := sorted(word for word, ways in spelt.items() if not ways):
            sys.exit(f"no pronunciation for {', '.join(missing)}: teach it to phones.py")
        lines = [f"{word} {' '.join(way)}" for word in sorted(spelt) for way in spelt[word]]
        _write(folder / "lexicon.txt", lines)
        _write(folder / "units.txt", [f"{unit} {place}" for unit, place in self.index.items()])


LANGUAGES = {
    each.code: each
    for each in (
        Language("en", english.UNITS, english.all_pronunciations, {u: (u,) for u in english.UNITS}),
        Language("es", spanish.UNITS, spanish.all_pronunciations, spanish.LIKE_ENGLISH),
    )
}


def _write(path: Path, lines: list[str]) -> None:
    path.write_text("\n".join(lines) + "\n", "utf-8")


if __name__ == "__main__":
    LANGUAGES[sys.argv[1]].write_words(Path(sys.argv[2]))
