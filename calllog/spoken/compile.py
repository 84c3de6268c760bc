"""A grammar and an expectation in; what a recogniser listens for out; pure."""

from collections.abc import Iterable, Iterator

from calllog.spoken.expression import (
    Expression,
    OneOf,
    Phrase,
    Sequence,
    choice,
    sequence,
)
from calllog.spoken.figures import three_figures
from calllog.spoken.fine import fine_forms, fine_parts
from calllog.spoken.grammar import SLOT, Grammar, SaidKind
from calllog.spoken.mended import mended_expressions
from calllog.spoken.named import named_expression
from calllog.spoken.notes import note_expression
from calllog.spoken.numbers import NumberForm, NumberForms, number_forms
from calllog.values import Expectation

FIGURES = (3, 5)
"""So many figures one by one are no part and no reading; more than five are heard as five."""
GREATEST_ADDITION = 30
"""A count goes to one hundred thirty ("temperature one hundred five")."""


def parts(
    grammar: Grammar, expects: Expectation, kinds: tuple[SaidKind, ...] | None = None
) -> dict[SaidKind, Expression]:
    """Build what may be said under an expectation, by kind; only these kinds, or all by default."""
    forms = number_forms(grammar)
    listens = grammar.listens[expects]
    tree: dict[SaidKind, Expression] = {
        SaidKind.NUMBER: _numbers(grammar, forms, expects),
        SaidKind.READING: OneOf((forms.reading, choice(grammar.terms.full_tape))),
        SaidKind.SHORT: _short(forms, expects),
        SaidKind.COMMAND: choice(tuple(p for named in grammar.commands.values() for p in named)),
        SaidKind.CONDITION: OneOf(tuple(_conditions(grammar, forms))),
        SaidKind.NOTE: note_expression(grammar, forms),
        SaidKind.STYLE: _after_style(grammar, forms, expects),
        SaidKind.FIGURES: _figures(forms),
        SaidKind.CHATTER: OneOf(tuple(_patterns(_talk(grammar), talk_slots(forms)))),
    }
    fine = fine_forms(grammar)
    if fine is not None:
        tree |= fine_parts(grammar, expects, fine)
        del tree[SaidKind.FIGURES]  # three figures are a part there
    if (named := named_expression(grammar, forms, fine)) is not None:
        tree[SaidKind.NAMED] = named
    if mended := mended_expressions(grammar, forms):
        tree[SaidKind.MENDED] = OneOf(mended)
    if not grammar.styles:
        del tree[SaidKind.STYLE]
    wanted = kinds or (*listens.first, *listens.also)
    return {kind: tree[kind] for kind in wanted if kind in tree}


def _talk(grammar: Grammar) -> tuple[str, ...]:
    """List the phrases that are no call, but where one of them is asked for."""
    return (*grammar.chatter.phrases, *(p for named in grammar.answers.values() for p in named))


def _after_style(grammar: Grammar, forms: NumberForms, expects: Expectation) -> Expression:
    """Build the calls that begin with the word "cut" or "add".

    Readings that may mean two things are among them, so that the search stays small: the parser
    tells them apart.
    """
    said = tuple(word for words in grammar.styles.values() for word in words)
    numbers: tuple[Expression, ...] = (forms.marks, forms.hundredths)
    match expects:
        case Expectation.WHOLE:
            numbers = numbers[:1]
        case Expectation.FRACTION:
            numbers = numbers[1:]
        case _:
            numbers = (_bare(forms), forms.pointed)
    both = sequence(forms.marks, OneOf((choice(tuple(forms.fraction)), forms.pointed)))
    return sequence(choice(said), OneOf((*numbers, both)))


def _numbers(grammar: Grammar, forms: NumberForms, expects: Expectation) -> Expression:
    match expects:
        case Expectation.WHOLE | Expectation.READING:
            return forms.marks
        case Expectation.FRACTION:
            return forms.hundredths
        case Expectation.ANY:
            bare = _bare(forms)
            both = OneOf((bare, forms.pointed))
            roles = choice((*grammar.roles.head, *grammar.roles.rear))
            return OneOf((both, sequence(roles, both)))


def _bare(forms: NumberForms) -> Expression:
    plain = choice(tuple(dict.fromkeys((*forms.plain, *forms.fraction))))
    return plain if forms.long is None else OneOf((plain, forms.long))


def _short(forms: NumberForms, expects: Expectation) -> Expression:
    if expects is Expectation.FRACTION:
        return OneOf((forms.one_digit, forms.short_reading))
    if expects is Expectation.ANY:
        pointed = sequence(choice(forms.point), choice(tuple(forms.single)))
        return OneOf((pointed, forms.short_reading))
    return forms.short_reading


