"""Numbers on a tape that is read more finely than to hundredths: trees, and what words mean; pure.

On a tape read to the millimeter what stands after the point is three figures: "three four six",
"three forty six", "oh oh five". The number of figures is the safety: two are asked, with "point" or
without, since one may not have been heard. On one read to 0.005 ft they are hundredths, with "five"
or a zero after them for the half: "forty two five" is .425 and "forty two" .420. All of it is
common practice, no published source.

The law of `calllog.spoken.numbers` holds here too: a tens word takes the digit that follows it, and
where two readings of a phrase are possible neither is taken. What is listened for is more than what
is taken: a call that lacks a figure must be heard to be asked.
"""

from dataclasses import dataclass
from functools import lru_cache

from calllog.spoken.expression import Expression, OneOf, choice, sequence
from calllog.spoken.figures import GREATEST, figures_of, three_figures
from calllog.spoken.grammar import Grammar, SaidKind
from calllog.spoken.meaning import Meaning, Rejection, Why
from calllog.spoken.numbers import Key, NumberForm, forms_key, forms_of, number_forms
from calllog.values import Expectation, Kind, Message, ReadingUnit, message

NOT_READ = "least-count-of-tape"
"""Code of the question where three figures are said that the tape is not read to."""
HALF = 5
"""The third digit of a half on a tape that is read to 0.005 ft."""


@dataclass(frozen=True, slots=True)
class FineForms:
    """How the part after the point is said.

    Args:
        said: least counts of each phrase.
        tree: the same phrases as one expression.
        lacking: what has fewer figures, listened for so that it is asked.
    """

    said: dict[str, int]
    tree: Expression
    lacking: Expression


def fine_forms(grammar: Grammar) -> FineForms | None:
    """Build (once) how the part after the point is said; None where it is plain hundredths."""
    if not grammar.unit.is_fine:
        return None
    key = forms_key(grammar, grammar.reach)
    if grammar.unit is ReadingUnit.FINE_METRE:
        return _millimetres(key, forms_key(grammar, GREATEST))
    return _halves(key)


@lru_cache(maxsize=8)
def _millimetres(key: Key, wide: Key) -> FineForms:
    figures, forms = figures_of(wide), forms_of(key)
    hundred = {phrase for phrase, n in forms.whole.items() if n.form is NumberForm.HUNDRED}
    said = {phrase: value for phrase, value in figures.said.items() if phrase not in hundred}
    fewer = OneOf((figures.fewer, sequence(choice(forms.point), figures.fewer)))
    return FineForms(said, figures.but_hundred, fewer)


@lru_cache(maxsize=8)
def _halves(key: Key) -> FineForms:
    forms = forms_of(key)
    zeros = set(forms.zero_words)
    ends = {word: value for word, value in forms.single.items() if value in (0, HALF)}
    closed = {p: n for p, n in forms.fraction.items() if n.form is not NumberForm.TENS}
    tens = {p: n for p, n in forms.fraction.items() if n.form is NumberForm.TENS}
    said = {phrase: 2 * number.value for phrase, number in forms.fraction.items()}
    said |= {
        f"{phrase} {word}": 2 * number.value + (value == HALF)
        for phrase, number in closed.items()
        for word, value in ends.items()
    }
    said |= {
        f"{phrase} {word}": 2 * n.value for phrase, n in tens.items() for word in sorted(zeros)
    }
    tree = OneOf(
        (
            choice(tuple(forms.fraction)),
            sequence(choice(tuple(closed)), choice(tuple(ends))),
            sequence(choice(tuple(tens)), choice(forms.zero_words)),
        )
    )
    return FineForms(said, tree, forms.one_digit)


def fine_parts(
    grammar: Grammar, expects: Expectation, fine: FineForms
) -> dict[SaidKind, Expression]:
    """Build the numbers that may be said under an expectation on such a tape, by kind.

    Readings that may mean two things are among them: the parser tells them apart.
    """
    forms = number_forms(grammar)
    pointed = sequence(choice(forms.point), fine.tree)
    part = OneOf((fine.tree, pointed))
    marks = OneOf((forms.marks, choice(forms.spelt_hundred)))
    both = sequence(forms.marks, part)
    roles = choice((*grammar.roles.head, *grammar.roles.rear))
    either = OneOf((forms.marks, part))
    numbers: dict[Expectation, Expression] = {
        Expectation.WHOLE: forms.marks,
        Expectation.READING: forms.marks,
        Expectation.FRACTION: part,
        Expectation.ANY: OneOf((either, sequence(roles, either))),
    }
    short = sequence(marks, fine.lacking)
    lacks = expects in (Expectation.FRACTION, Expectation.ANY)
    found: dict[SaidKind, Expression] = {
        SaidKind.NUMBER: numbers[expects],
        SaidKind.READING: OneOf((both, choice(grammar.terms.full_tape))),
        SaidKind.SHORT: OneOf((fine.lacking, short)) if lacks else short,
    }
    if grammar.styles:
        words = choice(tuple(word for said in grammar.styles.values() for word in said))
        after = {Expectation.WHOLE: forms.marks, Expectation.FRACTION: part}.get(expects, either)
        found[SaidKind.STYLE] = sequence(words, OneOf((after, both)))
    return found


