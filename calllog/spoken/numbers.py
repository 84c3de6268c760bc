"""Spoken numbers: the forms of a grammar in, tables of phrase and value out; pure.

The law of this file: a tens word takes the digit that follows it ("twenty five" is 25, never 20
and 5), hundredths are two digits or a number from ten up, and where two readings of a phrase are
possible neither is taken. Where the language puts a word between tens and digit ("treinta y cinco")
a digit without it is asked again: the word may not have been heard.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property, lru_cache

from calllog.spoken.expression import Expression, OneOf, choice, sequence
from calllog.spoken.grammar import Grammar


class NumberForm(StrEnum):
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
    LONG = "long"
    """More than one hundred, on a long tape; what follows is no part of it."""
    LONG_TENS = "long tens"
    """The same, ending in a tens word: a digit that follows belongs to it."""
    LONG_HUNDRED = "long hundred"
    """Two hundred and so on: a number that follows may belong to it."""
    SPELT_HUNDRED = "spelt hundred"
    """One, zero, zero: 100 or 1.00 unless "point" follows."""


LONGS = frozenset({NumberForm.LONG, NumberForm.LONG_TENS, NumberForm.LONG_HUNDRED})
"""Forms of the marks of a long tape beyond one hundred."""


@dataclass(frozen=True, slots=True)
class Number:
    """A value and how it was said."""

    value: int
    form: NumberForm


@dataclass(frozen=True)
class NumberForms:
    """All spoken forms of a grammar's numbers, as tables and as expression trees.

    The tables map a phrase to its number: `whole` 0 to 100 and on a long tape to
    its end, `fraction` 0 to 99, `single` 0 to 9.
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
    like_unit: tuple[str, ...] = ()
    """Hundredths that sound like the word of the whole unit: never joined to a mark by nothing."""
    long: Expression | None = None
    """Every number above 100, as one tree; None on tapes that have none."""

    @cached_property
    def whole_of(self) -> dict[int, tuple[tuple[str, Number], ...]]:
        """The phrases of each whole mark, in the order of their table."""
        return _by_value(self.whole)

    @cached_property
    def fraction_of(self) -> dict[int, tuple[tuple[str, Number], ...]]:
        """The phrases of each count of hundredths, in the order of their table."""
        return _by_value(self.fraction)

    @cached_property
    def hundredths_said(self) -> dict[str, int]:
        """What each phrase of hundredths counts."""
        return {phrase: number.value for phrase, number in self.fraction.items()}

    @property
    def plain(self) -> tuple[str, ...]:
        """What is called up to 100."""
        return tuple(phrase for phrase, n in self.whole.items() if n.form not in LONGS)

    @property
    def marks(self) -> Expression:
        """Every whole mark."""
        plain = choice(self.plain)
        return plain if self.long is None else OneOf((plain, self.long))

    def select(
        self, table: dict[str, Number], forms: set[NumberForm], *, leading_zero: bool | None = None
    ) -> OneOf:
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
        return OneOf((choice(tuple(self.fraction)), self.pointed))

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
        return OneOf((regular, choice(self.fused))) if self.fused else regular

    @property
    def one_digit(self) -> Expression:
        """One digit where hundredths are expected, with or without "point"."""
        singles = choice(tuple(self.single))
        return OneOf((singles, sequence(choice(self.point), singles)))

    @property
    def pointed_reading(self) -> Expression:
        """Every full reading said with "point"."""
        before: Expression = choice((*self.plain, *self.spelt_hundred))
        if self.long is not None:
            before = OneOf((before, self.long))
        return sequence(before, self.pointed)

    @property
    def reading(self) -> Expression:
        """Every full reading with one meaning: with "point", or as `joins` allows.

        On a long tape those that may mean two things are in it too: the parser tells them apart.
        """
        if self.long is not None:
            parts = choice(tuple(self.fraction))
            return OneOf((self.pointed_reading, sequence(self.marks, parts)))
        named = self.joined
        whole, zeros = (
            self.whole,
            self.select(self.fraction, {NumberForm.DIGITS}, leading_zero=True),
        )
        one = {word for word, value in self.single.items() if value == 1}
        not_one = tuple(p for p, n in whole.items() if n.form is NumberForm.UNIT and p not in one)
        zero_pairs = {p for p, n in self.fraction.items() if n.value == 0}
        not_zero = tuple(
            p for p in self.fraction if p.split()[0] in self.zero_words and p not in zero_pairs
        )
        closed = self.select(
            whole, {NumberForm.TEEN, NumberForm.COMPOUND, NumberForm.DIGITS, NumberForm.HUNDRED}
        )
        return OneOf(
            (
                self.pointed_reading,
                sequence(choice(tuple(whole)), named),
                sequence(closed, self.select(self.fraction, {NumberForm.DIGITS})),
                sequence(self.select(whole, {NumberForm.TENS}), zeros),
                sequence(choice(not_one), zeros),
                sequence(choice(tuple(sorted(one))), choice(not_zero)),
            )
        )

    @property
    def joined(self) -> OneOf:
        """Hundredths that are no digits and may follow a whole mark without "point"."""
        forms = {NumberForm.TEEN, NumberForm.TENS, NumberForm.COMPOUND}
        return choice(
            tuple(
                phrase
                for phrase, number in self.fraction.items()
                if number.form in forms and phrase not in self.like_unit
            )
        )

    @property
    def short_reading(self) -> Expression:
        """A whole foot with one digit after it, or 100 spelt: asked again."""
        closed = self.select(self.whole, {NumberForm.TEEN, NumberForm.COMPOUND, NumberForm.HUNDRED})
        taking = {*self.open_tens} if not self.tens_and else set()
        tens = tuple(
            phrase
            for phrase, number in self.whole.items()
            if number.form is NumberForm.TENS and phrase not in taking
        )
        singles = choice(tuple(self.single))
        return OneOf(
            (
                sequence(closed, singles),
                *((sequence(choice(tens), singles),) if tens else ()),
                sequence(choice(self.plain), choice(self.point), singles),
                choice(self.spelt_hundred),
            )
        )

    def splits(
        self, said: tuple[str, ...], start: int
    ) -> Iterator[tuple[Number, tuple[str, ...], bool]]:
        """Split words into a whole mark and the rest: number, rest, whether "point" was said."""
        for cut in range(start + 1, len(said)):
            phrase = " ".join(said[start:cut])
            whole = self.whole.get(phrase)
            if phrase in self.spelt_hundred:
                whole = Number(100, NumberForm.SPELT_HUNDRED)
            if whole is None:
                continue
            pointed = said[cut] in self.point
            yield whole, said[cut + 1 :] if pointed else said[cut:], pointed


