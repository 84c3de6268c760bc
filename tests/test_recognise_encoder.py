"""The speech encoder and the network behind it."""

from __future__ import annotations

import importlib.metadata
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
import scipy

from calllog.errors import ModelError
from calllog.recognise.encoder import (
    INNER,
    PACKAGE,
    SHORTEST,
    STEP_S,
    WIDTH,
    Encoder,
    EncoderHead,
    encoder_file,
)
from calllog.recognise.encoder_model import HEAD, load_encoder_model
from calllog.recognise.ort_outputs import with_outputs
from calllog.resources import ENCODER_MODEL, model_folder

RATE_HZ = 16_000
FOLDER = model_folder(ENCODER_MODEL)

Layers = dict[str, tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]]


@pytest.fixture(scope="module")
def encoder() -> Encoder:
    """Open the encoder of the installed package."""
    return Encoder()


def noise(count: int) -> npt.NDArray[np.float32]:
    """Make some sound."""
    made = 0.1 * np.random.default_rng(count).standard_normal(count)
    return made.astype(np.float32)


@pytest.mark.parametrize("count", [SHORTEST, 5_000, 16_000, 48_001])
def test_frames_come_each_24_ms(encoder: Encoder, count: int) -> None:
    """Their number is what the three convolutions of the encoder leave.

    Source: kernels of 127, 7 and 3 samples at steps of 64, 3 and 2, without padding (Jeffries et
    al. 2024, arXiv:2410.15608, section 3.1).
    """
    left = count
    for kernel, step in ((127, 64), (7, 3), (3, 2)):
        left = (left - kernel) // step + 1
    frames = encoder.encode(noise(count))
    assert frames.shape == (left, WIDTH)
    assert np.isfinite(frames).all()
    assert pytest.approx(64 * 3 * 2 / RATE_HZ) == STEP_S


@pytest.mark.parametrize("count", [0, 1, SHORTEST - 1])
def test_too_short_a_sound_has_no_frames(encoder: Encoder, count: int) -> None:
    """The encoder is not asked at all; nor is the network behind it."""
    frames = encoder.encode(noise(count))
    assert frames.shape == (0, WIDTH)
    head = EncoderHead(FOLDER / HEAD)
    assert head.log_probabilities(frames).shape == (0, head.units)


def test_loudness_does_not_matter(encoder: Encoder) -> None:
    """The same sound a hundred times fainter gives the same frames, and silence gives some."""
    sound = noise(9_000)
    np.testing.assert_allclose(encoder.encode(sound), encoder.encode(0.01 * sound), atol=2e-3)
    assert np.isfinite(encoder.encode(np.zeros(9_000, np.float32))).all()


def test_inner_layer_is_given_beside_the_last(encoder: Encoder) -> None:
    """The last layer gives what it gave; the other is of as many frames, each normalised.

    Layer normalisation (Ba, Kiros and Hinton 2016, arXiv:1607.06450): mean 0, variance 1.
    """
    sound = noise(9_000)
    frames, inner = encoder.encode_deep(sound)
    np.testing.assert_array_equal(frames, encoder.encode(sound))
    assert inner.shape == frames.shape
    np.testing.assert_allclose(inner.mean(axis=1), 0.0, atol=1e-5)
    np.testing.assert_allclose(inner.std(axis=1), 1.0, atol=1e-3)
    assert [each.shape for each in encoder.encode_deep(noise(SHORTEST - 1))] == [(0, WIDTH)] * 2
    several = encoder.encode_deep(sound, (5, 3))
    assert len(several) == 3
    np.testing.assert_array_equal(several[2], inner)
    assert np.abs(several[1] - inner).max() > 0.1


def test_network_of_another_format_gives_nothing_more() -> None:
    """What is no such file, and a value that the network lacks, are told."""
    network = encoder_file().read_bytes()
    for broken in (b"", b"no network", bytes(200), network[:64]):
        with pytest.raises(ValueError, match="no network of ONNX"):
            with_outputs(broken, INNER)
    with pytest.raises(ValueError, match=r"no value /layers\.6"):
        with_outputs(network, [INNER[3].replace("3", "6")])


def random_head(path: Path, blocks: int = 2, size: int = 16, units: int = 7) -> Layers:
    """Write a network of whole numbers; give its layers, weights (frames, inputs, outputs)."""
    rng = np.random.default_rng(blocks)
    shapes = {"first": (1, WIDTH, size), "last": (1, size, units)}
    shapes |= {f"block{index}": (5, size, size) for index in range(blocks)}
    kept: dict[str, npt.NDArray[np.generic]] = {}
    layers: Layers = {}
    for name, shape in shapes.items():
        whole = rng.integers(-127, 128, shape, np.int8)
        scale, bias = (rng.uniform(1e-3, 4e-3, shape[2]).astype(np.float16) for _ in range(2))
        kept |= {f"{name}.weights": whole, f"{name}.scale": scale, f"{name}.bias": bias}
        layers[name] = whole.astype(float) * scale.astype(float), bias.astype(float)
    np.savez_compressed(path, **kept)  # type: ignore[arg-type]
    return layers


