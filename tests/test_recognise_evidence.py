"""What turns the numbers model's evidence into odds, and views of one sound into one."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from calllog.recognise.evidence import (
    CALIBRATION,
    DEPTH_NATS,
    FEATURES,
    MOST_SENTENCES,
    SURE,
    Evidence,
    ScoreCalibration,
    average,
    features,
    hypotheses,
    is_sure,
)
from calllog.recognise.sentences import Sentence

EVIDENCE = Evidence(
    first=(Sentence("nine", -10.0), Sentence("five", -13.0)),
    also=(Sentence("line finished", -9.0), Sentence("nine", -12.0)),
    first_nats=math.log(math.exp(-10.0) + math.exp(-13.0)),
    also_nats=math.log(math.exp(-9.0) + math.exp(-12.0) + math.exp(-12.0)),
    loop_nats=-16.0,
    frames=30,
    spoken=0.25,
    units={"nine": 3, "five": 3, "line finished": 9},
)
"""Half of what is not listed among everything else is missing from its sentences."""
PLAIN = ScoreCalibration(
    1e-4, 0.03, also_nats=5.0, temperature=2.0, intercept=0.5, weights=(0.0,) * 5
)


def test_probabilities_are_tempered_likelihoods_and_priors() -> None:
    """Worked out by hand: odds of nats over temperature, the prior, what is not listed, no call."""
    odds = {"nine": 1.0, "five": math.exp(-1.5), "line finished": math.exp(-2.0)}
    total = sum(odds.values()) + math.exp((-12.0 - 5.0 + 10.0) / 2.0)
    is_call = 1.0 / (1.0 + math.exp(-0.5))
    found = {each.text: each.probability for each in hypotheses(EVIDENCE, PLAIN)}
    assert found == pytest.approx(
        {"": 1.0 - is_call} | {text: is_call * odd / total for text, odd in odds.items()}
    )


def test_features_measure_the_best_sentence() -> None:
    """Worked out by hand; each moves the probability of a call by its weight."""
    measured = dict(zip(FEATURES, features(EVIDENCE, PLAIN), strict=True))
    best = {each.text: each.probability for each in hypotheses(EVIDENCE, PLAIN)}
    assert measured["fit"] == pytest.approx(2.0)
    assert measured["lead"] == pytest.approx(best["nine"] / (1.0 - best[""]))
    assert measured["spoken"] == 0.25
    assert measured["pace"] == pytest.approx(math.log(10.0))
    assert measured["also"] == 0.0
    assert features(EVIDENCE, replace(PLAIN, also_nats=0.0))[-1] == 1.0
    weighted = replace(PLAIN, intercept=0.0, weights=(1.0, 2.0, 3.0, 4.0, 5.0))
    logit = 2.0 + 2.0 * measured["lead"] + 0.75 + 4.0 * math.log(10.0)
    (none,) = (each for each in hypotheses(EVIDENCE, weighted) if not each.text)
    assert 1.0 - none.probability == pytest.approx(1.0 / (1.0 + math.exp(-logit)))


def test_calibration_is_complete() -> None:
    """The values in use have a weight for each feature, and are possible."""
    assert len(CALIBRATION.weights) == len(FEATURES)
    assert 0.0 < CALIBRATION.floor < 0.01
    assert 0.0 < CALIBRATION.loop_weight <= 1.0
    assert CALIBRATION.temperature >= 1.0


NOTHING = Evidence((), (), -math.inf, -math.inf, 0.0, 0, 0.0, {})


def view(first: dict[str, float], left: float = 0.0) -> Evidence:
    """Give evidence of expected sentences alone; ``left`` is the likelihood of those not listed."""
    listed = tuple(Sentence(text, nats) for text, nats in first.items())
    total = math.log(left + sum(math.exp(each.nats) for each in listed))
    units = dict.fromkeys(first, 3)
    return Evidence(listed, (), total, -math.inf, -16.0, 30, 0.25, units)


def test_views_are_averaged_by_sentence() -> None:
    """Worked out by hand: means of what both list, likeliest first; all else is a mean too."""
    slow = view({"five": -10.0, "nine": -12.0})
    fast = replace(view({"nine": -9.0, "five": -13.0}), loop_nats=-20.0, frames=27, spoken=0.35)
    found = average((slow, fast))
    assert [(each.text, each.nats) for each in found.first] == [("nine", -10.5), ("five", -11.5)]
    assert found.first_nats == pytest.approx(math.log(math.exp(-10.5) + math.exp(-11.5)), abs=1e-6)
    assert (found.loop_nats, found.frames, found.spoken) == (-18.0, 30, 0.3)


def test_one_that_a_view_does_not_list_counts_as_the_most_it_can_have() -> None:
    """Less than the depth of a short list, or the last of a full one."""
    full = view({f"s{n}": -10.0 - n for n in range(MOST_SENTENCES)})
    found = {e.text: e.nats for e in average((view({"nine": -8.0, "s0": -9.0}), full)).first}
    assert found["nine"] == (-8.0 - 10.0 - (MOST_SENTENCES - 1)) / 2
    assert found["s0"] == -9.5
    assert found["s1"] == (-8.0 - DEPTH_NATS - 11.0) / 2


def test_views_that_contradict_are_not_sure_and_leave_nothing_over() -> None:
    """Each is certain alone; together the two share the odds, and hardly any is left unlisted."""
    one, other = view({"nine": -5.0, "five": -25.0}), view({"five": -5.0, "nine": -25.0})
    assert is_sure(one)
    assert is_sure(other)
    both = average((one, other))
    assert not is_sure(both)
    found = {each.text: each.probability for each in hypotheses(both, PLAIN)}
    assert found["nine"] == pytest.approx(found["five"])
    assert math.fsum(found.values()) == pytest.approx(1.0, abs=0.01)


def test_what_is_left_over_stays_left_over() -> None:
    """Half of each view's likelihood is unlisted, so it is of their average."""
    half = view({"nine": -5.0}, left=math.exp(-5.0))
    both = average((half, half))
    assert both.first_nats == pytest.approx(half.first_nats)
    assert not is_sure(both)


def test_a_view_without_sentences_does_not_count() -> None:
    """Too short a sound at one speed changes nothing; no sentence at any speed stays nothing."""
    one = view({"nine": -5.0, "five": -25.0})
    assert average((one, NOTHING)).first == one.first
    assert average((NOTHING, one)).first == one.first
    assert average((NOTHING, NOTHING)) == NOTHING
    assert not is_sure(NOTHING)


def test_sureness_is_the_share_of_the_best() -> None:
    """Whether expected or not."""
    for share in (SURE - 0.01, SURE + 0.01):
        nats = CALIBRATION.temperature * math.log(share / (1.0 - share))
        one = view({"nine": 0.0, "five": -nats})
        assert is_sure(one) is (share > SURE)
