"""Trains the network behind the speech encoder: encoded speech in, ``head.npz`` out; torch.

``python -m models.training.head FOLDER ENCODED.npz ... [--seconds 600] [--language en]``. It
learns phones by CTC as `models.training.train` does. The encoder itself stays as it is: it knows
the voices of people, and would only forget them for those of synthesisers. The folder gets the
units and the lexicon too. ``--start HEAD.npz --steps 800`` learns on from a network that is there,
from each file as often as ``--shares`` says; ``--average HEAD.npz ...`` only takes the mean of
several that began alike. A start may be of another language: its layers are taken over, and each
unit begins as those that it is like.
"""

from __future__ import annotations

import argparse
import itertools
import json
import math
import time
from collections.abc import Iterator, Mapping
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
WARM_PART = 5
"""A short course warms up for one of so many of its steps."""
ROWS = 48
TOLD = 50
"""Steps between two lines of what was lost."""
LARGEST = 127
"""Of 8 bits with a sign."""


class Block(nn.Module):
    """A convolution over neighbouring frames, added to what came in."""

    def __init__(self, dropped: float) -> None:
        super().__init__()
        self._dropped = dropped
        self.norm = nn.LayerNorm(SIZE, elementwise_affine=False)
        self.convolution = nn.Conv1d(SIZE, SIZE, WIDTH, padding=WIDTH // 2)

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        """Map (batch, time, size) to the same."""
        found = self.convolution(self.norm(x).transpose(1, 2)).transpose(1, 2)
        return x + functional.dropout(torch.relu(found), self._dropped, self.training)


class Head(nn.Module):
    """Frames of the encoder to logits of the units.

    Args:
        units: how many there are, the blank among them.
        dropped: share of the values that a step of the training leaves out.
    """

    def __init__(self, units: int, dropped: float = DROPPED) -> None:
        super().__init__()
        self._dropped = dropped
        self.norm = nn.LayerNorm(ENCODED, elementwise_affine=False)
        self.first = nn.Linear(ENCODED, SIZE)
        self.blocks = nn.ModuleList(Block(dropped) for _ in range(BLOCKS))
        self.last = nn.Linear(SIZE, units)

    def forward(self, frames: torch.Tensor) -> torch.Tensor:
        """Map (batch, time, 288) to (batch, time, units)."""
        x = functional.dropout(self.norm(frames), self._dropped, self.training)
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

    def batches(self, rng: np.random.Generator) -> Iterator[npt.NDArray[np.intp]]:
        """Give rows of like length, in random order, for ever."""
        by_length = np.argsort(self.n, kind="stable")
        groups = [by_length[first : first + ROWS] for first in range(0, len(by_length), ROWS)]
        while True:
            for place in rng.permutation(len(groups)):
                yield groups[place]


@dataclass(frozen=True, slots=True)
class Course:
    """How a training goes; until its time or its steps are over."""

    seconds: float
    steps: int | None
    seed: int
    rate: float
    dropped: float
    shares: tuple[float, ...]
    """How often each of what is learnt from is drawn; none are the same as one."""


def train(speech: list[Encoded], language: Language, course: Course, start: Path | None) -> Head:
    """Train from nothing, or on from the weights of a file."""
    torch.manual_seed(course.seed)
    rng = np.random.default_rng(course.seed)
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    head = Head(len(language.units), course.dropped)
    if start:
        begin(head, language, start)
    head = head.to(device)
    optimiser = torch.optim.AdamW(head.parameters(), course.rate, weight_decay=WEIGHT_DECAY)
    shares = np.array(course.shares or [1.0] * len(speech))
    drawn = [each.batches(np.random.default_rng(course.seed)) for each in speech]
    warm = min(WARM_STEPS, max(1, course.steps // WARM_PART)) if course.steps else WARM_STEPS
    begun, losses = time.monotonic(), []
    for step in itertools.count():
        spent = time.monotonic() - begun
        done = step / course.steps if course.steps else spent / course.seconds
        if done >= 1.0:
            break
        fall = max(0.01, 0.5 * (1 + math.cos(math.pi * done)))
        for group in optimiser.param_groups:
            group["lr"] = course.rate * min(1.0, (step + 1) / warm) * fall
        which = int(rng.choice(len(speech), p=shares / shares.sum()))
        rows = next(drawn[which])
        log_probs = functional.log_softmax(head(speech[which].batch(rows).to(device)), -1)
        targets = [speech[which].units[row] for row in rows]
        sizes = torch.tensor([len(target) for target in targets], device=device)
        each = functional.ctc_loss(
            log_probs.transpose(0, 1),
            torch.tensor([unit for target in targets for unit in target], device=device),
            torch.from_numpy(speech[which].n[rows]).to(device),
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
        if step % TOLD == 0:
            print(f"{step} steps, {spent:.0f} s, loss {np.mean(losses[-TOLD:]):.4f}", flush=True)
    return head.cpu()


def begin(head: Head, language: Language, path: Path) -> None:
    """Put the weights of a file into a network of the same layers.

    Args:
        head: the network.
        language: what its units are of.
        path: of the file, beside whose network's ``units.txt``; of another language each unit gets
            the mean of those that it is like.
    """
    names = [
        line.split()[0] for line in (path.parent / "units.txt").read_text("utf-8").splitlines()
    ]
    is_own = tuple(names) == language.units
    like = [
        [names.index(n) for n in ((u,) if is_own else language.like[u])] for u in language.units
    ]
    with np.load(path) as kept:
        for name, layer in layers(head).items():
            weights = kept[f"{name}.weights"].astype(np.float32) * kept[f"{name}.scale"]
            bias = kept[f"{name}.bias"].astype(np.float32)
            if name == "last":
                weights = np.stack([weights[..., each].mean(-1) for each in like], -1)
                bias = np.array([bias[each].mean() for each in like])
            weights = weights[0].T if layer.weight.ndim == 2 else weights.transpose(2, 1, 0)
            layer.weight.data.copy_(torch.from_numpy(weights.astype(np.float32)))
            layer.bias.data.copy_(torch.from_numpy(bias.astype(np.float32)))


def mean(paths: list[Path], language: Language) -> Head:
    """Take the mean of networks of a language that were trained on from the same one."""
    heads = [Head(len(language.units)) for _ in paths]
    for head, path in zip(heads, paths, strict=True):
        begin(head, language, path)
    with torch.no_grad():
        for each in zip(*(head.parameters() for head in heads), strict=True):
            each[0].copy_(torch.stack(each).mean(0))
    return heads[0]


def layers(head: Head) -> dict[str, nn.Linear | nn.Conv1d]:
    """Name the layers that have weights."""
    found: dict[str, nn.Linear | nn.Conv1d] = {"first": head.first, "last": head.last}
    return found | {f"block{index}": block.convolution for index, block in enumerate(head.blocks)}


def arrays(head: Head) -> dict[str, npt.NDArray[np.generic]]:
    """Give the weights as the program reads them."""
    return whole_numbers(layers(head))


def whole_numbers(
    named: Mapping[str, nn.Linear | nn.Conv1d],
) -> dict[str, npt.NDArray[np.generic]]:
    """Give layers' weights as the program reads them: (frames, inputs, outputs), 8 bits each."""
    found: dict[str, npt.NDArray[np.generic]] = {}
    for name, layer in named.items():
        weights = layer.weight.detach()
        weights = weights.T[None] if weights.ndim == 2 else weights.permute(2, 1, 0)
        scale = (weights.abs().amax((0, 1)) / LARGEST).half()
        found[f"{name}.weights"] = torch.round(weights / scale.float()).char().numpy()
        found[f"{name}.scale"] = scale.numpy()
        found[f"{name}.bias"] = layer.bias.detach().half().numpy()
    return found


def main() -> None:
    """Train, or average, and write the folder."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("folder", type=Path)
    asked.add_argument("encoded", type=Path, nargs="*")
    asked.add_argument("--seconds", type=float, default=600.0)
    asked.add_argument("--steps", type=int)
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--rate", type=float, default=RATE)
    asked.add_argument("--dropped", type=float, default=DROPPED)
    asked.add_argument("--shares", type=float, nargs="+", default=[])
    asked.add_argument("--start", type=Path)
    asked.add_argument("--average", type=Path, nargs="+")
    asked.add_argument("--language", choices=LANGUAGES, default="en")
    given = asked.parse_args()
    language = LANGUAGES[given.language]
    if given.average:
        head = mean(given.average, language)
    else:
        shares = tuple(given.shares)
        course = Course(given.seconds, given.steps, given.seed, given.rate, given.dropped, shares)
        head = train([Encoded([path]) for path in given.encoded], language, course, given.start)
    given.folder.mkdir(parents=True, exist_ok=True)
    np.savez_compressed(given.folder / "head.npz", **arrays(head))
    language.write_words(given.folder)


if __name__ == "__main__":
    main()
