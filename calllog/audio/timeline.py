"""When sound was captured: arrival times of blocks to capture times and missing samples; pure.

A block arrives late by chance and never early, so the least lateness of the last half second
tells where the device's clock stands; it drifts slowly and jumps only where samples are missing.
What the system says of the age of a block is followed as slowly: through PulseAudio it is off
by 0.6 s in a stream's first second, and wanders by 0.02 s later.
"""

from collections import deque

_WINDOW_S = 0.5
_FULL_S = 0.4
"""Span of arrivals that must agree before samples are called missing: a computer that was busy
hands over all that it held back at once, and nothing is missing."""
GAP_S = 0.1
"""Shortest gap that is noticed; arrivals scatter by a block or two."""
_SLEW = 0.001
"""Fastest drift that is followed, seconds a second; crystals keep within 0.0001."""
_LONGEST_DELAY_S = 0.25
"""Longest constant delay believed."""


class Timeline:
    """The clock of one running stream of a nominal rate, seen from this computer's clock."""

    def __init__(self, rate_hz: int) -> None:
        self._rate_hz = rate_hz
        self._count = 0
        self._late: deque[tuple[float, float, float]] = deque()
        """Arrival, lateness and delay [s] of the latest blocks."""
        self._base_s = 0.0
        self._delay_s = 0.0
        self._is_settled = False

    @property
    def origin_s(self) -> float:
        """When the stream's first sample was captured [s], as the latest block tells."""
        return self._base_s - self._delay_s

    def restart(self) -> None:
        """Take the next block's arrival as it is: samples before it are missing."""
        self._is_settled = False

    def skip(self, frames: int) -> None:
        """Count frames that came but were not kept."""
        self._count += frames

    def note(self, arrival_s: float, frames: int, age_s: float | None) -> float:
        """Take in a block.

        Args:
            arrival_s: when it arrived [s].
            frames: its length.
            age_s: how old its first sample was then, as the system says [s]; None if it does not.

        Returns:
            How much sound was found to be missing [s], 0.0 mostly; noticed half a second after.
        """
        self._count += frames
        late_s = arrival_s - self._count / self._rate_hz
        delay_s = 0.0 if age_s is None else age_s - frames / self._rate_hz
        if not self._is_settled:
            self._late.clear()
            self._base_s = late_s
            self._is_settled = True
        self._late.append((arrival_s, late_s, min(max(delay_s, 0.0), _LONGEST_DELAY_S)))
        while self._late[0][0] < arrival_s - _WINDOW_S:
            self._late.popleft()
        slew_s = _SLEW * frames / self._rate_hz
        least_delay_s = min(delay for _, _, delay in self._late)
        self._delay_s += min(max(least_delay_s - self._delay_s, -slew_s), slew_s)
        least_s = min(late for _, late, _ in self._late)
        rise_s = least_s - self._base_s
        if rise_s > GAP_S and arrival_s - self._late[0][0] >= _FULL_S:
            self._base_s = least_s
            return rise_s
        self._base_s += min(rise_s, slew_s)
        return 0.0
