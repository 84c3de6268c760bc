"""Panel: what a job's journal and the devices say in, one frozen `View` of facts out; pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from math import fsum
from typing import Generic, TypeVar

from calllog.keypad import ROWS
from calllog.pairing import Event, Phase, State, awaited, step
from calllog.pairing.asking import TAKE_OR_CHECK
from calllog.pairing.idle import does_nothing
from calllog.pairing.roles import COMMANDS, WHO_HOLDS
from calllog.pairing.roles import question as who_holds
from calllog.pairing.tape_style import WORDS as STYLES
from calllog.pairing.tape_style import awaits_style, style_question
from calllog.session import Replay
from calllog.tape import PARTED
from calllog.values import (
    NUMBERS,
    Booking,
    Call,
    CheckPolicy,
    Conditions,
    Consequence,
    Expectation,
    Fact,
    Finding,
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
    Void,
    message,
)

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


Subject = Finding | Question | Segment | Message
"""What a sign is about."""


@dataclass(frozen=True, slots=True)
class CallView:
    """One call as it is shown."""

    call: Call
    standing: CallStanding
    is_hidden: bool = False
    """It is shown that it was taken, not what it says."""


@dataclass(frozen=True, slots=True)
class WayOn:
    """Something that may be done now, by voice, by key, or by both."""

    name: str
    """Name of the command."""
    does: Message | None
    say: str
    """The phrase; empty where a phrase would not be taken."""
    key: str
    """The keys; empty where there are none."""


@dataclass(frozen=True, slots=True)
class MicrophoneState:
    """How a microphone is heard."""

    name: str
    """The role of its wearer, or what it is called."""
    level_dbfs: float
    """Level of the last moment, decibels below full scale (0 is the loudest)."""
    noise_dbfs: float
    """Level between calls."""
    warnings: tuple[Message, ...] = ()
    """Such as that it is too loud, or too near the mouth; empty if all is well."""


@dataclass(frozen=True, slots=True)
class Happened:
    """An event and what followed."""

    number: int
    """Counts the events of the job from 1."""
    event: Event
    followed: tuple[Consequence, ...]
    is_hidden: bool = False
    """What was said is not shown."""


@dataclass(frozen=True, slots=True)
class MeasureView:
    """A measurement as far as it has been called [least counts of the tape]."""

    whole: int | None = None
    fraction: int | None = None
    reading: int | None = None
    """What one end reads that reads all; None where two ends make the length."""
    held: int = 0
    """The mark that is held in place of zero."""
    length: int | None = None
    """What it comes to; None while a part lacks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """What is the same in every language of what the crew sees at one moment."""

    settings: LineSettings
    """Of the line."""
    pull: int
    sign: Sign
    held: int
    """Calls that wait for the decision."""
    total_ft: float
    """Sum of the lengths read of this line's run [ft]."""
    booked: int
    """Pulls booked in this line's run."""
    typed: str = ""
    """What is being typed on the keypad."""
    phones: str = ""
    """How a phone opens the chief's page, and which do; empty where it is not served."""
    invitation: tuple[str, ...] = ()
    """Rows of text that stand in place of all else while a phone is let in; empty otherwise."""

    @property
    def line(self) -> str:
        """Name the line by its two points."""
        return f"{self.settings.line_from}:{self.settings.line_to}"

    @property
    def unit(self) -> ReadingUnit:
        """What the tape is graduated in."""
        return self.settings.unit


@dataclass(frozen=True, slots=True, kw_only=True)
class View(Moment):
    """Everything that the crew sees at one moment, as facts; lengths are as they are read."""

    expected: Message
    """What is expected from whom."""
    calls: tuple[CallView, ...]
    """The last calls, the newest last."""
    take: MeasureView
    check: MeasureView
    struck: tuple[int, ...]
    """Lengths of this pull that were measured again [least counts]."""
    verdict: tuple[Subject, ...]
    """What the sign is about; empty while the pull only waits."""
    may: tuple[WayOn, ...]
    """What may be done now, other than calling what is expected."""
    conditions: Conditions
    happened: tuple[Happened, ...]
    microphones: tuple[MicrophoneState, ...] = ()
    notices: tuple[Message, ...] = ()
    """What else must be known: a device lost, the disk nearly full."""
    remedy: Message | None = None
    """What to do about the verdict, where that does not say so itself."""


