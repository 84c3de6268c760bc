"""Panel: a `View` in, the words of one language for all that it shows out; pure."""

from dataclasses import dataclass, fields

from calllog.panel.view import (
    CallStanding,
    CallView,
    Happened,
    MeasureView,
    MicrophoneState,
    Moment,
    Subject,
    View,
    WayOn,
)
from calllog.panel.words import (
    caller,
    conditions_in_words,
    consequence_line,
    event_line,
    figures,
    length_text,
    question,
)
from calllog.tape import PARTED
from calllog.values import Call, Finding, Kind, LineSettings, Question, Segment, Style
from calllog.wording.catalogue import Words

HIDDEN = "…"
JOINTS = {Style.ADD: " + ", Style.CUT: " - "}


@dataclass(frozen=True, slots=True)
class CallText:
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
    number: int
    """Of the call, within its job."""
    has_sound: bool


@dataclass(frozen=True, slots=True)
class WayText:
    """Something that may be done now (see `WayOn`)."""

    name: str
    does: str
    say: str
    key: str


@dataclass(frozen=True, slots=True)
class MicrophoneText:
    """How a microphone is heard (see `MicrophoneState`)."""

    name: str
    level_dbfs: float
    noise_dbfs: float
    warning: str
    """Empty if all is well."""


@dataclass(frozen=True, slots=True)
class MeasureText:
    """A measurement as far as it has been called, in figures."""

    made_of: str = ""
    """Such as "33 + .87", or "__ + .87" while a part lacks; empty where one end reads all."""
    length: str = ""
    """Such as "33.87"; empty while a part lacks."""

    def __str__(self) -> str:
        """Write both, as far as they are known."""
        return " = ".join(each for each in (self.made_of, self.length) if each)


@dataclass(frozen=True, slots=True, kw_only=True)
class ViewText(Moment):
    """A view in words; what is not said here is said of `View`."""

    tape: str
    expected: str
    calls: tuple[CallText, ...]
    take: MeasureText
    check: MeasureText
    struck: tuple[str, ...]
    verdict: str
    remedy: str
    may: tuple[WayText, ...]
    conditions: tuple[str, ...]
    microphones: tuple[MicrophoneText, ...]
    notices: tuple[str, ...]


def say_view(view: View, words: Words) -> ViewText:
    """Put a view in words."""
    settings = view.settings
    words = words.measured_in(settings.unit)
    return ViewText(
        **{each.name: getattr(view, each.name) for each in fields(Moment)},
        tape=words(
            "screen-tape",
            tape=settings.tape,
            length=settings.nominal,
            style=settings.style.value,
        ),
        expected=words.say(view.expected),
        calls=tuple(_call(each, words) for each in view.calls),
        take=_measure(view.take, settings, words),
        check=_measure(view.check, settings, words),
        struck=tuple(map(settings.unit.text, view.struck)),
        verdict="; ".join(_verdict(each, words) for each in view.verdict),
        remedy=_remedy(view, words),
        may=tuple(_way(each, words) for each in view.may),
        conditions=conditions_in_words(view.conditions, words),
        microphones=tuple(_microphone(each, words) for each in view.microphones),
        notices=tuple(map(words.say, view.notices)),
    )


def lines_of(happened: Happened, words: Words) -> tuple[str, ...]:
    """Write an event and what followed as lines of a log."""
    event = happened.event
    if happened.is_hidden and isinstance(event, Call):
        event = event.model_copy(update={"text": "", "reason": None})
    followed = (consequence_line(each, words) for each in happened.followed)
    return (event_line(event, words), *followed)


def _call(shown: CallView, words: Words) -> CallText:
    call = shown.call
    said = _remark(call, words) if call.kind is Kind.REMARK else call.text
    return CallText(
        who=caller(call.role, words),
        words=HIDDEN if shown.is_hidden else said,
        figures=HIDDEN if shown.is_hidden else figures(call, words.unit),
        standing=shown.standing,
        is_keyed=call.is_keyed,
        probability=call.probability,
        number=call.number,
        has_sound=bool(call.clip) and not shown.is_hidden,
    )


def _remark(call: Call, words: Words) -> str:
    """Show a remark that was written; one that was said is sound alone."""
    return words("screen-remark-written", text=call.text) if call.text else words("screen-remark")


def _measure(measure: MeasureView, settings: LineSettings, words: Words) -> MeasureText:
    """Show a measurement with the length that follows from it, where that is not the reading."""
    unit = settings.unit
    length = "" if measure.length is None else unit.text(measure.length)
    is_begun = measure.whole is not None or measure.fraction is not None
    if is_begun and (settings.style in PARTED or not length):
        whole = "__" if measure.whole is None else str(measure.whole // unit.counts)
        lacks = "_" * unit.digits
        fraction = lacks if measure.fraction is None else unit.part(measure.fraction)
        return MeasureText(f"{whole}{JOINTS.get(settings.style, '')}.{fraction}", length)
    if measure.reading is not None and measure.held:
        facts = {"reading": measure.reading, "held": measure.held}
        return MeasureText(words("screen-read-and-held", **facts), length)
    return MeasureText(length=length)


def _verdict(about: Subject, words: Words) -> str:
    match about:
        case Finding():
            return words.finding(about)
        case Question():
            return question(about, words)
        case Segment():
            return _booked(about, words)
        case _:
            return words.say(about)


def _remedy(view: View, words: Words) -> str:
    """Say what to do: what the view says, else what a finding does."""
    if view.remedy is not None:
        return words.say(view.remedy)
    found = (each for each in view.verdict if isinstance(each, Finding))
    return "; ".join(words.remedy(each) for each in found)


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


def _way(way: WayOn, words: Words) -> WayText:
    return WayText(way.name, words.say(way.does), way.say, way.key)


def _microphone(microphone: MicrophoneState, words: Words) -> MicrophoneText:
    return MicrophoneText(
        name=words("crew-role", role=microphone.name),
        level_dbfs=microphone.level_dbfs,
        noise_dbfs=microphone.noise_dbfs,
        warning="; ".join(map(words.say, microphone.warnings)),
    )
