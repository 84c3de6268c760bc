"""Journal: bytes of a database and its log in, every sound entry in them out; no files touched.

SQLite reads a tree of pages and gives up where one does not fit. An entry is known by its
hash, so here each page is read by itself (SQLite, "Database File Format", sections 1.5, 1.6, 2.1
and 4.1), wherever it lies and whatever the tree says of it; frames of the log too, whose checksums
do not count. What is found is sound or it is not taken; a single bit that was flipped is found by
trying, since the hash then fits again.
"""

import struct
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import NamedTuple

from pydantic import ValidationError

from calllog.journal.entry import NO_PREVIOUS, Entry, entry_hash, fault_of

PAGE_BYTES = 4096
"""Of a journal's database."""
_LOG_HEADER_BYTES = 32
_FRAME_HEADER_BYTES = 24
_LEAF_HEADER_BYTES = 8
_CELLS_MOST = 32
"""On a page: a row has 128 signs of hashes alone."""
_LOCAL_MOST = PAGE_BYTES - 35
"""A longer record goes on in pages of its own."""
_LOCAL_LEAST = (PAGE_BYTES - 12) * 32 // 255 - 23
_VARINT_BYTES = 9
_COLUMNS = 8
_INTEGER_BYTES = {0: 0, 1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8, 8: 0, 9: 0}
"""Bytes of each serial type that is an integer, or none."""
_FLOAT, _FIRST_TEXT = 7, 13
_HEXADECIMAL = frozenset(b"0123456789abcdef")
_HASHES_BYTES = 128
_MENDED_MOST = 8192
"""Longer records are not mended: each bit costs a hash."""
_MENDED_TRIED = 100
"""Records, the oldest first: a file in shreds would take hours."""
_BROKEN_KEPT = 4096
"""Records that may be mended, until it is known which entries are there."""
MOST_RECORD_BYTES = 1 << 22
"""A longer one was never written; what says it is longer is something else."""
_SEQUENCE_BITS = 24
_NOT_A_RECORD = (IndexError, ValueError, struct.error, ValidationError)
"""What reading bytes that are something else may raise; text that is no UTF-8 is a ValueError."""

Page = memoryview
"""A part of a file that is in memory once, however many records are looked for in it."""
Pages = dict[int, Page]


_NO_PAGE = memoryview(b"")


class _Cell(NamedTuple):
    """Where a page says that a record begins."""

    sequence: int
    size: int
    """Bytes of the whole record."""
    begins: Page
    """As much of it as stands in the cell."""
    following: int
    """Number of the page in which it goes on; 0 if it does not."""


class Carved(NamedTuple):
    """What was found."""

    sound: tuple[Entry, ...]
    """Each once, in the order of finding."""
    mended: frozenset[int]
    """Sequences of those of which one bit had to be turned back; their hashes fit again."""


def carve(database: bytes, log: bytes) -> Carved:
    """Find every entry whose hash fits it, or fits it again if one bit is turned back.

    Args:
        database: the main file, torn or not; empty if there is none.
        log: the write-ahead log, torn or not; empty if there is none.
    """
    pages = list(_cut(database, 0, PAGE_BYTES))
    frames = list(_cut(log, _LOG_HEADER_BYTES, _FRAME_HEADER_BYTES + PAGE_BYTES))
    main: Pages = dict(enumerate(pages, start=1))
    logged: Pages = {
        int.from_bytes(frame[:4], "big"): frame[_FRAME_HEADER_BYTES:] for frame in frames
    }
    cells = dict.fromkeys(
        cell
        for page in (*pages, *(frame[_FRAME_HEADER_BYTES:] for frame in frames))
        for cell in _cells(page)
    )
    found: dict[str, Entry] = {}
    newest = {**main, **logged}
    broken: list[tuple[int, bytes]] = []
    for cell in cells:
        records = {_payload(cell, pages) for pages in (main, newest)}
        entries = [_entry(cell.sequence, record) for record in records]
        found |= {each.hash: each for each in entries if each and each.hash not in found}
        if not any(entries) and len(broken) < _BROKEN_KEPT:
            broken += [(cell.sequence, record) for record in records if _looks_broken(record)]
    known = {entry.sequence for entry in found.values()}
    lost = (each for each in broken if each[0] not in known)
    mended = {
        entry.hash: entry
        for sequence, record in islice(lost, _MENDED_TRIED)
        if (entry := _mended(sequence, record))
    }
    found |= mended
    return Carved(tuple(found.values()), frozenset(entry.sequence for entry in mended.values()))


def longest_chain(entries: Iterable[Entry], noted: str = "") -> tuple[Entry, ...]:
    """Follow the entries from the first one on, as far as each follows from the one before.

    Where two follow from one (a write that was broken off and made again), the way goes on that
    holds the noted hash, then the longer one, then the one found first.

    Args:
        entries: sound entries in any order.
        noted: hash of the entry that was noted as the last; empty if none was.
    """
    weights: dict[str, tuple[bool, int]] = {}
    follower: dict[str, Entry] = {}
    for entry in sorted(entries, key=lambda each: each.sequence, reverse=True):
        is_noted, length = weights.get(entry.hash, (False, 0))
        weight = (is_noted or entry.hash == noted, length + 1)
        if weight > weights.get(entry.previous, (False, 0)):
            weights[entry.previous], follower[entry.previous] = weight, entry
    chain: list[Entry] = []
    following = follower.get(NO_PREVIOUS)
    while following is not None and not fault_of(following, chain[-1] if chain else None):
        chain.append(following)
        following = follower.get(following.hash)
    return tuple(chain)


