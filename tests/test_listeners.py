"""Several listeners as one: what all hear wins, what one hears alone is doubted."""

from __future__ import annotations

import itertools
import math
import os
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Self

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calllog.audio import Utterance
from calllog.commands.engine import THREE, Engine, make_recogniser
from calllog.errors import ConfigError
from calllog.recognise import Hypothesis, understand
from calllog.recognise.beside import HearsBeside
from calllog.recognise.evidence import ENCODER_CALIBRATION, Evidence, hypotheses
from calllog.recognise.listeners import (
    PAIR_WEIGHTS,
    WEIGHTS,
    Key,
    Listeners,
    Record,
    Weights,
    fuse,
    measures,
    opinion,
    unfitted,
)
from calllog.recognise.sentences import Sentence
from calllog.spoken import Grammar, Parser
from calllog.values import Expectation, Outcome
from tests.bench.fit_listeners import Case, Evidences, Table, meaning, probability

EVEN = Weights((1.0, 1.0), (0.0, 0.0), (0.0, 0.0), 1e-3, 0.0, (0.5, 0.5), 0.0)
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


class SaysWho(Says):
    """Keeps which processes heard."""

    def __init__(self, name: str, *heard: tuple[str, float]) -> None:
        super().__init__(name, *heard)
        self.heard: list[int] = []

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """Hear it."""
        self.heard.append(os.getpid())
        return super().recognise(utterance, expects)


def by_text(text: str) -> Key:
    """Let each wording mean itself."""
    return (text,)


def heard(
    parser: Parser,
    first: Sequence[tuple[str, float]],
    second: Sequence[tuple[str, float]],
    weights: Weights = PAIR_WEIGHTS,
) -> dict[str, float]:
    """Let two listeners hear hundredths; give the texts' probabilities."""
    both = Listeners([Says("a", *first), Says("b", *second)], parser, weights)
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


@pytest.mark.parametrize("weights", [PAIR_WEIGHTS, unfitted(2)])
def test_disagreement_is_asked_and_not_taken(grammar: Grammar, weights: Weights) -> None:
    """Each surely hears something else: neither is taken."""
    parser = Parser(grammar)
    sixty, sixteen = (Says(text, (text, 0.9), ("", 0.1)) for text in ("sixty", "sixteen"))
    found = Listeners([sixty, sixteen], parser, weights).recognise(SOUND, Expectation.FRACTION)
    assert understand(parser, found, Expectation.FRACTION, 10_000).outcome is not Outcome.CALL


def sure_of(*texts: str) -> list[Says]:
    """Make listeners that each are sure of something."""
    return [Says(text, (text, 0.9), ("", 0.1)) for text in texts]


def test_two_outvote_one(grammar: Grammar) -> None:
    """Of three that count alike two hear the same: it is taken, whoever hears something else."""
    parser = Parser(grammar)
    for odd in range(3):
        texts = ["sixteen"] * 3
        texts[odd] = "sixty"
        three = Listeners(sure_of(*texts), parser, unfitted(3))
        found = three.recognise(SOUND, Expectation.FRACTION)
        assert found[0].text == "sixteen"
        assert understand(parser, found, Expectation.FRACTION, 10_000).outcome is Outcome.CALL


@pytest.mark.parametrize("weights", [WEIGHTS, unfitted(3)])
def test_three_that_differ_are_asked(grammar: Grammar, weights: Weights) -> None:
    """Each surely hears another call: none is taken, and what was called is not lost."""
    parser = Parser(grammar)
    for texts in itertools.permutations(("sixty", "sixteen", "sixty six")):
        three = Listeners(sure_of(*texts), parser, weights)
        found = three.recognise(SOUND, Expectation.FRACTION)
        assert understand(parser, found, Expectation.FRACTION, 10_000).outcome is Outcome.ASK


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
    one, other = Says("a", ("sixty", 0.97), ("", 0.03)), Says("b", ("", 0.999))
    both = Listeners([one, other], parser, PAIR_WEIGHTS)
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
    found = fuse(opinions, PAIR_WEIGHTS, (-lead_nats, lead_nats))
    assert math.fsum(h.probability for h in found) == pytest.approx(1.0)
    assert [h.probability for h in found] == sorted((h.probability for h in found), reverse=True)
    assert all(h.probability >= 0.0 for h in found)


