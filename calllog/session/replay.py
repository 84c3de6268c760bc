"""Journal entries in, the state and the segments that follow from them out.

Nothing but the inputs (tape, line, condition, call, decision) counts: the consequences are
computed again and compared with those recorded, so a journal proves its own segments.

A corrected certificate is one more entry, which names the one that it replaces. No segment depends
on it (those keep the length read), so the replay is the same with it; the corrections, which are
computed from the segments whenever they are asked for, follow the certificate in force.
"""

from __future__ import annotations

import json
import math
from collections import Counter, deque
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import TypeGuard

from pydantic import ConfigDict, JsonValue, ValidationError

from calllog.decoding import CALIBRATIONS
from calllog.errors import JournalError
from calllog.journal import RESCUED, Entry, Rescue
from calllog.lines import beyond_line, noted_before
from calllog.pairing import Event, Phase, State, pulls_ahead, start, step
from calllog.tape import Certificate
from calllog.units import hundredths
from calllog.values import (
    Call,
    Conditions,
    Consequence,
    Decision,
    Finding,
    Frozen,
    Held,
    Kind,
    LineNote,
    LineSettings,
    Outcome,
    Question,
    Remark,
    Reopened,
    Segment,
    Void,
)

CONSEQUENCES: dict[type[Frozen], str] = {
    Void: "void",
    Question: "question",
    Finding: "finding",
    Segment: "segment",
    Held: "held",
    Reopened: "reopened",
}
"""Kind of the entry that records a consequence."""
EVENTS: dict[str, Callable[[str], Event]] = {
    "call": Call.model_validate_json,
    "decision": Decision.model_validate_json,
    "condition": Conditions.model_validate_json,
}
PHONE = "phone "
"""Stands before the phone's name in the source of a call that was typed on one."""
RECENT = 32
"""Events of which it is remembered what followed: more than a pull has calls."""


def body(value: Frozen) -> JsonValue:
    """Give a value as a journal entry's body."""
    content: JsonValue = json.loads(value.model_dump_json())
    return content


class TapeCorrection(Frozen):
    """Body of a ``tape_corrected`` entry."""

    tape: Certificate
    replaces: int
    """Sequence of the entry that holds the certificate replaced."""
    by: str
    """Who corrected it."""
    why: str


class SignOff(Frozen):
    """Body of a ``signed`` entry: somebody stands by the journal as it was before it.

    It is a statement like any other entry, no signature that could be checked against a key.
    """

    by: str
    date: str
    """Day of signing, ISO 8601."""
    entry: int
    """Sequence of the last entry that is signed."""
    state_hash: str
    """Hash of that entry."""
    remark: str = ""


class _Kept(Frozen):
    """Body of an entry that moves nothing; a later program may state more in it."""

    model_config = ConfigDict(extra="ignore")


class _Recording(_Kept):
    name: str
    sha256: str


class _Engine(_Kept):
    identity: str
    grammar: str | None = None


class _Sitting(_Kept):
    grammar: str | None = None


class _Clock(_Kept):
    words: str


class _Day(_Kept):
    date: date


class _PhonePaired(_Kept):
    name: str
    secret_sha256: str


class _PhoneRevoked(_Kept):
    name: str


class _PhoneAsked(_Kept):
    id: str
    name: str


class Edition(Frozen):
    """A certificate of a tape, with the entry that holds it."""

    sequence: int
    certificate: Certificate
    by: str = ""
    """Who corrected it; empty for the first one."""
    why: str = ""


