"""Files that travel with the program: grammars, the numbers model; shell."""

from __future__ import annotations

from pathlib import Path

from calllog.errors import GrammarError

PACKAGE = Path(__file__).resolve().parent
DEFAULT_GRAMMAR = "en-us-feet"
NUMBERS_MODEL = "numbers-en-us"


def grammar_folder() -> Path:
    """Find the grammars: inside an installed package, else at the top of the source tree."""
    installed = PACKAGE / "grammars"
    return installed if installed.is_dir() else PACKAGE.parent / "grammars"


def model_folder(name: str = NUMBERS_MODEL) -> Path:
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
        return path.read_text(encoding="utf-8"), path
    except (OSError, UnicodeDecodeError) as error:
        known = sorted(file.stem for file in grammar_folder().glob("*.toml"))
        raise GrammarError(
            f"no grammar {name} can be read: {error}",
            where=str(path),
            next_step=f"there are: {', '.join(known) or 'none; reinstall calllog'}",
        ) from error
