"""A job open for work: each event is on disk before its consequences, those before any answer."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from functools import partial
from pathlib import Path
from typing import Self
from uuid import uuid4

from pydantic import JsonValue

from calllog import __version__, system
from calllog.about import (
    LISTED,
    MOST_LISTED,
    MOST_NAME,
    MOST_WORDS,
    Change,
    StatedFacts,
    amending,
    changes,
    plain_text,
)
from calllog.closing import Closes
from calllog.errors import ConfigError, JournalError
from calllog.journal import Entry, Journal, canonical, is_job, may_begin, rescue_next
from calllog.pairing import Event, Phase, State, status, unknown_edition
from calllog.session.clock import Clock, ClockWatch, local_zone, system_clock
from calllog.session.keys import SigningKey
from calllog.session.kinds import (
    FOLLOWS,
    KINDS,
    SignOff,
    TapeCorrection,
    VoiceKnown,
    checked,
    content_of,
)
from calllog.session.remark_words import read_words
from calllog.session.removal import finish_removals
from calllog.session.replay import Replay, replay
from calllog.session.safekeeping import Safekeeping
from calllog.tape import Certificate
from calllog.values import (
    Call,
    Conditions,
    Consequence,
    Decision,
    LineSettings,
    Message,
    ReadingUnit,
    Role,
)
from calllog.wording import ENGLISH

AS_READ = ("style", "unit", "nominal_ft", "foot", "hold")
"""What a certificate says of how its tape is read, which the segments rest on."""


EVENT_KINDS: dict[type[Event], str] = {Call: "call", Decision: "decision", Conditions: "condition"}
_AT_ONCE = {"opened", "tape_corrected", "signed", "stamped", "about", *FOLLOWS.values()}
"""Entries before which no clock is looked at: they go with the one before them, or are the
office's, whose computer is another."""


def is_same_line(one: LineSettings, other: LineSettings) -> bool:
    """Tell whether settings are of the same line; one begun by an older edition goes on by it."""
    editions = {"decoding": other.decoding, "pairing": other.pairing, "hold": other.hold}
    return one.model_copy(update=editions) == other


def _read_in(unit: ReadingUnit, beside: ReadingUnit) -> str:
    """Say what a job is in, or to what it is read where it is only that which differs."""
    if unit.base is not beside.base:
        return f"in {unit.plural}"
    return f"read to {unit.text(1)} {unit.symbol}"


def _decide_next(folder: Path, pull: int) -> str:
    """Give the next step where a pull waits for a decision."""
    named = system.quoted(folder)
    return f"`calllog decide {named} {pull} CHOICE`, which is first, check or again"