def _by_value(table: dict[str, Number]) -> dict[int, tuple[tuple[str, Number], ...]]:
    found: dict[int, list[tuple[str, Number]]] = {}
    for phrase, number in table.items():
        found.setdefault(number.value, []).append((phrase, number))
    return {value: tuple(said) for value, said in found.items()}


def joins(
    whole: Number, fraction: Number, fraction_words: tuple[str, ...], zeros: tuple[str, ...]
) -> bool:
    """Tell whether a whole and hundredths said without "point" have only one meaning.

    Not joined: a tens word and a digit pair that begins with a digit it would take ("twenty one
    two"); one digit and a pair of digits ("five four two": 5.42 or 54.2), unless a zero word
    stands between ("five oh two"); and "one zero zero" (1.00 or 100).
    """
    if whole.form is NumberForm.SPELT_HUNDRED:
        return False
    if fraction.form is not NumberForm.DIGITS:
        return True
    leading_zero = fraction_words[0] in zeros
    if whole.form in (NumberForm.TENS, NumberForm.LONG_TENS):
        return leading_zero
    if whole.form is NumberForm.UNIT:
        return leading_zero and not (whole.value == 1 and fraction.value == 0)
    return True


Key = tuple[tuple[str, tuple[str, ...]], ...]
"""What a grammar's numbers are made of."""


