"""Writes models as Kaldi does, for tests: values in, bytes out; and a model that hears tones."""

from __future__ import annotations

import struct
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pocketsphinx

from calllog.recognise.mfcc import mfcc, read_settings

Matrix = npt.NDArray[np.float32]
RATE_HZ = 16_000
MFCC_CONF = """--use-energy=false
--num-mel-bins=40
--num-ceps=40
--low-freq=20
--high-freq=7600
"""
MODEL_CONF = "--acoustic-scale=1.0\n--frame-subsampling-factor=3\n"
NO_PARTS = b"FV \x04\0\0\0\0"


def integer(value: int) -> bytes:
    """Write an integer."""
    return b"\4" + struct.pack("<i", value)


def single(value: float) -> bytes:
    """Write a number of four bytes."""
    return b"\4" + struct.pack("<f", value)


def vector(values: npt.ArrayLike) -> bytes:
    """Write a vector."""
    row = np.asarray(values, "<f4")
    return b"FV " + integer(len(row)) + row.tobytes()


def matrix(values: npt.ArrayLike) -> bytes:
    """Write a matrix."""
    rows = np.asarray(values, "<f4")
    return b"FM " + integer(rows.shape[0]) + integer(rows.shape[1]) + rows.tobytes()


def affine(weights: npt.ArrayLike | bytes, bias: npt.ArrayLike = ()) -> tuple[str, bytes]:
    """Write an affine layer; its matrix may be written already."""
    written = weights if isinstance(weights, bytes) else matrix(weights)
    return (
        "NaturalGradientAffineComponent",
        b"<MaxChange> " + single(0.75) + b"<LinearParams> " + written
        # The last of these tokens has two numbers.
        + b"<BiasParams> " + vector(bias) + b"<Alpha> " + single(4.0) + single(2.0),
    )  # fmt: skip


def tdnn(
    weights: npt.ArrayLike, offsets: tuple[int, ...], bias: npt.ArrayLike = ()
) -> tuple[str, bytes]:
    """Write a layer that reads some frames about each."""
    return (
        "TdnnComponent",
        b"<TimeOffsets> \4" + struct.pack(f"<{len(offsets) + 1}i", len(offsets), *offsets)
        + b"<LinearParams> " + matrix(weights) + b"<BiasParams> " + vector(bias)
        + b"<UseNaturalGradient> T",
    )  # fmt: skip


def normalisation(mean: npt.ArrayLike, variance: npt.ArrayLike, rms: float) -> tuple[str, bytes]:
    """Write a batch normalisation."""
    width = len(np.asarray(mean))
    return (
        "BatchNormComponent",
        b"<Dim> " + integer(width) + b"<BlockDim> " + integer(width) + b"<Epsilon> "
        + single(0.001) + b"<TargetRms> " + single(rms) + b"<TestMode> F<Count> \x08"
        + struct.pack("<d", 9.0) + b"<StatsMean> " + vector(mean) + b"<StatsVar> "
        + vector(variance),
    )  # fmt: skip


def plain(kind: str, width: int) -> tuple[str, bytes]:
    """Write a component without parameters."""
    return kind, b"<Dim> " + integer(width) + b"<ValueAvg> " + NO_PARTS + b"<Continuous> "


TONE_S, PAUSE_S = 0.09, 0.05
FADE_S = 0.02
"""Tones rise and fall for so long, so that they do not click."""
RELU, SOFTMAX = "RectifiedLinearComponent", "LogSoftmaxComponent"


def model_bytes(config: str, components: dict[str, tuple[str, bytes]]) -> bytes:
    """Write a model: a transition model of no content, then the network."""
    written = b"".join(
        f"<ComponentName> {name} <{kind}> ".encode() + content + f"</{kind}> ".encode()
        for name, (kind, content) in components.items()
    )
    return (
        b"\0B<TransitionModel> <Topology> \4\0\0\0\0</Topology> </TransitionModel> <Nnet3> \n"
        + config.encode() + b"\n\n<NumComponents> " + integer(len(components)) + written
        + b"</Nnet3> <LeftContext> " + integer(0) + b"<RightContext> " + integer(0)
        + b"<Priors> " + NO_PARTS
    )  # fmt: skip


def chain(names: tuple[str, ...], reads: str, ceps: int) -> str:
    """Write the configuration of components one after the other."""
    lines = [f"input-node name=input dim={ceps}"]
    for name in names:
        lines.append(f"component-node name={name} component={name} input={reads}")
        reads = name
    return "\n".join([*lines, f"output-node name=output input={reads} objective=linear"])


