"""Trains the speech encoder and the network behind it together; torch.

``python -m models.training.whole STOCK OUT [--seconds 390] [--seed 1]``. STOCK are calls of
`models.training.stock`; noise, rooms and speed are drawn anew for each step, on the accelerator if
there is one. Two things are learned at once: to read the units
that were said (CTC), and to give of a disturbed call the frames that the encoder as it came gives
of the same call undisturbed (``--hold`` says how much that counts), so that what it knows of people
is not forgotten for the voices that are learned from. OUT gets ``encoder.npz`` (of a run that went
on from ``--start``, what is added to that) and ``head.npz``; `models.training.together` puts runs
together.
"""

from __future__ import annotations

import argparse
import itertools
import math
import sys
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import torch
from torch import nn
from torch.nn import functional

from calllog.recognise.encoder import encoder_file
from calllog.recognise.encoder_model import CHANGES, HEAD
from calllog.recognise.ort_weights import with_changes
from calllog.resources import ENCODER_MODEL, model_folder
from models.training.calls import LEAD_S, LEFT_S, STEP, TAIL_S
from models.training.encoder_network import EncoderNetwork, Learned, added, frames, read_weights
from models.training.head import Head, arrays, begin
from models.training.languages import LANGUAGES
from models.training.sounds import RATE_HZ, Field
from models.training.stock import LARGEST, Stock, read

ROWS, KEPT = 128, 48
"""How many calls are learned from at once, and the rank of what is kept."""
LARGEST_STEP, WARM_STEPS, AVERAGED = 2.0, 200, 0.998
SPREAD = 0.26
"""Mean square of a value of the encoder's frames."""
HISS = 1e-4
TOLD = 100


@dataclass(frozen=True, slots=True)
class Course:
    """How a training goes."""

    seconds: float
    seed: int
    rank: int
    rate: float
    hold: float
    dropped: float