def _cut(data: bytes, begin: int, size: int) -> Iterator[Page]:
    """Cut a file into pieces; the last one is filled up with zeros."""
    whole = memoryview(data)
    for at in range(begin, len(data), size):
        piece = whole[at : at + size]
        yield piece if len(piece) == size else memoryview(bytes(piece).ljust(size, b"\0"))


def _cells(page: Page) -> Iterator[_Cell]:
    """Read what a page names as cells, however many of them it says that it has."""
    for number in range(_CELLS_MOST):
        at = _LEAF_HEADER_BYTES + 2 * number
        try:
            size, place = _varint(page, int.from_bytes(page[at : at + 2], "big"))
            sequence, place = _varint(page, place)
        except IndexError:
            continue
        if size > MOST_RECORD_BYTES:
            continue
        local = _local_bytes(size)
        following = 0
        if local < size:
            following = int.from_bytes(page[place + local : place + local + 4], "big")
        yield _Cell(sequence, size, page[place : place + local], following)


def _local_bytes(size: int) -> int:
    """Tell how much of a record stands in its cell (section 1.6)."""
    if size <= _LOCAL_MOST:
        return size
    local = _LOCAL_LEAST + (size - _LOCAL_LEAST) % (PAGE_BYTES - 4)
    return local if local <= _LOCAL_MOST else _LOCAL_LEAST


def _payload(cell: _Cell, pages: Pages) -> bytes:
    """Put a record together from its cell and the pages in which it goes on, as far as it goes."""
    if cell.size > PAGE_BYTES * (len(pages) + 1):
        return b""
    parts, left, following = [cell.begins], cell.size - len(cell.begins), cell.following
    while left > 0 and following:
        page = pages.get(following, _NO_PAGE)
        parts.append(page[4 : 4 + left])
        left -= PAGE_BYTES - 4
        following = int.from_bytes(page[:4], "big")
    return b"".join(parts)


def _entry(sequence: int, record: bytes) -> Entry | None:
    """Read a record (section 2.1) as a row of the table of entries; None if it is no sound one."""
    try:
        end, at = _varint(record, 0)
        types: list[int] = []
        while at < end and len(types) <= _COLUMNS:
            serial, at = _varint(record, at)
            types.append(serial)
        _, time_utc, clock, kind, version, body, previous, own = _values(record[end:], types)
        entry = Entry.model_validate(
            {
                "sequence": sequence,
                "time_utc": time_utc,
                # whole numbers of a REAL column stand as integers on the disk
                "monotonic_s": float(clock) if isinstance(clock, int) else clock,
                "kind": kind,
                "version": version,
                "body": body,
                "previous": previous,
                "hash": own,
            }
        )
    except _NOT_A_RECORD:
        return None
    return entry if entry.hash == entry_hash(entry) else None


def _looks_broken(record: bytes) -> bool:
    """Tell a record with one bad bit from all else: it ends with two hashes, but for one sign."""
    signs = sum(sign in _HEXADECIMAL for sign in record[-_HASHES_BYTES:])
    return signs >= _HASHES_BYTES - 1 and len(record) <= _MENDED_MOST


def _mended(sequence: int, record: bytes) -> Entry | None:
    """Turn each bit of a damaged record, and of its number, until the hash fits."""
    for bit in range(_SEQUENCE_BITS):
        if entry := _entry(sequence ^ 1 << bit, record):
            return entry
    turned = bytearray(record)
    for at in range(len(record)):
        for bit in range(8):
            turned[at] ^= 1 << bit
            if entry := _entry(sequence, bytes(turned)):
                return entry
            turned[at] ^= 1 << bit
    return None


def _values(data: bytes, types: Sequence[int]) -> Iterator[int | float | str | None]:
    at = 0
    for serial in types:
        size = _INTEGER_BYTES.get(serial, 8 if serial == _FLOAT else (serial - _FIRST_TEXT) // 2)
        value = data[at : at + size]
        at += size
        if len(value) != size or (serial >= _FIRST_TEXT - 1 and serial % 2 == 0):
            message = "no text, or less than there should be"
            raise ValueError(message)
        if serial == 0:
            yield None
        elif serial == _FLOAT:
            yield struct.unpack(">d", value)[0]
        elif serial >= _FIRST_TEXT:
            yield value.decode()
        else:
            yield int.from_bytes(value, "big", signed=True) if size else serial - 8


def _varint(data: bytes | Page, at: int) -> tuple[int, int]:
    """Read a number of one to nine bytes (section 1.6); give it and where the next byte is."""
    value = 0
    for place in range(_VARINT_BYTES - 1):
        byte = data[at + place]
        value = value << 7 | byte & 0x7F
        if byte < 0x80:  # noqa: PLR2004 - the last byte has no high bit
            return value, at + place + 1
    return value << 8 | data[at + _VARINT_BYTES - 1], at + _VARINT_BYTES
