"""A call and what followed from it in, the tone and the words that the crew hears out; pure.

Closed loop, as in radiotelephony: call, read-back, silence is consent. A result says more than the
read-back of the call that brought it, and stands in its place.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

from calllog.readback.figures import (
    say_count,
    say_decimal,
    say_hundredths,
    say_length,
    say_part,
    say_text,
)
from calllog.readback.tones import Tone
from calllog.spoken import Grammar
from calllog.spoken.grammar import SLOT
from calllog.units import in_unit
from calllog.values import (
    NUMBERS,
    Booking,
    Call,
    Consequence,
    Finding,
    Held,
    Kind,
    Outcome,
    Question,
    Reopened,
    Role,
    Segment,
    Severity,
    Void,
    message,
)


class Verbosity(StrEnum):
    """How much is spoken; every tone sounds in each."""

    TONES = "tones"
    """Tones and not one word: stops and questions are read on the screen."""
    RESULTS = "results"
    """Words for results, questions, stops, conditions and what was scratched."""
    ALL = "all"
    """Every accepted call is read back as well."""


class Notice(StrEnum):
    """What the crew is told about its devices, not about a call; codes of messages."""

    MICROPHONE_LOST = "device-microphone-lost"
    MICROPHONE_BACK = "device-microphone-back"
    SOUND_LOST = "sound-was-lost"
    TOO_LOUD = "device-too-loud"
    TOO_FAR = "device-too-faint"
    TOO_NOISY = "device-too-noisy"
    DISK_SLOW = "device-disk-slow"
    DISK_BACK = "device-disk-back"


@dataclass(frozen=True, slots=True)
class Saying:
    """What is heard at once: a tone, then words; neither of them is silence."""

    tone: Tone | None
    words: str
    """Lower-case words; "," and "." after a word are pauses."""
    is_read_back: bool = False
    """Only repeats a call, so that a newer one may take its place."""
    rest: str = ""
    """All of the words, said on request, where `words` are only the first of them."""
    caller: Role = field(default=Role.UNSAID, compare=False)
    """Who called the number that brought a result."""
    number: str = field(default="", compare=False)
    """That number as words, which the result itself does not repeat."""

    ear: Role = Role.UNSAID
    """In whose ear alone it is said, where each has one of their own; in all if unsaid."""

    def for_ear(self, role: Role) -> str:
        """Give the words for one person's ear: the other one's number first, then the verdict."""
        is_others = self.number and self.caller is not Role.UNSAID and self.caller is not role
        return f"{self.number}. {self.words}" if is_others and self.words else self.words

    @property
    def whole(self) -> Saying:
        """The same with all of its words."""
        return replace(self, words=self.rest or self.words, rest="")

    @property
    def is_silent(self) -> bool:
        """There is nothing to hear."""
        return self.tone is None and not self.words


HOLDERS = frozenset({"head-holds", "rear-holds", "caller-holds"})
"""Commands that tell who holds the whole mark."""
SILENCE = Saying(None, "")
AT_LENGTH = 12
"""Words that a question may have to be put at length, the first time: about 4 s."""
FIRMLY_AFTER = 2
"""A question that was put so often is put firmly: who goes on calling loses every call."""
TURNED = "placed-anew"
"""Code of the note that says who holds the mark."""
WHICH_PULL = "which-pull"
"""Code of the question which pull a take is of: it says what was found."""
AGAIN = "told-tried-again"
"""Code of what is said of a number that begins a pull again; it belongs to its read-back."""
RANK = (Tone.HEARD, Tone.AGREES, Tone.QUESTION, Tone.STOP)
"""Where several things follow from one call, the tone of the last of these sounds."""


def answer(
    grammar: Grammar,
    call: Call | None,
    consequences: Sequence[Consequence],
    *,
    verbosity: Verbosity = Verbosity.ALL,
    calls: Sequence[Call] = (),
    asked: Container[str] = (),
    unanswered: Sequence[str] = (),
    opens: int = 0,
) -> Saying:
    """Say what became of a call.

    Only take and check that agree sound as *agrees*: what the chief kept, or what was booked
    unchecked, is *heard*.

    Args:
        grammar: whose words are spoken.
        call: the call; None where a decision or a condition came another way.
        consequences: what followed, in order.
        verbosity: how much is spoken.
        calls: the job's calls, in which those that were scratched are found.
        asked: codes of the questions that this crew has heard at length: they are put in a few
            words now.
        unanswered: codes of the questions that were put while one stands, in order: put again, it
            says how it is answered, and from the third time that nothing else is taken.
        opens: the pull that a condition counts for, where that must be said; 0 where it is plain.

    Returns:
        The tone and the words; silence for talk that is no call.
    """
    if call is not None and (call.outcome is Outcome.IGNORED or call.kind is Kind.CHATTER):
        return SILENCE
    told = list(_told(grammar, call, consequences, calls, asked=asked, unanswered=unanswered))
    tone = max((tone for tone, _ in told), key=RANK.index, default=Tone.HEARD)
    longer = dict(_longer(grammar, consequences, asked, unanswered))
    results = [text for _, text in told if text != grammar.words(AGAIN)]
    if verbosity is Verbosity.TONES:
        return Saying(tone, "", is_read_back=not results)
    words = [each for _, each in told]
    is_result = any(
        isinstance(each, Segment | Question | Held | Void)
        or (isinstance(each, Finding) and each.severity is Severity.STOP)
        for each in consequences
    )
    is_condition = call is not None and (call.kind is Kind.CONDITION or call.name in HOLDERS)
    is_wanted = verbosity is Verbosity.ALL or is_condition
    is_told = says_whole(call, consequences)
    if call is not None and not is_result and is_wanted and not is_told:
        said = read_back(grammar, call)
        pull = say_count(grammar, opens)
        is_told_pull = bool(opens) and grammar.words(AGAIN) not in words
        told_so = grammar.words("told-for-pull", pull=pull, said=said)
        words.insert(0, told_so if is_told_pull else said)
    rest = ". ".join(filter(None, (longer.get(each, each) for each in words))) if longer else ""
    # a condition, and who holds the mark, count for long: no later call takes their place
    is_read_back = not results and not is_condition
    said = ". ".join(filter(None, words))
    is_apart = call is not None and call.kind in NUMBERS and is_result and is_wanted
    number = read_back(grammar, call) if is_apart and call is not None else ""
    caller = call.role if call is not None else Role.UNSAID
    return Saying(tone, said, is_read_back=is_read_back, rest=rest, caller=caller, number=number)


def says_whole(call: Call | None, consequences: Sequence[Consequence]) -> bool:
    """Tell whether a note says what a call would be read back as: who holds, the whole length."""
    notes = [e for e in consequences if isinstance(e, Finding) and e.code == TURNED]
    if call is None or not notes:
        return False
    if call.kind in NUMBERS:
        return notes[-1].facts.get("reading", -1) != -1
    return call.name in HOLDERS and notes[-1].facts.get("holder") in {Role.HEAD, Role.REAR}


def notice(grammar: Grammar, what: Notice, *, verbosity: Verbosity = Verbosity.ALL) -> Saying:
    """Warn of a device or the noise."""
    return Saying(Tone.WARN, "" if verbosity is Verbosity.TONES else grammar.words(what.value))


def unsaved(grammar: Grammar, calls: int, *, verbosity: Verbosity = Verbosity.ALL) -> Saying:
    """Tell the crew to stop, since calls are not on disk; it sounds in place of a read-back."""
    if verbosity is Verbosity.TONES:
        return Saying(Tone.STOP, "")
    count = say_count(grammar, calls)
    return Saying(Tone.STOP, grammar.words("device-stop-unsaved", calls=calls, count=count))


def read_back(  # noqa: PLR0911 - one way out for each kind of call
    grammar: Grammar, call: Call
) -> str:
    """Say a call as it was taken: its value, its command or its condition."""
    if call.kind in NUMBERS and (said := grammar.styles.get(call.name)):
        return f"{said[0]} {read_back(grammar, call.model_copy(update={'name': ''}))}"
    match call.kind, call.value:
        case Kind.WHOLE, int(value):
            return say_count(grammar, value // grammar.unit.counts)
        case Kind.FRACTION, int(value):
            return say_part(grammar, value)
        case Kind.READING, int() if call.name == "full tape":
            return grammar.terms.full_tape[0]
        case Kind.READING, int(value):
            return say_length(grammar, value)
        case Kind.NUMBER, int(value):
            return say_count(grammar, value)
        case Kind.CONDITION, _:
            return _condition(grammar, call)
        case Kind.COMMAND, _ if call.name in HOLDERS:
            named = call.name.removesuffix("-holds")
            holder = call.role.value if named == "caller" else named
            return grammar.words("told-holds", holder=holder)
        case Kind.COMMAND, _ if call.name in grammar.commands:
            return grammar.commands[call.name][0]
        case _:
            return say_text(grammar, call.text)


def rehearsal(grammar: Grammar) -> tuple[str, ...]:
    """List what a slow voice must have ready: numbers, commands, conditions and fixed words."""
    stated = (SLOT.sub("", phrase).strip() for c in grammar.conditions for phrase in c.phrases[:1])
    fixed = (phrase for phrase, _ in phrases(grammar.words("told-often")))
    return tuple(
        dict.fromkeys(
            (
                *(say_count(grammar, count) for count in range(101)),
                *(say_hundredths(grammar, count) for count in range(10)),
                *(forms[0] for forms in grammar.commands.values()),
                *stated,
                *fixed,
                grammar.terms.point[0],
            )
        )
    )


def phrases(words: str) -> tuple[tuple[str, str], ...]:
    """Split words at their pauses: each phrase with the mark that ends it, "," or "." or none."""
    found: list[tuple[str, str]] = []
    start = 0
    said = words.split()
    for index, word in enumerate(said, start=1):
        mark = word[-1] if word[-1] in ",." else ""
        if mark or index == len(said):
            found.append((" ".join(said[start:index]).rstrip(",."), mark))
            start = index
    return tuple(found)


def _told(
    grammar: Grammar,
    call: Call | None,
    consequences: Sequence[Consequence],
    calls: Sequence[Call],
    *,
    asked: Container[str],
    unanswered: Sequence[str],
) -> Iterator[tuple[Tone, str]]:
    """Word each consequence that the crew must know, with its tone."""
    words = grammar.words
    struck = {each.call for each in consequences if isinstance(each, Void)}
    if struck:
        old = ", ".join(read_back(grammar, each) for each in calls if each.number in struck)
        stands = call if call is not None and call.number not in struck else None
        yield Tone.HEARD, _struck(grammar, stands, old)
    asks = (each.asks.code for each in consequences if isinstance(each, Question))
    is_asked = WHICH_PULL in asks
    for each in consequences:
        if isinstance(each, Void):
            continue
        pull = say_count(grammar, each.pull)
        match each:
            case Segment():
                tone = Tone.AGREES if each.booking is Booking.AGREED else Tone.HEARD
                yield tone, _booked(grammar, each, pull)
            case Question():
                yield Tone.QUESTION, _ask(grammar, each, asked, unanswered)
            case Finding():
                yield from _found(grammar, each, is_asked=is_asked)
            case Held():
                yield Tone.QUESTION, words("told-held", pull=pull)
            case Reopened():
                yield Tone.HEARD, words("told-open-again", pull=pull)
            case _:
                pass


def _found(grammar: Grammar, found: Finding, *, is_asked: bool) -> Iterator[tuple[Tone, str]]:
    """Word a stop, and a note that the crew must do something about; not one that is asked."""
    words = grammar.words
    if found.severity is Severity.STOP:
        yield Tone.STOP, _stop(grammar, found)
    elif found.code == "tried-again":
        yield Tone.HEARD, words(AGAIN)
    elif (remedy := words.remedy(found)) and not is_asked:
        yield Tone.HEARD, say_text(grammar, f"{words.finding(found)}. {remedy}")


def _ask(
    grammar: Grammar, question: Question, asked: Container[str], unanswered: Sequence[str]
) -> str:
    """Put a question: at length the first time, then in words that are over before it is missed.

    One that is long is put in few words from the first: the crew works, and the rest is said on
    request and stands on the screen. Where these do not say how it is answered, and it stands
    after another call, that is said in their place, and after two that nothing else is taken.
    """
    words = grammar.words
    times = unanswered.count(question.asks.code)
    if times and (how := words.how_to_answer(question, is_firm=times >= FIRMLY_AFTER)):
        return say_text(grammar, how)
    at_length = say_text(grammar, words.question(question))
    if question.asks.code in asked or len(at_length.split()) > AT_LENGTH:
        return say_text(grammar, words.short_question(question))
    return at_length


def _longer(
    grammar: Grammar,
    consequences: Sequence[Consequence],
    asked: Container[str],
    unanswered: Sequence[str],
) -> Iterator[tuple[str, str]]:
    """Give what is put in a few words, and the same at length."""
    for each in consequences:
        if isinstance(each, Finding) and each.severity is Severity.STOP:
            yield _stop(grammar, each), _at_length(grammar, each)
        elif isinstance(each, Question):
            at_length = say_text(grammar, grammar.words.question(each))
            yield _ask(grammar, each, asked, unanswered), at_length


def _stop(grammar: Grammar, found: Finding) -> str:
    """Say a stop in about three words, which are heard before anyone has moved on."""
    return grammar.words("told-stop-first", short=grammar.words.short(found))


def _at_length(grammar: Grammar, found: Finding) -> str:
    """Say a stop with what differs and what to do."""
    words = grammar.words
    pull, remedy = say_count(grammar, found.pull), words.remedy(found)
    text = words("told-stop", pull=pull, finding=words.finding(found), remedy=remedy)
    return say_text(grammar, text)


def _struck(grammar: Grammar, call: Call | None, old: str) -> str:
    """Say what was struck, and what stands in its place if a number does."""
    words = grammar.words
    if not old:
        return words("told-scratched-that")
    if call is not None and call.kind in NUMBERS:
        return words("told-replaced", new=read_back(grammar, call), old=old)
    return words("told-scratched", old=old)


def _booked(grammar: Grammar, segment: Segment, pull: str) -> str:
    """Say what is booked, and how; the mean of two may lie between two least counts."""
    read = in_unit(segment.length_read_ft, grammar.unit)
    counts, half = divmod(round(2 * grammar.unit.counts * read), 2)
    return grammar.words(
        "told-booked",
        pull=pull,
        booking=segment.booking.value,
        length=say_length(grammar, counts),
        half=half,
    )


def _falls(grammar: Grammar, name: str) -> bool:
    """Tell whether a condition has words of its own below zero, such as "fall" for a rise."""
    return any(each.name == name and each.below_zero for each in grammar.conditions)


def _condition(grammar: Grammar, call: Call) -> str:
    """Say a condition by its first phrase, the amount in its slot."""
    amount = call.amount or 0.0
    size = abs(amount) if _falls(grammar, call.name) else amount
    slots = {
        "{number}": f"{size:g}",
        "{decimal}": f"{size:g}",
        "{whole}": f"{size:g}",
        "{reading}": f"{size:.2f}",
    }
    named = [each for each in grammar.conditions if each.name == call.name]
    for condition in named:
        if condition.amount == amount:
            return condition.phrases[0]
    for condition in named:
        pattern = condition.phrases[0]
        slot = next((slot for slot in slots if slot in pattern), None)
        is_its = condition.below_zero == (amount < 0) or size != abs(amount)
        if condition.amount is None and slot and is_its:
            return say_text(grammar, pattern.replace(slot, slots[slot]))
    return grammar.words(
        "told-condition",
        name=message("crew-condition", name=call.name),
        sign="minus" if amount < 0 else "plus",
        amount=say_decimal(grammar, f"{abs(amount):g}"),
    )
