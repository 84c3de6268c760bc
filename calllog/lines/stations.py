"""Stations along a line, with the plus notation, as whole hundredths of a foot; pure.

Hundreds of feet stand before the plus: 3+25.00 is 325.00 ft from the line's beginning (common
practice, no published source). Marks between the hundreds may be set loosely; each hundred is set
from the pulls themselves, so that no error of a mark between is carried on.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from calllog.errors import ConfigError

FULL = 10_000
"""Hundredths of a foot from one full station to the next."""
INTERVALS_FT = (25, 50, 100)
"""How far apart marks are set."""
_STATION = re.compile(r"([0-9]+)\+([0-9]{2})(?:\.([0-9]{1,2}))?")


def station_text(hundredths: int) -> str:
    """Write a distance from the line's beginning as a station.

    Args:
        hundredths: at least 0 [hundredths of a foot].

    Raises:
        ConfigError: it lies before the beginning.

    Example:
        >>> station_text(32_500), station_text(7)
        ('3+25.00', '0+00.07')
    """
    if hundredths < 0:
        raise ConfigError(
            f"no station lies {-hundredths / 100:.2f} ft before the beginning",
            next_step="count from the point where the line begins",
        )
    full, rest = divmod(hundredths, FULL)
    return f"{full}+{rest // 100:02}.{rest % 100:02}"


def parse_station(text: str) -> int:
    """Read a station.

    Args:
        text: such as "3+25", "3+25.4" or "0+00.07".

    Returns:
        The distance from the line's beginning [hundredths of a foot].

    Raises:
        ConfigError: it is no station, such as "3+125" or "325".

    Example:
        >>> parse_station("3+25"), parse_station("12+07.5")
        (32500, 120750)
    """
    found = _STATION.fullmatch(text.strip())
    if found is None:
        raise ConfigError(
            "this is no station",
            where=repr(text),
            next_step="write hundreds, a plus, and two digits of feet, such as 3+25 or 3+25.40",
        )
    full, feet, part = found.groups(default="0")
    return int(full) * FULL + int(feet) * 100 + int(part.ljust(2, "0"))


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark to be set along a line."""

    at: int
    """Its distance from the line's beginning [hundredths of a foot]."""
    pull: int
    """Number of the pull in which it lies, or at whose end."""
    beyond: int
    """Its true horizontal distance from the rear mark of that pull [hundredths of a foot]."""

    @property
    def is_full(self) -> bool:
        """Whether it is a full station, which must be right."""
        return self.at % FULL == 0


def marks(pull_ends: Sequence[tuple[int, float]], interval_ft: int) -> tuple[Mark, ...]:
    """List the marks to be set along a line: its beginning, every interval, and its end.

    Each is given from the rear mark of its own pull, whose place is known from the pulls before it.
    A mark between full stations may be set from the last mark, with a loose tape; a full station is
    set from the rear mark of its pull, with tension and corrections (`calllog layout` says what to
    read), so that no error of the marks between is carried on.

    Args:
        pull_ends: number of each pull and where it ends, from the line's beginning [ft].
        interval_ft: between marks, one that goes into 100 [ft].

    Returns:
        The marks in order; none for a line without pulls.

    Raises:
        ConfigError: the interval does not go into 100 ft, so that hundreds would be missed.

    Example:
        >>> [(station_text(mark.at), mark.pull, mark.beyond) for mark in marks([(1, 81.3)], 50)]
        [('0+00.00', 1, 0), ('0+50.00', 1, 5000), ('0+81.30', 1, 8130)]
    """
    if interval_ft < 1 or 100 % interval_ft:
        raise ConfigError(
            f"marks every {interval_ft} ft would miss the full stations",
            next_step=f"take one of {', '.join(map(str, INTERVALS_FT))} ft",
        )
    found: list[Mark] = []
    rear = 0
    for pull, end_ft in pull_ends:
        end = round(end_ft * 100)
        step = interval_ft * 100
        first = rear if not found else rear // step * step + step
        found += [Mark(at, pull, at - rear) for at in range(first, end + 1, step)]
        rear = end
    if found and found[-1].at != rear:
        pull, _ = pull_ends[-1]
        before = round(pull_ends[-2][1] * 100) if len(pull_ends) > 1 else 0
        found.append(Mark(rear, pull, rear - before))
    return tuple(found)