class Calls:
    """Calls that were put together, on the device.

    Args:
        stock: the calls.
        device: where they are kept, in 16 bits.
    """

    def __init__(self, stock: Stock, device: torch.device) -> None:
        self.units, self.n = stock.units, stock.n
        self._start = np.cumsum(self.n) - self.n
        self._device = device
        both = (np.array(stock.said), np.array(stock.clean))
        self._sounds = [torch.from_numpy(each).to(device) for each in both]

    def rows(self, rows: npt.NDArray[np.intp], leads: torch.Tensor) -> list[torch.Tensor]:
        """Give calls side by side, as said and narrowed and as they were, silence about them."""
        n = torch.from_numpy(self.n[rows]).to(self._device)
        width = int((n + leads).max()) + int(LEFT_S * RATE_HZ)
        at = torch.arange(-(-width // STEP) * STEP, device=self._device)[None] - leads[:, None]
        is_said = (at >= 0) & (at < n[:, None])
        place = torch.from_numpy(self._start[rows]).to(self._device)[:, None] + at
        place = torch.where(is_said, place, torch.zeros_like(place))
        return [sound[place].float() * is_said / LARGEST for sound in self._sounds]


def train(said: Stock, course: Course, start: Path | None) -> tuple[EncoderNetwork, Head]:
    """Learn from calls until the time is over; the mean of the last steps' weights."""
    torch.manual_seed(course.seed)
    rng = np.random.default_rng(course.seed)
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    language = LANGUAGES["en"]
    before = encoder_file().read_bytes()
    teacher = EncoderNetwork(read_weights(before), 1).to(device).eval()
    encoder = EncoderNetwork(read_weights(_changed(before, start)), course.rank).to(device)
    head = Head(len(language.units), course.dropped)
    begin(head, language, (start or _shipped()) / HEAD)
    head = head.to(device)
    heard, both = Calls(said, device), nn.ModuleList([encoder, head])
    field = Field(torch.Generator(device).manual_seed(course.seed))
    lesson = Lesson(encoder, head, teacher, heard, field, course.hold)
    low = [
        each
        for part in encoder.modules()
        if isinstance(part, Learned)
        for each in part.parameters(recurse=False)
    ]
    vectors = [each for each in encoder.parameters() if not any(each is other for other in low)]
    groups = [
        {"params": list(head.parameters()), "lr": course.rate, "weight_decay": 1e-2},
        {"params": low, "lr": course.rate, "weight_decay": 1e-2},
        {"params": vectors, "lr": course.rate / 5, "weight_decay": 0.0},
    ]
    optimiser = torch.optim.AdamW(groups, betas=(0.9, 0.98))
    rates = [group["lr"] for group in optimiser.param_groups]
    mean = {name: each.detach().clone() for name, each in both.named_parameters()}
    begun, left, losses = time.monotonic(), [], []
    for step in itertools.count():
        done = (time.monotonic() - begun) / course.seconds
        if done >= 1.0:
            break
        if not left:
            first = int(rng.integers(ROWS))
            left = [np.arange(at, at + ROWS) for at in range(first, len(heard.n) - ROWS + 1, ROWS)]
            rng.shuffle(left)  # type: ignore[arg-type]
        fall = min(1.0, (step + 1) / WARM_STEPS) * max(0.01, 0.5 * (1 + math.cos(math.pi * done)))
        for group, rate in zip(optimiser.param_groups, rates, strict=True):
            group["lr"] = rate * fall
        loss = lesson.lost(left.pop(), rng)
        optimiser.zero_grad()
        loss.backward()
        nn.utils.clip_grad_norm_(both.parameters(), LARGEST_STEP)
        optimiser.step()
        losses.append(loss.item())
        with torch.no_grad():
            for name, each in both.named_parameters():
                mean[name].lerp_(each, 1 - min(AVERAGED, (1 + step) / (10 + step)))
        if step % TOLD == 0:
            sys.stdout.write(f"{step} steps, loss {np.mean(losses[-TOLD:]):.4f}\n")
    both.load_state_dict(mean, strict=False)
    return encoder.cpu(), head.cpu()


@dataclass(frozen=True, slots=True, eq=False)
class Lesson:
    """Who learns, from whom, and what of."""

    encoder: EncoderNetwork
    head: Head
    teacher: EncoderNetwork
    heard: Calls
    field: Field
    hold: float

    def lost(self, rows: npt.NDArray[np.intp], rng: np.random.Generator) -> torch.Tensor:
        """Disturb some calls; tell how badly they are read, and how far their frames are off."""
        heard, device = self.heard, next(self.encoder.parameters()).device
        leads = torch.from_numpy(rng.uniform(*LEAD_S, len(rows)) * RATE_HZ).long().to(device)
        tails = torch.from_numpy(rng.uniform(*TAIL_S, len(rows)) * RATE_HZ).to(device)
        with torch.no_grad():
            both, speeds = self.field.respeed(torch.cat(heard.rows(rows, leads)), is_twice=True)
            narrow, clean = both.chunk(2)
            n = torch.from_numpy(heard.n[rows]).to(device)
            ends = ((leads + n) / speeds[: len(rows)] + tails).long().clamp(max=narrow.shape[1])
            noisy = self.field(narrow)[:, : int(ends.max())]
            hiss = HISS * torch.randn_like(noisy)
            aim = self.teacher(clean[:, : noisy.shape[1]] + hiss, ends)
        found, counts = self.encoder(noisy, ends), frames(ends)
        is_there = torch.arange(found.shape[1], device=device)[None] < counts[:, None]
        off = ((found - aim).square().mean(2) * is_there).sum() / is_there.sum() / SPREAD
        units = [heard.units[row] for row in rows]
        sizes = torch.tensor([len(each) for each in units], device=device)
        read = functional.ctc_loss(
            functional.log_softmax(self.head(found), -1).transpose(0, 1),
            torch.tensor([unit for each in units for unit in each], device=device),
            counts,
            sizes,
            reduction="none",
            zero_infinity=True,
        )
        return (read / sizes.clamp(min=1)).mean() + self.hold * off


def _shipped() -> Path:
    return model_folder(ENCODER_MODEL)


def _changed(network: bytes, start: Path | None) -> bytes:
    """Change the encoder's file as a run did."""
    path = (start or _shipped()) / CHANGES
    if not path.exists():
        return network
    with np.load(path) as kept:
        return with_changes(network, {name: kept[name] for name in kept.files})


def main() -> None:
    """Train, or take a mean, and write what the program reads."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("stock", type=Path)
    asked.add_argument("out", type=Path)
    asked.add_argument("--seconds", type=float, default=390.0)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--rank", type=int, default=16)
    asked.add_argument("--rate", type=float, default=5e-4)
    asked.add_argument("--hold", type=float, default=0.3)
    asked.add_argument("--dropped", type=float, default=0.15)
    asked.add_argument("--start", type=Path)
    given = asked.parse_args()
    course = Course(given.seconds, given.seed, given.rank, given.rate, given.hold, given.dropped)
    torch.set_float32_matmul_precision("high")
    encoder, head = train(read(given.stock), course, given.start)
    given.out.mkdir(parents=True, exist_ok=True)
    np.savez_compressed(given.out / CHANGES, **added([encoder], [1.0], KEPT))
    np.savez_compressed(given.out / HEAD, **arrays(head))
    LANGUAGES["en"].write_words(given.out)


if __name__ == "__main__":
    main()
