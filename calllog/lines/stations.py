"""Stations along a line, with the plus notation, as whole hundredths of a foot; pure.

Hundreds of feet stand before the plus: 3+25.00 is 325.00 ft from the line's beginning (common
practice, no published source). Marks between the hundreds may be set loosely; each hundred is set
from the pulls themselves, so that no error of a mark between is carried on.
"""

from __future__ import annotations

import re

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


def marks(length_ft: float, interval_ft: int) -> tuple[int, ...]:
    """List the marks to be set along a line: its beginning, every interval, and its end.

    Args:
        length_ft: of the line, 0 or more and finite [ft].
        interval_ft: between marks, one that goes into 100 [ft].

    Returns:
        Distances from the beginning [hundredths of a foot].

    Raises:
        ConfigError: the interval does not go into 100 ft, so that hundreds would be missed.

    Example:
        >>> [station_text(mark) for mark in marks(81.3, 25)]
        ['0+00.00', '0+25.00', '0+50.00', '0+75.00', '0+81.30']
    """
    if interval_ft < 1 or 100 % interval_ft:
        raise ConfigError(
            f"marks every {interval_ft} ft would miss the full stations",
            next_step=f"take one of {', '.join(map(str, INTERVALS_FT))} ft",
        )
    end = round(length_ft * 100)
    return (*range(0, end, interval_ft * 100), end)
