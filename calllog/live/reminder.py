"""When the crew is reminded of the conditions that run on: as a line begins, and hour by hour."""

from collections.abc import Callable

from calllog.readback import SILENCE, Saying, Tone, Verbosity, in_force
from calllog.session import Job
from calllog.spoken import Grammar

REMINDED_S = 3600.0
"""After so much work the crew is reminded again."""


class Reminder:
    """Reminds a crew, unless it wants tones alone."""

    def __init__(
        self, job: Job, grammar: Grammar, verbosity: Verbosity, clock: Callable[[], float]
    ) -> None:
        self._job = job
        self._grammar = grammar
        self._is_spoken = verbosity is not Verbosity.TONES
        self._clock = clock
        self._said_s = clock()
        """When it was said last, or the work began [s]."""
        self._calls = 0
        """How many calls the job had then."""

    def say(self) -> Saying:
        """Say what runs on; nothing where nothing was stated."""
        self._said_s, self._calls = self._clock(), len(self._job.replay.calls)
        words = in_force(self._grammar, self._job.state.conditions) if self._is_spoken else ""
        return Saying(Tone.HEARD, words) if words else SILENCE

    @property
    def is_due(self) -> bool:
        """An hour of work is over, and a pull has not begun."""
        is_worked = len(self._job.replay.calls) > self._calls
        return (
            self._clock() - self._said_s >= REMINDED_S and is_worked and self._job.state.is_between
        )
