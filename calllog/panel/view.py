"""Panel: what a job's journal says, and what the devices say, in; one frozen `View` out; pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from math import fsum
from typing import Generic, TypeVar

from calllog.keypad import ROWS
from calllog.pairing import Phase, State, awaited, step
from calllog.pairing.asking import TAKE_OR_CHECK
from calllog.pairing.idle import does_nothing
from calllog.pairing.roles import COMMANDS, WHO_HOLDS
from calllog.pairing.roles import question as who_holds
from calllog.pairing.tape_style import WORDS as STYLES
from calllog.pairing.tape_style import awaits_style, style_question
from calllog.panel.words import (
    caller,
    conditions_in_words,
    consequence_line,
    event_line,
    figures,
    length_text,
    question,
)
from calllog.session import Replay
from calllog.tape import PARTED
from calllog.values import (
    Booking,
    Call,
    CheckPolicy,
    Consequence,
    Expectation,
    Held,
    Kind,
    LineSettings,
    Message,
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
from calllog.wording import ENGLISH, Words

CALLS = 12
"""How many calls a view shows at most."""
KEYS: Mapping[str, str] = {row.name: row.short for row in ROWS if row.is_command}
"""What is typed for each command."""

DOES = {
    "switch": "screen-begins-check",
    "again": "screen-measures-again",
    "head-holds": "keys-head-holds",
    "rear-holds": "keys-rear-holds",
}
"""What some commands do, whatever follows; codes of messages."""


Thing = TypeVar("Thing")


@dataclass(frozen=True, slots=True, eq=False)
class _Itself(Generic[Thing]):
    """A thing that never changes and equals itself alone: what follows is worked out once."""

    thing: Thing

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Itself) and self.thing is other.thing

    def __hash__(self) -> int:
        return id(self.thing)


class Sign(StrEnum):
    """How the pull stands, in a word that is read from afar."""

    AGREES = "AGREES"
    BOOKED = "BOOKED"
    """Booked, but not because take and check agree."""
    STOP = "STOP"
    ASKED = "ASKED"
    WAITS = ""


class CallStanding(StrEnum):
    """What became of a call."""

    TAKEN = "taken"
    ASKED = "asked"
    HELD = "held"
    STRUCK = "struck"
    TALK = "talk"


@dataclass(frozen=True, slots=True)
class CallView:
    """One call as it is shown."""

    who: str
    """Head or rear, in words; empty where it was not said."""
    words: str
    """What was said, or what was typed."""
    figures: str
    """Its number, such as 15, .42 or 15.42; a question mark for a call that is asked again; empty
    for a command."""
    standing: CallStanding
    is_keyed: bool
    probability: float
    number: int = 0
    """Of the call, within its job."""
    has_sound: bool = False


@dataclass(frozen=True, slots=True)
class WayOn:
    """Something that may be done now, by voice, by key, or by both."""

    name: str
    """Name of the command."""
    does: str
    say: str
    """The phrase; empty where a phrase would not be taken."""
    key: str
    """The keys; empty where there are none."""


@dataclass(frozen=True, slots=True)
class MicrophoneState:
    """How a microphone is heard."""

    name: str
    level_dbfs: float
    """Level of the last moment, decibels below full scale (0 is the loudest)."""
    noise_dbfs: float
    """Level between calls."""
    warning: str = ""
    """Such as "is too loud, or too near the mouth"; empty if all is well."""


@dataclass(frozen=True, slots=True)
class Happened:
    """An event and what followed, as lines of a log."""

    number: int
    """Counts the events of the job from 1."""
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MeasureView:
    """A measurement as far as it has been called, in figures."""

    made_of: str = ""
    """Such as "33 + .87", or "__ + .87" while a part lacks; empty where one end reads all."""
    length: str = ""
    """Such as "33.87"; empty while a part lacks."""

    def __str__(self) -> str:
        """Write both, as far as they are known."""
        return " = ".join(each for each in (self.made_of, self.length) if each)


@dataclass(frozen=True, slots=True)
class View:
    """Everything that the crew sees at one moment, in words of one language.

    Lengths are as they are read, in the tape's unit.
    """

    line_from: str
    line_to: str
    tape: str
    pull: int
    expected: str
    """What is expected from whom."""
    calls: tuple[CallView, ...]
    """The last calls, the newest last."""
    take: MeasureView
    check: MeasureView
    struck: tuple[str, ...]
    """Lengths of this pull that were measured again."""
    sign: Sign
    verdict: str
    """What the sign is about; empty while the pull only waits."""
    remedy: str
    may: tuple[WayOn, ...]
    """What may be done now, other than calling what is expected."""
    held: int
    """Calls that wait for the decision."""
    total_ft: float
    """Sum of the lengths read of this line's run [ft]."""
    booked: int
    """Pulls booked in this line's run."""
    conditions: tuple[str, ...]
    happened: tuple[Happened, ...]
    microphones: tuple[MicrophoneState, ...] = ()
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

    @property
    def line(self) -> str:
        """Name the line by its two points."""
        return f"{self.line_from}:{self.line_to}"


