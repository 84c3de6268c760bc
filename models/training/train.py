"""Trains the network: a bank of speech in, weights out; torch, on an accelerator if there is one.

``python -m models.training.train BANK OUT.npz --values VALUES.json [--start START.npz]
[--watch BANK] [--seconds 480]``. It learns phones (CTC, Graves et al. 2006) from everything that is
said. Training is watched with other voices: the share of their calls whose value has the greatest
CTC likelihood, summed over its spoken forms, among all values of the role.
"""

from __future__ import annotations

import argparse
import json
import math
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import torch
from torch.nn import functional

from models.training.features import Mfcc
from models.training.network import Network
from models.training.phones import INDEX, UNITS
from models.training.sounds import RATE_HZ, Field, active_rms

BATCH_S = 420.0
"""Seconds of sound in a batch, silence included."""
LONGEST_S = 12.0
LEAD_S = (0.05, 0.55)
MASKS = 0.35
HEAD_STEPS, WARM_STEPS, EASED_STEPS = 600, 300, 4000
"""Steps in which only the new head learns, in which rates rise, and over which noise grows to its
full range."""


@dataclass
class Bank:
    """All speech, on the device, and where each stretch is."""

    sound: torch.Tensor
    start: list[int]
    n: list[int]
    phones: list[list[int]]
    words: list[list[str]]
    voice: list[str]


def load(folder: Path, device: torch.device, index: Mapping[str, int] = INDEX) -> Bank:
    """Read a bank; `index` gives each unit's place."""
    sound = torch.from_numpy(np.load(folder / "bank.npy")).to(device)
    lines = [json.loads(line) for line in (folder / "bank.jsonl").open(encoding="utf-8")]
    lines = [line for line in lines if line["n"] < LONGEST_S * RATE_HZ]
    lines.sort(key=lambda line: line["n"])
    return Bank(
        sound,
        [line["start"] for line in lines],
        [line["n"] for line in lines],
        [[index[phone] for phone in line["phones"]] for line in lines],
        [[said["words"] for said in line["said"]] for line in lines],
        [json.dumps(line["voice"]) for line in lines],
    )


def batches(bank: Bank, rng: np.random.Generator) -> Iterator[list[int]]:
    """Give rows of like length, in random order, for ever."""
    while True:
        groups, group = [], []
        for row in range(int(rng.integers(0, 64)) if len(bank.n) > 256 else 0, len(bank.n)):
            group.append(row)
            if len(group) * (bank.n[row] / RATE_HZ * 1.25 + 0.9) > BATCH_S or len(group) >= 256:
                groups.append(group)
                group = []
        if group:
            groups.append(group)
        for place in rng.permutation(len(groups)):
            yield groups[place]


def gather(bank: Bank, rows: list[int], rng: np.random.Generator) -> tuple[torch.Tensor, list[int]]:
    """Put stretches into one tensor (batch, n), each after a random lead of silence; give both."""
    longest = max(bank.n[row] for row in rows)
    size = int(longest * 1.27) + int(0.75 * RATE_HZ)
    sound = torch.zeros(len(rows), size, device=bank.sound.device)
    leads = [int(rng.uniform(*LEAD_S) * RATE_HZ * 0.8) for _ in rows]
    for place, (row, lead) in enumerate(zip(rows, leads, strict=True)):
        start, n = bank.start[row], bank.n[row]
        sound[place, lead : lead + n] = bank.sound[start : start + n].float() / 32768.0
    return sound, leads


def masked(log_mel: torch.Tensor, generator: torch.Generator) -> torch.Tensor:
    """Hide a band of some rows (SpecAugment, Park et al. 2019)."""
    batch, _, mels = log_mel.shape
    device = log_mel.device
    start = torch.rand(batch, 1, generator=generator, device=device) * mels
    width = torch.rand(batch, 1, generator=generator, device=device) * 9
    bins = torch.arange(mels, device=device)[None]
    hidden = (bins >= start) & (bins < start + width)
    hidden &= torch.rand(batch, 1, generator=generator, device=device) < MASKS
    mean = log_mel.mean((1, 2), keepdim=True)
    return torch.where(hidden[:, None], mean.expand_as(log_mel), log_mel)