def view_of(
    replay: Replay,
    commands: Mapping[str, Sequence[str]],
    keys: Mapping[str, str] = KEYS,
    *,
    microphones: tuple[MicrophoneState, ...] = (),
    typed: str = "",
    notices: tuple[Message, ...] = (),
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
        phones: how a phone opens the chief's page.
        invitation: what is shown in place of all else.
        is_live: the crew is at work and can answer, so that the job is being written.

    Raises:
        JournalError: no line has been begun.
    """
    state = replay.require_state()
    settings = state.settings
    lengths_ft = replay.lengths_ft(settings)
    sign, verdict = _verdict(replay, state)
    take, check = _measured(state)
    ways = _ways_once(_Itself(state), _Itself(commands), _Itself(keys), is_live=is_live)
    return View(
        settings=settings,
        pull=state.pull,
        expected=_expected(replay, state, ways, is_live=is_live),
        calls=_calls(replay, state),
        take=take,
        check=check,
        struck=tuple(each.length for each in state.superseded),
        sign=sign,
        verdict=verdict,
        may=ways,
        held=len(state.held),
        total_ft=fsum(lengths_ft),
        booked=len(lengths_ft),
        conditions=state.conditions,
        happened=_happened(replay),
        microphones=microphones,
        typed=typed,
        notices=notices,
        phones=phones,
        invitation=invitation,
    )


def _expected(replay: Replay, state: State, ways: Sequence[WayOn], *, is_live: bool) -> Message:
    if state.phase is Phase.STOPPED:
        at = "work" if is_live else "rest"
        by_command = message("screen-decision-by-command", pull=state.pull, at=at)
        return message("screen-decision") if ways else by_command
    if state.awaiting is not None and state.blocking is None:
        return awaited(state.awaiting)
    if state.waiting is not None:
        return _by_name(who_holds(state.waiting), replay)
    if awaits_style(state):
        return style_question(state)
    return _expected_next(replay, state)


def _who(role: str, replay: Replay) -> Fact:
    """Name one of the two: by the name that the job states, else by the end."""
    return replay.about.who(role) or message("crew-role", role=role)


def _by_name(asks: Message, replay: Replay) -> Message:
    """Name the two in the question who holds the whole mark."""
    if asks.code != WHO_HOLDS:
        return asks
    named = {fact: _who(str(asks.facts[fact]), replay) for fact in ("holder", "other_holder")}
    return asks.model_copy(update={"facts": asks.facts | named})


def _expected_next(replay: Replay, state: State) -> Message:
    match state.phase:
        case Phase.FINISHED:
            return message("screen-line-finished")
        case Phase.TAKEN if state.settings.policy is CheckPolicy.REQUIRED:
            return message("screen-switch")
        case Phase.TAKEN:
            return message("screen-switch-or-next")
        case _:
            return _missing_part(replay, state)


def _missing_part(replay: Replay, state: State) -> Message:
    """Say what is to be called, and who calls it."""
    parts, is_parted = state.parts, state.settings.style in PARTED
    measurement = TAKE_OR_CHECK[state.phase is not Phase.CHECKING]
    if parts.is_empty and not is_parted:
        return message("screen-call-reading", measurement=measurement)
    whole_by, fraction_by = (
        role.value if is_parted else Role.UNSAID.value
        for role in (state.whole_by, state.fraction_by)
    )
    if parts.is_empty:
        return message(
            "screen-call-parts",
            whole_by=whole_by,
            whole_who=_who(whole_by, replay),
            fraction_who=_who(fraction_by, replay),
            measurement=measurement,
        )
    part, role = ("whole", whole_by) if parts.whole is None else ("fraction", fraction_by)
    who = _who(role, replay)
    return message("screen-call-part", role=role, who=who, part=part, measurement=measurement)


def _measured(state: State) -> tuple[MeasureView, MeasureView]:
    """Tell what take and check are as far as they have been called."""
    style, hold = state.settings.style, state.conditions.hold
    parts = MeasureView(state.parts.whole, state.parts.fraction)
    take = _observation(state.take) if state.take else parts
    if state.stop and state.stop.check:
        return take, _observation(state.stop.check)
    phase = state.stop.origin if state.stop else state.phase
    if state.take is None or phase is Phase.TAKEN:
        return take, MeasureView()
    if state.parts.is_complete:
        return take, _observation(state.parts.observe(style, hold))
    return take, parts


def _observation(observed: Observation) -> MeasureView:
    return MeasureView(
        whole=observed.whole,
        fraction=observed.fraction,
        reading=observed.reading,
        held=observed.hold,
        length=observed.length,
    )


def _verdict(replay: Replay, state: State) -> tuple[Sign, tuple[Subject, ...]]:
    questions = _open_questions(replay)
    if state.phase is Phase.STOPPED:
        return Sign.STOP, (state.findings[-1],)
    if questions:
        return Sign.ASKED, tuple(
            each.model_copy(update={"asks": _by_name(each.asks, replay)}) for each in questions
        )
    segment = replay.segments[-1] if replay.segments else None
    is_new = state.parts.is_empty and state.take is None and not state.superseded
    if segment is None or segment.pull != state.pull - 1 or not is_new:
        return Sign.WAITS, ()
    return Sign.AGREES if segment.booking is Booking.AGREED else Sign.BOOKED, (segment,)


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
        CallView(event, _standing(event, followed, struck, held))
        for event, followed in replay.recent
        if isinstance(event, Call)
    ]
    return tuple(shown[-CALLS:])


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


def _happened(replay: Replay) -> tuple[Happened, ...]:
    first = replay.taken - len(replay.recent) + 1
    return tuple(
        Happened(number, event, followed)
        for number, (event, followed) in enumerate(replay.recent, start=first)
    )


@lru_cache(maxsize=4)
def _ways_once(
    state: _Itself[State],
    commands: _Itself[Mapping[str, Sequence[str]]],
    keys: _Itself[Mapping[str, str]],
    *,
    is_live: bool,
) -> tuple[WayOn, ...]:
    """Work the ways out once a state: a screen is drawn eight times a second."""
    return tuple(_ways(state.thing, commands.thing, keys.thing, is_live=is_live))


def _ways(
    state: State,
    commands: Mapping[str, Sequence[str]],
    keys: Mapping[str, str],
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
            ways.append(WayOn(name, _does(state, name, followed), say, key))
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
    is_struck = any(isinstance(each, Void) for each in done.consequences)
    is_asked = any(isinstance(each, Question | Held) for each in done.consequences)
    is_refused = is_asked and not is_struck  # what is struck with others is asked for again
    return None if is_refused or does_nothing(state, done.state) else done.consequences


def _strikes(state: State, followed: Sequence[Consequence]) -> Message:
    struck = {each.call for each in followed if isinstance(each, Void)}
    if {each.kind for each in state.history if each.number in struck} == {Kind.CONDITION}:
        return message("screen-strikes-condition")
    opened = [each.pull for each in followed if isinstance(each, Reopened)]
    calls = (*state.history, *(state.booked.history if state.booked else ()))
    count = len(struck & {each.number for each in calls if each.kind in NUMBERS})
    return message("screen-strikes", opened=opened[0] if opened else 0, count=count)


def _does(state: State, name: str, followed: Sequence[Consequence]) -> Message | None:
    match name:
        case "first" | "check":
            finding = state.findings[-1]
            value = finding.first if name == "first" else finding.second
            return message("screen-keeps", length=value or 0)
        case "scratch":
            return _strikes(state, followed)
        case "switch" | "again" | "head-holds" | "rear-holds":
            return message(DOES[name])
        case "cut" | "add":
            return message(f"keys-{name}")
    is_booking = any(isinstance(each, Segment) for each in followed)
    if name == "finish":
        return message("screen-books-and-closes" if is_booking else "screen-closes")
    return message("screen-books") if is_booking else None
