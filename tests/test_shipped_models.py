"""The shipped models on spoken clips: the encoder's, and the numbers model by Vosk's runtime."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from calllog.audio import RATE_HZ, Utterance
from calllog.commands.engine import Engine, make_recogniser
from calllog.recognise import Recogniser, understand
from calllog.resources import ENCODER_MODEL, NUMBERS_MODEL, model_folder
from calllog.spoken import Grammar, Meaning, Parser
from calllog.values import Expectation, Outcome
from tests.audio.clips import ALL, clip, hiss
from tests.audio.clips import heard as heard_in
from tests.audio.hearing import LIMIT, expected_of, listen, name_of, talk
from tests.bench.voices import pink, wind
from tests.heard_once import encoder_once

pytestmark = pytest.mark.slow

CALLS = [path for path in ALL if not path.stem.startswith("reject_")]
LARGEST = 9_200_000
"""Bytes that both may take in the repository."""


@pytest.fixture(scope="module")
def once(grammar: Grammar, heard: Path) -> Iterator[Recogniser]:
    """Open the encoder model, whose answers serve other tests of the run too."""
    with encoder_once(heard, grammar) as recogniser:
        yield recogniser


@pytest.fixture(scope="module")
def numbers() -> Iterator[Recogniser]:
    """Open the numbers model, with its fixed graph."""
    with make_recogniser(Engine.NUMBERS, None) as recogniser:
        yield recogniser


def utterance(samples: np.typing.NDArray[np.float32]) -> Utterance:
    """Make an utterance of samples, with faint hiss before it."""
    return Utterance(
        samples=samples,
        lead=hiss(0.83),
        start_s=0.0,
        end_s=len(samples) / RATE_HZ,
        channel=0,
        source="test",
        is_cut=False,
    )


def test_models_are_small_and_named(once: Recogniser, numbers: Recogniser) -> None:
    """Both travel in the repository, and the journal learns which one it was."""
    opened = {ENCODER_MODEL: once, NUMBERS_MODEL: numbers}
    paths = [path for name in opened for path in model_folder(name).rglob("*")]
    assert sum(path.stat().st_size for path in paths if path.is_file()) <= LARGEST
    assert all(name in recogniser.identity for name, recogniser in opened.items())


@pytest.mark.parametrize("path", CALLS, ids=name_of)
def test_each_clip_is_heard_as_its_name_says_or_asked(
    once: Recogniser, parser: Parser, path: Path
) -> None:
    """The name of a clip is its transcript: another value is never taken."""
    expects = expected_of(path.stem)
    meant = parser.parse(path.stem.replace("_", " "), expects, LIMIT)
    assert isinstance(meant, Meaning)
    (got,) = listen(once, parser, path, expects)
    if got.outcome is not Outcome.ASK:
        assert (got.kind, got.value, got.name) == (meant.kind, meant.value, meant.name)
        assert (got.amount, got.note) == (meant.amount, meant.note)


def test_most_clips_are_taken(once: Recogniser, parser: Parser) -> None:
    """It asks about few of the clips: refusing all of them would be no answer."""
    found = [got for path in CALLS for got in listen(once, parser, path, expected_of(path.stem))]
    asked = sum(got.outcome is Outcome.ASK for got in found)
    assert asked <= 0.2 * len(CALLS), f"{asked} of {len(CALLS)}"


@pytest.mark.parametrize(("path", "expects"), list(talk()))
def test_talk_is_no_call(
    once: Recogniser, parser: Parser, path: Path, expects: Expectation
) -> None:
    """A sentence that the grammar does not know must book nothing."""
    assert all(got.outcome is not Outcome.CALL for got in listen(once, parser, path, expects))


@pytest.mark.parametrize(
    ("seconds", "expects"),
    [(0.3, each) for each in Expectation]
    + [(1.0, each) for each in Expectation]
    + [(4.0, Expectation.WHOLE), (4.0, Expectation.ANY)],
)
@pytest.mark.parametrize("noise", [pink, wind])
def test_noise_is_no_call(
    once: Recogniser, parser: Parser, noise: object, seconds: float, expects: Expectation
) -> None:
    """A gust that the detector took for speech must book nothing."""
    make = wind if noise is wind else pink
    samples = make(int(seconds * RATE_HZ), np.random.default_rng(4)) * np.float32(0.05)
    got = understand(parser, once.recognise(utterance(samples), expects), expects, LIMIT)
    assert got.outcome is not Outcome.CALL


@pytest.mark.parametrize("size", [0, 1, 200, 512, RATE_HZ, 8 * RATE_HZ])
def test_digital_silence_is_no_call(once: Recogniser, parser: Parser, size: int) -> None:
    """A muted microphone books nothing, however long it is muted."""
    found = once.recognise(utterance(np.zeros(size, np.float32)), Expectation.FRACTION)
    got = understand(parser, found, Expectation.FRACTION, LIMIT)
    assert got.outcome is not Outcome.CALL


def test_full_scale_does_not_wrap_round(once: Recogniser, parser: Parser) -> None:
    """A microphone driven into clipping is heard, or not, but as no other value."""
    (said,) = heard_in(clip("flite-rms", "forty_two"))
    loud = np.clip(said.samples * 200.0, -1.0, 1.0).astype(np.float32)
    found = once.recognise(utterance(loud), Expectation.FRACTION)
    assert sum(each.probability for each in found) <= 1.0 + 1e-9
    assert understand(parser, found, Expectation.FRACTION, LIMIT).value in {42, None}


def test_half_a_word_is_not_the_whole_call(once: Recogniser, parser: Parser) -> None:
    """A call cut off in its first word cannot be heard as what it would have become."""
    (said,) = heard_in(clip("flite-rms", "fifteen_forty_two"))
    half = utterance(said.samples[: len(said.samples) // 3])
    found = once.recognise(half, Expectation.READING)
    assert understand(parser, found, Expectation.READING, LIMIT).value != 1542


def test_the_numbers_model_hears_most_clips_right(numbers: Recogniser, parser: Parser) -> None:
    """Nine tenths of the clips come out of Vosk's runtime with the meaning of their names.

    Its graph is that of any call, so that it knows less of what is expected.
    """
    right = 0
    for path in CALLS:
        expects = expected_of(path.stem)
        meant = parser.parse(path.stem.replace("_", " "), expects, LIMIT)
        assert isinstance(meant, Meaning)
        found = listen(numbers, parser, path, expects)
        right += any((got.kind, got.value) == (meant.kind, meant.value) for got in found)
    assert right >= 0.9 * len(CALLS), f"{right} of {len(CALLS)}"