def reshaped(log_mel: torch.Tensor, generator: torch.Generator) -> torch.Tensor:
    """Change voices as no filter does: other throats, other tempi, blurred as by a vocoder.

    The mel axis is warped by up to 12 %, time by up to 20 % (one factor a batch, since rows share
    their length), and some rows are smoothed over neighbours in frequency or in time.
    """
    batch, frames, mels = log_mel.shape
    device = log_mel.device

    def draw(count: int) -> torch.Tensor:
        return torch.rand(count, generator=generator, device=device)

    warp = 1.0 + 0.24 * (draw(batch) - 0.5) * (draw(batch) < 0.6)
    tempo = 1.0 + 0.4 * (float(draw(1)) - 0.5) * (float(draw(1)) < 0.6)
    length = max(8, int(frames / tempo))
    across = torch.linspace(-1.0, 1.0, length, device=device)
    up = (torch.arange(mels, device=device) + 1.0)[None] * warp[:, None] - 1.0
    up = 2.0 * up.clamp(0, mels - 1) / (mels - 1) - 1.0
    grid = torch.stack(
        [
            up[:, None].expand(-1, length, -1),
            across[None, :, None].expand(batch, -1, mels),
        ],
        3,
    )
    changed = functional.grid_sample(log_mel[:, None], grid, align_corners=True)
    for axis, share in ((3, 0.25), (2, 0.2)):
        kernel = (1, 3) if axis == 3 else (3, 1)
        padding = (0, 1) if axis == 3 else (1, 0)
        smooth = functional.avg_pool2d(
            changed, kernel, stride=1, padding=padding, count_include_pad=False
        )
        on = (draw(batch) < share)[:, None, None, None]
        changed = torch.where(on, smooth, changed)
    return changed[:, 0]


def ctc(log_probs: torch.Tensor, targets: list[list[int]]) -> torch.Tensor:
    """Give the negative CTC log-likelihood of each row; log_probs of shape (batch, time, units)."""
    device = log_probs.device
    lengths = torch.tensor([len(target) for target in targets], device=device)
    flat = torch.tensor([unit for target in targets for unit in target], device=device)
    times = torch.full((len(targets),), log_probs.shape[1], device=device)
    return functional.ctc_loss(
        log_probs.transpose(0, 1), flat, times, lengths, reduction="none", zero_infinity=True
    )


class Values:
    """All spoken forms of the values of each role, to score a call against."""

    def __init__(self, path: Path, device: torch.device) -> None:
        table = json.loads(path.read_text("utf-8"))
        self.forms: dict[str, tuple[torch.Tensor, torch.Tensor]] = {}
        self.owner: dict[str, torch.Tensor] = {}
        self.value: dict[str, dict[str, int]] = {}
        for role, entries in table.items():
            self.value[role] = {words: value for words, value, _ in entries}
            pairs = [(value, phones) for _, value, forms in entries for phones in forms]
            forms = [[INDEX[p] for p in phones] for _, phones in pairs]
            flat = torch.tensor([unit for form in forms for unit in form], device=device)
            lengths = torch.tensor([len(form) for form in forms], device=device)
            self.forms[role] = (flat, lengths)
            self.owner[role] = torch.tensor([value for value, _ in pairs], device=device)

    def scores(self, log_probs: torch.Tensor, role: str) -> torch.Tensor:
        """Give the log-likelihood of each value, shape (batch, 101)."""
        batch, time_, units = log_probs.shape
        (flat, lengths), owner = self.forms[role], self.owner[role]
        rows = log_probs[:, None].expand(-1, len(lengths), -1, -1).reshape(-1, time_, units)
        each = functional.ctc_loss(
            rows.transpose(0, 1),
            flat.repeat(batch),
            torch.full((len(rows),), time_, device=flat.device),
            lengths.repeat(batch),
            reduction="none",
            zero_infinity=True,
        )
        each = -each.reshape(batch, len(lengths))
        each = torch.where(each == 0, torch.full_like(each, -1e4), each)
        total = torch.full((batch, 101), -1e4, device=each.device)
        top = each.detach().amax(1, keepdim=True)
        sums = torch.zeros(batch, 101, device=each.device).index_add(
            1, owner, torch.exp(each - top)
        )
        return torch.where(sums > 0, torch.log(sums.clamp(min=1e-30)) + top, total)


