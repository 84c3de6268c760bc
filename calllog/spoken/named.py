"""Numbers that name what they count, as "cinco pies y cuarenta y dos": trees, and meanings; pure.

A number that names its unit says by itself which part it is, and "five hundredths" is .05 where
"five" alone is asked. What follows the named unit is hundredths like any other. Hundredths that are
named after a whole mark that is not are taken where the same reading without the name has one
meaning. On a tape that is read more finely than to hundredths only the whole unit is named.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from calllog.spoken.expression import Expression, OneOf, Phrase, Sequence, choice, phrases, sequence
from calllog.spoken.fine import FineForms
from calllog.spoken.grammar import Grammar
from calllog.spoken.numbers import Number, NumberForm, NumberForms, joins, number_forms
from calllog.values import HUNDREDTHS, Expectation, Kind

PARTS = {NumberForm.TEEN, NumberForm.TENS, NumberForm.COMPOUND}
"""How hundredths are said that are named; digit by digit only after a zero."""


@dataclass(frozen=True)
class NamedUnits:
    """The unit words of a grammar, as the parser looks them up.

    Args:
        whole: words after a whole mark.
        fraction: words after hundredths; none on a tape that is read more finely.
        joints: words between the two.
        back: for each word as it is said before a unit, the number word that it stands for.
    """

    whole: frozenset[str]
    fraction: frozenset[str]
    joints: frozenset[str]
    back: Mapping[str, str]

    def bare(self, said: tuple[str, ...]) -> tuple[str, ...]:
        """Give number words as they are said without a unit: "treinta y un" is "treinta y uno"."""
        return (*said[:-1], self.back.get(said[-1], said[-1])) if said else said

    def split(self, said: tuple[str, ...]) -> int | None:
        """Tell where the word of the whole unit stands; None if it is not there."""
        return next((n for n, word in enumerate(said) if n and word in self.whole), None)

    def after(self, said: tuple[str, ...]) -> tuple[str, ...]:
        """Give what follows the whole unit, without the word that joins it."""
        return said[1:] if len(said) > 1 and said[0] in self.joints else said


def named_units(grammar: Grammar) -> NamedUnits | None:
    """Give the unit words of a grammar; None if it has none."""
    if not grammar.units:
        return None
    found = {
        part: frozenset(
            word for each in grammar.units if each.part is part for word in (*each.one, *each.more)
        )
        for part in (Kind.WHOLE, Kind.FRACTION)
    }
    return NamedUnits(
        found[Kind.WHOLE],
        frozenset() if grammar.unit.is_fine else found[Kind.FRACTION],
        frozenset(grammar.terms.units_and),
        {said: word for each in grammar.units for word, said in each.before.items()},
    )


def is_named_part(number: Number, words: tuple[str, ...], forms: NumberForms) -> bool:
    """Tell whether hundredths that are said so may be named."""
    return number.form in PARTS or words[0] in forms.zero_words


def named_expression(
    grammar: Grammar, forms: NumberForms, fine: FineForms | None
) -> Expression | None:
    """Build what is listened for; None if the grammar names no units."""
    if not grammar.units:
        return None
    whole = _marks(grammar, forms)
    joints = choice(grammar.terms.units_and)
    bare = choice(tuple(forms.fraction)) if fine is None else fine.tree
    pointed = sequence(choice(forms.point), bare)
    lacking = choice(tuple(forms.single)) if fine is None else fine.lacking
    options: list[Expression] = [
        whole,
        sequence(whole, OneOf((bare, pointed, lacking))),
        sequence(whole, joints, OneOf((bare, lacking))),
    ]
    if fine is None:
        named = _hundredths(grammar, forms)
        options += [
            named,
            sequence(whole, named),
            sequence(whole, joints, named),
            *_after(_readings(forms), grammar, Kind.FRACTION),
            *_after(forms.pointed_reading, grammar, Kind.WHOLE),
        ]
    return OneOf(tuple(options))


def named_forms(grammar: Grammar, kind: Kind, value: int) -> tuple[str, ...]:
    """List every way to say hundredths of a unit that names the unit (see `spoken_forms`).

    On tapes that are read to hundredths, up to a hundred whole units.
    """
    forms = number_forms(grammar)
    feet, part = divmod(value, HUNDREDTHS)
    wholes = [p for p in _plain(forms) if forms.whole[p].value == feet]
    fractions = {p: n for p, n in forms.fraction.items() if n.value == part}
    named = [p for p, n in fractions.items() if is_named_part(n, tuple(p.split()), forms)]
    single = [p for p in _singles(forms) if forms.single[p] == part]
    whole = _named(wholes, grammar, Kind.WHOLE, is_one=feet == 1)
    parts = _named(single, grammar, Kind.FRACTION, is_one=part == 1)
    parts += _named(named, grammar, Kind.FRACTION)
    match kind:
        case Kind.WHOLE:
            return () if part else tuple(whole)
        case Kind.FRACTION:
            return () if feet else tuple(parts)
        case Kind.READING:
            joints = (*(f"{joint} " for joint in grammar.terms.units_and), "")
            pointed = [f"{point} {f}" for point in forms.point for f in fractions]
            said = [f"{w} {joint}{f}" for w in whole for joint in joints for f in fractions]
            said += [f"{w} {joint}{f}" for w in whole for joint in joints for f in parts]
            said += [f"{w} {f}" for w in whole for f in pointed]
            both = [
                f"{w} {f}"
                for w in wholes
                for f in named
                if f not in forms.like_unit
                and joins(forms.whole[w], fractions[f], tuple(f.split()), forms.zero_words)
            ]
            said += _named(both, grammar, Kind.FRACTION)
            spelt = [p for p in forms.spelt_hundred if feet == 100]  # noqa: PLR2004 - what it spells
            before = [p for p, n in forms.whole.items() if n.value == feet] + spelt
            said += _named([f"{w} {f}" for w in before for f in pointed], grammar, Kind.WHOLE)
            return tuple(said)
        case _:
            return ()


def _plain(forms: NumberForms) -> tuple[str, ...]:
    """List the marks up to a hundred that may be named: none is said digit by digit."""
    said = {*PARTS, NumberForm.UNIT, NumberForm.HUNDRED}
    return tuple(phrase for phrase, number in forms.whole.items() if number.form in said)


def _marks(grammar: Grammar, forms: NumberForms) -> Expression:
    """Build every mark with its unit."""
    plain = _plain(forms)
    one = choice(tuple(p for p in plain if forms.whole[p].value == 1))
    more: Expression = choice(tuple(p for p in plain if forms.whole[p].value != 1))
    if forms.long is not None:
        more = OneOf((more, forms.long))
    return OneOf(
        (
            *_after(one, grammar, Kind.WHOLE, is_one=True),
            *_after(more, grammar, Kind.WHOLE),
        )
    )


def _hundredths(grammar: Grammar, forms: NumberForms) -> Expression:
    """Build all hundredths with their unit."""
    singles = _singles(forms)
    one = choice(tuple(word for word in singles if forms.single[word] == 1))
    more = tuple(word for word in singles if forms.single[word] != 1)
    parts = tuple(p for p, n in forms.fraction.items() if is_named_part(n, tuple(p.split()), forms))
    return OneOf(
        (
            *_after(one, grammar, Kind.FRACTION, is_one=True),
            *_after(choice((*more, *parts)), grammar, Kind.FRACTION),
        )
    )


def _singles(forms: NumberForms) -> tuple[str, ...]:
    return tuple(word for word, value in forms.single.items() if value)


def _readings(forms: NumberForms) -> Expression:
    """Build readings without "point" whose hundredths may be named, as `joins` allows."""
    known = {form: [p for p, n in forms.whole.items() if n.form is form] for form in NumberForm}
    named = forms.joined
    zeros = forms.select(forms.fraction, {NumberForm.DIGITS}, leading_zero=True)
    closed = (NumberForm.TEEN, NumberForm.COMPOUND, NumberForm.HUNDRED, NumberForm.TENS)
    units = known[NumberForm.UNIT]
    ones = tuple(p for p in units if forms.whole[p].value == 1)
    some = tuple(p for p in phrases(zeros) if forms.fraction[p].value)
    return OneOf(
        (
            sequence(
                choice(tuple(p for form in closed for p in known[form])), OneOf((named, zeros))
            ),
            sequence(choice(tuple(units)), named),
            sequence(choice(tuple(p for p in units if p not in ones)), zeros),
            sequence(choice(ones), choice(some)),
        )
    )


def _after(
    tree: Expression, grammar: Grammar, part: Kind, *, is_one: bool = False
) -> tuple[Expression, ...]:
    """Say what a tree says, and the words of a unit after it."""
    return tuple(
        sequence(_ending(tree, each.before), choice(each.one if is_one else each.more))
        for each in grammar.units
        if each.part is part
    )


def _named(said: Iterable[str], grammar: Grammar, part: Kind, *, is_one: bool = False) -> list[str]:
    return [
        f"{_changed(phrase, each.before)} {word}"
        for phrase in said
        for each in grammar.units
        if each.part is part
        for word in (each.one if is_one else each.more)
    ]


def _ending(tree: Expression, before: Mapping[str, str]) -> Expression:
    """Change the last word of all that a tree can say."""
    match tree:
        case Phrase(text):
            return Phrase(_changed(text, before))
        case OneOf(options):
            return OneOf(tuple(_ending(each, before) for each in options))
        case Sequence(parts):
            return Sequence((*parts[:-1], _ending(parts[-1], before)))


def _changed(phrase: str, before: Mapping[str, str]) -> str:
    first, blank, last = phrase.rpartition(" ")
    return f"{first}{blank}{before.get(last, last)}"


EXPECTED = {
    Kind.WHOLE: (Expectation.WHOLE, Expectation.ANY),
    Kind.FRACTION: (Expectation.FRACTION, Expectation.ANY),
}
"""Where a part that is named is taken."""
