"""Panel: what a job's journal says, and what the devices say, in; one frozen `View` out; pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import fsum

from calllog.errors import JournalError
from calllog.keypad import ROWS
from calllog.pairing import Phase, State, awaited_words, step
from calllog.panel.words import (
    conditions_in_words,
    consequence_line,
    event_line,
    figures,
    length_text,
    who_calls,
)
from calllog.session import Replay
from calllog.spoken import ENGLISH, Texts
from calllog.tape import PARTED
from calllog.units import said_in
from calllog.values import (
    Booking,
    Call,
    CheckPolicy,
    Consequence,
    Expectation,
    Held,
    Kind,
    LineSettings,
    Observation,
    Outcome,
    Question,
    ReadingUnit,
    Reopened,
    Role,
    Segment,
    Style,
    Void,
)

CALLS = 12
"""How many calls a view shows at most."""
KEYS: Mapping[str, str] = {row.name: row.keys for row in ROWS if row.is_command}
"""What is typed for each command."""


class Sign(StrEnum):
    """How the pull stands, in a word that is read from afar."""

    AGREES = "AGREES"
    BOOKED = "BOOKED"
    """Booked, but not because take and check agree."""
    STOP = "STOP"
    ASKED = "ASKED"
    WAITS = ""


class Standing(StrEnum):
    """What became of a call."""

    TAKEN = "taken"
    ASKED = "asked again"
    HELD = "held"
    STRUCK = "struck"
    TALK = "talk"


@dataclass(frozen=True, slots=True)
class CallView:
    """One call as it is shown."""

    who: str
    """Head or rear; empty where it was not said."""
    words: str
    """What was said, or what was typed."""
    figures: str
    """Its number, such as 15, .42 or 15.42; a question mark for a call that is asked again; empty
    for a command."""
    standing: Standing
    is_keyed: bool
    probability: float
    number: int = 0
    """Of the call, within its job."""
    has_sound: bool = False


@dataclass(frozen=True, slots=True)
class Way:
    """Something that may be done now, by voice, by key, or by both."""

    name: str
    """Name of the command."""
    does: str
    say: str
    """The phrase; empty where a phrase would not be taken."""
    key: str
    """The keys; empty where there are none."""


@dataclass(frozen=True, slots=True)
class Microphone:
    """How a microphone is heard."""

    name: str
    level_dbfs: float
    """Level of the last moment, decibels below full scale (0 is the loudest)."""
    noise_dbfs: float
    """Level between calls."""
    warning: str = ""
    """Such as "too loud", "clipping", "too far"; empty if all is well."""


@dataclass(frozen=True, slots=True)
class Happened:
    """An event and what followed, as lines of a log."""

    number: int
    """Counts the events of the job from 1."""
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class View:
    """Everything that the crew sees at one moment; lengths as they are read, in the tape's unit."""

    line: str
    tape: str
    pull: int
    expected: str
    """What is expected from whom."""
    calls: tuple[CallView, ...]
    """The last calls, the newest last."""
    take: str
    check: str
    struck: tuple[str, ...]
    """Lengths of this pull that were measured again."""
    sign: Sign
    verdict: str
    """What the sign is about; empty while the pull only waits."""
    remedy: str
    may: tuple[Way, ...]
    """What may be done now, other than calling what is expected."""
    held: int
    """Calls that wait for the decision."""
    total_ft: float
    """Sum of the lengths read of this line's run [ft]."""
    booked: int
    """Pulls booked in this line's run."""
    conditions: tuple[str, ...]
    happened: tuple[Happened, ...]
    microphones: tuple[Microphone, ...] = ()
    typed: str = ""
    """What is being typed on the keypad."""
    notices: tuple[str, ...] = ()
    """What else must be known: a device lost, the disk nearly full."""
    phones: str = ""
    """How a phone opens the chief's page, and which do; empty where it is not served."""
    invitation: tuple[str, ...] = ()
    """Rows of text that stand in place of all else while a phone is let in; empty otherwise."""
    unit: ReadingUnit = ReadingUnit.FOOT
    """What the tape is graduated in."""


def view_of(
    replay: Replay,
    commands: Mapping[str, Sequence[str]],
    keys: Mapping[str, str] = KEYS,
    *,
    microphones: tuple[Microphone, ...] = (),
    typed: str = "",
    notices: tuple[str, ...] = (),
    texts: Texts = ENGLISH,
    phones: str = "",
    invitation: tuple[str, ...] = (),
) -> View:
    """See a job as it stands.

    Args:
        replay: the job's.
        commands: the phrases of each command, as the grammar has them; the first is shown.
        keys: what is typed for each command, by its name; empty without a keypad.
        microphones: how each is heard.
        typed: what is being typed.
        notices: what else must be known.
        texts: the language of the log's lines; all else is told where it is drawn.
        phones: how a phone opens the chief's page.
        invitation: what is shown in place of all else.

    Raises:
        JournalError: no line has been begun.
    """
    state = replay.state
    if state is None:
        raise JournalError(
            "no line has been begun in this job",
            next_step="begin it with `calllog listen JOB --tape TAPE.toml --line A:B`",
        )
    settings = state.settings
    lengths_ft = _lengths_ft(replay, settings)
    sign, verdict, remedy = _verdict(replay, state)
    take, check = _measured(state)
    ways = tuple(_ways(state, commands, keys))
    return View(
        line=f"{settings.line_from}:{settings.line_to}",
        tape=f"{settings.tape}, {settings.nominal} {settings.unit.symbol}, {settings.style.value}",
        pull=state.pull,
        expected=_expected(state, ways),
        calls=_calls(replay, state),
        take=take,
        check=check,
        struck=tuple(_feet(each.length) for each in state.superseded),
        sign=sign,
        verdict=verdict,
        remedy=remedy,
        may=ways,
        held=len(state.held),
        total_ft=fsum(lengths_ft),
        booked=len(lengths_ft),
        conditions=conditions_in_words(state.conditions, settings.unit),
        happened=_happened(replay, texts, settings.unit),
        microphones=microphones,
        typed=typed,
        notices=notices,
        phones=phones,
        invitation=invitation,
        unit=settings.unit,
    )


