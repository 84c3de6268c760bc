"""What is said beside a line, notes and remarks: which belong where, which cannot be; pure."""

from collections.abc import Iterator, Sequence
from itertools import islice

from calllog.values import Call, Kind, Message, OffsetNote, Outcome, message

REMARK_WITHIN_S = 10.0
"""What is said later than this after the command is no remark any more, but a call."""
CALLS_WITHIN = 64
"""More calls than are made in that time; a day's calls need not be looked through."""


def beyond_line(note: OffsetNote, taped: int, within: int) -> Message | None:
    """Say that a note's station cannot be on the line yet; None if it can.

    Args:
        note: the note.
        taped: length read of the line so far [hundredths of a foot or meter].
        within: how far beyond that the crew may be [hundredths of a foot or meter].

    Example:
        >>> from calllog.values import Side
        >>> beyond_line(OffsetNote(station=92500, side=Side.RIGHT, offset=0), 31240, 10000).facts
        {'station': 92500, 'taped': 31240}
    """
    if note.station <= taped + within:
        return None
    return message("station-beyond-line", station=note.station, taped=taped)


def awaits_remark(calls: Sequence[Call], source: str, start_s: float) -> bool:
    """Tell whether the next utterance of a source is a remark, to be kept and not understood."""
    last = next((call for call in _latest(calls) if call.source == source), None)
    return last is not None and _is_command(last) and 0.0 <= start_s - last.end_s <= REMARK_WITHIN_S


def awaits_typed_remark(calls: Sequence[Call], keys: str, start_s: float) -> bool:
    """Tell whether the next utterance of anyone is a remark, since a keypad asked for one."""
    for call in _latest(calls):
        if call.kind is Kind.REMARK and not call.is_keyed:
            return False
        if call.source == keys:
            return _is_command(call) and 0.0 <= start_s - call.end_s <= REMARK_WITHIN_S
    return False


def _latest(calls: Sequence[Call]) -> Iterator[Call]:
    return islice(reversed(calls), CALLS_WITHIN)


def noted_before(calls: Sequence[Call], remark: Call) -> int | None:
    """Find the call of the note right before a remark's command; None where there is none."""
    for call in reversed(calls):
        if call.source == remark.source and not _is_command(call):
            return call.number if call.kind is Kind.NOTE else None
    return None


def _is_command(call: Call) -> bool:
    is_taken = call.outcome is Outcome.CALL
    return is_taken and call.kind is Kind.COMMAND and call.name == "remark"
