"""The torture of clocks, small: each change a few times; `make torture` has hundreds of each."""

from __future__ import annotations

import pytest

from tests.torture.clock import CHANGED, torture


@pytest.mark.parametrize("name", CHANGED)
def test_no_call_is_lost_and_each_jump_is_noted(name: str) -> None:
    """Order, intervals and pulls are as without it."""
    found = torture(name, CHANGED[name], 2, seed=7)
    assert found.passed, found
