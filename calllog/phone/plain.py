"""Phone: a text of the journal in, what the page may show of it out; pure.

A journal may come from a stranger. The page sets every text as text alone, so none is markup; here
goes what would still mislead the eye: marks that turn the direction of what follows, line breaks,
signs without width, towers of accents, and texts without end.
"""

import unicodedata
from typing import Final

LONGEST: Final = 300
"""Most signs of one text: more than any remark or question has."""
MOST_ACCENTS: Final = 3
"""On one letter."""
_UNSEEN: Final = frozenset(
    "\N{COMBINING GRAPHEME JOINER}\N{HANGUL CHOSEONG FILLER}\N{HANGUL JUNGSEONG FILLER}"
    "\N{HANGUL FILLER}\N{HALFWIDTH HANGUL FILLER}"
)
"""Letters and marks that leave no trace."""


def plain(text: str) -> str:
    r"""Show a text on one line, each sign that cannot be seen by its number.

    Example:
        >>> plain("wet\n\u202etape")
        'wet<U+000A><U+202E>tape'
    """
    cut = text if len(text) <= LONGEST else f"{text[: LONGEST - 1]}…"
    if cut.isascii() and cut.isprintable():
        return cut
    shown: list[str] = []
    accents = 0
    for sign in cut:
        category = unicodedata.category(sign)
        accents = accents + 1 if category == "Mn" else 0
        is_seen = (sign.isprintable() or category == "Zs") and sign not in _UNSEEN
        if accents <= MOST_ACCENTS:
            shown.append(sign if is_seen else f"<U+{ord(sign):04X}>")
    return "".join(shown)


def plain_all(value: object) -> object:
    """Make every text plain in what is to be written as JSON."""
    match value:
        case str():
            return plain(value)
        case dict():
            return {key: plain_all(each) for key, each in value.items()}
        case list() | tuple():
            return [plain_all(each) for each in value]
        case _:
            return value
