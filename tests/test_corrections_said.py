"""What is said of lengths, as read and as laid out: every sentence as it was read and kept."""

from __future__ import annotations

import json

import pytest

from tests.golden.make_said import KEPT, LENGTHS, said_of

SAID: dict[str, list[str]] = json.loads(KEPT.read_text("utf-8"))


@pytest.mark.parametrize("what", LENGTHS)
def test_lengths_are_corrected_and_refused_as_kept(what: str) -> None:
    """Corrections with their formulas, doubts, layout, table and budget; or why there are none."""
    assert said_of(what) == SAID[what]
