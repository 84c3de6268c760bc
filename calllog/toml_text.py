"""A TOML text that somebody wrote in, its values out, or an error before it costs anything; pure.

The parser is quadratic, in time and memory, in the parts of one dotted key: 40 kB of them took 8 s
and 1.6 GB. So length and depth are looked at first, by the words of the language alone.
"""

import re
import tomllib
from typing import Any, Final

from calllog.errors import CalllogError

DEEPEST: Final = 12
"""Parts of one key, and brackets within brackets; certificates have 1, grammars 3."""
LONGEST: Final = 60
"""Signs of a line, or of a value, that are shown."""
_LINE: Final = re.compile(r"at line ([0-9]+)")
_CURLED: Final = "\u201c\u201d\u2018\u2019\u00ab\u00bb\u201e"
_COMMA: Final = re.compile(r"=\s*[+-]?[0-9]+,[0-9]")
_WORD: Final = re.compile(
    r'"""(?:[^"\\]|\\.|"{1,2}(?!"))*"{3,5}'  # TOML 1.0.0, "String": the four kinds
    r"|'''(?:[^']|'{1,2}(?!'))*'{3,5}"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'"
    r"|\#[^\n]*"  # "Comment"
    r"|[.\[\]{}=,\n]",
    re.DOTALL,
)


def read_toml(
    text: str, *, where: str, most_signs: int, kind: type[CalllogError]
) -> dict[str, Any]:
    """Parse a TOML text that is neither too long nor too deep.

    Raises:
        CalllogError: of that kind; it is too long, too deep, or no TOML.
    """
    if len(text) > most_signs:
        raise kind(
            f"has {len(text):,} characters, more than the {most_signs:,} that such a file may have",
            where=where,
            next_step="give the file that was meant, or take out what does not belong in it",
        )
    if line := _too_deep(text):
        raise kind(
            f"line {line} goes deeper than {DEEPEST} keys or brackets within each other",
            where=where,
            next_step="fix that line",
        )
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # endless digits, brackets without end
        raise kind(
            f"not valid TOML: {error}", where=where, next_step=_mend(text, str(error))
        ) from error


def shown(given: object) -> str:
    """Show a value of a file as it is written: of a long one how it begins and ends."""
    try:
        text = repr(given)
    except ValueError:  # more digits than Python shows
        return "a number of thousands of digits"
    third = LONGEST // 3
    return text if len(text) <= LONGEST else f"{text[: 2 * third]}\u2026{text[-third:]}"


def _mend(text: str, wrong: str) -> str:
    """Say what to do about a line that cannot be read: it is shown, with the usual slip named."""
    at = _LINE.search(wrong)
    lines = text.splitlines()
    if at is None or int(at[1]) > len(lines):
        return "fix that line"
    line = lines[int(at[1]) - 1].strip()
    shown = f"{line[:LONGEST]}\u2026" if len(line) > LONGEST else line
    hint = ""
    if any(sign in line for sign in _CURLED):
        hint = ': its quotes must be straight, "like this"'
    elif _COMMA.search(line):
        hint = ": a number has a point, 99.99, and no comma"
    elif "=" not in line:
        hint = ': an entry is written NAME = VALUE, a text as NAME = "TEXT"'
    return f"fix that line, {shown!r}{hint}"


def _too_deep(text: str) -> int:
    """Give the number of the first line that goes too deep; 0 if none does."""
    depth = parts = 0
    for found in _WORD.finditer(text):
        sign = found[0]
        if sign == ".":
            parts += 1
        elif sign in "[{":
            depth, parts = depth + 1, 0
        elif sign in "]}":
            depth, parts = max(0, depth - 1), 0
        elif sign in "=,\n":
            parts = 0
        if parts >= DEEPEST or depth > DEEPEST:
            return text.count("\n", 0, found.start()) + 1
    return 0
