"""The folder of a numbers model in; its features, network, units and pronunciations out; shell.

The folder is laid out as Vosk wants it (``am/final.mdl``, ``conf/``, ``graph/``), with two files
of its own: ``units.txt`` names the network's outputs, ``lexicon.txt`` spells words in them.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from calllog.errors import ModelError
from calllog.recognise.kaldi_model import NEXT_STEP, read_network
from calllog.recognise.mfcc import MfccSettings, read_settings
from calllog.recognise.network import Network
from calllog.recognise.word_sums import BLANK, Units

BLANK_NAME = "<blk>"
_STEP = "--frame-subsampling-factor="


@dataclass(frozen=True, slots=True, eq=False)
class NumbersModel:
    """A numbers model, ready for use."""

    settings: MfccSettings
    network: Network
    step: int
    """Frames of cepstra for each frame of the network's output."""
    units: tuple[str, ...]
    """Names of the network's outputs, the blank first."""
    pronunciations: dict[str, tuple[Units, ...]]
    identity: str
    """Name of the folder and 12 digits of its final.mdl's SHA-256."""


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
    acoustic = folder / "am" / "final.mdl"
    data = _bytes(acoustic)
    network = Network(read_network(data, str(acoustic)), str(acoustic))
    mfcc_conf = folder / "conf" / "mfcc.conf"
    settings = read_settings(_text(mfcc_conf), str(mfcc_conf))
    if settings.ceps != network.ceps:
        raise ModelError(
            f"{settings.ceps} cepstra a frame, but the network takes {network.ceps}",
            where=str(mfcc_conf),
            next_step=NEXT_STEP,
        )
    units = _read_units(folder / "units.txt", network.units)
    digest = hashlib.sha256(data).hexdigest()
    return NumbersModel(
        settings=settings,
        network=network,
        step=_read_step(folder / "conf" / "model.conf"),
        units=units,
        pronunciations=_read_lexicon(folder / "lexicon.txt", units, wanted),
        identity=f"{folder.resolve().name}, final.mdl {digest[:12]}",
    )


def _bytes(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise ModelError(
            f"the file cannot be read: {error.strerror}", where=str(path), next_step=NEXT_STEP
        ) from error


def _text(path: Path) -> str:
    try:
        return _bytes(path).decode("utf-8")
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
