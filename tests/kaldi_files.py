"""Writes models as Kaldi does, for tests: values in, bytes out."""

from __future__ import annotations

import struct

import numpy as np
import numpy.typing as npt

Matrix = npt.NDArray[np.float32]
NO_PARTS = b"FV \x04\0\0\0\0"


def integer(value: int) -> bytes:
    """Write an integer."""
    return b"\4" + struct.pack("<i", value)


def single(value: float) -> bytes:
    """Write a number of four bytes."""
    return b"\4" + struct.pack("<f", value)


def vector(values: npt.ArrayLike) -> bytes:
    """Write a vector."""
    row = np.asarray(values, "<f4")
    return b"FV " + integer(len(row)) + row.tobytes()


def matrix(values: npt.ArrayLike) -> bytes:
    """Write a matrix."""
    rows = np.asarray(values, "<f4")
    return b"FM " + integer(rows.shape[0]) + integer(rows.shape[1]) + rows.tobytes()


def affine(weights: npt.ArrayLike | bytes, bias: npt.ArrayLike = ()) -> tuple[str, bytes]:
    """Write an affine layer; its matrix may be written already."""
    written = weights if isinstance(weights, bytes) else matrix(weights)
    return (
        "NaturalGradientAffineComponent",
        b"<MaxChange> " + single(0.75) + b"<LinearParams> " + written
        # The last of these tokens has two numbers.
        + b"<BiasParams> " + vector(bias) + b"<Alpha> " + single(4.0) + single(2.0),
    )  # fmt: skip


def tdnn(
    weights: npt.ArrayLike, offsets: tuple[int, ...], bias: npt.ArrayLike = ()
) -> tuple[str, bytes]:
    """Write a layer that reads some frames about each."""
    return (
        "TdnnComponent",
        b"<TimeOffsets> \4" + struct.pack(f"<{len(offsets) + 1}i", len(offsets), *offsets)
        + b"<LinearParams> " + matrix(weights) + b"<BiasParams> " + vector(bias)
        + b"<UseNaturalGradient> T",
    )  # fmt: skip


def normalisation(mean: npt.ArrayLike, variance: npt.ArrayLike, rms: float) -> tuple[str, bytes]:
    """Write a batch normalisation."""
    width = len(np.asarray(mean))
    return (
        "BatchNormComponent",
        b"<Dim> " + integer(width) + b"<BlockDim> " + integer(width) + b"<Epsilon> "
        + single(0.001) + b"<TargetRms> " + single(rms) + b"<TestMode> F<Count> \x08"
        + struct.pack("<d", 9.0) + b"<StatsMean> " + vector(mean) + b"<StatsVar> "
        + vector(variance),
    )  # fmt: skip


def plain(kind: str, width: int) -> tuple[str, bytes]:
    """Write a component without parameters."""
    return kind, b"<Dim> " + integer(width) + b"<ValueAvg> " + NO_PARTS + b"<Continuous> "


def model_bytes(config: str, components: dict[str, tuple[str, bytes]]) -> bytes:
    """Write a model: a transition model of no content, then the network."""
    written = b"".join(
        f"<ComponentName> {name} <{kind}> ".encode() + content + f"</{kind}> ".encode()
        for name, (kind, content) in components.items()
    )
    return (
        b"\0B<TransitionModel> <Topology> \4\0\0\0\0</Topology> </TransitionModel> <Nnet3> \n"
        + config.encode() + b"\n\n<NumComponents> " + integer(len(components)) + written
        + b"</Nnet3> <LeftContext> " + integer(0) + b"<RightContext> " + integer(0)
        + b"<Priors> " + NO_PARTS
    )  # fmt: skip


def chain(names: tuple[str, ...], reads: str, ceps: int) -> str:
    """Write the configuration of components one after the other."""
    lines = [f"input-node name=input dim={ceps}"]
    for name in names:
        lines.append(f"component-node name={name} component={name} input={reads}")
        reads = name
    return "\n".join([*lines, f"output-node name=output input={reads} objective=linear"])
