"""Values in, spoken forms out: the twin of the parser; pure."""

from calllog.spoken.grammar import Grammar
from calllog.spoken.numbers import NumberForms, joins, number_forms
from calllog.values import HUNDREDTHS, Kind


def spoken_forms(grammar: Grammar, kind: Kind, value: int) -> tuple[str, ...]:
    """List, in the grammar's order, every way to say a value [hundredths] that means it alone."""
    forms = number_forms(grammar)
    feet, part = divmod(value, HUNDREDTHS)
    wholes, fractions = forms.whole_of.get(feet, ()), forms.fraction_of.get(part, ())
    match kind:
        case Kind.WHOLE:
            return tuple(p for p, _ in wholes) if part == 0 else ()
        case Kind.FRACTION:
            pointed = tuple(f"{point} {p}" for point in forms.point for p, _ in fractions)
            return (*(p for p, _ in fractions), *pointed) if feet == 0 else ()
        case Kind.READING:
            spelt = [p for p in forms.spelt_hundred if feet == 100]  # noqa: PLR2004 - what it spells
            plain = tuple(
                f"{w} {f}"
                for w, whole in wholes
                for f, fraction in fractions
                if f not in forms.like_unit
                and joins(whole, fraction, tuple(f.split()), forms.zero_words)
                and (forms.long is None or _is_one(forms, f"{w} {f}"))
            )
            pointed = tuple(
                f"{w} {point} {f}"
                for w in (*(p for p, _ in wholes), *spelt)
                for point in forms.point
                for f, _ in fractions
            )
            return (*plain, *pointed)
        case _:
            return ()


def _is_one(forms: NumberForms, phrase: str) -> bool:
    """Tell whether a reading on a long tape is no mark as well, and splits in one way alone."""
    words = phrase.split()
    ways = [
        cut
        for cut in range(1, len(words))
        if " ".join(words[:cut]) in forms.whole
        and (" ".join(words[cut:]) in forms.fraction or " ".join(words[cut:]) in forms.single)
    ]
    return len(ways) == 1 and phrase not in forms.whole


def say(grammar: Grammar, kind: Kind, value: int) -> str:
    """Say a value the way that is hardest to mishear: the first spoken form.

    Raises:
        ValueError: the grammar has no form for the value.
    """
    forms = spoken_forms(grammar, kind, value)
    if not forms:
        message = f"no spoken form for {kind.value} {value}"
        raise ValueError(message)
    return forms[0]
