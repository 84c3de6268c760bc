"""Phone: the panel's view and the job in, what the page shows out as frozen values; pure."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from calllog.pairing import Phase, State
from calllog.pairing.parts import Parts
from calllog.pairing.state import Stop
from calllog.panel import CallStanding, ViewText
from calllog.panel.worded import MeasureText
from calllog.panel.words import caller, figures, length_text
from calllog.phone.orders import Stands, last_order, spelt, stands
from calllog.server.messages import Does
from calllog.session import CHIEF, Replay
from calllog.tape import PARTED
from calllog.values import Booking, Call, Kind, Outcome, ReadingUnit, Segment
from calllog.wording import ENGLISH, Words

PART_NAMES = {
    ReadingUnit.FINE_METRE: "millimetres",
    ReadingUnit.METRE: "centimetres",
}
"""What the part after the point is called, where it is not hundredths (see ``chief-part``)."""


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
    sign_told: str
    """The same in words."""
    verdict: str
    remedy: str
    held: int
    held_told: str
    """The same in words; empty for none."""
    booked: int
    recorded: str
    """What those are called, one or several."""
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


def shown(
    view: ViewText, replay: Replay, words: Words = ENGLISH, *, may_hear: bool = True
) -> Shown:
    """See a moment of the job as the page shows it.

    Raises:
        JournalError: no line has been begun.
    """
    state = replay.require_state()
    stop = state.stop
    may = {way.name: way.does for way in view.may}
    unit = state.settings.unit
    words = words.measured_in(unit)
    ends = {"from": view.settings.line_from, "to": view.settings.line_to}
    return Shown(
        line=words("chief-line", **ends),
        tape=view.tape,
        pull=view.pull,
        expected=words("screen-decision") if stop else view.expected,
        take=_measured(view.take),
        check=_measured(view.check),
        struck=view.struck,
        sign=view.sign.value,
        sign_told=words("screen-sign", sign=view.sign.name),
        verdict=view.verdict,
        remedy=view.remedy,
        held=view.held,
        held_told=words("chief-held", calls=view.held) if view.held else "",
        booked=view.booked,
        recorded=words("chief-recorded", pulls=view.booked),
        total=length_text(view.total_ft, unit),
        conditions=view.conditions,
        choices=tuple(_choices(state, stop, words)) if stop else (),
        scratch=may.get("scratch", ""),
        can_repeat=stop is None and "again" in may,
        values=() if state.phase is Phase.FINISHED else tuple(_typeable(state, words)),
        symbol=unit.symbol,
        counts_for=words("chief-counting", measurement=_measurement(state)),
        calls=tuple(
            CallOnPhone(
                number=each.number,
                who=each.who,
                words=spelt(each.words, words) if each.is_keyed else each.words,
                figures=each.figures,
                standing=_stands(each.standing, words),
                sure=words("screen-typed") if each.is_keyed else f"{each.probability:.0%}",
                has_sound=each.has_sound and may_hear and replay.voices.all_allow(CHIEF),
            )
            for each in reversed(view.calls)
            if each.standing is not CallStanding.TALK
        ),
        notices=(
            *view.notices,
            *(f"{each.name}: {each.warning}" for each in view.microphones if each.warning),
        ),
        last_order=last_order(replay, words),
        stands=stands(replay),
    )


def card(
    segment: Segment,
    before: Segment | None,
    calls: Sequence[Call],
    *,
    may_hear: bool = True,
    words: Words = ENGLISH,
) -> Card:
    """See a booked pull with its calls.

    Args:
        segment: the pull.
        before: the one booked before it.
        may_hear: whether the chief may listen to sound that is kept.
        calls: the job's calls, numbered from 1; those after the last one of the pull before
            belong to this one.
        words: of the crew, in the unit of the tapes.
    """
    unit = words.unit
    until, since = _last_call(segment), 0 if before is None else _last_call(before)
    standing = {n for each in (segment.take, segment.check) if each for n in each.calls}
    return Card(
        pull=segment.pull,
        line=words("chief-line", **{"from": segment.line_from, "to": segment.line_to}),
        length=length_text(segment.length_read_ft, unit),
        booking=_booking(segment, words),
        take=unit.text(segment.take.length),
        check=unit.text(segment.check.length) if segment.check else "",
        struck=tuple(unit.text(each.length) for each in segment.superseded),
        findings=tuple(map(words.finding, segment.findings)),
        calls=tuple(
            _heard(call, words, stands=call.number in standing, may_hear=may_hear)
            for call in calls[since:until]
            if call.outcome is not Outcome.IGNORED or call.kind is Kind.REMARK
        ),
    )


def _measurement(state: State) -> str:
    """Tell whether what is measured now, or has stopped, is the first or the check."""
    is_check = Phase.CHECKING in (state.phase, state.stop and state.stop.origin)
    return "check" if is_check else "take"


def _stands(standing: CallStanding, words: Words) -> str:
    """Say what became of a call; nothing of one that stands."""
    return (
        "" if standing is CallStanding.TAKEN else words("screen-standing", standing=standing.value)
    )


def _typeable(state: State, words: Words) -> Iterable[Typeable]:
    """List what may be typed; after the point as many digits as the tape is read to."""
    unit = state.settings.unit
    least = 2 if unit is not ReadingUnit.FINE_METRE else unit.digits
    places = tuple(range(least, unit.digits + 1))
    if state.settings.style in PARTED:
        yield Typeable("whole", words("chief-part", part="whole"), ())
        part = PART_NAMES.get(unit, "hundredths")
        yield Typeable("fraction", words("chief-part", part=part), places)
    yield Typeable("reading", words("chief-part", part="reading"), places)


def _choices(state: State, stop: Stop, words: Words) -> Iterable[Choosable]:
    """List the three ways out of a stop, with what each keeps."""
    unit = state.settings.unit
    if stop.check is not None and state.take is not None:
        for does, which, length in (
            (Does.FIRST, "first", state.take.length),
            (Does.CHECK, "check", stop.check.length),
        ):
            yield Choosable(does, words("chief-keep", which=which), unit.text(length))
    elif stop.word is None:
        is_read = state.settings.style not in PARTED
        is_whole = is_read or state.parts.whole != stop.other.whole
        is_fraction = is_read or state.parts.fraction != stop.other.fraction
        for does, which, parts in (
            (Does.FIRST, "first", state.parts),
            (Does.CHECK, "later", stop.other),
        ):
            keeps = _called(parts, (is_whole, is_fraction), unit)
            yield Choosable(does, words("chief-keep", which=which), keeps)
    yield Choosable(Does.AGAIN, words("chief-again"), "")


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


def _booking(segment: Segment, words: Words) -> str:
    is_chiefs = segment.booking in (Booking.FIRST, Booking.CHECK)
    return words(
        "chief-booking",
        booking=segment.booking.value,
        by=segment.decided_by if is_chiefs else "none",
        checked="no" if segment.difference is None else "yes",
        difference=segment.difference or 0,
    )


def _last_call(segment: Segment) -> int:
    observed = (segment.take, segment.check, *segment.superseded)
    return max((number for each in observed if each for number in each.calls), default=0)


def _heard(call: Call, words: Words, *, stands: bool, may_hear: bool) -> CallOnPhone:
    is_number = call.value is not None
    standing = "" if stands or not is_number else _stands(CallStanding.STRUCK, words)
    if call.outcome is Outcome.ASK:
        standing = _stands(CallStanding.ASKED, words)
    said = spelt(call.text, words) if call.is_keyed else call.text
    if call.kind is Kind.REMARK:
        named = words("screen-remark-written", text=call.text)
        said = named if call.text else words("screen-remark")
    return CallOnPhone(
        number=call.number,
        who=caller(call.role, words),
        words=said,
        figures=figures(call, words.unit),
        standing=standing,
        sure=words("screen-typed") if call.is_keyed else f"{call.probability:.0%}",
        has_sound=bool(call.clip) and may_hear,
    )
