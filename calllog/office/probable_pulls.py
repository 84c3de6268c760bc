"""Journal entries that stand behind a gap in, what they say of pulls as a readable list out; pure.

None of it counts: what stood before may have changed what it means. It tells an office what to look
for on the ground and in the sounds.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from calllog.journal import Entry
from calllog.plain_text import one_line
from calllog.units import in_unit
from calllog.values import ReadingUnit

Body = Mapping[str, Any]
TOLD = frozenset({"segment", "decision", "reopened", "line"})
"""Kinds of entries that tell of pulls by themselves."""


def probable_pulls(
    apart: Iterable[Entry], unit: ReadingUnit, job: str, carried: int
) -> tuple[str, ...]:
    """List what entries behind a gap say of pulls, one line each.

    Args:
        apart: the entries, in order.
        unit: what the job's tapes are graduated in.
        job: name of the damaged job.
        carried: how many entries before them were carried over.

    Returns:
        The lines of the list, its heading among them; empty where no pull is told of.
    """
    entries = [(each, body) for each in apart if (body := _body(each)) is not None]
    rows = list(_rows(entries, unit))
    if not rows:
        return ()
    return (
        f"Probable pulls of {one_line(job)}, from entries after entry {carried}.",
        "They were read from a damaged journal, and what stood before them is missing.",
        "They count for nothing: measure again, or compare them with sounds and field page.",
        f"Lengths in {unit.plural}, in the tape's own marks, without corrections.",
        "",
        *rows,
    )


def _body(entry: Entry) -> Body | None:
    """Read what an entry says; None where that is not to be read, for it may be damaged."""
    try:
        content = entry.content
    except (ValueError, RecursionError):
        return None
    return content if isinstance(content, dict) else None


def _rows(entries: Sequence[tuple[Entry, Body]], unit: ReadingUnit) -> Iterator[str]:
    in_pulls = {call for entry, body in entries for call in _calls_of(entry, body)}
    for entry, body in entries:
        words = ""
        if entry.kind in TOLD:
            words = _TELL[entry.kind](body, unit)
        elif entry.kind == "call" and str(body.get("number")) not in in_pulls:
            words = _call(body, unit)
        if words:
            yield one_line(f"{words} (entry {entry.sequence}, {entry.time_utc})")


def _calls_of(entry: Entry, body: Body) -> Iterator[str]:
    """Give the numbers of the calls that a recorded pull is made of, whatever stands there."""
    if entry.kind != "segment":
        return
    struck = body.get("superseded")
    for each in (
        body.get("take"),
        body.get("check"),
        *(struck if isinstance(struck, list) else ()),
    ):
        calls = each.get("calls") if isinstance(each, dict) else None
        yield from map(str, calls) if isinstance(calls, list) else ()


def _segment(body: Body, unit: ReadingUnit) -> str:
    first, check = (_length(body.get(name), unit) for name in ("take", "check"))
    length = body.get("length_read_ft")
    digits = unit.digits + 1
    recorded = "a length"
    if isinstance(length, int | float):
        recorded = f"{in_unit(length, unit):.{digits}f} {unit.symbol}"
    read = f", check {check}" if check else ", not checked"
    return (
        f"pull {body.get('pull')} of {body.get('line_from')} to {body.get('line_to')}:"
        f" {recorded} recorded ({body.get('booking')}), first {first or 'not known'}{read},"
        f" tape {body.get('tape')}"
    )


def _length(observed: object, unit: ReadingUnit) -> str:
    counts = observed.get("length") if isinstance(observed, dict) else None
    return unit.text(counts) if isinstance(counts, int) else ""


def _line(body: Body, _: ReadingUnit) -> str:
    return f"line {body.get('line_from')} to {body.get('line_to')}, tape {body.get('tape')}"


def _decision(body: Body, _: ReadingUnit) -> str:
    return f"pull {body.get('pull')} decided by {body.get('by')}: {body.get('choice')}"


def _reopened(body: Body, _: ReadingUnit) -> str:
    return f"pull {body.get('pull')} opened again: what was recorded of it before was taken back"


def _call(body: Body, unit: ReadingUnit) -> str:
    value, kind = body.get("value"), body.get("kind")
    if not isinstance(value, int) or body.get("outcome") != "call":
        return ""
    return (
        f"call {body.get('number')}, of no recorded pull: {body.get('role')} said"
        f" {body.get('text')}, {kind} {unit.text(value)}"
    )


_TELL = {"segment": _segment, "decision": _decision, "reopened": _reopened, "line": _line}
