"""The folder of an encoder model in; what hears, its units and pronunciations out; shell.

``units.txt`` names the network's outputs, ``lexicon.txt`` spells words in them, and ``head.npz`` is
the network that stands behind the speech encoder; ``encoder.npz``, if it is there, what is added to
the encoder's own weights, and ``at_once.npz`` what tells two voices at once. For
``calibration.json`` see
`calllog.recognise.calibration_file`.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from calllog.errors import ModelError
from calllog.recognise.at_once import AtOnceNetwork
from calllog.recognise.calibration_file import read_calibration
from calllog.recognise.encoder import (
    NEXT_STEP,
    VOICES,
    Array,
    Encoder,
    EncoderHead,
    Sound,
    model_bytes,
)
from calllog.recognise.evidence import ScoreCalibration
from calllog.recognise.shift import Shift
from calllog.recognise.word_sums import BLANK, Units

BLANK_NAME = "<blk>"
HEAD, CHANGES, AT_ONCE = "head.npz", "encoder.npz", "at_once.npz"


@dataclass(frozen=True, slots=True, eq=False)
class ReadFrames:
    """What was made of a sound before any voice counts."""

    hidden: Array
    """What the last layer of the head reads, shape (frames, values)."""
    inner: Array
    """What a shift for a voice reads, shape (frames, 288); no columns where none was asked for."""
    at_once: float = 0.0
    """How likely two people speak at once (`AtOnceNetwork`); 0 where that was not asked."""


@dataclass(frozen=True, slots=True, eq=False)
class EncoderModel:
    """An encoder model, ready for use."""

    encoder: Encoder
    head: EncoderHead
    """The network behind it."""
    units: tuple[str, ...]
    """Names of the network's outputs, the blank first."""
    pronunciations: dict[str, tuple[Units, ...]]
    identity: str
    """Name of the folder and 12 digits of the SHA-256 of what it was made of."""
    calibration: ScoreCalibration
    """What turns its likelihoods into probabilities."""
    at_once: AtOnceNetwork | None = None
    """What tells two voices at once; None for a model that has none."""

    @property
    def made_of(self) -> tuple[str, str]:
        """SHA-256 of the head's file, and of the encoder's with what is added to it."""
        encoder = self.encoder.digest
        if self.encoder.changes:
            encoder = hashlib.sha256(f"{encoder} {self.encoder.changes}".encode()).hexdigest()
        return self.head.digest, encoder

    def hear(self, sound: Sound, *, for_voices: bool, for_two: bool = False) -> ReadFrames:
        """Hear a sound.

        Args:
            sound: shape (n,), 16 kHz.
            for_voices: give what a shift reads too.
            for_two: tell whether two people speak at once.
        """
        voices = VOICES if for_voices else ()
        at_once = self.at_once if for_two else None
        read = at_once.layers if at_once else ()
        layers = sorted({*voices, *read})
        frames, *values = (
            self.encoder.encode_deep(sound, layers) if layers else (self.encoder.encode(sound),)
        )
        inner = dict(zip(layers, values, strict=True))
        hidden = self.head.hidden(frames)
        return ReadFrames(
            hidden,
            inner[VOICES[0]] if voices else np.zeros((len(hidden), 0), np.float32),
            at_once.probability([inner[each] for each in read]) if at_once else 0.0,
        )

    def outputs(self, heard: ReadFrames, shift: Shift | None) -> Array:
        """Give the log-probability of each unit, by a voice or by none; shape (frames, units)."""
        added = None if shift is None else shift.logits(heard.inner)
        return self.head.outputs(heard.hidden, added)


def load_encoder_model(folder: Path, wanted: frozenset[str]) -> EncoderModel:
    """Load an encoder model.

    Args:
        folder: where it is.
        wanted: the words that it must know; others are left out.

    Raises:
        ModelError: a file is missing or broken, the files do not fit each other, or a wanted word
            has no pronunciation.
    """
    if not folder.is_dir():
        raise ModelError(
            "there is no encoder model here",
            where=str(folder),
            next_step="reinstall calllog, or give a model's folder with --model",
        )
    changes = folder / CHANGES
    head = EncoderHead(folder / HEAD)
    encoder = Encoder(changes=changes if changes.exists() else None)
    units = _read_units(folder / "units.txt", head.units)
    digests = f"{HEAD} {head.digest[:12]}, encoder {encoder.digest[:12]}"
    if encoder.changes:
        digests += f" changed by {CHANGES} {encoder.changes[:12]}"
    at_once = AtOnceNetwork(folder / AT_ONCE) if (folder / AT_ONCE).exists() else None
    if at_once:
        digests += f", {AT_ONCE} {at_once.digest[:12]}"
    return EncoderModel(
        encoder=encoder,
        head=head,
        units=units,
        pronunciations=_read_lexicon(folder / "lexicon.txt", units, wanted),
        identity=f"{folder.resolve().name}, {digests}",
        calibration=read_calibration(folder),
        at_once=at_once,
    )


def _text(path: Path) -> str:
    try:
        return model_bytes(path).decode("utf-8")
    except UnicodeDecodeError as error:
        raise ModelError(
            f"the file is no text: {error}", where=str(path), next_step=NEXT_STEP
        ) from error


def _read_units(path: Path, outputs: int) -> tuple[str, ...]:
    names: dict[str, str] = {}
    for line in _text(path).splitlines():
        name, _, index = line.strip().rpartition(" ")
        if line.strip():
            names[index] = name
    units = tuple(names.get(str(index), "") for index in range(outputs))
    problem = ""
    if len(names) != outputs or not all(units):
        problem = f"it must name the network's {outputs} outputs, each once"
    elif units[BLANK] != BLANK_NAME or len(set(units)) != outputs:
        problem = f"output {BLANK} must be {BLANK_NAME}, and no name stand twice"
    if problem:
        raise ModelError(problem, where=str(path), next_step=NEXT_STEP)
    return units


def _read_lexicon(
    path: Path, units: tuple[str, ...], wanted: frozenset[str]
) -> dict[str, tuple[Units, ...]]:
    index = {name: place for place, name in enumerate(units) if place != BLANK}
    found: dict[str, tuple[Units, ...]] = {}
    for number, line in enumerate(_text(path).splitlines(), 1):
        word, *said = line.split() or [""]
        if word not in wanted:
            continue
        unknown = [unit for unit in said if unit not in index]
        if unknown or not said:
            what = f"{unknown[0]} is no unit of the model" if unknown else f"{word} has no units"
            raise ModelError(what, where=f"{path}, line {number}", next_step=NEXT_STEP)
        way = tuple(index[unit] for unit in said)
        if way not in (ways := found.get(word, ())):
            found[word] = (*ways, way)
    if missing := sorted(wanted - found.keys()):
        raise ModelError(
            f"no pronunciation for {', '.join(missing)}",
            where=str(path),
            next_step="add a line for each: the word and its units, separated by spaces",
        )
    return found
