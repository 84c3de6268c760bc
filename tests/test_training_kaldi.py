"""The reader of Kaldi's files: each kind of value, and files that are no such thing."""

from __future__ import annotations

import numpy as np
import pytest

from calllog.errors import ModelError
from models.training.kaldi_reader import read_network
from tests.kaldi_files import affine, chain, model_bytes, normalisation, plain, tdnn

WRITTEN = np.array(
    [
        [-1.5, 0.25, 3.0],
        [0.0, -0.75, 2.0],
        [4.0, 1.0, -2.5],
        [0.5, 0.125, 7.0],
        [1.25, -3.0, 0.75],
        [2.0, 2.5, -1.0],
    ],
    np.float32,
)
COMPRESSED = {
    "CM": "434d20000040c00000204106000000030000006626cc4ccc6c33b3000099393353cc8ccd0c3333ff7f"
    "ffff0040ff73c0d1c040d5b000ffcdc000ff8b40",
    "CM2": "434d3220000040c0000020410600000003000000662633539999cc4c9939ff7f33b36666cd0c9959"
    "0050ffffcc6c00000060ff7fcc8c3333",
    "CM3": "434d3320000040c00000204106000000030000002653994c397fb2660d5950ff6c00607f8c33",
}
"""That matrix as kaldiio 2.18.1, another implementation, compresses it."""
COARSENESS = {"CM": 0.04, "CM2": 1e-4, "CM3": 0.02}
"""Half a level of each kind, at its coarsest."""


def read(components: dict[str, tuple[str, bytes]]) -> dict[str, dict[str, object]]:
    """Write components to a model and read it."""
    data = model_bytes(chain(tuple(components), "input", 3), components)
    found = read_network(data, "final.mdl").components
    assert {name: each.kind for name, each in found.items()} == {
        name: kind for name, (kind, _) in components.items()
    }
    return {name: dict(each.fields) for name, each in found.items()}


@pytest.mark.parametrize("kind", COMPRESSED)
def test_compressed_matrices_open_as_another_implementation_wrote_them(kind: str) -> None:
    """Bytes from elsewhere give the matrix that was compressed, to half a level."""
    data = bytes.fromhex(COMPRESSED[kind])
    fields = read({"a": affine(data, [1.0] * 6)})["a"]
    np.testing.assert_allclose(np.asarray(fields["LinearParams"]), WRITTEN, atol=COARSENESS[kind])
    np.testing.assert_array_equal(np.asarray(fields["BiasParams"]), np.ones(6, np.float32))


def test_values_of_every_kind_are_read() -> None:
    """Numbers, truths, lists, vectors and empty tokens arrive as they were written."""
    found = read(
        {
            "t": tdnn(WRITTEN, (-3, 0, 3), np.arange(6)),
            "b": normalisation([1.0, 2.0], [3.0, 4.0], 0.5),
            "r": plain("RectifiedLinearComponent", 2),
        },
    )
    assert found["t"]["TimeOffsets"] == (-3, 0, 3)
    assert found["t"]["UseNaturalGradient"] is True
    np.testing.assert_array_equal(np.asarray(found["t"]["LinearParams"]), WRITTEN)
    assert found["b"]["TestMode"] is False
    assert found["b"]["TargetRms"] == 0.5
    assert found["b"]["Count"] == 9.0
    np.testing.assert_array_equal(np.asarray(found["b"]["StatsVar"]), [3.0, 4.0])
    assert found["r"]["Continuous"] is None


def test_file_cut_anywhere_is_refused() -> None:
    """No cut of the network's bytes crashes or passes for a whole model."""
    components = {"t": tdnn(WRITTEN, (0,), np.arange(6)), "a": affine(WRITTEN @ WRITTEN.T)}
    whole = model_bytes(chain(tuple(components), "input", 3), components)
    for length in range(whole.rindex(b"</NaturalGradientAffineComponent>")):
        with pytest.raises(ModelError, match=r"final\.mdl"):
            read_network(whole[:length], "final.mdl")


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"", "no binary Kaldi model"),
        (b"<TransitionModel> as text", "no binary Kaldi model"),
        (
            model_bytes(chain(("a",), "input", 3), {"a": ("AffineComponent", b"<Dim> XX 1")}),
            "unknown kind after <Dim>",
        ),
        (
            model_bytes(chain(("a",), "input", 3), {"a": ("AffineComponent", b"Dim \4\0\0\0\0")}),
            "'Dim' where a name in brackets was due",
        ),
    ],
)
def test_what_is_no_network_is_refused(content: bytes, message: str) -> None:
    """The error names the file and says what is wrong with it."""
    with pytest.raises(ModelError, match=message) as raised:
        read_network(content, "final.mdl")
    assert raised.value.where == "final.mdl"
