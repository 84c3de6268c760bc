"""Puts calls together of words said apart, and lets the speech encoder hear them: frames out.

``python -m models.training.calls FOLDER BANK OUT [--hours 10] [--seed 0]``. FOLDER holds what
`models.training.apart` and `models.training.recorded` made, BANK is any speech that
`models.training.speak` made. Words are narrowed to a telephone's band now and then, cut as close as
a careless recorder cuts them, put behind each other with short gaps, and disturbed as in the field.
OUT gets ``figures.npz``, ``recorded.npz`` and ``general.npz``, as `models.training.encode` writes
them.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import torch

from calllog.recognise.encoder import STEP_S, Encoder
from models.training.apart import FIGURES
from models.training.encode import Frames, kept
from models.training.phones import INDEX
from models.training.recorded import SINGLE
from models.training.sounds import RATE_HZ, Field

Sound = npt.NDArray[np.float32]
Change = Callable[[Sound], Sound]

ROWS = 24
"""Stretches that are disturbed together."""
LEVEL, LEAST = 0.05, 1e-4
"""RMS of a word's louder half, of full scale; what is fainter than the second is not raised."""
NARROW = {"figures": 0.5, "recorded": 0.4, "general": 0.2}
"""How much of each kind has a telephone's band."""
SINGLE_SHARE = 0.5
"""How much of what is recorded are single words."""
LEAD_S, TAIL_S, LEFT_S = (0.05, 0.7), (0.1, 0.4), 0.5
BEFORE_S, AFTER_S = 0.16, 0.22
"""How much sound beside the frames of a word is taken for the word's, at most."""
LONGEST_S = 9.0
STEP = 1_600
"""Samples: a length that is a multiple of it is quickly transformed."""
GAPS_S = ((0.02, 0.08), (0.04, 0.14), (0.1, 0.35))
SHARES = {"figures": 5, "recorded": 3, "general": 2}
"""How often each is drawn."""
FEWEST = 5
"""Figures that a voice must have said."""
VOICES = (3, 3, 4)
"""How often figures are of one synthesiser, of one person who says all, and of many people, each of
whom said few."""


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """A word, or more, and what it is made of."""

    sound: Sound
    units: list[int]
    clean: Sound | None = None
    """The same before it was narrowed, sample by sample."""


