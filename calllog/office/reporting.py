"""A summary in, the tables that an office joins out, and the files of a report; shell.

All tables of a job are made from one summary, so that they cannot contradict each other.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from calllog.corrections import LineBudget, line_budget
from calllog.lines import (
    COVERAGE,
    Closure,
    Line,
    closures,
    group_lines,
    one_in,
    ratio_as_read,
    shown_one_in,
    station_text,
)
from calllog.office.lead import CERTIFICATES, LINES, lead_of
from calllog.office.state_facts import (
    POLICY,
    StateFact,
    facts_about,
    state_codes,
    state_facts,
    state_words,
    unfinished_runs,
)
from calllog.office.summary import Summary, make_folder
from calllog.report import (
    SCHEMA_NAME,
    JobHeader,
    Sheet,
    Table,
    Written,
    keep_changed,
    settle,
    sheet_in,
    write_segments_json,
    write_sheet_csv,
    write_workbook,
)
from calllog.report.dataset import part_name, write_part
from calllog.report.notes_csv import NOTE_SHEET
from calllog.report.record import (
    NOTHING_BESIDE,
    Beside,
    NoteRecord,
    SegmentRecord,
    note_record,
    segment_record,
)
from calllog.report.segments_csv import SEGMENT_SHEET, SHORT_SHEET
from calllog.report.table_group import write_table_group
from calllog.report.tables import (
    CALL_SHEET,
    JOB_SHEET,
    LINE_SHEET,
    CallRow,
    JobRow,
    LineRow,
    RowState,
    TapeRow,
    tape_sheet,
)
from calllog.session.replay import PHONE, Replay
from calllog.units import in_unit, last_digits
from calllog.values import NUMBERS, Call, Kind, ReadingUnit, RunName, Severity
from calllog.wording import ENGLISH


@dataclass(frozen=True)
class Office:
    """The tables of one job; each is computed when it is asked for, and once."""

    summary: Summary

    @property
    def header(self) -> JobHeader:
        """What holds for all rows."""
        return self.summary.header

    @property
    def unit(self) -> ReadingUnit:
        """What the job's tapes are graduated in."""
        return self.header.unit_read

    @cached_property
    def facts(self) -> tuple[StateFact, ...]:
        """What must be said of the job before any figure."""
        return state_facts(self.summary)

    @cached_property
    def lines_of(self) -> tuple[Line, ...]:
        """Its lines, one for each run that has pulls."""
        return group_lines(self.summary.corrected)

    @cached_property
    def line_keys(self) -> Mapping[RunName, str]:
        """Key of each run, in the order in which they were begun: the number never changes."""
        runs = dict.fromkeys(self.summary.replay.begun)
        runs |= dict.fromkeys(each.name for each in self.lines_of)
        return {run: f"{self.header.identity}/line-{at}" for at, run in enumerate(runs, start=1)}

    @cached_property
    def certificate_keys(self) -> Mapping[str, str]:
        """Key of the certificate that each tape's pulls were corrected by."""
        return {
            tape: self._certificate_key(
                next(each.sequence for each in editions if each.certificate is used)
            )
            for tape, editions in self.summary.replay.editions.items()
            if (used := self.summary.tapes.get(tape)) is not None
        }

    def _certificate_key(self, entry: int) -> str:
        return f"{self.header.identity}/certificate-{entry}"

    @cached_property
    def beside(self) -> Mapping[int, Beside]:
        """What the job knows of its segments besides, by the number of the pull."""
        found: dict[int, Beside] = {}
        result = self.summary.replay
        ends_ft: dict[RunName, float] = {}
        for each, recorded in zip(self.summary.corrected, result.recorded_at, strict=True):
            segment = each.segment
            run = each.run_name
            about = facts_about(self.facts, run, segment.pull)
            tape = self.summary.tapes[segment.tape]
            found[segment.pull] = Beside(
                state=state_words(about),
                state_codes=state_codes(about),
                from_station=self._station(ends_ft.get(run, 0.0)),
                heard_utc=min(self._heard(segment.take.calls), default=""),
                recorded_utc=recorded,
                certificate_number=tape.certificate_number,
                certificate_key=self.certificate_keys[segment.tape],
                line_key=self.line_keys[run],
            )
            ends_ft[run] = each.running_total_ft
        return found

    def _station(self, at_ft: float) -> str:
        """Name a place on a line; empty before its beginning."""
        at = last_digits(at_ft, self.unit)
        return "" if at < 0 else station_text(at, self.unit)

    def _heard(self, calls: Sequence[int]) -> Iterator[str]:
        placed = self.summary.replay.placed
        return (placed[call].time_utc for call in calls if call in placed)

    @cached_property
    def segments(self) -> tuple[SegmentRecord, ...]:
        """One record a pull."""
        return tuple(
            segment_record(each, self.unit, self.beside.get(each.segment.pull, NOTHING_BESIDE))
            for each in self.summary.corrected
        )

    @cached_property
    def notes(self) -> tuple[NoteRecord, ...]:
        """One record a note."""
        result = self.summary.replay
        return tuple(
            note_record(each, result.remarks, self.unit, self.states[each.run_name])
            for each in result.notes
        )

    @cached_property
    def states(self) -> Mapping[RunName, tuple[str, ...]]:
        """What must be known of each run of a line before any figure, in words."""
        runs = (*self.line_keys, *(each.run_name for each in self.summary.replay.notes))
        return {run: state_words(facts_about(self.facts, run)) for run in runs}

    @cached_property
    def lines(self) -> tuple[LineRow, ...]:
        """One row a run of a line, those without pulls last."""
        unfinished = set(unfinished_runs(self.summary.replay))
        runs = {each.again.name: each for each in closures(self.lines_of)}
        with_pulls = {line.name for line in self.lines_of}
        empty = [Line(*run.ends, (), run.run) for run in self.line_keys if run not in with_pulls]
        return tuple(
            _line_row(self, line, runs.get(line.name), is_finished=line.name not in unfinished)
            for line in (*self.lines_of, *empty)
        )

    def budget(self, line: Line) -> LineBudget | None:
        """Find a line's uncertainty; None where it has no pull, or one that is not corrected."""
        if line.uncorrected or not line.corrected:
            return None
        segments = [each.segment for each in line.corrected]
        return line_budget(segments, self.summary.tapes, improvements=())

    def in_unit(self, length_ft: float) -> float:
        """Give a length in the unit of the job."""
        return in_unit(length_ft, self.unit)

    @cached_property
    def calls(self) -> tuple[CallRow, ...]:
        """One row a call."""
        places = _places(self.summary.replay)
        return tuple(_call_row(self, call, places) for call in self.summary.replay.calls)

    @cached_property
    def tapes(self) -> tuple[TapeRow, ...]:
        """One row a certificate, those replaced among them."""
        result = self.summary.replay
        rows = []
        for editions in result.editions.values():
            followers = (*editions[1:], None)
            for one, after in zip(editions, followers, strict=True):
                rows.append(
                    TapeRow(
                        certificate_key=self._certificate_key(one.sequence),
                        certificate=one.certificate,
                        entry=one.sequence,
                        is_in_force=after is None,
                        replaced_by="" if after is None else self._certificate_key(after.sequence),
                        by=one.by,
                        why=one.why,
                        stated_utc=one.time_utc,
                    )
                )
        return tuple(rows)

    def tables(self, *, is_full: bool) -> dict[str, tuple[Sheet[Any], Sequence[Any]]]:
        """Give columns and rows of all tables by name, in the job's unit, in full or in short."""
        unit = self.unit
        segments = SEGMENT_SHEET if is_full else SHORT_SHEET
        return {
            "segments": (sheet_in(segments, unit), self.segments),
            "lines": (sheet_in(LINE_SHEET, unit), self.lines),
            "calls": (sheet_in(CALL_SHEET, unit), self.calls),
            "tapes": (tape_sheet(unit), self.tapes),
            "notes": (sheet_in(NOTE_SHEET, unit), self.notes),
        }

    def job_row(self, folder: str = ".") -> JobRow:
        """Give the job in one row, with where it lies below the folder that was named."""
        result, signed = self.summary.replay, self.header.signed
        return JobRow(
            job=self.header.job,
            job_id=self.header.identity,
            folder=folder,
            days=tuple(dict.fromkeys(day.isoformat() for day in result.days)),
            lines=len(self.lines_of),
            pulls=len(self.summary.corrected),
            lengths_in=self.header.lengths_code,
            signed_by=signed[-1].by if signed else "",
            signed_on=signed[-1].date if signed else "",
            entries=len(result.hashes),
            state_hash=self.header.state_hash,
            state=RowState(state_codes(self.facts), state_words(self.facts)),
        )


