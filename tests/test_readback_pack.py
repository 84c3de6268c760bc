"""The recorded words that travel with the program."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import numpy as np
import pytest

from calllog.audio import RATE_HZ, utterances
from calllog.errors import ModelError
from calllog.pairing import diagnosis
from calllog.readback import Notice, Tone, notice, say_text
from calllog.readback.figures import say_count, say_hundredths, say_length
from calllog.readback.tones import render
from calllog.readback.voice import PACK, PACKS, BuiltIn, in_parts
from calllog.readback.words import phrases
from calllog.recognise import understand
from calllog.recognise.encoder_engine import EncoderRecogniser
from calllog.resources import ENCODER_MODEL, PACKAGE, model_folder, read_grammar
from calllog.spoken import Grammar, Parser
from calllog.values import Expectation, Finding, ReadingUnit, Severity
from calllog.wording import ENGLISH
from tests.audio.frames import Frames
from tests.make_words import OUT, catalogue, sayable, texts

AGAIN = "run `python -m tests.make_words en` (or es); see what it needs there"


@pytest.fixture(scope="module")
def pack() -> BuiltIn:
    """Load the shipped words."""
    return BuiltIn()


def missing(pack: BuiltIn, words: str) -> set[str]:
    """List the words of a text that are not in the pack."""
    return {part for phrase, _ in phrases(words) for part in in_parts(phrase, pack.known)} - set(
        pack.known
    )


def test_each_diagnosis_can_be_spoken(pack: BuiltIn, grammar: Grammar) -> None:
    """A stop is no use if half of its words are left out."""
    codes = [code for _, code in diagnosis.SIGNATURES] + [diagnosis.diagnose(100, 1234, 10_000)]
    for code in codes:
        found = Finding(
            code=code, severity=Severity.STOP, pull=1, first=1542, second=1642, calls=()
        )
        for unit in ReadingUnit:
            words = ENGLISH.measured_in(unit)
            for text in (words.finding(found), words.remedy(found)):
                assert " " in text
                assert not missing(pack, say_text(grammar, text)), AGAIN
    for each_notice in Notice:
        assert not missing(pack, notice(grammar, each_notice).words), AGAIN


def test_each_text_of_the_rules_can_be_spoken(pack: BuiltIn, grammar: Grammar) -> None:
    """Every word of the messages that the crew may hear, in every variant, is there."""
    heard = texts((PACKAGE / "wording" / "en.ftl").read_text("utf-8"))
    assert len(heard) > 200
    assert {"stop. pull ", "the whole meter", "the hundredths"} <= set(heard)
    assert set(sayable(grammar)) <= set(pack.known), AGAIN
    assert set(sayable(read_grammar("en-metric"))) <= set(pack.known), AGAIN


def test_each_number_can_be_spoken(pack: BuiltIn, grammar: Grammar) -> None:
    """All lengths on the tape, all pulls of a long day."""
    for value in range(0, 10_100, 7):
        assert not missing(pack, say_length(grammar, value))
    for count in range(1, 3000, 7):
        assert not missing(pack, say_count(grammar, count))


@pytest.fixture(scope="module")
def spanish() -> BuiltIn:
    """Load the Spanish words."""
    return BuiltIn(pack=PACKS["es"])


@pytest.mark.parametrize("name", ["es-feet", "es-metric"])
def test_each_spanish_text_can_be_spoken(spanish: BuiltIn, name: str) -> None:
    """Findings, questions, notices and numbers: no word of the crew's language is left out."""
    grammar = read_grammar(name)
    heard = texts(catalogue("es"))
    assert len(heard) > 200
    assert "repítalo" in " ".join(heard)
    assert set(sayable(grammar)) <= set(spanish.known), AGAIN
    for each in Notice:
        assert not missing(spanish, notice(grammar, each).words), AGAIN
    for value in range(0, 10_100, 7):
        assert not missing(spanish, say_length(grammar, value))
    for count in range(1, 3000, 7):
        assert not missing(spanish, say_count(grammar, count))


def test_spanish_words_are_level_and_short(spanish: BuiltIn) -> None:
    """No word is silent or clipped, and a number is over before the next call."""
    for words in spanish.known:
        sound, rate_hz = spanish.speak(words)
        assert rate_hz == RATE_HZ
        assert 0.08 < np.max(np.abs(sound)) < 1.0, words
        assert 0.04 < sound.size / rate_hz < 2.2, words
    assert spanish.speak("treinta y tres ochenta y siete")[0].size < 2.6 * RATE_HZ


