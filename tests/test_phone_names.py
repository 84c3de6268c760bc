"""Names of phones: one form, one alphabet, none like another's, none of the program's own."""

from __future__ import annotations

import string
import unicodedata

import pytest
from confusable_homoglyphs import confusables
from hypothesis import given
from hypothesis import strategies as st

from calllog.server import names
from calllog.server.names import (
    ALPHABETS,
    LONGEST,
    RESERVED,
    is_free,
    is_like,
    is_reserved,
    read_name,
)

ASCII = string.ascii_letters + string.digits


@pytest.mark.parametrize(
    ("given", "name"),
    [
        ("  Zoe \u00a0 O\u2019Hara\u20112 jr. ", "Zoe O'Hara-2 jr."),
        ("Zoe\u0308", "Zoë"),
        ("\uff21nna", "Anna"),
        ("Anna\u00b2", "Anna2"),
        ("Nguyễn", "Nguyễn"),
        ("Ελένη", "Ελένη"),
        ("Юрий", "Юрий"),
    ],
)
def test_name_has_one_form(given: str, name: str) -> None:
    """However a phone's keyboard writes it, the same name is the same text (NFKC)."""
    assert read_name(given) == name
    assert read_name(name) == name


@pytest.mark.parametrize(
    "given",
    [
        *("", " ", "_", "2 Anna", "1542", "x" * 21, "x" * 5_000, "<b>", "../x", "A&B", "A/B"),
        *("a\nb", "a\tb", "a\x00", "a\x1bb", "a\u200bb", "a\u200db", "a\ufeffb", "a\u00adb"),
        *("a\u202eb", "a\u2066b", "a\u2028b", "\ue000a", "a\u034fb", "a\u3164", "a\u115f"),
        *("\u0430nna", "Ann\u0251", "\ua4eeNNA", "\u13aaBC", "\u1d00nna", "A\u0301\u0302\u0303"),
        *(
            "a\u0338\u0338\u0338",
            "\u05d0\u05d1",
            "\u0639",
            "\u00bd",
            "\u263a",
            "A\ufdfa",
            "a\ud800",
        ),
    ],
)
def test_name_that_is_none(given: str) -> None:
    """Signs that are not seen or steer, two alphabets in one name, towers of accents: refused."""
    assert read_name(given) == ""


@pytest.mark.parametrize("word", sorted(RESERVED))
def test_reserved_words_are_refused_however_they_are_written(word: str) -> None:
    """Capitals, points between, figures for letters, an article, accents."""
    looks = word.replace("o", "0").replace("i", "1").replace("l", "1")
    for name in (
        *(word, word.upper(), word.title(), ".".join(word), f"the {word}", f"El {word} 2"),
        *(looks.title(), word.upper().replace("I", "l"), f"{word[:2]} {word[2:]}"),
        f"{word[:-1]}{word[-1]}\N{COMBINING DOT BELOW}",
    ):
        if read_name(name):
            assert is_reserved(read_name(name)), name
    assert all(map(is_reserved, ("the logger", "Crew 2", "Chief Anna", "by policy")))
    assert not any(map(is_reserved, ("Anna", "Bob Head", "Theloni", "Ella", "Bo", "Crewe")))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        *(("Anna", "ANNA"), ("Anna", "an-na."), ("Anna", "Ánna"), ("Al", "AI"), ("Bo", "B0")),
        *(("Ann Arnold", "Ann Amold"), ("Anna", "\u0391\u039d\u039d\u0391"), ("Weiss", "Weiß")),
        *(("\u0421\u0430\u0440\u0430", "Capa"), ("Walla", "VVal1a"), ("Ida", "lda")),
        ("\u0391\u03bd\u03bd\u03b1", "\u0391\u039d\u039d\u0391"),
    ],
)
def test_names_that_look_alike(one: str, other: str) -> None:
    """The eye on a small screen would take the one for the other; both ways round."""
    assert is_like(one, other)
    assert is_like(other, one)
    assert not is_free(other, [one])
    assert is_free(read_name(other), ["Nobody like"]) == (read_name(other) == other)


@pytest.mark.parametrize(("one", "other"), [("Anna", "Bo"), ("Ann", "Anna"), ("Jan", "Jon")])
def test_names_that_differ(one: str, other: str) -> None:
    """Ordinary names do not stand in each other's way."""
    assert not is_like(one, other)


def test_look_alikes_are_those_of_unicode() -> None:
    """Unicode Technical Standard #39, its table of confusables, by `confusable_homoglyphs`.

    Each letter that a name may have, and that the table takes for plain Latin letters or figures,
    looks like them here too.
    """
    checked = 0
    for letter in sorted(frozenset().union(*ALPHABETS) | set(string.digits)):
        if unicodedata.normalize("NFD", letter) != letter:
            continue
        for alike in confusables.confusables_data.get(letter, ()):
            if all(sign in ASCII for sign in alike["c"]):
                assert is_like(f"x{letter}x", f"x{alike['c']}x"), (letter, alike)
                checked += 1
    assert checked > 60


@given(st.text(max_size=3 * LONGEST))
def test_any_text_is_a_name_in_its_one_form_or_none(given: str) -> None:
    """Reading is done once and for all; what comes out is short and can be seen, all of it."""
    name = read_name(given)
    assert read_name(name) == name
    assert len(name) <= LONGEST
    assert name.isprintable()
    assert not name or is_like(name, name)
    assert is_free(name, ()) == bool(name and not is_reserved(name))


def test_sets_of_reserved_names_hang_together() -> None:
    """What is not even part of a name is no name."""
    assert names.PARTS <= RESERVED
