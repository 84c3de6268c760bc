"""Plugin for pytest: imports the program anew, so that a fault counts in what is computed once.

The process that tries a mutant is a copy of one that ran the tests before. What a module made as it
was imported, and what is remembered of a pure function, would still be what the sound program made.
"""

from __future__ import annotations

import sys

import pytest


@pytest.hookimpl(tryfirst=True)
def pytest_load_initial_conftests() -> None:
    """Forget the program and its tests before the first of them is read."""
    for name in tuple(sys.modules):
        if name.partition(".")[0] in ("calllog", "tests") and name != __name__:
            del sys.modules[name]
