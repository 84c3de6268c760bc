"""Journal entries in, the state and the segments that follow from them out.

Nothing but the inputs (tape, line, condition, call, decision) counts: the consequences are
computed again and compared with those recorded, so a journal shows whether its segments follow
from its calls.

A corrected certificate is one more entry, which names the one that it replaces. No segment depends
on it (those keep the length read), so the replay is the same with it; the corrections, which are
computed from the segments whenever they are asked for, follow the certificate in force.
"""

import math
from collections import Counter, deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date
from itertools import pairwise
from typing import NamedTuple, TypeGuard, TypeVar

from pydantic import JsonValue

from calllog.about import About, Amended, Amendment, changes, holders
from calllog.errors import Fault, JournalError
from calllog.journal import Entry, Rescue
from calllog.lines import beyond_line, noted_before
from calllog.pairing import (
    Event,
    Phase,
    State,
    StyleKnown,
    carried,
    pulls_ahead,
    running_on,
    start,
    step,
    unknown_edition,
)
from calllog.session.consent import (
    Consent,
    Expunged,
    RemarkWords,
    Removed,
    Voices,
    is_typed_remark,
    own_part,
    without_sound,
)
from calllog.session.format_1 import FORMAT as FORMAT_1
from calllog.session.format_1 import content_in_format_1
from calllog.session.hashes import EntryHashes
from calllog.session.kinds import (
    FOLLOWS,
    EngineUsed,
    FieldDay,
    Opened,
    PhoneAsked,
    PhoneHolds,
    PhonePaired,
    PhoneRevoked,
    RecordingTaken,
    SignOff,
    Sitting,
    Stamp,
    TapeCorrection,
    VoiceKnown,
    content_of,
    known_kind,
    read_body,
)
from calllog.tape import Certificate
from calllog.units import hundredths
from calllog.values import (
    HUNDREDTHS,
    BookPolicy,
    Call,
    Conditions,
    Consequence,
    Decision,
    Frozen,
    Holders,
    Kind,
    LineNote,
    LineSettings,
    Outcome,
    Question,
    Remark,
    Reopened,
    Role,
    RunName,
    Segment,
    Style,
    Void,
)

BEGIN_NEXT = "begin one: `calllog listen JOB --tape TAPE.toml --line A:B`"

EVENTS = frozenset({"call", "decision", "condition"})
"""Kinds of the entries that move a pull."""
PHONE = "phone "
"""Stands before who it was in the source of a call that was typed on a phone."""
LIVE = "live-"
"""Stands before the number of a sitting in the source of its calls."""
Told = TypeVar("Told", LineNote, Remark)
RECENT = 32
"""Events of which it is remembered what followed: more than a pull has calls."""


def _unread(_: RemarkWords) -> str:
    return ""


class Edition(Frozen):
    """A certificate of a tape, with the entry that holds it."""

    sequence: int
    certificate: Certificate
    by: str = ""
    """Who corrected it; empty for the first one."""
    why: str = ""
    time_utc: str = ""
    """When it was written into the journal, ISO 8601 with its zone."""


class Placed(NamedTuple):
    """When a call was written into the journal, and where the crew was then."""

    time_utc: str
    """ISO 8601 with its zone."""
    run: RunName
    """Where the line begins and ends, and which run in that direction."""
    pull: int
    """The pull in progress."""


