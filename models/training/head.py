"""Trains the network behind the speech encoder: encoded speech in, ``head.npz`` out; torch.

``python -m models.training.head FOLDER ENCODED.npz ... [--seconds 600] [--language en]
[--start FOLDER] [--seeds 0 ...]``. It learns phones by CTC as `models.training.train` does. The
encoder itself stays as it is: it knows the voices of people, and would only forget them for those
of synthesisers. With a start it goes on from another language's network; of several seeds, each a
run of its own from there, the weights are averaged. The folder gets the units and the lexicon too.
"""

from __future__ import annotations

import argparse
import json
import math
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import torch
from torch import nn
from torch.nn import functional

from models.training.languages import LANGUAGES, Language

ENCODED = 288
"""Values in a frame of the encoder."""
SIZE, BLOCKS, WIDTH = 224, 2, 5
DROPPED = 0.15
RATE, WEIGHT_DECAY, WARM_STEPS, LARGEST_STEP = 2e-3, 1e-2, 200, 2.0
ROWS = 48
LARGEST = 127
"""Of 8 bits with a sign."""


class Block(nn.Module):
    """A convolution over neighbouring frames, added to what came in."""

    def __init__(self) -> None:
        super().__init__()
        self.norm = nn.LayerNorm(SIZE, elementwise_affine=False)
        self.convolution = nn.Conv1d(SIZE, SIZE, WIDTH, padding=WIDTH // 2)

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Map (batch, time, size) to the same."""
        found = self.convolution(self.norm(x).transpose(1, 2)).transpose(1, 2)
        return x + functional.dropout(torch.relu(found), DROPPED, self.training)


class Head(nn.Module):
    """Frames of the encoder to logits of the units.

    Args:
        units: how many there are, the blank among them.
    """

    def __init__(self, units: int) -> None:
        super().__init__()
        self.norm = nn.LayerNorm(ENCODED, elementwise_affine=False)
        self.first = nn.Linear(ENCODED, SIZE)
        self.blocks = nn.ModuleList(Block() for _ in range(BLOCKS))
        self.last = nn.Linear(SIZE, units)

    def forward(self, frames: torch.Tensor) -> torch.Tensor:
        """Map (batch, time, 288) to (batch, time, units)."""
        x = functional.dropout(self.norm(frames), DROPPED, self.training)
        x = torch.relu(self.first(x))
        for block in self.blocks:
            x = block(x)
        return self.last(x)


class Encoded:
    """Stretches of encoded speech, with what was said in each.

    Args:
        paths: what `models.training.encode` wrote.
    """

    def __init__(self, paths: list[Path]) -> None:
        self._frames: list[npt.NDArray[np.float16]] = []
        """For each stretch its frames: parts of one array for each file."""
        self.units: list[list[int]] = []
        for path in paths:
            with np.load(path) as kept:
                self._frames += np.split(kept["frames"], np.cumsum(kept["n"])[:-1])
                self.units += json.loads(str(kept["units"]))
        self.n = np.array([len(frames) for frames in self._frames])

    def batch(self, rows: npt.NDArray[np.intp]) -> torch.Tensor:
        """Give stretches side by side, zeros behind the short ones, shape (rows, time, 288)."""
        frames = np.zeros((len(rows), self.n[rows].max(), ENCODED), np.float32)
        for place, row in enumerate(rows):
            frames[place, : self.n[row]] = self._frames[row]
        return torch.from_numpy(frames)

    def batches(self, rng: np.random.Generator, rows: int = ROWS) -> Iterator[npt.NDArray[np.intp]]:
        """Give so many rows of like length, in random order, for ever."""
        by_length = np.argsort(self.n, kind="stable")
        groups = [by_length[first : first + rows] for first in range(0, len(by_length), rows)]
        while True:
            for place in rng.permutation(len(groups)):
                yield groups[place]


def started(language: Language, folder: Path) -> Head:
    """Begin with another language's network: its layers, and for each unit what is like it."""
    head = Head(len(language.units))
    with np.load(folder / "head.npz") as kept:
        known = dict(kept)
    names = [line.split()[0] for line in (folder / "units.txt").read_text("utf-8").splitlines()]
    like = [[names.index(each) for each in language.like[unit]] for unit in language.units]
    for name, layer in layers(head).items():
        whole = torch.from_numpy(known[f"{name}.weights"].astype(np.float32))
        weights = whole * torch.from_numpy(known[f"{name}.scale"].astype(np.float32))
        bias = torch.from_numpy(known[f"{name}.bias"].astype(np.float32))
        if name == "last":
            weights = torch.stack([weights[..., each].mean(-1) for each in like], -1)
            bias = torch.stack([bias[each].mean() for each in like])
        layer.weight.data = weights[0].T if layer.weight.ndim == 2 else weights.permute(2, 1, 0)
        layer.bias.data = bias
    return head


@dataclass(frozen=True, slots=True)
class Pace:
    """How a run goes."""

    seconds: float
    rate: float = RATE
    rows: int = ROWS
    """Stretches in a step."""
    warm: int = WARM_STEPS
    """Steps over which the rate rises."""


def train(speech: Encoded, head: Head, pace: Pace, seed: int) -> Head:
    """Train until the time is over."""
    torch.manual_seed(seed)
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    head = head.to(device)
    optimiser = torch.optim.AdamW(head.parameters(), pace.rate, weight_decay=WEIGHT_DECAY)
    begun, losses = time.monotonic(), []
    for step, rows in enumerate(speech.batches(np.random.default_rng(seed), pace.rows)):
        done = (time.monotonic() - begun) / pace.seconds
        if done >= 1.0:
            break
        fall = max(0.01, 0.5 * (1 + math.cos(math.pi * done)))
        for group in optimiser.param_groups:
            group["lr"] = pace.rate * min(1.0, (step + 1) / pace.warm) * fall
        log_probs = functional.log_softmax(head(speech.batch(rows).to(device)), -1)
        targets = [speech.units[row] for row in rows]
        sizes = torch.tensor([len(target) for target in targets], device=device)
        each = functional.ctc_loss(
            log_probs.transpose(0, 1),
            torch.tensor([unit for target in targets for unit in target], device=device),
            torch.from_numpy(speech.n[rows]).to(device),
            sizes,
            reduction="none",
            zero_infinity=True,
        )
        loss = (each / sizes.clamp(min=1)).mean()
        optimiser.zero_grad()
        loss.backward()
        nn.utils.clip_grad_norm_(head.parameters(), LARGEST_STEP)
        optimiser.step()
        losses.append(loss.item())
        if step % 500 == 0:
            print(f"{step} steps, {done * pace.seconds:.0f} s, loss {np.mean(losses[-500:]):.4f}")
    return head.cpu()


def mean_of(heads: Sequence[Head]) -> Head:
    """Average the weights of networks that began alike."""
    kept = [head.state_dict() for head in heads]
    mean = {name: torch.stack([each[name] for each in kept]).mean(0) for name in kept[0]}
    heads[0].load_state_dict(mean)
    return heads[0]


def layers(head: Head) -> dict[str, nn.Linear | nn.Conv1d]:
    """Name the layers as the program's file does."""
    found: dict[str, nn.Linear | nn.Conv1d] = {"first": head.first, "last": head.last}
    blocks = enumerate(head.blocks)
    return found | {f"block{index}": block.convolution for index, block in blocks}


def arrays(head: Head) -> dict[str, npt.NDArray[np.generic]]:
    """Give the weights as the program reads them: (frames, inputs, outputs), 8 bits an entry."""
    found: dict[str, npt.NDArray[np.generic]] = {}
    for name, layer in layers(head).items():
        weights = layer.weight.detach()
        weights = weights.T[None] if weights.ndim == 2 else weights.permute(2, 1, 0)
        scale = (weights.abs().amax((0, 1)) / LARGEST).half()
        found[f"{name}.weights"] = torch.round(weights / scale.float()).char().numpy()
        found[f"{name}.scale"] = scale.numpy()
        found[f"{name}.bias"] = layer.bias.detach().half().numpy()
    return found


def main() -> None:
    """Train, and write the folder."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("folder", type=Path)
    asked.add_argument("encoded", type=Path, nargs="+")
    asked.add_argument("--seconds", type=float, default=600.0)
    asked.add_argument("--seeds", type=int, nargs="+", default=[0])
    asked.add_argument("--language", choices=LANGUAGES, default="en")
    asked.add_argument("--start", type=Path, help="folder of another language's network")
    asked.add_argument("--rate", type=float, default=RATE)
    asked.add_argument("--rows", type=int, default=ROWS)
    asked.add_argument("--warm", type=int, default=WARM_STEPS)
    given = asked.parse_args()
    language, speech = LANGUAGES[given.language], Encoded(given.encoded)
    pace = Pace(given.seconds, given.rate, given.rows, given.warm)
    heads = []
    for seed in given.seeds:
        torch.manual_seed(seed)
        begun = started(language, given.start) if given.start else Head(len(language.units))
        heads.append(train(speech, begun, pace, seed))
    head = mean_of(heads)
    given.folder.mkdir(parents=True, exist_ok=True)
    np.savez_compressed(given.folder / "head.npz", **arrays(head))
    language.write_words(given.folder)


if __name__ == "__main__":
    main()