class Job(Closes):
    """One job folder open for work; close it by ``with`` or `close`.

    Args:
        journal: its journal, open for writing.
        clock: gives the time of each entry.
        unsaved: entries that the disk did not take in an earlier sitting; those that it took after
            all are passed over.

    Raises:
        JournalError: the segments do not follow from the calls, or what was unsaved does not follow
            from the job's last entry.
    """

    def __init__(
        self, journal: Journal, clock: Clock = system_clock, unsaved: Sequence[Entry] = ()
    ) -> None:
        self._kept = Safekeeping(journal)
        self._clock = clock
        self._watch = ClockWatch(journal.last())
        self.jumped: Message | None = None
        """How the computer's clock jumped last."""
        here = tuple(journal.entries())
        hashes = {each.hash for each in here} if unsaved else set()
        missing = [each for each in unsaved if each.hash not in hashes]
        if missing and missing[0].previous != journal.state_hash():
            journal.close()
            raise JournalError(
                "what was not saved does not follow this job's last entry",
                where=str(journal.folder),
                next_step="name the file of this job's last sitting, before any other work on it",
            )
        words = partial(read_words, journal.folder)
        self.replay: Replay = replay((*here, *missing), Replay(read_words=words))
        if self.replay.wrong:
            journal.close()
            raise JournalError(
                self.replay.wrong,
                where=str(journal.folder),
                next_step=f"this job takes no more calls: {rescue_next(journal.folder)}",
            )
        self._kept.add_all(missing)
        self._record_missing()
        self.not_removed = finish_removals(journal.folder, self.replay)
        """Files that a person asked to be removed and that cannot be."""

    @classmethod
    def open(cls, folder: Path, clock: Clock = system_clock, unsaved: Sequence[Entry] = ()) -> Self:
        """Open a job for work, or make a new one where nothing stands yet.

        Raises:
            JournalError: the folder holds something else, or the job cannot be opened.
        """
        is_new = not unsaved and not is_job(folder) and may_begin(folder)
        journal = Journal.create(folder) if is_new else Journal.open(folder, held=unsaved)
        job = cls(journal, clock, unsaved)
        if not job.replay.origin:
            opened: JsonValue = {"calllog": __version__, "job": str(uuid4()), "zone": local_zone()}
            job.note("opened", opened)
        return job

    @classmethod
    def open_existing(cls, folder: Path, clock: Clock = system_clock) -> Self:
        """Open a job that is there; JournalError if the folder is none, or it cannot be opened."""
        return cls(Journal.open(folder), clock)

    @property
    def folder(self) -> Path:
        """The job's folder."""
        return self._kept.folder

    @property
    def audio(self) -> Path:
        """Where its clips are kept."""
        return self._kept.audio

    @property
    def today(self) -> date:
        """The day by the job's clock, in this machine's zone."""
        return datetime.fromisoformat(self._clock()[0]).astimezone().date()

    @property
    def kept(self) -> Safekeeping:
        """What keeps its entries: tells which are not on disk, and how slow that is."""
        return self._kept

    @property
    def state(self) -> State:
        """Where the line stands; JournalError if no line has been begun."""
        return self.replay.require_state(str(self.folder))

    def begin_line(self, settings: LineSettings, certificate: Certificate) -> None:
        """Begin a line, or go on with it if the last line was the same.

        Raises:
            ConfigError: the tape's identity already stands here with another certificate, the job
                is in another unit or foot, the line in another unit than its tape, or its edition
                of the joint decoding is not known.
            JournalError: a pull of another line waits for a decision.
        """
        known = self.replay.tapes.get(certificate.identity)
        if known is not None and known != certificate:
            raise ConfigError(
                f"tape {certificate.identity} already stands in this job with another certificate",
                where=str(self.folder),
                next_step="give the tape file used before, or another identity in the new one; if"
                " the old one was wrong, `calllog rereduce`",
            )
        if settings.unit is not certificate.unit:
            unit = certificate.unit
            raise ConfigError(
                f"this line is {_read_in(settings.unit, unit)}, tape {certificate.identity} is"
                f" {_read_in(unit, settings.unit)}",
                where=str(self.folder),
                next_step="settle the line by its tape",
            )
        units = {tape.unit for tape in self.replay.tapes.values()} - {certificate.unit}
        if units:
            other, unit = units.pop(), certificate.unit
            raise ConfigError(
                f"this job is {_read_in(other, unit)}, tape {certificate.identity} is"
                f" {_read_in(unit, other)}",
                where=str(self.folder),
                next_step=f"make a job of its own for {unit.plural}"
                if other.base is not unit.base
                else "make a job of its own for this tape",
            )
        others = {tape.foot for tape in self.replay.tapes.values()} - {certificate.foot}
        if others:
            raise ConfigError(
                f"this job is in {others.pop().value} feet, tape {certificate.identity} is in "
                f"{certificate.foot.value} feet",
                where=str(self.folder),
                next_step="make a job of its own for the other foot",
            )
        if fault := unknown_edition(settings):
            raise ConfigError(
                f"{fault} is not known here",
                where=str(self.folder),
                next_step="begin the line with the calllog that has it, or a later one",
            )
        before = self.replay.state
        if (
            before is not None
            and is_same_line(before.settings, settings)
            and before.phase is not Phase.FINISHED
        ):
            return
        if before is not None and before.phase is Phase.STOPPED:
            raise JournalError(
                ENGLISH.say(status(before)),
                where=str(self.folder),
                next_step=_decide_next(self.folder, before.pull),
            )
        if known is None:
            self.note("tape", content_of(certificate))
        self.note("line", content_of(settings))

    def correct_tape(self, certificate: Certificate, *, by: str, why: str) -> None:
        """Replace a tape's certificate for the whole job; the old one stays in the journal.

        Raises:
            ConfigError: the job has no such tape, the certificate is in force already, nobody is
                named, or it is of a tape that is read in another way.
        """
        editions = self.replay.editions.get(certificate.identity)
        where = str(self.folder)
        if editions is None:
            known = ", ".join(self.replay.editions)
            raise ConfigError(
                f"tape {certificate.identity} was not used in this job",
                where=where,
                next_step=f"give a certificate of a tape that was: {known or 'none'}",
            )
        replaced = editions[-1]
        if certificate == replaced.certificate:
            raise ConfigError(
                f"this certificate of tape {certificate.identity} is in force already",
                where=where,
                next_step="give the corrected one",
            )
        differing = [
            name
            for name in AS_READ
            if getattr(certificate, name) != getattr(replaced.certificate, name)
        ]
        if differing:
            raise ConfigError(
                f"{', '.join(differing)} cannot be corrected: the pulls were read by it",
                where=where,
                next_step="take the recordings into a new job with the right certificate",
            )
        if not by.strip():
            raise ConfigError(
                "nobody is named who corrects the certificate", next_step="say who, with --by"
            )
        correction = TapeCorrection(tape=certificate, replaces=replaced.sequence, by=by, why=why)
        self.note("tape_corrected", content_of(correction))

    def sign(
        self, *, by: str, day: date, remark: str = "", key: SigningKey | None = None
    ) -> SignOff:
        """Record that somebody stands by all entries up to now.

        Raises:
            ConfigError: nobody is named, nothing is booked, a pull waits for a decision, or the
                same person has signed this state already, with this key or none.
        """
        where, last = str(self.folder), self._kept.head
        if not by.strip():
            raise ConfigError("nobody is named who signs", next_step="say who, with --by")
        if not self.replay.segments or last is None:
            raise ConfigError(
                "nothing is recorded that could be signed",
                where=where,
                next_step="record pulls first",
            )
        if self.state.phase is Phase.STOPPED:
            raise ConfigError(
                f"a pull waits for a decision ({ENGLISH.say(status(self.state))})",
                where=where,
                next_step=_decide_next(self.folder, self.state.pull),
            )
        of_state = [one for one in self.replay.signed if not self.replay.later(one)]
        if any(one.by == by and (key is None or one.public_key == key.public) for one in of_state):
            raise ConfigError(
                f"{by} has signed this state already",
                where=where,
                next_step="sign again when something has changed",
            )
        stated = SignOff(
            by=by, date=day.isoformat(), entry=last.sequence, state_hash=last.hash, remark=remark
        )
        if key is not None:
            signature = key.sign(stated.text(self.replay.origin))
            stated = stated.model_copy(update={"public_key": key.public, "signature": signature})
        self.note("signed", content_of(stated))
        return stated

    def state_about(
        self, stated: StatedFacts, *, by: str = "", why: str = "", at_start: bool = False
    ) -> tuple[Change, ...]:
        """Record facts of the job that are not in force yet; the earlier ones stay in the journal.

        Args:
            stated: the facts.
            by: who states them; whom the file names if empty.
            why: for what reason.
            at_start: they are in the file that the work is begun with. What it stated before is
                not stated anew: it may have been amended since, and the same command goes on.

        Returns:
            What has changed; nothing is recorded where that is nothing.

        Raises:
            ConfigError: nobody is named who amends them, nothing would change, or there are too
                many.
        """
        facts, base = self.replay.about, self.replay.begun_with if at_start else self.replay.about
        wanted = changes(base, base.amended(stated.amendment, stated.whole))
        after = facts.amended(amending(wanted))
        found, where = changes(facts, after), str(self.folder)
        by = plain_text(by, "--by", MOST_NAME) or stated.amendment.by
        why = plain_text(why, "--why", MOST_WORDS)
        if not at_start and not by:
            raise ConfigError("nobody is named who states the facts", next_step="say who: --by")
        if not found:
            if at_start:
                return ()
            raise ConfigError(
                "the job says so already",
                where=where,
                next_step=f"`calllog about {system.quoted(self.folder)}` shows the facts in force",
            )
        for name in LISTED:
            if len(getattr(after, name)) > MOST_LISTED:
                raise ConfigError(
                    f"more than {MOST_LISTED} {name} would be named",
                    where=where,
                    next_step="take some back, by an empty text",
                )
        amendment = amending(found, by=by, why=why, at_start=at_start)
        self.note("about", amendment.model_dump(mode="json", exclude_defaults=True))
        return found

    def use_engine(
        self, identity: str, grammar: str, spoken: Mapping[Role, tuple[str, ...]] | None = None
    ) -> None:
        """Record what hears the calls and by which grammars, once for each."""
        by_role = dict(spoken or {})
        before = self.replay
        is_known = identity in before.engines and grammar == before.grammar
        if not is_known or by_role != before.spoken:
            named = {f"{role.value}_grammar": ",".join(each) for role, each in by_role.items()}
            self.note("engine", {"identity": identity, "grammar": grammar, **named})

    def use_voice(self, role: Role, name: str, digest: str) -> None:
        """Record whose voice a microphone's is, if it is another than before.

        Args:
            role: whose microphone it is.
            name: whose voice; empty for nobody known.
            digest: SHA-256 of the voice's file as text; empty for nobody known.
        """
        before = self.replay.speakers.get(role, VoiceKnown(role=role))
        if (before.name, before.profile_sha256) != (name, digest):
            named = VoiceKnown(role=role, name=name, profile_sha256=digest)
            self.note("voice", content_of(named))

    def use_day(self, day: date, *, is_stated: bool) -> None:
        """Record the day of the field work that follows, if it is another than before.

        It is the day of listening unless it is stated.
        """
        if self.replay.days[-1:] != [day]:
            self.note("day", {"date": day.isoformat(), "stated": is_stated})

    @property
    def next_sitting(self) -> int:
        """The number that the next sitting will have, from 1."""
        return self.replay.sittings + 1

    def begin_sitting(self, kit: dict[str, JsonValue]) -> int:
        """Record that the crew works from now on, and with which devices; others are remembered.

        Returns:
            The number of this sitting, from 1.
        """
        number = self.next_sitting
        self.note("sitting", {"number": number, **kit, "zone": local_zone()})
        return number

    def note(self, kind: str, content: JsonValue) -> Entry:
        """Record an entry and let the job follow it: the one way in.

        What the entry does (`calllog.session.kinds`) is done by the same replay that reads the
        journal when the job is opened, so a job at work and a job opened again are alike.

        Raises:
            JournalError: it is no entry of its kind, so nothing was written; or the disk refused.
        """
        checked(KINDS[kind], canonical(content), "what is to be recorded")
        time_utc, monotonic_s = self._clock()
        if kind not in _AT_ONCE and (jump := self._watch.look(time_utc, monotonic_s)):
            noted: JsonValue = {"jumped_s": jump.jumped_s, "code": jump.code}
            self._write("clock", noted, time_utc, monotonic_s)
            self.jumped = jump.told
        return self._write(kind, content, time_utc, monotonic_s)

    def record(self, event: Event) -> tuple[Consequence, ...]:
        """Record an event, then what follows from it.

        All is on disk when this returns, unless somebody is patient with the disk: then ask
        whether `kept` is safe before anything of it is told.
        """
        self.note(EVENT_KINDS[type(event)], content_of(event))
        return self._record_missing()

    def _record_missing(self) -> tuple[Consequence, ...]:
        """Record what follows from the last event and is not recorded yet."""
        following = tuple(self.replay.missing)
        for each in following:
            self.note(FOLLOWS[type(each)], content_of(each))
        return following

    def _write(self, kind: str, content: JsonValue, time_utc: str, monotonic_s: float) -> Entry:
        entry = self._kept.append(kind, content, time_utc=time_utc, monotonic_s=monotonic_s)
        self.replay.feed(entry)
        return entry

    def close(self) -> None:
        """Close the journal; closing twice does no harm."""
        self._kept.close()