def test_spanish_pack_is_small_and_says_where_it_comes_from() -> None:
    """At most 750 kB, with origin and licence beside it."""
    files = [OUT / f"{PACKS['es']}.ogg", OUT / f"{PACKS['es']}.json"]
    assert sum(file.stat().st_size for file in files) <= 750_000
    licence = "\n".join(json.loads(files[1].read_text("utf-8"))["licence"])
    assert "SVOX AG" in licence
    assert "Apache License" in licence


def test_speech_is_level_and_without_gaps(pack: BuiltIn, grammar: Grammar) -> None:
    """No word is silent, clipped or far longer than a word; numbers are over before the next."""
    for words in sayable(grammar):
        sound, rate_hz = pack.speak(words)
        assert rate_hz == RATE_HZ
        assert 0.08 < np.max(np.abs(sound)) < 1.0, words
        assert 0.08 < sound.size / rate_hz < 1.6, words
    assert pack.speak("thirty three eighty seven")[0].size < 1.7 * RATE_HZ


def test_unknown_words_are_left_out(pack: BuiltIn) -> None:
    """The name of a line is not in the pack; the rest of the sentence is spoken."""
    with_name, _ = pack.speak("pull quercus three")
    without, _ = pack.speak("pull three")
    assert np.array_equal(with_name, without)
    assert pack.speak("quercus")[0].size == 0


def test_pack_is_small_and_says_where_it_comes_from() -> None:
    """At most 600 kB, with origin and licence beside it."""
    files = [OUT / f"{PACK}.ogg", OUT / f"{PACK}.json"]
    assert sum(file.stat().st_size for file in files) <= 600_000
    licence = "\n".join(json.loads(files[1].read_text("utf-8"))["licence"])
    assert "Carnegie Mellon University" in licence
    assert "DISCLAIM ALL WARRANTIES" in licence


@pytest.mark.parametrize("damage", ["missing", "no sound", "no index", "other sound"])
def test_damaged_pack_is_an_error_with_a_next_step(tmp_path: Path, damage: str) -> None:
    """It names the file and says what to do."""
    if damage == "other sound":
        sound = bytearray((OUT / f"{PACK}.ogg").read_bytes())
        sound[300_000] ^= 1
        (tmp_path / f"{PACK}.ogg").write_bytes(sound)
        shutil.copy(OUT / f"{PACK}.json", tmp_path)
    elif damage != "missing":
        (tmp_path / f"{PACK}.json").write_text("{}" if damage == "no index" else "{", "utf-8")
        (tmp_path / f"{PACK}.ogg").write_bytes((OUT / f"{PACK}.ogg").read_bytes()[:50_000])
    with pytest.raises(ModelError, match="install calllog again"):
        BuiltIn(tmp_path)


@pytest.mark.slow
def test_recorded_numbers_are_understood(pack: BuiltIn, grammar: Grammar, parser: Parser) -> None:
    """The engine, which nobody taught this voice, understands what is read back."""
    rng = np.random.default_rng(1)
    with EncoderRecogniser(grammar, model_folder(ENCODER_MODEL)) as engine:
        for count in (13, 30, 15, 50, 59, 94):
            for said, expects in (
                (say_count(grammar, count), Expectation.WHOLE),
                (say_hundredths(grammar, count), Expectation.FRACTION),
            ):
                sound = np.pad(pack.speak(said)[0] * 0.2, RATE_HZ)
                sound += rng.standard_normal(sound.size).astype(np.float32) * 3e-4
                frames = Frames([sound[:, None]])
                (utterance,) = utterances(frames)
                heard = understand(parser, engine.recognise(utterance, expects), expects, 10_099)
                assert heard.value == count * (100 if expects is Expectation.WHOLE else 1)


@pytest.mark.slow
def test_no_tone_is_taken_for_speech() -> None:
    """Tones make nobody deaf, so the endpointer must not take one for an utterance."""
    rng = np.random.default_rng(1)
    for tone in Tone:
        sound = np.pad(render(tone, RATE_HZ) * 0.5, RATE_HZ)
        sound += rng.standard_normal(sound.size).astype(np.float32) * 3e-4
        frames = Frames([sound[:, None]])
        assert not list(utterances(frames)), tone
