"""Lets a listener hear the spoken clips, each named by what is said in it."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from _pytest.mark.structures import ParameterSet

from calllog.recognise import Heard, Recogniser, understand
from calllog.spoken import Parser
from calllog.values import Expectation
from tests.audio.clips import ALL, clip, heard

LIMIT = 10_000
EXPECTED = {"fifteen_forty_two": Expectation.READING, "forty_two": Expectation.FRACTION}
"""What is expected for a clip; hundredths begin with "oh", all others are heard by the rear."""


def name_of(path: Path) -> str:
    """Name a clip by its voice and its words."""
    return f"{path.parent.name}/{path.stem}"


def talk() -> Iterator[ParameterSet]:
    """List the clips of talk under every expectation."""
    for path, expects in itertools.product(ALL, Expectation):
        if path.stem.startswith("reject_"):
            yield pytest.param(path, expects, id=f"{name_of(path)}-{expects}")


def expected_of(words: str) -> Expectation:
    """Tell whose grammar a clip belongs to."""
    if words.startswith("oh_"):
        return Expectation.FRACTION
    return EXPECTED.get(words, Expectation.WHOLE)


def listen(engine: Recogniser, parser: Parser, path: Path, expects: Expectation) -> list[Heard]:
    """Hear a clip as the program does: find the utterances, recognise, understand."""
    found = [replace(u, source=str(path)) for u in heard(clip(path.parent.name, path.stem))]
    return [understand(parser, engine.recognise(u, expects), expects, LIMIT) for u in found]
