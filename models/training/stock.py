"""Puts calls together on all cores, once for several runs of `models.training.whole`.

``python -m models.training.stock FOLDER BANK OUT [--calls 96000] [--seed 1]``. FOLDER and BANK are
those of `models.training.calls`, which draws the calls. OUT gets ``said.npy`` and ``clean.npy``,
the calls as they are learned from and as they were before they were narrowed, one behind the other,
in 16 bits, and ``index.npz``: how long each is, and of which units it is.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import random
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from models.training.calls import SHARES, Material, Piece
from models.training.sounds import RATE_HZ

CALLS, AT_ONCE = 96_000, 1_000
LONGEST_S, SHORTEST = 7.0, 1_500
LARGEST = 32_767
FILES = ("said", "clean")

Samples = npt.NDArray[np.int16]


@dataclass(frozen=True, slots=True, eq=False)
class Stock:
    """Calls, the shortest first."""

    said: Samples
    clean: Samples
    n: npt.NDArray[np.int64]
    """Samples of each."""
    units: list[list[int]]


def drawn(job: tuple[Path, Path, int, int]) -> list[tuple[Samples, Samples, list[int]]]:
    """Put some calls together, each kind as often as `SHARES` says; sounds and units."""
    folder, bank, count, seed = job
    rng = random.Random(seed)  # noqa: S311 - what is drawn is no secret
    material = Material(folder, bank, rng)
    kinds = rng.choices(list(SHARES), list(SHARES.values()), k=count)
    pieces = (material.draw(kind) for kind in kinds)
    return [
        (*_whole(each), each.units)
        for each in pieces
        if SHORTEST < len(each.sound) < LONGEST_S * RATE_HZ
    ]


def _whole(piece: Piece) -> tuple[Samples, Samples]:
    clean = piece.sound if piece.clean is None else piece.clean
    said, before = (
        np.rint(np.clip(each, -1.0, 1.0) * LARGEST).astype(np.int16)
        for each in (piece.sound, clean)
    )
    return said, before


def read(folder: Path) -> Stock:
    """Read calls that were put together."""
    with np.load(folder / "index.npz") as index:
        ends = np.cumsum(index["counts"])
        units = [each.tolist() for each in np.split(index["units"], ends[:-1])]
        n = index["n"]
    said, clean = (np.load(folder / f"{name}.npy", mmap_mode="r") for name in FILES)
    return Stock(said, clean, n, units)


def main() -> None:
    """Put calls together."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("folder", type=Path)
    asked.add_argument("bank", type=Path)
    asked.add_argument("out", type=Path)
    asked.add_argument("--calls", type=int, default=CALLS)
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()
    seeds = range(given.seed * CALLS, given.seed * CALLS + given.calls // AT_ONCE)
    jobs = [(given.folder, given.bank, AT_ONCE, seed) for seed in seeds]
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ[name] = "1"
    with multiprocessing.get_context("spawn").Pool() as pool:
        found = [each for some in pool.imap_unordered(drawn, jobs) for each in some]
    found.sort(key=lambda each: len(each[0]))
    given.out.mkdir(parents=True, exist_ok=True)
    for place, name in enumerate(FILES):
        np.save(given.out / f"{name}.npy", np.concatenate([each[place] for each in found]))
    np.savez(
        given.out / "index.npz",
        n=np.array([len(said) for said, _, _ in found]),
        counts=np.array([len(units) for _, _, units in found]),
        units=np.array([unit for _, _, units in found for unit in units]),
    )
    sys.stderr.write(f"{len(found)} calls\n")


if __name__ == "__main__":
    main()
