"""Page: corrected segments and history in, the rows of the field table out; no files touched.

Every figure is the cell of the segment log (`calllog.report.SEGMENT_SHEET`), so that page and log
cannot differ; a plus sign is all that is added.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field

from calllog.lines import Line, station_text
from calllog.page.facts import Told
from calllog.page.history import History, by_whom
from calllog.panel.words import figures
from calllog.report import SEGMENT_SHEET, JobHeader, SegmentRecord, named, sheet_in
from calllog.report.record import ObservationRecord, segment_record
from calllog.values import (
    NUMBERS,
    Booking,
    Call,
    DistanceKind,
    Finding,
    Holders,
    Message,
    Outcome,
    ReadingUnit,
    Role,
    Style,
    message,
)

MINUS = "\u2212"
"""A true one, as it is printed."""
CORRECTIONS = ("standardisation", "temperature", "tension", "sag", "slope")
"""The corrections in the order of their columns."""


@dataclass(frozen=True, slots=True)
class CallOnPage:
    """One call as it was heard, with its sound."""

    number: int
    who: Message | None
    """None where it was not said."""
    words: str
    value: str
    """In figures; empty for what is no number."""
    sure: Told
    is_struck: bool
    asked: Message | None
    """What was asked about it; None if nothing."""
    clip: str
    """Link to its sound; empty if there is none."""
    gone: Message | None = None
    """Why its sound or its words are not shown; empty if they are, or never were kept."""
    is_changed: bool = False
    """Its sound is not the one that was recorded, and is not here."""


@dataclass(frozen=True, slots=True)
class Observed:
    """One observation, as the table shows it."""

    length: str
    parts: str
    """What was called: 15 + .42; empty if it was the length itself."""
    is_struck: bool = False


@dataclass(frozen=True, slots=True)
class Struck:
    """A value that does not stand, and the one that does."""

    value: str
    why: Message
    stands: str


@dataclass(frozen=True, slots=True)
class Row:
    """One pull: left what a surveyor notes, right what there is to say about it."""

    pull: str
    tape: str
    begins: str
    ends: str
    take: Observed
    check: Observed | None
    difference: str
    conditions: tuple[Message, ...]
    read: str
    corrections: tuple[str, ...]
    """In the order of `CORRECTIONS`; empty for what is not known."""
    sum: str
    is_partial: bool
    """A correction is not known."""
    horizontal: str
    is_slope: bool
    """That is a slope distance, since the rise of the ends is not known."""
    total: str
    is_total_slope: bool
    station: str
    booking: Message
    booked_utc: str
    findings: tuple[Finding, ...]
    struck: tuple[Struck, ...]
    calls: tuple[CallOnPage, ...]
    remarks: tuple[CallOnPage, ...]
    held_by: Holders
    """Who held which end."""
    is_other_crew: bool
    """They are not those of the pull before, so that it is told."""


@dataclass(frozen=True, slots=True)
class Material:
    """What the rows are made of."""

    header: JobHeader
    history: History
    calls: Mapping[int, Call]
    """All calls by their numbers."""
    clips: Mapping[int, str]
    """Links to the sounds that are kept, by the number of the call."""
    changed: Collection[int]
    """Calls whose sound is not the one that was recorded."""
    by_pull: Mapping[int, tuple[int, ...]]
    """Numbers of the calls of each pull that are kept with it, in order."""
    remarks: Mapping[int, tuple[int, ...]]
    """Numbers of the remarks said during each pull."""
    withheld: Mapping[int, Message] = field(default_factory=dict)
    """Why sound or words of a call are not shown, by its number."""


def table_rows(line: Line, material: Material, *, is_finished: bool) -> tuple[Row, ...]:
    """Lay out a line's pulls; the last one of a finished line ends at the named point."""
    unit = material.header.unit_read
    columns = sheet_in(SEGMENT_SHEET, unit).columns
    end = f"_{unit.symbol}"
    rows: list[Row] = []
    begins, before = line.line_from, ("", "")
    for place, corrected in enumerate(line.corrected, start=1):
        record = segment_record(corrected, unit)
        cells = {column.name: column.cell(material.header, record) for column in columns}
        station = _station(record.running_total, unit)
        is_last = is_finished and place == len(line.corrected)
        rows.append(
            Row(
                pull=cells["pull"],
                tape=record.tape,
                begins=begins,
                ends=line.line_to if is_last else station,
                take=_observed(
                    record.take, record.style, is_struck=record.booking is Booking.CHECK
                ),
                check=_observed(
                    record.check, record.style, is_struck=record.booking is Booking.FIRST
                )
                if record.check
                else None,
                difference=signed(cells[f"check_difference{end}"]),
                conditions=_conditions(cells, record, unit),
                read=cells[f"length_read{end}"],
                corrections=tuple(signed(cells[f"{name}{end}"]) for name in CORRECTIONS),
                sum=signed(cells[f"sum{end}"]),
                is_partial=any(not cells[f"{name}{end}"] for name in CORRECTIONS),
                horizontal=cells[f"horizontal{end}"],
                is_slope=corrected.kind is DistanceKind.SLOPE,
                total=cells[f"running_total{end}"],
                is_total_slope=corrected.running_kind is DistanceKind.SLOPE,
                station=station,
                booking=_booking(record),
                booked_utc=material.history.booked.get(record.pull, ""),
                findings=corrected.segment.findings,
                struck=_struck(record, material),
                calls=heard(material.by_pull.get(record.pull, ()), material),
                remarks=heard(material.remarks.get(record.pull, ()), material),
                held_by=corrected.held_by,
                is_other_crew=_ends(corrected.held_by) != before,
            )
        )
        begins, before = station, _ends(corrected.held_by)
    return tuple(rows)


