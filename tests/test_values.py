"""The crew's nouns: what a day of them takes of a computer's memory, and what they refuse."""

from __future__ import annotations

import gc
import pickle
import tracemalloc

import pytest
from pydantic import ValidationError

from calllog.spoken import Parser
from calllog.values import Alternative, Call, Kind
from tests.crew import Crew

LIKELY = 40
"""Alternatives of a call of the demo, on average."""
CALLS = 500
MOST_BYTES = 8_000
"""Of a call; where alternatives were models, it was 26,000, and eight hours of a crew that never
rests took 478 MB (`tests.bench.bench_endurance`)."""


@pytest.fixture
def call(parser: Parser) -> Call:
    """A call as a recogniser hears it."""
    crew = Crew(parser).say("r: fifteen")
    others = tuple(
        Alternative(text=f"words {each}", kind=Kind.WHOLE, value=each * 100, probability=each / 100)
        for each in range(LIKELY)
    )
    return crew.heard[0].model_copy(update={"alternatives": others})


def test_a_day_of_calls_takes_little_memory(call: Call) -> None:
    """As they are read from a journal, each out of its own text."""
    text = call.model_dump_json()
    Call.model_validate_json(text)
    gc.collect()
    tracemalloc.start()
    calls = [Call.model_validate_json(text) for _ in range(CALLS)]
    taken, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert calls[0] == call
    assert taken / CALLS < MOST_BYTES


def test_a_copy_of_a_call_says_for_itself_what_it_states(call: Call) -> None:
    """Calls share the set of what they state; one that is changed has its own."""
    stated = Call.model_validate_json(call.model_dump_json(exclude={"is_live"}))
    live = stated.model_copy(update={"is_live": True})
    assert live.model_fields_set == {*stated.model_fields_set, "is_live"}
    assert "is_live" not in stated.model_fields_set


def test_an_alternative_is_as_strict_as_any_value() -> None:
    """It touches disk."""
    heard = Alternative(text="forty two", kind=Kind.FRACTION, value=42, probability=0.5)
    assert pickle.loads(pickle.dumps(heard)) == heard  # noqa: S301 - as it comes from a worker
    with pytest.raises(ValidationError, match="kind"):
        Alternative(text="x", kind="fraction", value=1, probability=1.0)  # type: ignore[arg-type]
    with pytest.raises(ValidationError, match="more"):
        Alternative(text="x", kind=Kind.FRACTION, value=1, probability=1.0, more=1)  # type: ignore[call-arg]
    with pytest.raises(AttributeError):
        heard.value = 43  # type: ignore[misc]
