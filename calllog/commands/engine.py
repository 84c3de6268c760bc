"""The options that choose what hears, in; a recogniser and its parser, out; shell."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from calllog.errors import ConfigError, ModelError
from calllog.recognise import Recogniser
from calllog.resources import (
    DEFAULT_GRAMMAR,
    ENCODER_MODELS,
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

    POCKETSPHINX = "pocketsphinx"
    VOSK = "vosk"
    NUMBERS = "numbers"
    ENCODER = "encoder"


NAMES = {
    Engine.POCKETSPHINX: "PocketSphinx",
    Engine.NUMBERS: "the numbers model",
    Engine.ENCODER: "the encoder model",
}
"""Engines whose models travel with the program, in words."""
LANGUAGE_NAMES = {"en": "English", "es": "Spanish"}
"""Languages of these models."""
ModelOption = Annotated[
    Path | None, typer.Option("--model", help="Folder of the engine's model (Vosk needs one).")
]
EngineOption = Annotated[
    list[Engine],
    typer.Option("--engine", help="What hears the calls: one, or several that listen together."),
]
PAIR = [Engine.POCKETSPHINX, Engine.NUMBERS]
THREE = [*PAIR, Engine.ENCODER]
"""Whose odds were put together by measuring, as were those of the first two alone."""
DEFAULT_ENGINES = [Engine.ENCODER]
"""Alone it hears people better than the three together, in a fifth of the time: the others learnt
from synthesisers only, and what they add on synthetic voices they take on people."""
EDITIONS = {
    frozenset([Engine.POCKETSPHINX]): 1,
    frozenset(PAIR): 2,
    frozenset(THREE): 3,
    frozenset(DEFAULT_ENGINES): 4,
}
"""Edition of the joint decoding that was fitted to what hears."""
MODELS = {
    Engine.NUMBERS: {ENGLISH.language: NUMBERS_MODEL},
    Engine.ENCODER: ENCODER_MODELS,
}
"""Folders of the models that travel with the program, by language."""


GrammarOption = Annotated[
    str | None,
    typer.Option(
        "--grammar", help="Language and unit of the calls, such as es-feet; as the job had it."
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
    engines: Sequence[Engine],
    model: Path | None,
    *,
    grammar: str = DEFAULT_GRAMMAR,
    longest: int = 100,
    unit: ReadingUnit | None = None,
    is_live: bool = False,
    voices: Mapping[int, tuple[KnownVoice, ...]] | None = None,
) -> Recogniser:
    """Make what hears; engines are imported only here.

    Args:
        engines: which one, or which that listen together.
        model: folder of the model; where several listen, that of Vosk.
        grammar: name of the grammar that is listened for.
        longest: nominal length of the longest tape, whole units.
        unit: what the tapes are graduated in, and how finely they are read; None for hundredths.
        is_live: a crew waits for each answer.
        voices: for each channel the voices that may be heard in it, which the encoder model knows.

    Raises:
        ConfigError: Vosk without a model, or no engine or one of them twice.
        GrammarError: there is no such grammar.
        ModelError: engine or model are missing or broken, or know another language alone.
    """
    if not 1 <= len(set(engines)) == len(engines):
        raise ConfigError(
            "one engine listens, or several different ones",
            where=" ".join(f"--engine {engine}" for engine in engines),
            next_step="leave --engine out, or name each engine once",
        )
    words, parser = load_words(grammar, longest, unit)
    if len(engines) == 1:
        return _make(engines[0], model, words, is_live=is_live, voices=voices)
    from calllog.recognise.listeners import (  # noqa: PLC0415 - heavy
        PAIR_WEIGHTS,
        WEIGHTS,
        Listeners,
        unfitted,
    )

    if model is not None and Engine.VOSK not in engines:
        raise ConfigError(
            "whose model is this?",
            where=f"--model {model}",
            next_step="name the one engine that it is for with --engine",
        )
    ordered = sorted(engines, key=list(Engine).index)
    with ExitStack() as opened:
        listeners = [
            opened.enter_context(
                _make_among(
                    engine,
                    model if engine is Engine.VOSK else None,
                    words,
                    is_live=is_live,
                    voices=voices,
                )
            )
            for engine in ordered
        ]
        opened.pop_all()
    fitted = {tuple(THREE): WEIGHTS, tuple(PAIR): PAIR_WEIGHTS}
    return Listeners(listeners, parser, fitted.get(tuple(ordered)) or unfitted(len(ordered)))


def _make_among(
    engine: Engine,
    model: Path | None,
    words: Grammar,
    *,
    is_live: bool,
    voices: Mapping[int, tuple[KnownVoice, ...]] | None,
) -> Recogniser:
    """Make one of several; live, PocketSphinx hears beside the others, as it takes the longest."""
    made = _make(engine, model, words, is_live=False, voices=voices)
    if not is_live or engine is not Engine.POCKETSPHINX:
        return made
    from calllog.recognise.beside import HearsBeside  # noqa: PLC0415 - heavy

    return HearsBeside(made)


def _make(
    engine: Engine,
    model: Path | None,
    words: Grammar,
    *,
    is_live: bool,
    voices: Mapping[int, tuple[KnownVoice, ...]] | None,
) -> Recogniser:
    if engine is Engine.VOSK:
        from calllog.recognise.vosk_engine import VoskRecogniser  # noqa: PLC0415 - optional

        if model is None:
            raise ConfigError(
                "Vosk needs a model",
                where="--engine vosk",
                next_step="fetch one as models/README.md says, then add --model models/NAME",
            )
        return VoskRecogniser(words, model)
    language = words.language.partition("-")[0]
    known = MODELS.get(engine, {ENGLISH.language: ""})
    if language not in known:
        heard = " and ".join(LANGUAGE_NAMES[each] for each in known)
        raise ModelError(
            f"{NAMES[engine]} hears {heard} only, not grammar {words.name} ({words.language})",
            next_step="leave --engine out where a model of that language travels with the program,"
            " or take a Vosk model of it (models/README.md): --engine vosk --model FOLDER; or type"
            " on the keypad: --keys-only",
        )
    if engine in MODELS:
        from calllog.recognise.numbers_engine import NumbersRecogniser  # noqa: PLC0415 - heavy

        return NumbersRecogniser(
            words,
            model or model_folder(known[language]),
            voices=voices if engine is Engine.ENCODER else None,
        )
    from calllog.recognise.sphinx_engine import SphinxRecogniser  # noqa: PLC0415 - heavy

    return SphinxRecogniser(words, model, is_live=is_live)


@contextmanager
def open_recogniser(
    engines: Sequence[Engine],
    model: Path | None,
    grammar: str = DEFAULT_GRAMMAR,
    longest: int = 100,
    unit: ReadingUnit | None = None,
    voices: Mapping[int, tuple[KnownVoice, ...]] | None = None,
) -> Iterator[tuple[Recogniser, Parser]]:
    """Open what hears, with the parser of its words."""
    _, parser = load_words(grammar, longest, unit)
    with make_recogniser(
        engines, model, grammar=grammar, longest=longest, unit=unit, voices=voices
    ) as recogniser:
        yield recogniser, parser
