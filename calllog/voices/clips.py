"""A folder of clips and its table of what was said, in; the calls to learn from, out; shell.

``said.csv`` has the columns ``file``, ``expects`` (whole, fraction, reading or any) and ``text``,
the words that were said, such as ``four two``.
"""

import csv
import io
from dataclasses import dataclass
from pathlib import Path

from calllog.audio import Recording, Utterance, utterances
from calllog.errors import ConfigError
from calllog.files import read_limited
from calllog.spoken import Meaning, Parser, normalise
from calllog.values import NUMBERS, Expectation

TABLE = "said.csv"
COLUMNS = ("file", "expects", "text")
MOST_BYTES = 1_000_000
FEWEST = 9
"""Fewer good ones teach nothing that can be trusted."""
MOST_CALLS = 500
"""More than these teach nothing that fewer do not."""


@dataclass(frozen=True, slots=True)
class Said:
    """A call whose words are known."""

    expects: Expectation
    texts: tuple[str, ...]
    """What was said, in words; several where any of them may have been."""
    utterance: Utterance | None
    """Its sound; None where no speech was found, or more than one stretch of it."""
    name: str
    """What it is called where something is told of it."""


def read_clips(folder: Path, parser: Parser) -> tuple[Said, ...]:
    """Read a folder of clips: ``said.csv``, and the sound files that it names.

    Raises:
        ConfigError: there is no table, it has other columns, or a line of it is no call.
        AudioError: a sound file cannot be read.
    """
    path = folder / TABLE
    try:
        text = read_limited(path, most_bytes=MOST_BYTES).decode("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "it is no plain text (UTF-8)"
        raise ConfigError(
            f"the table of what was said cannot be read: {reason}",
            where=str(path),
            next_step=f"write one in UTF-8 with the columns {','.join(COLUMNS)}",
        ) from error
    rows = csv.DictReader(io.StringIO(text))
    if tuple(rows.fieldnames or ()) != COLUMNS:
        raise ConfigError(
            f"the columns are {','.join(rows.fieldnames or ()) or 'none'}",
            where=str(path),
            next_step=f"let the first line be {','.join(COLUMNS)}",
        )
    found: list[Said] = []
    for row in rows:
        where = f"{path}, line {rows.line_num}"
        if len(found) == MOST_CALLS:
            raise ConfigError(
                f"more than {MOST_CALLS} calls", where=where, next_step="leave some out"
            )
        found.append(_said(row, folder, parser, where))
    return tuple(found)


def _said(row: dict[str, str | None], folder: Path, parser: Parser, where: str) -> Said:
    name, expected, text = ((row.get(each) or "").strip() for each in COLUMNS)
    if expected not in {each.value for each in Expectation}:
        raise ConfigError(
            f"{expected!r} is nothing that is expected",
            where=where,
            next_step=f"write one of {', '.join(each.value for each in Expectation)}",
        )
    words = " ".join(normalise(text))
    expects = Expectation(expected)
    meant = parser.parse(words, expects, parser.greatest)
    if not isinstance(meant, Meaning) or meant.kind not in NUMBERS:
        raise ConfigError(
            f"{text!r} is no number that can be called there",
            where=where,
            next_step="write the words as they were said, such as four two",
        )
    sound = folder / name
    if not name or Path(name).name != name:
        raise ConfigError(
            f"{name!r} names no file in this folder", where=where, next_step="name one"
        )
    return Said(expects, (words,), only_utterance(sound), name)


def only_utterance(sound: Path) -> Utterance | None:
    """Give the one stretch of speech in a file; None where there is none, or more than one.

    Raises:
        AudioError: it cannot be read.
    """
    found = tuple(utterances(Recording(sound)))
    return found[0] if len(found) == 1 else None
