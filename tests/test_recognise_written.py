"""How words are written down, and what the speech decoder makes of them."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from calllog.commands.check_sound import shipped_call
from calllog.errors import ModelError
from calllog.recognise.encoder import WIDTH, Encoder
from calllog.recognise.evidence import Evidence
from calllog.recognise.frontend import surround
from calllog.recognise.second_look import SecondLook
from calllog.recognise.sentences import Sentence
from calllog.recognise.speech_decoder import BLANK, DECODER, MOST_TOKENS, SpeechDecoder
from calllog.recognise.written import Writer
from calllog.recognise.written_evidence import (
    MOST_ALSO,
    MOST_FIRST,
    WRITTEN_CALIBRATION,
    WRITTEN_FEATURES,
    Written,
    WrittenCalibration,
    to_weigh,
    written_features,
    written_hypotheses,
)
from calllog.spoken import Grammar

PLAIN = WrittenCalibration(
    also_nats=5.0, temperature=2.0, power=0.5, intercept=0.5, weights=(0.0,) * 8
)
EVIDENCE = Evidence(
    first=(Sentence("nine", -10.0), Sentence("five", -12.0)),
    also=(Sentence("line finished", -9.0),),
    first_nats=math.log(math.exp(-10.0) + math.exp(-12.0)),
    also_nats=-9.0,
    loop_nats=-16.0,
    frames=30,
    spoken=0.25,
    units={"nine": 3, "five": 3, "line finished": 9},
)
WRITTEN = Written({"nine": -8.0, "five": -4.0}, {"nine": 2, "five": 4}, -3.0, 5)


@pytest.mark.parametrize(
    ("text", "forms"),
    [
        ("forty two", ("Forty two", "Forty, two", "42")),
        ("four two", ("Four two", "Four, two", "42")),
        ("oh five", ("Oh five", "Oh, five", "05")),
        ("point four oh", ("Point four oh", "Point, four, oh", ".40")),
        ("twenty", ("Twenty", "20")),
        ("forty ten", ("Forty ten", "Forty, ten", "4010")),
        ("one five point nine two", ("One five point nine two",
                                     "One, five, point, nine, two", "15.92")),
        ("one hundred", ("One hundred", "One, hundred", "100")),
        ("strike that", ("Strike that", "Strike, that")),
    ],
)  # fmt: skip
def test_words_are_written_in_the_ways_that_people_write(
    grammar: Grammar, text: str, forms: tuple[str, ...]
) -> None:
    """With blanks, with commas, and in figures what is a number."""
    assert Writer(grammar).forms(text) == forms


def test_odds_of_both_are_weighed() -> None:
    """Worked out by hand: nats over temperature plus power times nats behind the best written."""
    scores = {"nine": -5.0 - 2.0, "five": -6.0, "line finished": -7.0 - 2.0}
    odds = {text: math.exp(score + 6.0) for text, score in scores.items()}
    is_call = 1.0 / (1.0 + math.exp(-0.5))
    found = {each.text: each.probability for each in written_hypotheses(EVIDENCE, WRITTEN, PLAIN)}
    total = sum(odds.values())
    expected = {text: is_call * odd / total for text, odd in odds.items()} | {"": 1.0 - is_call}
    assert found == pytest.approx(expected, rel=1e-6)


def test_features_tell_of_the_best_and_of_free_writing() -> None:
    """Worked out by hand; each moves the probability of a call by its weight."""
    measured = dict(zip(WRITTEN_FEATURES, written_features(EVIDENCE, WRITTEN, PLAIN), strict=True))
    assert measured["fit"] == pytest.approx((-12.0 + 16.0) / 3)
    assert measured["behind"] == pytest.approx(-1.0)
    assert measured["likely"] == pytest.approx(-1.0)
    assert measured["longer"] == 1.0
    calls = []
    for weight in (0.0, -1.0):
        weighed = replace(PLAIN, weights=(*(0.0,) * 7, weight))
        found = written_hypotheses(EVIDENCE, WRITTEN, weighed)
        calls.append(sum(each.probability for each in found if each.text))
    assert calls == pytest.approx([1.0 / (1.0 + math.exp(-0.5)), 1.0 / (1.0 + math.exp(0.5))])


def test_nothing_heard_is_nothing_written() -> None:
    """Without a sentence there is no hypothesis; what lies far behind is not weighed."""
    empty = replace(EVIDENCE, first=(), also=(), first_nats=-math.inf, also_nats=-math.inf)
    assert written_hypotheses(empty, WRITTEN, PLAIN) == ()
    assert to_weigh(empty) == ()
    many = tuple(Sentence(str(place), -4.0 * place) for place in range(20))
    chosen = to_weigh(replace(EVIDENCE, first=many, also=many[1:]))
    assert chosen == tuple(str(place) for place in range(MOST_FIRST))
    assert len(chosen) < MOST_FIRST + MOST_ALSO
    assert len(WRITTEN_CALIBRATION.weights) == len(WRITTEN_FEATURES)


@pytest.fixture(scope="module")
def decoder() -> SpeechDecoder:
    """Open the decoder of the installed package."""
    return SpeechDecoder()


@pytest.mark.parametrize("text", ["Forty two", "4, 2", ".05", "One five point nine two"])
def test_tokens_spell_the_text(decoder: SpeechDecoder, text: str) -> None:
    """Put together they are the text, blanks before words."""
    pieces = {place: piece for piece, place in decoder._places.items()}
    spelt = "".join(pieces[token] for token in decoder.tokens(text))
    assert spelt == BLANK + text.replace(" ", BLANK)


def test_decoder_knows_what_a_voice_said(grammar: Grammar, decoder: SpeechDecoder) -> None:
    """The shipped call: what was said is written likelier than what was not, and free writing ends.

    The decoder learnt from people's speech alone, so this checks it against nothing of ours.
    """
    utterance, said = shipped_call()
    frames = Encoder().encode(surround(utterance.samples, utterance.lead, is_denoised=False))
    hearing = decoder.begin(frames)
    forms = Writer(grammar).forms
    nats = {text: max(hearing.weigh(forms(text))) for text in (said, "nine", "forty two")}
    assert max(nats, key=nats.__getitem__) == said
    free_nats, count = hearing.free()
    assert -20.0 < free_nats < 0.0
    assert 1 < count <= MOST_TOKENS
    alone, *_ = hearing.weigh([forms(said)[0]])
    beside = hearing.weigh(forms(said))[0]
    assert alone == pytest.approx(beside, abs=1.5)


def test_no_frames_are_not_written(grammar: Grammar, decoder: SpeechDecoder) -> None:
    """A sound too short for the encoder leaves the encoder model's own list."""
    look = SecondLook(grammar, decoder)
    assert look.write(EVIDENCE, np.zeros((0, WIDTH), np.float32)) == Written({}, {}, 0.0, 0)


def test_a_missing_decoder_is_told(tmp_path: Path) -> None:
    """Its folder is named, and what to do."""
    with pytest.raises(ModelError) as told:
        SpeechDecoder(tmp_path)
    assert told.value.where == str(tmp_path / DECODER)
    (tmp_path / DECODER).write_bytes(b"no decoder")
    with pytest.raises(ModelError, match="no decoder that can be run"):
        SpeechDecoder(tmp_path)
