"""Two listeners as one: what both hear wins, what one hears alone is doubted."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Self

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calllog.audio import Utterance
from calllog.commands.engine import Engine, make_recogniser
from calllog.errors import ConfigError
from calllog.recognise import Hypothesis, understand
from calllog.recognise.evidence import Evidence
from calllog.recognise.two_listeners import (
    WEIGHTS,
    Key,
    Record,
    TwoListeners,
    Weights,
    fuse,
    measures,
    opinion,
)
from calllog.spoken import Grammar, Parser
from calllog.values import Expectation, Outcome
from tests.bench.fit_listeners import Case, Table, meaning, probability

EVEN = Weights(1.0, (0.0, 0.0), (0.0, 0.0), 1e-3, 0.0, (0.5, 0.5), 0.0)
SOUND = Utterance(
    np.zeros(8000, np.float32), np.zeros(0, np.float32), 0.0, 0.5, 0, "", is_cut=False
)


class Says:
    """A listener that always hears the same."""

    def __init__(self, name: str, *heard: tuple[str, float]) -> None:
        self.identity = name
        self._heard = tuple(Hypothesis(text, share) for text, share in heard)
        self.closed = 0

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Hear it."""
        del utterance, expects
        return self._heard

    def close(self) -> None:
        """Count how often it was closed."""
        self.closed += 1

    def __enter__(self) -> Self:
        """Enter."""
        return self

    def __exit__(self, *_: object) -> None:
        """Leave."""
        self.close()


def by_text(text: str) -> Key:
    """Let each wording mean itself."""
    return (text,)


def heard(
    parser: Parser,
    first: Sequence[tuple[str, float]],
    second: Sequence[tuple[str, float]],
    weights: Weights = WEIGHTS,
) -> dict[str, float]:
    """Let two listeners hear hundredths; give the texts' probabilities."""
    both = TwoListeners(Says("a", *first), Says("b", *second), parser, weights)
    return {h.text: h.probability for h in both.recognise(SOUND, Expectation.FRACTION)}


def test_agreement_is_surer_than_either(grammar: Grammar) -> None:
    """What both hear, each with some doubt, is surer than each alone says."""
    found = heard(
        Parser(grammar),
        [("forty two", 0.7), ("forty", 0.2), ("", 0.1)],
        [("forty two", 0.7), ("fifty two", 0.2), ("", 0.1)],
        EVEN,
    )
    assert found["forty two"] > 0.85
    assert found["forty two"] > 10 * found["fifty two"]


def test_other_wording_of_one_value_agrees(grammar: Grammar) -> None:
    """Four two and forty two are one value: they support each other, under one text."""
    found = heard(
        Parser(grammar),
        [("four two", 0.6), ("four three", 0.3), ("", 0.1)],
        [("forty two", 0.6), ("fifty two", 0.3), ("", 0.1)],
        EVEN,
    )
    assert set(found) == {"four two", "four three", "fifty two", ""}
    assert found["four two"] > 0.8


def test_disagreement_is_asked_and_not_taken(grammar: Grammar) -> None:
    """Each surely hears something else: with the shipped weights neither is taken."""
    parser = Parser(grammar)
    both = TwoListeners(
        Says("a", ("sixty", 0.9), ("", 0.1)),
        Says("b", ("sixteen", 0.9), ("", 0.1)),
        parser,
    )
    found = both.recognise(SOUND, Expectation.FRACTION)
    assert understand(parser, found, Expectation.FRACTION, 10_000).outcome is not Outcome.CALL


def test_surer_listener_counts_more(grammar: Grammar) -> None:
    """Who doubts that this is a call at all is overruled by who does not."""
    found = heard(
        Parser(grammar),
        [("sixty", 0.5), ("sixteen", 0.04), ("", 0.46)],
        [("sixteen", 0.92), ("sixty", 0.07), ("", 0.01)],
    )
    assert found["sixteen"] > 5 * found["sixty"]


def test_what_a_deaf_ear_takes_it_for_counts_nothing(grammar: Grammar) -> None:
    """Who is nearly sure that this is no call has no say in which one it is."""
    deaf = [("sixty", 0.1), ("", 0.9)]
    sure = [("sixteen", 0.85), ("sixty", 0.1), ("", 0.05)]
    parser = Parser(grammar)
    found, without = (
        heard(parser, deaf, sure, replace(EVEN, deaf=(below, 0.0))) for below in (0.11, 0.09)
    )
    assert found["sixteen"] / found["sixty"] == pytest.approx(8.5)
    assert without["sixteen"] < without["sixty"]


