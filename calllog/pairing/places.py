"""Who calls what in a pull, and what the crew's habit is so far, as immutable values; pure."""

from dataclasses import dataclass

from calllog.values import AfterCheck, Call, CalledFirst, Kind, Message, Role


@dataclass(frozen=True, slots=True)
class Habit:
    """What the crew does, as it stated or as its pulls have shown."""

    after: AfterCheck = AfterCheck.UNSAID
    first: CalledFirst = CalledFirst.UNSAID
    astray: int = 0
    """Measurements in a row, their places told by the crew, whose parts came the other way round
    than `first` says."""


@dataclass(frozen=True, slots=True)
class Places:
    """Who calls what in a pull."""

    holder: Role = Role.UNSAID
    """Who holds the whole mark in the take, and calls it; unsaid for as the line states."""
    expected: Role = Role.UNSAID
    """Who does by the crew's habit."""
    firsts: tuple[CalledFirst, CalledFirst] = (CalledFirst.UNSAID, CalledFirst.UNSAID)
    """What is called first in take and check where it is not said who calls."""
    is_told: bool = False
    """The crew itself told who holds the mark."""
    is_proved: bool = False
    """A typed mark proved that the whole mark is called first, where nobody says who calls."""
    before: Role = Role.UNSAID
    """Who held it in the take of the pull before, if ends were switched for a check since."""


@dataclass(frozen=True, slots=True)
class Option:
    """One way to place the calls of a pull."""

    places: Places
    whole: int | None
    fraction: int | None
    """What the measurement is made of then [hundredths]."""
    length: int | None
    """What it comes to [hundredths]."""
    holder: Role
    """Who would hold the whole mark now."""


@dataclass(frozen=True, slots=True)
class Waiting:
    """A call that waits until it is told who holds the whole mark."""

    call: Call
    options: tuple[Option, ...]
    """As the crew's habit has it, and the other way round."""

    asks: Message | None = None
    """What is asked where it is something else: no options are given then."""

    @property
    def is_of_take(self) -> bool:
        """A word waits, no number: it contradicts who held the mark in the take."""
        return self.call.kind is Kind.COMMAND

    @property
    def is_blocking(self) -> bool:
        """The take itself is in question, so that nothing but the answer is taken."""
        return self.is_of_take or self.asks is not None
