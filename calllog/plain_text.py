"""A stranger's text in, the same on one line with nothing hidden in it out; pure.

Names, remarks and paths may come from a stranger's job. A newline in one writes a line of its own
among ours, an escape sequence steers the terminal, a mark of direction turns the words round, and
a sign without width makes two names look alike. Such signs are shown by their numbers, as in
``<U+202E>``.
"""

import re
import unicodedata
from typing import Final

SPACE: Final = "Zs"
"""The category of spaces that have a width, besides the one that is always printable."""
UNSEEN: Final = re.compile(
    "[\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180f\u3164\ufe00-\ufe0f\uffa0\U000e0100-\U000e01ef]"
)
"""Letters and marks that leave no trace: those of Default_Ignorable_Code_Point that are printable
(Unicode Character Database 15, DerivedCoreProperties.txt); all others of it are formats (Cf)."""
_SHORT: Final = 0x10000


def is_plain_text(text: str) -> bool:
    r"""Tell whether all of a text can be seen, on one line.

    Example:
        >>> is_plain_text("Señal 4"), is_plain_text("Oak\nproved"), is_plain_text("\u202e")
        (True, False, False)
    """
    return (
        text.isprintable() or all(sign.isprintable() or _is_space(sign) for sign in text)
    ) and not UNSEEN.search(text)


def one_line(text: str) -> str:
    r"""Show a text on one line, signs that cannot be seen by their numbers.

    Example:
        >>> one_line("Oak\nproved: 9 entries")
        'Oak<U+000A>proved: 9 entries'
    """
    return text if is_plain_text(text) else "".join(map(_shown, text))


def plain_json(text: str) -> str:
    r"""Escape what cannot be seen in a JSON document; it means what it meant.

    Example:
        >>> plain_json('{"by": "\u202eR. Field"}')
        '{"by": "\\u202eR. Field"}'
    """
    lines = text.split("\n")
    return "\n".join(
        line
        if is_plain_text(line)
        else "".join(each if is_plain_text(each) else escaped(each) for each in line)
        for line in lines
    )


def _is_space(sign: str) -> bool:
    return unicodedata.category(sign) == SPACE


def _shown(sign: str) -> str:
    return sign if is_plain_text(sign) else f"<U+{ord(sign):04X}>"


def escaped(sign: str) -> str:
    r"""Escape a sign as a string of JSON may have it.

    Example:
        >>> escaped("\u202e")
        '\\u202e'
    """
    code = ord(sign)
    if code < _SHORT:
        return f"\\u{code:04x}"
    above = code - _SHORT
    return f"\\u{0xD800 + (above >> 10):04x}\\u{0xDC00 + (above & 0x3FF):04x}"
