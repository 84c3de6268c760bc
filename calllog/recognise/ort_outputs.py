"""More outputs for a network in ONNX Runtime's own format; pure.

Such a file is a FlatBuffer (schema ``onnxruntime/core/flatbuffers/schema/ort.fbs``); which values
the runtime gives is a list of names in it. The list is made anew behind the file's end, in memory
alone, and the one reference to it is set: nothing else of the file changes.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence

MODEL_OF_SESSION, GRAPH_OF_MODEL, VALUES_OF_GRAPH, OUTPUTS_OF_GRAPH, NAME_OF_VALUE = 1, 7, 1, 6, 0
"""Places of fields in their tables, from 0."""


def with_outputs(network: bytes, names: Sequence[str]) -> bytes:
    """Give a network that gives some of its inner values too, after what it gives.

    Args:
        network: the file's bytes.
        names: of the values.

    Raises:
        ValueError: the file is no such network, or has no such value.
    """
    try:
        graph = _table(
            network, _table(network, _offset(network, 0), MODEL_OF_SESSION), GRAPH_OF_MODEL
        )
        known = {
            _string(network, _table(network, each, NAME_OF_VALUE))
            for each in _listed(network, _table(network, graph, VALUES_OF_GRAPH))
        }
        place = _field(network, graph, OUTPUTS_OF_GRAPH)
        given = [_string(network, each) for each in _listed(network, _offset(network, place))]
    except (struct.error, UnicodeDecodeError) as error:
        message = f"this is no network of ONNX Runtime's format: {error}"
        raise ValueError(message) from error
    if missing := [each for each in names if each not in known]:
        message = f"the network has no value {missing[0]}"
        raise ValueError(message)
    made = bytearray(network)
    made += b"\0" * (-len(made) % 4)
    struct.pack_into("<I", made, place, len(made) - place)
    wanted = [*given, *names]
    texts = [name.encode() + b"\0" * (4 - len(name.encode()) % 4) for name in wanted]
    made += struct.pack("<I", len(wanted))
    behind = 4 * len(wanted)
    for text in texts:
        made += struct.pack("<I", behind)
        behind += len(text)
    for name, text in zip(wanted, texts, strict=True):
        made += struct.pack("<I", len(name.encode())) + text
    return bytes(made)


def _offset(data: bytes, at: int) -> int:
    """Follow a reference."""
    return at + int(struct.unpack_from("<I", data, at)[0])


def _field(data: bytes, table: int, place: int) -> int:
    """Find where a field of a table is."""
    fields = table - int(struct.unpack_from("<i", data, table)[0])
    size = int(struct.unpack_from("<H", data, fields)[0])
    found = 0
    if 4 + 2 * place < size:
        found = int(struct.unpack_from("<H", data, fields + 4 + 2 * place)[0])
    if not found:
        message = "a field is missing"
        raise struct.error(message)
    return table + found


def _table(data: bytes, table: int, place: int) -> int:
    return _offset(data, _field(data, table, place))


def _listed(data: bytes, at: int) -> list[int]:
    count = int(struct.unpack_from("<I", data, at)[0])
    return [_offset(data, at + 4 + 4 * each) for each in range(count)]


def _string(data: bytes, at: int) -> str:
    return data[at + 4 : _offset(data, at) + 4].decode()