def test_the_doubt_of_a_deaf_ear_has_an_end(grammar: Grammar) -> None:
    """Who hears nothing at all counts against a call no more than who is deaf by a hair."""
    sure = [("sixteen", 0.85), ("sixty", 0.1), ("", 0.05)]
    weights = replace(EVEN, deaf=(0.2, 0.0))
    nothing, by_a_hair, unbounded = (
        heard(Parser(grammar), first, sure, chosen)[""]
        for first, chosen in (
            ([("", 1.0)], weights),
            ([("sixty", 0.1999), ("", 0.8001)], weights),
            ([("", 1.0)], EVEN),
        )
    )
    assert nothing == pytest.approx(by_a_hair, rel=1e-3)
    assert nothing < 0.5 < unbounded


def test_call_on_one_deaf_ear_is_asked(grammar: Grammar) -> None:
    """One is sure of a call, the other of none: asked again, neither taken nor lost."""
    parser = Parser(grammar)
    both = TwoListeners(Says("a", ("sixty", 0.97), ("", 0.03)), Says("b", ("", 0.999)), parser)
    found = both.recognise(SOUND, Expectation.FRACTION)
    assert understand(parser, found, Expectation.FRACTION, 10_000).outcome is Outcome.ASK


def test_two_that_hear_no_call_hear_none(grammar: Grammar) -> None:
    """What neither takes for a call is none."""
    found = heard(Parser(grammar), [("forty", 0.05), ("", 0.95)], [("four two", 0.05), ("", 0.95)])
    assert found[""] > 0.8


def test_silence_stays_silence(grammar: Grammar) -> None:
    """Nothing heard by both is nothing, not a sure "no call"."""
    assert heard(Parser(grammar), [], []) == {}


def test_deaf_listener_is_no_yes(grammar: Grammar) -> None:
    """One that hears nothing counts against a call."""
    parser = Parser(grammar)
    alone = heard(parser, [("forty two", 0.8), ("", 0.2)], [])
    agreed = heard(parser, [("forty two", 0.8), ("", 0.2)], [("forty two", 0.8), ("", 0.2)])
    assert alone["forty two"] < agreed["forty two"]


SHARES = st.lists(st.floats(0.001, 1.0), min_size=1, max_size=5)


@given(SHARES, SHARES, st.floats(0.0, 0.99), st.floats(0.0, 0.99), st.floats(-3.0, 3.0))
def test_probabilities_add_up(
    first: list[float], second: list[float], doubt: float, other: float, lead_nats: float
) -> None:
    """Whatever is heard, probabilities add up to 1, none is below 0, likeliest first."""
    opinions = [
        opinion(
            [
                *(Hypothesis(f"w{i}", s / sum(of) * (1 - no)) for i, s in enumerate(of)),
                Hypothesis("", no),
            ],
            by_text,
        )
        for of, no in ((first, doubt), (second, other))
    ]
    found = fuse(opinions[0], opinions[1], WEIGHTS, lead_nats)
    assert math.fsum(h.probability for h in found) == pytest.approx(1.0)
    assert [h.probability for h in found] == sorted((h.probability for h in found), reverse=True)
    assert all(h.probability >= 0.0 for h in found)


def test_measures_are_those_of_the_formula() -> None:
    """Log-odds and agreement of a worked example by hand."""
    one = opinion([Hypothesis("x", 0.6), Hypothesis("y", 0.2), Hypothesis("", 0.2)], by_text)
    two = opinion([Hypothesis("x", 0.45), Hypothesis("z", 0.45), Hypothesis("", 0.1)], by_text)
    first, second, agreed = measures(one, two)
    assert first == pytest.approx(math.log(0.8 / 0.2))
    assert second == pytest.approx(math.log(0.9 / 0.1))
    assert agreed == pytest.approx(math.log(0.75 * 0.5))


def test_identity_names_both_and_closing_closes_both(grammar: Grammar) -> None:
    """The journal says who listened; nothing stays open."""
    one, two = Says("one 1"), Says("two 2")
    with TwoListeners(one, two, Parser(grammar)) as both:
        assert both.identity == "one 1 and two 2"
    both.close()
    assert one.closed == two.closed == 2


def test_engine_named_twice_is_refused() -> None:
    """Two listeners that are one do not check each other."""
    with pytest.raises(ConfigError, match="two different ones"):
        make_recogniser([Engine.POCKETSPHINX, Engine.POCKETSPHINX], None)


def test_model_without_an_owner_is_refused(tmp_path: Path) -> None:
    """Where two listen, a model is Vosk's; for other pairs nobody knows whose it is."""
    with pytest.raises(ConfigError, match="whose model"):
        make_recogniser([Engine.POCKETSPHINX, Engine.NUMBERS], tmp_path)