def _feet(hundredths: int) -> str:
    return f"{hundredths / 100:.2f}"


def _lengths_ft(replay: Replay, settings: LineSettings) -> tuple[float, ...]:
    """Collect what is booked of the line's run that is being taped."""
    ends = (settings.line_from, settings.line_to)
    run = replay.finished[ends] + 1
    return tuple(
        segment.length_read_ft
        for segment, of_run in zip(replay.segments, replay.runs, strict=True)
        if (segment.line_from, segment.line_to) == ends and of_run == run
    )


def _expected(state: State, ways: Sequence[Way]) -> str:
    if state.phase is not Phase.STOPPED and state.awaiting is not None:
        return awaited_words(state.awaiting, state.settings.unit)
    return _expected_next(state, ways)


def _expected_next(state: State, ways: Sequence[Way]) -> str:
    match state.phase:
        case Phase.STOPPED if ways:
            return "a decision of the chief"
        case Phase.STOPPED:
            return f"a decision: calllog decide JOB {state.pull} first|check|again"
        case Phase.FINISHED:
            return "the line is finished: begin the next one"
        case Phase.TAKEN if state.settings.policy is CheckPolicy.REQUIRED:
            return "both: switch ends"
        case Phase.TAKEN:
            return "both: switch ends, or next pull"
        case _:
            what = "check" if state.phase is Phase.CHECKING else "take"
            return said_in(f"{_missing_part(state)} of the {what}", state.settings.unit)


def _missing_part(state: State) -> str:
    parts, is_parted = state.parts, state.settings.style in PARTED
    if parts.is_empty and not is_parted:
        return "the reading"
    asked = []
    for missing, role, name in (
        (parts.whole is None, state.whole_by, "the whole foot"),
        (parts.fraction is None, state.fraction_by, "the hundredths"),
    ):
        who = who_calls(role) if is_parted else ""
        if missing:
            asked.append(f"{who}: {name}" if who else name)
    return ", ".join(asked)


def _measured(state: State) -> tuple[str, str]:
    """Write take and check as far as they have been called."""
    style, hold = state.settings.style, state.conditions.hold
    parts = "" if state.parts.is_empty else _parts(state)
    take = _observation(state.take, style) if state.take else parts
    if state.stop and state.stop.check:
        return take, _observation(state.stop.check, style)
    phase = state.stop.origin if state.stop else state.phase
    if state.take is None or phase is Phase.TAKEN:
        return take, ""
    if state.parts.is_complete:
        return take, _observation(state.parts.observe(style, hold), style)
    return take, parts