@dataclass
class Replay:
    """What a journal says, computed again."""

    state: State | None = None
    segments: list[Segment] = field(default_factory=list)
    runs: list[int] = field(default_factory=list)
    """For each segment, which run between its two points, in that direction, from 1."""
    booked_on: list[str] = field(default_factory=list)
    """For each segment, the day of the field work, ISO 8601; empty if none was stated before."""
    held_by: list[Holders] = field(default_factory=list)
    """For each segment, who held which end, by the names in force when it was recorded."""
    policies: list[BookPolicy] = field(default_factory=list)
    """For each segment, what its line records when first and check agree."""
    about: About = field(default_factory=About)
    """The facts of the job in force."""
    begun_with: About = field(default_factory=About)
    """The facts that the files stated which the work was begun with; later amendments apart."""
    amended: list[Amended] = field(default_factory=list)
    """Each time that facts were stated, in order."""
    finished: Counter[tuple[str, str]] = field(default_factory=Counter)
    """How often a line was finished."""
    left: list[tuple[RunName, int]] = field(default_factory=list)
    """Pulls that were begun and not recorded when another line was, each with its line's run."""
    begun: dict[RunName, None] = field(default_factory=dict)
    """The lines begun, each with its run, in order; one that goes on stands once."""
    recorded_at: list[str] = field(default_factory=list)
    """For each segment, when it was recorded, ISO 8601 with its zone."""
    placed: dict[int, Placed] = field(default_factory=dict)
    """When each call was written into the journal and in which pull it came, by its number."""
    struck: set[int] = field(default_factory=set)
    """Numbers of the calls that were scratched."""
    editions: dict[str, list[Edition]] = field(default_factory=dict)
    """The certificates of each tape, by its identity; the last one is in force."""
    styles: dict[tuple[str, Style], StyleKnown] = field(default_factory=dict)
    """What is known of how each tape reads, by its identity and the style of its certificate."""
    calls: list[Call] = field(default_factory=list)
    notes: list[LineNote] = field(default_factory=list)
    """The station and offset notes that stand, in order."""
    remarks: list[Remark] = field(default_factory=list)
    signed: list[SignOff] = field(default_factory=list)
    since_signed: list[tuple[int, str]] = field(default_factory=list)
    """Sequence and kind of each entry after the first sign-off that is none itself, nor a stamp."""
    stamps: list[Stamp] = field(default_factory=list)
    """What authorities saw when, as their time stamps say; not checked here."""
    hashes: EntryHashes = field(default_factory=EntryHashes)
    """Hash of each entry, by its sequence."""
    rescued: list[tuple[str, Rescue]] = field(default_factory=list)
    """When the entries so far were carried over from a damaged job, and what of them."""
    origin: str = ""
    """Hash of the first entry, which no other job has; copies share it."""
    opened: Opened | None = None
    """What the first entry says; None in a journal that has none."""
    recordings: dict[str, str] = field(default_factory=dict)
    """SHA-256 of each recording taken in, by its file's name."""
    missing: list[Consequence] = field(default_factory=list)
    """Consequences of the last inputs that are not recorded yet (the program was killed)."""
    wrong: str = ""
    """First recorded consequence that does not follow from the inputs, in plain words."""
    wrong_at: int | None = None
    """Sequence of that entry."""
    grammar: str = ""
    """Name of the grammar in use last; empty if the journal names none."""
    spoken: dict[Role, tuple[str, ...]] = field(default_factory=dict)
    """By which grammars a person calls who does not call by that one."""
    engines: list[str] = field(default_factory=list)
    """What heard the calls, each once."""
    days: list[date] = field(default_factory=list)
    """Days of the field work, in the order of the work: one may come again."""
    zones: list[tuple[str, str]] = field(default_factory=list)
    """From when on [UTC, ISO 8601] the computer's zone added what to UTC (``-06:00``)."""
    speakers: dict[Role, VoiceKnown] = field(default_factory=dict)
    """Whose voice each microphone's is said to be, by whose it is."""
    sittings: int = 0
    """How often a crew began to work live."""
    kit: dict[str, JsonValue] = field(default_factory=dict)
    """The devices used last: names of microphones, roles of their channels, keypads; and the
    conditions stated on the command line of the last sitting."""
    phones: dict[str, PhonePaired] = field(default_factory=dict)
    """The pairings that the journal tells of, by the key of the phone. Anybody can write such an
    entry: which of them count is for `calllog.phone.guests` to say."""
    holding: dict[Role, str] = field(default_factory=dict)
    """Key of the phone that was head's or rear's last."""
    revoked: set[str] = field(default_factory=set)
    """Keys of phones that were revoked; none of them is paired again, but for those of format 1."""
    asked_by: dict[str, tuple[str, bool]] = field(default_factory=dict)
    """What phones asked for, by `asked`: who it was, and whether it was taken."""
    asked_last: str = ""
    """Which of that may be taken next; empty if none."""
    taken: int = 0
    """How many events were fed to the machine."""
    recent: deque[tuple[Event, tuple[Consequence, ...]]] = field(
        default_factory=lambda: deque(maxlen=RECENT)
    )
    """The last events and what followed from each."""
    voices: Voices = field(default_factory=Voices)
    """Who agreed to what sound being kept, and what was removed again."""
    kept_words: dict[int, RemarkWords] = field(default_factory=dict)
    """Where the words of each typed remark are kept, by the number of its call."""
    read_words: Callable[[RemarkWords], str] = field(default=_unread, compare=False)
    """Reads them; the journal itself does not hold them."""

    @property
    def identity(self) -> str:
        """Identity of the job, the same in all its copies: of an old job its first entry's hash."""
        return (self.opened.job if self.opened else "") or self.origin

    @property
    def tapes(self) -> dict[str, Certificate]:
        """The certificates in force, by the identity of the tape."""
        return {identity: editions[-1].certificate for identity, editions in self.editions.items()}

    def later(self, sign_off: SignOff) -> tuple[tuple[int, str], ...]:
        """List the entries after a sign-off that it does not cover: none of them, and no stamps."""
        return tuple(each for each in self.since_signed if each[0] > sign_off.entry)

    def tapes_before(self, sequence: int) -> dict[str, Certificate]:
        """Give the certificates in force, but of a tape that an entry corrects the one before."""
        found = self.tapes
        for identity, editions in self.editions.items():
            for before, after in pairwise(editions):
                if after.sequence == sequence:
                    found[identity] = before.certificate
        return found

    def begin_line(self, settings: LineSettings) -> None:
        """Start a line; pulls are numbered through the whole job, what runs on stays in force."""
        before = self.state
        pull = 1
        if before is not None:
            pull = before.pull
            if before.is_begun:
                self.left.append((self.run_of(before.settings), pull))
                pull += 1
            if before.phase is Phase.FINISHED:
                self.finished[self.run_of(before.settings)[:2]] += 1
        conditions, differences = (
            (before.conditions, before.differences) if before is not None else (Conditions(), ())
        )
        style = self.styles.get((settings.tape, settings.style), StyleKnown.NOT_YET)
        roles = carried(before, settings) if before is not None else None
        running = running_on(conditions, settings)
        self.begun[self.run_of(settings)] = None
        self.state = start(settings, pull, running, differences, roles, style=style)

    def record(self, event: Event, time_utc: str = "") -> tuple[Consequence, ...]:
        """Feed one event to the machine and keep what is booked, noted and remarked.

        Raises:
            JournalError: no line was begun before it.
        """
        if self.state is None:
            raise JournalError(
                "a call or decision stands before any line",
                next_step="begin the line with `calllog listen JOB --tape TAPE.toml --line A:B`",
            )
        self._place(event, self.state, time_utc)
        consequences: tuple[Consequence, ...] = self._off_line(event, self.state)
        if not consequences:
            result = step(self.state, event)
            self.state, consequences = result.state, result.consequences
            settings = self.state.settings
            self.styles[settings.tape, settings.style] = self.state.style
            if isinstance(event, Call):
                self._keep(event, result.state, time_utc)
        self.taken += 1
        self.recent.append((event, consequences))
        if isinstance(event, Call):
            self.calls.append(event)
            if event.clip:
                self.voices.hear(event)
        for consequence in consequences:
            if isinstance(consequence, Segment):
                self.segments.append(consequence)
                self.runs.append(self.run_of(self.state.settings)[2])
                self.booked_on.append(self.days[-1].isoformat() if self.days else "")
                self.recorded_at.append(time_utc)
                held = holders(self.about, is_checked=consequence.check is not None)
                is_turned = consequence.pull in self.state.turned
                self.held_by.append(held.turned if is_turned else held)
                self.policies.append(self.state.settings.book)
            elif isinstance(consequence, Reopened):
                self.segments.pop()
                self.runs.pop()
                self.booked_on.pop()
                self.recorded_at.pop()
                self.held_by.pop()
                self.policies.pop()
            elif isinstance(consequence, Void):
                self.struck.add(consequence.call)
                self.notes = [each for each in self.notes if each.call != consequence.call]
        return consequences

    def _place(self, event: Event, state: State, time_utc: str) -> None:
        """Keep when a call came, and in which pull."""
        if isinstance(event, Call):
            self.placed[event.number] = Placed(time_utc, self.run_of(state.settings), state.pull)

    def _off_line(self, event: Event, state: State) -> tuple[Question, ...]:
        """Ask for a note again whose station cannot be on the line yet."""
        if not _is_note(event):
            return ()
        settings = state.settings
        taped_ft = math.fsum(self.lengths_ft(settings))
        within = (pulls_ahead(state) + 1) * settings.nominal * HUNDREDTHS
        taped = hundredths(taped_ft, settings.unit)
        asks = event.note and beyond_line(event.note, taped, within)
        return (Question(pull=state.pull, role=event.role, asks=asks),) if asks else ()

    def _keep(self, call: Call, state: State, time_utc: str) -> None:
        """Keep a note or a remark."""
        on = self.run_of(state.settings)._asdict()
        if _is_note(call) and call.note is not None:
            self.notes.append(
                LineNote(
                    **on,
                    note=call.note,
                    call=call.number,
                    clip=call.clip,
                    time_utc=time_utc,
                )
            )
        elif call.kind is Kind.REMARK:
            noted = noted_before(self.calls, call)
            stands = any(each.call == noted for each in self.notes)
            self.remarks.append(
                Remark(
                    **on,
                    pull=state.pull,
                    call=call.number,
                    clip=call.clip,
                    time_utc=time_utc,
                    note=noted if stands else None,
                )
            )

    def run_of(self, settings: LineSettings) -> RunName:
        """Name a line's run: its two points, and which one between them it is in."""
        ends = settings.line_from, settings.line_to
        return RunName(*ends, self.finished[ends] + 1)

    def lengths_ft(self, settings: LineSettings) -> tuple[float, ...]:
        """Collect the lengths read of what is booked of a line's run that is being taped."""
        here = self.run_of(settings)
        return tuple(
            segment.length_read_ft
            for segment, run in zip(self.segments, self.runs, strict=True)
            if RunName(segment.line_from, segment.line_to, run) == here
        )

    def require_state(self, where: str = "") -> State:
        """Give where the line stands; JournalError, naming the job, if none has been begun."""
        if self.state is None:
            raise JournalError(
                "no line has been begun in this job", where=where, next_step=BEGIN_NEXT
            )
        return self.state

    def feed(self, entry: Entry) -> None:
        """Take one entry: an input moves the state, a recorded consequence is compared.

        Raises:
            JournalError: its body is not what its kind requires.
        """
        follows = known_kind(entry).follows
        value = None if follows else read_body(entry)
        self.origin = self.origin or entry.hash
        self.hashes.add(entry.sequence, entry.hash)
        if self.signed and not isinstance(value, SignOff | Stamp):
            self.since_signed.append((entry.sequence, entry.kind))
        if value is None:
            self._compare(entry)
        else:
            self._follow(entry, value)

    def _follow(self, entry: Entry, value: Frozen) -> None:
        match value:
            case Call() | Decision() | Conditions():
                self._settle(entry)
                self._take_asked(entry)
                self.missing += self.record(self._worded(value), entry.time_utc)
            case LineSettings():
                self._begin_line(entry, value)
            case Certificate():
                self._state_tape(entry, value)
            case TapeCorrection():
                self._correct_tape(entry, value)
            case SignOff():
                self._sign(entry, value)
            case Amendment():
                self._amend(entry, value)
            case Stamp():
                self._stamp(entry, value)
            case Rescue():
                self.rescued.append((entry.time_utc, value))
            case Consent() | RemarkWords() | Expunged():
                self._heed(entry, value)
            case _:
                self._remember(entry, value)

    def _begin_line(self, entry: Entry, settings: LineSettings) -> None:
        self._settle(entry)
        if unknown := unknown_edition(settings):
            raise JournalError(
                f"entry {entry.sequence} decides by {unknown}, which this calllog does not know",
                next_step="open the job with the calllog that made it, or a later one",
            )
        tape = self.tapes.get(settings.tape)
        if tape is not None and tape.unit is not settings.unit:
            words = (
                f"entry {entry.sequence} begins a line in {settings.unit.plural} on tape"
                f" {settings.tape}, which is in {tape.unit.plural}"
            )
            self._doubt(entry, Fault(words, "fault-unit", entry=entry.sequence, tape=settings.tape))
        self.begin_line(settings)

    def _state_tape(self, entry: Entry, certificate: Certificate) -> None:
        editions = self.editions.setdefault(certificate.identity, [])
        if editions:
            words = f"entry {entry.sequence} states a tape again, replacing nothing"
            self._doubt(entry, Fault(words, "fault-tape-again", entry=entry.sequence))
        editions.append(
            Edition(sequence=entry.sequence, certificate=certificate, time_utc=entry.time_utc)
        )

    def _correct_tape(self, entry: Entry, stated: TapeCorrection) -> None:
        editions = self.editions.setdefault(stated.tape.identity, [])
        if not editions or editions[-1].sequence != stated.replaces:
            words = (
                f"entry {entry.sequence} replaces entry {stated.replaces}, which is not the"
                f" certificate in force of tape {stated.tape.identity}"
            )
            fault = Fault(
                words,
                "fault-replaces",
                entry=entry.sequence,
                replaces=stated.replaces,
                tape=stated.tape.identity,
            )
            self._doubt(entry, fault)
        editions.append(
            Edition(
                sequence=entry.sequence,
                certificate=stated.tape,
                by=stated.by,
                why=stated.why,
                time_utc=entry.time_utc,
            )
        )

    def _sign(self, entry: Entry, stated: SignOff) -> None:
        if (stated.entry, stated.state_hash) != (entry.sequence - 1, entry.previous):
            words = f"entry {entry.sequence} signs another state than the one before it"
            self._doubt(entry, Fault(words, "fault-signs-other", entry=entry.sequence))
        if stated.is_signed and not stated.is_good(self.origin):
            key = f"key {stated.fingerprint}" if stated.fingerprint else "what is no key"
            words = (
                f"entry {entry.sequence} is signed by {stated.by} with {key}"
                f" up to entry {stated.entry}, signature bad"
            )
            facts = {"entry": entry.sequence, "signed": stated.entry}
            self._doubt(entry, Fault(words, "fault-signature", by=stated.by, **facts))
        self.signed.append(stated)

    def _stamp(self, entry: Entry, stated: Stamp) -> None:
        if stated.entry >= entry.sequence or self.hashes.get(stated.entry) != stated.state_hash:
            what = "a time stamp over something that is not an earlier entry"
            words = f"entry {entry.sequence} holds {what}"
            self._doubt(entry, Fault(words, "fault-stamp", entry=entry.sequence))
        self.stamps.append(stated)

    def _amend(self, entry: Entry, stated: Amendment) -> None:
        before, self.about = self.about, self.about.amended(stated)
        if stated.at_start:
            self.begun_with = self.begun_with.amended(stated)
        found = changes(before, self.about)
        self.amended.append(Amended(entry.sequence, entry.time_utc, stated, found))

    def _remember(self, entry: Entry, value: Frozen) -> None:
        """Keep what moves no pull."""
        if isinstance(value, Opened | RecordingTaken | Sitting) and value.zone:
            self.zones.append((entry.time_utc, value.zone))
        match value:
            case Opened():
                self.opened = self.opened or value
            case RecordingTaken():
                self.recordings[value.name] = value.sha256
                self.voices.roles[value.name] = value.roles
            case VoiceKnown():
                self.speakers[value.role] = value
            case Sitting():
                self.sittings += 1
                self.voices.roles[f"{LIVE}{value.number}"] = _roles(value)
                self.kit |= value.model_dump(mode="json", exclude_unset=True)
                self.grammar = value.grammar or self.grammar
            case FieldDay():
                self.days.append(value.date)
            case EngineUsed():
                self.grammar = value.grammar or self.grammar
                named = {Role.HEAD: value.head_grammar, Role.REAR: value.rear_grammar}
                self.spoken = {role: tuple(each.split(",")) for role, each in named.items() if each}
                if value.identity not in self.engines:
                    self.engines.append(value.identity)
            case _:
                self._remember_phone(value)

    def _remember_phone(self, value: Frozen) -> None:
        match value:
            case PhonePaired():
                if not value.phone or value.key not in self.revoked:
                    self.phones[value.key] = value
            case PhoneHolds():
                self.holding[value.role] = value.key
            case PhoneRevoked():
                self.phones.pop(value.key, None)
                self.revoked.add(value.key)
            case PhoneAsked():
                self.asked_last = asked(value.phone, value.id)
                self.asked_by[self.asked_last] = (value.who, False)
            case _:
                pass

    def _heed(self, entry: Entry, value: Consent | RemarkWords | Expunged) -> None:
        """Follow what persons agreed to, and asked for."""
        match value:
            case Consent():
                self.voices.agree(value)
            case RemarkWords():
                self.kept_words[value.call] = value
            case Expunged():
                self._expunge(entry, value)

    def _worded(self, event: Event) -> Event:
        """Give a typed remark its words, which the journal does not hold."""
        kept = self.kept_words.get(event.number) if isinstance(event, Call) else None
        if kept is None or not isinstance(event, Call) or not is_typed_remark(event):
            return event
        return event.model_copy(update={"text": self.read_words(kept)})

    def _expunge(self, entry: Entry, value: Expunged) -> None:
        """Leave out what was removed, wherever it would be told."""
        value = own_part(value, self.calls, self.kept_words)
        gone = set(value.calls)
        self.calls = [without_sound(one) if one.number in gone else one for one in self.calls]
        self.notes = [_silent(one) if one.call in gone else one for one in self.notes]
        self.remarks = [_silent(one) if one.call in gone else one for one in self.remarks]
        said = (
            (without_sound(one) if isinstance(one, Call) and one.number in gone else one, followed)
            for one, followed in self.recent
        )
        self.recent = deque(said, maxlen=RECENT)
        self.voices.remove(Removed(entry.sequence, entry.time_utc, value))

    def _take_asked(self, entry: Entry) -> None:
        """Count what a phone asked for last as taken, if an event is what came of it."""
        who, is_taken = self.asked_by.get(self.asked_last, ("", True))
        if is_taken or not isinstance(entry.content, dict):
            return
        source = str(entry.content.get("source", ""))
        if entry.content.get("by") == who or source.endswith(f"#{PHONE}{who}"):
            self.asked_by[self.asked_last] = (who, True)

    def _compare(self, entry: Entry) -> None:
        expected = self.missing.pop(0) if self.missing else None
        if expected is None or (FOLLOWS[type(expected)], self._written(entry, expected)) != (
            entry.kind,
            entry.content,
        ):
            words = f"entry {entry.sequence} ({entry.kind}) does not follow from the calls"
            fault = Fault(words, "fault-does-not-follow", entry=entry.sequence, kind=entry.kind)
            self._doubt(entry, fault)

    def _written(self, entry: Entry, expected: Consequence) -> JsonValue:
        """Give what follows as the format of an entry writes it."""
        if entry.version == FORMAT_1 and self.state is not None:
            return content_in_format_1(expected, self.state.settings.unit)
        return content_of(expected)

    def _settle(self, entry: Entry) -> None:
        if self.missing:
            kind = FOLLOWS[type(self.missing[0])]
            words = f"before entry {entry.sequence} a {kind} is missing"
            fault = Fault(words, "fault-missing-before", entry=entry.sequence, kind=kind)
            self._doubt(entry, fault)
            self.missing = []

    def _doubt(self, entry: Entry, fault: Fault) -> None:
        if not self.wrong:
            self.wrong, self.wrong_at = fault, entry.sequence