CONDITIONS = {
    "clean": (1.0, 40.0),
    "pink 15": (1.0, 15.0),
    "pink 10": (1.0, 10.0),
    "wind 5": (2.0, 5.0),
}


@torch.no_grad()
def watch(network: Network, mfcc: Mfcc, bank: Bank, values: Values, device: torch.device) -> str:
    """Give the share of right values of each condition, on voices that are not trained on."""
    network.eval()
    rng = np.random.default_rng(5)
    shown = []
    for name, (slope, snr_db) in CONDITIONS.items():
        field = Field(torch.Generator(device).manual_seed(7))
        right = count = 0
        for first in range(0, len(bank.n), 48):
            rows = list(range(first, min(first + 48, len(bank.n))))
            sound, _ = gather(bank, rows, rng)
            slopes = torch.full((len(rows),), slope, device=device)
            noise = (
                field.coloured(sound, slopes)
                if slope < 2
                else field.gusts(sound, slopes, slopes * 6)
            )
            noisy = sound + noise * (active_rms(sound) * 10 ** (-snr_db / 20))[:, None]
            log_probs = functional.log_softmax(network(mfcc(noisy * 0.3)).float(), -1)
            for role in values.forms:
                known = [
                    i for i, row in enumerate(rows) if bank.words[row][0] in values.value[role]
                ]
                if not known:
                    continue
                best = values.scores(log_probs[known], role).argmax(1).tolist()
                truth = [values.value[role][bank.words[rows[i]][0]] for i in known]
                right += sum(a == b for a, b in zip(best, truth, strict=True))
                count += len(known)
        shown.append(f"{name} {100 * right / count:.1f}")
    network.train()
    return ", ".join(shown) + f" (n {count})"


