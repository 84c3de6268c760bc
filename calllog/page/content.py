"""Page: a job's summary and journal in, what stands on its pages out; no files touched."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import tzinfo

from calllog.lines import Line, station_text
from calllog.office import LineResult, StateFact, Summary, is_finished, line_results, state_facts
from calllog.page.facts import (
    Budget,
    Compared,
    Papers,
    Repeated,
    Total,
    compared,
    crew,
    papers,
    shown_budget,
    total,
)
from calllog.page.history import Deed, History
from calllog.page.plots import Drawing, draw
from calllog.page.signed import (
    SUMMARY,
    SetAgainst,
    SignedSheet,
    check_records,
    signable,
    stops,
    tape_words,
)
from calllog.page.standing import PageStanding, of_job, of_line
from calllog.page.table import CallOnPage, Material, Row, heard, table_rows
from calllog.report import JobHeader, hundredths_text
from calllog.session import Zones, zones_of
from calllog.values import (
    BookPolicy,
    Call,
    Kind,
    LineNote,
    Message,
    Outcome,
    ReadingUnit,
    RunName,
    message,
)
from calllog.wording import ENGLISH, Words

DAY = "day"
"""Name of the page of the whole job."""
GROUP = 8
"""Digits of a hash in a group; as many are enough to name it."""


@dataclass(frozen=True, slots=True)
class Noted:
    """A station and offset note, with its sound and its remarks."""

    line: Message
    station: str
    side: Message
    offset: str
    time_utc: str
    calls: tuple[CallOnPage, ...]
    """The note itself, then the remarks about it."""


@dataclass(frozen=True, slots=True)
class Pending:
    """A pull that was begun and not booked."""

    pull: int
    line: Message
    calls: tuple[CallOnPage, ...]


@dataclass(frozen=True, slots=True)
class Page:
    """What stands on one page."""

    name: str
    """Of its file, without ending."""
    title: Message
    is_day: bool
    header: JobHeader
    days: str
    totals: tuple[Total, ...]
    """Of all lines; a line's page shows its own."""
    total: Total | None
    """Of the line whose page it is."""
    rows: tuple[Row, ...]
    compared: tuple[Compared, ...]
    notes: tuple[Noted, ...]
    remarks: tuple[tuple[Message, tuple[CallOnPage, ...]], ...]
    """The line of each group of remarks, and the remarks."""
    pending: tuple[Pending, ...]
    deeds: tuple[Deed, ...]
    budget: Budget | None
    crew: Repeated
    papers: tuple[Papers, ...]
    drawings: tuple[Drawing, ...]
    standing: tuple[Message, ...]
    """What must be known before any figure."""
    is_sound: bool
    """Nothing of that speaks against a figure."""
    has_clips: bool
    policies: tuple[BookPolicy, ...]
    """What is recorded when first and check agree; one policy as a rule."""
    last_entry: int
    """Number of the journal's last entry."""
    zones: Zones
    """Where its times are local."""
    sheet: SignedSheet | None = None
    """What stands on the page that is signed; None on all others."""

    @property
    def template(self) -> str:
        """Name of the template that it is written by."""
        return "page.html.j2" if self.sheet is None else "summary.html.j2"

    @property
    def others(self) -> tuple[tuple[str, Message], ...]:
        """Names of all pages of the job, this one too, and what each is called."""
        lines = ((each.page, each.name) for each in self.totals)
        first = (SUMMARY, message("page-summary")), (DAY, message("page-the-day"))
        return (*first, *lines)

    @property
    def running(self) -> Message:
        """What stands at the head of each sheet of paper."""
        job = self.header.job
        if not self.days:
            return message("page-running-head-no-day", job=job, title=self.title)
        return message("page-running-head", job=job, title=self.title, days=self.days)

    @property
    def short_hash(self) -> Message:
        """The beginning of the hash of the last entry, and what it is."""
        return message("page-short-hash", digits=self.header.state_hash[:GROUP])

    @property
    def corrections(self) -> tuple[str, ...]:
        """Codes of the names of the corrections, in the order of a row's figures."""
        return ("standardisation-short", "temperature-short", "tension-short", "sag", "slope")

    @property
    def hash_groups(self) -> str:
        """The hash of the last entry in groups of eight, to be read off paper."""
        whole = self.header.state_hash
        return " ".join(whole[at : at + GROUP] for at in range(0, len(whole), GROUP))

    @property
    def unit(self) -> ReadingUnit:
        """What the tapes are graduated in."""
        return self.header.unit_read

    @property
    def lengths(self) -> Message:
        """What all lengths are in."""
        return message("page-lengths-in", foot=self.header.foot)


