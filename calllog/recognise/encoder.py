"""A speech encoder that others trained, and a small network of ours behind it; shell.

The encoder is that of Moonshine "tiny-en" (Jeffries et al., "Moonshine: speech recognition for live
transcription and voice commands", 2024, arXiv:2410.15608; MIT licence), which learned from many
thousand hours of people; its file is in PyPI's package ``moonshine-voice``, of which nothing else
is used. It hears the waveform and gives 288 values each 24 ms. What calls are made of, our network
reads out of these: a few convolutions and a softmax over phones, the units.
"""

from __future__ import annotations

import hashlib
import importlib.metadata
import io
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from numpy.lib.stride_tricks import sliding_window_view

from calllog.errors import ModelError
from calllog.recognise.ort_outputs import with_outputs
from calllog.recognise.ort_weights import with_changes
from calllog.system import SYSTEM

PACKAGE, FILE = "moonshine-voice", "moonshine_voice/assets/tiny-en/encoder_model.ort"
NEXT_STEP = (
    "install calllog again with all that it needs: pip install --force-reinstall and the name of"
    " its wheel"
)
LOUDNESS = 0.05
"""RMS, of full scale, that a whole sound is brought to."""
QUIETEST = 1e-5
WIDTH = 288
"""Values in a frame."""
INNER = tuple(f"/layers.{each}/input_layernorm/LayerNormalization_output_0" for each in range(6))
"""What each of its layers reads, by name in its file."""
VOICES = (3,)
"""Of all layers the fourth tells the words of one known person apart best."""
SILENT = 4
"""The runtime tells of nothing but its own end."""
SHORTEST = 1_200
"""Samples below which the encoder's own filters find nothing."""
STEP_S = 0.024
"""Time from one frame of the encoder's output to the next."""
VARIANCE_FLOOR = 1e-5
BROKEN = (ValueError, KeyError, EOFError, OSError, zipfile.BadZipFile)
"""What reading a file of arrays raises that is none, or not the one that is meant."""

Array = npt.NDArray[np.float32]
Sound = npt.NDArray[np.float32] | npt.NDArray[np.float64]


def model_bytes(path: Path) -> bytes:
    """Read a file.

    Raises:
        ModelError: it cannot be read.
    """
    try:
        return path.read_bytes()
    except OSError as error:
        raise ModelError(
            f"the file cannot be read: {error.strerror}", where=str(path), next_step=NEXT_STEP
        ) from error


def encoder_file() -> Path:
    """Find the encoder's file in the installed package, which is not imported.

    Raises:
        ModelError: the package, or the file in it, is not there.
    """
    try:
        package = importlib.metadata.distribution(PACKAGE)
    except importlib.metadata.PackageNotFoundError as error:
        raise ModelError(f"the package {PACKAGE} is not installed", next_step=NEXT_STEP) from error
    return Path(str(package.locate_file(FILE)))


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """A convolution over time."""

    weights: Array
    """Shape (width · inputs, outputs), the earliest frame first."""
    bias: Array
    width: int


class Encoder:
    """The encoder, ready for use.

    Args:
        path: its file; by default that of the installed package.
        changes: a file of what is added to its weights (`calllog.recognise.ort_weights`).

    Raises:
        ModelError: a file is missing or broken, or the changes are for another encoder.
    """

    def __init__(self, path: Path | None = None, changes: Path | None = None) -> None:
        import onnxruntime  # noqa: PLC0415 - heavy, and not everybody listens with it

        path = path or encoder_file()
        model = model_bytes(path)
        self.digest = hashlib.sha256(model).hexdigest()
        """SHA-256 of the file."""
        self.changes = ""
        """SHA-256 of the file of what is added, if there is one."""
        if changes:
            data = model_bytes(changes)
            self.changes = hashlib.sha256(data).hexdigest()
            model = _changed(model, data, changes)
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = options.inter_op_num_threads = 1
        options.log_severity_level = SILENT
        options.enable_cpu_mem_arena = False
        try:
            self._session = onnxruntime.InferenceSession(
                with_outputs(model, INNER), options, providers=["CPUExecutionProvider"]
            )
            self._names = [each.name for each in self._session.get_outputs()]
        except Exception as error:
            raise ModelError(
                "this is no encoder that can be run", where=str(path), next_step=NEXT_STEP
            ) from error
        del model
        SYSTEM.free_memory()  # the network was copied while it was changed

    def encode(self, sound: Sound) -> Array:
        """Hear a sound.

        Args:
            sound: shape (n,), 16 kHz, any scale.

        Returns:
            Shape (about n // 384, 288); no frames of less than 75 ms.
        """
        (frames,) = self._run(sound, self._names[:1])
        return frames

    def encode_deep(self, sound: Sound, layers: Sequence[int] = VOICES) -> tuple[Array, ...]:
        """Hear a sound; give the values of inner layers too.

        Args:
            sound: as for `encode`.
            layers: which, from 0.

        Returns:
            What `encode` gives; for each layer what it reads (`INNER`) of each of these frames,
            brought to mean 0 and variance 1, the same shape.
        """
        names = [self._names[0], *(INNER[each] for each in layers)]
        frames, *inner = self._run(sound, names)
        return frames, *(normalised(each) for each in inner)

    def _run(self, sound: Sound, names: list[str]) -> list[Array]:
        if len(sound) < SHORTEST:
            return [np.zeros((0, WIDTH), np.float32) for _ in names]
        samples = np.asarray(sound, np.float32)
        level = float(np.sqrt(np.mean(np.square(samples, dtype=np.float64))))
        samples = samples * np.float32(LOUDNESS / max(level, QUIETEST))
        given = {
            "input_values": samples[None],
            "attention_mask": np.ones((1, len(samples)), np.int64),
        }
        return [each[0] for each in self._session.run(names, given)]


