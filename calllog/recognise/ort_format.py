"""Finds its way in a network of ONNX Runtime's own format; pure.

Such a file is a FlatBuffer (schema ``onnxruntime/core/flatbuffers/schema/ort.fbs``): tables of
fields, each a number or a reference to another place. Places are bytes from the file's beginning.
What is no such file ends in `struct.error` or `UnicodeDecodeError`.
"""

from __future__ import annotations

import struct

MODEL_OF_SESSION, GRAPH_OF_MODEL = 1, 7
"""Places of fields in their tables, from 0."""


def graph_of(data: bytes) -> int:
    """Find the table of the network's graph."""
    return table(data, table(data, offset(data, 0), MODEL_OF_SESSION), GRAPH_OF_MODEL)


def count(data: bytes, at: int) -> int:
    """Read how long a list, a text or a reference is."""
    return int(struct.unpack_from("<I", data, at)[0])


def offset(data: bytes, at: int) -> int:
    """Follow a reference."""
    return at + count(data, at)


def has(data: bytes, start: int, place: int) -> bool:
    """Tell whether a table has a field."""
    return _field_or_none(data, start, place) is not None


def field(data: bytes, start: int, place: int) -> int:
    """Find where a field of a table is."""
    found = _field_or_none(data, start, place)
    if found is None:
        message = "a field is missing"
        raise struct.error(message)
    return start + found


def table(data: bytes, start: int, place: int) -> int:
    """Find the table, list or text that a field of a table refers to."""
    return offset(data, field(data, start, place))


def listed(data: bytes, at: int) -> list[int]:
    """Find the tables or texts of a list."""
    return [offset(data, at + 4 + 4 * each) for each in range(count(data, at))]


def string(data: bytes, at: int) -> str:
    """Read a text."""
    return data[at + 4 : at + 4 + count(data, at)].decode()


def _field_or_none(data: bytes, start: int, place: int) -> int | None:
    fields = start - int(struct.unpack_from("<i", data, start)[0])
    size = int(struct.unpack_from("<H", data, fields)[0])
    if 4 + 2 * place >= size:
        return None
    return int(struct.unpack_from("<H", data, fields + 4 + 2 * place)[0]) or None
