"""Lets the speech encoder hear the training speech in the field's noise: a bank in, frames out.

``python -m models.training.encode BANK OUT.npz [--seed 0] [--language en]``. Every stretch is heard
once, disturbed by chance; another seed disturbs it anew, and several can run side by side. One core
encodes about ninety times as fast as it is said.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import numpy.typing as npt
import torch

from calllog.recognise.encoder import Encoder
from models.training.languages import LANGUAGES
from models.training.sounds import RATE_HZ, Field
from models.training.train import LONGEST_S, Bank, gather, load

ROWS = 24
"""Stretches of like length that are disturbed together."""
SHORTEST_S = 0.1
TAIL_S = (0.1, 0.4)

Frames = npt.NDArray[np.float16]


def encoded(bank: Bank, encoder: Encoder, seed: int) -> Iterator[tuple[Frames, list[int]]]:
    """Hear every stretch once; yield the encoder's frames, shape (n, 288), and the units said."""
    rng = np.random.default_rng(seed)
    field = Field(torch.Generator().manual_seed(seed))
    known = [row for row, n in enumerate(bank.n) if SHORTEST_S * RATE_HZ < n < LONGEST_S * RATE_HZ]
    groups = [known[first : first + ROWS] for first in range(0, len(known), ROWS)]
    for place in rng.permutation(len(groups)):
        rows = groups[place]
        sound, leads = gather(bank, rows, rng)
        quick, speeds = field.respeed(sound)
        noisy = field(quick).numpy()
        for each, row, lead, speed in zip(noisy, rows, leads, speeds.tolist(), strict=True):
            end = (lead + bank.n[row]) / speed + rng.uniform(*TAIL_S) * RATE_HZ
            yield encoder.encode(each[: int(end)]).astype(np.float16), bank.phones[row]


def kept(path: Path, heard: list[tuple[Frames, list[int]]]) -> None:
    """Keep what was heard: all frames behind each other, how many each stretch has, its units."""
    np.savez(
        path,
        frames=np.concatenate([frames for frames, _ in heard]),
        n=np.array([len(frames) for frames, _ in heard]),
        units=np.array(json.dumps([units for _, units in heard])),
    )


def main() -> None:
    """Encode a bank."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("bank", type=Path)
    asked.add_argument("out", type=Path)
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--language", choices=LANGUAGES, default="en")
    given = asked.parse_args()
    torch.set_num_threads(1)
    index = LANGUAGES[given.language].index
    bank, encoder = load(given.bank, torch.device("cpu"), index), Encoder()
    heard = list(encoded(bank, encoder, given.seed))
    kept(given.out, heard)
    sys.stdout.write(f"{len(heard)} stretches of {given.bank}\n")


if __name__ == "__main__":
    main()
