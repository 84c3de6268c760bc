"""The state of a line of pulls as immutable values; pure."""

from __future__ import annotations

from dataclasses import dataclass, field

from calllog.pairing.table import Phase
from calllog.tape import PARTED, length_read
from calllog.values import (
    Call,
    Conditions,
    Finding,
    LineSettings,
    Observation,
    Role,
    Style,
)

OTHER = {Role.HEAD: Role.REAR, Role.REAR: Role.HEAD, Role.UNSAID: Role.UNSAID}
"""Who is at the other end."""


@dataclass(frozen=True, slots=True)
class Parts:
    """What has been called of one observation, hundredths of a foot."""

    whole: int | None = None
    fraction: int | None = None
    calls: tuple[int, ...] = ()
    times: tuple[tuple[str, float], ...] = ()
    """Source and start of each call [s]."""

    @property
    def is_empty(self) -> bool:
        """Nothing has been called."""
        return self.whole is None and self.fraction is None

    @property
    def is_complete(self) -> bool:
        """Both parts have been called."""
        return self.whole is not None and self.fraction is not None

    @property
    def raw(self) -> int:
        """The parts as one number, as they were called."""
        return (self.whole or 0) + (self.fraction or 0)

    def observe(self, style: Style, hold: int) -> Observation:
        """Reduce complete parts by the tape's graduation."""
        is_one_reading = style not in PARTED
        whole = None if is_one_reading else self.whole
        fraction = None if is_one_reading else self.fraction
        reading = self.raw if is_one_reading else None
        return Observation(
            whole=whole,
            fraction=fraction,
            reading=reading,
            hold=hold,
            length=length_read(style, whole=whole, fraction=fraction, reading=reading, hold=hold),
            calls=self.calls,
        )


@dataclass(frozen=True, slots=True)
class Stop:
    """What waits for a decision."""

    origin: Phase
    check: Observation | None
    """The check that differs; None where a repetition differs."""
    other: Parts
    """The parts as they would stand with the later call."""


@dataclass(frozen=True, slots=True)
class State:
    """Everything that the machine knows; a new one for every step."""

    settings: LineSettings
    pull: int
    conditions: Conditions = field(default_factory=Conditions)
    phase: Phase = Phase.OPEN
    parts: Parts = field(default_factory=Parts)
    take: Observation | None = None
    stop: Stop | None = None
    findings: tuple[Finding, ...] = ()
    superseded: tuple[Observation, ...] = ()
    held: tuple[Call, ...] = ()
    history: tuple[Call, ...] = ()
    """The calls of this pull that were taken, in order; scratching one replays the others."""
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