class SaysInTurn(Says):
    """A listener that hears one thing after another."""

    def __init__(self, *heard: Sequence[tuple[str, float]]) -> None:
        super().__init__("in turn")
        self._left = [tuple(Hypothesis(text, share) for text, share in each) for each in heard]

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Hear the next."""
        del utterance, expects
        return self._left.pop(0)


def said_at(start_s: float, channel: int = 0) -> Utterance:
    """Make an utterance."""
    return replace(SOUND, start_s=start_s, channel=channel)


def test_who_heard_a_channel_better_counts_more_there(grammar: Grammar) -> None:
    """One hardly hears a voice that the other hears well: of that channel alone it is believed."""
    known = [("forty two", 0.3), ("fifty two", 0.2), ("", 0.5)], [("forty two", 0.97), ("", 0.03)]
    split = [("sixty", 0.9), ("", 0.1)], [("sixteen", 0.9), ("", 0.1)]
    weights = replace(EVEN, lead=(0.2, 0.2))
    both = TwoListeners(
        SaysInTurn(*[known[0]] * 10, split[0], split[0]),
        SaysInTurn(*[known[1]] * 10, split[1], split[1]),
        Parser(grammar),
        weights,
    )
    for at in range(10):
        both.recognise(said_at(at), Expectation.FRACTION)
    after, elsewhere = (
        {h.text: h.probability for h in both.recognise(said_at(20, channel), Expectation.FRACTION)}
        for channel in (0, 1)
    )
    assert elsewhere["sixteen"] == pytest.approx(elsewhere["sixty"])
    assert after["sixteen"] > 3 * after["sixty"]


def test_lead_is_the_mean_of_what_each_gave() -> None:
    """Two calls by hand: what faded, what comes first and what is beyond the bounds."""
    sure = opinion([Hypothesis("x", 0.9), Hypothesis("", 0.1)], by_text)
    unsure = opinion([Hypothesis("x", 0.3), Hypothesis("", 0.7)], by_text)
    settled = [Hypothesis("x", 0.95), Hypothesis("", 0.05)]
    record = Record()
    assert record.meet(1.0) == 0.0
    record.note(unsure, sure, settled)
    assert record.lead_nats == pytest.approx(math.log(3.0) / (0.9 * 5 + 1))
    record.meet(2.0)
    record.note(unsure, sure, [Hypothesis("x", 0.7), Hypothesis("", 0.3)])
    record.note(unsure, sure, [Hypothesis("", 0.95), Hypothesis("x", 0.05)])
    record.note(unsure, sure, [])
    assert record.lead_nats == pytest.approx(math.log(3.0) / 5.5)
    deaf = opinion([Hypothesis("", 0.9999)], by_text)
    for at in range(3, 99):
        record.meet(float(at))
        record.note(deaf, sure, settled)
    assert record.lead_nats == 3.0


def test_what_is_heard_again_counts_once() -> None:
    """An utterance that went on after a pause stands in place of what was heard of it before."""
    sure = opinion([Hypothesis("x", 0.9), Hypothesis("", 0.1)], by_text)
    unsure = opinion([Hypothesis("x", 0.3), Hypothesis("", 0.7)], by_text)
    settled = [Hypothesis("x", 0.95), Hypothesis("", 0.05)]
    once, twice = Record(), Record()
    for record, times in ((once, 1), (twice, 2)):
        for _ in range(times):
            record.meet(1.0)
            record.note(unsure, sure, settled)
    assert twice.lead_nats == once.lead_nats


def test_calls_heard_differently_settle_nothing() -> None:
    """However sure both together are: else whoever is ahead would get further ahead."""
    record = Record()
    record.meet(1.0)
    one, other = (opinion([Hypothesis(text, 0.9), Hypothesis("", 0.1)], by_text) for text in "xy")
    record.note(one, other, [Hypothesis("y", 0.95), Hypothesis("", 0.05)])
    assert record.lead_nats == 0.0
    nothing = opinion([Hypothesis("x", 0.4), Hypothesis("", 0.6)], by_text)
    record.note(nothing, other, [Hypothesis("y", 0.95), Hypothesis("", 0.05)])
    assert record.lead_nats > 0.0


@given(SHARES, SHARES, st.floats(0.0, 0.99), st.floats(0.0, 0.99), st.floats(-3.0, 3.0))
def test_the_fit_weighs_as_the_program_does(
    first: list[float], second: list[float], doubt: float, other: float, lead_nats: float
) -> None:
    """What is fitted as arrays, for speed, are the sums of `fuse`."""
    words = ("forty two", "fifty", "five", "sixteen", "sixty")
    expects = Expectation.FRACTION
    said = [
        [
            *(
                Hypothesis(text, share / sum(of) * (1 - no))
                for text, share in zip(words, of, strict=False)
            ),
            Hypothesis("", no),
        ]
        for of, no in ((first, doubt), (second, other))
    ]
    truth = meaning("forty two", expects)
    nothing = Evidence((), (), 0.0, 0.0, 0.0, 1, 0.0, {})
    case = Case("", "", truth, expects, tuple(said[0]), nothing, lead_nats)
    pair = [opinion(each, lambda text: meaning(text, expects)) for each in said]
    table = Table([case], [(pair[0], pair[1])])
    expected = probability(fuse(pair[0], pair[1], WEIGHTS, lead_nats), case)
    assert table.probabilities(WEIGHTS)[0] == pytest.approx(expected, rel=1e-6, abs=1e-9)
