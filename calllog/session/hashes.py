"""The hash of each entry of a job, 40 bytes an entry; pure.

A text of 64 figures in a table takes five times as much, and a crew's long day has some 25,000
entries.
"""

from array import array
from bisect import bisect_left
from collections.abc import Iterator, Mapping

SIZE = 32
"""Bytes of a SHA-256."""


class EntryHashes(Mapping[int, str]):
    """Hashes by the sequences of their entries."""

    def __init__(self) -> None:
        self._sequences = array("Q")
        self._packed = bytearray()

    def add(self, sequence: int, text: str) -> None:
        """Note the hash of a later entry than all before.

        Raises:
            ValueError: it is not later, or that is no SHA-256 in hexadecimal.
        """
        packed = bytes.fromhex(text)
        if sequence <= self.last or packed.hex() != text or len(packed) != SIZE:
            message = f"{text!r} is no hash of an entry after {self.last}"
            raise ValueError(message)
        self._sequences.append(sequence)
        self._packed += packed

    @property
    def last(self) -> int:
        """Sequence of the last entry; 0 without any."""
        return self._sequences[-1] if self._sequences else 0

    def __getitem__(self, sequence: int) -> str:
        place = bisect_left(self._sequences, sequence)
        if place == len(self) or self._sequences[place] != sequence:
            raise KeyError(sequence)
        return self._packed[place * SIZE : (place + 1) * SIZE].hex()

    def __iter__(self) -> Iterator[int]:
        return iter(self._sequences)

    def __len__(self) -> int:
        return len(self._sequences)
