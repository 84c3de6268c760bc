"""The parts called of one observation, and which call stated which; pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from calllog.pairing.changed import replace
from calllog.tape import PARTED, length_read
from calllog.values import Call, Observation, Style

PART_NAMES = ("whole", "fraction")
"""What the two ends call, in the order in which a reading is said."""


@dataclass(frozen=True, slots=True)
class Stated:
    """A call that states a part as it stands."""

    part: str
    """``whole`` or ``fraction``."""
    call: int
    is_keyed: bool


@dataclass(frozen=True)
class Parts:
    """What has been called of one observation, hundredths of a foot or meter."""

    whole: int | None = None
    fraction: int | None = None
    calls: tuple[int, ...] = ()
    times: tuple[tuple[str, float], ...] = ()
    """Source and start of each call [s]."""
    stated: tuple[Stated, ...] = ()

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

    def value(self, part: str) -> int | None:
        """Give a part as it stands; None if it was not called."""
        return self.whole if part == "whole" else self.fraction

    def is_keyed(self, part: str) -> bool:
        """Tell whether a part that stands was typed."""
        return any(each.part == part and each.is_keyed for each in self.stated)

    def differing(self, proposed: Mapping[str, int]) -> tuple[str, ...]:
        """List the parts that stand with another value."""
        return tuple(
            part for part, value in proposed.items() if self.value(part) not in (None, value)
        )

    def add(self, call: Call, proposed: Mapping[str, int]) -> Parts:
        """Let a call state parts; what stood there with another value is no longer stated."""
        changed = self.differing(proposed)
        return replace(
            self,
            whole=proposed.get("whole", self.whole),
            fraction=proposed.get("fraction", self.fraction),
            calls=(*self.calls, call.number),
            times=(*self.times, (call.source, call.start_s)),
            stated=(
                *(each for each in self.stated if each.part not in changed),
                *(Stated(part, call.number, call.is_keyed) for part in proposed),
            ),
        )

    def overrule(
        self, call: Call, proposed: Mapping[str, int]
    ) -> tuple[Parts, tuple[int, ...], tuple[int, ...]]:
        """Let a typed call replace what was heard.

        Returns:
            The parts; the calls that are struck; and those that stay although they said otherwise,
            because they alone state the other part.
        """
        changed = self.differing(proposed)
        contradicted = dict.fromkeys(each.call for each in self.stated if each.part in changed)
        parts, struck, kept = self.add(call, proposed), [], []
        for number in contradicted:
            others = {each.part for each in parts.stated if each.call != number}
            if all(each.part in others for each in parts.stated if each.call == number):
                parts = parts.without(number)
                struck.append(number)
            else:
                kept.append(number)
        return parts, tuple(struck), tuple(kept)

    def without(self, number: int) -> Parts:
        """Take out a call that states nothing needed."""
        kept = [each for each in zip(self.calls, self.times, strict=True) if each[0] != number]
        return replace(
            self,
            calls=tuple(call for call, _ in kept),
            times=tuple(time for _, time in kept),
            stated=tuple(each for each in self.stated if each.call != number),
        )

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
