"""The encoder model's sums over a grammar, with a model that hears tones."""

from __future__ import annotations

import math
import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
import soxr

from calllog.audio import RATE_HZ, Utterance
from calllog.commands.engine import Engine, make_recogniser
from calllog.errors import ModelError
from calllog.recognise import Recogniser, encoder_model
from calllog.recognise.encoder import STEP_S
from calllog.recognise.encoder_engine import EncoderRecogniser
from calllog.recognise.encoder_model import load_encoder_model
from calllog.recognise.evidence import MOST_SENTENCES, average, is_sure
from calllog.recognise.frontend import LOUDNESS, PADDING_S, surround
from calllog.spoken import Grammar, words
from calllog.values import Expectation
from tests.tone_model import ToneModel

PADDING = int(PADDING_S * RATE_HZ)


def said(samples: npt.NDArray[np.float32], lead_s: float = 0.5) -> Utterance:
    """Make an utterance of samples, with faint noise before it."""
    noise = 1e-3 * np.random.default_rng(3).standard_normal(int(lead_s * RATE_HZ))
    end_s = len(samples) / RATE_HZ
    return Utterance(samples, noise.astype(np.float32), 0.0, end_s, 0, "test", is_cut=False)


@pytest.fixture(scope="module")
def tones(
    tmp_path_factory: pytest.TempPathFactory, grammar: Grammar
) -> Iterator[tuple[ToneModel, Path]]:
    """Write a model that hears a language of tones."""
    folder = tmp_path_factory.mktemp("models") / "tones"
    made = ToneModel(folder, words(grammar))
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(encoder_model, "Encoder", made.encoder)
        patched.setattr(encoder_model, "EncoderHead", made.head)
        yield made, folder


@pytest.fixture(scope="module")
def engine(tones: tuple[ToneModel, Path], grammar: Grammar) -> EncoderRecogniser:
    """Open it once for all tests that only listen; faster, tones are other tones."""
    return EncoderRecogniser(grammar, tones[1], speeds=())


@pytest.mark.parametrize(
    ("expects", "text"),
    [
        (Expectation.WHOLE, "forty two"),
        (Expectation.WHOLE, "one hundred"),
        (Expectation.FRACTION, "oh five"),
        (Expectation.FRACTION, "seventeen"),
        (Expectation.READING, "sixty seven point three one"),
        (Expectation.ANY, "head eighty eight"),
        (Expectation.WHOLE, "switch ends"),
        (Expectation.FRACTION, "temperature one hundred five"),
        (Expectation.READING, "station one plus twenty five right eighteen point four"),
        (Expectation.WHOLE, "watch your step"),
    ],
)
def test_what_is_said_leads(
    tones: tuple[ToneModel, Path], engine: EncoderRecogniser, expects: Expectation, text: str
) -> None:
    """Numbers, readings, commands, conditions, notes and talk, each from the sound alone."""
    found = engine.recognise(said(tones[0].say(text)), expects)
    calls = [each for each in found if each.text]
    assert calls[0].text == text
    assert [each.probability for each in found] == sorted(
        (each.probability for each in found), reverse=True
    )
    assert 0.0 < math.fsum(each.probability for each in found) <= 1.0 + 1e-9
    assert len({each.text for each in found}) == len(found) <= 2 * MOST_SENTENCES + 1


def test_loudness_does_not_matter(tones: tuple[ToneModel, Path], engine: EncoderRecogniser) -> None:
    """A microphone 20 dB fainter gives the same odds."""
    loud = tones[0].say("forty two")
    nothing = np.zeros(0, np.float32)
    near, far = (
        engine.listen(replace(said(samples), lead=nothing), Expectation.WHOLE)
        for samples in (loud, loud * np.float32(0.1))
    )
    assert near.first_nats == pytest.approx(far.first_nats, abs=1e-3)


def test_evidence_is_consistent(tones: tuple[ToneModel, Path], engine: EncoderRecogniser) -> None:
    """Totals are no less than their parts; frames are counted; what is said beats free speech."""
    evidence = engine.listen(said(tones[0].say("forty two")), Expectation.WHOLE)
    assert evidence.first[0].text == "forty two"
    for listed, total in (
        (evidence.first, evidence.first_nats),
        (evidence.also, evidence.also_nats),
    ):
        assert np.logaddexp.reduce([each.nats for each in listed]) <= total + 1e-9
    assert evidence.first[0].nats > evidence.loop_nats
    seconds = len(tones[0].say("forty two")) / RATE_HZ + 2 * PADDING_S
    assert evidence.frames == pytest.approx(seconds / STEP_S, abs=3)
    assert 0.2 < evidence.spoken < 0.8


def test_what_is_not_sure_is_heard_again(
    tones: tuple[ToneModel, Path], engine: EncoderRecogniser, grammar: Grammar
) -> None:
    """Played too fast it is not sure; heard again slower, it is what was said, averaged with it."""
    fast = np.asarray(soxr.resample(tones[0].say("forty two"), 1.1, 1.0), np.float32)
    slower = np.asarray(soxr.resample(fast, 1.0 / 1.1, 1.0), np.float32)
    with EncoderRecogniser(grammar, tones[1], speeds=(1.0 / 1.1,)) as patient:
        once, again, both = (
            one.listen(replace(said(sound), lead=np.zeros(0, np.float32)), Expectation.WHOLE)
            for one, sound in ((engine, fast), (engine, slower), (patient, fast))
        )
        assert once.first[0].text != "forty two"
        assert again.first[0].text == "forty two"
        assert not is_sure(once)
        assert both.first == average((once, again)).first
        assert both.frames == once.frames
        clear = said(tones[0].say("forty two"))
        assert is_sure(engine.listen(clear, Expectation.WHOLE))
        assert patient.listen(clear, Expectation.WHOLE) == engine.listen(clear, Expectation.WHOLE)


