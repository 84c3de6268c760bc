"""The options that choose what hears, in; a recogniser and its parser, out; shell."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from calllog.errors import ConfigError, ModelError
from calllog.recognise import Recogniser
from calllog.resources import (
    DEFAULT_GRAMMAR,
    ENCODER_MODEL,
    NUMBERS_MODEL,
    model_folder,
    read_grammar,
)
from calllog.spoken import Grammar, Parser
from calllog.values import ReadingUnit
from calllog.wording import ENGLISH

if TYPE_CHECKING:
    from calllog.recognise.known_voice import KnownVoice


class Engine(StrEnum):
    """What hears."""

    ENCODER = "encoder"
    NUMBERS = "numbers"
    VOSK = "vosk"


NAMES = {Engine.NUMBERS: "the numbers model", Engine.ENCODER: "the encoder model"}
"""Engines whose models are English, in words."""
DEFAULT_ENGINE = Engine.ENCODER
"""It alone learnt from people; Vosk's runtime runs the two others."""
ModelOption = Annotated[
    Path | None, typer.Option("--model", help="Folder of the engine's model (Vosk needs one).")
]
EngineOption = Annotated[Engine, typer.Option("--engine", help="What hears the calls.")]


GrammarOption = Annotated[
    str | None,
    typer.Option(
        "--grammar",
        help="Language and unit of the calls, such as es-feet; left out, as in the job.",
    ),
]


def load_words(
    name: str = DEFAULT_GRAMMAR, longest: int = 100, unit: ReadingUnit | None = None
) -> tuple[Grammar, Parser]:
    """Load a grammar by its name, and the parser that says what its words mean.

    Args:
        name: of the grammar.
        longest: nominal length of the longest tape, whole units.
        unit: what the tapes are graduated in, and how finely they are read; None for hundredths.
    """
    grammar = read_grammar(name).reaching(longest)
    if unit is not None:
        grammar = grammar.reading(unit)
    return grammar, Parser(grammar)


def make_recogniser(
    engine: Engine,
    model: Path | None,
    *,
    grammar: str = DEFAULT_GRAMMAR,
    longest: int = 100,
    unit: ReadingUnit | None = None,
    voices: Mapping[int, tuple[KnownVoice, ...]] | None = None,
) -> Recogniser:
    """Make what hears; engines are imported only here.

    Args:
        engine: which one.
        model: folder of its model; None for the one that travels with the program.
        grammar: name of the grammar that is listened for.
        longest: nominal length of the longest tape, whole units.
        unit: what the tapes are graduated in, and how finely they are read; None for hundredths.
        voices: for each channel the voices that may be heard in it, which the encoder model knows.

    Raises:
        ConfigError: Vosk without a model.
        GrammarError: there is no such grammar.
        ModelError: engine or model are missing or broken, or know another language alone.
    """
    words, _ = load_words(grammar, longest, unit)
    if engine in NAMES and words.language.partition("-")[0] != ENGLISH.language:
        raise ModelError(
            f"{NAMES[engine]} hears English only, not grammar {words.name} ({words.language})",
            next_step="take a Vosk model of that language (models/README.md): --engine vosk"
            " --model FOLDER; or type on the keypad: --keys-only",
        )
    if engine is Engine.ENCODER:
        from calllog.recognise.encoder_engine import EncoderRecogniser  # noqa: PLC0415 - heavy

        return EncoderRecogniser(words, model or model_folder(ENCODER_MODEL), voices=voices)
    if engine is Engine.NUMBERS:
        model = model or model_folder(NUMBERS_MODEL)
    if model is None:
        raise ConfigError(
            "Vosk needs a model",
            where="--engine vosk",
            next_step="fetch one as models/README.md says, then add --model models/NAME",
        )
    from calllog.recognise.vosk_engine import VoskRecogniser  # noqa: PLC0415 - heavy

    return VoskRecogniser(words, model)


@contextmanager
def open_recogniser(
    engine: Engine,
    model: Path | None,
    grammar: str = DEFAULT_GRAMMAR,
    longest: int = 100,
    unit: ReadingUnit | None = None,
    voices: Mapping[int, tuple[KnownVoice, ...]] | None = None,
) -> Iterator[tuple[Recogniser, Parser]]:
    """Open what hears, with the parser of its words."""
    _, parser = load_words(grammar, longest, unit)
    with make_recogniser(
        engine, model, grammar=grammar, longest=longest, unit=unit, voices=voices
    ) as recogniser:
        yield recogniser, parser
