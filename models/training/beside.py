"""Trains what tells two people at once from one: ``at_once.npz``; torch.

``python -m models.training.beside AN4 WORDS OUT [--seconds 130]``; AN4 and WORDS are the folders
that `models.training.recorded` reads. For each step words and stretches of people are put together
as calls, two callers at once in half of them, one caller in the others, now and then with others
who talk far off; what the field does to them is drawn anew. The encoder that ships hears them, and
a small network behind its inner layers learns which are of two. One person of eight is left out;
of them is told how many of two are caught where one in 200 of one is taken for two.
"""

from __future__ import annotations

import argparse
import itertools
import math
import random
import sys
import time
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import torch
from torch import nn
from torch.nn import functional

from calllog.recognise.encoder import encoder_file
from calllog.recognise.encoder_model import AT_ONCE, CHANGES
from calllog.recognise.ort_weights import with_changes
from calllog.resources import ENCODER_MODEL, model_folder
from models.training.encoder_network import WIDTH, EncoderNetwork, frames, read_weights
from models.training.head import whole_numbers
from models.training.recorded import HELD_OUT, SINGLE, Sound, loud_part, single, spelled
from models.training.sounds import RATE_HZ, Batch, Field, active_rms

LAYERS = (0, 1, 3, 5)
"""Which layers of the encoder are read."""
SIZE, BLOCKS, REACH = 96, 2, 5
DROPPED, OF_FRAMES = 0.1, 0.5
"""Share of the values that a step leaves out; how much it counts that a frame is of two."""
ROWS, RATE, WEIGHT_DECAY, WARM_STEPS, AVERAGED = 256, 2e-3, 1e-2, 100, 0.995
CALLS = {True: 12, False: 36}
"""How many calls are put together of one who says single words, and of one who says sentences."""
LEVEL = 0.05
LONGEST_S, SHORTEST_S = 2.2, 0.25
ABOUT_S = 0.12
GAPS_S = ((0.02, 0.08), (0.04, 0.14), (0.1, 0.35))
OVER_DB, FAR_DB, CROWD_DB = (0.0, 6.0), (14.0, 34.0), (12.0, 30.0)
"""How much fainter the second of two callers is, one who talks far off, and three of them."""
LATE_S, OVERLAP_S = (-0.15, 0.3), 0.3
LEAD_S, TAIL_S, MIRRORED_S = (0.3, 0.75), (0.05, 0.3), 0.3
"""Before and after a call; what the program sets behind it is what was before, backwards."""
LEAST_SNR_DB = 3.0
AUDIBLE = 3e-5
"""Power of a frame in which one is heard."""
TRIED, TAKEN = 20_000, 0.005

Wide = npt.NDArray[np.float32]


class Calls:
    """Calls of one person each, on the device.

    Args:
        people: what each person says, a sound each.
        rng: draws.
        device: where they are kept.
    """

    def __init__(
        self, people: dict[str, list[Wide]], rng: random.Random, device: torch.device
    ) -> None:
        made = [
            (person, said[: int(LONGEST_S * RATE_HZ)])
            for person, who in enumerate(sorted(people))
            for said in _drawn(people[who], rng, are_words=who.startswith(SINGLE))
        ]
        self.who = torch.tensor([person for person, _ in made], device=device)
        self.n = torch.tensor([len(said) for _, said in made], device=device)
        self._start = torch.cumsum(self.n, 0) - self.n
        self._sound = torch.from_numpy(np.concatenate([said for _, said in made])).to(device)

    def rows(self, rows: Batch) -> tuple[Batch, Batch]:
        """Give calls side by side, silence behind the short ones, and how long each is."""
        n = self.n[rows]
        at = torch.arange(int(n.max()), device=n.device)[None]
        place = (self._start[rows][:, None] + at).clamp(max=len(self._sound) - 1)
        return self._sound[place] * (at < n[:, None]), n


