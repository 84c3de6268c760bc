"""Processes that are begun anew, with pipes and locks between them; see `calllog.children`; shell.

A module of its own, since few commands need it and its library takes long to load.
"""

import contextlib
import multiprocessing.context
import sys
from collections.abc import Iterator
from multiprocessing import resource_tracker
from types import ModuleType

from calllog import system
from calllog.children import guarded


class _SpawnedProcess(multiprocessing.context.SpawnProcess):
    """A process that is begun anew; it does not load the commands, which it has no need of."""

    def start(self) -> None:
        with guarded(), _no_commands():
            super().start()


@contextlib.contextmanager
def _no_commands() -> Iterator[None]:
    """Hide this process's main module for a while, where that is the program's own.

    A process that is begun anew would run it again to find there what it shall do, which never
    stands there: all of the commands, a second and more.
    """
    main = sys.modules["__main__"]
    begun = getattr(main, "main", None)
    spec = getattr(main, "__spec__", None)
    if "calllog.cli" not in {getattr(begun, "__module__", ""), spec.name if spec else ""}:
        yield
        return
    sys.modules["__main__"] = ModuleType("__main__")
    try:
        yield
    finally:
        sys.modules["__main__"] = main


class Spawning(multiprocessing.context.SpawnContext):
    """Makes such processes."""

    def __init__(self) -> None:
        super().__init__()
        if not system.SYSTEM.hands_down:
            return  # no locks that outlive their processes, and nothing that minds them
        with guarded():
            resource_tracker.ensure_running()  # a Python of its own, begun with the first lock

    Process = _SpawnedProcess
