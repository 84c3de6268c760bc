"""A Kaldi model's bytes in; the configuration and the components of its network out; pure.

Kaldi's binary files are tokens (``<Dim>``), each with values whose first byte tells their kind:
the size of a number, ``T`` or ``F`` alone, ``FV``, ``DV`` (vectors), ``FM``, ``DM`` and ``CM``,
``CM2``, ``CM3`` (matrices, the last three of them compressed). The transition model before the
network says how units follow each other in time; scoring here does not need it.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from calllog.errors import ModelError

Array = npt.NDArray[np.float32]
Value = float | bool | tuple[int, ...] | Array | None

_START = b"\0B<TransitionModel> "
_NETWORK = b"</TransitionModel> <Nnet3> "
_COMPONENTS = b"<NumComponents> "
_WIDEST_TOKEN = 200
_INTEGER_LISTS = frozenset({"<TimeOffsets>", "<ColumnMap>"})
"""Told apart from a single integer by their name alone."""
_FLOATS = {"F": "<f4", "D": "<f8"}
_LEVELS = 256
NEXT_STEP = "copy the model again"


@dataclass(frozen=True, slots=True, eq=False)
class Component:
    """One component of a network, as it stands in the file."""

    kind: str
    """Such as ``TdnnComponent``."""
    fields: dict[str, Value]
    """By token without its brackets, such as ``LinearParams``; None for a token without value."""


@dataclass(frozen=True, slots=True, eq=False)
class KaldiNetwork:
    """A network as its file states it."""

    config: tuple[str, ...]
    """Lines that say which component's output feeds which."""
    components: dict[str, Component]


class _BrokenError(Exception):
    """The bytes are not what a Kaldi file has there."""


def read_network(data: bytes, where: str) -> KaldiNetwork:
    """Read the network of an acoustic model.

    Args:
        data: a binary file of a transition model and a network (``final.mdl``).
        where: name of the file, for error messages.

    Raises:
        ModelError: the file is not such a file, or cut short.
    """
    network = data.find(_NETWORK)
    components = data.find(_COMPONENTS, network)
    if not data.startswith(_START) or network < 0 or components < 0:
        raise ModelError("no binary Kaldi model with a network", where=where, next_step=NEXT_STEP)
    reader = _Reader(data, components)
    try:
        config = data[network + len(_NETWORK) : components].decode("ascii")
        found = dict(reader.components())
    except (_BrokenError, IndexError, struct.error, UnicodeDecodeError, ValueError) as error:
        raise ModelError(
            f"the network is damaged near byte {reader.place}: {error}",
            where=where,
            next_step=NEXT_STEP,
        ) from error
    return KaldiNetwork(tuple(line for line in config.splitlines() if line.strip()), found)


class _Reader:
    """Reads one value after the other."""

    def __init__(self, data: bytes, place: int) -> None:
        self._data = data
        self.place = place
        """Offset of what comes next [bytes]."""

    def components(self) -> list[tuple[str, Component]]:
        self._expect("<NumComponents>")
        return [self._component() for _ in range(self._integer())]

    def _component(self) -> tuple[str, Component]:
        self._expect("<ComponentName>")
        name, opened = self._token(), self._token()
        closing = f"</{opened[1:]}"
        fields: dict[str, Value] = {}
        while (token := self._token()) != closing:
            fields[token[1:-1]] = self._value(token)
            while self._data[self.place] in (4, 8):
                # Some tokens have two numbers; the second is never needed.
                self._number()
        return name, Component(opened[1:-1], fields)

    def _value(self, token: str) -> Value:
        if not (token.startswith("<") and token.endswith(">")):
            raise _BrokenError(f"{token[:20]!r} where a name in brackets was due")
        if token in _INTEGER_LISTS:
            return self._integers()
        first = self._data[self.place : self.place + 1]
        if first in {b"\x04", b"\x08"}:
            return self._number()
        if first in {b"T", b"F"} and self._data[self.place + 1 : self.place + 2] == b"<":
            self.place += 1
            return first == b"T"
        return None if first == b"<" else self._array(token)

    def _array(self, token: str) -> Array:
        kind = self._token()
        if kind in {"FV", "DV"}:
            return self._rows(_FLOATS[kind[0]], self._integer())
        if kind in {"FM", "DM"}:
            rows, columns = self._integer(), self._integer()
            return self._rows(_FLOATS[kind[0]], rows, columns)
        if kind in {"CM", "CM2", "CM3"}:
            return self._compressed(kind)
        raise _BrokenError(f"a value of unknown kind after {token}")

    def _token(self) -> str:
        end = self._data.find(b" ", self.place, self.place + _WIDEST_TOKEN)
        if end < 0:
            raise _BrokenError("a name was due")
        token = self._data[self.place : end].decode("ascii").strip()
        self.place = end + 1
        return token

    def _expect(self, token: str) -> None:
        found = self._token()
        if found != token:
            raise _BrokenError(f"{found[:20]!r} where {token} was due")

    def _integer(self) -> int:
        size, value = struct.unpack_from("<bi", self._data, self.place)
        if size != 4 or value < 0:
            raise _BrokenError("a count was due")
        self.place += 5
        return int(value)

    def _integers(self) -> tuple[int, ...]:
        size, count = struct.unpack_from("<bi", self._data, self.place)
        if size != 4 or not 0 <= count <= len(self._data):
            raise _BrokenError("a list of integers was due")
        values = struct.unpack_from(f"<{count}i", self._data, self.place + 5)
        self.place += 5 + 4 * count
        return values

    def _number(self) -> float:
        """Read a number of 4 or 8 bytes as a float: the integers among them are not needed."""
        size = self._data[self.place]
        (value,) = struct.unpack_from("<f" if size == 4 else "<d", self._data, self.place + 1)
        self.place += 1 + size
        return float(value)

    def _rows(self, kind: str, *shape: int) -> Array:
        count = int(np.prod(shape))
        values = np.frombuffer(self._data, kind, count, self.place)
        self.place += values.nbytes
        result: Array = values.reshape(shape).astype(np.float32)
        return result

    def _compressed(self, kind: str) -> Array:
        """Read a matrix whose values are levels between its least and its greatest value.

        In ``CM`` each column has its own four marks (least, first quartile, third, greatest), and
        a byte's levels lie evenly between them: 64, 128 and 63 steps.
        """
        least, reach, rows, columns = struct.unpack_from("<ffii", self._data, self.place)
        self.place += 16
        if rows < 0 or columns < 0:
            raise _BrokenError("a matrix with less than no rows")
        if kind == "CM2":
            return self._scaled(least, reach / 65535.0, "<u2", rows, columns)
        if kind == "CM3":
            return self._scaled(least, reach / 255.0, "<u1", rows, columns)
        marks = self._scaled(least, reach / 65535.0, "<u2", columns, 4)
        level = np.arange(_LEVELS, dtype=np.float32)
        steps = (level[:65] / 64, (level[65:193] - 64) / 128, (level[193:] - 192) / 63)
        table = np.hstack(
            [
                marks[:, i : i + 1] + (marks[:, i + 1 : i + 2] - marks[:, i : i + 1]) * step
                for i, step in enumerate(steps)
            ]
        )
        count = rows * columns
        levels = np.frombuffer(self._data, np.uint8, count, self.place).reshape(columns, rows)
        self.place += count
        return np.ascontiguousarray(np.take_along_axis(table, levels.astype(np.intp), axis=1).T)

    def _scaled(self, least: float, step: float, kind: str, rows: int, columns: int) -> Array:
        return np.float32(least) + np.float32(step) * self._rows(kind, rows, columns)
