"""The options that choose what hears, in; a recogniser and its parser, out; shell."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
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
from calllog.spoken import Grammar, Parser, SeveralParser
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
"""Engines whose models travel with the program, in words."""
MODELS = {
    Engine.NUMBERS: {ENGLISH.language: NUMBERS_MODEL},
    Engine.ENCODER: ENCODER_MODELS,
}
"""Folders of these models by the language that they hear."""
LANGUAGES = {"en": "English", "es": "Spanish"}
"""These languages in words."""
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


@dataclass(frozen=True, slots=True)
class HearingOptions:
    """What hears, by which model, and by which grammar."""

    engine: EngineOption = DEFAULT_ENGINE
    model: ModelOption = None
    grammar: GrammarOption = None


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


def is_english(grammar: Grammar) -> bool:
    """Tell whether a crew calls in English, which crews were measured in."""
    return grammar.language.partition("-")[0] == ENGLISH.language


def load_parser(
    names: Sequence[str], longest: int = 100, unit: ReadingUnit | None = None
) -> Parser:
    """Load the parser of a crew that calls by one grammar or several (see `load_words`)."""
    if len(set(names)) == 1:
        return load_words(names[0], longest, unit)[1]
    return SeveralParser([load_words(name, longest, unit)[0] for name in dict.fromkeys(names)])


def make_recogniser(
    engine: Engine,
    model: Path | None,
    *,
    grammar: str = DEFAULT_GRAMMAR,
    longest: int = 100,
    unit: ReadingUnit | None = None,
    voices: Mapping[int, tuple[KnownVoice, ...]] | None = None,
    spoken: Mapping[int, tuple[str, ...]] | None = None,
) -> Recogniser:
    """Make what hears; engines are imported only here.

    Args:
        engine: which one.
        model: folder of its model; None for the one that travels with the program.
        grammar: name of the grammar that is listened for.
        longest: nominal length of the longest tape, whole units.
        unit: what the tapes are graduated in, and how finely they are read; None for hundredths.
        voices: for each channel the voices that may be heard in it, which the encoder model knows.
        spoken: for each channel whose wearers call by other grammars than `grammar` the names of
            theirs.

    Raises:
        ConfigError: Vosk without a model.
        GrammarError: there is no such grammar.
        ModelError: engine or model are missing or broken, or know another language alone.
    """
    if spoken and engine is Engine.ENCODER:
        from calllog.recognise.several import SeveralRecognisers  # noqa: PLC0415 - heavy

        names = dict.fromkeys((grammar, *(name for each in spoken.values() for name in each)))
        made = {
            name: make_recogniser(
                engine,
                model if name == grammar else None,
                grammar=name,
                longest=longest,
                unit=unit,
                voices=voices if name == grammar else None,
            )
            for name in names
        }
        return SeveralRecognisers(made, spoken, (grammar,))
    words, _ = load_words(grammar, longest, unit)
    if engine in MODELS:
        folder = model_for(engine, words)
        model = model or folder
    if engine is Engine.ENCODER and model is not None:
        from calllog.recognise.encoder_engine import EncoderRecogniser  # noqa: PLC0415 - heavy

        return EncoderRecogniser(words, model, voices=voices)
    if model is None:
        raise ConfigError(
            "Vosk needs a model",
            where="--engine vosk",
            next_step="fetch one as models/README.md says, then add --model models/NAME",
        )
    from calllog.recognise.vosk_engine import VoskRecogniser  # noqa: PLC0415 - heavy

    return VoskRecogniser(words, model)


def model_for(engine: Engine, grammar: Grammar) -> Path:
    """Find the folder of the engine's model that hears a grammar's language.

    Raises:
        ModelError: none travels with the program.
    """
    known = MODELS[engine]
    language = grammar.language.partition("-")[0]
    if language not in known:
        heard = " and ".join(LANGUAGES[each] for each in known)
        raise ModelError(
            f"{NAMES[engine]} hears {heard} only, not grammar {grammar.name} ({grammar.language})",
            next_step="leave --engine out if the encoder model hears that language"
            f" ({', '.join(ENCODER_MODELS)}); or take a Vosk model of it (models/README.md):"
            " --engine vosk --model FOLDER; or type on the keypad: --keys-only",
        )
    return model_folder(known[language])


@contextmanager
def open_recogniser(
    engine: Engine,
    model: Path | None,
    grammar: str = DEFAULT_GRAMMAR,
    longest: int = 100,
    unit: ReadingUnit | None = None,
    voices: Mapping[int, tuple[KnownVoice, ...]] | None = None,
    spoken: Mapping[int, tuple[str, ...]] | None = None,
) -> Iterator[tuple[Recogniser, Parser]]:
    """Open what hears, with the parser of its words."""
    others = [name for each in (spoken or {}).values() for name in each]
    parser = load_parser((grammar, *others), longest, unit)
    with make_recogniser(
        engine, model, grammar=grammar, longest=longest, unit=unit, voices=voices, spoken=spoken
    ) as recogniser:
        yield recogniser, parser
