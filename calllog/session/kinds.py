"""Every kind of journal entry: its name, its body, what it does, and the format that brought it in.

This table is the documentation of the journal too (`described`). An entry is checked against it
before it is written, and read by it when a job is opened, so that nothing can be appended which the
next opening would refuse.
"""

import json
from dataclasses import dataclass
from datetime import date
from typing import Annotated

from pydantic import ConfigDict, Field, JsonValue, ValidationError

from calllog.about import Amendment
from calllog.errors import Fault, JournalError
from calllog.journal import EXPUNGED, NEWER_NEXT, RESCUED, Entry, Rescue
from calllog.session.consent import Consent, Expunged, RemarkWords
from calllog.session.format_1 import FORMAT as FORMAT_1
from calllog.session.format_1 import body_of_today
from calllog.session.signing import does_fit, fingerprint, signed_text
from calllog.tape import Certificate
from calllog.values import (
    Call,
    Conditions,
    Decision,
    Finding,
    Frozen,
    Held,
    LineSettings,
    Question,
    Reopened,
    Role,
    Segment,
    Void,
)

Zone = Annotated[str, Field(pattern=r"^([+-][0-9]{2}:[0-9]{2})?$")]
"""What the computer's zone adds to UTC from here on; empty where it was not noted."""
IDENTITY = r"^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$"
"""A random UUID as it is written (RFC 9562, sections 4 and 5.4: version 4, variant 10)."""


class _ToldBody(Frozen):
    """Body of an entry that moves no pull; a later program may state more in it."""

    model_config = ConfigDict(extra="ignore")


class Opened(_ToldBody):
    """Body of the first entry."""

    calllog: str
    """Version of the program that made the job."""
    job: Annotated[str, Field(pattern=IDENTITY)] = ""
    """Identity of the job, the same in all its copies; empty in jobs of before there were any."""
    zone: Zone = ""


class TapeCorrection(Frozen):
    """Body of a ``tape_corrected`` entry."""

    tape: Certificate
    replaces: int
    """Sequence of the entry that holds the certificate replaced."""
    by: str
    """Who corrected it."""
    why: str


class SignOff(Frozen):
    """Body of a ``signed`` entry: somebody stands by the journal as it was before it."""

    by: str
    date: str
    """Day of signing, ISO 8601."""
    entry: int
    """Sequence of the last entry that is signed."""
    state_hash: str
    """Hash of that entry."""
    remark: str = ""
    public_key: str = ""
    """The signer's, as OpenSSH writes it (``ssh-ed25519 AAAA...``); empty without a signature."""
    signature: str = ""
    """Base64 of the signature over `calllog.session.signing.signed_text`; empty without one."""

    @property
    def is_signed(self) -> bool:
        """Tell whether it has a signature, good or bad."""
        return bool(self.public_key or self.signature)

    @property
    def fingerprint(self) -> str:
        """Of its key, as ``ssh-keygen -l`` gives it; empty without a key."""
        try:
            return fingerprint(self.public_key)
        except ValueError:
            return ""

    def text(self, job: str) -> bytes:
        """Give what a signature of it is over; ``job`` is the hash of the job's first entry."""
        return signed_text(
            job=job,
            entry=self.entry,
            state_hash=self.state_hash,
            by=self.by,
            date=self.date,
            remark=self.remark,
        )

    def is_good(self, job: str) -> bool:
        """Tell whether its signature fits; ``job`` is the hash of the job's first entry."""
        return does_fit(self.signature, self.text(job), self.public_key)


class Stamp(Frozen):
    """Body of a ``stamped`` entry: an authority saw the hash of an entry before it (RFC 3161)."""

    entry: int
    """Sequence of the entry whose hash was seen."""
    state_hash: str
    """Hash of that entry."""
    time_utc: str
    """When it was seen, as the authority says, ISO 8601."""
    authority: str
    """Name in the authority's certificate (RFC 4514)."""
    response: str
    """Base64 of the whole response, by which the rest can be checked."""


class RecordingTaken(_ToldBody):
    """A recording was begun to be taken in."""

    name: str
    sha256: str
    roles: tuple[Role, ...] = ()
    """Who wears each channel's microphone; none where it was not noted."""
    zone: Zone = ""


class EngineUsed(_ToldBody):
    """What hears the calls from here on."""

    identity: str
    grammar: str | None = None
    head_grammar: str = ""
    """By which grammars the head calls, commas between; empty for the job's own."""
    rear_grammar: str = ""
    """By which the rear calls."""