def _ends(held_by: Holders) -> tuple[str, str]:
    return held_by.take_head, held_by.take_rear


def heard(numbers: Iterable[int], material: Material) -> tuple[CallOnPage, ...]:
    """Show calls as they were heard."""
    return tuple(_heard(material.calls[number], material) for number in numbers)


def signed(cell: str) -> str:
    """Put a plus before a figure above zero.

    Example:
        >>> signed("0.01"), signed("-0.01"), signed("0.00"), signed("")
        ('+0.01', '-0.01', '0.00', '')
    """
    return f"+{cell}" if cell and float(cell) > 0 else cell


def _heard(call: Call, material: Material) -> CallOnPage:
    is_asked = call.outcome is Outcome.ASK
    return CallOnPage(
        number=call.number,
        who=None if call.role is Role.UNSAID else message("page-caller", role=call.role.value),
        words=call.text,
        value="" if is_asked else figures(call, material.header.unit_read),
        sure=message("page-typed") if call.is_keyed else f"{100 * call.probability:.0f} %",
        is_struck=call.number in material.history.struck,
        asked=material.history.asked.get(call.number, call.reason if is_asked else None),
        clip=material.clips.get(call.number, ""),
        gone=material.withheld.get(call.number),
        is_changed=call.number in material.changed,
    )


def _observed(observation: ObservationRecord, style: Style, *, is_struck: bool) -> Observed:
    return Observed(observation.length, _parts(observation, style), is_struck)


def _parts(observation: ObservationRecord, style: Style) -> str:
    if observation.whole is not None and observation.fraction is not None:
        fraction = observation.fraction.removeprefix("0")
        whole = observation.whole.removesuffix(".00")
        return f"{whole} {MINUS if style is Style.CUT else '+'} {fraction}"
    reading = observation.reading or observation.length
    is_held = float(observation.hold) != 0
    return f"{reading} {MINUS} {observation.hold}" if is_held else ""


def _conditions(
    cells: Mapping[str, str], record: SegmentRecord, unit: ReadingUnit
) -> tuple[Message, ...]:
    degrees, force, rise = (
        cells[named(name, unit)] for name in ("temperature_degf", "tension_lb", "rise_ft")
    )
    spans = record.conditions.spans
    told = [
        message("page-temperature", degrees=degrees or "?"),
        message("page-tension", force=force or "?"),
        message("page-support-unknown") if spans is None else message("page-support", spans=spans),
    ]
    if record.conditions.rise == 0:
        told.append(message("page-level"))
    else:
        told.append(message("page-rise", rise=rise) if rise else message("page-rise-unknown"))
    if cells["position"]:
        told.append(message("page-position", position=cells["position"]))
    return tuple(told)


def _station(total: float, unit: ReadingUnit) -> str:
    if total < 0:
        return f"{total:.{unit.digits}f} {unit.symbol}"
    return station_text(round(total * 10**unit.digits), unit)


def _booking(record: SegmentRecord) -> Message:
    return message("page-booking", booking=record.booking.value, who=by_whom(record.decided_by))


def _struck(record: SegmentRecord, material: Material) -> tuple[Struck, ...]:
    unit = material.header.unit_read
    stands = f"{record.length_read:.{unit.digits + 1}f}".removesuffix("0")
    observations = [
        Struck(each.length, message("page-struck-superseded"), stands) for each in record.superseded
    ]
    if record.booking in (Booking.FIRST, Booking.CHECK) and record.check is not None:
        is_first = record.booking is Booking.FIRST
        lost = record.check if is_first else record.take
        observations.append(Struck(lost.length, message("page-struck-overruled"), stands))
    calls = [
        Struck(
            figures(material.calls[number], unit), message("page-struck-call", call=number), stands
        )
        for number in material.by_pull.get(record.pull, ())
        if number in material.history.struck and material.calls[number].kind in NUMBERS
    ]
    return (*observations, *calls)
