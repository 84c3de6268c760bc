"""The shipped numbers models on spoken clips: alone, in the stock Vosk runtime, and with others."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from calllog.commands.engine import DEFAULT_ENGINES, MODELS, Engine, make_recogniser
from calllog.recognise import Recogniser
from calllog.recognise.vosk_engine import VoskRecogniser
from calllog.resources import ENCODER_MODEL, model_folder
from calllog.spoken import Grammar, Meaning, Parser
from calllog.values import Kind, Outcome
from tests.audio.clips import ALL
from tests.heard_once import hearing_once, numbers_once
from tests.test_recognise_sphinx import LIMIT, expected_of, listen, name_of, talk

pytestmark = pytest.mark.slow

MISHEARD = {"flite-kal16/tape_number_two"}
"""A command that the numbers model takes for a number; the others hear it."""

CALLS = [path for path in ALL if not path.stem.startswith("reject_")]
LARGEST = 6_000_000
"""Bytes that both may take in the repository."""


@pytest.fixture(scope="module")
def numbers(grammar: Grammar, heard: Path) -> Iterator[Recogniser]:
    """Open the numbers model of Vosk's layout alone."""
    with numbers_once(heard, grammar, model_folder()) as recogniser:
        yield recogniser


@pytest.fixture(scope="module")
def encoder(grammar: Grammar, heard: Path) -> Iterator[Recogniser]:
    """Open the one behind a speech encoder alone."""
    with numbers_once(heard, grammar, model_folder(ENCODER_MODEL)) as recogniser:
        yield recogniser


@pytest.fixture(scope="module")
def together(heard: Path) -> Iterator[Recogniser]:
    """Open all listeners."""
    with hearing_once(heard), make_recogniser(DEFAULT_ENGINES, None) as recogniser:
        yield recogniser


@pytest.fixture(scope="module")
def stock(grammar: Grammar) -> Iterator[VoskRecogniser]:
    """Open the model in Vosk's own runtime, with its fixed graph."""
    with VoskRecogniser(grammar, model_folder()) as recogniser:
        yield recogniser


def test_models_are_small_and_named() -> None:
    """Both travel in the repository, and the journal learns which they were."""
    paths = [path for name in MODELS.values() for path in model_folder(name).rglob("*")]
    assert sum(path.stat().st_size for path in paths if path.is_file()) <= LARGEST
    with make_recogniser([Engine.NUMBERS, Engine.ENCODER], None) as opened:
        assert all(name in opened.identity for name in MODELS.values())


@pytest.mark.parametrize("path", CALLS, ids=name_of)
def test_each_clip_means_its_name(
    numbers: Recogniser, encoder: Recogniser, parser: Parser, path: Path
) -> None:
    """Alone each hears what the clip's name says, or asks; never another value."""
    expects = expected_of(path.stem)
    meant = parser.parse(path.stem.replace("_", " "), expects, LIMIT)
    assert isinstance(meant, Meaning)
    for alone in [encoder] if name_of(path) in MISHEARD else [encoder, numbers]:
        (got,) = listen(alone, parser, path, expects)
        if got.outcome is Outcome.CALL:
            assert (got.kind, got.value, got.name) == (meant.kind, meant.value, meant.name)
            assert (got.amount, got.note) == (meant.amount, meant.note)


@pytest.mark.parametrize("path", CALLS, ids=name_of)
def test_all_together_hear_each_clip(together: Recogniser, parser: Parser, path: Path) -> None:
    """The listeners take each clip as its name says."""
    expects = expected_of(path.stem)
    meant = parser.parse(path.stem.replace("_", " "), expects, LIMIT)
    assert isinstance(meant, Meaning)
    (got,) = listen(together, parser, path, expects)
    assert (got.kind, got.value, got.name) == (meant.kind, meant.value, meant.name)
    assert (got.amount, got.note) == (meant.amount, meant.note)
    assert got.outcome is (Outcome.IGNORED if meant.kind is Kind.CHATTER else Outcome.CALL)


@pytest.mark.parametrize(("path", "expects"), list(talk()))
def test_talk_is_no_call(together: Recogniser, parser: Parser, path: Path, expects: object) -> None:
    """A sentence that the grammar does not know is not booked by several listeners either."""
    found = listen(together, parser, path, expects)  # type: ignore[arg-type]
    assert all(got.outcome is not Outcome.CALL for got in found)


def test_numbers_alone_take_most_clips(numbers: Recogniser, parser: Parser) -> None:
    """It asks about few of the clips: refusing all of them would be no answer."""
    found = [got for path in CALLS for got in listen(numbers, parser, path, expected_of(path.stem))]
    talked = (Outcome.CALL, Outcome.IGNORED)
    sure = sum(got.outcome in talked and got.kind is not Kind.UNCLEAR for got in found)
    assert sure >= 0.8 * len(CALLS), f"{sure} of {len(CALLS)}"


def test_stock_vosk_hears_most_clips_right(stock: VoskRecogniser, parser: Parser) -> None:
    """Nine tenths of the clips come out of Vosk's runtime with the meaning of their names.

    Its graph is that of any call, so that it knows less of what is expected.
    """
    right = 0
    for path in CALLS:
        expects = expected_of(path.stem)
        meant = parser.parse(path.stem.replace("_", " "), expects, LIMIT)
        assert isinstance(meant, Meaning)
        found = listen(stock, parser, path, expects)
        right += any((got.kind, got.value) == (meant.kind, meant.value) for got in found)
    assert right >= 0.9 * len(CALLS), f"{right} of {len(CALLS)}"