class Training:
    """A network, what it learns from, and how far it is.

    Args:
        given: the options of the command.
    """

    def __init__(self, given: argparse.Namespace) -> None:
        self._given = given
        self._begun = time.time()
        self._device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
        torch.backends.cuda.matmul.allow_tf32 = True
        torch.manual_seed(given.seed)
        self._bank = load(given.bank, self._device)
        self._watched = load(given.watch, self._device) if given.watch else None
        self._values = Values(given.values, self._device)
        self._mfcc = Mfcc().to(self._device)
        self._rng = np.random.default_rng(given.seed)
        self._chance = torch.Generator(self._device).manual_seed(given.seed)
        self._field = Field(self._chance)
        self._start()
        hours = sum(self._bank.n) / RATE_HZ / 3600
        print(f"{len(self._bank.n)} stretches, {hours:.1f} h, {self._device}", flush=True)

    def _start(self) -> None:
        """Make the network, from other weights where some are given, and its optimiser."""
        given, network = self._given, Network(len(UNITS)).to(self._device)
        self._is_new = False
        if given.start:
            start = {name: torch.from_numpy(array) for name, array in np.load(given.start).items()}
            self._is_new = "output.weight" not in start
            if self._is_new:
                network.start_from(start)
            else:
                network.load_state_dict(start)
            network.freeze_norms()
        groups = {
            "head": (list(network.output.parameters()), 1.0),
            "body": (list(network.layers.parameters()), given.body),
            "first": (list(network.first.parameters()), given.first if given.start else given.body),
            "lda": (list(network.lda.parameters()), 0.0 if given.start else given.body),
        }
        for parameters, of in groups.values():
            for each in parameters:
                each.requires_grad_(requires_grad=of > 0.0)
        self._network = network
        self._optimiser = torch.optim.AdamW(
            [{"params": found, "of": of} for found, of in groups.values() if of > 0.0],
            weight_decay=1e-3,
        )
        network.train()
        network.drop = 0.1

    def run(self) -> None:
        """Train until the time is over."""
        losses: list[float] = []
        for step, rows in enumerate(batches(self._bank, self._rng)):
            done = (time.time() - self._begun) / self._given.seconds
            if done >= 1.0:
                break
            self._set_rates(step, done)
            losses.append(self._learn(rows))
            if step % self._given.every == self._given.every - 1:
                self._report(losses)
        self._report(losses)

    def _set_rates(self, step: int, done: float) -> None:
        """Let the new head learn alone at first, then all fall along a cosine."""
        fall = max(0.01, 0.5 * (1 + math.cos(math.pi * done)))
        waits = self._is_new and step < HEAD_STEPS
        self._network.layers.requires_grad_(requires_grad=not waits)
        self._field.ease = max(0.0, 1.0 - step / EASED_STEPS) if self._is_new else 0.0
        for group in self._optimiser.param_groups:
            late = HEAD_STEPS if self._is_new and group["of"] < 1.0 else 0
            warm = min(1.0, max(0.0, (step + 1 - late) / WARM_STEPS))
            group["lr"] = self._given.rate * group["of"] * warm * fall

    def _learn(self, rows: list[int]) -> float:
        """Take one step; give the loss."""
        with torch.no_grad():
            sound, _ = gather(self._bank, rows, self._rng)
            sound = self._field(self._field.respeed(sound)[0])
            log_mel = reshaped(self._mfcc.log_mel(sound), self._chance)
            cepstra = masked(log_mel, self._chance) @ self._mfcc.transform
        kind = self._device.type
        with torch.autocast(kind, torch.bfloat16, enabled=kind == "cuda"):
            logits = self._network(cepstra)
        log_probs = functional.log_softmax(logits.float(), -1)
        targets = [self._bank.phones[row] for row in rows]
        sizes = torch.tensor([max(1, len(target)) for target in targets], device=self._device)
        loss = (ctc(log_probs, targets) / sizes).mean()
        self._optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(self._network.parameters(), 2.0)
        self._optimiser.step()
        return loss.item()

    def _report(self, losses: list[float]) -> None:
        """Print how it goes."""
        network, mfcc, values = self._network, self._mfcc, self._values
        shown = watch(network, mfcc, self._watched, values, self._device) if self._watched else ""
        mean = np.mean(losses[-self._given.every :])
        passed = time.time() - self._begun
        print(f"{len(losses)} steps, {passed:.0f} s, loss {mean:.4f}; {shown}", flush=True)

    def save(self, path: Path) -> None:
        """Write the weights."""
        path.parent.mkdir(parents=True, exist_ok=True)
        state = self._network.state_dict()
        np.savez(path, **{name: array.float().cpu().numpy() for name, array in state.items()})


def main() -> None:
    """Train as asked, then write the weights."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("bank", type=Path)
    asked.add_argument("out", type=Path)
    asked.add_argument("--values", type=Path, required=True)
    asked.add_argument("--start", type=Path)
    asked.add_argument("--watch", type=Path)
    asked.add_argument("--seconds", type=float, default=480.0)
    asked.add_argument("--rate", type=float, default=3e-3)
    asked.add_argument("--body", type=float, default=0.1, help="rate of the layers, of the head's")
    asked.add_argument("--first", type=float, default=0.0, help="the same for the first layer")
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--every", type=int, default=500)
    given = asked.parse_args()
    training = Training(given)
    training.run()
    training.save(given.out)


if __name__ == "__main__":
    main()
