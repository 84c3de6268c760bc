"""Expression trees over words: what a grammar can say; str in, phrases out; pure.

A tree is built once and read twice: enumerated (what can be said) and made a graph of words (what a
recogniser listens for), so that the two cannot drift apart.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import product


@dataclass(frozen=True, slots=True)
class Phrase:
    """A fixed phrase: one or more words separated by single blanks."""

    text: str


@dataclass(frozen=True, slots=True)
class Sequence:
    """Parts said one after the other."""

    parts: tuple[Expression, ...]


@dataclass(frozen=True, slots=True)
class OneOf:
    """Exactly one of the options."""

    options: tuple[Expression, ...]


Expression = Phrase | Sequence | OneOf


def choice(texts: tuple[str, ...]) -> OneOf:
    """Choose among fixed phrases."""
    return OneOf(tuple(Phrase(text) for text in texts))


def sequence(*parts: Expression) -> Sequence:
    """Say the parts one after the other."""
    return Sequence(parts)


def phrases(tree: Expression) -> Iterator[str]:
    """Enumerate every phrase that the tree can say, in the tree's order."""
    match tree:
        case Phrase(text):
            yield text
        case OneOf(options):
            for option in options:
                yield from phrases(option)
        case Sequence(parts):
            for combination in product(*(tuple(phrases(part)) for part in parts)):
                yield " ".join(combination)


@lru_cache(maxsize=64)
def in_words(phrases: tuple[str, ...]) -> tuple[tuple[str, ...], ...]:
    """Split phrases into their words; once, since each call that is heard is compared to them."""
    return tuple(tuple(phrase.split()) for phrase in phrases)
