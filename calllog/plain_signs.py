r"""Signs in, the same meaning in ASCII out, for consoles that have no others; pure.

What has no spelling is shown by its number, as in ``<U+6C34>``: nothing is left out, and nobody
takes a sign that is missing for one that was not there.
"""

import unicodedata
from typing import Final

from calllog.plain_text import escaped

_SPELLED: Final = {
    **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2015\u2212\u2500\u2501\u2504\u2550", "-"),
    **dict.fromkeys("\u2502\u2503\u2551", "|"),
    **dict.fromkeys("\u2588\u2593\u2592\u2591\u25a0\u2584\u2580", "#"),
    **dict.fromkeys("\u2018\u2019\u201a\u2032", "'"),
    **dict.fromkeys("\u201c\u201d\u201e\u2033\u00ab\u00bb", '"'),
    **dict.fromkeys("\u00a0\u2002\u2003\u2007\u2009\u200a\u202f", " "),
    **dict.fromkeys("\u00b7\u2022\u25cf\u25cb\u22c5", "*"),
    **dict.fromkeys("\u00b5\u03bc", "u"),
    "\u2026": "...",
    "\u00b1": "+-",
    "\u00b0": "deg",
    "\u00d7": "x",
    "\u00f7": "/",
    "\u2264": "<=",
    "\u2265": ">=",
    "\u2248": "~",
    "\u2260": "!=",
    "\u221a": "sqrt",
    "\u2190": "<-",
    "\u2191": "^",
    "\u2192": "->",
    "\u2193": "v",
    "\u21b5": "Enter",
    "\u2713": "ok",
    "\u2717": "x",
    "\u00a7": "section ",
    "\u00a1": "!",
    "\u00bf": "?",
    "\u00b2": "^2",
    "\u00b3": "^3",
    "\u00aa": "a",
    "\u00ba": "o",
    "\u03b1": "alpha",
    "\u03b8": "theta",
    "\u03c3": "sigma",
    "\u0394": "delta ",
    "\u03a3": "sum ",
    "\u00c6": "AE",
    "\u00e6": "ae",
    "\u00d8": "O",
    "\u00f8": "o",
    "\u00df": "ss",
    "\u0141": "L",
    "\u0142": "l",
    "\u0153": "oe",
    "\u0152": "OE",
}
_CORNERS: Final = range(0x2500, 0x2580)
"""Lines of tables that are neither upright nor level."""


def in_ascii(text: str) -> str:
    r"""Spell a text in ASCII.

    Example:
        >>> in_ascii("68 \u00b0F \u00b1 0.5, Se\u00f1al \u2026 \u6c34")
        '68 degF +- 0.5, Senal ... <U+6C34>'
    """
    return text if text.isascii() else "".join(map(_in_ascii, text))


def only_of(text: str, encoding: str) -> str:
    r"""Escape what an encoding lacks in a JSON document; it means what it meant.

    Example:
        >>> only_of('{"by": "Se\u00f1al \u6c34"}', "latin-1")
        '{"by": "Señal \\u6c34"}'
    """
    try:
        text.encode(encoding)
    except UnicodeEncodeError:
        return "".join(_escaped(sign, encoding) for sign in text)
    return text


def _in_ascii(sign: str) -> str:
    if sign.isascii():
        return sign
    if sign in _SPELLED:
        return _SPELLED[sign]
    if ord(sign) in _CORNERS:
        return "+"
    parts = unicodedata.normalize("NFD", sign)
    bare, marks = parts[0], parts[1:]
    is_marked = bare.isascii() and all(map(unicodedata.combining, marks))
    return bare if is_marked else f"<U+{ord(sign):04X}>"


def _escaped(sign: str, encoding: str) -> str:
    try:
        sign.encode(encoding)
    except UnicodeEncodeError:
        return escaped(sign)
    return sign
