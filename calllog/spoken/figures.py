"""Three figures said one after another, as meters after the plus of a station; pure.

Exactly three are said: a number of two figures alone is none of these, so that a figure which was
not heard is missed.
"""

from dataclasses import dataclass
from functools import lru_cache

from calllog.spoken.expression import Expression, OneOf, choice, sequence
from calllog.spoken.grammar import Grammar
from calllog.spoken.numbers import LONGS, Key, NumberForm, forms_key, forms_of

GREATEST = 999


@dataclass(frozen=True, slots=True)
class ThreeFigures:
    """Every way to say three figures.

    Args:
        said: what each phrase states, 0 to 999.
        tree: the same phrases as one expression.
    """

    said: dict[str, int]
    tree: Expression
    hundreds: tuple[str, ...]
    """How the whole hundreds from two are named."""
    but_hundred: Expression
    """The tree without what one hundred is called as a mark."""
    fewer: Expression
    """One figure or two."""


def three_figures(grammar: Grammar) -> ThreeFigures:
    """Build what is said for 000 to 999: "two three four", "two thirty four", "oh oh five".

    Where the language says so, hundreds are named too: "two hundred and thirty four".
    """
    return figures_of(forms_key(grammar, GREATEST))


@lru_cache(maxsize=8)
def figures_of(key: Key) -> ThreeFigures:
    """Build the same once for each key (see `forms_key`), which reaches up to `GREATEST`."""
    forms = forms_of(key)
    digit, zero = choice(tuple(forms.single)), choice(forms.zero_words)
    named = {
        phrase: number.value
        for phrase, number in forms.whole.items()
        if number.form in LONGS or number.form is NumberForm.HUNDRED
    }
    below = {
        phrase: number.value
        for phrase, number in forms.whole.items()
        if number.form in (NumberForm.TEEN, NumberForm.TENS, NumberForm.COMPOUND)
    }
    after_zero = {f"{word} {p}": value for word in forms.zero_words for p, value in below.items()}
    digits = {
        f"{first} {second} {third}": 100 * a + 10 * b + c
        for first, a in forms.single.items()
        for second, b in forms.single.items()
        for third, c in forms.single.items()
    }
    hundred = choice(tuple(p for p, n in forms.whole.items() if n.form is NumberForm.HUNDRED))
    hundreds = tuple(p for p, n in forms.whole.items() if n.form is NumberForm.LONG_HUNDRED)
    units = choice(
        tuple(p for p, n in forms.whole.items() if n.form is NumberForm.UNIT and n.value)
    )
    tens = OneOf((forms.select(forms.whole, {NumberForm.TEEN, NumberForm.TENS}), forms.compound))
    rest: Expression = OneOf((units, tens))
    if joints := dict(key)["hundred and"]:
        rest = OneOf((rest, sequence(choice(joints), rest)))
    is_short = bool(dict(key)["short"])
    tree = (
        sequence(digit, digit, digit),
        sequence(digit if is_short else zero, tens),
        choice(hundreds),
        sequence(choice((*forms.hundred_more, *hundreds)), rest),
    )
    return ThreeFigures(
        after_zero | named | digits,
        OneOf((*tree, hundred)),
        hundreds,
        OneOf(tree),
        OneOf((digit, sequence(digit, digit), tens)),
    )
