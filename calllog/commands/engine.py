"""The options that choose what hears, in; a recogniser and its parser, out; shell."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
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
EngineOption = Annotated[
    list[Engine],
    typer.Option("--engine", help="What hears the calls; give it twice and both listen."),
]
DEFAULT_ENGINES = [Engine.POCKETSPHINX]
MOST_ENGINES = 2


def load_words() -> tuple[Grammar, Parser]:
    """Load the shipped grammar, and the parser that says what its words mean."""
    text, path = grammar_text()
    grammar = load_grammar(text, str(path))
    return grammar, Parser(grammar)


def make_recogniser(
    engines: Sequence[Engine], model: Path | None, *, is_live: bool = False
) -> Recogniser:
    """Make what hears; engines are imported only here.

    Args:
        engines: which one, or which two that listen together.
        model: folder of the model; where two listen, that of Vosk.
        is_live: a crew waits for each answer.

    Raises:
        ConfigError: Vosk without a model, or not one engine or two different ones.
        ModelError: engine or model are missing or broken.
    """
    if not 1 <= len(set(engines)) == len(engines) <= MOST_ENGINES:
        raise ConfigError(
            "one engine listens, or two different ones",
            where=" ".join(f"--engine {engine}" for engine in engines),
            next_step="leave --engine out, or name each engine once",
        )
    if len(engines) == 1:
        return _make(engines[0], model, is_live=is_live)
    from calllog.recognise.two_listeners import TwoListeners  # noqa: PLC0415 - heavy

    if model is not None and Engine.VOSK not in engines:
        raise ConfigError(
            "whose model is this?",
            where=f"--model {model}",
            next_step="name the one engine that it is for with --engine",
        )
    models = [model if engine is Engine.VOSK else None for engine in engines]
    _, parser = load_words()
    first = _make(engines[0], models[0], is_live=is_live)
    try:
        second = _make(engines[1], models[1], is_live=is_live)
    except BaseException:
        first.close()
        raise
    return TwoListeners(first, second, parser)


def _make(engine: Engine, model: Path | None, *, is_live: bool) -> Recogniser:
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
def open_recogniser(
    engines: Sequence[Engine], model: Path | None
) -> Iterator[tuple[Recogniser, Parser]]:
    """Open what hears, with the parser of its words."""
    _, parser = load_words()
    with make_recogniser(engines, model) as recogniser:
        yield recogniser, parser