def _drawn(said: Sequence[Wide], rng: random.Random, *, are_words: bool) -> list[Wide]:
    drawn = [
        _words(said, rng) if are_words else _stretch(rng.choice(said), rng)
        for _ in range(CALLS[are_words])
    ]
    return [each for each in drawn if len(each) >= SHORTEST_S * RATE_HZ]


def _words(said: Sequence[Wide], rng: random.Random) -> Wide:
    """Put words behind each other, some cut close, each at about one level."""
    count, gap = rng.choices((1, 2, 3, 4), (4, 12, 3, 1))[0], rng.choice(GAPS_S)
    parts: list[Wide] = []
    for word in rng.choices(said, k=count):
        if parts:
            parts.append(np.zeros(int(rng.uniform(*gap) * RATE_HZ), np.float32))
        parts.append(_levelled(_trimmed(word, rng)) * np.float32(10 ** (rng.uniform(-3, 3) / 20)))
    return np.concatenate(parts)


def _trimmed(word: Wide, rng: random.Random) -> Wide:
    if rng.random() >= 0.75:
        return word
    size = np.abs(word)
    loud = np.flatnonzero(size > size.max() * 10 ** (-rng.uniform(18.0, 40.0) / 20))
    before = int(rng.choice((0.0, 0.0, rng.uniform(0.0, 0.03))) * RATE_HZ)
    after = int(rng.choice((0.0, rng.uniform(0.0, 0.05))) * RATE_HZ)
    return word[max(0, int(loud[0]) - before) : int(loud[-1]) + 1 + after]


