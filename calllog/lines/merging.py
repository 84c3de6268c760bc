"""Segments of several jobs in, one log with runs and running totals counted through out; pure."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from calllog.errors import ConfigError
from calllog.lines.totals import running_kinds, running_totals
from calllog.values import Booking, CorrectedSegment, RunName

LineName = tuple[str, str]
ACCEPTED = frozenset({Booking.AGREED, Booking.FIRST, Booking.CHECK})
"""What was measured twice, or decided."""


class Unfinished(StrEnum):
    """What a line is that one job left unfinished and a later one takes up."""

    GOES_ON = "goes-on"
    """The later job goes on where the earlier one ended."""
    AGAIN = "again"
    """The later job began it again: another run."""


@dataclass(frozen=True, slots=True)
class JobPart:
    """The segments of one job."""

    job: str
    corrected: tuple[CorrectedSegment, ...]
    finished: Mapping[LineName, int]
    """How often each line was finished."""


@dataclass(frozen=True, slots=True)
class Join:
    """A line that a later job takes up."""

    line: LineName
    before: str
    after: str
    goes_on: bool
    """Whether the earlier run goes on; else the later job began another run."""


@dataclass(frozen=True, slots=True)
class Merged:
    """Several jobs as one log."""

    corrected: tuple[tuple[CorrectedSegment, ...], ...]
    """The segments of each job, with the runs and running totals of the whole."""
    shifts: tuple[Mapping[LineName, int], ...]
    """For each job, what was added to the runs of each of its lines."""
    joins: tuple[Join, ...]


@dataclass(frozen=True, slots=True)
class WantedSegments:
    """Which segments of a log are wanted; an empty choice wants all."""

    lines: tuple[LineName, ...] = ()
    tapes: tuple[str, ...] = ()
    bookings: tuple[Booking, ...] = ()
    first_day: str = ""
    last_day: str = ""

    def takes(self, corrected: CorrectedSegment) -> bool:
        """Tell whether a segment is wanted; one without a day is not where days are asked for."""
        segment, day = corrected.segment, corrected.day
        return (
            (not self.tapes or segment.tape in self.tapes)
            and (not self.bookings or segment.booking in self.bookings)
            and (not self.first_day or self.first_day <= day)
            and (not self.last_day or "" < day <= self.last_day)
        )

    def takes_line(self, line: LineName) -> bool:
        """Tell whether a line is wanted."""
        return not self.lines or line in self.lines


def merge_parts(parts: Sequence[JobPart], unfinished: Unfinished | None = None) -> Merged:
    """Count the runs of each line through several jobs, and add up each run as it goes.

    A line that was finished is another run in the next job that has it. Where it was not, nothing
    in the jobs tells whether the crew went on or began again, and it must be said.

    Args:
        parts: the jobs in the order of their work.
        unfinished: what an unfinished line is that a later job takes up; None refuses it.

    Returns:
        The whole; pull numbers stay those of each job.

    Raises:
        ConfigError: a line was left unfinished, and it is not said what follows.
    """
    runs: Counter[LineName] = Counter()
    open_in: dict[LineName, str] = {}
    last_in: dict[LineName, str] = {}
    numbered: list[list[CorrectedSegment]] = []
    joins: list[Join] = []
    shifts: list[dict[LineName, int]] = []
    for part in parts:
        shift: dict[LineName, int] = {}
        for line in dict.fromkeys(each.run_name.ends for each in part.corrected):
            goes_on = line in open_in and _goes_on(line, open_in[line], part.job, unfinished)
            shift[line] = runs[line] - 1 if goes_on else runs[line]
            if line in last_in:
                joins.append(Join(line, last_in[line], part.job, goes_on))
        rows = [
            each.model_copy(update={"run": each.run + shift[each.run_name.ends]})
            for each in part.corrected
        ]
        numbered.append(rows)
        shifts.append(shift)
        for line, moved in shift.items():
            own = max(each.run for each in part.corrected if each.run_name.ends == line)
            runs[line], last_in[line] = own + moved, part.job
            open_in.pop(line, None)
            if part.finished.get(line, 0) < own:
                open_in[line] = part.job
    return Merged(_totalled(numbered), tuple(shifts), tuple(joins))


def _goes_on(line: LineName, before: str, after: str, unfinished: Unfinished | None) -> bool:
    if unfinished is None:
        raise ConfigError(
            f"line {line[0]}:{line[1]} was not finished in {before}, and {after} takes it up: it"
            " may go on there or have been begun again, which makes one length or two",
            where=f"{before}, {after}",
            next_step="say which, from the field notes: --unfinished goes-on or --unfinished again",
        )
    return unfinished is Unfinished.GOES_ON


def _totalled(
    numbered: Sequence[Sequence[CorrectedSegment]],
) -> tuple[tuple[CorrectedSegment, ...], ...]:
    lengths: dict[RunName, list[float]] = {}
    pulls = [each for rows in numbered for each in rows]
    for each in pulls:
        lengths.setdefault(each.run_name, []).append(each.horizontal_ft)
    totals = {run: iter(running_totals(each)) for run, each in lengths.items()}
    names = [each.run_name for each in pulls]
    kinds = iter(running_kinds(names, [each.kind for each in pulls]))
    return tuple(
        tuple(
            each.model_copy(
                update={
                    "running_total_ft": next(totals[each.run_name]),
                    "running_kind": next(kinds),
                }
            )
            for each in rows
        )
        for rows in numbered
    )