class VoiceKnown(_ToldBody):
    """Whose voice a microphone's is, by which it is heard from here on."""

    role: Role
    name: str = ""
    """Empty for nobody known."""
    profile_sha256: Annotated[str, Field(pattern=r"^([0-9a-f]{64})?$")] = ""
    """SHA-256 of the voice's file as text; empty for nobody known."""


class Sitting(Frozen):
    """A crew begins to work live; the devices it works with are remembered."""

    model_config = ConfigDict(extra="allow")

    number: int
    """Of this sitting, from 1."""
    grammar: str | None = None
    zone: Zone = ""


class FieldDay(_ToldBody):
    """Day of the field work that follows."""

    date: date


class ClockJump(_ToldBody):
    """The computer's time of day was changed, or is earlier than it can be."""

    jumped_s: float
    """By how much; forward is positive [s]."""
    code: str = ""
    """What is told of it."""


class Named(_ToldBody):
    """Something befell a device."""

    name: str


class MicrophoneLost(Named):
    """A microphone gives no sound any more."""

    reason: str
    """As the system names it."""


class MicrophoneBack(Named):
    """A microphone is heard again."""

    gap_s: float
    """How long it was away [s]."""


class SoundLost(Named):
    """Some sound never arrived."""

    times: int
    frames: int | None


class SoundWarning(Named):
    """A microphone's sound has a trouble."""

    trouble: str
    """Its code (`calllog.audio.Trouble`)."""
    measured: float


class FailedFor(_ToldBody):
    """Something failed."""

    reason: str
    """As the system names it."""


class Seconds(_ToldBody):
    """Something lasted."""

    seconds: float


class PageLost(_ToldBody):
    """The process of the chief's page ended by itself."""

    exit_code: int | None


class Nothing(_ToldBody):
    """It happened; there is nothing more to say."""


class _OfPhone(_ToldBody):
    """Body of an entry about a phone."""

    name: str
    """Given by its owner."""
    phone: str = ""
    """Given by the logger, to no other phone of the job; empty in format 1."""

    @property
    def who(self) -> str:
        """The phone as it stands beside what it decided; no name alone can say the same."""
        return f"{self.name} ({self.phone})" if self.phone else self.name

    @property
    def key(self) -> str:
        """What the phone is known by; by its name, in format 1."""
        return self.phone or f"name {self.name}"


class PhonePaired(_OfPhone):
    """A phone may look and decide from now on."""

    secret_sha256: str
    seal: str = ""
    """Made with the key of the computer where it was paired (`calllog.phone.guests`); a pairing
    without it, or of another computer, lets nobody in."""
    role: Role = Role.UNSAID
    """Whose microphone, ear and keys it is to be; the chief's page if unsaid."""


class PhoneLetIn(_OfPhone):
    """A phone that was paired before may look and decide in this sitting too."""


class PhoneHolds(_OfPhone):
    """A phone is somebody's microphone, ear and keys from now on, in the place of any other."""

    role: Role


class PhoneRevoked(_OfPhone):
    """A phone may no longer."""


class PhoneAsked(_OfPhone):
    """A phone's order; what came of it follows."""

    id: str


@dataclass(frozen=True, slots=True)
class EntryKind:
    """One kind of entry."""

    name: str
    body: type[Frozen]
    does: str
    """What it does, in one clause."""
    since: int = 1
    """The first format of the journal that has it."""
    follows: bool = False
    """It follows from the entries before it, and is compared with what they give."""


def _table(*kinds: EntryKind) -> dict[str, EntryKind]:
    return {kind.name: kind for kind in kinds}


