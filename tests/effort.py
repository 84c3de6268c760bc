"""What a piece of work costs, counted: the same on a busy computer as on an idle one."""

from __future__ import annotations

import sys
import tracemalloc
from collections.abc import Callable


def steps(work: Callable[[], object]) -> int:
    """Count the functions that are called, those written in C too."""
    count = 0

    def see(_frame: object, event: str, _what: object) -> None:
        nonlocal count
        count += event in {"call", "c_call"}

    before = sys.getprofile()
    sys.setprofile(see)
    try:
        work()
    finally:
        sys.setprofile(before)
    return count


def most_bytes(work: Callable[[], object]) -> int:
    """Measure the most memory that it takes at a time, beyond what is taken before [byte]."""
    tracemalloc.start()
    try:
        work()
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