def _state(office: Office, run: RunName, pull: int | None = None) -> RowState:
    about = facts_about(office.facts, run, pull)
    return RowState(state_codes(about), state_words(about))


def _line_row(office: Office, line: Line, against: Closure | None, *, is_finished: bool) -> LineRow:
    budget, unit = office.budget(line), office.unit
    recorded = [office.beside[each.segment.pull].recorded_utc for each in line.corrected]
    if budget is not None and budget.left_out:
        budget = None
    expanded = None if budget is None else office.in_unit(COVERAGE * budget.u_ft)
    length = office.in_unit(line.horizontal_ft)
    n = None if expanded is None or length <= 0 else one_in(expanded, length)
    closed = against and ratio_as_read(against.difference_ft, against.mean_ft, unit)
    segments = [each.segment for each in line.corrected]
    return LineRow(
        line_key=office.line_keys[line.name],
        line_from=line.line_from,
        line_to=line.line_to,
        run=line.run,
        is_finished=is_finished,
        pulls=len(segments),
        length_read=office.in_unit(line.length_read_ft) if segments else None,
        horizontal=length if segments else None,
        distance_kind=line.kind if segments else None,
        u=None if budget is None else office.in_unit(budget.u_ft),
        u_expanded=expanded,
        u_random=None if budget is None else office.in_unit(budget.u_random_ft),
        u_common=None if budget is None else office.in_unit(budget.u_common_ft),
        one_in=shown_one_in(n) if n else None,
        closure=None if against is None else office.in_unit(against.difference_ft),
        closure_one_in=shown_one_in(closed.n) if closed else None,
        closure_with="" if against is None else office.line_keys[against.forward.name],
        stops=sum(
            found.severity is Severity.STOP for segment in segments for found in segment.findings
        ),
        decided_pulls=tuple(one.pull for one in segments if one.decided_by != POLICY),
        unchecked_pulls=line.unchecked,
        book_policy=line.policies,
        certificate_keys=tuple({office.certificate_keys[one.tape]: None for one in segments}),
        days=tuple(dict.fromkeys(each.day for each in line.corrected if each.day)),
        first_utc=min(recorded, default=""),
        last_utc=max(recorded, default=""),
        state=_state(office, line.name),
    )


