"""Calls that the caller mends in the same breath: what can be said, and that it is asked; pure.

"Fifteen, no, sixteen" holds two numbers and says of one that it is wrong. Which one counts is the
caller's to say, so such a call is always asked again. The listeners are told of it, so that none
of them has to make a reading of it.
"""

from collections.abc import Iterator

from calllog.spoken.expression import Sequence, choice, in_words, sequence
from calllog.spoken.grammar import Grammar
from calllog.spoken.meaning import Rejection, Why
from calllog.spoken.numbers import NumberForms
from calllog.values import message

SHORT = 2
"""Letters of a word that sounds like a zero after an n ("no", "oh"): listened for between numbers
alone, where what follows tells them apart."""


def mended_expressions(grammar: Grammar, forms: NumberForms) -> tuple[Sequence, ...]:
    """Build what is listened for: number, word, number, or a number beside a longer word."""
    mends = grammar.terms.mends
    if not mends:
        return ()
    bare = choice(tuple(forms.whole | forms.fraction))
    longer = tuple(phrase for phrase in mends if len(phrase) > SHORT)
    beside = (sequence(choice(longer), bare), sequence(bare, choice(longer))) if longer else ()
    return (sequence(bare, choice(mends), bare), *beside)


def parse_mended(
    said: tuple[str, ...], grammar: Grammar, numbers: frozenset[str]
) -> Rejection | None:
    """Tell a call that is mended; None if it is none.

    Words that mend, with no number and nothing else beside them, are asked too: they do nothing.

    Args:
        said: the words.
        grammar: the grammar in use.
        numbers: the words that its numbers are made of.
    """
    for start, end in _mends(said, grammar):
        rest = (*said[:start], *said[end:])
        if not rest or numbers.intersection(rest):
            return Rejection(Why.MENDED, said, start, message("mended-in-one-breath"))
    return None


def _mends(said: tuple[str, ...], grammar: Grammar) -> Iterator[tuple[int, int]]:
    for words in in_words(grammar.terms.mends):
        if words[0] not in said:
            continue
        for start in range(len(said) - len(words) + 1):
            if said[start : start + len(words)] == words:
                yield start, start + len(words)
