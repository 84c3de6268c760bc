"""Numbers as people write them in, exact fractions out, and back; pure."""

import re
from fractions import Fraction
from unicodedata import numeric

from calllog.errors import ConfigError

_WHOLE = r"(?:[1-9][0-9]{0,2}(?:,[0-9]{3})+|[0-9]+)"
NUMBER = rf"(?:(?:{_WHOLE}[ -])?[0-9]+/[0-9]+|{_WHOLE}(?:\.[0-9]*)?|\.[0-9]+)(?![0-9./]|,[0-9])"
"""Pattern of a number without sign: 12, 12.45, .5, 1,234.5, 3/4, 6 1/2, 6-1/2."""
_COMMA = re.compile("(?<=[0-9]),(?=[0-9])")
_TWO_WAYS = re.compile("[0-9]+,[0-9]{3}")
"""Thousands, or three decimals."""
LONGEST = 100
"""Characters that a value may have; more is no value that a person wrote."""
_SAME = str.maketrans(
    {
        **dict.fromkeys("\u2018\u2019\u2032\u00b4", "'"),
        **dict.fromkeys("\u201c\u201d\u2033", '"'),
        **dict.fromkeys("\u2212\u2013", "-"),
        "\u2044": "/",
        "\u00ba": "\u00b0",
        **{sign: f" {Fraction(numeric(sign)).limit_denominator(8)}" for sign in "½⅓⅔¼¾⅛⅜⅝⅞"},
    }
)
"""Quotes and primes, minus and dash, fraction slash, degree, and fractions of one sign."""


def plain(text: str) -> str:
    """Write a value with plain signs: quotes, dashes, blanks and fractions have many forms.

    Raises:
        ConfigError: it is too long for a value.

    Example:
        >>> plain("12 ft  6½ in")
        '12 ft 6 1/2 in'
    """
    if len(text) > LONGEST:
        raise ConfigError(
            f"{len(text)} characters are no value",
            where=f"{text[:20]!r}...",
            next_step="state one value, such as 12 ch 45 lk",
        )
    return " ".join(text.translate(_SAME).replace("''", '"').split())


def mended(text: str, otherwise: str) -> str:
    """Say how to write a value that cannot be read: with a point where it has a decimal comma.

    Example:
        >>> mended("83,47 ft", "state a length")
        'set a point before decimals, not a comma: 83.47 ft'
        >>> mended("83..47 ft", "state a length")
        'state a length'
    """
    if "." in text or not _COMMA.search(text):
        return otherwise
    return f"set a point before decimals, not a comma: {_COMMA.sub('.', text, count=1)}"


def exact(number: str, *, where: str) -> Fraction:
    """Read a number that `NUMBER` matches, exactly.

    Args:
        number: without sign.
        where: what it was read in, for error messages.

    Raises:
        ConfigError: a fraction is divided by zero, or a comma may be a point: an office that works
            in meters writes 25,020 for 25.020.

    Example:
        >>> exact("6 1/2", where="")
        Fraction(13, 2)
    """
    figures = number.replace(",", "")
    if _TWO_WAYS.fullmatch(number):
        pointed = number.replace(",", ".")
        raise ConfigError(
            f"{number} may be {pointed} or {figures}",
            where=where,
            next_step=f"write {pointed}, or {figures} without a comma",
        )
    parts = re.split("[ -]", figures)
    try:
        return sum((Fraction(part) for part in parts), Fraction(0))
    except ZeroDivisionError as error:
        raise ConfigError(
            f"{number} is divided by zero", where=where, next_step="fix the fraction"
        ) from error


def rounded(value: Fraction, decimals: int) -> str:
    """Write a value to so many decimals; a half goes to the even digit, judged exactly.

    Example:
        >>> rounded(Fraction("0.125"), 2), rounded(Fraction("0.375"), 2)
        ('0.12', '0.38')
    """
    scaled = round(value * 10**decimals)
    digits = f"{abs(scaled):0{decimals + 1}d}"
    whole, rest = digits[: len(digits) - decimals], digits[len(digits) - decimals :]
    return ("-" if scaled < 0 else "") + whole + (f".{rest}" if decimals else "")


def written_out(value: Fraction) -> str:
    """Write a value exactly: as a decimal where that ends, else as a fraction.

    Example:
        >>> written_out(Fraction(1, 8)), written_out(Fraction(1200, 3937))
        ('0.125', '1200/3937')
    """
    decimals, rest = 0, value.denominator
    while rest % 10 == 0 or rest % 5 == 0 or rest % 2 == 0:
        rest //= 10 if rest % 10 == 0 else 5 if rest % 5 == 0 else 2
        decimals += 1
    return rounded(value, decimals) if rest == 1 else str(value)
