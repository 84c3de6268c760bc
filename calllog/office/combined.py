"""What was reported of many jobs in, the tables of all of them together out; shell."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from calllog.journal import remove_plain
from calllog.office.bulk import Done, Reported
from calllog.office.lead import CERTIFICATES, LINES, lead_of
from calllog.office.reporting import ReportWanted
from calllog.office.summary import make_folder
from calllog.report import (
    JobHeader,
    SegmentLog,
    SegmentRecord,
    Table,
    Written,
    keep_changed,
    read_segments_json,
    settle,
    sheet_in,
    write_sheet_csv,
    write_workbook,
)
from calllog.report.dataset import TABLES, part_name, partition, write_part
from calllog.report.tables import JOB_SHEET, LINE_SHEET, JobRow, RowState, tape_sheet
from calllog.values import ReadingUnit

BROKEN = RowState(("broken",), ("this job could not be reported",))
NO_HEADER: Any = None
"""The table of jobs has all of a job in its row."""
NO_IDENTITY = "not-known"
"""Partition of the jobs that could not be read."""
MOST_TOLD = 20
"""What is told of jobs before the lines of their workbook."""
Found = tuple[Path, Reported]


def write_combined(
    out: Path,
    root: Path,
    results: Sequence[Done[Reported]],
    spare: Collection[Path],
    wanted: ReportWanted,
) -> Written:
    """Write what jobs come to together: ``jobs.csv``, ``lines.csv``, a workbook, the dataset.

    Jobs in different units or feet never stand in one table of lengths: where there are several,
    each has a file of its own, with its name.

    Args:
        out: the folder in which the reports of the jobs lie.
        root: the folder in which the jobs lie.
        results: what became of each job.
        spare: folders that hold another copy of a job; their pulls do not count again.
        wanted: what is written.

    Raises:
        ReportError: a file cannot be written.
    """
    make_folder(out)
    kept = list(keep_changed(out, ("jobs.csv",)))
    rows = [_row(each, root, is_spare=each.folder in spare) for each in results]
    files = list(
        write_sheet_csv(
            out / "jobs.csv", JOB_SHEET, [(NO_HEADER, row) for row in rows], "international"
        )
    )
    once = [
        (each.folder, each.value)
        for each in results
        if each.value is not None and each.folder not in spare
    ]
    kinds = _by_lengths(once)
    for ending, found in kinds.items():
        end = f"-{ending}" if len(kinds) > 1 else ""
        workbooks = (f"jobs{end}.xlsx",) if wanted.as_xlsx else ()
        kept += keep_changed(out, (f"lines{end}.csv", *workbooks))
        files += _write_kind(out, end, found, wanted)
    if wanted.dataset is not None:
        files += _settle_dataset(wanted.dataset, root, results, spare, rows)
    return settle(out, "jobs", files, kept=tuple(kept))


def _row(each: Done[Reported], root: Path, *, is_spare: bool) -> JobRow:
    name = each.folder.relative_to(root).as_posix()
    if each.value is None:
        return JobRow(each.folder.name, "", name, wrong=each.reason, state=BROKEN)
    row = each.value.row
    if not is_spare:
        return row
    state = RowState(
        ("copy", *row.state.codes),
        ("another copy of this job counts instead", *row.state.words),
    )
    return replace(row, state=state)


def _by_lengths(found: Iterable[Found]) -> dict[str, list[Found]]:
    """Put jobs together whose lengths are in the same foot or unit, read as finely."""
    kinds: defaultdict[str, list[Found]] = defaultdict(list)
    for folder, value in found:
        kinds[value.header.lengths_code.replace(" ", "-")].append((folder, value))
    return dict(kinds)


def _write_kind(out: Path, ending: str, found: Sequence[Found], wanted: ReportWanted) -> list[Path]:
    """Write lines and workbook of jobs in one unit."""
    header = found[0][1].header
    rows = [(each.header, row) for _, each in found for row in each.lines]
    unit = ReadingUnit.FOOT if header.unit_read.is_feet else ReadingUnit.METRE
    sheet = sheet_in(LINE_SHEET, unit)
    files = list(write_sheet_csv(out / f"lines{ending}.csv", sheet, rows, header.foot))
    if not wanted.as_xlsx:
        return files
    noted: list[Reported] = []
    path = out / f"jobs{ending}.xlsx"
    write_workbook(
        path,
        _segments((each for _, each in found), noted),
        ((each.header, row) for each in noted for row in _log(each).notes),
        [each.header for _, each in found],
        beside=(
            Table(LINES, sheet, rows),
            Table(
                CERTIFICATES,
                tape_sheet(unit),
                [(each.header, row) for _, each in found for row in each.tapes],
            ),
        ),
        lead=lead_of(_states(each for _, each in found), rows),
    )
    return [*files, path]


def _states(jobs: Iterable[Reported]) -> list[str]:
    """Say of each job what must be known before its figures, or where all of that stands."""
    told = [f"{each.row.job}: {words}" for each in jobs for words in each.row.state.words]
    if len(told) > MOST_TOLD:
        told[MOST_TOLD:] = [
            f"{len(told) - MOST_TOLD} more, in the column `state` of the lines and segments"
        ]
    return told


def _segments(
    found: Iterable[Reported], noted: list[Reported]
) -> Iterator[tuple[JobHeader, SegmentRecord]]:
    """Read the segments of jobs one job at a time; keep in mind which have notes."""
    for each in found:
        log = _log(each)
        if log.notes:
            noted.append(each)
        for row in log.segments:
            yield each.header, row


def _log(each: Reported) -> SegmentLog:
    written = next(file for file in each.written if file.name == "segments.json")
    return read_segments_json(written)


def _settle_dataset(
    dataset: Path,
    root: Path,
    results: Sequence[Done[Reported]],
    spare: Collection[Path],
    rows: Sequence[JobRow],
) -> list[Path]:
    """Take spare copies out of the dataset, and put jobs that are broken into its list of jobs."""
    files: list[Path] = []
    for each in results:
        if each.value is None:
            continue
        part = part_name(each.folder.relative_to(root).as_posix())
        for table in TABLES[:-1]:
            path = partition(dataset, table, each.value.row.job_id) / part
            if each.folder in spare:
                remove_plain(dataset, *path.relative_to(dataset).parts)
            else:
                files.append(path)
    for row in rows:
        identity, part = row.job_id or NO_IDENTITY, part_name(row.folder)
        one = [(NO_HEADER, row)]
        files.append(write_part(dataset, "jobs", JOB_SHEET, one, identity=identity, part=part))
    return files