def _stretch(sentence: Wide, rng: random.Random) -> Wide:
    """Cut a stretch out of a sentence, where it is quiet."""
    n, reach = int(rng.uniform(0.45, 2.0) * RATE_HZ), RATE_HZ // 10
    if len(sentence) <= n:
        return _levelled(sentence)
    power = np.convolve(np.square(sentence), np.ones(480) / 480, "same")
    first = rng.randrange(len(sentence) - n)
    low = max(0, first - reach)
    first = low + int(np.argmin(power[low : first + reach]))
    low = min(max(first + RATE_HZ // 4, first + n - reach), len(sentence) - 1)
    last = low + int(np.argmin(power[low : first + n + reach]))
    part = sentence[first:last].copy()
    fade = np.linspace(0.0, 1.0, RATE_HZ // 100, dtype=np.float32)
    part[: len(fade)] *= fade
    part[-len(fade) :] *= fade[::-1]
    return _levelled(part)


def _levelled(sound: Wide) -> Wide:
    """Bring the louder half to one level."""
    power = np.sort(np.square(sound))
    rms = float(np.sqrt(power[len(power) // 2 :].mean()))
    return sound * np.float32(LEVEL / max(rms, 1e-5))


class Outdoors(Field):
    """What the field does, but for people who talk, who are put there on purpose."""

    def disturbed(self, sound: Batch) -> Batch:
        """Colour, room, noise and a telephone's band."""
        sound = self._room(self._microphone(self._voice(sound)))
        batch, level = len(sound), active_rms(sound)
        snr_db = self._uniform(LEAST_SNR_DB, 26.0, batch)
        is_clean = self._draw(batch) < 0.25
        snr_db = torch.where(is_clean, self._uniform(30.0, 55.0, batch), snr_db)
        sound = sound + self._noise(sound) * (level * 10 ** (-snr_db / 20))[:, None]
        is_late = self._draw(batch) < 0.3
        sound = torch.where(is_late[:, None], self._microphone(sound), sound)
        high = self._uniform(3300.0, 3950.0, batch)
        high = torch.where(self._draw(batch) < 0.45, high, torch.full_like(high, 1e9))
        gain = 1 / (1 + (self._hz(sound)[None] / high[:, None]) ** 60)
        return self._filtered(sound, gain) + self._normal(sound.shape) * 3e-5

    def _babble(self, speech: Batch) -> Batch:
        return self._sloped(speech)


@dataclass(frozen=True, slots=True, eq=False)
class Lesson:
    """Calls to learn from."""

    sound: Batch
    """Shape (rows, samples)."""
    n: Batch
    """Samples of each."""
    is_two: Batch
    """1 for two people at once, else 0."""
    both: Batch
    """1 for each of the encoder's frames in which both are heard, else 0; (rows, frames)."""


class Teacher:
    """Draws calls of one person and of two.

    Args:
        calls: of one person each.
        generator: all chance comes from it; its device is where the work is done.
    """

    def __init__(self, calls: Calls, generator: torch.Generator) -> None:
        self._calls, self._field, self._chance = calls, Outdoors(generator), generator
        self._device = generator.device

    def draw(self) -> Lesson:
        """Draw calls; of two people who hardly speak at once none is given."""
        one, n_one, who = self._call()
        other, n_other, who_other = self._call()
        is_other = who != who_other
        is_two = (self._draw() < 0.5) & is_other
        is_far = (self._draw() < 0.3) & is_other & ~is_two
        gain = torch.where(is_two, _gain(self._between(OVER_DB)), _gain(self._between(FAR_DB)))
        gain = gain * (is_two | is_far)
        late = self._samples(LATE_S)
        lead = self._samples(LEAD_S)
        first, second = lead + (-late).clamp(min=0), lead + late.clamp(min=0)
        end = torch.where(
            is_two, torch.maximum(first + n_one, second + n_other), first + n_one
        ) + self._samples(TAIL_S)
        overlap = torch.minimum(first + n_one, second + n_other) - torch.maximum(first, second)
        width = -(-(int(end.max()) + 1) // 1600) * 1600
        here = _placed(one, n_one, first, width)
        there = _placed(other, n_other, second, width) * gain[:, None]
        crowd = torch.stack([torch.roll(here, each, 0) for each in (1, 2, 3)]).sum(0)
        crowd = torch.roll(crowd, 3000, 1)
        crowd = crowd / active_rms(crowd)[:, None] * LEVEL
        is_crowd = (self._draw() < 0.15) & ~is_two & ~is_far
        loud = _gain(self._between(CROWD_DB)) * is_crowd
        both = (_power(here) > AUDIBLE) & (_power(there) > AUDIBLE * gain[:, None] ** 2)
        noisy = self._field.disturbed(here + there + crowd * loud[:, None])
        mirrored = int(MIRRORED_S * RATE_HZ)
        at = torch.arange(width + mirrored, device=self._device)[None]
        back = (mirrored - 1 - (at - end[:, None])).clamp(min=0)
        at = torch.where(at < end[:, None], at, back).clamp(max=width - 1)
        kept = ~is_two | (overlap > OVERLAP_S * RATE_HZ)
        n = (end + mirrored)[kept]
        return Lesson(
            noisy.gather(1, at)[kept][:, : int(n.max())],
            n,
            is_two[kept].float(),
            (both & is_two[:, None])[kept].float(),
        )

    def _call(self) -> tuple[Batch, Batch, Batch]:
        """Draw calls, some faster or slower, each at one level: sounds, lengths, and who."""
        rows = torch.randint(
            len(self._calls.n), (ROWS,), generator=self._chance, device=self._device
        )
        said, n = self._calls.rows(rows)
        quick, speed = self._field.respeed(said)
        is_plain = self._draw() < 0.35
        said = torch.where(is_plain[:, None], said, quick)
        n = torch.where(is_plain, n, (n / speed).long().clamp(max=said.shape[1]))
        return said / active_rms(said)[:, None] * LEVEL, n, self._calls.who[rows]

    def _draw(self) -> Batch:
        return torch.rand(ROWS, generator=self._chance, device=self._device)

    def _between(self, span: tuple[float, float]) -> Batch:
        return span[0] + (span[1] - span[0]) * self._draw()

    def _samples(self, span_s: tuple[float, float]) -> Batch:
        return (self._between(span_s) * RATE_HZ).long()


def _gain(fainter_db: Batch) -> Batch:
    return 10 ** (-fainter_db / 20)


def _placed(said: Batch, n: Batch, first: Batch, width: int) -> Batch:
    """Set each row so many samples after the start."""
    at = torch.arange(width, device=said.device)[None] - first[:, None]
    is_said = (at >= 0) & (at < n[:, None])
    return said.gather(1, at.clamp(0, said.shape[1] - 1)) * is_said


def _power(sound: Batch) -> Batch:
    """Give the power about each of the encoder's frames."""
    return functional.avg_pool1d(sound.square()[:, None], 1152, 384, padding=384)[:, 0]


class AtOnce(nn.Module):
    """Inner layers to the logit of two people at once."""

    def __init__(self) -> None:
        super().__init__()
        self.first = nn.Linear(WIDTH * len(LAYERS), SIZE)
        self.blocks = nn.ModuleList(
            nn.Conv1d(SIZE, SIZE, REACH, padding=REACH // 2) for _ in range(BLOCKS)
        )
        self.last = nn.Linear(3 * SIZE, 1)
        self.of_frames = nn.Linear(SIZE, 1)
        """Helps to learn; the program has none of it."""

    def forward(self, inner: Batch, is_there: Batch) -> tuple[Batch, Batch]:
        """Map (rows, frames, values) to logits of the rows and of the frames."""
        there = is_there[..., None].float()
        x = functional.dropout(inner, DROPPED, self.training)
        x = torch.relu(self.first(x)) * there
        for block in self.blocks:
            normal = functional.layer_norm(x, (SIZE,)) * there
            x = (x + torch.relu(block(normal.transpose(1, 2)).transpose(1, 2))) * there
        count = there.sum(1)
        mean = (x * there).sum(1) / count
        spread = ((x - mean[:, None]).square() * there).sum(1) / count
        pooled = (mean, (spread + 1e-6).sqrt(), x.masked_fill(there == 0, -1e4).amax(1))
        return self.last(torch.cat(pooled, 1))[:, 0], self.of_frames(x)[..., 0]

    def layers(self) -> dict[str, nn.Linear | nn.Conv1d]:
        """Name the layers that are kept."""
        found: dict[str, nn.Linear | nn.Conv1d] = {"first": self.first, "last": self.last}
        blocks = (each for each in self.blocks if isinstance(each, nn.Conv1d))
        return found | {f"block{place}": each for place, each in enumerate(blocks)}


class Ears:
    """The encoder that ships, which learns nothing here."""

    def __init__(self, device: torch.device) -> None:
        with np.load(model_folder(ENCODER_MODEL) / CHANGES) as kept:
            network = with_changes(encoder_file().read_bytes(), {k: kept[k] for k in kept.files})
        self._encoder = EncoderNetwork(read_weights(network), 1).to(device).eval()

    @torch.no_grad()
    def hear(self, lesson: Lesson) -> tuple[Batch, Batch]:
        """Give what the layers read, each normalised, and which frames there are."""
        _, *read = self._encoder.layered(lesson.sound, lesson.n)
        inner = [functional.layer_norm(read[each], (WIDTH,)) for each in LAYERS]
        place = torch.arange(read[0].shape[1], device=lesson.n.device)
        return torch.cat(inner, -1), place[None] < frames(lesson.n)[:, None]


def train(teacher: Teacher, ears: Ears, seconds: float, device: torch.device) -> AtOnce:
    """Learn until the time is over; the mean of the last steps' weights."""
    network = AtOnce().to(device)
    optimiser = torch.optim.AdamW(
        network.parameters(), RATE, betas=(0.9, 0.98), weight_decay=WEIGHT_DECAY
    )
    mean = {name: each.detach().clone() for name, each in network.named_parameters()}
    begun, losses = time.monotonic(), []
    for step in itertools.count(1):
        done = (time.monotonic() - begun) / seconds
        if done >= 1.0:
            break
        fall = min(1.0, step / WARM_STEPS) * max(0.01, 0.5 * (1 + math.cos(math.pi * done)))
        optimiser.param_groups[0]["lr"] = RATE * fall
        lesson = teacher.draw()
        inner, is_there = ears.hear(lesson)
        logits, of_frames = network(inner, is_there)
        cost = functional.binary_cross_entropy_with_logits
        loss = cost(logits, lesson.is_two)
        spare = of_frames.shape[1] - lesson.both.shape[1]
        both = functional.pad(lesson.both, (0, max(0, spare)))[:, : of_frames.shape[1]]
        by_frame = cost(of_frames, both, reduction="none") * is_there
        loss = loss + OF_FRAMES * by_frame.sum() / is_there.sum()
        optimiser.zero_grad()
        loss.backward()
        optimiser.step()
        losses.append(loss.item())
        with torch.no_grad():
            for name, each in network.named_parameters():
                mean[name].lerp_(each, 1 - min(AVERAGED, step / (9 + step)))
        if step % 100 == 0:
            print(f"{step} steps, loss {np.mean(losses[-100:]):.4f}")
    network.load_state_dict(mean, strict=False)
    return network.eval()


@torch.no_grad()
def caught(network: AtOnce, teacher: Teacher, ears: Ears, count: int) -> tuple[float, float]:
    """Tell above which logit one in 200 of one person is, and which share of two people is."""
    logits, is_two = [], []
    for _ in range(-(-count // ROWS)):
        lesson = teacher.draw()
        logits.append(network(*ears.hear(lesson))[0].cpu().numpy())
        is_two.append(lesson.is_two.cpu().numpy() > 0.5)
    found, two = np.concatenate(logits), np.concatenate(is_two)
    least = float(np.quantile(found[~two], 1.0 - TAKEN))
    return least, float((found[two] > least).mean())


def read(an4: Path, words: Path) -> tuple[dict[str, list[Wide]], dict[str, list[Wide]]]:
    """Read what people say: of those who are learned from, and of those who are left out."""
    people: dict[str, list[Wide]] = defaultdict(list)
    for _, who, sound in itertools.chain(spelled(an4), single(words)):
        people[who].append(_loud(sound))
    left_out = set(sorted(people)[::HELD_OUT])
    learned = {who: said for who, said in people.items() if who not in left_out}
    return learned, {who: people[who] for who in left_out}


def _loud(sound: Sound) -> Wide:
    first, last = (each * RATE_HZ * 24 // 1000 for each in loud_part(sound))
    about = int(ABOUT_S * RATE_HZ)
    return sound[max(0, first - about) : last + about].astype(np.float32) / np.float32(32768)


def main() -> None:
    """Train, tell how good it is, and write what the program reads."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("an4", type=Path)
    asked.add_argument("words", type=Path)
    asked.add_argument("out", type=Path)
    asked.add_argument("--seconds", type=float, default=130.0)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--tried", type=int, default=TRIED)
    given = asked.parse_args()
    torch.manual_seed(given.seed)
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    rng = random.Random(given.seed)  # noqa: S311 - what is drawn is no secret
    learned, left_out = (
        Teacher(Calls(people, rng, device), torch.Generator(device).manual_seed(given.seed + place))
        for place, people in enumerate(read(given.an4, given.words))
    )
    ears = Ears(device)
    network = train(learned, ears, given.seconds, device)
    least, share = caught(network, left_out, ears, given.tried)
    sys.stdout.write(f"above {least:.2f}: {100 * share:.1f} % of two, {100 * TAKEN} % of one\n")
    given.out.mkdir(parents=True, exist_ok=True)
    kept = {"layers": np.array(LAYERS, np.int8), **whole_numbers(network.layers())}
    np.savez_compressed(given.out / AT_ONCE, **kept)


if __name__ == "__main__":
    main()