def dictionary(words: frozenset[str]) -> dict[str, tuple[tuple[str, ...], ...]]:
    """Look words up in the dictionary that comes with PocketSphinx: their phones."""
    path = Path(pocketsphinx.get_model_path()) / "en-us" / "cmudict-en-us.dict"
    found: dict[str, tuple[tuple[str, ...], ...]] = {}
    for line in path.read_text("utf-8").splitlines():
        word, *phones = line.split()
        word = word.partition("(")[0]
        if word in words:
            found[word] = (*found.get(word, ()), tuple(phones))
    return found


class ToneModel:
    """A model folder for a language whose phones are tones, and a voice that speaks it.

    The network is two affine layers fitted to tones by least squares.

    Args:
        folder: where the model is written.
        words: what it must know.
    """

    def __init__(self, folder: Path, words: frozenset[str]) -> None:
        self._folder = folder
        self._ways = dictionary(words)
        phones = sorted({phone for ways in self._ways.values() for way in ways for phone in way})
        mels = np.linspace(200.0, 2700.0, len(phones))
        self._hz = dict(zip(phones, 700.0 * np.expm1(mels / 1127.0), strict=True))
        self._units = ("<blk>", *phones)
        self._write(self._fit())

    def say(self, text: str) -> Matrix:
        """Speak words: a tone for each phone, pauses between, 0.2 s of silence about all."""
        phones = [phone for word in text.split() for phone in self._ways[word][0]]
        sound = self._tones(phones, 0.3)
        hiss = 1e-3 * np.random.default_rng(len(text)).standard_normal(len(sound))
        return (sound + hiss).astype(np.float32)

    def _tones(self, phones: Sequence[str], amplitude: float) -> npt.NDArray[np.float64]:
        times_s = np.arange(int(TONE_S * RATE_HZ)) / RATE_HZ
        fade = amplitude * np.clip(np.minimum(times_s, times_s[::-1]) / FADE_S, 0.0, 1.0)
        silence, pause = np.zeros(RATE_HZ // 5), np.zeros(int(PAUSE_S * RATE_HZ))
        parts = [silence]
        for phone in phones:
            parts += [fade * np.sin(2 * np.pi * self._hz[phone] * times_s), pause]
        return np.concatenate([*parts, silence])

    def _fit(self) -> Matrix:
        """Fit the units of each frame, given with its neighbours, on all phones in a row."""
        settings = read_settings(MFCC_CONF, "mfcc.conf")
        rng = np.random.default_rng(7)
        unit_of = {phone: unit for unit, phone in enumerate(self._units)}
        rows, targets = [], []
        for amplitude in (0.05, 0.1, 0.15, 0.2) * 3:
            phones = rng.permutation(self._units[1:]).tolist()
            sound = self._tones(phones, amplitude)
            frames = mfcc(sound + amplitude / 300 * rng.standard_normal(len(sound)), settings)
            centre_s = 0.0125 + 0.01 * np.arange(1, len(frames) - 1) - 0.2
            which, into_s = np.divmod(centre_s, TONE_S + PAUSE_S)
            spoken = (which >= 0) & (which < len(phones)) & (into_s < TONE_S)
            rows.append(np.hstack([frames[:-2], frames[1:-1], frames[2:]]))
            targets += [
                unit_of[phones[int(place)]] if is_spoken else 0
                for place, is_spoken in zip(which, spoken, strict=True)
            ]
        read = np.hstack([np.concatenate(rows), np.ones((len(targets), 1))])
        wanted = 12.0 * np.eye(len(self._units))[targets]
        eased = read.T @ read + 10.0 * np.eye(read.shape[1])
        return np.linalg.solve(eased, read.T @ wanted).T.astype(np.float32)

    def _write(self, weights: Matrix) -> None:
        count = len(self._units)
        names = ("lda", "output.affine", "output.log-softmax")
        config = chain(names, "Append(Offset(input, -1), input, Offset(input, 1))", 40)
        components = (
            affine(weights[:, :-1], weights[:, -1]),
            affine(np.eye(count), np.zeros(count)),
            plain(SOFTMAX, count),
        )
        for place in ("am", "conf"):
            (self._folder / place).mkdir(parents=True)
        data = model_bytes(config, dict(zip(names, components, strict=True)))
        (self._folder / "am" / "final.mdl").write_bytes(data)
        (self._folder / "conf" / "mfcc.conf").write_text(MFCC_CONF, "utf-8")
        (self._folder / "conf" / "model.conf").write_text(MODEL_CONF, "utf-8")
        units = "".join(f"{name} {index}\n" for index, name in enumerate(self._units))
        (self._folder / "units.txt").write_text(units, "utf-8")
        lexicon = "".join(
            f"{word} {' '.join(way)}\n" for word, ways in self._ways.items() for way in ways
        )
        (self._folder / "lexicon.txt").write_text(lexicon, "utf-8")
