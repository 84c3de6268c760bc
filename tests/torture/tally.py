"""What a torture came to: one line of its table; kept as JSON lines in ``build/torture``."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path

FOLDER = Path(__file__).parents[2] / "build" / "torture"
HEADS = "| fault | tried | survived | lost | doubled | note |\n|---|---|---|---|---|---|\n"


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
    """What else was counted, such as false calls an hour."""

    @property
    def passed(self) -> bool:
        """Whether everything was survived and nothing lost or doubled."""
        return self.survived == self.tried and not self.lost and not self.doubled

    def line(self) -> str:
        """Give the line of the table."""
        counts = " | ".join(f"{n:,}" for n in (self.tried, self.survived, self.lost, self.doubled))
        return f"| {self.fault} | {counts} | {self.note} |\n"


def report(part: str, tallies: Iterable[Tally]) -> int:
    """Print a part's lines, keep them for the whole table, and give an exit code."""
    found = list(tallies)
    FOLDER.mkdir(parents=True, exist_ok=True)
    lines = "".join(json.dumps(asdict(each)) + "\n" for each in found)
    (FOLDER / f"{part}.jsonl").write_text(lines, "utf-8")
    sys.stdout.write(HEADS + "".join(each.line() for each in found))
    return 0 if all(each.passed for each in found) else 1


def kept() -> list[Tally]:
    """Read what all parts left, in the order of their names."""
    return [
        Tally(**json.loads(line))
        for path in sorted(FOLDER.glob("*.jsonl"))
        for line in path.read_text("utf-8").splitlines()
    ]


if __name__ == "__main__":
    sys.stdout.write(HEADS + "".join(each.line() for each in kept()))