def test_other_sound_is_no_call(tones: tuple[ToneModel, Path], engine: EncoderRecogniser) -> None:
    """Tones in an order that no call has are likelier free speech than any sentence."""
    forth = tones[0].say("forty two seventeen")
    evidence = engine.listen(said(forth[::-1].copy()), Expectation.WHOLE)
    assert evidence.loop_nats > max(evidence.first_nats, evidence.also_nats)
    assert engine.recognise(said(forth[::-1].copy()), Expectation.WHOLE)[0].text == ""


@pytest.mark.parametrize("count", [0, 100, 399, 700])
def test_sound_too_short_is_nothing(engine: EncoderRecogniser, count: int) -> None:
    """Sound of hardly a frame gives no hypotheses, no error."""
    assert engine.recognise(said(np.zeros(count, np.float32), 0.0), Expectation.WHOLE) == ()


def test_recogniser_keeps_the_protocol(tones: tuple[ToneModel, Path], grammar: Grammar) -> None:
    """It is a recogniser, names itself, and is closed for good."""
    opened: Recogniser = EncoderRecogniser(grammar, tones[1])
    with opened as ears:
        assert ears.identity.startswith("calllog encoder, tones, head.npz ")
        ears.recognise(said(tones[0].say("ten")), Expectation.WHOLE)
    opened.close()
    with pytest.raises(ModelError, match="closed"):
        opened.recognise(said(tones[0].say("ten")), Expectation.WHOLE)


def test_command_line_chooses_it(tones: tuple[ToneModel, Path], tmp_path: Path) -> None:
    """The option opens the given folder, and a folder that is missing is an expected error."""
    with make_recogniser(Engine.ENCODER, tones[1]) as opened:
        assert "tones" in opened.identity
    with pytest.raises(ModelError, match="no encoder model here"):
        make_recogniser(Engine.ENCODER, tmp_path / "none")


def test_real_sound_surrounds_an_utterance() -> None:
    """0.3 s of the lead stand before it and, backwards, after it; the level is the same for all."""
    rng = np.random.default_rng(1)
    lead = (1e-4 * rng.standard_normal(RATE_HZ)).astype(np.float32)
    speech = (1e-2 * rng.standard_normal(RATE_HZ)).astype(np.float32)
    found = surround(speech, lead)
    gain = found[PADDING] / speech[0]
    np.testing.assert_allclose(found[PADDING:-PADDING], speech * gain, rtol=1e-5)
    np.testing.assert_allclose(found[:PADDING], lead[-PADDING:] * gain, rtol=1e-5)
    np.testing.assert_array_equal(found[-PADDING:], found[:PADDING][::-1])
    assert np.std(found[PADDING:-PADDING]) == pytest.approx(LOUDNESS, rel=0.2)
    assert len(surround(speech, lead[:0])) == len(speech)


@pytest.mark.parametrize(
    ("file", "change", "message"),
    [
        ("units.txt", None, "the file cannot be read"),
        ("units.txt", "<blk> 0\nAA 1\n", "must name the network's"),
        ("lexicon.txt", None, "the file cannot be read"),
        ("lexicon.txt", "one W AH1 N\n", "no pronunciation for a, add, again"),
        ("lexicon.txt", "one W QQ N\n", "line 1: QQ is no unit"),
        ("lexicon.txt", "\none W <blk> N\n", "line 2: <blk> is no unit"),
        ("lexicon.txt", "one\n", "one has no units"),
    ],
)
def test_broken_model_folders_are_refused(
    tones: tuple[ToneModel, Path],
    grammar: Grammar,
    tmp_path: Path,
    file: str,
    change: str | None,
    message: str,
) -> None:
    """Each file that is missing or unfit is an error that says which and why."""
    folder = tmp_path / "model"
    shutil.copytree(tones[1], folder)
    if change is None:
        (folder / file).unlink()
    else:
        (folder / file).write_text(change, "utf-8")
    with pytest.raises(ModelError, match=message) as raised:
        load_encoder_model(folder, words(grammar))
    assert file in raised.value.where


def test_units_must_begin_with_the_blank(
    tones: tuple[ToneModel, Path], grammar: Grammar, tmp_path: Path
) -> None:
    """A list of the right length in another order is refused: every sum would be wrong."""
    folder = tmp_path / "model"
    shutil.copytree(tones[1], folder)
    names = [line.split()[0] for line in (folder / "units.txt").read_text("utf-8").splitlines()]
    for changed in (names[::-1], [*names[:-1], names[1]]):
        text = "".join(f"{name} {index}\n" for index, name in enumerate(changed))
        (folder / "units.txt").write_text(text, "utf-8")
        with pytest.raises(ModelError, match="output 0 must be <blk>"):
            load_encoder_model(folder, words(grammar))


def test_words_said_alike_twice_count_once(
    tones: tuple[ToneModel, Path], grammar: Grammar, tmp_path: Path
) -> None:
    """A line that stands twice does not double a word's likelihood."""
    folder = tmp_path / "model"
    shutil.copytree(tones[1], folder)
    lexicon = (folder / "lexicon.txt").read_text("utf-8")
    (folder / "lexicon.txt").write_text(lexicon + "\n" + lexicon, "utf-8")
    once, twice = (load_encoder_model(each, words(grammar)) for each in (tones[1], folder))
    assert once.pronunciations == twice.pronunciations