def view_of(
    replay: Replay,
    commands: Mapping[str, Sequence[str]],
    keys: Mapping[str, str] = KEYS,
    *,
    microphones: tuple[MicrophoneState, ...] = (),
    typed: str = "",
    notices: tuple[str, ...] = (),
    words: Words = ENGLISH,
    phones: str = "",
    invitation: tuple[str, ...] = (),
    is_live: bool = False,
) -> View:
    """See a job as it stands.

    Args:
        replay: the job's.
        commands: the phrases of each command, as the grammar has them; the first is shown.
        keys: what is typed for each command, by its name; empty without a keypad.
        microphones: how each is heard.
        typed: what is being typed.
        notices: what else must be known.
        words: the language that it is told in.
        phones: how a phone opens the chief's page.
        invitation: what is shown in place of all else.
        is_live: the crew is at work and can answer, so that the job is being written.

    Raises:
        JournalError: no line has been begun.
    """
    state = replay.require_state()
    settings = state.settings
    words = words.measured_in(settings.unit)
    lengths_ft = _lengths_ft(replay, settings)
    sign, verdict, remedy = _verdict(replay, state, words)
    take, check = _measured(state, words)
    of = _Itself(state), _Itself(commands), _Itself(keys), _Itself(words)
    ways = _ways_once(*of, is_live=is_live)
    return View(
        line_from=settings.line_from,
        line_to=settings.line_to,
        tape=words(
            "screen-tape",
            tape=settings.tape,
            length=settings.nominal,
            style=settings.style.value,
        ),
        pull=state.pull,
        expected=_expected(replay, state, ways, words, is_live=is_live),
        calls=_calls(replay, state, words),
        take=take,
        check=check,
        struck=tuple(settings.unit.text(each.length) for each in state.superseded),
        sign=sign,
        verdict=verdict,
        remedy=remedy,
        may=ways,
        held=len(state.held),
        total_ft=fsum(lengths_ft),
        booked=len(lengths_ft),
        conditions=conditions_in_words(state.conditions, words),
        happened=_happened(replay, words),
        microphones=microphones,
        typed=typed,
        notices=notices,
        phones=phones,
        invitation=invitation,
        unit=settings.unit,
    )


def _lengths_ft(replay: Replay, settings: LineSettings) -> tuple[float, ...]:
    """Collect what is booked of the line's run that is being taped."""
    run = replay.run_of(settings)
    return tuple(
        segment.length_read_ft
        for segment, of_run in zip(replay.segments, replay.runs, strict=True)
        if (segment.line_from, segment.line_to, of_run) == run
    )


def _expected(
    replay: Replay, state: State, ways: Sequence[WayOn], words: Words, *, is_live: bool
) -> str:
    if state.phase is Phase.STOPPED and ways:
        return words("screen-decision")
    if state.phase is not Phase.STOPPED and state.awaiting is not None:
        return words.say(awaited(state.awaiting))
    if state.phase is Phase.STOPPED:
        at = "work" if is_live else "rest"
        return words("screen-decision-by-command", pull=state.pull, at=at)
    if state.waiting is not None:
        return words.say(_by_name(who_holds(state.waiting), replay, words))
    if awaits_style(state):
        return words.say(style_question(state))
    return _expected_next(replay, state, words)


def _who(role: str, replay: Replay, words: Words) -> str:
    """Name one of the two: by the name that the job states, else by the end."""
    return replay.about.who(role) or words("crew-role", role=role)


def _by_name(asks: Message, replay: Replay, words: Words) -> Message:
    """Name the two in the question who holds the whole mark."""
    if asks.code != WHO_HOLDS:
        return asks
    named = {
        fact: _who(str(asks.facts[fact]), replay, words) for fact in ("holder", "other_holder")
    }
    return asks.model_copy(update={"facts": asks.facts | named})