def _places(result: Replay) -> dict[int, tuple[str, int]]:
    """Tell what each call is part of now: its place and its pull."""
    places = {call: ("struck", result.placed[call].pull) for call in result.struck}
    for segment in result.segments:
        parts = (("take", segment.take), ("check", segment.check))
        named = [("struck", each) for each in segment.superseded]
        for place, observed in (*named, *parts):
            for call in observed.calls if observed else ():
                places[call] = (place, segment.pull)
    return places


def _call_row(office: Office, call: Call, places: Mapping[int, tuple[str, int]]) -> CallRow:
    placed = office.summary.replay.placed[call.number]
    place, pull = places.get(call.number, ("none", placed.pull))
    why = office.summary.withheld.get(call.number)
    is_number = call.kind in NUMBERS and call.value is not None
    return CallRow(
        call=call.number,
        heard_utc=placed.time_utc,
        who=_who(office, call),
        role=call.role.value,
        line_key=office.line_keys[placed.run],
        pull=pull,
        place=place,
        is_typed=call.is_keyed,
        kind=call.kind.value,
        text="" if why is not None and call.kind is Kind.REMARK else call.text,
        value=office.unit.text(call.value or 0) if is_number else "",
        probability=call.probability,
        outcome=call.outcome,
        reason=ENGLISH.measured_in(office.unit).say(call.reason),
        sound=call.clip,
        sound_sha256=call.clip_sha256 if call.clip else "",
        withheld=ENGLISH.say(why) if why is not None else "",
        source=call.source,
        start_s=call.start_s,
        end_s=call.end_s,
        state=_state(office, placed.run, pull),
    )


