"""The examples in docstrings hold: each module that has one is run."""

from __future__ import annotations

import doctest
from importlib import import_module
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
WITH_EXAMPLES = sorted(
    ".".join(path.relative_to(ROOT).with_suffix("").parts)
    for path in (ROOT / "calllog").rglob("*.py")
    if ">>> " in path.read_text("utf-8")
)


@pytest.mark.parametrize("module", WITH_EXAMPLES)
def test_examples_in_docstrings_hold(module: str) -> None:
    """What a docstring shows is what comes out."""
    done = doctest.testmod(import_module(module))
    assert done.attempted > 0
    assert done.failed == 0
