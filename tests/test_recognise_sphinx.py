"""The built-in engine for real: spoken clips, talk, hostile sound, its life and its model."""

from __future__ import annotations

import itertools
import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pocketsphinx
import pytest
from _pytest.mark.structures import ParameterSet

from calllog.audio import RATE_HZ, Utterance
from calllog.errors import ModelError
from calllog.recognise import Heard, Recogniser, understand
from calllog.recognise.sphinx_engine import SphinxRecogniser
from calllog.spoken import Grammar, Meaning, Parser
from calllog.values import Expectation, Kind, Outcome
from tests.audio.clips import ALL, Sound, clip, heard, hiss
from tests.bench.voices import pink, wind
from tests.heard_once import sphinx_once

pytestmark = pytest.mark.slow

LIMIT = 10_000
EXPECTED = {"fifteen_forty_two": Expectation.READING, "forty_two": Expectation.FRACTION}
"""What is expected for a clip; hundredths begin with "oh", all others are heard by the rear."""
ASKED_AGAIN = {"espeak-f3/fifteen", "espeak-f3/fifteen_forty_two"}
"""Clips of a crude tuning voice of which the engine is not sure: a question, nothing booked."""


def name_of(path: Path) -> str:
    """Name a clip by its voice and its words."""
    return f"{path.parent.name}/{path.stem}"


def talk() -> Iterator[ParameterSet]:
    """List the clips of talk under every expectation."""
    for path, expects in itertools.product(ALL, Expectation):
        if path.stem.startswith("reject_"):
            yield pytest.param(path, expects, id=f"{name_of(path)}-{expects}")


@pytest.fixture(scope="module")
def engine(grammar: Grammar) -> Iterator[SphinxRecogniser]:
    """Open the engine with the shipped grammar."""
    with SphinxRecogniser(grammar) as recogniser:
        yield recogniser


@pytest.fixture(scope="module")
def once(grammar: Grammar, heard: Path) -> Iterator[Recogniser]:
    """Open an engine whose answers serve other tests of the run too."""
    with sphinx_once(heard, grammar) as recogniser:
        yield recogniser


def utterance(samples: Sound, *, channel: int = 0, source: str = "test") -> Utterance:
    """Make an utterance of samples, with faint hiss before it."""
    return Utterance(
        samples=samples,
        lead=hiss(0.83),
        start_s=0.0,
        end_s=len(samples) / RATE_HZ,
        channel=channel,
        source=source,
        is_cut=False,
    )


def expected_of(words: str) -> Expectation:
    """Tell whose grammar a clip belongs to."""
    if words.startswith("oh_"):
        return Expectation.FRACTION
    return EXPECTED.get(words, Expectation.WHOLE)


def listen(engine: Recogniser, parser: Parser, path: Path, expects: Expectation) -> list[Heard]:
    """Hear a clip as the program does: find the utterances, recognise, understand."""
    found = [replace(u, source=str(path)) for u in heard(clip(path.parent.name, path.stem))]
    return [understand(parser, engine.recognise(u, expects), expects, LIMIT) for u in found]


@pytest.mark.parametrize(
    "path", [path for path in ALL if not path.stem.startswith("reject_")], ids=name_of
)
def test_each_clip_is_heard_as_its_name_says(once: Recogniser, parser: Parser, path: Path) -> None:
    """The name of a clip is its transcript; what is heard must mean the same."""
    expects = expected_of(path.stem)
    meant = parser.parse(path.stem.replace("_", " "), expects, LIMIT)
    assert isinstance(meant, Meaning)
    (got,) = listen(once, parser, path, expects)
    if name_of(path) in ASKED_AGAIN:
        assert got.outcome is Outcome.ASK
        return
    assert (got.kind, got.value, got.name) == (meant.kind, meant.value, meant.name)
    assert (got.amount, got.note) == (meant.amount, meant.note)
    assert got.outcome is (Outcome.IGNORED if meant.kind is Kind.CHATTER else Outcome.CALL)


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
    engine: SphinxRecogniser, parser: Parser, noise: object, seconds: float, expects: Expectation
) -> None:
    """A gust that the detector took for speech must book nothing."""
    make = wind if noise is wind else pink
    samples = make(int(seconds * RATE_HZ), np.random.default_rng(4)) * np.float32(0.05)
    got = understand(parser, engine.recognise(utterance(samples), expects), expects, LIMIT)
    assert got.outcome is not Outcome.CALL


def test_no_samples_give_no_hypothesis(engine: SphinxRecogniser) -> None:
    """An empty utterance is heard as nothing, not as a number."""
    assert engine.recognise(utterance(np.empty(0, np.float32)), Expectation.WHOLE) == ()


@pytest.mark.parametrize("size", [1, 200, 512, RATE_HZ, 8 * RATE_HZ])
def test_digital_silence_is_no_call(engine: SphinxRecogniser, parser: Parser, size: int) -> None:
    """A muted microphone books nothing, however long it is muted."""
    silent = utterance(np.zeros(size, np.float32))
    got = understand(
        parser, engine.recognise(silent, Expectation.FRACTION), Expectation.FRACTION, LIMIT
    )
    assert got.outcome is not Outcome.CALL


def test_full_scale_does_not_wrap_round(engine: SphinxRecogniser, parser: Parser) -> None:
    """A microphone driven into clipping is heard, or not, but never breaks the engine."""
    (said,) = heard(clip("flite-rms", "forty_two"))
    loud = np.clip(said.samples * 200.0, -1.0, 1.0).astype(np.float32)
    hypotheses = engine.recognise(utterance(loud), Expectation.FRACTION)
    assert sum(each.probability for each in hypotheses) == pytest.approx(1.0, abs=1e-6)
    got = understand(parser, hypotheses, Expectation.FRACTION, LIMIT)
    assert got.value in {42, None}


