"""The options that choose what hears, in; a recogniser and its parser, out; shell."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from calllog.errors import ConfigError
from calllog.recognise import Recogniser
from calllog.resources import grammar_text, model_folder
from calllog.spoken import Grammar, Parser, load_grammar


class Engine(StrEnum):
    """What hears."""

    POCKETSPHINX = "pocketsphinx"
    VOSK = "vosk"
    NUMBERS = "numbers"


ModelOption = Annotated[
    Path | None, typer.Option("--model", help="Folder of the engine's model (Vosk needs one).")
]
EngineOption = Annotated[Engine, typer.Option("--engine", help="What hears the calls.")]


def load_words() -> tuple[Grammar, Parser]:
    """Load the shipped grammar, and the parser that says what its words mean."""
    text, path = grammar_text()
    grammar = load_grammar(text, str(path))
    return grammar, Parser(grammar)


def make_recogniser(engine: Engine, model: Path | None, *, is_live: bool = False) -> Recogniser:
    """Make what hears; engines are imported only here.

    Args:
        engine: which one.
        model: folder of its model.
        is_live: a crew waits for each answer.

    Raises:
        ConfigError: Vosk without a model.
        ModelError: engine or model are missing or broken.
    """
    grammar, _ = load_words()
    if engine is Engine.VOSK:
        from calllog.recognise.vosk_engine import VoskRecogniser  # noqa: PLC0415 - optional

        if model is None:
            raise ConfigError(
                "Vosk needs a model",
                where="--engine vosk",
                next_step="fetch one as models/README.md says, then add --model models/NAME",
            )
        return VoskRecogniser(grammar, model)
    if engine is Engine.NUMBERS:
        from calllog.recognise.numbers_engine import NumbersRecogniser  # noqa: PLC0415 - heavy

        return NumbersRecogniser(grammar, model or model_folder())
    from calllog.recognise.sphinx_engine import SphinxRecogniser  # noqa: PLC0415 - heavy

    return SphinxRecogniser(grammar, model, is_live=is_live)


@contextmanager
def open_recogniser(engine: Engine, model: Path | None) -> Iterator[tuple[Recogniser, Parser]]:
    """Open what hears, with the parser of its words."""
    _, parser = load_words()
    with make_recogniser(engine, model) as recogniser:
        yield recogniser, parser
