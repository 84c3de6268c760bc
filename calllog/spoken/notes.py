"""Station and offset notes: what can be said, what it means and how it is said; pure.

"Station one plus twenty five right eighteen point four" is station 1+25, 18.4 ft to the right. On
a metric line kilometers stand before the plus and three digits of meters after it: "station one
plus two thirty four" (common practice, no published source); two digits are asked again there.
Offsets are read to tenths, so one digit after their point is tenths (common practice, no published
source); of a pull's hundredths one digit alone is never taken.
"""

from itertools import product

from calllog.spoken.expression import OneOf, Sequence, choice, in_words, sequence
from calllog.spoken.figures import three_figures
from calllog.spoken.grammar import Grammar
from calllog.spoken.meaning import Meaning, Rejection, Why
from calllog.spoken.numbers import NumberForm, NumberForms, number_forms
from calllog.values import HUNDREDTHS, Kind, Message, OffsetNote, ReadingUnit, Side, message

FULL_STATION = {ReadingUnit.FOOT: 100 * HUNDREDTHS, ReadingUnit.METRE: 1000 * HUNDREDTHS}
"""Hundredths of the unit from one station to the next."""
GREATEST_OFFSET = 100 * HUNDREDTHS
"""Hundredths of a foot or meter."""


def note_expression(grammar: Grammar, forms: NumberForms) -> Sequence:
    """Build every note: station, hundreds, plus, two digits, side, offset.

    Digits are written as one choice after another, not as all pairs: the search stays small.
    """
    said, digit = grammar.notes, choice(tuple(forms.single))
    nonzero = choice(tuple(word for word, value in forms.single.items() if value))
    compound = forms.compound
    below_hundred = OneOf(
        (
            forms.select(forms.whole, {NumberForm.UNIT, NumberForm.TEEN, NumberForm.TENS}),
            compound,
            sequence(nonzero, digit),
        )
    )
    two_digits = OneOf(
        (
            forms.select(forms.whole, {NumberForm.TEEN, NumberForm.TENS}),
            compound,
            sequence(digit, digit),
        )
    )
    decimals = sequence(choice(forms.point), OneOf((digit, two_digits)))
    is_foot = grammar.unit.is_feet
    beyond = two_digits if is_foot else three_figures(grammar).tree
    hundred = forms.select(forms.whole, {NumberForm.HUNDRED})
    offset = OneOf((below_hundred, hundred, decimals, sequence(below_hundred, decimals)))
    return Sequence(
        (
            choice(said.station),
            below_hundred,
            choice(said.plus),
            beyond,
            choice((*said.left, *said.right)),
            offset,
        )
    )


