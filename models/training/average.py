"""Averages the weights of several runs that started alike: ``average OUT.npz WEIGHTS.npz ...``.

Weights between those of several runs know voices better that none of them learnt from (Wortsman et
al., "Model soups", ICML 2022).
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np


def average(out: Path, paths: list[Path]) -> None:
    """Write the mean of each array."""
    runs = [np.load(path) for path in paths]
    np.savez(out, **{name: sum(run[name] for run in runs) / len(runs) for name in runs[0].files})


if __name__ == "__main__":
    average(Path(sys.argv[1]), [Path(path) for path in sys.argv[2:]])
