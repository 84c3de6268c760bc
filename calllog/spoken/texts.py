"""Texts in English in, the same in another language out, by a table that is data; pure.

The journal keeps its texts in English, whoever works: what follows from the calls must follow again
word for word. So a text is told in another language only where somebody reads or hears it, by the
template that it was written from: ``take {take}, check {check}: {WORDS}``. A slot in capitals
holds a text that is told in its turn; what stands in the others is kept as it is.

Texts are written for tapes in feet. Those for metric tapes are made of them, word by word, here as
in English (`calllog.units.said_in`); where a language needs more than other words, the table has
the metric text as well.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Annotated

from pydantic import Field, ValidationError

from calllog.errors import GrammarError
from calllog.toml_text import read_toml
from calllog.units import said_in
from calllog.values import Frozen, ReadingUnit

SLOT = re.compile(r"\{(\w+)\}")
MOST_SIGNS = 500_000
"""Of a file of texts; the Spanish one has 51,000."""
MOST_KEPT = 4096
"""Texts kept as they were told, so that a page of thousands of rows looks each up once."""


class _File(Frozen):
    """A file of texts."""

    language: Annotated[str, Field(min_length=2)]
    metric: dict[str, str] = Field(default_factory=dict)
    """Words of the texts on a tape in feet, and what stands there on a metric one."""
    texts: dict[str, str]


@dataclass(frozen=True)
class Texts:
    """The texts of one language; without a table they are English, as they are written.

    Args:
        language: its code (BCP 47), such as ``es``.
        table: English templates, each with what is told instead.
    """

    language: str = "en"
    table: Mapping[str, str] = field(default_factory=dict)
    _told: dict[str, str] = field(default_factory=dict, init=False, compare=False, repr=False)

    def fill(self, template: str, /, **slots: object) -> str:
        """Tell a template of the program with its slots filled."""
        told = self.table.get(template, template)
        filled = {
            name: self.tell(str(value)) if name.isupper() else value
            for name, value in slots.items()
        }
        return told.format(**filled)

    def tell(self, text: str) -> str:
        """Tell a text that was written before; one that is not known stays as it is."""
        if not self.table or not text:
            return text
        if text not in self._told:
            if len(self._told) >= MOST_KEPT:
                self._told.clear()
            self._told[text] = self._tell(text)
        return self._told[text]

    def _tell(self, text: str) -> str:
        if (told := self.table.get(text)) is not None:
            return told
        for pattern, template in self._patterns:
            if found := pattern.fullmatch(text):
                return self.fill(template, **found.groupdict())
        return text

    @cached_property
    def _patterns(self) -> tuple[tuple[re.Pattern[str], str], ...]:
        """List the templates with slots, those that begin with words first, then by their words."""
        slotted = [template for template in self.table if SLOT.search(template)]
        slotted.sort(key=lambda each: (each[0] == "{", -len(SLOT.sub("", each)), each))
        return tuple((re.compile(_pattern(each), re.DOTALL), each) for each in slotted)


ENGLISH = Texts()


def _pattern(template: str) -> str:
    parts = SLOT.split(template)
    return "".join(
        f"(?P<{part}>.+?)" if place % 2 else re.escape(part) for place, part in enumerate(parts)
    )


def load_texts(text: str, where: str = "texts") -> Texts:
    """Read and check the texts of a language.

    Args:
        text: the file's TOML text.
        where: name of the file, for error messages.

    Raises:
        GrammarError: the text is no TOML, or a text has other slots than its English one, or
            braces that are none.
    """
    data = read_toml(text, where=where, most_signs=MOST_SIGNS, kind=GrammarError)
    try:
        read = _File.model_validate(data)
    except ValidationError as error:
        first = error.errors()[0]
        raise GrammarError(
            f"{'.'.join(map(str, first['loc']))}: {first['msg']}",
            where=where,
            next_step="see grammars/README.md for the form of a file of texts",
        ) from error
    problems = list(filter(None, (_fault(*pair) for pair in read.texts.items())))
    if problems:
        raise GrammarError("; ".join(problems), where=where, next_step="mend these entries")
    return Texts(read.language, {**_in_metres(read), **read.texts})


def _fault(english: str, told: str) -> str:
    """Say why a text cannot be told; empty if it can."""
    slots = SLOT.findall(english)
    if sorted(slots) != sorted(SLOT.findall(told)):
        return f"{english!r} and {told!r} have different slots"
    if len(set(slots)) < len(slots) or not all(map(str.isidentifier, slots)):
        return f"{english!r} has a slot twice, or one whose name does not begin with a letter"
    if set("{}") & set(SLOT.sub("", english + told)):
        return f"{english!r} or {told!r} has a brace that is no slot's"
    return ""


def _in_metres(read: _File) -> dict[str, str]:
    """Give the texts that speak of feet once more, for metric tapes, if their words are stated."""
    if not read.metric:
        return {}
    words = "|".join(map(re.escape, sorted(read.metric, key=len, reverse=True)))
    word = re.compile(rf"(?<![\w{{])(?:{words})(?![\w}}])")
    return {
        metric: word.sub(lambda found: read.metric[found.group()], told)
        for english, told in read.texts.items()
        if (metric := said_in(english, ReadingUnit.METRE)) != english
    }
