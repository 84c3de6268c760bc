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
from calllog.resources import grammar_text
from calllog.spoken import Parser, load_grammar


class Engine(StrEnum):
    """What hears."""

    POCKETSPHINX = "pocketsphinx"
    VOSK = "vosk"


ModelOption = Annotated[
    Path | None, typer.Option("--model", help="Folder of the engine's model (Vosk needs one).")
]
EngineOption = Annotated[Engine, typer.Option("--engine", help="What hears the calls.")]


@contextmanager
def open_recogniser(engine: Engine, model: Path | None) -> Iterator[tuple[Recogniser, Parser]]:
    """Open the engine with the shipped grammar; engines are imported only here."""
    text, path = grammar_text()
    grammar = load_grammar(text, str(path))
    recogniser: Recogniser
    if engine is Engine.VOSK:
        from calllog.recognise.vosk_engine import VoskRecogniser  # noqa: PLC0415 - optional

        if model is None:
            raise ConfigError(
                "Vosk needs a model",
                where="--engine vosk",
                next_step="fetch one as models/README.md says, then add --model models/NAME",
            )
        recogniser = VoskRecogniser(grammar, model)
    else:
        from calllog.recognise.sphinx_engine import SphinxRecogniser  # noqa: PLC0415 - heavy

        recogniser = SphinxRecogniser(grammar, model)
    with recogniser:
        yield recogniser, Parser(grammar)