def test_half_a_word_is_not_the_whole_call(engine: SphinxRecogniser, parser: Parser) -> None:
    """A call cut off in its first word cannot be heard as what it would have become."""
    (said,) = heard(clip("flite-rms", "fifteen_forty_two"))
    half = utterance(said.samples[: len(said.samples) // 3])
    hypotheses = engine.recognise(half, Expectation.READING)
    assert understand(parser, hypotheses, Expectation.READING, LIMIT).value != 1542


def test_hypotheses_are_ranked_without_repetitions(engine: SphinxRecogniser) -> None:
    """The list that pairing reckons with: likeliest first, each wording once, at most 1 in all."""
    (said,) = heard(clip("flite-rms", "fifteen_forty_two"))
    found = engine.recognise(said, Expectation.READING)
    chances = [each.probability for each in found]
    assert chances == sorted(chances, reverse=True)
    assert len({each.text for each in found}) == len(found) > 1
    assert 0.0 < sum(chances) <= 1.0 + 1e-9


def test_several_in_a_row_do_not_leak(engine: SphinxRecogniser, parser: Parser) -> None:
    """Each utterance is heard for itself, under its own expectation."""
    spoken = [
        ("flite-rms", "one_hundred", Expectation.WHOLE, 10_000),
        ("flite-rms", "forty_two", Expectation.FRACTION, 42),
        ("flite-rms", "fifteen_forty_two", Expectation.READING, 1542),
        ("flite-rms", "forty_two", Expectation.FRACTION, 42),
    ]
    for speaker, words, expects, value in spoken:
        (said,) = heard(clip(speaker, words))
        assert understand(parser, engine.recognise(said, expects), expects, LIMIT).value == value


def test_live_work_hears_the_same(grammar: Grammar) -> None:
    """Two searches side by side give just what one after the other gives."""
    said = [*heard(clip("flite-rms", "fifteen_forty_two")), *heard(clip("flite-slt", "fifteen"))]
    with SphinxRecogniser(grammar) as one, SphinxRecogniser(grammar, is_live=True) as two:
        for each, expects in itertools.product(said, (Expectation.READING, Expectation.WHOLE)):
            assert one.recognise(each, expects) == two.recognise(each, expects)


def test_what_was_heard_before_does_not_count(grammar: Grammar) -> None:
    """The same first utterance is heard alike after another was heard on another channel."""
    (first,) = heard(clip("espeak-f3", "one_hundred"))
    (second,) = heard(clip("flite-slt", "fifteen"))
    with SphinxRecogniser(grammar) as fresh, SphinxRecogniser(grammar) as used:
        for size in range(RATE_HZ, RATE_HZ + 2000, 800):
            used.recognise(utterance(first.samples[:size], channel=1), Expectation.WHOLE)
            found = used.recognise(replace(second, source=str(size)), Expectation.WHOLE)
            assert found == fresh.recognise(replace(second, source=str(size)), Expectation.WHOLE)


def test_one_channel_learns_nothing_from_the_other(grammar: Grammar) -> None:
    """Each microphone has its own mean: what one caller said cannot change the other's calls."""
    (first,) = heard(clip("flite-slt", "fifteen"))
    (second,) = heard(clip("espeak-f3", "one_hundred"))
    with SphinxRecogniser(grammar) as alone, SphinxRecogniser(grammar) as both:
        before = utterance(second.samples, channel=1)
        assert both.recognise(before, Expectation.WHOLE)
        assert both.recognise(first, Expectation.WHOLE) == alone.recognise(first, Expectation.WHOLE)


def test_closing_twice_is_harmless_and_use_after_it_is_an_error(grammar: Grammar) -> None:
    """The engine is released once; afterwards it says so instead of crashing."""
    engine = SphinxRecogniser(grammar)
    engine.close()
    engine.close()
    with pytest.raises(ModelError, match="the recogniser is closed; open a new recogniser"):
        engine.recognise(utterance(hiss(1.0)), Expectation.WHOLE)


def test_the_identity_names_engine_and_model(engine: SphinxRecogniser) -> None:
    """The journal says which engine of which version heard the calls."""
    assert engine.identity.startswith("pocketsphinx 5.1.1, en-us")


@pytest.fixture
def model(tmp_path: Path) -> Path:
    """Copy the wheel's model, to be damaged."""
    source = Path(pocketsphinx.get_model_path()) / "en-us"
    shutil.copytree(source / "en-us", tmp_path / "en-us")
    shutil.copy(source / "cmudict-en-us.dict", tmp_path)
    return tmp_path


@pytest.mark.parametrize("lost", ["en-us", "en-us/mdef", "en-us/feat.params", "cmudict-en-us.dict"])
def test_a_model_that_lacks_a_file_is_refused(grammar: Grammar, model: Path, lost: str) -> None:
    """The error says which model, and how to get a whole one."""
    path = model / lost
    shutil.rmtree(path) if path.is_dir() else path.unlink()
    with pytest.raises(ModelError) as error:
        SphinxRecogniser(grammar, model)
    assert error.value.where == str(model)
    assert "pip install --force-reinstall pocketsphinx" in error.value.next_step


def test_a_word_without_pronunciation_is_named(grammar: Grammar, model: Path) -> None:
    """A grammar's word that the dictionary lacks would never be heard: it is refused by name."""
    path = model / "cmudict-en-us.dict"
    lines = path.read_text("utf-8").splitlines(keepends=True)
    path.write_text("".join(line for line in lines if not line.startswith("niner")), "utf-8")
    with pytest.raises(ModelError, match="no pronunciation for niner"):
        SphinxRecogniser(grammar, model)
