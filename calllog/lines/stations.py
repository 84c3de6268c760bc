"""Stations along a line, with the plus notation, to the last digit of a reading; pure.

Hundreds of feet stand before the plus: 3+25.00 is 325.00 ft from the line's beginning. On a metric
line kilometres do, and three digits of metres after it: 1+234.56 is 1234.56 m (both common
practice, no published source). Marks between the hundreds, of feet or metres, may be set loosely;
each hundred is set from the pulls themselves, so that no error of a mark between is carried on.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from calllog.errors import ConfigError
from calllog.values import ReadingUnit

FULL = 100
"""Feet or metres from one mark that must be right to the next."""
INTERVALS = (25, 50, 100)
"""How far apart marks are set."""
DIGITS = {ReadingUnit.FOOT: 2, ReadingUnit.METRE: 3}
"""How many digits of feet or metres stand after the plus."""


def station_text(at: int, unit: ReadingUnit = ReadingUnit.FOOT) -> str:
    """Write a distance from the line's beginning as a station.

    Args:
        at: at least 0 [last digits of a reading: hundredths, or thousandths on a tape that is read
            more finely].
        unit: what the tape is graduated in.

    Raises:
        ConfigError: it lies before the beginning.

    Example:
        >>> station_text(32_500), station_text(7), station_text(123_456, ReadingUnit.METRE)
        ('3+25.00', '0+00.07', '1+234.56')
        >>> station_text(1_234_567, ReadingUnit.FINE_METRE)
        '1+234.567'
    """
    one, digits = 10**unit.digits, DIGITS[unit.base]
    if at < 0:
        raise ConfigError(
            f"no station lies {-at / one:.{unit.digits}f} before the beginning",
            next_step="count from the point where the line begins",
        )
    full, rest = divmod(at, one * 10**digits)
    return f"{full}+{rest // one:0{digits}}.{rest % one:0{unit.digits}}"


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark to be set along a line."""

    at: int
    """Its distance from the line's beginning [last digits of a reading]."""
    pull: int
    """Number of the pull in which it lies, or at whose end."""
    beyond: int
    """Its true horizontal distance from the rear mark of that pull [last digits of a reading]."""
    one: int = 100
    """How many of them are one foot or metre."""

    @property
    def is_full(self) -> bool:
        """Whether it is a full station, which must be right."""
        return self.at % (FULL * self.one) == 0


def marks(
    pull_ends: Sequence[tuple[int, float]], interval: int, unit: ReadingUnit = ReadingUnit.FOOT
) -> tuple[Mark, ...]:
    """List the marks to be set along a line: its beginning, every interval, and its end.

    Each is given from the rear mark of its own pull, whose place is known from the pulls before it.
    A mark between full stations may be set from the last mark, with a loose tape; a full station is
    set from the rear mark of its pull, with tension and corrections (`calllog layout` says what to
    read), so that no error of the marks between is carried on.

    Args:
        pull_ends: number of each pull and where it ends, from the line's beginning, in the unit.
        interval: between marks, one that goes into 100, in the unit.
        unit: what the tape is graduated in.

    Returns:
        The marks in order; none for a line without pulls.

    Raises:
        ConfigError: the interval does not go into 100, so that hundreds would be missed.

    Example:
        >>> [(station_text(mark.at), mark.pull, mark.beyond) for mark in marks([(1, 81.3)], 50)]
        [('0+00.00', 1, 0), ('0+50.00', 1, 5000), ('0+81.30', 1, 8130)]
    """
    if interval < 1 or FULL % interval:
        raise ConfigError(
            f"marks every {interval} {unit.symbol} would miss the full stations",
            next_step=f"take one of {', '.join(map(str, INTERVALS))} {unit.symbol}",
        )
    found: list[Mark] = []
    rear, one = 0, 10**unit.digits
    for pull, ends in pull_ends:
        end = round(ends * one)
        step = interval * one
        first = rear if not found else rear // step * step + step
        found += [Mark(at, pull, at - rear, one) for at in range(first, end + 1, step)]
        rear = end
    if found and found[-1].at != rear:
        pull, _ = pull_ends[-1]
        before = round(pull_ends[-2][1] * one) if len(pull_ends) > 1 else 0
        found.append(Mark(rear, pull, rear - before, one))
    return tuple(found)
