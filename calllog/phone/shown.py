"""Phone: the panel's view and the job in, what the page shows out as frozen values; pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from calllog.keypad import ROWS
from calllog.pairing import Phase, State
from calllog.pairing.parts import Parts
from calllog.pairing.state import Stop
from calllog.panel import CallStanding, ViewText
from calllog.panel.worded import MeasureText
from calllog.panel.words import figures, length_text, who_calls
from calllog.phone.messages import Does
from calllog.phone.orders import Stands, last_order, stands
from calllog.session import CHIEF, Replay
from calllog.tape import PARTED
from calllog.values import Booking, Call, Kind, Outcome, ReadingUnit, Segment
from calllog.wording import ENGLISH

PART_NAMES = {
    ReadingUnit.FINE_METRE: "Millimeters",
    ReadingUnit.METRE: "Centimeters",
}
"""What the part after the point is called, where it is not hundredths."""
TOLD = {
    Booking.AGREED: "first and check agree",
    Booking.FIRST: "first kept",
    Booking.CHECK: "check kept",
    Booking.UNCHECKED: "not checked",
}
COMMANDS = {row.typed: row.does for row in ROWS if row.is_command} | {"-": "keys-scratch-typed"}
"""What each key of a command does, once it was typed: code of a message."""


@dataclass(frozen=True, slots=True)
class CallOnPhone:
    """One call."""

    number: int
    who: str
    words: str
    figures: str
    standing: str
    """What became of it, in a word; empty for a call that stands."""
    sure: str
    has_sound: bool


@dataclass(frozen=True, slots=True)
class LengthOnPhone:
    """A measurement in large figures, and what it was made of."""

    figures: str
    made_of: str


@dataclass(frozen=True, slots=True)
class Choosable:
    """A decision that is open."""

    does: Does
    label: str
    keeps: str
    """The length that it keeps; empty where it keeps none."""


@dataclass(frozen=True, slots=True)
class Typeable:
    """Something that may be typed in a value's place."""

    name: str
    """Whole, fraction or reading."""
    label: str
    places: tuple[int, ...]
    """How many digits may stand after the point; none for a whole mark."""


@dataclass(frozen=True, slots=True)
class Shown:
    """Everything that the page shows of this moment; lengths as they are read."""

    line: str
    tape: str
    pull: int
    expected: str
    take: LengthOnPhone
    check: LengthOnPhone
    struck: tuple[str, ...]
    sign: str
    verdict: str
    remedy: str
    held: int
    booked: int
    total: str
    conditions: tuple[str, ...]
    choices: tuple[Choosable, ...]
    """Empty unless the pull waits for a decision."""
    scratch: str
    """What striking the last number does; empty where there is none."""
    can_repeat: bool
    """The pull can be measured again."""
    values: tuple[Typeable, ...]
    """What may be typed."""
    symbol: str
    """Of the unit of all lengths: ft or m."""
    counts_for: str
    """What it would count for: take or check."""
    calls: tuple[CallOnPhone, ...]
    """The last ones, newest first, without talk."""
    notices: tuple[str, ...]
    last_order: str
    stands: Stands


@dataclass(frozen=True, slots=True)
class Card:
    """A pull that was booked."""

    pull: int
    line: str
    length: str
    booking: str
    take: str
    check: str
    struck: tuple[str, ...]
    findings: tuple[str, ...]
    calls: tuple[CallOnPhone, ...]


def shown(view: ViewText, replay: Replay, *, may_hear: bool = True) -> Shown:
    """See a moment of the job as the page shows it.

    Args:
        view: what the panel shows.
        replay: the job, of the same moment.
        may_hear: whether the chief may listen to sound that is kept.

    Raises:
        JournalError: no line has been begun.
    """
    state = replay.require_state()
    stop = state.stop
    may = {way.name: way.does for way in view.may}
    unit = state.settings.unit
    return Shown(
        line=f"{view.settings.line_from} to {view.settings.line_to}",
        tape=view.tape,
        pull=view.pull,
        expected="a decision of the chief" if stop else view.expected,
        take=_measured(view.take),
        check=_measured(view.check),
        struck=view.struck,
        sign=view.sign.value,
        verdict=view.verdict,
        remedy=view.remedy,
        held=view.held,
        booked=view.booked,
        total=length_text(view.total_ft, unit),
        conditions=view.conditions,
        choices=tuple(_choices(state, stop)) if stop else (),
        scratch=may.get("scratch", ""),
        can_repeat=stop is None and "again" in may,
        values=() if state.phase is Phase.FINISHED else tuple(_typeable(state)),
        symbol=unit.symbol,
        counts_for="check" if _is_check(state) else "first",
        calls=tuple(
            CallOnPhone(
                number=each.number,
                who=each.who,
                words=_spelt(each.words) if each.is_keyed else each.words,
                figures=each.figures,
                standing="" if each.standing is CallStanding.TAKEN else _stands(each.standing),
                sure="typed" if each.is_keyed else f"{each.probability:.0%}",
                has_sound=each.has_sound and may_hear and replay.voices.all_allow(CHIEF),
            )
            for each in reversed(view.calls)
            if each.standing is not CallStanding.TALK
        ),
        notices=(
            *view.notices,
            *(f"{each.name}: {each.warning}" for each in view.microphones if each.warning),
        ),
        last_order=last_order(replay),
        stands=stands(replay),
    )


