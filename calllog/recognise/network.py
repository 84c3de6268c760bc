"""A Kaldi network and cepstra in; log-probabilities of its units out; pure.

Taken are feed-forward networks: splices of frames, affine layers, ReLU, batch normalisation, sums
with earlier layers. Each layer is computed at those frames alone that the output needs, so one that
looks three frames back after others costs a third. Frames before the first and after the last
repeat these, as in Kaldi.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from calllog.errors import ModelError
from calllog.recognise.kaldi_model import Array, Component, KaldiNetwork

Frames = npt.NDArray[np.intp]

INPUT, OUTPUT = "input", "output"
_AFFINE = frozenset(
    {
        "AffineComponent",
        "FixedAffineComponent",
        "LinearComponent",
        "NaturalGradientAffineComponent",
        "TdnnComponent",
    }
)
_UNCHANGED = frozenset({"NoOpComponent", "GeneralDropoutComponent", "DropoutComponent"})
"""Nothing is dropped once training is over."""
_ELEMENT = re.compile(r"[^\s(),]+|[(),]")


@dataclass(frozen=True, slots=True)
class _Term:
    """One addend of an input: a node some frames away, times a factor."""

    node: str
    offset: int
    factor: float


_Input = tuple[tuple[_Term, ...], ...]
"""Blocks set side by side, each of them a sum of terms."""


@dataclass(frozen=True, slots=True, eq=False)
class _Node:
    """A component with its place in the network."""

    name: str
    reads: _Input
    kind: str
    """``affine``, ``relu``, ``batchnorm``, ``softmax`` or ``same``."""
    width: int
    weights: Array = field(default_factory=lambda: np.zeros((0, 0), np.float32))
    """Shape (inputs, outputs); for a normalisation its scale, shape (width,)."""
    bias: Array = field(default_factory=lambda: np.zeros(0, np.float32))


class Network:
    """A feed-forward network, ready to be computed.

    Args:
        model: what its file states.
        where: name of the file, for error messages.

    Raises:
        ModelError: the network is of another kind, or its layers do not fit each other.
    """

    def __init__(self, model: KaldiNetwork, where: str) -> None:
        self._where = where
        lines: dict[str, dict[str, str]] = {}
        widths: dict[str, int] = {}
        output = ""
        for line in model.config:
            kind, _, rest = line.partition(" ")
            said = dict(re.findall(r"(\S+?)=(.*?)(?=\s+[\w-]+=|$)", rest))
            if kind == "input-node" and said.get("name") == INPUT and "dim" in said:
                widths[INPUT] = int(said["dim"])
            elif kind == "component-node" and {"name", "component", "input"} <= said.keys():
                lines[said["name"]] = said
            elif kind == "output-node" and said.get("name") == OUTPUT:
                output = said.get("input", "")
        if INPUT not in widths or not output:
            raise self._unfit("it has no input of cepstra, or no output")
        self.ceps = widths[INPUT]
        self._nodes: list[_Node] = []
        self._output = self._add(output, lines, model.components, widths)
        self.units = widths[self._output]
        last_reader = {t.node: node.name for node in self._nodes for ts in node.reads for t in ts}
        self._done: dict[str, list[str]] = {node.name: [] for node in self._nodes}
        """For each node, what nothing reads after it."""
        for name, reader in last_reader.items():
            self._done[reader].append(name)

    def _unfit(self, what: str) -> ModelError:
        return ModelError(
            f"a network of another kind: {what}",
            where=self._where,
            next_step="use a model that was made for this engine",
        )

    def _add(
        self,
        output: str,
        lines: dict[str, dict[str, str]],
        components: dict[str, Component],
        widths: dict[str, int],
    ) -> str:
        """Add a node and all that it reads, those first; return its name."""
        waiting, begun = [output], set[str]()
        while waiting:
            name = waiting[-1]
            if name in widths:
                waiting.pop()
                continue
            line = lines.get(name)
            component = components.get(line["component"]) if line else None
            if line is None or component is None:
                raise self._unfit(f"nothing computes {name}")
            reads = self._parse(line["input"])
            missing = [t.node for terms in reads for t in terms if t.node not in widths]
            if not missing:
                self._nodes.append(self._node(name, component, reads, widths))
                widths[name] = self._nodes[-1].width
                begun.discard(name)
                continue
            if name in missing or begun.intersection(missing):
                raise self._unfit(f"{name} reads its own output")
            begun.add(name)
            waiting += missing
        if not self._nodes or self._nodes[-1].kind != "softmax":
            raise self._unfit("its output is no log-softmax")
        return output

    def _parse(self, text: str) -> _Input:
        """Read an input such as ``Append(Offset(input, -1), Sum(Scale(0.66, a), b))``."""
        elements = _ELEMENT.findall(text)[::-1]
        try:
            blocks = self._blocks(elements)
        except (IndexError, ValueError) as error:
            raise self._unfit(f"the input {text} is not understood") from error
        if elements:
            raise self._unfit(f"the input {text} is not understood")
        return blocks

    def _blocks(self, elements: list[str]) -> _Input:
        name = elements.pop()
        if name in {"(", ")", ","}:
            raise ValueError(name)
        if not elements or elements[-1] != "(":
            return ((_Term(name, 0, 1.0),),)
        elements.pop()
        factor, offset = 1.0, 0
        if name == "Scale":
            factor = float(elements.pop())
            elements.pop()
        parts = [self._blocks(elements)]
        while (mark := elements.pop()) == ",":
            if name == "Offset":
                offset = int(elements.pop())
            else:
                parts.append(self._blocks(elements))
        if mark != ")":
            raise ValueError(mark)
        if name == "Append":
            return tuple(block for part in parts for block in part)
        is_single = all(len(part) == 1 for part in parts)
        if name not in {"Scale", "Offset", "Sum"} or not is_single:
            raise ValueError(name)
        terms = (term for part in parts for term in part[0])
        return (tuple(_Term(t.node, t.offset + offset, t.factor * factor) for t in terms),)

    def _node(
        self, name: str, component: Component, reads: _Input, widths: dict[str, int]
    ) -> _Node:
        for terms in reads:
            if len({widths[term.node] for term in terms}) > 1:
                raise self._unfit(f"{name} adds layers of different widths")
        width = sum(widths[terms[0].node] for terms in reads)
        kind, fields = component.kind, component.fields
        if kind in _UNCHANGED:
            return _Node(name, reads, "same", width)
        if kind == "RectifiedLinearComponent":
            return _Node(name, reads, "relu", width)
        if kind == "LogSoftmaxComponent":
            return _Node(name, reads, "softmax", width)
        if kind == "BatchNormComponent":
            mean, variance = fields.get("StatsMean"), fields.get("StatsVar")
            epsilon, rms = fields.get("Epsilon"), fields.get("TargetRms")
            if (
                not (isinstance(mean, np.ndarray) and isinstance(variance, np.ndarray))
                or not (isinstance(epsilon, float) and isinstance(rms, float))
                or not mean.shape == variance.shape == (width,)
                or fields.get("Dim") != fields.get("BlockDim")
            ):
                raise self._unfit(f"the normalisation {name} does not fit its input")
            scale = (rms / np.sqrt(variance + np.float32(epsilon))).astype(np.float32)
            return _Node(name, reads, "batchnorm", width, scale, -mean * scale)
        if kind not in _AFFINE:
            raise self._unfit(f"{name} is a {kind}")
        offsets = fields.get("TimeOffsets", (0,))
        weights = fields.get("LinearParams", fields.get("Params"))
        bias = fields.get("BiasParams", np.zeros(0, np.float32))
        if (
            not isinstance(offsets, tuple)
            or not (isinstance(weights, np.ndarray) and isinstance(bias, np.ndarray))
            or weights.ndim != 2  # noqa: PLR2004 - a matrix
            or weights.shape[1] != width * len(offsets)
            or len(bias) not in {0, len(weights)}
        ):
            raise self._unfit(f"the layer {name} does not fit its input")
        spliced = tuple(
            tuple(_Term(t.node, t.offset + offset, t.factor) for t in terms)
            for offset in offsets
            for terms in reads
        )
        turned = np.ascontiguousarray(weights.T)
        return _Node(name, spliced, "affine", len(weights), turned, bias)

    def log_probabilities(self, cepstra: Array, step: int) -> Array:
        """Compute the network.

        Args:
            cepstra: shape (frames, ceps), one frame each 10 ms.
            step: frames of cepstra for each frame of the output.

        Returns:
            Natural logarithms, shape (frames / step, rounded up; units).
        """
        if not len(cepstra):
            return np.zeros((0, self.units), np.float32)
        needed: dict[str, list[Frames]] = {self._output: [np.arange(0, len(cepstra), step)]}
        at: dict[str, Frames] = {}
        for node in reversed(self._nodes):
            asked = needed[node.name]
            at[node.name] = asked[0] if len(asked) == 1 else np.unique(np.concatenate(asked))
            for terms in node.reads:
                for term in terms:
                    needed.setdefault(term.node, []).append(at[node.name] + term.offset)
        values: dict[str, Array] = {INPUT: cepstra}

        def rows(term: _Term, frames: Frames) -> Array:
            if term.node == INPUT:
                found = cepstra[np.clip(frames + term.offset, 0, len(cepstra) - 1)]
            elif not term.offset and frames is at[term.node]:
                found = values[term.node]
            else:
                found = values[term.node][np.searchsorted(at[term.node], frames + term.offset)]
            return found if term.factor == 1.0 else found * np.float32(term.factor)

        for node in self._nodes:
            frames = at[node.name]
            blocks = [
                sum((rows(term, frames) for term in terms[1:]), rows(terms[0], frames))
                for terms in node.reads
            ]
            read = blocks[0] if len(blocks) == 1 else np.concatenate(blocks, axis=1)
            values[node.name] = _compute(node, read)
            for name in self._done[node.name]:
                del values[name]
        return values[self._output]


def _compute(node: _Node, read: Array) -> Array:
    match node.kind:
        case "affine":
            result: Array = read @ node.weights
            if len(node.bias):
                result += node.bias
            return result
        case "relu":
            return np.maximum(read, np.float32(0.0))
        case "batchnorm":
            return read * node.weights + node.bias
        case "softmax":
            raised = read - read.max(axis=1, keepdims=True)
            probabilities: Array = raised - np.log(np.exp(raised).sum(axis=1, keepdims=True))
            return probabilities
        case _:
            return read