KINDS = _table(
    EntryKind("opened", Opened, "begins the job"),
    EntryKind("tape", Certificate, "states a tape's certificate, before its first line"),
    EntryKind("tape_corrected", TapeCorrection, "replaces a certificate for the whole job"),
    EntryKind("line", LineSettings, "begins a line of pulls, or goes on with it"),
    EntryKind("condition", Conditions, "states all conditions anew"),
    EntryKind("call", Call, "is one call, heard or keyed; moves the pull"),
    EntryKind("decision", Decision, "is the chief's decision about a pull that stopped"),
    EntryKind("void", Void, "a call is struck", follows=True),
    EntryKind("question", Question, "the crew is asked", follows=True),
    EntryKind("finding", Finding, "something to know about a pull, or a stop", follows=True),
    EntryKind("segment", Segment, "a pull is recorded", follows=True),
    EntryKind("held", Held, "a call waits for a decision", follows=True),
    EntryKind("reopened", Reopened, "a recorded pull is open again", follows=True),
    EntryKind("signed", SignOff, "signs off everything before it"),
    EntryKind("about", Amendment, "states facts: client, crew, weather, instruments", since=2),
    EntryKind("stamped", Stamp, "holds an authority's time stamp over an entry's hash", since=2),
    EntryKind(RESCUED, Rescue, "says that what stands before it came from a damaged job"),
    EntryKind("recording", RecordingTaken, "names a recording that is taken in"),
    EntryKind("engine", EngineUsed, "names what hears the calls, and the grammar"),
    EntryKind("voice", VoiceKnown, "says whose voice a microphone's is, by its profile", 2),
    EntryKind("sitting", Sitting, "begins live work, and remembers its devices"),
    EntryKind("day", FieldDay, "states the day of the field work that follows"),
    EntryKind("clock", ClockJump, "notes that the computer's clock jumped"),
    EntryKind("microphone_lost", MicrophoneLost, "notes a microphone lost"),
    EntryKind("microphone_back", MicrophoneBack, "notes a microphone back"),
    EntryKind("sound_lost", SoundLost, "notes sound that never arrived"),
    EntryKind("sound_warning", SoundWarning, "notes sound too loud, too faint or noisy"),
    EntryKind("clip_lost", FailedFor, "notes a clip that could not be written"),
    EntryKind("output_lost", FailedFor, "notes that the read-back cannot be heard"),
    EntryKind("keypad_lost", Named, "notes a keypad lost"),
    EntryKind("keypad_returned", Named, "notes a keypad back"),
    EntryKind("disk_failed", FailedFor, "notes that the disk took nothing for a while"),
    EntryKind("disk_back", Seconds, "notes that the disk took everything again"),
    EntryKind("disk_slow", Seconds, "notes a write that took long"),
    EntryKind("page_lost", PageLost, "notes that the chief's page was begun again"),
    EntryKind("phone_paired", PhonePaired, "pairs a phone"),
    EntryKind("phone_let_in", PhoneLetIn, "lets in a phone that was paired before", since=2),
    EntryKind("phone_holds", PhoneHolds, "makes a phone head's or rear's microphone and ear", 2),
    EntryKind("phone_revoked", PhoneRevoked, "ends a phone's pairing"),
    EntryKind("phone_asked", PhoneAsked, "is an order of a phone, before it is taken"),
    EntryKind("phone_codes_guessed", Nothing, "notes that somebody guessed at the page's code"),
    EntryKind("consent", Consent, "states who agrees to sound being kept, or not any more", 2),
    EntryKind("remark_words", RemarkWords, "says where the words of a typed remark are kept", 2),
    EntryKind(EXPUNGED, Expunged, "says what was removed at a person's request", 2),
)
"""Every kind of entry, by its name."""

FOLLOWS: dict[type[Frozen], str] = {kind.body: kind.name for kind in KINDS.values() if kind.follows}
"""Kind of the entry that records each consequence."""


def content_of(value: Frozen) -> JsonValue:
    """Give a value as a journal entry's body."""
    content: JsonValue = json.loads(value.model_dump_json())
    return content


def read_body(entry: Entry) -> Frozen:
    """Read the body of an entry.

    Raises:
        JournalError: it is of a kind that this program does not know, or not what its kind has.
    """
    kind = known_kind(entry)
    body = body_of_today(entry.kind, entry.body) if entry.version == FORMAT_1 else entry.body
    return checked(kind, body, f"entry {entry.sequence}")


def known_kind(entry: Entry) -> EntryKind:
    """Look an entry's kind up; JournalError if this program does not know it."""
    kind = KINDS.get(entry.kind)
    if kind is None:
        raise JournalError(
            Fault(
                f"entry {entry.sequence} is of a kind that this version of calllog does not know"
                f" ({entry.kind})",
                "fault-kind",
                entry=entry.sequence,
                kind=entry.kind,
            ),
            next_step=NEWER_NEXT,
        )
    return kind


def checked(kind: EntryKind, text: str, what: str) -> Frozen:
    """Read the text of a body of a kind; JournalError if it is not what the kind has."""
    try:
        return kind.body.model_validate_json(text)
    except ValidationError as error:
        raise JournalError(
            f"{what} is no {kind.name}: {error.errors()[0]['msg']}",
            next_step="`calllog rescue JOB` makes a new job of what stands before it",
        ) from error
