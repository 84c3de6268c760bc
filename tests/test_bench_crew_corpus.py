"""The corpus of decoded calls: what is packed comes back, and it covers what a crew may call."""

import itertools
import json
import lzma
from collections import Counter
from pathlib import Path

import pytest

from calllog.recognise import Hypothesis
from calllog.resources import read_grammar
from calllog.spoken import Grammar, Meaning, Parser, spoken_forms
from calllog.values import Alternative, Expectation, Kind, Outcome
from models.training.es.voices import TUNING_VOICES
from tests.bench.crew_corpus import (
    CONDITIONS,
    LISTENERS,
    PATHS,
    SPANISH,
    TEST_VOICES,
    TUNE_VOICES,
    Corpus,
    HeardCall,
    SaidCall,
    load_corpus,
    pack,
)
from tests.bench.make_crew_corpus import ROUNDS, understood
from tests.bench.make_crew_corpus import said as said_in

NO_CALL = Alternative(text="", kind=Kind.CHATTER, value=None, probability=0.125)


def taken(value: int, probability: float) -> HeardCall:
    """Give an utterance taken as a whole foot."""
    alternative = Alternative(text="x", kind=Kind.WHOLE, value=value, probability=probability)
    return HeardCall(Outcome.CALL, Kind.WHOLE, value, (alternative, NO_CALL))


def ignored() -> HeardCall:
    """Give an utterance in which no call could be made out."""
    return HeardCall(Outcome.IGNORED, Kind.CHATTER, None, (NO_CALL,))


def asked() -> HeardCall:
    """Give an utterance that is asked again."""
    return HeardCall(Outcome.ASK, Kind.UNCLEAR, None, (NO_CALL,))


def said(*heard: HeardCall) -> SaidCall:
    """Give fifteen feet as said and heard."""
    return SaidCall("flite-awb", "clean", Kind.WHOLE, 1500, "fifteen", heard)


@pytest.mark.parametrize(
    ("heard", "outcome", "verdict"),
    [
        ((taken(1500, 0.8),), "call", "right"),
        ((taken(5000, 0.8),), "call", "wrong"),
        ((asked(),), "ask", "asked"),
        ((ignored(),), "ignored", "ignored"),
        ((), "missed", "missed"),
        ((taken(1500, 0.8), ignored()), "split", "wrong"),
        ((asked(), ignored()), "split", "asked"),
    ],
)
def test_verdict(heard: tuple[HeardCall, ...], outcome: str, verdict: str) -> None:
    """A call is right only if it came out once, taken, with its value."""
    call = said(*heard)
    assert (call.outcome, call.verdict) == (outcome, verdict)


def test_packed_and_read_again(tmp_path: Path) -> None:
    """What is packed comes back the same, probabilities to one percent of themselves."""
    calls = (said(taken(1500, 0.875)), said(), said(taken(5000, 1e-9), asked()))
    path = tmp_path / "calls.json.xz"
    pack(Corpus("2026-11-25", "an engine", "00", ("flite-awb",), ("piper-joe",), calls), path)
    corpus = load_corpus(path)
    assert (corpus.date, corpus.engine, corpus.grammar_sha256) == ("2026-11-25", "an engine", "00")
    assert (corpus.tune, corpus.test) == (("flite-awb",), ("piper-joe",))
    assert [call.outcome for call in corpus.calls] == ["call", "missed", "split"]
    first, _, last = corpus.calls
    assert (first.words, first.value, first.heard[0].value) == ("fifteen", 1500, 1500)
    assert first.heard[0].no_call == pytest.approx(0.125, rel=0.01)
    assert first.heard[0].probability(Kind.WHOLE, 1500) == pytest.approx(0.875, rel=0.01)
    assert last.heard[0].probability(Kind.WHOLE, 5000) == pytest.approx(1e-9, rel=0.01)
    assert last.heard[1].outcome is Outcome.ASK
    assert corpus.by_value["flite-awb", "clean", Kind.WHOLE, 1500] == corpus.calls


