"""Spanish words to units of the network and to the voices' own symbols; pure.

Spanish is spelt as it is said, so rules do what a dictionary does for English. Units are phonemes
of American Spanish, index 0 is the CTC blank: no lisp (c, z and s are one), ll is y, and b, d and g
are one each, hard or soft. Stress is left out: no two words of a call differ by it alone. What
regions say otherwise is written as another spelling of the word, which the same rules turn into
phones: an s before a consonant or at the end that is breathed ("doj") or dropped ("do"), a d
that is dropped ("terminao", "verdá"), diphthongs that are simple ("trenta", "ventidós").
"""

from __future__ import annotations

import re
import unicodedata

BLANK = "<blk>"
VOWELS = ("A", "E", "I", "O", "U")
UNITS = (
    BLANK,
    *VOWELS,
    *("J", "W"),
    *("B", "CH", "D", "F", "G", "H", "K", "L", "M", "N", "NY", "P", "R", "RR", "S", "T", "Y"),
)
"""J and W are the glides of "siete" and "cuatro"; H is that of "jala"; R taps, RR rolls."""
INDEX = {unit: index for index, unit in enumerate(UNITS)}

LIKE_ENGLISH = {
    **{each: (each,) for each in UNITS if each in (BLANK, *"BDFGKLMNPSTYW", "CH")},
    "A": ("AA1", "AH1"),
    "E": ("EH1", "EY1"),
    "I": ("IY1",),
    "O": ("OW1", "AO1"),
    "U": ("UW1",),
    "J": ("Y", "IY0"),
    "W": ("W", "UW0"),
    "H": ("HH",),
    "NY": ("N", "Y"),
    "R": ("D", "R"),
    "RR": ("R",),
    "S": ("S",),
    "Y": ("Y", "JH"),
}
"""English phones that each unit is like: training starts from their weights."""

Phones = tuple[str, ...]

STRONG = "aeoáéó"
CLOSE = "iuü"
ACCENTED = "áéíóú"
LETTERS = "aeiouáéíóúü"
UNSTRESSED = frozenset(
    (
        *("a", "al", "con", "de", "del", "el", "en", "la", "las", "le", "lo", "los", "me", "mi"),
        *("no", "o", "para", "por", "que", "se", "sin", "su", "te", "tu", "un", "y"),
    )
)
"""Words that lean on the next one."""
CLEAR = {"b": "B", "d": "D", "f": "F", "k": "K", "l": "L", "m": "M", "n": "N", "ñ": "NY"}
CLEAR |= {"p": "P", "t": "T", "v": "B", "w": "W", "s": "S", "z": "Z", "j": "H"}
CLEAR |= {"q": "K", "y": "Y", "r": "R", "g": "G", "c": "K"}
PAIRS = {"ch": "CH", "ll": "Y", "rr": "RR"}
TRIPLES = (("hu", "eéa", "W"), ("hi", "eé", "Y"), ("gu", "eiéí", "G"), ("qu", "eiéí", "K"))
"""Two letters that are one sound before these vowels."""
_SOFT = "eiéí"


def phones(word: str) -> Phones:
    """Spell a word in units.

    Args:
        word: lower case, with its accents.
    """
    return tuple("S" if each == "Z" else each for each, _ in _sounds(word))


def _sounds(word: str) -> list[tuple[str, bool]]:
    """Give the sounds of a word, those of c and z before e and i as Z; and which is stressed."""
    word = unicodedata.normalize("NFC", word)
    found: list[tuple[str, int]] = []
    place = 0
    while place < len(word):
        sounds, step = _consonant(word, place)
        if word[place] in LETTERS:
            sounds = (_vowel(word, place),)
        found += [(sound, place) for sound in sounds]
        place += step
    stressed = _stressed(word, found)
    return [(sound, at == stressed) for sound, at in found]


def _consonant(word: str, place: int) -> tuple[Phones, int]:
    """Give the sounds of a consonant, none if it is mute, and how many letters write them."""
    here, after, then = word[place], word[place + 1 : place + 2], word[place + 2 : place + 3]
    for letters, sound in PAIRS.items():
        if here + after == letters:
            return (sound,), 2
    if here in "hgq" and after and after in "ui" and then:
        for letters, following, sound in TRIPLES:
            if here + after == letters and then in following:
                return (sound,), 2
    sounds: Phones = (CLEAR[here],) if here in CLEAR else ()
    match here:
        case "y" if not after or after not in LETTERS:
            sounds = ("I" if len(word) == 1 else "J",)
        case "r" if not place or word[place - 1] in "nls":
            sounds = ("RR",)
        case "g" | "c" if after and after in _SOFT:
            sounds = ("H" if here == "g" else "Z",)
        case "x":
            sounds = ("K", "S") if place else ("S",)
    return sounds, 1


