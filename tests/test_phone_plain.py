"""Texts of a stranger's journal on the page: all of it seen, on one line, with an end."""

from __future__ import annotations

import json
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calllog.phone.plain import LONGEST, plain, plain_all
from tests.torture.strangers import TEXTS


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("tape wet <b>&amp;", "tape wet <b>&amp;"),
        ("\u202e\u2066\u200f\ufeff\u200b", "<U+202E><U+2066><U+200F><U+FEFF><U+200B>"),
        ("a\r\n\u2028\x85\x1b[2J", "a<U+000D><U+000A><U+2028><U+0085><U+001B>[2J"),
        ("a\u3164\u034f", "a<U+3164><U+034F>"),
        ("a" + "\u0301" * 40, "a" + "\u0301" * 3),
        ("Señal 4 \u00a0Ω", "Señal 4 \u00a0Ω"),
        ("x" * 1_000, "x" * (LONGEST - 1) + "…"),
        ("a\ud800b", "a<U+D800>b"),
    ],
)
def test_what_cannot_be_seen_is_shown_by_its_number(text: str, shown: str) -> None:
    """Nothing turns direction, breaks the line, hides or towers; markup stays text."""
    assert plain(text) == shown


@given(st.text(max_size=2 * LONGEST))
def test_any_text_is_made_plain(text: str) -> None:
    """Whatever stands in a journal, and as JSON for the page too."""
    shown = plain(text)
    assert all(unicodedata.category(sign)[0] != "C" for sign in shown)
    assert len(shown.splitlines()) <= 1
    json.dumps(shown, ensure_ascii=False).encode()


def test_all_texts_within_are_made_plain() -> None:
    """Those of lists and of values by name too; numbers stay what they are."""
    given_ = {"a": [("\u202e", 1), {"b": "\n", "c": None, "d": True}], "e": 1.5}
    made = {"a": [["<U+202E>", 1], {"b": "<U+000A>", "c": None, "d": True}], "e": 1.5}
    assert plain_all(given_) == made
    assert all(len(plain(str(each))) <= 8 * LONGEST for each in TEXTS)
