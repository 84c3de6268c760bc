"""What a torture came to: one line of its table; kept as all measurements are."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from tests.measured.results import keep

FOLDER = Path(__file__).parents[2] / "build" / "torture"
"""For what a part needs while it runs."""


@dataclass(frozen=True, slots=True)
class Tally:
    """How one kind of fault went."""

    fault: str
    tried: int
    survived: int
    lost: int = 0
    """Calls, keys or decisions that were acknowledged and are not there afterwards."""
    doubled: int = 0
    """Such that are there twice."""
    note: str = ""
    """What else was counted."""
    figures: Mapping[str, float | int] = field(default_factory=dict)
    """Columns of its own, such as false calls an hour."""

    @property
    def passed(self) -> bool:
        """Whether everything was survived and nothing lost or doubled."""
        return self.survived == self.tried and not self.lost and not self.doubled


def report(part: str, tallies: Iterable[Tally]) -> int:
    """Keep a part's lines, and give an exit code."""
    found = list(tallies)
    figures = {
        each.fault: {
            "tried": each.tried,
            "survived": each.survived,
            "lost": each.lost,
            "doubled": each.doubled,
            **each.figures,
            "beside": each.note,
        }
        for each in found
    }
    keep(part, {"faults": figures}, n="as each row says")
    return 0 if all(each.passed for each in found) else 1
