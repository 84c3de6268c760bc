"""Plugin for pytest: a fault counts also in what was computed before it was put in.

The process that tries a mutant is a copy of one that ran the tests of the sound program. What a
pure function remembers would still be what that one found, so it is forgotten. Where the mutant is
in what runs as a module is imported, the program is imported anew, which takes longer.
"""

from __future__ import annotations

import os
import sys
from inspect import isclass

import pytest

AT_IMPORT = ("calllog.units.table.x__units__",)
"""What runs while a module is imported, as mutmut names it."""


@pytest.hookimpl(tryfirst=True)
def pytest_load_initial_conftests() -> None:
    """Forget what was computed, before the first test is read."""
    mutant = os.environ.get("MUTANT_UNDER_TEST", "")
    ours = [each for each in sys.modules if each.partition(".")[0] in ("calllog", "tests")]
    for name in ours:
        if mutant.startswith(AT_IMPORT):
            if name != __name__:
                del sys.modules[name]
            continue
        values = list(vars(sys.modules[name]).values())
        values += [one for each in values if isclass(each) for one in vars(each).values()]
        for each in values:
            if callable(clear := getattr(each, "cache_clear", None)):
                clear()
