"""What a job states of its zones in; times of its journal as its people's watches showed them out.

A journal's times are UTC. What its computer's zone was off UTC is noted where a job is opened, a
sitting begins, or a recording is taken in, and holds for the entries that follow.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timezone, tzinfo
from zoneinfo import ZoneInfo

from calllog.errors import ConfigError
from calllog.session.replay import Replay

NONE = "+00:00"
NEXT = "give a name such as America/Denver, or what is added to UTC, such as -06:00"


@dataclass(frozen=True, slots=True)
class Zones:
    """Which zone holds when."""

    stated: Sequence[tuple[str, str]] = ()
    """From when on [UTC, ISO 8601], and what is added to UTC (``-06:00``), in their order."""
    chosen: tzinfo | None = None
    """Holds instead of all that is stated."""

    def local(self, time_utc: str) -> str:
        r"""Write a time of the journal as a watch showed it, with what it is off UTC.

        A time before the first zone that is stated is in that; where none is, it stays UTC.

        Example:
            >>> zones = Zones((("2031-05-04T15:00:00+00:00", "-06:00"),))
            >>> zones.local("2031-05-04T15:20:09.250+00:00")
            '2031-05-04 09:20:09 UTC\u221206:00'
            >>> Zones().local("2031-05-04T15:20:09.250+00:00")
            '2031-05-04 15:20:09 UTC'
        """
        time = datetime.fromisoformat(time_utc)
        shown = time.astimezone(self.chosen or self._stated_at(time))
        off = shown.isoformat()[-len(NONE) :]
        words = "" if off == NONE else off.replace("-", "\u2212")
        return f"{shown:%Y-%m-%d %H:%M:%S} UTC{words}"

    def _stated_at(self, time: datetime) -> tzinfo:
        if not self.stated:
            return UTC
        before = [each for since, each in self.stated if datetime.fromisoformat(since) <= time]
        return _offset(before[-1] if before else self.stated[0][1])


def zones_of(replay: Replay, chosen: tzinfo | None = None) -> Zones:
    """Give the zones of a job, or the one that is chosen for it."""
    return Zones(tuple(replay.zones), chosen)


def parse_zone(text: str) -> tzinfo:
    """Read the name of a zone, or what it is off UTC.

    Raises:
        ConfigError: there is no such zone.

    Example:
        >>> parse_zone("-06:00").utcoffset(None).total_seconds() / 3600
        -6.0
    """
    try:
        return _offset(text) if text[:1] in {"+", "-"} else ZoneInfo(text)
    except (KeyError, ValueError, OSError) as error:
        raise ConfigError(
            f"there is no zone {text} here", where="--zone", next_step=NEXT
        ) from error


def _offset(text: str) -> tzinfo:
    offset = datetime.fromisoformat(f"2000-01-01T00:00:00{text}").utcoffset()
    if offset is None:
        raise ValueError(text)
    return timezone(offset)
