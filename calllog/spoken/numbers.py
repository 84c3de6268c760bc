"""Spoken numbers: the forms of a grammar in, tables of phrase and value out; pure.

The law of this file: a tens word takes the digit that follows it ("twenty five" is 25, never 20
and 5), hundredths are two digits or a number from ten up, and where two readings of a phrase are
possible neither is taken. Where the language puts a word between tens and digit ("treinta y cinco")
a digit without it is asked again: the word may not have been heard.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from calllog.spoken.expression import Choice, Expression, choice, sequence
from calllog.spoken.grammar import Grammar


class Form(StrEnum):
    """How a number was said; decides what may follow it."""

    UNIT = "unit"
    """One word, 0 to 9."""
    TEEN = "teen"
    """One word, 10 to 19."""
    TENS = "tens"
    """One word, 20, 30 and so on; a digit that follows belongs to it."""
    COMPOUND = "compound"
    """Tens word and digit."""
    DIGITS = "digits"
    """Two digits one by one."""
    HUNDRED = "hundred"
    """One hundred."""
    SPELT_HUNDRED = "spelt hundred"
    """One, zero, zero: 100 or 1.00 unless "point" follows."""


@dataclass(frozen=True, slots=True)
class Number:
    """A value and how it was said."""

    value: int
    form: Form


@dataclass(frozen=True, slots=True)
class NumberForms:
    """All spoken forms of a grammar's numbers, as tables and as expression trees.

    The tables map a phrase to its number: `whole` 0 to 100, `fraction` 0 to 99, `single` 0 to 9.
    """

    whole: dict[str, Number]
    fraction: dict[str, Number]
    single: dict[str, int]
    spelt_hundred: tuple[str, ...]
    zero_words: tuple[str, ...]
    point: tuple[str, ...]
    open_tens: tuple[str, ...]
    """Tens words that a digit is added to."""
    tens_and: tuple[str, ...]
    """What stands between them."""
    fused: tuple[str, ...]
    """Numbers from 21 to 99 that the grammar says in a way of its own."""
    hundred_more: tuple[str, ...]

    def select(
        self, table: dict[str, Number], forms: set[Form], *, leading_zero: bool | None = None
    ) -> Choice:
        """Choose among the numbers of a table that are said in the given forms.

        `leading_zero` keeps only digit pairs that begin with a zero word (True) or do not (False).
        """
        return choice(
            tuple(
                phrase
                for phrase, number in table.items()
                if number.form in forms
                and leading_zero in (None, phrase.split()[0] in self.zero_words)
            )
        )

    @property
    def hundredths(self) -> Expression:
        """Every call of hundredths, with or without "point"."""
        return Choice((choice(tuple(self.fraction)), self.pointed))

    @property
    def pointed(self) -> Expression:
        """Hundredths after the word "point"."""
        return sequence(choice(self.point), choice(tuple(self.fraction)))

    @property
    def compound(self) -> Expression:
        """Every number of tens and a digit; written as one choice after another where it can be."""
        nonzero = choice(tuple(word for word, value in self.single.items() if value))
        joint = (choice(self.tens_and),) if self.tens_and else ()
        regular = sequence(choice(self.open_tens), *joint, nonzero)
        return Choice((regular, choice(self.fused))) if self.fused else regular

    @property
    def one_digit(self) -> Expression:
        """One digit where hundredths are expected, with or without "point"."""
        singles = choice(tuple(self.single))
        return Choice((singles, sequence(choice(self.point), singles)))

    @property
    def pointed_reading(self) -> Expression:
        """Every full reading said with "point"."""
        return sequence(choice((*self.whole, *self.spelt_hundred)), self.pointed)

    @property
    def reading(self) -> Expression:
        """Every full reading with one meaning: with "point", or as `joins` allows."""
        named = self.select(self.fraction, {Form.TEEN, Form.TENS, Form.COMPOUND})
        whole, zeros = self.whole, self.select(self.fraction, {Form.DIGITS}, leading_zero=True)
        one = {word for word, value in self.single.items() if value == 1}
        not_one = tuple(p for p, n in whole.items() if n.form is Form.UNIT and p not in one)
        zero_pairs = {p for p, n in self.fraction.items() if n.value == 0}
        not_zero = tuple(
            p for p in self.fraction if p.split()[0] in self.zero_words and p not in zero_pairs
        )
        closed = self.select(whole, {Form.TEEN, Form.COMPOUND, Form.DIGITS, Form.HUNDRED})
        return Choice(
            (
                self.pointed_reading,
                sequence(choice(tuple(whole)), named),
                sequence(closed, self.select(self.fraction, {Form.DIGITS})),
                sequence(self.select(whole, {Form.TENS}), zeros),
                sequence(choice(not_one), zeros),
                sequence(choice(tuple(sorted(one))), choice(not_zero)),
            )
        )

    @property
    def short_reading(self) -> Expression:
        """A whole foot with one digit after it, or 100 spelt: asked again."""
        closed = self.select(self.whole, {Form.TEEN, Form.COMPOUND, Form.HUNDRED})
        taking = {*self.open_tens} if not self.tens_and else set()
        tens = tuple(
            phrase
            for phrase, number in self.whole.items()
            if number.form is Form.TENS and phrase not in taking
        )
        singles = choice(tuple(self.single))
        return Choice(
            (
                sequence(closed, singles),
                *((sequence(choice(tens), singles),) if tens else ()),
                sequence(choice(tuple(self.whole)), choice(self.point), singles),
                choice(self.spelt_hundred),
            )
        )


def joins(
    whole: Number, fraction: Number, fraction_words: tuple[str, ...], zeros: tuple[str, ...]
) -> bool:
    """Tell whether a whole and hundredths said without "point" have only one meaning.

    Not joined: a tens word and a digit pair that begins with a digit it would take ("twenty one
    two"); one digit and a pair of digits ("five four two": 5.42 or 54.2), unless a zero word
    stands between ("five oh two"); and "one zero zero" (1.00 or 100).
    """
    if whole.form is Form.SPELT_HUNDRED:
        return False
    if fraction.form is not Form.DIGITS:
        return True
    leading_zero = fraction_words[0] in zeros
    if whole.form is Form.TENS:
        return leading_zero
    if whole.form is Form.UNIT:
        return leading_zero and not (whole.value == 1 and fraction.value == 0)
    return True


@lru_cache(maxsize=8)
def _forms(key: tuple[tuple[str, tuple[str, ...]], ...]) -> NumberForms:
    table: dict[str, tuple[str, ...]] = dict(key)
    digits = {n: table[f"d{n}"] for n in range(10)}
    cardinals = {n: table[f"c{n}"] for n in range(100) if f"c{n}" in table}
    joints = tuple(f" {word}" for word in table["and"]) or ("",)
    whole: dict[str, Number] = {}
    open_tens: list[str] = []
    fused: list[str] = []
    for n in (*range(20), *range(20, 100, 10)):
        form = Form.UNIT if n < 10 else Form.TEEN if n < 20 else Form.TENS  # noqa: PLR2004 - decimal system
        whole.update({word: Number(n, form) for word in cardinals[n]})
    for tens in range(20, 100, 10):
        if tens + 1 not in cardinals:
            open_tens += cardinals[tens]
        for unit in range(1, 10):
            own = cardinals.get(tens + unit, ())
            fused += own
            said = own or tuple(
                f"{first} {second}"
                for first in (f"{word}{joint}" for word in cardinals[tens] for joint in joints)
                for second in digits[unit]
            )
            whole |= {phrase: Number(tens + unit, Form.COMPOUND) for phrase in said}
    pairs = {
        f"{first} {second}": Number(10 * a + b, Form.DIGITS)
        for a in range(10)
        for b in range(10)
        for first in digits[a]
        for second in digits[b]
    }
    zeros = digits[0]
    fraction = {
        phrase: number for phrase, number in whole.items() if number.form is not Form.UNIT
    } | pairs
    whole |= {phrase: number for phrase, number in pairs.items() if phrase.split()[0] not in zeros}
    whole |= {phrase: Number(100, Form.HUNDRED) for phrase in table["hundred"]}
    # A digit's second word ("niner") is a whole foot as well; "oh" alone is none.
    whole |= {word: Number(n, Form.UNIT) for n in range(1, 10) for word in digits[n]}
    spelt = tuple(f"{one} {a} {b}" for one in digits[1] for a in zeros for b in zeros)
    single = {word: n for n in range(10) for word in digits[n]}
    return NumberForms(
        whole,
        fraction,
        single,
        spelt,
        zeros,
        table["point"],
        tuple(open_tens),
        table["and"],
        tuple(fused),
        table["more"],
    )


def number_forms(grammar: Grammar) -> NumberForms:
    """Build (once per grammar) all spoken forms of its numbers."""
    key = (
        *((f"d{n}", forms) for n, forms in grammar.digits.items()),
        *((f"c{n}", forms) for n, forms in grammar.cardinals.items()),
        ("hundred", grammar.terms.hundred),
        ("point", grammar.terms.point),
        ("and", grammar.terms.tens_and),
        ("more", grammar.terms.added_to),
    )
    return _forms(key)