class Material:
    """All that calls are put together of.

    Args:
        folder: of `models.training.apart` and `models.training.recorded`.
        bank: of `models.training.speak`.
        rng: draws.
    """

    def __init__(self, folder: Path, bank: Path, rng: random.Random) -> None:
        self._rng = rng
        self._noise = np.random.default_rng(rng.randrange(1 << 30))
        self._spoken: dict[str, dict[str, list[Piece]]] = defaultdict(lambda: defaultdict(list))
        self._people: dict[str, dict[str, list[Piece]]] = defaultdict(lambda: defaultdict(list))
        self._singles: dict[str, list[Piece]] = defaultdict(list)
        self._crowd: dict[str, list[Piece]] = defaultdict(list)
        """What people said who said single words only: by who, and by word."""
        self._sentences: list[list[Piece]] = []
        self._general: list[Piece] = []
        sound = np.load(folder / "apart.npy", mmap_mode="r")
        for entry in _lines(folder / "apart.jsonl"):
            piece = Piece(_cut(sound, entry["start"], entry["n"]), _units(entry["phones"]))
            self._spoken[entry["who"]][entry["word"]].append(piece)
        sound = np.load(folder / "recorded.npy", mmap_mode="r")
        for entry in _lines(folder / "recorded.jsonl"):
            pieces = _words(sound, entry)
            is_single = str(entry["who"]).startswith(SINGLE)
            if not is_single:
                self._sentences.append(pieces)
            for word, piece in zip(entry["words"], pieces, strict=True):
                if is_single:
                    self._singles[entry["who"]].append(piece)
                    self._crowd[word].append(piece)
                else:
                    self._people[entry["who"]][word].append(piece)
        sound = np.load(bank / "bank.npy", mmap_mode="r")
        for entry in _lines(bank / "bank.jsonl"):
            if entry["n"] < LONGEST_S * RATE_HZ:
                piece = Piece(_cut(sound, entry["start"], entry["n"]), _units(entry["phones"]))
                self._general.append(piece)
        self._voices = [
            [said for said in group.values() if sum(each in said for each in FIGURES) >= FEWEST]
            for group in (self._spoken, self._people)
        ]
        self._voices += [[self._crowd]] if self._crowd else []
        self._persons = list(self._singles)

    def draw(self, kind: str) -> Piece:
        """Draw something of a kind of `SHARES`."""
        rng = self._rng
        narrowed = self._narrowing() if rng.random() < NARROW[kind] else _unchanged
        if kind == "figures":
            return self._call(narrowed)
        if kind == "recorded" and self._persons and rng.random() < SINGLE_SHARE:
            count = rng.choice((1, 1, 2, 3))
            person = self._singles[rng.choice(self._persons)]
            return self._joined(rng.choices(person, k=count), narrowed)
        if kind == "recorded":
            piece = self._stretch(rng.choice(self._sentences))
        else:
            piece = rng.choice(self._general)
        return Piece(narrowed(piece.sound), piece.units, piece.sound)

    def _stretch(self, pieces: list[Piece]) -> Piece:
        """Take a whole sentence, or some words of it that follow each other."""
        first, count = 0, len(pieces)
        if self._rng.random() < 0.6:
            count = min(count, self._rng.choice((1, 2, 2, 3)))
            first = self._rng.randrange(len(pieces) - count + 1)
        chosen = pieces[first : first + count]
        units = [unit for piece in chosen for unit in piece.units]
        return Piece(np.concatenate([piece.sound for piece in chosen]), units)

    def _call(self, narrowed: Change) -> Piece:
        """Put figures, and now and then another word, behind each other."""
        rng = self._rng
        said = rng.choice(rng.choices(self._voices, VOICES[: len(self._voices)])[0])
        figures = [each for each in FIGURES if each in said]
        others = [each for each in said if each not in FIGURES and len(each) > 1]
        draw = rng.random()
        if draw < 0.88 or not others:
            chances = (0.62, 0.1, 0.08, 0.04, 0.04)
            words = rng.choices(figures, k=rng.choices((2, 1, 3, 4, 5), chances)[0])
        else:
            words = rng.choices(figures, k=rng.choice((0, 1, 2)))
            words += [rng.choice(others), *rng.choices(figures, k=rng.choice((0, 1, 2)))]
        if "oh" in said and rng.random() < 0.08:
            words[0] = "oh"
        return self._joined([rng.choice(said[word]) for word in words], narrowed)

    def _joined(self, pieces: list[Piece], narrowed: Change) -> Piece:
        """Put words behind each other, each cut close, at about one level."""
        rng = self._rng
        gap = rng.choice(GAPS_S)
        both: tuple[list[Sound], list[Sound]] = ([], [])
        for piece in pieces:
            narrow = narrowed(piece.sound)
            part = self._trimmed(narrow)
            silence = np.zeros(int(rng.uniform(*gap) * RATE_HZ), np.float32)
            loud = 10 ** (rng.uniform(-3.0, 3.0) / 20) * LEVEL
            for sounds, whole in zip(both, (narrow, piece.sound), strict=True):
                sound = whole[part]
                sounds.extend([silence] if sounds else [])
                sounds.append(sound * np.float32(loud / max(_loudness(sound), LEAST)))
        units = [unit for piece in pieces for unit in piece.units]
        return Piece(np.concatenate(both[0]), units, np.concatenate(both[1]))

    def _trimmed(self, sound: Sound) -> slice:
        """Cut a word close, three times of four; weak consonants at its ends may go."""
        rng = self._rng
        if rng.random() >= 0.75:
            return slice(None)
        size = np.abs(sound)
        loud = np.flatnonzero(size > size.max() * 10 ** (-rng.uniform(18.0, 44.0) / 20))
        before = int(rng.choice((0.0, 0.0, rng.uniform(0.0, 0.03))) * RATE_HZ)
        after = int(rng.choice((0.0, rng.uniform(0.0, 0.05))) * RATE_HZ)
        return slice(max(0, int(loud[0]) - before), int(loud[-1]) + 1 + after)

    def _narrowing(self) -> Change:
        """Draw the band of a telephone or of an 8 kHz recorder, now and then with its codec."""
        rng = self._rng
        high, low = rng.uniform(3300.0, 3950.0), rng.uniform(80.0, 320.0)
        has_low, is_coded = rng.random() < 1 / 3, rng.random() < 0.3

        def narrowed(sound: Sound) -> Sound:
            hz = np.fft.rfftfreq(len(sound), 1 / RATE_HZ)
            gain = 1 / (1 + (hz / high) ** 60)
            if has_low:
                gain *= 1 - 1 / (1 + (hz / low) ** 6)
            narrow = np.fft.irfft(np.fft.rfft(sound) * gain, len(sound)).astype(np.float32)
            return _coded(narrow) if is_coded else narrow

        return narrowed


