"""What records say of lines: options as they were typed in, lengths by the line out."""

from collections.abc import Sequence

from calllog.commands.course_options import line_ends
from calllog.errors import ConfigError

Ends = frozenset[str]
"""The two points of a line, whichever way it goes."""


def read_records(stated: Sequence[str], only: Ends | None = None) -> dict[Ends, str]:
    """Read what records say of lines.

    Args:
        stated: each as "A:B=12 ch 45 lk".
        only: the one line that a length without a name is of; None where it must name one.

    Raises:
        ConfigError: a record does not name its line, or two are of one line.
    """
    found: dict[Ends, str] = {}
    for words in stated:
        name, is_named, length = words.rpartition("=")
        ends = frozenset(line_ends(name)) if is_named else only
        if ends is None:
            raise ConfigError(
                "a record of one of several lines says which it is of",
                where=f"--record {words}",
                next_step=f'write it as "A:B={words}"',
            )
        if ends in found:
            raise ConfigError(
                "two records of one line",
                where=f"--record {words}",
                next_step="state one, and the other in a second run",
            )
        found[ends] = length.strip()
    return found