def test_measures_are_those_of_the_formula() -> None:
    """Log-odds and agreement of a worked example by hand."""
    one = opinion([Hypothesis("x", 0.6), Hypothesis("y", 0.2), Hypothesis("", 0.2)], by_text)
    two = opinion([Hypothesis("x", 0.45), Hypothesis("z", 0.45), Hypothesis("", 0.1)], by_text)
    doubts, agreed = measures([one, two])
    assert doubts == pytest.approx((math.log(0.8 / 0.2), math.log(0.9 / 0.1)))
    assert agreed == pytest.approx(math.log(0.75 * 0.5))
    doubts, agreed = measures([one, two, one])
    assert len(doubts) == 3
    both = 0.75 * 0.75 + 0.25 * 0.25
    assert agreed == pytest.approx(math.log((0.75 * 0.5 + both + 0.75 * 0.5) / 3))


def test_identity_names_all_and_closing_closes_all(grammar: Grammar) -> None:
    """The journal says who listened; nothing stays open."""
    one, two = Says("one 1"), Says("two 2")
    with Listeners([one, two], Parser(grammar), PAIR_WEIGHTS) as both:
        assert both.identity == "one 1 and two 2"
    both.close()
    assert one.closed == two.closed == 2


def test_one_that_hears_beside_the_others_is_heard_alike(grammar: Grammar) -> None:
    """Live, the first hears in a copy of this process: the same comes out, call after call."""
    parser = Parser(grammar)
    first = ("forty two", 0.6), ("forty four", 0.3)
    second = ("forty two", 0.5), ("forty three", 0.4)
    inner = SaysWho("a", *first)
    beside = HearsBeside(inner)
    with (
        Listeners([Says("a", *first), Says("b", *second)], parser, PAIR_WEIGHTS) as alike,
        Listeners([beside, Says("b", *second)], parser, PAIR_WEIGHTS) as live,
    ):
        assert live.identity == alike.identity
        for _ in range(2):
            said = alike.recognise(SOUND, Expectation.FRACTION)
            assert live.recognise(SOUND, Expectation.FRACTION) == said
        beside.begin(SOUND, Expectation.WHOLE)
        beside.begin(SOUND, Expectation.WHOLE)  # the answer to the first one was never fetched
        assert beside.recognise(SOUND, Expectation.WHOLE) == inner.recognise(
            SOUND, Expectation.WHOLE
        )
        assert inner.heard == [os.getpid()]
    beside.close()
    assert inner.closed == 1


def test_engine_named_twice_is_refused() -> None:
    """Listeners that are one do not check each other."""
    with pytest.raises(ConfigError, match="several different ones"):
        make_recogniser([Engine.POCKETSPHINX, Engine.POCKETSPHINX], None)


def test_model_without_an_owner_is_refused(tmp_path: Path) -> None:
    """Where several listen, a model is Vosk's; for others nobody knows whose it is."""
    with pytest.raises(ConfigError, match="whose model"):
        make_recogniser(THREE, tmp_path)


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
    listeners = [SaysInTurn(*[known[i]] * 10, split[i], split[i]) for i in (0, 1)]
    both = Listeners(listeners, Parser(grammar), weights)
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
    record = Record(2)
    assert record.meet(1.0) == (0.0, 0.0)
    record.note([unsure, sure], settled)
    ahead = math.log(3.0) / (0.9 * 5 + 1)
    assert record.leads_nats == pytest.approx((-ahead, ahead))
    record.meet(2.0)
    record.note([unsure, sure], [Hypothesis("x", 0.7), Hypothesis("", 0.3)])
    record.note([unsure, sure], [Hypothesis("", 0.95), Hypothesis("x", 0.05)])
    record.note([unsure, sure], [])
    assert record.leads_nats == pytest.approx((-ahead, ahead))
    deaf = opinion([Hypothesis("", 0.9999)], by_text)
    for at in range(3, 99):
        record.meet(float(at))
        record.note([deaf, sure], settled)
    assert record.leads_nats == (-3.0, 3.0)


def test_lead_of_three_is_over_the_mean_of_the_others() -> None:
    """By hand: one gave a call 0.9, the others 0.3 and 0.1."""
    given = [
        opinion([Hypothesis("x", share), Hypothesis("", 1.0 - share)], by_text)
        for share in (0.9, 0.3, 0.1)
    ]
    record = Record(3)
    record.meet(1.0)
    record.note(given, [Hypothesis("x", 0.95), Hypothesis("", 0.05)])
    logs = [math.log(share) for share in (0.9, 0.3, 0.1)]
    leads = [2.0 * logs[0] - logs[1] - logs[2], 2.0 * logs[1] - logs[0] - logs[2]]
    assert record.leads_nats[:2] == pytest.approx([lead / 2.0 / 5.5 for lead in leads])
    assert math.fsum(record.leads_nats) == pytest.approx(0.0)