def event_of(entry: Entry) -> Event | None:
    """Read the event that an entry records; None if it records none.

    Raises:
        JournalError: its body is not what its kind requires.
    """
    value = read_body(entry) if entry.kind in EVENTS else None
    return value if isinstance(value, Call | Decision | Conditions) else None


def asked(phone: str, identity: str) -> str:
    """Name an order: by the phone's identity and its own, which two phones may give alike."""
    return f"{phone} {identity}".strip()


def _is_note(event: Event) -> TypeGuard[Call]:
    return isinstance(event, Call) and event.kind is Kind.NOTE and event.outcome is Outcome.CALL


def _roles(sitting: Sitting) -> tuple[Role, ...]:
    """Tell who wears each channel's microphone in a sitting."""
    named = (sitting.model_extra or {}).get("roles")
    known = {role.value: role for role in Role}
    listed = map(str, named) if isinstance(named, list) else ()
    return tuple(known[each] for each in listed if each in known)


def _silent(one: Told) -> Told:
    return one.model_copy(update={"clip": ""})


def replay(entries: Iterable[Entry], begun: Replay | None = None) -> Replay:
    """Compute a job again from its journal, or go on with what was `begun` by what follows.

    Raises:
        JournalError: an entry's body is not what its kind requires.
    """
    result = Replay() if begun is None else begun
    for entry in entries:
        result.feed(entry)
    return result
