"""A fault counts also in what was computed before it was put in.

The process that tries a fault is a copy of one that read the sound program. What a pure function
remembers would still be what that one found, so it is forgotten.
"""

from __future__ import annotations

import sys
from inspect import isclass


def forget() -> None:
    """Forget what was computed."""
    ours = [each for each in sys.modules if each.partition(".")[0] in ("calllog", "tests")]
    for name in ours:
        values = list(vars(sys.modules[name]).values())
        values += [one for each in values if isclass(each) for one in vars(each).values()]
        for each in values:
            if callable(clear := getattr(each, "cache_clear", None)):
                clear()
