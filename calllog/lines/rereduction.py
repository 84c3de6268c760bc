"""One job's segments corrected twice in, the differences per pull and per line out; pure."""

from collections.abc import Sequence
from dataclasses import dataclass

from calllog.lines.runs import Line, group_lines
from calllog.values import CorrectedSegment, DistanceKind


@dataclass(frozen=True, slots=True)
class LengthChange:
    """What became of a corrected length when it was reduced again."""

    line_from: str
    line_to: str
    run: int
    """Which run in this direction."""
    pull: int | None
    """Number of the pull; None for the whole line."""
    old_ft: float
    new_ft: float
    old_uncorrected: tuple[int, ...]
    """Pulls in it that stood as they were read."""
    new_uncorrected: tuple[int, ...]
    old_kind: DistanceKind = DistanceKind.HORIZONTAL
    new_kind: DistanceKind = DistanceKind.HORIZONTAL
    """Whether the lengths are horizontal, or lie along a slope that is not known."""

    @property
    def difference_ft(self) -> float:
        """New less old [ft]."""
        return self.new_ft - self.old_ft


def changes(
    before: Sequence[CorrectedSegment], after: Sequence[CorrectedSegment]
) -> tuple[tuple[LengthChange, ...], tuple[LengthChange, ...]]:
    """List what became of each pull, and of each line, when a job was reduced again.

    Raises:
        ValueError: they are not the same pulls.
    """
    if [each.segment.pull for each in before] != [each.segment.pull for each in after]:
        message = "a reduction is compared with one of the same pulls"
        raise ValueError(message)
    pulls = zip(_each_alone(before), _each_alone(after), strict=True)
    lines = zip(group_lines(before), group_lines(after), strict=True)
    return (
        tuple(_change(old, new, old.corrected[0].segment.pull) for old, new in pulls),
        tuple(_change(old, new, None) for old, new in lines),
    )


def _each_alone(corrected: Sequence[CorrectedSegment]) -> list[Line]:
    return [
        Line(each.segment.line_from, each.segment.line_to, (each,), each.run) for each in corrected
    ]


def _change(old: Line, new: Line, pull: int | None) -> LengthChange:
    return LengthChange(
        line_from=old.line_from,
        line_to=old.line_to,
        run=old.run,
        pull=pull,
        old_ft=old.horizontal_ft,
        new_ft=new.horizontal_ft,
        old_uncorrected=old.uncorrected,
        new_uncorrected=new.uncorrected,
        old_kind=old.kind,
        new_kind=new.kind,
    )
