"""The state of a line of pulls as immutable values; pure."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from calllog.decoding import Part
from calllog.pairing.changed import replace
from calllog.pairing.parts import PART_NAMES, Parts, Stated
from calllog.pairing.places import Habit, Places, Waiting
from calllog.pairing.table import Phase
from calllog.values import (
    Call,
    CalledFirst,
    Conditions,
    Decision,
    Finding,
    LineSettings,
    Observation,
    Role,
)

OTHER = {Role.HEAD: Role.REAR, Role.REAR: Role.HEAD, Role.UNSAID: Role.UNSAID}
"""Who is at the other end."""


class StyleKnown(StrEnum):
    """Whether the crew has said how the tape is graduated (see `calllog.pairing.tape_style`)."""

    NOT_YET = "not yet"
    NOTED = "noted"
    """It has not, and a segment says so."""
    CONFIRMED = "confirmed"


@dataclass(frozen=True, slots=True)
class Stop:
    """What waits for a decision."""

    origin: Phase
    check: Observation | None
    """The check that differs; None where a repetition differs."""
    other: Parts
    """The parts as they would stand with the later call."""
    word: Call | None = None
    """The call that says another style than the certificate does; nothing is there to be chosen
    then."""
    waiting: Waiting | None = None
    """The call of which nobody told who holds the whole mark."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A call that the crew was asked to say again."""

    is_take: bool
    part: Part
    role: Role
    """Who is asked: the one who called it."""
    after: str = ""
    """The command that waits for the answer; empty if none does."""

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts of the observation that the answer states."""
        return PART_NAMES if self.part is Part.READING else (self.part.value,)


@dataclass(frozen=True)
class State:
    """Everything that the machine knows; a new one for every step."""

    settings: LineSettings
    pull: int
    conditions: Conditions = field(default_factory=Conditions)
    phase: Phase = Phase.OPEN
    parts: Parts = field(default_factory=Parts)
    take: Observation | None = None
    take_parts: Parts = field(default_factory=Parts)
    """What the take was made of, after switching ends."""
    asked: tuple[Asked, ...] = ()
    """The calls of this pull that were asked again, each as often as it was."""
    awaiting: Asked | None = None
    """The one whose answer is awaited."""
    doubted: tuple[str, float] | None = None
    """The condition that was asked again last, while nothing else was called: name and amount; or
    who said that the whole mark is theirs."""
    is_confirmed: bool = False
    """The last answer said what stood already."""
    told: Call | None = None
    """What said last in this pull who holds the whole mark."""
    said_back: Role = Role.UNSAID
    """Who was asked for a part of the check that may only have been said back."""
    replaced: tuple[tuple[bool, Stated], ...] = ()
    """Calls of the take (true) or the check that an answer replaced; they still are evidence."""
    differences: tuple[int, ...] = ()
    """Check minus take of the last pairs that were accepted [hundredths]."""
    stop: Stop | None = None
    findings: tuple[Finding, ...] = ()
    superseded: tuple[Observation, ...] = ()
    held: tuple[Call, ...] = ()
    history: tuple[Call, ...] = ()
    """The calls of this pull that were taken, in order; scratching one replays the others."""
    between: tuple[tuple[int, Decision | Conditions], ...] = ()
    """What was decided where a repetition differed, and conditions stated anew as a whole, each
    with the number of the call before it (0 for none); taken again with the calls."""
    struck: frozenset[int] = frozenset()
    """Those of them that are void already, because of what was typed."""
    style: StyleKnown = StyleKnown.NOT_YET
    """Whether the crew has confirmed how this tape is graduated, in this job."""
    style_waits: str = ""
    """What waits for that: ``check`` for its comparison with the take, or a command; empty if
    nothing does."""
    asked_first: Call | None = None
    """A call that was asked whether it is one (see `calllog.pairing.doubtful`)."""
    taken_back: tuple[Call, ...] = ()
    """The numbers that the crew struck in this pull (see `calllog.pairing.struck_before`)."""
    typed: tuple[tuple[str, int], ...] = ()
    """Parts that were typed of this pull before it was measured again [least counts], until one is
    asked (see `calllog.pairing.typed_before`)."""
    last: Call | None = None
    """What was heard last and is no talk, to know it on the other microphone."""
    opening: State | None = None
    """The state in which this pull began."""
    booked: State | None = None
    """The state just before the last booking, to be reopened by *scratch*."""
    places: Places = field(default_factory=Places)
    """Who calls what in this pull."""
    habit: Habit = field(default_factory=Habit)
    """What the crew does after a check, and which part it calls first."""
    waiting: Waiting | None = None
    """The call that waits until it is told who holds the whole mark."""
    turned: tuple[int, ...] = ()
    """The last pulls booked in which the two were turned round (see `calllog.pairing.roles`)."""

    @property
    def is_between(self) -> bool:
        """Nothing of a pull has been called yet, and the line is not finished."""
        return self.phase is Phase.OPEN and self.parts.is_empty

    @property
    def is_begun(self) -> bool:
        """Something of a pull was measured, if only to be measured again."""
        return not self.parts.is_empty or self.take is not None or bool(self.superseded)

    @property
    def blocking(self) -> Waiting | None:
        """What waits, if nothing but its answer is taken."""
        return self.waiting if self.waiting is not None and self.waiting.is_blocking else None

    @property
    def holder(self) -> Role:
        """Who calls the whole foot in the take."""
        given = self.places.holder
        return self.settings.whole_by if given is Role.UNSAID else given

    @property
    def called_first(self) -> CalledFirst:
        """What a bare number states that is called first, where it is not said who calls."""
        first = self.places.firsts[self.phase is Phase.CHECKING]
        return CalledFirst.WHOLE if first is CalledFirst.UNSAID else first

    @property
    def whole_by(self) -> Role:
        """Who calls the whole foot now: the roles turn round for the check."""
        return OTHER[self.holder] if self.phase is Phase.CHECKING else self.holder

    @property
    def fraction_by(self) -> Role:
        """Who calls the hundredths now."""
        return OTHER[self.whole_by]


def start(
    settings: LineSettings,
    pull: int = 1,
    conditions: Conditions | None = None,
    differences: tuple[int, ...] = (),
    roles: tuple[Places, Habit] | None = None,
    *,
    style: StyleKnown = StyleKnown.NOT_YET,
) -> State:
    """Begin a pull, the first one of a line if nothing is known of the roles.

    Args:
        settings: what holds for the line.
        pull: its number.
        conditions: those in force.
        differences: check minus take of the last pairs that were accepted [hundredths].
        roles: who is expected to call what, and the crew's habit.
        style: whether the crew has confirmed how the tape is graduated.
    """
    if roles is None:
        habit = Habit(settings.after_check, settings.called_first)
        places = Places(
            holder=settings.whole_by,
            expected=settings.whole_by,
            firsts=(settings.called_first, settings.called_first),
        )
        roles = places, habit
    state = State(
        settings,
        pull,
        conditions or Conditions(),
        differences=differences,
        places=roles[0],
        habit=roles[1],
        style=style,
    )
    return replace(state, opening=state)