def _figures(forms: NumberForms) -> Expression:
    """Build what has a figure too many: those who hear no such thing leave the figure out.

    None has a zero in the second place: "five oh three" is a reading.
    """
    figure = choice(tuple(forms.single))
    but_zero = choice(tuple(word for word, value in forms.single.items() if value))
    return OneOf(tuple(sequence(figure, but_zero, *(figure,) * (many - 2)) for many in FIGURES))


def count(forms: NumberForms) -> OneOf:
    """Choose among counts from 0 to one hundred thirty, as a condition states them."""
    more = choice(
        tuple(
            phrase
            for phrase, number in forms.whole.items()
            if 0 < number.value <= GREATEST_ADDITION and number.form is not NumberForm.DIGITS
        )
    )
    return OneOf((choice(forms.plain), sequence(choice(forms.hundred_more), more)))


def talk_slots(forms: NumberForms) -> dict[str, Expression]:
    """Give what stands for a number in talk: below a hundred, as people count things."""
    named = forms.select(forms.whole, {NumberForm.UNIT, NumberForm.TEEN, NumberForm.TENS})
    return {"number": OneOf((named, forms.compound))}


def _conditions(grammar: Grammar, forms: NumberForms) -> Iterator[Expression]:
    counted, whole = count(forms), choice(forms.plain)
    tenths = (choice(forms.point), choice(tuple(forms.single)))
    slots: dict[str, Expression] = {
        "number": counted,
        "decimal": OneOf((counted, sequence(counted, *tenths))),
        "whole": whole,
        # a rise of feet alone must be heard to be asked again
        "reading": OneOf((forms.pointed_reading, sequence(whole, *tenths), whole)),
    }
    yield from _patterns((p for each in grammar.conditions for p in each.phrases), slots)


def _patterns(patterns: Iterable[str], slots: dict[str, Expression]) -> Iterator[Expression]:
    """Build phrases; those that end alike share their end, so that the search is small."""
    alike: dict[tuple[str, str], list[str]] = {}
    for pattern in patterns:
        found = SLOT.search(pattern)
        if found is None:
            yield Phrase(pattern)
            continue
        before, after = pattern[: found.start()].strip(), pattern[found.end() :].strip()
        alike.setdefault((found.group(1), after), []).append(before)
    for (slot, after), befores in alike.items():
        begun = tuple(before for before in befores if before)
        end = (Phrase(after),) if after else ()
        if begun:
            yield Sequence((choice(begun), slots[slot], *end))
        if len(begun) < len(befores):
            yield Sequence((slots[slot], *end))


def to_phrases(grammar: Grammar, expects: Expectation) -> tuple[str, ...]:
    """List the phrases for an engine that takes a bag of phrases and joins them freely (Vosk).

    Numbers stand as their parts, so a full reading is heard as a whole and hundredths; the strict
    parser decides afterwards. The last entry, ``[unk]``, lets the engine hear anything else.
    """
    forms = number_forms(grammar)
    numbers = dict.fromkeys(
        (*forms.whole, *forms.fraction, *forms.single, *forms.point, *forms.hundred_more)
    )
    fixed = (
        *grammar.terms.full_tape,
        *(word for said in grammar.styles.values() for word in said),
        *(p for named in grammar.commands.values() for p in named),
        *(part for c in grammar.conditions for p in c.phrases for part in _beside_slot(p)),
        *(p for named in vars(grammar.notes).values() for p in named),
        *_beyond_plus(grammar),
        *(part for phrase in _talk(grammar) for part in _beside_slot(phrase)),
        *grammar.terms.mends,
        *_with_units(grammar),
    )
    roles = (*grammar.roles.head, *grammar.roles.rear) if expects is Expectation.ANY else ()
    return (*numbers, *dict.fromkeys((*fixed, *roles)), "[unk]")


def _with_units(grammar: Grammar) -> tuple[str, ...]:
    """Give the words of units, what stands between two of them, and how numbers end before them."""
    words = (word for each in grammar.units for word in (*each.one, *each.more))
    ends = (said for each in grammar.units for said in each.before.values())
    return (*words, *ends, *(grammar.terms.units_and if grammar.units else ()))


def _beyond_plus(grammar: Grammar) -> tuple[str, ...]:
    """Give what is said after the plus of a metric station and in no other number."""
    if grammar.unit.is_feet:
        return ()
    return (*three_figures(grammar).hundreds, *grammar.terms.hundred_and)


def _beside_slot(pattern: str) -> tuple[str, ...]:
    """Give what a condition's phrase has before its slot and after it."""
    parts = (part.strip() for part in SLOT.sub("|", pattern).split("|"))
    return tuple(part for part in parts if part)


def words(grammar: Grammar) -> frozenset[str]:
    """List every word that the grammar uses under any expectation."""
    return frozenset(
        word
        for phrase in to_phrases(grammar, Expectation.ANY)
        for word in phrase.split()
        if phrase != "[unk]"
    )
