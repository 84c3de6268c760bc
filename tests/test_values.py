"""The crew's nouns: what a day of them takes of a computer's memory, and what they refuse."""

from __future__ import annotations

import gc
import json
import pickle
import tracemalloc

import pytest
from pydantic import ValidationError

from calllog.spoken import Parser
from calllog.values import Alternative, Alternatives, Call, Kind
from tests.crew import Crew

LIKELY = 40
"""Alternatives of a call of the demo, on average."""
CALLS = 500
MOST_BYTES = 2_500
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


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("kind", "fraction", "kind"),
        ("value", 10**13, "value"),
        ("probability", "0.5", "probability"),
    ],
)
def test_an_alternative_is_as_strict_as_any_value(
    call: Call, field: str, value: object, said: str
) -> None:
    """It touches disk."""
    fields = call.alternatives[0]._asdict() | {field: value}
    with pytest.raises(ValidationError, match=said):
        Call.model_validate(dict(call) | {"alternatives": (Alternative(**fields),)})


def test_a_file_states_just_the_fields_of_an_alternative(call: Call) -> None:
    """No more of them, and none is missing."""
    whole = call.model_dump(mode="json")
    one = whole["alternatives"][1]
    less = {key: what for key, what in one.items() if key != "text"}
    for spoilt, field in ((one | {"more": 1}, "more"), (less, "text")):
        with pytest.raises(ValidationError, match=f"1 validation error(?s:.*){field}"):
            Call.model_validate_json(json.dumps(whole | {"alternatives": [spoilt]}))
    assert len(Call.model_validate_json(json.dumps(whole | {"alternatives": [one]})).alternatives)


def test_alternatives_come_back_as_they_were(call: Call) -> None:
    """In order, out of a journal and out of a worker, each like what was heard."""
    heard = tuple(call.alternatives)
    read = Call.model_validate_json(call.model_dump_json())
    assert isinstance(read.alternatives, Alternatives)
    assert (tuple(read.alternatives), len(read.alternatives)) == (heard, LIKELY)
    assert (read.alternatives[3], read.alternatives[-2:]) == (heard[3], heard[-2:])
    assert pickle.loads(pickle.dumps(read)) == read  # noqa: S301 - as it comes from a worker
    assert (read, hash(read.alternatives)) == (call, hash(heard))
    assert Call.model_validate(dict(read)).alternatives is read.alternatives
    assert repr(read.alternatives) == repr(heard)
    assert read.alternatives != heard[1:]
