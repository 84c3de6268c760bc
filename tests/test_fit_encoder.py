"""The fit of the encoder model's calibration."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calllog.recognise.evidence import CALIBRATION, Evidence, hypotheses
from calllog.recognise.sentences import Sentence
from calllog.values import Expectation
from tests.bench.fit_encoder import Case, Evidences, meaning, probability

NATS = st.floats(-120.0, 0.0)


@given(
    st.dictionaries(st.sampled_from(["forty two", "fifty", "five"]), NATS, max_size=3),
    st.dictionaries(st.sampled_from(["five", "strike that", "watch your step"]), NATS),
    st.tuples(st.floats(0.0, 5.0), st.floats(0.0, 5.0)),
    NATS,
    st.floats(0.0, 1.0),
    st.sampled_from([("forty two",), ("watch your step",), ("never said",)]),
)
def test_the_fit_weighs_as_the_program_does(
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
    case = Case("", "", meaning(truth[0], expects), expects, heard)
    expected = probability(hypotheses(heard, CALIBRATION), case)
    found = Evidences([case], [heard]).probabilities(CALIBRATION)
    assert found[0] == pytest.approx(expected, rel=1e-6, abs=1e-9)
