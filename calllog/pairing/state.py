"""The state of a line of pulls as immutable values; pure."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from calllog.decoding import Part
from calllog.pairing.parts import Parts, Stated
from calllog.pairing.table import Phase
from calllog.values import Call, Conditions, Decision, Finding, LineSettings, Observation, Role

OTHER = {Role.HEAD: Role.REAR, Role.REAR: Role.HEAD, Role.UNSAID: Role.UNSAID}
"""Who is at the other end."""


@dataclass(frozen=True, slots=True)
class Stop:
    """What waits for a decision."""

    origin: Phase
    check: Observation | None
    """The check that differs; None where a repetition differs."""
    other: Parts
    """The parts as they would stand with the later call."""


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
        return ("whole", "fraction") if self.part is Part.READING else (self.part.value,)


@dataclass(frozen=True, slots=True)
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
    is_confirmed: bool = False
    """The last answer said what stood already."""
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
    doubted: Call | None = None
    """A call that was asked whether it is one (see `calllog.pairing.doubtful`)."""
    last: Call | None = None
    """What was heard last and is no talk, to know it on the other microphone."""
    opening: State | None = None
    """The state in which this pull began."""
    booked: State | None = None
    """The state just before the last booking, to be reopened by *scratch*."""

    @property
    def whole_by(self) -> Role:
        """Who calls the whole foot now: the roles turn round for the check."""
        by = self.settings.whole_by
        return OTHER[by] if self.phase is Phase.CHECKING else by

    @property
    def fraction_by(self) -> Role:
        """Who calls the hundredths now."""
        return OTHER[self.whole_by]


def start(
    settings: LineSettings,
    pull: int = 1,
    conditions: Conditions | None = None,
    differences: tuple[int, ...] = (),
) -> State:
    """Begin a line with its first pull."""
    state = State(settings, pull, conditions or Conditions(), differences=differences)
    return replace(state, opening=state)