def read_arrays(data: bytes) -> dict[str, Any]:
    """Read the arrays of a file by their names."""
    with np.load(io.BytesIO(data)) as kept:
        return {name: kept[name] for name in kept.files}


def read_layers(arrays: dict[str, Any]) -> list[Layer]:
    """Read all layers of a network in their order: the first, the blocks, the last."""
    blocks = len({name.partition(".")[0] for name in arrays} - {"first", "last"})
    names = ("first", *(f"block{index}" for index in range(blocks)), "last")
    return [read_layer(arrays, name) for name in names]


def _changed(model: bytes, data: bytes, path: Path) -> bytes:
    """Change the encoder's weights by what a file of changes holds."""
    try:
        return with_changes(model, read_arrays(data))
    except BROKEN as error:
        raise ModelError(
            f"these are no changes of the speech encoder: {error}",
            where=str(path),
            next_step=NEXT_STEP,
        ) from error


class EncoderHead:
    """The network behind the encoder.

    Args:
        path: its file, as ``models/training`` writes it.

    Raises:
        ModelError: the file is missing or broken.
    """

    def __init__(self, path: Path) -> None:
        data = model_bytes(path)
        try:
            arrays = read_arrays(data)
            self._first, *self._blocks, self._last = read_layers(arrays)
            self.units = len(self._last.bias)
            """How many units it tells apart, the blank among them."""
            self.values = len(self._last.weights) // self._last.width
            """How many values its last layer reads in a frame."""
            self.log_probabilities(np.zeros((1, WIDTH), np.float32))
        except BROKEN as error:
            raise ModelError(
                f"this is no network to stand behind the encoder: {error}",
                where=str(path),
                next_step=NEXT_STEP,
            ) from error
        self.digest = hashlib.sha256(data).hexdigest()
        """SHA-256 of the file."""

    def log_probabilities(self, frames: Array) -> Array:
        """Give the log-probability of each unit; shape (n, 288) to (n, units)."""
        return self.outputs(self.hidden(frames))

    def hidden(self, frames: Array) -> Array:
        """Give what the last layer reads; shape (n, 288) to (n, values)."""
        if not len(frames):
            return np.zeros((0, self.values), np.float32)
        hidden: Array = np.maximum(convolved(normalised(frames), self._first), 0.0)
        for block in self._blocks:
            hidden = hidden + np.maximum(convolved(normalised(hidden), block), 0.0)
        return hidden

    @property
    def last(self) -> tuple[Array, Array]:
        """Weights, shape (values, units), and bias, shape (units,), of the last layer."""
        return self._last.weights, self._last.bias

    def outputs(self, hidden: Array, added: Array | None = None) -> Array:
        """Give the log-probability of each unit; shape (n, values) to (n, units).

        Args:
            hidden: what `hidden` gave.
            added: to the logits for a voice, shape (n, units).
        """
        if not len(hidden):
            return np.zeros((0, self.units), np.float32)
        logits = convolved(hidden, self._last)
        if added is not None:
            logits += added
        logits -= logits.max(axis=1, keepdims=True)
        outputs: Array = logits - np.log(np.exp(logits).sum(axis=1, keepdims=True))
        return outputs


def read_layer(arrays: dict[str, npt.NDArray[np.generic]], name: str) -> Layer:
    """Read a layer, whose weights are whole numbers times a scale for each output."""
    whole, scale, bias = (arrays[f"{name}.{part}"] for part in ("weights", "scale", "bias"))
    weights = whole.astype(np.float32) * scale.astype(np.float32)
    flat = np.ascontiguousarray(weights.reshape(-1, bias.size))
    return Layer(flat, bias.astype(np.float32), len(weights))


def normalised(frames: Array) -> Array:
    """Bring each frame to mean 0 and variance 1 (layer normalisation)."""
    centred = frames - frames.mean(axis=1, keepdims=True)
    variance = np.square(centred).mean(axis=1, keepdims=True)
    result: Array = centred / np.sqrt(variance + VARIANCE_FLOOR)
    return result


def convolved(frames: Array, layer: Layer) -> Array:
    """Apply a layer; beyond both ends there is nothing."""
    reach = layer.width // 2
    padded = np.pad(frames, ((reach, reach), (0, 0)))
    windows = sliding_window_view(padded, layer.width, axis=0).transpose(0, 2, 1)
    result: Array = windows.reshape(len(frames), -1) @ layer.weights + layer.bias
    return result
