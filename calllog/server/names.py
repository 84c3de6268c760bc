"""Server: what its owner wants to be called in, the name that it may have or none out; pure.

A name stands in the journal beside what was decided, so no two phones may have names that look
alike, and none a name that the program itself signs with. A name is of one alphabet, without
signs that cannot be seen. What looks alike follows the table of confusables of "Unicode Security
Mechanisms" (Unicode Technical Standard #39), for the letters that a name may have.
"""

import re
import string
import unicodedata
from collections.abc import Iterable
from typing import Final

LONGEST: Final = 20
"""Most signs of a name."""
RESERVED: Final = frozenset(
    [
        "calllog",
        "chief",
        "computer",
        "crew",
        "cuadrilla",
        "delantero",
        "head",
        "jefe",
        "keypad",
        "keys",
        "logger",
        "microphone",
        "nobody",
        "none",
        "office",
        "page",
        "phone",
        "policy",
        "rear",
        "regla",
        "system",
        "terminal",
        "trasero",
        "unsaid",
    ]
)
"""Who or what else decides, types or is named beside a call; no phone is called so."""
PARTS: Final = frozenset({"calllog", "chief", "crew", "cuadrilla", "jefe", "logger", "policy"})
"""Those that are not even part of a name, as in "Crew 2"."""
_ARTICLES: Final = ("the", "el", "la")
_TYPED: Final = str.maketrans(
    "\N{RIGHT SINGLE QUOTATION MARK}\N{LEFT SINGLE QUOTATION MARK}\N{MODIFIER LETTER APOSTROPHE}"
    "\N{HYPHEN}\N{NON-BREAKING HYPHEN}\N{EN DASH}",
    "'''---",
)
"""What the keyboards of phones give for an apostrophe and a hyphen."""
_GREEK_SMALL: Final = "αβγδεζηθικλμνξοπρσςτυφχψω"
ALPHABETS: Final = (
    frozenset(string.ascii_letters + "ßæœøđðþłıŋħÆŒØĐÐÞŁŊĦ"),
    frozenset(_GREEK_SMALL + _GREEK_SMALL.upper()),
    frozenset((*map(chr, range(0x400, 0x460)), *"ґҐ")),
)
"""Letters without their accents: Latin, Greek, Cyrillic; a name is of one of them."""
_BETWEEN: Final = frozenset(" .'-")
_BREAKS: Final = ("Zl", "Zp")
_MOST_ACCENTS: Final = 2
"""Of one letter, as Vietnamese has them."""
_LOOKS: Final = {
    sign: look
    for look, signs in {
        "a": "ΑαАа",  # noqa: RUF001 - that they look alike is what this is about
        "ae": "Ææ",
        "b": "ΒβВвЬьß",
        "bl": "Ыы",
        "c": "Ссς",
        "d": "ĐđÐð",
        "e": "ΕεЕеЄє",
        "h": "ΗНнĦħЂђЋћ",
        "i": "ιіı",  # noqa: RUF001
        "j": "Јј",  # noqa: RUF001
        "k": "ΚκКк",
        "l": "1IΙІŁł",  # noqa: RUF001
        "lo": "Юю",
        "m": "ΜМм",
        "n": "ΝηпŊŋ",
        "o": "0ΟοσОоØø",  # noqa: RUF001
        "oe": "Œœ",
        "p": "ΡρРрÞþ",
        "r": "г",  # noqa: RUF001
        "s": "Ѕѕ",  # noqa: RUF001
        "t": "ΤτТт",
        "u": "μυ",
        "v": "ν",  # noqa: RUF001
        "w": "ωш",
        "x": "ΧχХх",
        "y": "ΥγУу",  # noqa: RUF001
        "z": "Ζ",  # noqa: RUF001
        "3": "Зз",
        "6": "б",  # noqa: RUF001
    }.items()
    for sign in signs
}
_PAIRS: Final = (("rn", "m"), ("vv", "w"))


def read_name(given: str) -> str:
    """Bring a name into its one form; empty if it is none.

    Examples:
        >>> read_name("  Zoe   O\u2019Hara-2 jr. ")
        "Zoe O'Hara-2 jr."
        >>> read_name("Bo\u202e"), read_name("A\u0430")
        ('', '')
    """
    if len(given) > 4 * LONGEST or any(map(_is_odd, given)):
        return ""
    name = " ".join(unicodedata.normalize("NFKC", given.translate(_TYPED)).split())
    alphabets = {_alphabet(sign) for sign in name if sign not in _BETWEEN | set(string.digits)}
    is_begun = name[:1] not in _BETWEEN | set(string.digits)
    is_one = len(alphabets) == 1 and -1 not in alphabets
    return name if is_begun and is_one and len(name) <= LONGEST else ""


def is_reserved(name: str) -> bool:
    """Tell whether a name looks like one that the program itself signs with.

    Examples:
        >>> is_reserved("The Ch1ef"), is_reserved("Crew 2"), is_reserved("Bob Head")
        (True, True, False)
    """
    words = [word for word in re.split("[ .'-]+", name) if word.casefold() not in _ARTICLES]
    whole = "".join(words)
    begun = [whole[len(each) :] for each in _ARTICLES if whole.casefold().startswith(each)]
    return any(_may_read(each, _RESERVED) for each in (whole, *begun)) or any(
        _may_read(word, _PARTS) for word in words
    )


def is_like(one: str, other: str) -> bool:
    """Tell whether two names could be taken for each other.

    Example:
        >>> is_like("Anna", "ANNA."), is_like("Al", "AI"), is_like("Anna", "Bo")
        (True, True, False)
    """
    return bool(_looks(one) & _looks(other))


def is_free(name: str, names: Iterable[str]) -> bool:
    """Tell whether a phone may be called so beside others: in the name's one form, like none."""
    is_name = read_name(name) == name != "" and not is_reserved(name)
    return is_name and not any(is_like(name, other) for other in names)


def _is_odd(sign: str) -> bool:
    """Tell whether a sign is a control, a format, none at all, or a break of lines."""
    category = unicodedata.category(sign)
    return category[0] == "C" or category in _BREAKS


def _alphabet(sign: str) -> int:
    """Tell the place of a letter's alphabet; -1 if it is no letter of a name."""
    letter, *accents = list(unicodedata.normalize("NFD", sign))
    if len(accents) > _MOST_ACCENTS:
        return -1
    return next((n for n, letters in enumerate(ALPHABETS) if letter in letters), -1)


def _looks(name: str) -> frozenset[str]:
    """Tell what a name looks like, in capitals and small letters too, without what is between."""
    return frozenset(map(_look, (name, name.upper(), name.lower())))


def _may_read(word: str, known: frozenset[str]) -> bool:
    """Tell whether a word reads as a known one, with a number behind it or not."""
    return any(_looks(each) & known for each in (word, word.rstrip(string.digits)))


def _look(name: str) -> str:
    bare = (sign for sign in unicodedata.normalize("NFD", name) if not unicodedata.combining(sign))
    look = "".join(_LOOKS.get(sign, sign) for sign in bare if sign not in _BETWEEN).casefold()
    for pair, sign in _PAIRS:
        look = look.replace(pair, sign)
    return look


_RESERVED: Final = frozenset().union(*map(_looks, RESERVED))
_PARTS: Final = frozenset().union(*map(_looks, PARTS))
