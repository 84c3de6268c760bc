"""Report: corrected segments in, a table for the terminal out; no files touched."""

from collections.abc import Iterator, Sequence

from rich import box
from rich.table import Table
from rich.text import Text

from calllog.lines import station_text
from calllog.plain_text import one_line
from calllog.report.kind import SLOPE_LEGEND, marked, policy_words
from calllog.report.record import hundredths_text
from calllog.units import in_unit
from calllog.values import (
    Booking,
    CorrectedSegment,
    Corrections,
    LineNote,
    ReadingUnit,
    Remark,
    RunName,
    Segment,
    Severity,
)
from calllog.wording import ENGLISH, Words

_NUMBER_COLUMNS = ("pull", "first", "check", "diff", "read", "sum", "horizontal", "total")


def field_table(
    corrected: Sequence[CorrectedSegment],
    remarks: Sequence[Remark] = (),
    unit: ReadingUnit = ReadingUnit.FOOT,
    words: Words = ENGLISH,
) -> Table:
    """Lay corrected segments out as a field page, all lengths in one unit; fits 100 columns.

    Where there are several lines, or runs of one, a row above the pulls of each names it.

    A stop is marked by ``!`` before its name, not by colour alone; ``*`` marks a sum that lacks a
    correction which is not known, ``sl`` a length along a slope that is not known; ``-`` stands
    for what there is none of.

    Args:
        corrected: the segments in their order.
        remarks: what was kept as sound; named in the row of its pull, or in a last row of its own.
        unit: what the tapes are graduated in.
        words: in which findings are named, and what is recorded is told.
    """
    policies = (
        policy_words((row.book for row in corrected), words) if corrected else "nothing is recorded"
    )
    table = Table(
        box=box.SIMPLE_HEAD,
        pad_edge=False,
        caption=f"lengths in {unit.plural}; ! = needed a decision; * = sum without a correction not"
        f" known; {SLOPE_LEGEND}; {policies}",
    )
    for name in _NUMBER_COLUMNS:
        table.add_column(name, justify="right", no_wrap=True)
    table.add_column("remarks", overflow="fold")
    names = {row.run_name for row in corrected}
    before = None
    for row in corrected:
        segment = row.segment
        if len(names) > 1 and row.run_name != before:
            table.add_row(*("" for _ in _NUMBER_COLUMNS), _line(row.run_name))
        before = row.run_name
        table.add_row(
            str(segment.pull),
            unit.text(segment.take.length),
            unit.text(segment.check.length) if segment.check else "-",
            "-" if segment.difference is None else _signed(segment.difference, unit),
            f"{in_unit(segment.length_read_ft, unit):.{unit.digits + 1}f}",
            _sum(row.corrections, unit),
            marked(f"{in_unit(row.horizontal_ft, unit):.4f}", row.kind),
            marked(f"{in_unit(row.running_total_ft, unit):.4f}", row.running_kind),
            Text("; ").join((*_remarks(segment, unit, words), *_sounds(remarks, segment.pull))),
        )
    booked = {row.segment.pull for row in corrected}
    for pull in dict.fromkeys(remark.pull for remark in remarks if remark.pull not in booked):
        told = (Text("not recorded"), *_sounds(remarks, pull))
        table.add_row(str(pull), *("-" * (len(_NUMBER_COLUMNS) - 1)), Text("; ").join(told))
    return table


def notes_table(
    notes: Sequence[LineNote],
    remarks: Sequence[Remark] = (),
    unit: ReadingUnit = ReadingUnit.FOOT,
) -> Table:
    """Lay notes out as the crew writes them beside the line, remarks about them beside each."""
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    table.add_column("line", overflow="fold")
    table.add_column("station", justify="right", no_wrap=True)
    table.add_column("side")
    table.add_column("offset", justify="right", no_wrap=True)
    table.add_column("remarks", overflow="fold")
    for noted in notes:
        table.add_row(
            _line(noted.run_name),
            station_text(noted.note.station, unit.base),
            noted.note.side.value,
            hundredths_text(noted.note.offset),
            Text("; ").join(_sound(each) for each in remarks if each.note == noted.call),
        )
    return table


def _line(name: RunName) -> Text:
    """Name a run of a line."""
    run = f" run {name.run}" if name.run > 1 else ""
    return Text(one_line(f"{name.line_from}:{name.line_to}{run}"))


def _sounds(remarks: Sequence[Remark], pull: int) -> Iterator[Text]:
    for remark in remarks:
        if remark.pull == pull:
            yield _sound(remark)


def _sound(remark: Remark) -> Text:
    name = remark.clip.rpartition("/")[2] or f"of call {remark.call}, no sound kept"
    return Text(f"remark {one_line(name)}")


def _signed(counts: int, unit: ReadingUnit) -> str:
    return f"+{unit.text(counts)}" if counts > 0 else unit.text(counts)


def _sum(corrections: Corrections, unit: ReadingUnit) -> str:
    is_partial = None in corrections.model_dump().values()
    return f"{in_unit(corrections.sum_ft, unit):+z.4f}{'*' if is_partial else ''}"


def _remarks(segment: Segment, unit: ReadingUnit, words: Words) -> Iterator[Text]:
    for finding in segment.findings:
        named = one_line(words.measured_in(unit).short(finding))
        if finding.severity is Severity.STOP:
            yield Text(f"! {named}", style="bold red")
        else:
            yield Text(named, style="yellow")
    match segment.booking:
        case Booking.AGREED:
            pass
        case Booking.FIRST | Booking.CHECK:
            kept = "first" if segment.booking is Booking.FIRST else "check"
            yield Text(f"{kept} kept by {one_line(segment.decided_by)}")
        case Booking.UNCHECKED:
            yield Text("not checked")
    if segment.superseded:
        struck = (unit.text(observation.length) for observation in segment.superseded)
        yield Text(f"struck {', '.join(struck)}")
