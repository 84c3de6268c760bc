"""What the program says and writes: the message catalogues that travel with it; shell.

One file a language, ``CODE.ftl``; English has every message, and stands in for what another lacks.
"""

from functools import cache
from pathlib import Path

from calllog.errors import GrammarError
from calllog.wording.catalogue import Words

HERE = Path(__file__).parent
ENDING = ".ftl"


def _reader(code: str) -> Words:
    path = HERE / f"{code}{ENDING}"

    def read() -> str:
        try:
            return path.read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError) as error:
            raise GrammarError(
                f"the messages cannot be read: {error}",
                where=str(path),
                next_step="reinstall calllog",
            ) from error

    return Words(code, read, spare=None if code == "en" else ENGLISH)


ENGLISH = _reader("en")


def languages() -> tuple[str, ...]:
    """List the languages that the program speaks, English first."""
    others = {file.stem for file in HERE.glob(f"*{ENDING}")} - {ENGLISH.language}
    return (ENGLISH.language, *sorted(others))


@cache
def language_words(language: str) -> Words:
    """Give the messages of a language; ``es-MX`` is told as ``es``.

    Raises:
        GrammarError: the program does not speak it.
    """
    code = language.partition("-")[0]
    if code not in languages():
        raise GrammarError(
            f"there are no messages in {language}",
            where=str(HERE / f"{code}{ENDING}"),
            next_step=f"there are: {', '.join(languages())}; to add one, see grammars/README.md",
        )
    return ENGLISH if code == ENGLISH.language else _reader(code)


__all__ = ["ENGLISH", "Words", "language_words", "languages"]