def test_another_format_is_refused(tmp_path: Path) -> None:
    """A file of another format is refused, not misread."""
    path = tmp_path / "calls.json.xz"
    path.write_bytes(lzma.compress(json.dumps({"format": 0}).encode()))
    with pytest.raises(ValueError, match="format 0, not 1"):
        load_corpus(path)


@pytest.mark.parametrize("kind", [Kind.WHOLE, Kind.FRACTION])
def test_a_round_says_every_value_once(grammar: Grammar, parser: Parser, kind: Kind) -> None:
    """Each round says every value once and as it is parsed, the next one in another form."""
    rounds = [said_in("flite-slt", kind, number, grammar) for number in (0, 1)]
    for calls in rounds:
        for call in calls:
            assert parser.parse(call.words, Expectation(kind.value), 10_000) == Meaning(
                kind, call.value
            )
    first, second = ({call.value or 0: call.words for call in calls} for calls in rounds)
    step, last = (100, 10_000) if kind is Kind.WHOLE else (1, 99)
    assert sorted(first) == sorted(second) == list(range(0, last + 1, step))
    same = {value for value in first if first[value] == second[value]}
    assert same == {value for value in first if len(spoken_forms(grammar, kind, value)) == 1}


def test_wordings_of_one_value_count_together(parser: Parser) -> None:
    """Two wordings of one value are one alternative; what is taken is what the field takes."""
    heard = understood(
        parser,
        (
            Hypothesis("four two", 0.4),
            Hypothesis("forty two", 0.3),
            Hypothesis("forty", 0.2),
            Hypothesis("", 0.1),
        ),
        Expectation.FRACTION,
    )
    assert (heard.outcome, heard.kind, heard.value) == (Outcome.CALL, Kind.FRACTION, 42)
    assert heard.probability(Kind.FRACTION, 42) == pytest.approx(0.7)
    assert heard.probability(Kind.FRACTION, 40) == pytest.approx(0.2)
    assert heard.no_call == pytest.approx(0.1)
    assert len(heard.alternatives) == 3


@pytest.mark.parametrize("listener", LISTENERS)
def test_the_corpus_covers_all_values(listener: str) -> None:
    """Every voice says every whole foot and hundredths in each of its rounds and conditions."""
    corpus = load_corpus(PATHS[listener])
    assert not set(corpus.tune) & set(corpus.test)
    assert {call.voice for call in corpus.calls} == {*TUNE_VOICES, *TEST_VOICES}
    for voice in (*corpus.tune, *corpus.test):
        rounds = Counter(kind for said_by in ROUNDS for kind in said_by.get(voice, ()))
        for condition in CONDITIONS:
            for kind, below, step in ((Kind.WHOLE, 10_000, 100), (Kind.FRACTION, 100, 1)):
                for value in range(0, below, step):
                    calls = corpus.by_value[voice, condition, kind, value]
                    assert len(calls) == rounds[kind]


def test_decoded_calls_are_as_the_field_gives_them() -> None:
    """Probabilities of one utterance add up to at most one, and a taken call leads them."""
    for call in load_corpus().calls:
        for heard in call.heard:
            assert sum(each.probability for each in heard.alternatives) < 1.05
            if heard.outcome is Outcome.CALL and heard.value is not None:
                first = heard.alternatives[0]
                assert (first.kind, first.value) == (heard.kind, heard.value)


def test_spanish_calls_cover_all_values_and_read_as_spanish() -> None:
    """Both voices say every whole foot and hundredths under each condition that is there."""
    corpus = load_corpus(PATHS[SPANISH])
    grammar = read_grammar("es-feet")
    conditions = {call.condition for call in corpus.calls}
    assert {"clean", "pink 10"} <= conditions <= set(CONDITIONS)
    assert not corpus.tune
    assert not set(corpus.test) & set(TUNING_VOICES)
    for voice, condition in itertools.product(corpus.test, conditions):
        for kind, below, step in ((Kind.WHOLE, 10_100, 100), (Kind.FRACTION, 100, 1)):
            for value in range(0, below, step):
                (call,) = corpus.by_value[voice, condition, kind, value]
                assert call.words in spoken_forms(grammar, kind, value)
