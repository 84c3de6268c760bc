"""Files that travel with the program: grammars and models; shell."""

import errno
import re
from pathlib import Path

from calllog.errors import GrammarError
from calllog.spoken import Grammar, load_grammar
from calllog.wording import ENGLISH, Words, language_words, languages

PACKAGE = Path(__file__).resolve().parent
DEFAULT_GRAMMAR = "en-us-feet"
_NAME = re.compile(r"[A-Za-z0-9_-]{1,40}")
NUMBERS_MODEL, ENCODER_MODEL = "numbers-en-us", "encoder-en-us"
"""What hears numbers by itself, and behind a speech encoder, in English."""
ENCODER_MODELS = {"en": ENCODER_MODEL, "es": "encoder-es"}
"""What hears numbers behind the speech encoder, by language."""


def grammar_folder() -> Path:
    """Find the grammars: inside an installed package, else at the top of the source tree."""
    installed = PACKAGE / "grammars"
    return installed if installed.is_dir() else PACKAGE.parent / "grammars"


def model_folder(name: str) -> Path:
    """Name the folder of a model that travels with the program; whoever opens it checks it."""
    installed = PACKAGE / "models" / name
    return installed if installed.is_dir() else PACKAGE.parent / "models" / name


def grammar_text(name: str = DEFAULT_GRAMMAR) -> tuple[str, Path]:
    """Read a grammar that travels with the program.

    Returns:
        Its text and where it was read.

    Raises:
        GrammarError: there is no grammar of that name, or it cannot be read.
    """
    path = grammar_folder() / f"{name}.toml"
    try:
        if not _NAME.fullmatch(name):  # it may come from a stranger's job
            raise FileNotFoundError(errno.ENOENT, "that is no name of a grammar")
        return path.read_text(encoding="utf-8"), path
    except (OSError, UnicodeDecodeError) as error:
        known = sorted(file.stem for file in grammar_folder().glob("*.toml"))
        raise GrammarError(
            f"no grammar {name} can be read: {error}",
            where=str(path),
            next_step=f"there are: {', '.join(known) or 'none; reinstall calllog'}",
        ) from error


def read_grammar(name: str = DEFAULT_GRAMMAR) -> Grammar:
    """Load a grammar that travels with the program, with the messages of its language.

    Where the program does not speak that language, it speaks English.

    Raises:
        GrammarError: there is no grammar of that name, or it is broken.
    """
    text, path = grammar_text(name)
    return load_grammar(text, str(path), _words_in)


def _words_in(language: str) -> Words:
    """Give the messages in a grammar's language; English where the program does not speak it."""
    return language_words(language) if language.partition("-")[0] in languages() else ENGLISH


def grammar_names() -> frozenset[str]:
    """List the grammars that travel with the program."""
    return frozenset(file.stem for file in grammar_folder().glob("*.toml"))


def job_words(grammar: str) -> Words:
    """Give the messages in the language that a job is worked in; English where it is not known."""
    return read_grammar(grammar).words if grammar in grammar_names() else ENGLISH
