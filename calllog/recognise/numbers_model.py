"""The folder of a numbers model in; what hears, its units and pronunciations out; shell.

``units.txt`` names the network's outputs, ``lexicon.txt`` spells words in them. The rest of the
folder is laid out as Vosk wants it (``am/final.mdl``, ``conf/``, ``graph/``), or is ``head.npz``, a
network that stands behind a speech encoder.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from calllog.errors import ModelError
from calllog.recognise.calibration_file import read_calibration
from calllog.recognise.encoder import STEP_S, Encoder, Head
from calllog.recognise.evidence import CALIBRATION, ENCODER_CALIBRATION, Calibration
from calllog.recognise.kaldi_model import NEXT_STEP, read_network
from calllog.recognise.mfcc import RATE_HZ, SHIFT, mfcc, read_settings
from calllog.recognise.model_files import model_bytes
from calllog.recognise.network import Network
from calllog.recognise.word_sums import BLANK, Units

BLANK_NAME = "<blk>"
HEAD = "head.npz"
_STEP = "--frame-subsampling-factor="


Sound = npt.NDArray[np.float32] | npt.NDArray[np.float64]
Array = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class NumbersModel:
    """A numbers model, ready for use."""

    hear: Callable[[Sound], Array]
    """Sound of shape (n,), 16 kHz, to the log-probability of each unit, shape (frames, units)."""
    step_s: float
    """Time from one frame of the output to the next."""
    units: tuple[str, ...]
    """Names of the network's outputs, the blank first."""
    pronunciations: dict[str, tuple[Units, ...]]
    identity: str
    """Name of the folder and 12 digits of the SHA-256 of what it was made of."""
    head: Head | None = None
    """The network behind a speech encoder; None where there is none."""
    encoder: Encoder | None = None
    """The speech encoder."""
    own_calibration: Calibration | None = None
    """What turns its likelihoods into probabilities, if its folder says so."""

    @property
    def calibration(self) -> Calibration:
        """What turns its likelihoods into probabilities: its own, or that of its kind."""
        usual = ENCODER_CALIBRATION if self.has_encoder else CALIBRATION
        return self.own_calibration or usual

    @property
    def has_encoder(self) -> bool:
        """Whether its network stands behind a speech encoder."""
        return self.encoder is not None

    def hidden(self, sound: Sound) -> Array:
        """Give what the last layer of the head reads; shape (n,), 16 kHz, to (frames, values).

        Raises:
            ModelError: it has no head.
        """
        if self.head is None or self.encoder is None:
            raise ModelError("this model has no speech encoder", next_step=NEXT_STEP)
        return self.head.hidden(self.encoder.encode(sound))


def load_numbers_model(folder: Path, wanted: frozenset[str]) -> NumbersModel:
    """Load a numbers model.

    Args:
        folder: where it is.
        wanted: the words that it must know; others are left out.

    Raises:
        ModelError: a file is missing or broken, the files do not fit each other, or a wanted word
            has no pronunciation.
    """
    if not folder.is_dir():
        raise ModelError(
            "there is no numbers model here",
            where=str(folder),
            next_step="reinstall calllog, or give a model's folder with --model",
        )
    if (folder / HEAD).exists():
        head, encoder = Head(folder / HEAD), Encoder()
        loaded = _behind_encoder(head, encoder)
    else:
        head, encoder, loaded = None, None, _in_vosk_layout(folder)
    hear, step_s, outputs, identity = loaded
    units = _read_units(folder / "units.txt", outputs)
    return NumbersModel(
        hear=hear,
        step_s=step_s,
        units=units,
        pronunciations=_read_lexicon(folder / "lexicon.txt", units, wanted),
        identity=f"{folder.resolve().name}, {identity}",
        head=head,
        encoder=encoder,
        own_calibration=read_calibration(folder),
    )


_Loaded = tuple[Callable[[Sound], Array], float, int, str]


def _behind_encoder(head: Head, encoder: Encoder) -> _Loaded:
    def hear(sound: Sound) -> Array:
        return head.log_probabilities(encoder.encode(sound))

    identity = f"{HEAD} {head.digest[:12]}, encoder {encoder.digest[:12]}"
    return hear, STEP_S, head.units, identity


def _in_vosk_layout(folder: Path) -> _Loaded:
    acoustic = folder / "am" / "final.mdl"
    data = model_bytes(acoustic)
    network = Network(read_network(data, str(acoustic)), str(acoustic))
    mfcc_conf = folder / "conf" / "mfcc.conf"
    settings = read_settings(_text(mfcc_conf), str(mfcc_conf))
    if settings.ceps != network.ceps:
        raise ModelError(
            f"{settings.ceps} cepstra a frame, but the network takes {network.ceps}",
            where=str(mfcc_conf),
            next_step=NEXT_STEP,
        )
    step = _read_step(folder / "conf" / "model.conf")

    def hear(sound: Sound) -> Array:
        return network.log_probabilities(mfcc(sound, settings), step)

    digest = hashlib.sha256(data).hexdigest()
    return hear, step * SHIFT / RATE_HZ, network.units, f"final.mdl {digest[:12]}"


def _text(path: Path) -> str:
    try:
        return model_bytes(path).decode("utf-8")
    except UnicodeDecodeError as error:
        raise ModelError(
            f"the file is no text: {error}", where=str(path), next_step=NEXT_STEP
        ) from error


def _read_step(path: Path) -> int:
    for line in _text(path).splitlines():
        value = line.strip().removeprefix(_STEP)
        if line.startswith(_STEP) and value.isdecimal() and int(value):
            return int(value)
    raise ModelError(f"no line {_STEP} with a number", where=str(path), next_step=NEXT_STEP)


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
            next_step="add a line for each: the word and its units, separated by blanks",
        )
    return found
