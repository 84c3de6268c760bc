"""More outputs for a network in ONNX Runtime's own format; pure.

Such a file is a FlatBuffer (schema ``onnxruntime/core/flatbuffers/schema/ort.fbs``); which values
the runtime gives is a list of names in it. The list is made anew behind the file's end, in memory
alone, and the one reference to it is set: nothing else of the file changes.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence

from calllog.recognise.ort_format import field, graph_of, listed, offset, string, table

VALUES_OF_GRAPH, OUTPUTS_OF_GRAPH, NAME_OF_VALUE = 1, 6, 0
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
        graph = graph_of(network)
        known = {
            string(network, table(network, each, NAME_OF_VALUE))
            for each in listed(network, table(network, graph, VALUES_OF_GRAPH))
        }
        place = field(network, graph, OUTPUTS_OF_GRAPH)
        given = [string(network, each) for each in listed(network, offset(network, place))]
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