def _expected_next(replay: Replay, state: State, words: Words) -> str:
    match state.phase:
        case Phase.FINISHED:
            return words("screen-line-finished")
        case Phase.TAKEN if state.settings.policy is CheckPolicy.REQUIRED:
            return words("screen-switch")
        case Phase.TAKEN:
            return words("screen-switch-or-next")
        case _:
            return _missing_part(replay, state, words)


def _missing_part(replay: Replay, state: State, words: Words) -> str:
    """Say what is to be called, and who calls it."""
    parts, is_parted = state.parts, state.settings.style in PARTED
    measurement = TAKE_OR_CHECK[state.phase is not Phase.CHECKING]
    if parts.is_empty and not is_parted:
        return words("screen-call-reading", measurement=measurement)
    whole_by, fraction_by = (
        role.value if is_parted else Role.UNSAID.value
        for role in (state.whole_by, state.fraction_by)
    )
    if parts.is_empty:
        return words(
            "screen-call-parts",
            whole_by=whole_by,
            whole_who=_who(whole_by, replay, words),
            fraction_who=_who(fraction_by, replay, words),
            measurement=measurement,
        )
    part, role = ("whole", whole_by) if parts.whole is None else ("fraction", fraction_by)
    who = _who(role, replay, words)
    return words("screen-call-part", role=role, who=who, part=part, measurement=measurement)


def _measured(state: State, words: Words) -> tuple[MeasureView, MeasureView]:
    """Write take and check as far as they have been called."""
    style, hold = state.settings.style, state.conditions.hold
    parts = MeasureView() if state.parts.is_empty else _parts(state)
    take = _observation(state.take, style, words) if state.take else parts
    if state.stop and state.stop.check:
        return take, _observation(state.stop.check, style, words)
    phase = state.stop.origin if state.stop else state.phase
    if state.take is None or phase is Phase.TAKEN:
        return take, MeasureView()
    if state.parts.is_complete:
        return take, _observation(state.parts.observe(style, hold), style, words)
    return take, parts


