"""Writes the network as Kaldi reads it, matrices with 8 bits an entry; arrays in, bytes out; pure.

Layouts as in Kaldi's sources (nnet3/nnet-simple-component.cc, hmm/transition-model.cc,
matrix/compressed-matrix.h). Each layer is a fixed affine map over frames set side by side, so that
the model can be run, not trained on.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable, Mapping

import numpy as np
import numpy.typing as npt

from models.training.layout import BYPASS, CONTEXT, EPSILON, LAYERS, STEP, SUBSAMPLED_AT

Array = npt.NDArray[np.float32]
Weights = Mapping[str, Array]

QUARTER, THREE_QUARTERS = 64, 192
"""Bytes that stand for a column's quartiles (compressed-matrix.h)."""


def i32(value: int) -> bytes:
    """Write a number of four bytes, as Kaldi does, after its size."""
    return b"\x04" + struct.pack("<i", value)


def f32(value: float) -> bytes:
    """Write a single-precision number."""
    return b"\x04" + struct.pack("<f", value)


def f64(value: float) -> bytes:
    """Write a double-precision number."""
    return b"\x08" + struct.pack("<d", value)


def vector(values: npt.ArrayLike) -> bytes:
    """Write a vector of single precision."""
    array = np.asarray(values, "<f4")
    return b"FV " + i32(len(array)) + array.tobytes()


def integers(values: Iterable[int]) -> bytes:
    """Write a list of integers."""
    array = np.fromiter(values, "<i4")
    return b"\x04" + struct.pack("<i", len(array)) + array.tobytes()


def compressed(matrix: Array) -> bytes:
    """Write a matrix of shape (rows, columns) with 8 bits an entry and four levels a column.

    Between a column's least, quartiles and greatest, entries are rounded to steps of equal width:
    64, 128 and 63 of them.
    """
    rows, columns = matrix.shape
    low, high = float(matrix.min()), float(matrix.max())
    span = high - low or 1e-5
    levels = np.quantile(matrix, (0.0, 0.25, 0.75, 1.0), axis=0, method="nearest").T
    coded = np.rint((levels - low) / span * 65535.0).astype(np.int64)
    for place in (1, 2, 3):
        coded[:, place] = np.maximum(coded[:, place], coded[:, place - 1] + 1)
    over = np.maximum(coded[:, 3:] - 65535, 0)
    coded -= over
    p0, p25, p75, p100 = (low + span * coded / 65535.0).T[..., None]
    x = matrix.T
    first = (x - p0) / (p25 - p0) * QUARTER
    second = QUARTER + (x - p25) / (p75 - p25) * (THREE_QUARTERS - QUARTER)
    third = THREE_QUARTERS + (x - p75) / (p100 - p75) * (255 - THREE_QUARTERS)
    codes = np.where(x < p25, first, np.where(x < p75, second, third))
    body = np.clip(np.rint(codes), 0, 255).astype(np.uint8)
    head = b"CM " + struct.pack("<ffii", low, span, rows, columns)
    return head + bytes(coded.astype("<u2").tobytes() + body.tobytes())


def transition_model(units: int) -> bytes:
    """Write the transitions of one-state phones, one for each unit; their odds are never used."""
    topology = i32(2) + i32(0) + i32(2) + i32(0) + f32(0.5) + i32(1) + f32(0.5) + i32(-1) + i32(0)
    triples = b"".join(i32(unit + 1) + i32(0) + i32(unit) for unit in range(units))
    return (
        b"<TransitionModel> <Topology> "
        + integers(range(1, units + 1))
        + integers([-1, *[0] * units])
        + i32(1)
        + topology
        + b"</Topology> <Triples> "
        + i32(units)
        + triples
        + b"</Triples> <LogProbs> "
        + vector([0.0, *[np.log(0.5)] * (2 * units)])
        + b"</LogProbs> </TransitionModel> "
    )


