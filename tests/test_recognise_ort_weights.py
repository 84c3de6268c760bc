"""Changed weights of the speech encoder's file."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

from calllog.errors import ModelError
from calllog.recognise.encoder import Encoder, encoder_file
from calllog.recognise.ort_weights import SCALE, WHOLE, ZERO, weights_of, with_changes

MATRIX, VECTOR, FILTERS = "onnx::MatMul_2096", "conv2.bias", "conv2.weight_add_tensor"
"""Weights of the file: 288 times 288 in 8 bits, 576 numbers, and 576 filters of 288 by 7."""
SIZE = 1e-2


@pytest.fixture(scope="module")
def network() -> bytes:
    """Read the encoder's file."""
    return encoder_file().read_bytes()


def values(network: bytes, name: str) -> npt.NDArray[np.float32]:
    """Give the values of a matrix of 8-bit numbers."""
    weights = weights_of(network)
    whole, scale, zero = (weights[name + end].of(network) for end in (WHOLE, SCALE, ZERO))
    return np.asarray((whole - zero) * scale)


def drawn(*shape: int) -> npt.NDArray[np.float16]:
    """Draw numbers."""
    made = SIZE * np.random.default_rng(len(shape)).standard_normal(shape)
    return made.astype(np.float16)


def test_nothing_added_changes_nothing(network: bytes) -> None:
    """A matrix that is rounded anew comes out as it was.

    Source: QuantizeLinear of ONNX (operator 13): a scale that holds the least and the greatest
    value gives each whole number back.
    """
    nothing = {
        f"{MATRIX}.reads": np.zeros((288, 2)),
        f"{MATRIX}.moves": np.zeros((2, 288)),
        f"{VECTOR}.added": np.zeros(576),
    }
    assert with_changes(network, nothing) == network
    assert with_changes(network, {}) == network


def test_matrix_of_whole_numbers_is_rounded_to_the_nearest(network: bytes) -> None:
    """Each value differs from the sum by half a step at the most, in a scale that holds all.

    Source: QuantizeLinear and DequantizeLinear of ONNX (operator 13).
    """
    reads, moves = drawn(288, 4), drawn(4, 288)
    made = with_changes(network, {f"{MATRIX}.reads": reads, f"{MATRIX}.moves": moves})
    before, after = (values(each, MATRIX) for each in (network, made))
    expected = before + reads.astype(float) @ moves.astype(float)
    step = (max(expected.max(), 0.0) - min(expected.min(), 0.0)) / 255
    assert np.abs(after - expected).max() <= 0.51 * step
    assert len(made) == len(network)


def test_bias_of_a_convolution_is_heard(tmp_path: Path) -> None:
    """What is added stands in the file, and the encoder hears otherwise."""
    changes = tmp_path / "encoder.npz"
    added = {f"{VECTOR}.added": np.full(576, 0.5, np.float16)}
    np.savez(changes, **added)  # type: ignore[arg-type]
    sound = np.random.default_rng(3).standard_normal(9_000).astype(np.float32)
    plain, changed = Encoder(), Encoder(changes=changes)
    assert plain.digest == changed.digest
    assert not plain.changes
    assert len(changed.changes) == 64
    assert np.abs(plain.encode(sound) - changed.encode(sound)).max() > 0.1


def test_convolution_is_changed_as_its_outputs_read_all_the_rest(network: bytes) -> None:
    """Row (input, place) times column (output) of a product is added to filter (output, input).

    Reference: einsum of numpy.
    """
    reads, moves = drawn(288 * 7, 3), drawn(3, 576)
    made = with_changes(network, {f"{FILTERS}.reads": reads, f"{FILTERS}.moves": moves})
    expected = np.einsum("ikr,ro->oik", reads.astype(float).reshape(288, 7, 3), moves.astype(float))
    found = weights_of(made)[FILTERS].of(made)
    before = weights_of(network)[FILTERS].of(network)
    np.testing.assert_allclose(found - before, expected, atol=1e-6)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"no such.added": np.zeros(3)}, "no weight no such"),
        ({f"{VECTOR}.added": np.zeros(3)}, "has shape"),
        ({f"{MATRIX}.reads": np.zeros((288, 2))}, "must have"),
        ({f"{MATRIX}.reads": np.zeros((288, 2)), f"{MATRIX}.moves": np.zeros((2, 9))}, "shape"),
    ],
)
def test_changes_that_do_not_fit_are_told(
    network: bytes, changes: dict[str, npt.NDArray[np.float64]], told: str, tmp_path: Path
) -> None:
    """The error names the weight, and the file where it is read of one."""
    with pytest.raises(ValueError, match=told):
        with_changes(network, changes)
    np.savez(tmp_path / "encoder.npz", **changes)  # type: ignore[arg-type]
    with pytest.raises(ModelError, match="no changes of the speech encoder") as error:
        Encoder(changes=tmp_path / "encoder.npz")
    assert str(tmp_path / "encoder.npz") in str(error.value)


@pytest.mark.parametrize("network", [b"", b"no network", bytes(200)])
def test_what_is_no_network_is_told(network: bytes) -> None:
    """Another file is told from the encoder's."""
    with pytest.raises(ValueError, match="no network of ONNX"):
        with_changes(network, {f"{VECTOR}.added": np.zeros(576)})


def test_broken_file_of_changes_is_told(tmp_path: Path) -> None:
    """A file that is none, or not there, is an expected error."""
    broken = tmp_path / "encoder.npz"
    with pytest.raises(ModelError, match="cannot be read"):
        Encoder(changes=broken)
    broken.write_bytes(b"PK no archive")
    with pytest.raises(ModelError, match="no changes of the speech encoder"):
        Encoder(changes=broken)
