"""Puts what several runs of `models.training.whole` learned together; numpy.

``python -m models.training.together OUT RUN=SHARE ... [--start FOLDER]``. Each RUN is a folder with
``encoder.npz`` and ``head.npz``; of each so much of the way is gone as SHARE says (of the way from
what ships, or from ``--start``). OUT gets the same two files, to be used in place of what shipped.
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from pathlib import Path

import numpy as np
import numpy.typing as npt

from calllog.recognise.encoder_model import CHANGES, HEAD
from calllog.recognise.ort_weights import ADDED, MOVES, READS
from calllog.resources import ENCODER_MODEL, model_folder
from models.training.whole import KEPT

Wide = npt.NDArray[np.float64]
LARGEST = 127
"""Of 8 bits with a sign."""


def changes(folder: Path) -> dict[str, Wide]:
    """Read what is added to the encoder by a folder's file, by the names of the weights."""
    path = folder / CHANGES
    if not path.exists():
        return {}
    found: dict[str, Wide] = {}
    with np.load(path) as kept:
        for name in kept.files:
            weight, _, part = name.rpartition(".")
            if part == ADDED:
                found[weight] = kept[name].astype(np.float64)
            elif part == READS:
                wide = kept[f"{weight}.{MOVES}"].astype(np.float64)
                found[weight] = kept[name].astype(np.float64) @ wide
    return found


def layers(folder: Path) -> dict[str, Wide]:
    """Read the layers of a folder's network as whole numbers, by the names of the file."""
    found: dict[str, Wide] = {}
    with np.load(folder / HEAD) as kept:
        for name in kept.files:
            layer, _, part = name.rpartition(".")
            if part == "weights":
                found[name] = kept[name].astype(np.float64) * kept[f"{layer}.scale"]
            elif part == "bias":
                found[name] = kept[name].astype(np.float64)
    return found


def kept_changes(found: dict[str, Wide]) -> dict[str, npt.NDArray[np.generic]]:
    """Give changes as the program reads them."""
    made: dict[str, npt.NDArray[np.generic]] = {}
    for name, change in found.items():
        if min(change.shape) == 1 or change.ndim == 1:
            made[f"{name}.{ADDED}"] = change.astype(np.float16)
            continue
        left, sizes, right = np.linalg.svd(change, full_matrices=False)
        roots = np.sqrt(sizes[:KEPT])
        made[f"{name}.{READS}"] = (left[:, :KEPT] * roots).astype(np.float16)
        made[f"{name}.{MOVES}"] = (roots[:, None] * right[:KEPT]).astype(np.float16)
    return made


def kept_layers(found: dict[str, Wide]) -> dict[str, npt.NDArray[np.generic]]:
    """Give layers as the program reads them."""
    made: dict[str, npt.NDArray[np.generic]] = {}
    for name, layer in found.items():
        if name.endswith(".bias"):
            made[name] = layer.astype(np.float16)
            continue
        scale = (np.abs(layer).max((0, 1)) / LARGEST).astype(np.float16)
        made[name] = np.rint(layer / scale.astype(np.float64)).astype(np.int8)
        made[name.replace(".weights", ".scale")] = scale
    return made


def main() -> None:
    """Put runs together."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("out", type=Path)
    asked.add_argument("runs", nargs="+", metavar="RUN=SHARE")
    asked.add_argument("--start", type=Path)
    given = asked.parse_args()
    start = given.start or model_folder(ENCODER_MODEL)
    encoder: defaultdict[str, Wide] = defaultdict(lambda: np.zeros(()))
    encoder.update(changes(start))
    before = layers(start)
    head = dict(before)
    for run in given.runs:
        folder, _, share = run.rpartition("=")
        for name, change in changes(Path(folder)).items():
            encoder[name] = encoder[name] + float(share) * change
        for name, layer in layers(Path(folder)).items():
            head[name] = head[name] + float(share) * (layer - before[name])
    given.out.mkdir(parents=True, exist_ok=True)
    np.savez_compressed(given.out / CHANGES, **kept_changes(dict(encoder)))  # type: ignore[arg-type]
    np.savez_compressed(given.out / HEAD, **kept_layers(head))  # type: ignore[arg-type]


if __name__ == "__main__":
    main()