class _Writer:
    """Collects config lines and components."""

    def __init__(self) -> None:
        self.lines = ["input-node name=input dim=40"]
        self.components: list[bytes] = []

    def add(self, name: str, reads: str, kind: str, body: bytes) -> str:
        self.lines.append(f"component-node name={name} component={name} input={reads}")
        head = f"<ComponentName> {name} <{kind}> ".encode()
        self.components.append(head + body + f"</{kind}> ".encode())
        return name

    def affine(self, name: str, reads: str, weights: Array, bias: Array) -> str:
        body = b"<LinearParams> " + compressed(weights) + b"<BiasParams> " + vector(bias)
        return self.add(name, reads, "FixedAffineComponent", body)

    def relu_and_norm(self, name: str, reads: str, mean: Array, var: Array) -> str:
        size = len(mean)
        nothing = _nothing_counted(size)
        relu = self.add(f"{name}.relu", reads, "RectifiedLinearComponent", nothing)
        body = b"<Dim> " + i32(size) + b"<BlockDim> " + i32(size) + b"<Epsilon> " + f32(EPSILON)
        body += b"<TargetRms> " + f32(1.0) + b"<TestMode> T<Count> " + f64(1.0)
        body += b"<StatsMean> " + vector(mean) + b"<StatsVar> " + vector(var)
        return self.add(f"{name}.batchnorm", relu, "BatchNormComponent", body)


def acoustic_model(weights: Weights) -> bytes:
    """Write ``am/final.mdl``.

    Args:
        weights: the trained network's arrays by name (see `models.training.network`).
    """
    writer = _Writer()
    spliced = "Append(Offset(input, -1), input, Offset(input, 1))"
    node = writer.affine("lda", spliced, weights["lda.weight"], weights["lda.bias"])
    node = writer.affine("tdnn1.affine", node, weights["first.weight"], weights["first.bias"])
    node = writer.relu_and_norm("tdnn1", node, weights["norm.mean"], weights["norm.var"])
    for number in range(2, LAYERS + 1):
        at = f"layers.{number - 2}"
        back = 1 if number < SUBSAMPLED_AT else STEP
        has_context = number != SUBSAMPLED_AT
        name = f"tdnnf{number}"
        linear = weights[f"{at}.linear.weight"]
        reads = f"Append(Offset({node}, -{back}), {node})" if has_context else node
        inner = writer.affine(f"{name}.linear", reads, linear, np.zeros(len(linear), np.float32))
        reads = f"Append({inner}, Offset({inner}, {back}))" if has_context else inner
        outer = writer.affine(
            f"{name}.affine", reads, weights[f"{at}.affine.weight"], weights[f"{at}.affine.bias"]
        )
        mean, var = weights[f"{at}.norm.mean"], weights[f"{at}.norm.var"]
        outer = writer.relu_and_norm(name, outer, mean, var)
        body = b"<Dim> " + i32(len(mean)) + b"<BackpropScale> " + f32(1.0)
        node = writer.add(
            f"{name}.noop", f"Sum(Scale({BYPASS}, {node}), {outer})", "NoOpComponent", body
        )
    node = writer.affine("output.affine", node, weights["output.weight"], weights["output.bias"])
    units = len(weights["output.bias"])
    node = writer.add("output.log-softmax", node, "LogSoftmaxComponent", _nothing_counted(units))
    writer.lines += [f"output-node name=output input={node} objective=linear", "", ""]
    return (
        b"\0B"
        + transition_model(units)
        + ("<Nnet3> \n" + "\n".join(writer.lines)).encode()
        + b"<NumComponents> "
        + i32(len(writer.components))
        + b"".join(writer.components)
        + b"</Nnet3> <LeftContext> "
        + i32(CONTEXT)
        + b"<RightContext> "
        + i32(CONTEXT)
        + b"<Priors> "
        + vector([])
    )


def _nothing_counted(size: int) -> bytes:
    """Write the fields of a nonlinearity that only matter in training."""
    return (
        b"<Dim> "
        + i32(size)
        + b"<ValueAvg> "
        + vector([])
        + b"<DerivAvg> "
        + vector([])
        + b"<Count> "
        + f64(0.0)
        + b"<OderivRms> "
        + vector([])
        + b"<OderivCount> "
        + f64(0.0)
        + b"<NumDimsSelfRepaired> "
        + f64(0.0)
        + b"<NumDimsProcessed> "
        + f64(0.0)
    )