def parse_note(  # noqa: PLR0911 - one way out for each fault
    said: tuple[str, ...], grammar: Grammar, forms: NumberForms
) -> Meaning | Rejection | None:
    """Read a note; None if the words begin none."""
    words = grammar.notes
    begun = _ends_at(said, 0, words.station)
    if begun is None:
        return None
    plus = _find(said, begun, words.plus)
    if plus is None:
        return _wrong(said, len(said), message("station-form"))
    hundreds = forms.whole.get(" ".join(said[begun : plus[0]]))
    if hundreds is None or hundreds.value >= HUNDREDTHS:
        return _wrong(said, begun, message("station-hundreds"))
    sides = ((Side.LEFT, words.left), (Side.RIGHT, words.right))
    found = [(at, side) for side, named in sides if (at := _find(said, plus[1], named))]
    if not found:
        return _wrong(said, len(said), message("station-side"))
    (ends, begins), side = min(found)
    feet_said = " ".join(said[plus[1] : ends])
    feet = after_plus(grammar, forms).get(feet_said)
    if feet is None:
        single = forms.single.get(feet_said)
        if single is None or not grammar.unit.is_feet:
            return _wrong(said, plus[1], message("station-plus"))
        reason = message("station-one-digit", said=feet_said, digit=single)
        return Rejection(Why.SINGLE_DIGIT, said, plus[1], reason)
    offset = _offset(said[begins:], forms)
    if offset is None:
        return _wrong(said, begins, message("offset-form", side=side.value))
    if offset > GREATEST_OFFSET:
        reason = message("offset-beyond", most=GREATEST_OFFSET // HUNDREDTHS)
        return Rejection(Why.OFF_TAPE, said, begins, reason)
    station = hundreds.value * FULL_STATION[grammar.unit.base] + feet * HUNDREDTHS
    return Meaning(Kind.NOTE, note=OffsetNote(station=station, side=side, offset=offset))


def after_plus(grammar: Grammar, forms: NumberForms) -> dict[str, int]:
    """Give what is said after the plus of a station, and the feet or meters of each."""
    if not grammar.unit.is_feet:
        return three_figures(grammar).said
    return forms.hundredths_said


def note_forms(grammar: Grammar, note: OffsetNote) -> tuple[str, ...]:
    """List every way to say a note; none if it cannot be said."""
    forms, words = number_forms(grammar), grammar.notes
    hundreds, rest = divmod(note.station, FULL_STATION[grammar.unit.base])
    feet, part = divmod(rest, HUNDREDTHS)
    if part or not 0 <= note.offset <= GREATEST_OFFSET:
        return ()
    parts = (
        words.station,
        tuple(_below_hundred(forms, hundreds)),
        words.plus,
        tuple(p for p, value in after_plus(grammar, forms).items() if value == feet),
        words.left if note.side is Side.LEFT else words.right,
        tuple(_offset_forms(forms, note.offset)),
    )
    return tuple(" ".join(said) for said in product(*parts))


def _below_hundred(forms: NumberForms, value: int) -> list[str]:
    return [
        p for p, n in forms.whole.items() if n.value == value and n.form is not NumberForm.HUNDRED
    ]


def _offset_forms(forms: NumberForms, offset: int) -> list[str]:
    feet, part = divmod(offset, HUNDREDTHS)
    whole = [p for p, number in forms.whole.items() if number.value == feet]
    if part == 0 and offset == GREATEST_OFFSET:
        return whole
    tenths = [p for p, value in forms.single.items() if 10 * value == part]
    decimals = [
        f"{point} {p}"
        for point in forms.point
        for p in (*tenths, *(p for p, number in forms.fraction.items() if number.value == part))
    ]
    return [
        *(whole if part == 0 else []),
        *(f"{w} {decimal}" for w in whole for decimal in decimals),
        *(decimals if feet == 0 else []),
    ]


def _offset(said: tuple[str, ...], forms: NumberForms) -> int | None:
    """Read an offset [hundredths of a foot or meter]; None if the words are none."""
    point = _find(said, 0, forms.point)
    if point is None:
        whole = forms.whole.get(" ".join(said))
        return None if whole is None else whole.value * HUNDREDTHS
    before, after = " ".join(said[: point[0]]), " ".join(said[point[1] :])
    whole = forms.whole.get(before)
    if before and whole is None:
        return None
    tenths, fraction = forms.single.get(after), forms.fraction.get(after)
    feet = whole.value * HUNDREDTHS if whole else 0
    if tenths is not None:
        return feet + 10 * tenths
    return None if fraction is None else feet + fraction.value


def _ends_at(said: tuple[str, ...], start: int, phrases: tuple[str, ...]) -> int | None:
    """Tell where a phrase ends that begins there; None if none does."""
    for words in in_words(phrases):
        if said[start : start + len(words)] == words:
            return start + len(words)
    return None


def _find(said: tuple[str, ...], start: int, phrases: tuple[str, ...]) -> tuple[int, int] | None:
    """Find the first of the phrases: where it begins and ends."""
    for begins in range(start, len(said)):
        if (ends := _ends_at(said, begins, phrases)) is not None:
            return begins, ends
    return None


def _wrong(said: tuple[str, ...], index: int, reason: Message) -> Rejection:
    return Rejection(Why.WRONG_PART, said, index, reason)