def _coded(sound: Sound) -> Sound:
    """Put a sound through 8-bit mu-law."""
    peak = np.abs(sound).max() + 1e-9
    whole = np.round(127 * np.sign(sound) * np.log1p(255 * np.abs(sound) / peak) / np.log(256))
    size = np.expm1(np.abs(whole) / 127 * np.log(256)) / 255
    return np.asarray(np.sign(whole) * size * peak, np.float32)


def _unchanged(sound: Sound) -> Sound:
    return sound


def _loudness(sound: Sound) -> float:
    """Give the RMS of the louder half."""
    power = np.sort(np.square(sound))
    return float(np.sqrt(power[len(power) // 2 :].mean()))


def _lines(path: Path) -> list[dict[str, object]]:
    return [json.loads(line) for line in path.read_text("utf-8").splitlines()]


def _units(phones: object) -> list[int]:
    return [INDEX[phone] for phone in phones]  # type: ignore[attr-defined]


def _cut(sound: npt.NDArray[np.int16], start: int, n: int) -> Sound:
    return np.asarray(sound[start : start + n], np.float32) / np.float32(32768)


def _words(sound: npt.NDArray[np.int16], entry: dict[str, object]) -> list[Piece]:
    """Cut a sentence into words, half way between the frames of two of them."""
    spans, start, n = entry["frames"], entry["start"], entry["n"]
    found = []
    for place, (first, last) in enumerate(spans):
        begin = (spans[place - 1][1] + first + 1) * STEP_S / 2 if place else 0.0
        end = (
            (last + spans[place + 1][0] + 1) * STEP_S / 2 if place + 1 < len(spans) else n / RATE_HZ
        )
        begin = max(begin, first * STEP_S - BEFORE_S, 0.0)
        end = min(end, last * STEP_S + AFTER_S)
        a, b = int(begin * RATE_HZ), int(end * RATE_HZ)
        found.append(Piece(_cut(sound, start + a, b - a), _units(entry["phones"][place])))
    return found


def hear(
    pieces: list[Piece], field: Field, encoder: Encoder, rng: random.Random
) -> list[tuple[Frames, list[int]]]:
    """Disturb some pieces together, and encode each; frames of shape (n, 288), and units."""
    leads = [int(rng.uniform(*LEAD_S) * RATE_HZ) for _ in pieces]
    n = max(len(piece.sound) + lead for piece, lead in zip(pieces, leads, strict=True))
    n = -(-(n + int(LEFT_S * RATE_HZ)) // STEP) * STEP
    sound = np.zeros((len(pieces), n), np.float32)
    for row, piece, lead in zip(sound, pieces, leads, strict=True):
        row[lead : lead + len(piece.sound)] = piece.sound
    quick, speeds = field.respeed(torch.from_numpy(sound))
    heard = []
    for noisy, piece, lead, speed in zip(field(quick).numpy(), pieces, leads, speeds, strict=True):
        end = (lead + len(piece.sound)) / float(speed) + rng.uniform(*TAIL_S) * RATE_HZ
        heard.append((encoder.encode(noisy[: int(end)]).astype(np.float16), piece.units))
    return heard


def main() -> None:
    """Put together, disturb and encode for so many hours of sound."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("folder", type=Path)
    asked.add_argument("bank", type=Path)
    asked.add_argument("out", type=Path)
    asked.add_argument("--hours", type=float, default=10.0)
    asked.add_argument("--seed", type=int, default=0)
    given = asked.parse_args()
    torch.set_num_threads(1)
    rng = random.Random(given.seed)  # noqa: S311 - what is drawn is no secret
    material = Material(given.folder, given.bank, rng)
    field, encoder = Field(torch.Generator().manual_seed(given.seed)), Encoder()
    heard: dict[str, list[tuple[Frames, list[int]]]] = {kind: [] for kind in SHARES}
    frames = 0
    while frames * STEP_S < 3600 * given.hours:
        kind = rng.choices(list(SHARES), list(SHARES.values()))[0]
        pieces = sorted((material.draw(kind) for _ in range(ROWS)), key=lambda p: len(p.sound))
        found = hear(pieces, field, encoder, rng)
        frames += sum(len(each) for each, _ in found)
        heard[kind] += found
    given.out.mkdir(parents=True, exist_ok=True)
    for kind, each in heard.items():
        kept(given.out / f"{kind}.npz", each)
        sys.stdout.write(f"{kind}: {len(each)} stretches\n")


if __name__ == "__main__":
    main()