def _who(office: Office, call: Call) -> str:
    """Name the caller: of a phone by its name, else who has that microphone or those keys."""
    _, is_phone, name = call.source.partition(f"#{PHONE}")
    return name if is_phone else office.summary.replay.about.who(call.role.value)


@dataclass(frozen=True, slots=True)
class ReportWanted:
    """What is written of a job beside its tables as CSV and its log as JSON."""

    as_xlsx: bool = False
    """A workbook."""
    is_full: bool = False
    """All columns of the segments, not the short form."""
    dataset: Path | None = None
    """Folder of a dataset that the tables become part of; None for none."""
    name: str = ""
    """Where the job lies below the folder that was named, which tells copies of it apart there."""


PLAIN = ReportWanted()


def write_office(office: Office, out: Path, wanted: ReportWanted = PLAIN) -> Written:
    """Write the tables of a job as CSV, its segment log as JSON, and what describes them.

    Raises:
        ReportError: a folder cannot be written, or a library that is needed is not installed.
        JournalError: the job cannot be read any more.
    """
    make_folder(out)
    job, summary = office.header, office.summary
    files: list[Path] = []
    tables = office.tables(is_full=wanted.is_full)
    workbooks = ("segments.xlsx",) if wanted.as_xlsx else ()
    kept = keep_changed(out, (*(f"{name}.csv" for name in tables), "segments.json", *workbooks))
    for name, (sheet, rows) in tables.items():
        path = out / f"{name}.csv"
        files += write_sheet_csv(path, sheet, [(job, row) for row in rows], job.foot)
    notes, remarks = summary.replay.notes, summary.replay.remarks
    document = out / "segments.json"
    write_segments_json(
        document,
        summary.corrected,
        job,
        notes,
        remarks,
        beside=office.beside,
        states=office.states,
    )
    files += [document, document.with_name(SCHEMA_NAME)]
    files.append(write_table_group(out, [out / f"{name}.csv" for name in tables]))
    if wanted.as_xlsx:
        files.append(out / "segments.xlsx")
        _write_workbook(office, files[-1])
    if wanted.dataset is not None:
        parts = _write_parts(office, wanted.dataset, wanted.name)
        files += parts if wanted.dataset.is_relative_to(out) else ()
    return settle(out, "report", files, kept=kept, of=job)


def _write_workbook(office: Office, path: Path) -> None:
    """Write the tables of a job as one workbook, what must be known of it first."""
    job, tables = office.header, office.tables(is_full=True)
    lines = [(job, row) for row in office.lines]
    write_workbook(
        path,
        [(job, row) for row in office.segments],
        [(job, row) for row in office.notes],
        [job],
        beside=(
            Table(LINES, tables["lines"][0], lines),
            Table(CERTIFICATES, tables["tapes"][0], [(job, row) for row in office.tapes]),
        ),
        lead=lead_of(state_words(office.facts), lines),
    )


def _write_parts(office: Office, dataset: Path, name: str) -> list[Path]:
    """Write the job's part of each table of a dataset."""
    job, part = office.header, part_name(name)
    tables = office.tables(is_full=True) | {"jobs": (JOB_SHEET, (office.job_row(name or "."),))}
    return [
        write_part(
            dataset, table, sheet, [(job, row) for row in rows], identity=job.identity, part=part
        )
        for table, (sheet, rows) in tables.items()
    ]


def write_report(
    summary: Summary, out: Path, *, as_xlsx: bool = False, is_full: bool = False
) -> Written:
    """Write the report of a job, as `write_office` does."""
    return write_office(Office(summary), out, ReportWanted(as_xlsx=as_xlsx, is_full=is_full))