def reference(layers: Layers, frames: npt.NDArray[np.float32]) -> npt.NDArray[np.float64]:
    """Compute such a network by scipy: correlations, layer normalisation, softmax."""

    def layer(name: str, x: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        weights, bias = layers[name]
        pairs = np.ndindex(weights.shape[1:])
        found = np.tile(bias, (len(x), 1))
        for i, o in pairs:
            found[:, o] += scipy.signal.correlate(x[:, i], weights[:, i, o], "same", "direct")
        return found

    def normal(x: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
        found: npt.NDArray[np.float64] = x - x.mean(1, keepdims=True)
        found /= np.sqrt(x.var(1, keepdims=True) + 1e-5)
        return found

    x = np.maximum(layer("first", normal(frames.astype(float))), 0)
    for index in range(len(layers) - 2):
        x = x + np.maximum(layer(f"block{index}", normal(x)), 0)
    result: npt.NDArray[np.float64] = scipy.special.log_softmax(layer("last", x), axis=1)
    return result


@pytest.mark.parametrize("blocks", [0, 1, 3])
@pytest.mark.parametrize("count", [1, 3, 20])
def test_network_computes_what_scipy_does(tmp_path: Path, blocks: int, count: int) -> None:
    """Whatever the number of blocks and frames; probabilities add up to 1."""
    layers = random_head(tmp_path / HEAD, blocks)
    frames = np.random.default_rng(count).standard_normal((count, WIDTH)).astype(np.float32)
    head = EncoderHead(tmp_path / HEAD)
    found = head.log_probabilities(frames)
    assert head.units == found.shape[1]
    np.testing.assert_allclose(found, reference(layers, frames), atol=1e-3)
    np.testing.assert_allclose(np.exp(found).sum(axis=1), 1.0, atol=1e-5)


def test_shipped_network_fits_its_units() -> None:
    """It has an output for each unit, and spells the words in them."""
    model = load_encoder_model(model_folder(ENCODER_MODEL), frozenset({"forty", "niner"}))
    assert len(model.units) == model.head.units
    assert set(model.pronunciations) == {"forty", "niner"}
    assert model.identity.startswith("encoder-en-us, head.npz ")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (None, b""),
        (None, b"PK\x03\x04" + bytes(200)),
        (b"last.bias", b"lost.bias"),
        (b"first.scale", b"first.scald"),
    ],
)
def test_broken_network_is_told(tmp_path: Path, old: bytes | None, new: bytes) -> None:
    """No file, another file, a file without a layer: the error names it and what is next."""
    broken = tmp_path / HEAD
    data = (FOLDER / HEAD).read_bytes()
    broken.write_bytes(new if old is None else data.replace(old, new))
    with pytest.raises(ModelError, match="no network to stand behind") as told:
        EncoderHead(broken)
    assert str(broken) in str(told.value)


def test_half_a_network_is_told(tmp_path: Path) -> None:
    """A file that was cut off is an expected error."""
    data = (FOLDER / HEAD).read_bytes()
    (tmp_path / HEAD).write_bytes(data[: len(data) // 2])
    with pytest.raises(ModelError, match="no network to stand behind"):
        EncoderHead(tmp_path / HEAD)


def test_network_of_other_shape_is_told(tmp_path: Path) -> None:
    """Layers that do not fit each other are found when it is opened, not at the first call."""
    random_head(tmp_path / HEAD)
    with np.load(tmp_path / HEAD) as kept:
        arrays = {**kept}
    arrays["last.weights"] = arrays["last.weights"][:, :-1]
    np.savez(tmp_path / HEAD, **arrays)
    with pytest.raises(ModelError, match="no network"):
        EncoderHead(tmp_path / HEAD)


def test_broken_encoder_is_told(tmp_path: Path) -> None:
    """A file that cannot be run, or is not there, is an expected error."""
    broken = tmp_path / "encoder_model.ort"
    with pytest.raises(ModelError, match="cannot be read"):
        Encoder(broken)
    broken.write_bytes(encoder_file().read_bytes()[:5_000])
    with pytest.raises(ModelError, match="can be run"):
        Encoder(broken)


def test_missing_package_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Where the package is not installed the error says what to install."""

    def missing(name: str) -> importlib.metadata.Distribution:
        raise importlib.metadata.PackageNotFoundError(name)

    shutil.copytree(FOLDER, tmp_path / "copy")
    monkeypatch.setattr(importlib.metadata, "distribution", missing)
    with pytest.raises(ModelError, match=f"package {PACKAGE} is not installed"):
        load_encoder_model(tmp_path / "copy", frozenset())


def test_encoder_is_found_without_being_imported() -> None:
    """Its file is where the installed package has it, and hearing runs nothing of the package."""
    assert encoder_file().is_file()
    hear = (
        "import sys, numpy; from calllog.recognise.encoder import Encoder;"
        "Encoder().encode(numpy.zeros(9000));"
        "sys.exit('moonshine_voice' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", hear], check=False).returncode == 0
