"""What is said of values that are read or refused: every sentence as it was read and kept."""

from __future__ import annotations

import json

import pytest

from tests.golden.make_said import KEPT, READ, said_of_values

SAID: dict[str, list[str]] = json.loads(KEPT.read_text("utf-8"))


@pytest.mark.parametrize("what", READ)
def test_values_are_read_and_refused_as_kept(what: str) -> None:
    """What is wrong, where, and what next; or the value, in meters or as a crew states it."""
    assert said_of_values(what) == SAID[what]
