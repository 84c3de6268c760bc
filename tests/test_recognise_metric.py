"""Metric calls by voice: the built-in engine hears them, since their words are English."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from calllog.hearing import hear_file
from calllog.recognise import Recogniser
from calllog.resources import read_grammar
from calllog.spoken import Grammar, Parser
from calllog.values import Expectation, Kind, Outcome, ReadingUnit
from calllog.wording import ENGLISH
from tests.heard_once import encoder_once

AUDIO = Path(__file__).parent / "audio"
LIMIT = 3000
"""Of a tape of 30 m."""


@pytest.fixture(scope="module")
def grammar() -> Grammar:
    """Load the English metric grammar."""
    return read_grammar("en-metric")


@pytest.fixture(scope="module")
def engine(grammar: Grammar, heard: Path) -> Iterator[Recogniser]:
    """Open the engine, whose lexicon must know every word of the grammar."""
    with encoder_once(heard, grammar) as opened:
        yield opened


@pytest.mark.parametrize(
    ("name", "expects", "kind", "value"),
    [
        ("flite-slt/fifteen", Expectation.WHOLE, Kind.WHOLE, 1500),
        ("flite-rms/forty_two", Expectation.FRACTION, Kind.FRACTION, 42),
        ("flite-rms/fifteen_forty_two", Expectation.READING, Kind.READING, 1542),
    ],
)
def test_numbers_are_heard_as_on_a_tape_in_feet(
    engine: Recogniser,
    grammar: Grammar,
    name: str,
    expects: Expectation,
    kind: Kind,
    value: int,
) -> None:
    """The words of numbers are the same; only the unit of what they mean is another."""
    heard = hear_file(AUDIO / f"{name}.flac", engine, Parser(grammar), expects, LIMIT).heard
    assert heard is not None
    assert (heard.kind, heard.value) == (kind, value)


def test_mark_beyond_a_metric_tape_is_asked_in_metres(engine: Recogniser, grammar: Grammar) -> None:
    """A tape of 30 m has no hundred, and the question says so."""
    path = AUDIO / "flite-rms" / "one_hundred.flac"
    heard = hear_file(path, engine, Parser(grammar), Expectation.WHOLE, LIMIT).heard
    assert heard is not None
    assert heard.outcome is Outcome.ASK
    assert ENGLISH.measured_in(ReadingUnit.METRE).say(heard.reason) == (
        "one hundred is beyond this 30 m tape"
    )
