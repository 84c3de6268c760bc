"""Folders of jobs in, the wanted segments of all as one log out; reads only."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path

from calllog.errors import ConfigError
from calllog.lines import (
    JobPart,
    LineName,
    Merged,
    Unfinished,
    WantedSegments,
    merge_parts,
    station_text,
)
from calllog.office.copies import find_copies
from calllog.office.reporting import Office
from calllog.office.summary import Summary, summarise
from calllog.pairing import Phase
from calllog.report import (
    CertificatesApart,
    JoinRecord,
    LineLog,
    LoggedNote,
    LoggedSegment,
    MetricLineLog,
    Selection,
    StatedRecord,
    left_out,
)
from calllog.report.record import Beside, note_record, segment_record
from calllog.session.replay import Replay
from calllog.units import last_digits
from calllog.values import CorrectedSegment, ReadingUnit, RunName


def merge_jobs(
    folders: Sequence[Path], wanted: WantedSegments, unfinished: Unfinished | None = None
) -> LineLog:
    """Make one log of the wanted segments of one or more jobs, in the order of their work.

    Runs and running totals are counted through all jobs before anything is left out, so that a
    running total stays the place on the line (see `calllog.lines.merge_parts`).

    Raises:
        ConfigError: copies of one job are named, two jobs cannot be told apart, are in different
            feet, hold the same sound or are in the wrong order; a day is asked for and a job states
            none; or nothing is wanted.
        JournalError: a folder is no job, is damaged, or no line was begun in it.
    """
    _require_once(folders)
    summaries = [summarise(folder) for folder in folders]
    _require_no_copies(dict(zip(folders, summaries, strict=True)))
    for one, other in combinations(summaries, 2):
        _require_apart(one, other)
    for one, other in pairwise(summaries):
        _require_order(one, other)
    if wanted.first_day or wanted.last_day:
        _require_days(summaries)
    _require_lines(summaries, wanted)
    parts = [
        JobPart(
            job=each.header.job,
            corrected=tuple(
                one
                for one in each.corrected
                if wanted.takes_line((one.segment.line_from, one.segment.line_to))
            ),
            finished=finished_runs(each.replay),
        )
        for each in summaries
    ]
    merged = merge_parts(parts, unfinished)
    unit = summaries[0].header.unit_read
    log: type[LineLog] = LineLog if unit.is_feet else MetricLineLog
    stations = _Stations(unit)
    offices = [Office(each) for each in summaries]
    rows = [
        (
            part.job,
            segment_record(each, unit, stations.beside(office, each)),
            wanted.takes(each),
        )
        for part, office, segments in zip(parts, offices, merged.corrected, strict=True)
        for each in segments
    ]
    taken = tuple(LoggedSegment(job=job, segment=row) for job, row, is_taken in rows if is_taken)
    if not taken:
        raise ConfigError(
            "no segment is as asked for",
            where=", ".join(map(str, folders)),
            next_step="ask for less; `calllog report JOB` shows what is recorded",
        )
    lines = {(each.segment.line_from, each.segment.line_to) for each in taken}
    missing = [
        f"{line_from}:{line_to}"
        for line_from, line_to in wanted.lines
        if (line_from, line_to) not in lines
    ]
    if missing:
        raise ConfigError(
            f"no segment of line {', '.join(missing)} is as asked for",
            where="--line",
            next_step="name lines of these jobs, in the direction in which they were taped",
        )
    return log(
        selection=Selection(
            lines=tuple(":".join(line) for line in wanted.lines),
            tapes=wanted.tapes,
            bookings=wanted.bookings,
            first_day=wanted.first_day,
            last_day=wanted.last_day,
        ),
        jobs=tuple(each.header for each in summaries),
        segments=taken,
        left_out=left_out([(job, row) for job, row, is_taken in rows if not is_taken]),
        joins=tuple(
            JoinRecord(
                line_from=join.line[0],
                line_to=join.line[1],
                before=join.before,
                after=join.after,
                goes_on=join.goes_on,
            )
            for join in merged.joins
        ),
        notes=_notes(offices, merged, wanted),
        certificates_apart=tuple(_certificates_apart(summaries)),
    )


class _Stations:
    """Where pulls begin along lines that may go on through several jobs."""

    def __init__(self, unit: ReadingUnit) -> None:
        self._unit = unit
        self._ends_ft: dict[RunName, float] = {}

    def beside(self, office: Office, each: CorrectedSegment) -> Beside:
        """Give what a job knows of a segment besides; its station is that of the whole log."""
        at = last_digits(self._ends_ft.get(each.run_name, 0.0), self._unit)
        self._ends_ft[each.run_name] = each.running_total_ft
        station = "" if at < 0 else station_text(at, self._unit)
        return replace(office.beside[each.segment.pull], from_station=station)


def finished_runs(replay: Replay) -> Counter[LineName]:
    """Count how often each line of a job was finished."""
    found: Counter[LineName] = Counter(replay.finished)
    if replay.state is not None and replay.state.phase is Phase.FINISHED:
        found[replay.state.settings.line_from, replay.state.settings.line_to] += 1
    return found


def _notes(
    offices: Sequence[Office], merged: Merged, wanted: WantedSegments
) -> tuple[LoggedNote, ...]:
    found = []
    for office, shift in zip(offices, merged.shifts, strict=True):
        each = office.summary
        for note in each.replay.notes:
            line = note.run_name.ends
            if wanted.takes_line(line):
                counted = note.model_copy(update={"run": note.run + shift.get(line, 0)})
                unit = each.header.unit_read
                state = office.states[note.run_name]
                record = note_record(counted, each.replay.remarks, unit, state)
                found.append(LoggedNote(job=each.header.job, note=record))
    return tuple(found)


def _certificates_apart(summaries: Sequence[Summary]) -> Iterator[CertificatesApart]:
    """Find what certificates of one tape state otherwise in one job than in another."""
    for tape in dict.fromkeys(name for each in summaries for name in each.tapes):
        having = [each for each in summaries if tape in each.tapes]
        stated = [each.tapes[tape].entries for each in having]
        for entry in stated[0]:
            values = ["" if each[entry] is None else str(each[entry]) for each in stated]
            if len(set(values)) > 1:
                yield CertificatesApart(
                    tape=tape,
                    entry=entry,
                    stated=tuple(
                        StatedRecord(job=each.header.job, value=value)
                        for each, value in zip(having, values, strict=True)
                    ),
                )


def _require_once(folders: Sequence[Path]) -> None:
    """Refuse a folder that is named twice."""
    for path, times in Counter(folder.resolve() for folder in folders).items():
        if times > 1:
            raise ConfigError("one job is named twice", where=str(path), next_step="name it once")


def _require_no_copies(summaries: Mapping[Path, Summary]) -> None:
    """Refuse several copies of one job: its pulls would count more than once."""
    for one in find_copies({path: each.replay.identity for path, each in summaries.items()}):
        furthest = one.folders[0]
        raise ConfigError(
            one.words,
            where=", ".join(map(str, one.folders)),
            next_step="find out with `calllog compare` which holds, and name that one alone"
            if one.have_parted
            else f"name one of them alone, such as {furthest}, which holds all there is",
        )


def _require_apart(one: Summary, other: Summary) -> None:
    """Refuse two jobs that cannot stand in one log."""
    same = [
        name
        for name, sha256 in one.replay.recordings.items()
        if sha256 in other.replay.recordings.values()
    ]
    are_feet = one.header.unit_read is other.header.unit_read
    refusals = (
        (
            one.header.job == other.header.job,
            f"two jobs are called {one.header.job}, so that their pulls could not be told apart",
            "rename one folder",
        ),
        (
            one.header.lengths != other.header.lengths,
            ", ".join(f"{each.header.job} is in {each.header.lengths}" for each in (one, other)),
            f"make a log of its own for each {'foot' if are_feet else 'unit'}",
        ),
        (
            bool(same),
            f"both hold the recording {', '.join(same)}, so that its pulls would count twice",
            "leave one of the jobs out",
        ),
    )
    for is_so, what, next_step in refusals:
        if is_so:
            raise ConfigError(what, where=f"{one.folder}, {other.folder}", next_step=next_step)


def _require_order(one: Summary, other: Summary) -> None:
    first, second = one.replay.days, other.replay.days
    if first and second and min(second) < min(first):
        raise ConfigError(
            f"{other.header.job} was begun on {min(second)}, before {one.header.job}"
            f" ({min(first)})",
            where=f"{one.header.job}, {other.header.job}",
            next_step="name the jobs in the order of their work",
        )


def _require_lines(summaries: Sequence[Summary], wanted: WantedSegments) -> None:
    """Refuse a line of which no job has a segment."""
    known = dict.fromkeys(one.run_name.ends for each in summaries for one in each.corrected)
    if missing := [":".join(line) for line in wanted.lines if line not in known]:
        names = ", ".join(":".join(line) for line in known)
        raise ConfigError(
            f"no segment is of line {', '.join(missing)}",
            where="--line",
            next_step=f"name one as it was taped: {names or 'there is none'}",
        )


def _require_days(summaries: Sequence[Summary]) -> None:
    for each in summaries:
        if any(not one.day for one in each.corrected):
            raise ConfigError(
                "pulls of this job state no day, so that days cannot choose among them",
                where=each.header.job,
                next_step="leave --first-day and --last-day out",
            )
