"""One thing that was looked at: how it stands, in words, and what to do next; pure."""

from dataclasses import dataclass
from enum import StrEnum


class Result(StrEnum):
    """How something stands."""

    OK = "OK"
    WARN = "WARN"
    """Works, but not all of it or not well."""
    FAIL = "FAIL"
    """The work cannot be done so."""
    NONE = "NONE"
    """Not there, and only what it is for cannot be done."""


@dataclass(frozen=True, slots=True)
class Check:
    """One thing that was looked at."""

    name: str
    result: Result
    words: str
    """What was found, for the one who sits here: may name devices and folders."""
    next_step: str = ""
    """What to do about it; empty if nothing."""
    facts: str = ""
    """What a bug report needs of it: no names of people, devices or folders."""
