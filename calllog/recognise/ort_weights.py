"""Changed weights for a network in ONNX Runtime's own format; pure.

Such a file is a FlatBuffer (schema ``onnxruntime/core/flatbuffers/schema/ort.fbs``), and each of
its weights a part of it. What is learned is small beside them: to a matrix the product of a tall
and a wide one is added (Hu et al., "LoRA: low-rank adaptation of large language models", 2021,
arXiv:2106.09685), to a vector another. A matrix of 8-bit numbers is rounded anew, with a scale and
a zero of its own, as ONNX's QuantizeLinear has them. All this happens to a copy in memory.
"""

from __future__ import annotations

import struct
from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

from calllog.recognise.ort_format import count, field, graph_of, has, listed, string, table

WEIGHTS_OF_GRAPH = 0
NAME_OF_WEIGHT, SHAPE_OF_WEIGHT, TYPE_OF_WEIGHT, BYTES_OF_WEIGHT = 0, 2, 3, 4
"""Places of fields in their tables, from 0."""
TYPES: dict[int, np.dtype[np.generic]] = {1: np.dtype(np.float32), 2: np.dtype(np.uint8)}
"""Numbers of ONNX's types of data."""
LARGEST = 255
"""Of 8 bits."""
ADDED, READS, MOVES = "added", "reads", "moves"
"""What a change is called: name of the weight, a dot, and one of these."""
WHOLE, SCALE, ZERO = "_quantized", "_scale", "_zero_point"
"""What the names of a matrix of 8-bit numbers end with."""

Array = npt.NDArray[np.float32]
Changes = Mapping[str, npt.NDArray[np.generic]]


def with_changes(network: bytes, changes: Changes) -> bytes:
    """Give a network with changed weights.

    Args:
        network: the file's bytes.
        changes: ``NAME.added``, shape of the weight, or ``NAME.reads`` and ``NAME.moves``, shapes
            (inputs, rank) and (rank, outputs). A weight that is no matrix is read as its outputs by
            all the rest.

    Raises:
        ValueError: the file is no such network, has no such weight, or the shapes differ.
    """
    made = bytearray(network)
    try:
        weights = weights_of(network)
    except (struct.error, UnicodeDecodeError, KeyError) as error:
        message = f"this is no network of ONNX Runtime's format: {error}"
        raise ValueError(message) from error
    for name in sorted({each.rpartition(".")[0] for each in changes}):
        if name in weights:
            before = weights[name].of(made)
            weights[name].put(made, before + _added(changes, name, before.shape))
            continue
        parts = [weights.get(name + end) for end in (WHOLE, SCALE, ZERO)]
        if None in parts:
            message = f"the network has no weight {name}"
            raise ValueError(message)
        whole, scale, zero = (part for part in parts if part)
        after = (whole.of(made) - zero.of(made)) * scale.of(made)
        after += _added(changes, name, after.shape)
        step, middle = _steps(after)
        after /= step
        np.rint(after, out=after)
        after += middle
        whole.put(made, np.clip(after, 0.0, LARGEST, out=after))
        scale.put(made, np.full(scale.shape, step))
        zero.put(made, np.full(zero.shape, middle))
    return bytes(made)


class Weight:
    """Where a weight is in the file.

    Args:
        place: of its first byte.
        shape: of it.
        kind: of its numbers.
    """

    def __init__(self, place: int, shape: tuple[int, ...], kind: np.dtype[np.generic]) -> None:
        self.shape = shape
        self._place, self._kind = place, kind

    def of(self, network: bytes | bytearray) -> Array:
        """Read it of a file's bytes."""
        size = int(np.prod(self.shape, dtype=np.int64))
        found = np.frombuffer(network, self._kind, size, self._place)
        return found.reshape(self.shape).astype(np.float32)

    def put(self, network: bytearray, values: Array) -> None:
        """Write it into a file's bytes."""
        data = values.astype(self._kind).tobytes()
        network[self._place : self._place + len(data)] = data


def _steps(matrix: Array) -> tuple[np.float32, np.float32]:
    """Give the scale and the zero that hold a matrix in 8 bits."""
    low, high = min(float(matrix.min()), 0.0), max(float(matrix.max()), 0.0)
    step = np.float32((high - low) / LARGEST) or np.float32(1.0)
    return step, np.float32(min(max(round(-low / float(step)), 0), LARGEST))


def _added(changes: Changes, name: str, shape: tuple[int, ...]) -> Array:
    """Give what is added to a weight."""
    found = {
        part: changes[f"{name}.{part}"].astype(np.float32)
        for part in (ADDED, READS, MOVES)
        if f"{name}.{part}" in changes
    }
    if set(found) == {ADDED}:
        added = found[ADDED]
    elif set(found) == {READS, MOVES}:
        added = found[READS] @ found[MOVES]
        if len(shape) > 2:  # noqa: PLR2004 - a convolution
            added = added.T.reshape(shape)
    else:
        message = f"{name} must have {ADDED}, or {READS} and {MOVES}"
        raise ValueError(message)
    if added.shape != shape:
        message = f"{name} has shape {shape}, not {added.shape}"
        raise ValueError(message)
    return added


def weights_of(network: bytes) -> dict[str, Weight]:
    """Find the weights whose type is known, by name.

    Raises:
        struct.error, UnicodeDecodeError: the file is no such network.
    """
    graph = graph_of(network)
    found = {}
    for weight in listed(network, table(network, graph, WEIGHTS_OF_GRAPH)):
        kind = TYPES.get(
            int(struct.unpack_from("<i", network, field(network, weight, TYPE_OF_WEIGHT))[0])
        )
        if kind is None:
            continue
        shape: tuple[int, ...] = ()
        if has(network, weight, SHAPE_OF_WEIGHT):
            at = table(network, weight, SHAPE_OF_WEIGHT)
            shape = struct.unpack_from(f"<{count(network, at)}q", network, at + 4)
        name = string(network, table(network, weight, NAME_OF_WEIGHT))
        place = table(network, weight, BYTES_OF_WEIGHT)
        if count(network, place) != int(np.prod(shape, dtype=np.int64)) * kind.itemsize:
            message = f"{name} has another size than its shape"
            raise struct.error(message)
        found[name] = Weight(place + 4, shape, kind)
    return found