def _vowel(word: str, place: int) -> str:
    here, base = word[place], unicodedata.normalize("NFD", word[place])[0].upper()
    if here not in CLOSE:
        return base
    before, after = word[place - 1 : place] if place else "", word[place + 1 : place + 2]
    glide = {"I": "J", "U": "W"}[base]
    if after and after in LETTERS and (after not in CLOSE or after != here):
        return glide
    if before and before in STRONG:
        return glide
    return base


def _stressed(word: str, sounds: list[tuple[str, int]]) -> int:
    """Give the place of the stressed vowel's letter; -1 where none is."""
    nuclei = [at for sound, at in sounds if sound in VOWELS]
    marked = [at for at in nuclei if word[at] in ACCENTED]
    if marked:
        return marked[0]
    if not nuclei or word in UNSTRESSED:
        return -1
    is_early = word[-1] in "aeiouns" and len(nuclei) > 1
    return nuclei[-2 if is_early else -1]


DIPHTHONGS = (("treinta", "trenta"), ("veint", "vent"), ("veint", "vint"))
_BREATHED = re.compile(r"s(?=[^aeiouáéíóúüs]|$)")
_LAST_S = re.compile(r"(?<=[aeiouáéíóú])s$")
_ADO = re.compile(r"ad([oa]s?)$")
_LAST_D = re.compile(r"(?<=[aeiou])d$")


def spellings(word: str) -> tuple[str, ...]:
    """List how a word is said in different places, each written so; the usual way first."""
    bases = [word]
    for full, simple in DIPHTHONGS:
        bases += [each.replace(full, simple) for each in bases if full in each]
    found = list(bases)
    for each in bases:
        if _ADO.search(each) and len(each) > 4:
            found.append(_ADO.sub(r"a\1", each) if each[-2:] not in ("da", "as") else each)
        if _LAST_D.search(each):
            found.append(_accented(_LAST_D.sub("", each)))
    for each in tuple(found):
        # the accent that the last s made needless must now be written, and the other way about
        if _BREATHED.search(each):
            found.append(_BREATHED.sub("j", each))
        if _LAST_S.search(each):
            found.append(_LAST_S.sub("", each))
    if word.endswith("enta"):
        found.append(word[:-1])
    return tuple(dict.fromkeys(found))


def _accented(word: str) -> str:
    """Write the accent on the last vowel."""
    return word[:-1] + {"a": "á", "e": "é", "i": "í", "o": "ó", "u": "ú"}[word[-1]]


def all_pronunciations(word: str) -> tuple[Phones, ...]:
    """List how a word is said in units, the usual way first."""
    ways = [phones(each) for each in spellings(word)]
    if word == "y":
        ways += [("J",), ("E",)]
    return tuple(dict.fromkeys(way for way in ways if way))


CLOSED = {
    "A": "a",
    "E": "e",
    "I": "i",
    "O": "o",
    "U": "u",
    "J": "j",
    "W": "w",
    "CH": "ʧ",
    "F": "f",
    "K": "k",
    "L": "l",
    "M": "m",
    "N": "n",
    "NY": "ɲ",
    "P": "p",
    "R": "ɾ",
    "RR": "r",
    "S": "s",
    "T": "t",
    "Y": "ʝ",
    "H": "x",
}
ENGLISH = {
    "A": "ɑ",
    "E": "A",
    "I": "i",
    "O": "O",
    "U": "u",
    "J": "j",
    "W": "w",
    "CH": "ʧ",
    "F": "f",
    "K": "k",
    "L": "l",
    "M": "m",
    "N": "n",
    "NY": "nj",
    "P": "p",
    "R": "ɹ",
    "RR": "ɹ",
    "S": "s",
    "T": "t",
    "Y": "j",
    "H": "h",
    "B": "b",
    "D": "d",
    "G": "ɡ",
    "Z": "s",
}
"""As who grew up with English says them."""
WEAK = {"A": "ə", "E": "ɛ", "O": "O"}
"""Vowels of such a speaker that are not stressed."""


def kokoro(spelling: str, *, manner: str, before: str = "") -> str:
    """Write a word for the network Kokoro.

    Args:
        spelling: the word, or how it is said somewhere.
        manner: "american" for American Spanish, "lisped" for that of Spain, "breathed" where a j is
            but a breath, "english" for an English accent.
        before: the last unit of the word before, which hardens a b, d or g; none at the start.
    """
    written, last = "", before
    for sound, is_stressed in _sounds(spelling):
        if manner == "english":
            symbol = ENGLISH[sound]
            if not is_stressed and sound in WEAK and sound != "O":
                symbol = WEAK[sound]
        elif sound == "Z":
            symbol = "θ" if manner == "lisped" else "s"
        elif sound == "H" and manner == "breathed":
            symbol = "h"
        elif sound in ("B", "D", "G"):
            is_hard = last in ("", "M", "N") or (sound == "D" and last == "L")
            symbol = {"B": "bβ", "D": "dð", "G": "ɡɣ"}[sound][0 if is_hard else 1]
        else:
            symbol = CLOSED[sound]
        written += "ˈ" * is_stressed + symbol
        last = sound
    return written
