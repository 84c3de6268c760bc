"""Words of a call in, the ways in which people write it down out; pure.

"Four two" is written "Four two", "Four, two" or "42". A decoder that learnt to write down what
people say tells which words were said by how likely it would write them in any of these ways.
"""

from __future__ import annotations

from collections.abc import Mapping

from calllog.spoken import Grammar

POINT = "."
TEN, HUNDRED = 10, 100


class Writer:
    """Writes what a grammar can say.

    Args:
        grammar: names the words of numbers.
    """

    def __init__(self, grammar: Grammar) -> None:
        self._digits = _numbers(grammar.digits)
        self._cardinals = _numbers(grammar.cardinals) | self._digits
        self._points = frozenset(grammar.terms.point)
        self._hundreds = frozenset(grammar.terms.hundred)

    def forms(self, text: str) -> tuple[str, ...]:
        """List the ways to write a text: its words apart, with commas, and in figures.

        Args:
            text: words of the grammar, lower case, single blanks, not empty.
        """
        words = text.split()
        forms = [" ".join(words), ", ".join(words)]
        ways = [form[:1].upper() + form[1:] for form in forms]
        figures = self.figures(text)
        return tuple(dict.fromkeys([*ways, figures] if figures else ways))

    def figures(self, text: str) -> str:
        """Write a text in figures, such as 42 or .05; empty where a word is none of a number."""
        if text in self._hundreds:
            return str(HUNDRED)
        written, tens = "", 0
        for word in text.split():
            value = self._cardinals.get(word)
            if word in self._points:
                written, tens = written + POINT, 0
            elif value is None:
                return ""
            elif tens and 0 < value < TEN:
                written, tens = written[:-1] + str(value), 0
            else:
                written += str(value)
                tens = value if value > TEN and value % TEN == 0 else 0
        return written


def _numbers(forms: Mapping[str, tuple[str, ...]]) -> dict[str, int]:
    return {word: int(value) for value, words in forms.items() for word in words}