@lru_cache(maxsize=16)
def forms_of(key: Key) -> NumberForms:
    """Build all spoken forms of numbers, once for each key (see `forms_key`)."""
    table: dict[str, tuple[str, ...]] = dict(key)
    digits = {n: table[f"d{n}"] for n in range(10)}
    cardinals = {n: table[f"c{n}"] for n in range(100) if f"c{n}" in table}
    joints = tuple(f" {word}" for word in table["and"]) or ("",)
    whole: dict[str, Number] = {}
    open_tens: list[str] = []
    fused: list[str] = []
    for n in (*range(20), *range(20, 100, 10)):
        form = NumberForm.UNIT if n < 10 else NumberForm.TEEN if n < 20 else NumberForm.TENS  # noqa: PLR2004 - decimal system
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
            whole |= {phrase: Number(tens + unit, NumberForm.COMPOUND) for phrase in said}
    pairs = {
        f"{first} {second}": Number(10 * a + b, NumberForm.DIGITS)
        for a in range(10)
        for b in range(10)
        for first in digits[a]
        for second in digits[b]
    }
    zeros = digits[0]
    fraction = {
        phrase: number for phrase, number in whole.items() if number.form is not NumberForm.UNIT
    } | pairs
    whole |= {phrase: number for phrase, number in pairs.items() if phrase.split()[0] not in zeros}
    whole |= {phrase: Number(100, NumberForm.HUNDRED) for phrase in table["hundred"]}
    # A digit's second word ("niner") is a whole foot as well; "oh" alone is none.
    whole |= {word: Number(n, NumberForm.UNIT) for n in range(1, 10) for word in digits[n]}
    plain = dict(whole)
    spelt = tuple(f"{one} {a} {b}" for one in digits[1] for a in zeros for b in zeros)
    single = {word: n for n in range(10) for word in digits[n]}
    long, tree = _long(table, digits, plain)
    whole |= long
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
        table["like unit"],
        tree,
    )


def _long(
    table: dict[str, tuple[str, ...]],
    digits: dict[int, tuple[str, ...]],
    plain: dict[str, Number],
) -> tuple[dict[str, Number], Expression | None]:
    """Build the numbers above 100 of a long tape, as a table and as one tree."""
    last = int(table["reach"][0]) // 100
    if last == 1:
        return {}, None
    named = {
        phrase: n for phrase, n in plain.items() if n.form is not NumberForm.DIGITS and n.value
    }
    rests = {phrase: n for phrase, n in named.items() if n.value < 100}  # noqa: PLR2004 - a hundred
    joints = ("", *(f"{word} " for word in table["hundred and"]))
    after = {f"{joint}{phrase}": n for joint in joints for phrase, n in rests.items()}
    word = table["hundred"][0].split()[-1]
    hundreds = {1: table["more"]}
    for count in range(2, last + 1):
        own = table.get(f"c{100 * count}")
        hundreds[count] = own or tuple(f"{digit} {word}" for digit in digits[count])
    alone = {
        phrase: Number(100 * count, NumberForm.LONG_HUNDRED)
        for count, phrases in hundreds.items()
        for phrase in phrases
        if count > 1
    }
    zero_pairs = {
        f"{zero} {digit}": Number(n, NumberForm.DIGITS)
        for zero in digits[0]
        for n in range(1, 10)
        for digit in digits[n]
    }
    short_rests = zero_pairs | {p: n for p, n in rests.items() if n.form is not NumberForm.UNIT}
    shorts = {
        digit: count
        for count in range(1, last + 1)
        for digit in (digits[count] if table["short"] else ())
    }
    long = alone | {
        f"{phrase} {rest}": _joined(count, number)
        for count, phrases in hundreds.items()
        for phrase in phrases
        for rest, number in after.items()
    }
    long |= {
        f"{digit} {rest}": _joined(count, number)
        for digit, count in shorts.items()
        for rest, number in short_rests.items()
    }
    tree: list[Expression] = [
        choice(tuple(alone)),
        sequence(
            choice(tuple(p for each in hundreds.values() for p in each)), choice(tuple(after))
        ),
    ]
    if shorts:
        tree.append(sequence(choice(tuple(shorts)), choice(tuple(short_rests))))
    return long, OneOf(tuple(tree))


def _joined(count: int, rest: Number) -> Number:
    is_open = rest.form is NumberForm.TENS
    return Number(100 * count + rest.value, NumberForm.LONG_TENS if is_open else NumberForm.LONG)


def number_forms(grammar: Grammar) -> NumberForms:
    """Build (once per grammar) all spoken forms of its numbers."""
    return forms_of(forms_key(grammar, grammar.reach))


def forms_key(grammar: Grammar, reach: int) -> Key:
    """Give what the forms of a grammar's numbers up to a whole mark are made of."""
    return (
        *((f"d{n}", forms) for n, forms in grammar.digits.items()),
        *((f"c{n}", forms) for n, forms in grammar.cardinals.items()),
        ("hundred", grammar.terms.hundred),
        ("point", grammar.terms.point),
        ("and", grammar.terms.tens_and),
        ("more", grammar.terms.added_to),
        ("like unit", grammar.terms.like_unit),
        ("hundred and", grammar.terms.hundred_and),
        ("short", ("yes",) if grammar.terms.is_short_hundred else ()),
        ("reach", (str(reach),)),
    )
