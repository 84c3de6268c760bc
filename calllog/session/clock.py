"""The computer's clocks out; two readings of them in, whether the time of day was changed out."""

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime

from calllog.journal import Entry
from calllog.values import Message, message

Clock = Callable[[], tuple[str, float]]
"""Gives the time as ISO 8601 with its zone, and a monotonic time [s]."""

JUMP_S = 2.0
"""The time of day and the monotonic clock may part by this much between two entries: a leap second
and a clock that is set by the network in small steps are no jump."""
FORWARD, BACK, BEFORE = "clock-forward", "clock-back", "clock-before-last-entry"
"""Codes of the jumps."""
_COUNTS_SLEEP: int = getattr(time, "CLOCK_BOOTTIME", time.CLOCK_MONOTONIC)
"""Goes on while the computer sleeps, where the system has such a clock."""


def system_clock() -> tuple[str, float]:
    """Read the machine's clocks."""
    since_s = time.clock_gettime(_COUNTS_SLEEP)
    return datetime.now(UTC).isoformat(timespec="milliseconds"), round(since_s, 3)


def local_zone() -> str:
    """Tell what this machine's zone adds to UTC now, such as ``-06:00``; whole minutes of it."""
    return datetime.now().astimezone().isoformat(timespec="minutes")[-6:]


def local_day() -> date:
    """Give the day by this machine's clock and zone."""
    return datetime.now().astimezone().date()


@dataclass(frozen=True, slots=True)
class Jump:
    """The time of day was changed, or is earlier than it can be."""

    jumped_s: float
    """By how much, forward is positive [s]."""
    code: str

    @property
    def told(self) -> Message:
        """What is told of it."""
        return message(self.code, seconds=round(abs(self.jumped_s)))


class ClockWatch:
    """Looks at the clocks of one sitting, entry by entry.

    Args:
        last: the job's last entry, of an earlier sitting; its monotonic clock is another one.
    """

    def __init__(self, last: Entry | None) -> None:
        self._last_s = None if last is None else _seconds(last.time_utc)
        self._offset_s: float | None = None

    def look(self, time_utc: str, monotonic_s: float) -> Jump | None:
        """Tell whether the time of day jumped since the last look; each jump is told once.

        Within a sitting both directions are seen, since the monotonic clock does not jump. After a
        restart only a time before the last entry's is: forward may be a night.
        """
        now_s = _seconds(time_utc)
        before_s, self._offset_s = self._offset_s, now_s - monotonic_s
        if before_s is not None:
            jumped_s = self._offset_s - before_s
            code = FORWARD if jumped_s > 0 else BACK
        elif self._last_s is not None:
            jumped_s = min(0.0, now_s - self._last_s)
            code = BEFORE
        else:
            return None
        if abs(jumped_s) <= JUMP_S:
            return None
        return Jump(round(jumped_s, 3), code)


def _seconds(time_utc: str) -> float:
    return datetime.fromisoformat(time_utc).timestamp()