def parse_fine(  # noqa: C901, PLR0911 - one way out for each kind of number
    said: tuple[str, ...], start: int, expects: Expectation, limit: int, grammar: Grammar
) -> Meaning | Rejection:
    """Tell what a number means on such a tape.

    Args:
        said: the words.
        start: where the number begins among them.
        expects: what the one who may speak is expected to call.
        limit: the greatest reading on this tape [least counts].
        grammar: the grammar in use, whose unit is read finely.

    Raises:
        ValueError: the grammar's unit is read to hundredths.
    """
    forms, fine, one = number_forms(grammar), _fine(grammar), grammar.unit.counts
    phrase, tape = " ".join(said[start:]), limit // one
    if phrase in grammar.terms.full_tape:
        return Meaning(Kind.READING, tape * one, name="full tape")
    is_pointed = said[start] in forms.point
    bare = " ".join(said[start + 1 :]) if is_pointed else phrase
    whole = None if is_pointed else forms.whole.get(phrase)
    part = fine.said.get(bare)
    if expects is Expectation.FRACTION:
        if part is not None:
            return Meaning(Kind.FRACTION, part)
        if whole is not None and whole.form is NumberForm.HUNDRED:
            return _wrong(said, start, message("is-whole", said=phrase))
    elif whole is not None and whole.value > tape and part is None:
        if expects is Expectation.ANY and (lacks := _lacking(bare, grammar)):
            return Rejection(Why.SINGLE_DIGIT, said, len(said) - 1, lacks)
        reason = message("words-beyond-tape", said=phrase, tape=tape)
        return Rejection(Why.OFF_TAPE, said, start, reason)
    elif whole is not None and whole.value <= tape:
        if expects is Expectation.READING:
            return _wrong(said, len(said), message("is-part", said=phrase))
        if expects is Expectation.WHOLE or whole.form is NumberForm.HUNDRED:
            return Meaning(Kind.WHOLE, whole.value * one)
        return Meaning(Kind.NUMBER, whole.value)
    elif part is not None and expects is not Expectation.ANY:
        code = "is-hundredths" if expects is Expectation.WHOLE else "is-part"
        return _wrong(said, start, message(code, said=phrase))
    elif part is not None and (is_pointed or not _is_spelt_foot(said[start:], grammar)):
        return Meaning(Kind.FRACTION, part)
    lacks = _lacking(bare, grammar)
    if lacks is not None and (expects is Expectation.FRACTION or lacks.code != NOT_READ):
        return Rejection(Why.SINGLE_DIGIT, said, len(said) - 1, lacks)
    return _reading(said, start, limit, grammar)


def _fine(grammar: Grammar) -> FineForms:
    fine = fine_forms(grammar)
    if fine is None:
        error = f"{grammar.name} is read to hundredths"
        raise ValueError(error)
    return fine


def _wrong(said: tuple[str, ...], index: int, reason: Message) -> Rejection:
    return Rejection(Why.WRONG_PART, said, index, reason)


def _is_spelt_foot(said: tuple[str, ...], grammar: Grammar) -> bool:
    """Tell whether a half said digit by digit may be a mark and hundredths: "four two five"."""
    single = number_forms(grammar).single
    is_half = grammar.unit is ReadingUnit.FINE_FOOT
    is_spelt = len(said) > 2 and all(word in single for word in said)  # noqa: PLR2004 - hundredths
    return is_half and is_spelt and bool(single[said[0]])


def _lacking(bare: str, grammar: Grammar) -> Message | None:
    """Say what a part after the point lacks; None if it is none at all."""
    forms = number_forms(grammar)
    single = forms.single.get(bare)
    if grammar.unit is ReadingUnit.FINE_METRE:
        is_short = single is not None or bare in forms.fraction
        return message("three-digits-due", said=bare) if is_short else None
    if single is not None:
        return message("one-digit", said=bare, digit=single)
    is_three = bare in three_figures(grammar).said
    return message(NOT_READ, said=bare) if is_three else None


def _reading(
    said: tuple[str, ...], start: int, limit: int, grammar: Grammar
) -> Meaning | Rejection:
    """Read a mark and what stands after its point; one way of it is due, and none with less."""
    forms, fine, unit = number_forms(grammar), _fine(grammar), grammar.unit
    ways: dict[int, bool] = {}
    lacks: Message | None = None
    for whole, rest, pointed in forms.splits(said, start):
        bare = " ".join(rest)
        part = fine.said.get(bare)
        if part is None:
            lacks = lacks or (_lacking(bare, grammar) if bare else None)
            continue
        is_taken = (
            whole.form is NumberForm.TENS and not forms.tens_and and bool(forms.single.get(rest[0]))
        )
        joins = pointed or not (is_taken or whole.form is NumberForm.SPELT_HUNDRED)
        ways[whole.value * unit.counts + part] = joins
    phrase = " ".join(said[start:])
    if len(ways) == 1 and all(ways.values()) and lacks is None:
        (reading,) = ways
        if reading <= limit:
            return Meaning(Kind.READING, reading)
        reason = message("beyond-tape", reading=reading, tape=limit // unit.counts)
        return Rejection(Why.OFF_TAPE, said, start, reason)
    if ways:
        either = {f"may_be_{n}": unit.text(way) for n, way in enumerate(sorted(ways), start=1)}
        asks = message("may-be", said=phrase, count=len(ways), **either)
        return Rejection(Why.AMBIGUOUS, said, len(said) - 1, asks)
    if lacks is not None:
        return Rejection(Why.SINGLE_DIGIT, said, len(said) - 1, lacks)
    reason = message("word-does-not-belong", word=said[-1])
    return Rejection(Why.NO_CALL, said, len(said) - 1, reason)