@dataclass(frozen=True, slots=True)
class _Job:
    """A job, and what its pages have in common."""

    summary: Summary
    history: History
    material: Material
    lines: tuple[Line, ...]
    totals: tuple[Total, ...]
    booked: Collection[int]
    words: Words
    facts: Sequence[StateFact]
    """What must be known before any figure."""
    zones: Zones

    @property
    def calls(self) -> Sequence[Call]:
        return self.summary.replay.calls


def build_pages(
    summary: Summary,
    history: History,
    clips: Mapping[int, str],
    *,
    changed: Collection[int] = (),
    words: Words = ENGLISH,
    wanted: SetAgainst | None = None,
    zone: tzinfo | None = None,
) -> tuple[Page, ...]:
    """Lay out the page of the day, then one for each line, and the one that is signed.

    Args:
        summary: the job, computed from its journal.
        history: who decided what, read from the same journal.
        clips: links to the sounds that are kept, by the number of the call.
        changed: calls whose sound is not the one that was recorded.
        words: the language of the plots; all else is said where it is written.
        wanted: what the office sets the lines against; None for nothing.
        zone: of the times; the job's own if left out.

    Raises:
        ConfigError: a record cannot be read, or is of a line that is not here.
    """
    wanted = wanted or SetAgainst()
    results = line_results(summary)
    lines = tuple(each.line for each in results)
    pages = [f"line-{number}" for number in range(1, len(lines) + 1)]
    totals = tuple(total(each, page, summary) for each, page in zip(results, pages, strict=True))
    booked = frozenset(each.pull for each in summary.replay.segments)
    material = _material(summary, history, clips, changed)
    facts = state_facts(summary)
    zones = zones_of(summary.replay, zone)
    job = _Job(summary, history, material, lines, totals, booked, words, facts, zones)
    check_records(wanted, results, summary.header.job)
    found = [_page(job, DAY, lines)]
    for result, each in zip(results, totals, strict=True):
        line, budget = result.line, result.budget
        found.append(
            _page(
                job,
                each.page,
                (line,),
                own=each,
                rows=table_rows(line, material, is_finished=is_finished(line, summary)),
                budget=shown_budget(budget, summary.header.unit_read) if budget else None,
            )
        )
    sheet = _sheet(job, results, wanted)
    return (*found, _page(job, SUMMARY, lines, sheet=sheet))


def _sheet(job: _Job, results: Sequence[LineResult], wanted: SetAgainst) -> SignedSheet:
    summary, asked = job.summary, wanted.line_class
    say = job.words.measured_in(summary.header.unit_read)
    return SignedSheet(
        rows=tuple(
            signable(each, one.page, summary, results, wanted)
            for each, one in zip(results, job.totals, strict=True)
        ),
        line_class=asked.name if asked else "",
        said_of_class=asked.said_of_it if asked else (),
        stops=stops(job.history.deeds),
        tapes=tuple(tape_words(each, say) for each in summary.tapes.values()),
    )


def _page(
    job: _Job,
    name: str,
    lines: tuple[Line, ...],
    *,
    own: Total | None = None,
    rows: tuple[Row, ...] = (),
    budget: Budget | None = None,
    sheet: SignedSheet | None = None,
) -> Page:
    summary = job.summary
    names = None if own is None else {line.name for line in lines}
    tapes = dict.fromkeys(each.segment.tape for line in lines for each in line.corrected)
    pulls = frozenset(each.segment.pull for line in lines for each in line.corrected)
    stands = _stands(job, own, lines)
    return Page(
        name=name,
        title=own.name if own else message("page-summary" if sheet else "page-the-day"),
        is_day=own is None and sheet is None,
        header=summary.header,
        days=", ".join(day.isoformat() for day in dict.fromkeys(summary.replay.days)),
        totals=job.totals,
        total=own,
        rows=rows,
        compared=compared(job.lines, lines, summary),
        notes=tuple(_notes(job, names)),
        remarks=tuple(_remarks(job, names)),
        pending=tuple(_pending(job, names)),
        deeds=tuple(
            deed
            for deed in job.history.deeds
            if names is None
            or deed.pull in pulls
            or (deed.line in names if deed.pull is not None else bool(tapes))
        ),
        budget=budget,
        crew=crew(lines, summary.header.unit_read),
        papers=papers(summary, tuple(tapes) if own else tuple(summary.replay.editions)),
        drawings=()
        if sheet
        else draw(lines, summary.header, summary.replay.tapes, _asked(job, names), job.words),
        standing=stands.told,
        is_sound=stands.is_sound,
        has_clips=bool(job.material.clips),
        policies=tuple(dict.fromkeys(each for line in lines for each in line.policies))
        or (summary.header.book_policy,),
        last_entry=summary.replay.hashes.last,
        zones=job.zones,
        sheet=sheet,
    )


