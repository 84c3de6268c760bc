"""What a fuzzer tries: bytes in, nothing out, or an exception that is a defect of the program."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

OptionT = TypeVar("OptionT")


@dataclass(frozen=True, slots=True)
class Target:
    """One way into the program."""

    name: str
    cases: int
    """How many a full run tries."""
    attempt: Callable[[bytes], None]
    """Lets the program take one case; a declared error is swallowed, any other is a defect."""
    seeds: Callable[[], Iterable[bytes]]
    """Cases that work, of which others are made."""
    longest: int = 256
    """Most bytes of a case."""


class Draw:
    """Turns the bytes of a case into choices, one after the other; zeros when they are used up."""

    def __init__(self, data: bytes) -> None:
        self._data = data
        self._at = 0

    def __bool__(self) -> bool:
        """Tell whether bytes are left."""
        return self._at < len(self._data)

    def number(self, size: int = 1) -> int:
        """Take a number of so many bytes."""
        taken = self._data[self._at : self._at + size]
        self._at += size
        return int.from_bytes(taken, "big")

    def one_of(self, options: Sequence[OptionT]) -> OptionT:
        """Take one of at most 65,536 options."""
        return options[self.number(1 if len(options) <= 256 else 2) % len(options)]

    def rest(self) -> bytes:
        """Take all that is left."""
        left = self._data[self._at :]
        self._at = len(self._data)
        return left

    def text(self) -> str:
        """Take all that is left as text, such as a file or a command line gives it."""
        return self.rest().decode("utf-8", "replace")