@dataclass
class Replay:
    """What a journal says, computed again."""

    state: State | None = None
    segments: list[Segment] = field(default_factory=list)
    runs: list[int] = field(default_factory=list)
    """For each segment, which run between its two points, in that direction, from 1."""
    booked_on: list[str] = field(default_factory=list)
    """For each segment, the day of the field work, ISO 8601; empty if none was stated before."""
    finished: Counter[tuple[str, str]] = field(default_factory=Counter)
    """How often a line was finished."""
    editions: dict[str, list[Edition]] = field(default_factory=dict)
    """The certificates of each tape, by its identity; the last one is in force."""
    calls: list[Call] = field(default_factory=list)
    notes: list[LineNote] = field(default_factory=list)
    """The station and offset notes that stand, in order."""
    remarks: list[Remark] = field(default_factory=list)
    signed: list[SignOff] = field(default_factory=list)
    since_signed: list[tuple[int, str]] = field(default_factory=list)
    """Sequence and kind of each entry after the first sign-off that is no sign-off itself."""
    rescued: list[tuple[str, Rescue]] = field(default_factory=list)
    """When the entries so far were carried over from a damaged job, and what of them."""
    origin: str = ""
    """Hash of the first entry, which no other job has."""
    opened: dict[str, JsonValue] = field(default_factory=dict)
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
    engines: list[str] = field(default_factory=list)
    """What heard the calls, each once."""
    days: list[date] = field(default_factory=list)
    """Days of the field work, in the order of the work: one may come again."""
    sittings: int = 0
    """How often a crew began to work live."""
    kit: dict[str, JsonValue] = field(default_factory=dict)
    """The devices used last: names of microphones, roles of their channels, keypads; and the
    conditions stated on the command line of the last sitting."""
    phones: dict[str, str] = field(default_factory=dict)
    """SHA-256 of the secret of each phone that is paired, by its name."""
    asked_by: dict[str, tuple[str, bool]] = field(default_factory=dict)
    """What phones asked for, by its identity: the phone's name, and whether it was taken."""
    taken: int = 0
    """How many events were fed to the machine."""
    recent: deque[tuple[Event, tuple[Consequence, ...]]] = field(
        default_factory=lambda: deque(maxlen=RECENT)
    )
    """The last events and what followed from each."""

    @property
    def tapes(self) -> dict[str, Certificate]:
        """The certificates in force, by the identity of the tape."""
        return {identity: editions[-1].certificate for identity, editions in self.editions.items()}

    def later(self, sign_off: SignOff) -> tuple[tuple[int, str], ...]:
        """List the entries after a sign-off that are none: what it does not cover."""
        return tuple(each for each in self.since_signed if each[0] > sign_off.entry)

    def tapes_before(self, sequence: int) -> dict[str, Certificate]:
        """Give the certificates as they stood before an entry; later tapes with their first."""
        return {
            identity: ([one for one in editions if one.sequence < sequence] or editions[:1])[
                -1
            ].certificate
            for identity, editions in self.editions.items()
        }

    def begin_line(self, settings: LineSettings) -> None:
        """Start a line; pulls are numbered through the whole job, conditions stay in force."""
        before = self.state
        pull = 1
        if before is not None:
            is_begun = not before.parts.is_empty or before.take is not None or before.superseded
            pull = before.pull + 1 if is_begun else before.pull
            if before.phase is Phase.FINISHED:
                self.finished[_ends(before.settings)] += 1
        conditions, differences = (
            (before.conditions, before.differences) if before is not None else (None, ())
        )
        self.state = start(settings, pull, conditions, differences)

    def take(self, event: Event, time_utc: str = "") -> tuple[Consequence, ...]:
        """Feed one event to the machine and keep what is booked, noted and remarked.

        Args:
            event: what happened.
            time_utc: when it was recorded.

        Raises:
            JournalError: no line was begun before it.
        """
        if self.state is None:
            raise JournalError(
                "a call or decision stands before any line",
                next_step="begin the line with `calllog listen JOB --tape TAPE.toml --line A:B`",
            )
        consequences: tuple[Consequence, ...] = self._off_line(event, self.state)
        if not consequences:
            result = step(self.state, event)
            self.state, consequences = result.state, result.consequences
            if isinstance(event, Call):
                self._keep(event, result.state, time_utc)
        self.taken += 1
        self.recent.append((event, consequences))
        if isinstance(event, Call):
            self.calls.append(event)
        for consequence in consequences:
            if isinstance(consequence, Segment):
                self.segments.append(consequence)
                self.runs.append(self._run(self.state.settings))
                self.booked_on.append(self.days[-1].isoformat() if self.days else "")
            elif isinstance(consequence, Reopened):
                self.segments.pop()
                self.runs.pop()
                self.booked_on.pop()
            elif isinstance(consequence, Void):
                self.notes = [each for each in self.notes if each.call != consequence.call]
        return consequences

    def _off_line(self, event: Event, state: State) -> tuple[Question, ...]:
        """Ask for a note again whose station cannot be on the line yet."""
        if not _is_note(event):
            return ()
        settings = state.settings
        line = (*_ends(settings), self._run(settings))
        taped_ft = math.fsum(
            segment.length_read_ft
            for segment, run in zip(self.segments, self.runs, strict=True)
            if (segment.line_from, segment.line_to, run) == line
        )
        within = (pulls_ahead(state) + 1) * settings.nominal * 100
        words = event.note and beyond_line(event.note, hundredths(taped_ft, settings.unit), within)
        return (Question(pull=state.pull, role=event.role, words=words),) if words else ()

    def _keep(self, call: Call, state: State, time_utc: str) -> None:
        """Keep a note or a remark."""
        line_from, line_to = _ends(state.settings)
        run = self._run(state.settings)
        if _is_note(call) and call.note is not None:
            self.notes.append(
                LineNote(
                    line_from=line_from,
                    line_to=line_to,
                    run=run,
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
                    line_from=line_from,
                    line_to=line_to,
                    run=run,
                    pull=state.pull,
                    call=call.number,
                    clip=call.clip,
                    time_utc=time_utc,
                    note=noted if stands else None,
                )
            )

    def _run(self, settings: LineSettings) -> int:
        """Tell which run between its two points a line is in."""
        return self.finished[_ends(settings)] + 1

    def feed(self, entry: Entry) -> None:
        """Take one entry: an input moves the state, a recorded consequence is compared.

        Raises:
            JournalError: its body is not what its kind requires.
        """
        self.origin = self.origin or entry.hash
        if self.signed and entry.kind != "signed":
            self.since_signed.append((entry.sequence, entry.kind))
        try:
            self._follow(entry)
        except ValidationError as error:
            raise JournalError(
                f"entry {entry.sequence} is no {entry.kind}: {error.errors()[0]['msg']}",
                next_step="`calllog rescue JOB` makes a new job of what stands before it",
            ) from error

    def _follow(self, entry: Entry) -> None:
        if entry.kind in CONSEQUENCES.values():
            self._compare(entry)
        elif entry.kind == "signed":
            self._sign(entry)
        elif entry.kind == RESCUED:
            self.rescued.append((entry.time_utc, Rescue.model_validate_json(entry.body)))
        elif entry.kind == "tape":
            self._state_tape(entry)
        elif entry.kind == "tape_corrected":
            self._correct_tape(entry)
        elif entry.kind == "line":
            self._begin_line(entry)
        elif entry.kind in EVENTS:
            self._settle(entry)
            self._take_asked(entry)
            self.missing += self.take(EVENTS[entry.kind](entry.body), entry.time_utc)
        elif isinstance(entry.content, dict):
            self._remember(entry, entry.content)

    def _begin_line(self, entry: Entry) -> None:
        self._settle(entry)
        settings = LineSettings.model_validate_json(entry.body)
        if settings.decoding and settings.decoding not in CALIBRATIONS:
            raise JournalError(
                f"entry {entry.sequence} decides by edition {settings.decoding} of the joint"
                " decoding, which this calllog does not know",
                next_step="open the job with the calllog that made it, or a later one",
            )
        tape = self.tapes.get(settings.tape)
        if tape is not None and tape.unit is not settings.unit:
            self._doubt(
                entry,
                f"entry {entry.sequence} begins a line in {settings.unit.plural} on tape"
                f" {settings.tape}, which is in {tape.unit.plural}",
            )
        self.begin_line(settings)

    def _state_tape(self, entry: Entry) -> None:
        certificate = Certificate.model_validate_json(entry.body)
        editions = self.editions.setdefault(certificate.identity, [])
        if editions:
            self._doubt(entry, f"entry {entry.sequence} states a tape again, replacing nothing")
        editions.append(Edition(sequence=entry.sequence, certificate=certificate))

    def _correct_tape(self, entry: Entry) -> None:
        stated = TapeCorrection.model_validate_json(entry.body)
        editions = self.editions.setdefault(stated.tape.identity, [])
        if not editions or editions[-1].sequence != stated.replaces:
            self._doubt(
                entry,
                f"entry {entry.sequence} replaces entry {stated.replaces}, which is not the"
                f" certificate in force of tape {stated.tape.identity}",
            )
        editions.append(
            Edition(sequence=entry.sequence, certificate=stated.tape, by=stated.by, why=stated.why)
        )

    def _sign(self, entry: Entry) -> None:
        stated = SignOff.model_validate_json(entry.body)
        if (stated.entry, stated.state_hash) != (entry.sequence - 1, entry.previous):
            self._doubt(entry, f"entry {entry.sequence} signs another state than the one before it")
        self.signed.append(stated)

    def _remember(  # noqa: C901 - one case for each kind
        self, entry: Entry, content: dict[str, JsonValue]
    ) -> None:
        match entry.kind:
            case "opened":
                self.opened = content
            case "recording":
                recording = _Recording.model_validate_json(entry.body)
                self.recordings[recording.name] = recording.sha256
            case "sitting":
                sitting = _Sitting.model_validate_json(entry.body)
                self.sittings, self.kit = self.sittings + 1, {**self.kit, **content}
                self.grammar = sitting.grammar or self.grammar
            case "clock":
                _Clock.model_validate_json(entry.body)
            case "day":
                self.days.append(_Day.model_validate_json(entry.body).date)
            case "phone_paired":
                paired = _PhonePaired.model_validate_json(entry.body)
                self.phones[paired.name] = paired.secret_sha256
            case "phone_revoked":
                self.phones.pop(_PhoneRevoked.model_validate_json(entry.body).name, None)
            case "phone_asked":
                asked = _PhoneAsked.model_validate_json(entry.body)
                self.asked_by[asked.id] = (asked.name, False)
            case "engine":
                engine = _Engine.model_validate_json(entry.body)
                self.grammar = engine.grammar or self.grammar
                if engine.identity not in self.engines:
                    self.engines.append(engine.identity)
            case _:
                pass

    def _take_asked(self, entry: Entry) -> None:
        """Count what a phone asked for last as taken, if an event is what came of it."""
        identity, (name, is_taken) = next(reversed(self.asked_by.items()), ("", ("", True)))
        if is_taken or not isinstance(entry.content, dict):
            return
        source = str(entry.content.get("source", ""))
        if entry.content.get("by") == name or source.endswith(f"#{PHONE}{name}"):
            self.asked_by[identity] = (name, True)

    def _compare(self, entry: Entry) -> None:
        expected = self.missing.pop(0) if self.missing else None
        if expected is None or (CONSEQUENCES[type(expected)], body(expected)) != (
            entry.kind,
            entry.content,
        ):
            self._doubt(
                entry, f"entry {entry.sequence} ({entry.kind}) does not follow from the calls"
            )

    def _settle(self, entry: Entry) -> None:
        if self.missing:
            kind = CONSEQUENCES[type(self.missing[0])]
            self._doubt(entry, f"before entry {entry.sequence} a {kind} is missing")
            self.missing = []

    def _doubt(self, entry: Entry, words: str) -> None:
        if not self.wrong:
            self.wrong, self.wrong_at = words, entry.sequence


def _is_note(event: Event) -> TypeGuard[Call]:
    return isinstance(event, Call) and event.kind is Kind.NOTE and event.outcome is Outcome.CALL


def _ends(settings: LineSettings) -> tuple[str, str]:
    return settings.line_from, settings.line_to


def replay(entries: Iterable[Entry], begun: Replay | None = None) -> Replay:
    """Compute a job again from its journal.

    Args:
        entries: all of it, or what follows.
        begun: what stood before; goes on.

    Raises:
        JournalError: an entry's body is not what its kind requires.
    """
    result = Replay() if begun is None else begun
    for entry in entries:
        result.feed(entry)
    return result