def test_what_is_heard_again_counts_once() -> None:
    """An utterance that went on after a pause stands in place of what was heard of it before."""
    sure = opinion([Hypothesis("x", 0.9), Hypothesis("", 0.1)], by_text)
    unsure = opinion([Hypothesis("x", 0.3), Hypothesis("", 0.7)], by_text)
    settled = [Hypothesis("x", 0.95), Hypothesis("", 0.05)]
    once, twice = Record(2), Record(2)
    for record, times in ((once, 1), (twice, 2)):
        for _ in range(times):
            record.meet(1.0)
            record.note([unsure, sure], settled)
    assert twice.leads_nats == once.leads_nats


def test_calls_heard_differently_settle_nothing() -> None:
    """However sure both together are: else whoever is ahead would get further ahead."""
    record = Record(2)
    record.meet(1.0)
    one, other = (opinion([Hypothesis(text, 0.9), Hypothesis("", 0.1)], by_text) for text in "xy")
    record.note([one, other], [Hypothesis("y", 0.95), Hypothesis("", 0.05)])
    assert record.leads_nats == (0.0, 0.0)
    nothing = opinion([Hypothesis("x", 0.4), Hypothesis("", 0.6)], by_text)
    record.note([nothing, other], [Hypothesis("y", 0.95), Hypothesis("", 0.05)])
    assert record.leads_nats[1] > 0.0


@given(
    st.lists(st.tuples(SHARES, st.floats(0.0, 0.99)), min_size=3, max_size=3),
    st.tuples(*[st.floats(-3.0, 3.0)] * 3),
)
def test_the_fit_weighs_as_the_program_does(
    says: list[tuple[list[float], float]], leads_nats: tuple[float, ...]
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
        for of, no in says
    ]
    truth = meaning("forty two", expects)
    nothing = Evidence((), (), 0.0, 0.0, 0.0, 1, 0.0, {})
    case = Case("", "", truth, expects, tuple(said[0]), nothing, nothing, leads_nats)
    three = [opinion(each, lambda text: meaning(text, expects)) for each in said]
    table = Table([case], [three])
    expected = probability(fuse(three, WEIGHTS, leads_nats), case)
    assert table.probabilities(WEIGHTS)[0] == pytest.approx(expected, rel=1e-6, abs=1e-9)


NATS = st.floats(-120.0, 0.0)


@given(
    st.dictionaries(st.sampled_from(["forty two", "fifty", "five"]), NATS, max_size=3),
    st.dictionaries(st.sampled_from(["five", "strike that", "watch your step"]), NATS),
    st.tuples(st.floats(0.0, 5.0), st.floats(0.0, 5.0)),
    NATS,
    st.floats(0.0, 1.0),
    st.sampled_from([("forty two",), ("watch your step",), ("never said",)]),
)
def test_the_fit_of_a_model_weighs_as_the_program_does(
    first: dict[str, float],
    also: dict[str, float],
    more: tuple[float, float],
    loop_nats: float,
    spoken: float,
    truth: tuple[str],
) -> None:
    """What is fitted as arrays are the sums of `hypotheses`, with few sentences and with none."""
    expects = Expectation.FRACTION
    listed = [
        tuple(Sentence(text, nats) for text, nats in sorted(each.items(), key=lambda e: -e[1]))
        for each in (first, also)
    ]
    totals = [
        float(np.logaddexp.reduce([s.nats for s in each])) + extra if each else -math.inf
        for each, extra in zip(listed, more, strict=True)
    ]
    units = {text: 3 for each in (first, also) for text in each}
    heard = Evidence(listed[0], listed[1], totals[0], totals[1], loop_nats, 40, spoken, units)
    case = Case("", "", meaning(truth[0], expects), expects, (), heard, heard)
    expected = probability(hypotheses(heard, ENCODER_CALIBRATION), case)
    found = Evidences([case], [heard]).probabilities(ENCODER_CALIBRATION)
    assert found[0] == pytest.approx(expected, rel=1e-6, abs=1e-9)