def _parts(state: State) -> str:
    parts, joint = state.parts, _joint(state.settings.style)
    whole = "__" if parts.whole is None else str(parts.whole // 100)
    fraction = ".__" if parts.fraction is None else f".{parts.fraction:02d}"
    return f"{whole}{joint}{fraction}"


def _joint(style: Style) -> str:
    return {Style.ADD: " + ", Style.CUT: " - "}.get(style, "")


def _observation(observed: Observation, style: Style) -> str:
    """Write a measurement with the length that follows from it, where that is not the reading."""
    length = _feet(observed.length)
    if style in PARTED:
        whole, fraction = (observed.whole or 0) // 100, observed.fraction or 0
        return f"{whole}{_joint(style)}.{fraction:02d} = {length}"
    if observed.hold:
        return f"{_feet(observed.reading or 0)} - {_feet(observed.hold)} held = {length}"
    return length


def _verdict(replay: Replay, state: State) -> tuple[Sign, str, str]:
    questions = _open_questions(replay)
    if state.phase is Phase.STOPPED:
        finding = state.findings[-1]
        return Sign.STOP, finding.words, finding.remedy
    if questions:
        asked = (f"{who_calls(each.role) or 'crew'}: {each.words}" for each in questions)
        return Sign.ASKED, "; ".join(asked), ""
    segment = replay.segments[-1] if replay.segments else None
    is_new = state.parts.is_empty and state.take is None and not state.superseded
    if segment is None or segment.pull != state.pull - 1 or not is_new:
        return Sign.WAITS, "", ""
    return _booked(segment, state.settings.unit)


def _booked(segment: Segment, unit: ReadingUnit) -> tuple[Sign, str, str]:
    sign = Sign.AGREES if segment.booking is Booking.AGREED else Sign.BOOKED
    length = length_text(segment.length_read_ft, unit)
    words = [said_in(f"pull {segment.pull}: {length} ft", unit)]
    if segment.difference is not None:
        words.append(f"difference {segment.difference / 100:.2f}")
    if segment.booking is Booking.UNCHECKED:
        words.append("not checked")
    elif segment.booking is not Booking.AGREED:
        kept = "take" if segment.booking is Booking.FIRST else "check"
        words.append(f"{kept} kept by {segment.decided_by}")
    return sign, ", ".join(words), ""


def _open_questions(replay: Replay) -> list[Question]:
    """List what was asked last; talk answers nothing, anything else does."""
    for event, followed in reversed(replay.recent):
        if not (isinstance(event, Call) and event.outcome is Outcome.IGNORED):
            return [each for each in followed if isinstance(each, Question)]
    return []


def _calls(replay: Replay, state: State) -> tuple[CallView, ...]:
    struck = {
        each.call for _, followed in replay.recent for each in followed if isinstance(each, Void)
    }
    held = {call.number for call in state.held}
    shown = [
        CallView(
            who=who_calls(event.role),
            words=_remark(event) if event.kind is Kind.REMARK else event.text,
            figures=figures(event),
            standing=_standing(event, followed, struck, held),
            is_keyed=event.is_keyed,
            probability=event.probability,
            number=event.number,
            has_sound=bool(event.clip),
        )
        for event, followed in replay.recent
        if isinstance(event, Call)
    ]
    return tuple(shown[-CALLS:])


def _remark(call: Call) -> str:
    """Show a remark that was written; one that was said is sound alone."""
    return f"remark: {call.text}" if call.text else "remark"


def _standing(
    call: Call, followed: Sequence[Consequence], struck: set[int], held: set[int]
) -> Standing:
    if call.number in struck:
        return Standing.STRUCK
    if call.number in held:
        return Standing.HELD
    if call.outcome is Outcome.IGNORED and call.kind is not Kind.REMARK:
        return Standing.TALK
    is_asked = any(isinstance(each, Question) for each in followed)
    return Standing.ASKED if is_asked else Standing.TAKEN


def _happened(replay: Replay, texts: Texts, unit: ReadingUnit) -> tuple[Happened, ...]:
    first = replay.taken - len(replay.recent) + 1
    return tuple(
        Happened(
            number,
            (
                event_line(event, texts, unit),
                *(consequence_line(each, texts, unit) for each in followed),
            ),
        )
        for number, (event, followed) in enumerate(replay.recent, start=first)
    )


def _ways(
    state: State, commands: Mapping[str, Sequence[str]], keys: Mapping[str, str]
) -> list[Way]:
    """Ask the machine itself what each command would do now, so that no rule stands twice."""
    ways = []
    for name in sorted(commands, key=lambda each: each == "scratch"):
        spoken = _followed(state, name, is_keyed=False)
        typed = _followed(state, name, is_keyed=True) if keys.get(name) else None
        followed = typed if spoken is None else spoken
        if followed is not None:
            say, key = (
                "" if spoken is None else commands[name][0],
                "" if typed is None else keys[name],
            )
            ways.append(Way(name, _does(state, name, followed), say, key))
    return ways


def _followed(state: State, name: str, *, is_keyed: bool) -> tuple[Consequence, ...] | None:
    """Give what would follow from a command; None where it would be refused, or do nothing."""
    command = Call(
        number=0,
        source="",
        role=Role.UNSAID,
        expects=Expectation.ANY,
        kind=Kind.COMMAND,
        text="",
        value=None,
        name=name,
        amount=None,
        probability=1.0,
        alternatives=(),
        outcome=Outcome.CALL,
        reason="",
        start_s=0.0,
        end_s=0.0,
        clip="",
        is_keyed=is_keyed,
    )
    done = step(state, command)
    is_refused = any(isinstance(each, Question | Held) for each in done.consequences)
    is_idle = _apart_from_replay(done.state) == _apart_from_replay(state)
    return None if is_refused or is_idle else done.consequences


def _apart_from_replay(state: State) -> State:
    """Leave out what only matters when a call is struck: what the pull began with."""
    return replace(state, opening=None, between=())


def _does(state: State, name: str, followed: Sequence[Consequence]) -> str:
    match name:
        case "first" | "check":
            finding = state.findings[-1]
            value = finding.first if name == "first" else finding.second
            return f"keeps {_feet(value or 0)}"
        case "scratch":
            opened = [each.pull for each in followed if isinstance(each, Reopened)]
            also = f", opens pull {opened[0]} again" if opened else ""
            return f"strikes the last number{also}"
        case "switch":
            return "begins the check"
        case "again":
            return "measures this pull again"
        case _:
            is_booking = any(isinstance(each, Segment) for each in followed)
            does = ["books the pull unchecked"] if is_booking else []
            return ", ".join([*does, "closes the line"] if name == "finish" else does)