def _material(
    summary: Summary, history: History, clips: Mapping[int, str], changed: Collection[int]
) -> Material:
    """Put each call with its pull: the one that it became part of, else the one then measured."""
    pulls = dict(history.pulls) | history.struck
    for segment in summary.replay.segments:
        observations = (segment.take, segment.check, *segment.superseded)
        numbers = (number for each in observations if each for number in each.calls)
        pulls |= dict.fromkeys(numbers, segment.pull)
    by_pull: defaultdict[int, list[int]] = defaultdict(list)
    for call in summary.replay.calls:
        if call.outcome is not Outcome.IGNORED and call.kind is not Kind.NOTE:
            by_pull[pulls.get(call.number, 0)].append(call.number)
    remarks: defaultdict[int, list[int]] = defaultdict(list)
    for remark in summary.replay.remarks:
        remarks[remark.pull].append(remark.call)
    return Material(
        header=summary.header,
        history=history,
        calls={call.number: call for call in summary.replay.calls},
        clips=clips,
        changed=changed,
        by_pull={pull: tuple(numbers) for pull, numbers in by_pull.items()},
        remarks={pull: tuple(numbers) for pull, numbers in remarks.items()},
        withheld=summary.withheld,
    )


def _notes(job: _Job, names: Collection[RunName] | None) -> Iterable[Noted]:
    for noted in job.summary.replay.notes:
        if names is None or noted.run_name in names:
            about = [each.call for each in job.summary.replay.remarks if each.note == noted.call]
            unit = job.summary.header.unit_read
            yield _noted(noted, heard((noted.call, *about), job.material), unit)


def _noted(noted: LineNote, calls: tuple[CallOnPage, ...], unit: ReadingUnit) -> Noted:
    return Noted(
        line=noted.run_name.told,
        station=station_text(noted.note.station, unit.base),
        side=message("page-which-side", side=noted.note.side.value),
        offset=hundredths_text(noted.note.offset),
        time_utc=noted.time_utc,
        calls=calls,
    )


def _remarks(
    job: _Job, names: Collection[RunName] | None
) -> Iterable[tuple[Message, tuple[CallOnPage, ...]]]:
    """Give the remarks of pulls that were not booked; the others stand with their pulls."""
    found: defaultdict[RunName, list[int]] = defaultdict(list)
    for remark in job.summary.replay.remarks:
        if remark.pull not in job.booked and (names is None or remark.run_name in names):
            found[remark.run_name].append(remark.call)
    for line, numbers in found.items():
        yield line.told, heard(numbers, job.material)


def _pending(job: _Job, names: Collection[RunName] | None) -> Iterable[Pending]:
    for pull, numbers in job.material.by_pull.items():
        line = job.history.lines.get(numbers[0])
        values = [n for n in numbers if job.material.calls[n].value is not None]
        if pull in job.booked or not values or line is None:
            continue
        if names is None or line in names:
            yield Pending(pull, line.told, heard(numbers, job.material))


def _asked(job: _Job, names: Collection[RunName] | None) -> list[tuple[int, float, bool]]:
    """List number, certainty and whether something was asked, of the calls that were heard."""
    return [
        (call.number, call.probability, call.number in job.history.asked)
        for call in job.calls
        if call.outcome is not Outcome.IGNORED
        and not call.is_keyed
        and call.kind is not Kind.REMARK
        and (names is None or job.history.lines.get(call.number) in names)
    ]


def _stands(job: _Job, own: Total | None, lines: Sequence[Line]) -> PageStanding:
    if own is None:
        return of_job(job.facts, job.summary, job.totals)
    (line,) = lines
    current = job.summary.replay.run_of(job.summary.state.settings)
    is_at_work = current == line.name and not own.is_finished
    return of_line(job.facts, job.summary, own, line.name, is_at_work=is_at_work)
