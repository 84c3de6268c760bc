"""The hash of each entry of a job, 32 bytes an entry; pure.

A text of 64 figures in a table takes six times as much, and a crew's long day has some 25,000
entries.
"""

from collections.abc import Iterator, Mapping

SIZE = 32
"""Bytes of a SHA-256."""


class EntryHashes(Mapping[int, str]):
    """Hashes by the sequences of their entries, which run from 1 without a gap."""

    def __init__(self) -> None:
        self._packed = bytearray()

    def add(self, sequence: int, text: str) -> None:
        """Note the hash of the next entry.

        Raises:
            ValueError: another entry is due, or that is no SHA-256 in hexadecimal.
        """
        packed = bytes.fromhex(text)
        if sequence != len(self) + 1 or packed.hex() != text or len(packed) != SIZE:
            message = f"{text!r} is not the hash of entry {len(self) + 1}, which is due"
            raise ValueError(message)
        self._packed += packed

    def __getitem__(self, sequence: int) -> str:
        if not 1 <= sequence <= len(self):
            raise KeyError(sequence)
        return self._packed[(sequence - 1) * SIZE : sequence * SIZE].hex()

    def __iter__(self) -> Iterator[int]:
        return iter(range(1, len(self) + 1))

    def __len__(self) -> int:
        return len(self._packed) // SIZE