def _parts(state: State) -> MeasureView:
    parts, joint = state.parts, _joint(state.settings.style)
    unit = state.settings.unit
    whole = "__" if parts.whole is None else str(parts.whole // unit.counts)
    fraction = "_" * unit.digits if parts.fraction is None else unit.part(parts.fraction)
    return MeasureView(f"{whole}{joint}.{fraction}")


def _joint(style: Style) -> str:
    return {Style.ADD: " + ", Style.CUT: " - "}.get(style, "")


def _observation(observed: Observation, style: Style, words: Words) -> MeasureView:
    """Show a measurement with the length that follows from it, where that is not the reading."""
    unit = words.unit
    length = unit.text(observed.length)
    if style in PARTED:
        whole, fraction = (observed.whole or 0) // unit.counts, observed.fraction or 0
        return MeasureView(f"{whole}{_joint(style)}.{unit.part(fraction)}", length)
    if observed.hold:
        made_of = words("screen-read-and-held", reading=observed.reading or 0, held=observed.hold)
        return MeasureView(made_of, length)
    return MeasureView(length=length)


def _verdict(replay: Replay, state: State, words: Words) -> tuple[Sign, str, str]:
    questions = _open_questions(replay)
    if state.phase is Phase.STOPPED:
        finding = state.findings[-1]
        return Sign.STOP, words.finding(finding), words.remedy(finding)
    if questions:
        asked = (question(_asked(each, replay, words), words) for each in questions)
        return Sign.ASKED, "; ".join(asked), ""
    segment = replay.segments[-1] if replay.segments else None
    is_new = state.parts.is_empty and state.take is None and not state.superseded
    if segment is None or segment.pull != state.pull - 1 or not is_new:
        return Sign.WAITS, "", ""
    sign = Sign.AGREES if segment.booking is Booking.AGREED else Sign.BOOKED
    return sign, _booked(segment, words), ""


def _asked(asked: Question, replay: Replay, words: Words) -> Question:
    return asked.model_copy(update={"asks": _by_name(asked.asks, replay, words)})


def _booked(segment: Segment, words: Words) -> str:
    return words(
        "screen-booked",
        pull=segment.pull,
        length=length_text(segment.length_read_ft, words.unit),
        checked="no" if segment.difference is None else "yes",
        difference=segment.difference or 0,
        booking=segment.booking.value,
        by=segment.decided_by,
    )


def _open_questions(replay: Replay) -> list[Question]:
    """List what was asked last; talk answers nothing, anything else does."""
    for event, followed in reversed(replay.recent):
        if not (isinstance(event, Call) and event.outcome is Outcome.IGNORED):
            return [each for each in followed if isinstance(each, Question)]
    return []


def _calls(replay: Replay, state: State, words: Words) -> tuple[CallView, ...]:
    struck = {
        each.call for _, followed in replay.recent for each in followed if isinstance(each, Void)
    }
    held = {call.number for call in state.held}
    shown = [
        CallView(
            who=caller(event.role, words),
            words=_remark(event, words) if event.kind is Kind.REMARK else event.text,
            figures=figures(event, words.unit),
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


def _remark(call: Call, words: Words) -> str:
    """Show a remark that was written; one that was said is sound alone."""
    return words("screen-remark-written", text=call.text) if call.text else words("screen-remark")


def _standing(
    call: Call, followed: Sequence[Consequence], struck: set[int], held: set[int]
) -> CallStanding:
    if call.number in struck:
        return CallStanding.STRUCK
    if call.number in held:
        return CallStanding.HELD
    if call.outcome is Outcome.IGNORED and call.kind is not Kind.REMARK:
        return CallStanding.TALK
    is_asked = any(isinstance(each, Question) for each in followed)
    return CallStanding.ASKED if is_asked else CallStanding.TAKEN


def _happened(replay: Replay, words: Words) -> tuple[Happened, ...]:
    first = replay.taken - len(replay.recent) + 1
    return tuple(
        Happened(
            number,
            (event_line(event, words), *(consequence_line(each, words) for each in followed)),
        )
        for number, (event, followed) in enumerate(replay.recent, start=first)
    )


@lru_cache(maxsize=4)
def _ways_once(
    state: _Itself[State],
    commands: _Itself[Mapping[str, Sequence[str]]],
    keys: _Itself[Mapping[str, str]],
    words: _Itself[Words],
    *,
    is_live: bool,
) -> tuple[WayOn, ...]:
    """Work the ways out once a state: a screen is drawn eight times a second."""
    return tuple(_ways(state.thing, commands.thing, keys.thing, words.thing, is_live=is_live))


def _ways(
    state: State,
    commands: Mapping[str, Sequence[str]],
    keys: Mapping[str, str],
    words: Words,
    *,
    is_live: bool,
) -> list[WayOn]:
    """Ask the machine itself what each command would do now, so that no rule stands twice."""
    ways = []
    is_unplaced = (state.waiting or (state.stop and state.stop.waiting)) is not None
    named = dict.fromkeys((*(COMMANDS if is_unplaced else ()), *commands))
    for name in sorted(named, key=lambda each: each == "scratch"):
        if name in COMMANDS and not is_unplaced:
            continue
        if name in STYLES and not awaits_style(state):
            continue
        spoken, typed = None, None
        if name in commands:
            spoken = _followed(state, name, is_keyed=False, is_live=is_live)
        if keys.get(name):
            typed = _followed(state, name, is_keyed=True, is_live=is_live)
        followed = typed if spoken is None else spoken
        if followed is not None:
            say, key = (
                "" if spoken is None else commands[name][0],
                "" if typed is None else keys[name],
            )
            ways.append(WayOn(name, _does(state, name, followed, words), say, key))
    return ways


def _followed(
    state: State, name: str, *, is_keyed: bool, is_live: bool
) -> tuple[Consequence, ...] | None:
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
        reason=None,
        start_s=0.0,
        end_s=0.0,
        clip="",
        is_live=is_live,
        is_keyed=is_keyed,
    )
    done = step(state, command)
    is_refused = any(isinstance(each, Question | Held) for each in done.consequences)
    return None if is_refused or does_nothing(state, done.state) else done.consequences


def _strikes(state: State, followed: Sequence[Consequence], words: Words) -> str:
    struck = {each.call for each in followed if isinstance(each, Void)}
    if {each.kind for each in state.history if each.number in struck} == {Kind.CONDITION}:
        return words("screen-strikes-condition")
    opened = [each.pull for each in followed if isinstance(each, Reopened)]
    return words("screen-strikes", opened=opened[0] if opened else 0)


def _does(state: State, name: str, followed: Sequence[Consequence], words: Words) -> str:
    match name:
        case "first" | "check":
            finding = state.findings[-1]
            value = finding.first if name == "first" else finding.second
            return words("screen-keeps", length=value or 0)
        case "scratch":
            return _strikes(state, followed, words)
        case "switch" | "again" | "head-holds" | "rear-holds":
            return words(DOES[name])
        case "cut" | "add":
            return words(f"keys-{name}")
    is_booking = any(isinstance(each, Segment) for each in followed)
    if name == "finish":
        return words("screen-books-and-closes" if is_booking else "screen-closes")
    return words("screen-books") if is_booking else ""