def card(
    segment: Segment,
    before: Segment | None,
    calls: Sequence[Call],
    *,
    may_hear: bool = True,
    unit: ReadingUnit = ReadingUnit.FOOT,
) -> Card:
    """See a booked pull with its calls.

    Args:
        segment: the pull.
        before: the one booked before it.
        may_hear: whether the chief may listen to sound that is kept.
        calls: the job's calls, numbered from 1; those after the last one of the pull before
            belong to this one.
        unit: what the tapes are graduated in.
    """
    until, since = _last_call(segment), 0 if before is None else _last_call(before)
    standing = {n for each in (segment.take, segment.check) if each for n in each.calls}
    return Card(
        pull=segment.pull,
        line=f"{segment.line_from} to {segment.line_to}",
        length=length_text(segment.length_read_ft, unit),
        booking=_booking(segment, unit),
        take=unit.text(segment.take.length),
        check=unit.text(segment.check.length) if segment.check else "",
        struck=tuple(unit.text(each.length) for each in segment.superseded),
        findings=tuple(map(ENGLISH.measured_in(unit).finding, segment.findings)),
        calls=tuple(
            _heard(call, unit, stands=call.number in standing, may_hear=may_hear)
            for call in calls[since:until]
            if call.outcome is not Outcome.IGNORED or call.kind is Kind.REMARK
        ),
    )


def _is_check(state: State) -> bool:
    """Tell whether what is measured now, or has stopped, is the check."""
    return Phase.CHECKING in (state.phase, state.stop and state.stop.origin)


def _spelt(typed: str) -> str:
    """Spell the keys of a command out: "+" is "switch ends"."""
    return ENGLISH(COMMANDS[typed]) if typed in COMMANDS else typed


def _stands(standing: CallStanding) -> str:
    return ENGLISH("screen-standing", standing=standing.value)


def _typeable(state: State) -> Iterable[Typeable]:
    """List what may be typed; after the point as many digits as the tape is read to."""
    unit = state.settings.unit
    least = 2 if unit is not ReadingUnit.FINE_METRE else unit.digits
    places = tuple(range(least, unit.digits + 1))
    if state.settings.style in PARTED:
        yield Typeable("whole", "Foot" if unit.is_feet else "Meter", ())
        yield Typeable("fraction", PART_NAMES.get(unit, "Hundredths"), places)
    yield Typeable("reading", "Reading", places)


def _choices(state: State, stop: Stop) -> Iterable[Choosable]:
    """List the three ways out of a stop, with what each keeps."""
    unit = state.settings.unit
    if stop.check is not None and state.take is not None:
        yield Choosable(Does.FIRST, "Keep first", unit.text(state.take.length))
        yield Choosable(Does.CHECK, "Keep check", unit.text(stop.check.length))
    elif stop.word is None:
        is_read = state.settings.style not in PARTED
        is_whole = is_read or state.parts.whole != stop.other.whole
        is_fraction = is_read or state.parts.fraction != stop.other.fraction
        for does, label, parts in (
            (Does.FIRST, "Keep first", state.parts),
            (Does.CHECK, "Keep later", stop.other),
        ):
            which = (is_whole, is_fraction)
            yield Choosable(does, label, _called(parts, which, unit))
    yield Choosable(Does.AGAIN, "Measure again", "")


def _called(parts: Parts, which: tuple[bool, bool], unit: ReadingUnit) -> str:
    """Write the parts that differ, whole and fraction: 33, .87 or 33.87."""
    is_whole, is_fraction = which
    whole = f"{(parts.whole or 0) // unit.counts}" if is_whole else ""
    return whole + (f".{unit.part(parts.fraction or 0)}" if is_fraction else "")


def _measured(measure: MeasureText) -> LengthOnPhone:
    """Show a length and what it was made of; while a part lacks, what was called."""
    if not measure.length:
        return LengthOnPhone(measure.made_of, "")
    return LengthOnPhone(measure.length, measure.made_of)


def _booking(segment: Segment, unit: ReadingUnit) -> str:
    told = TOLD[segment.booking]
    is_chiefs = segment.booking in (Booking.FIRST, Booking.CHECK)
    by = f" by {segment.decided_by}" if is_chiefs else ""
    difference = (
        "" if segment.difference is None else f", difference {unit.text(segment.difference)}"
    )
    return f"{told}{by}{difference}"


def _last_call(segment: Segment) -> int:
    observed = (segment.take, segment.check, *segment.superseded)
    return max((number for each in observed if each for number in each.calls), default=0)


def _heard(call: Call, unit: ReadingUnit, *, stands: bool, may_hear: bool) -> CallOnPhone:
    is_number = call.value is not None
    standing = "" if stands or not is_number else _stands(CallStanding.STRUCK)
    if call.outcome is Outcome.ASK:
        standing = _stands(CallStanding.ASKED)
    words = _spelt(call.text) if call.is_keyed else call.text
    if call.kind is Kind.REMARK:
        words = f"remark: {call.text}" if call.text else "remark"
    return CallOnPhone(
        number=call.number,
        who=who_calls(call.role),
        words=words,
        figures=figures(call, unit),
        standing=standing,
        sure="typed" if call.is_keyed else f"{call.probability:.0%}",
        has_sound=bool(call.clip) and may_hear,
    )
