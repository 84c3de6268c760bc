"""Every kind of journal entry: its name, its body, what it does, and the format that brought it in.

This table is the documentation of the journal too (`described`). An entry is checked against it
before it is written, and read by it when a job is opened, so that nothing can be appended which the
next opening would refuse.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date

from pydantic import ConfigDict, JsonValue, ValidationError

from calllog.errors import JournalError
from calllog.journal import NEWER_NEXT, RESCUED, Entry, Rescue
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
    Segment,
    Void,
)


class _Told(Frozen):
    """Body of an entry that moves no pull; a later program may state more in it."""

    model_config = ConfigDict(extra="ignore")


class Opened(_Told):
    """Body of the first entry."""

    calllog: str
    """Version of the program that made the job."""


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


class RecordingTaken(_Told):
    """A recording was begun to be taken in."""

    name: str
    sha256: str


class EngineUsed(_Told):
    """What hears the calls from here on."""

    identity: str
    grammar: str | None = None


class Sitting(Frozen):
    """A crew begins to work live; the devices it works with are remembered."""

    model_config = ConfigDict(extra="allow")

    number: int
    """Of this sitting, from 1."""
    grammar: str | None = None


class FieldDay(_Told):
    """Day of the field work that follows."""

    date: date


class ClockJump(_Told):
    """The computer's time of day was changed, or is earlier than it can be."""

    jumped_s: float
    """By how much; forward is positive [s]."""


class Named(_Told):
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


class FailedFor(_Told):
    """Something failed."""

    reason: str
    """As the system names it."""


class Seconds(_Told):
    """Something lasted."""

    seconds: float


class PageLost(_Told):
    """The process of the chief's page ended by itself."""

    exit_code: int | None


class Nothing(_Told):
    """It happened; there is nothing more to say."""


class _OfPhone(_Told):
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


class PhoneLetIn(_OfPhone):
    """A phone that was paired before may look and decide in this sitting too."""


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
    EntryKind(RESCUED, Rescue, "says that what stands before it came from a damaged job"),
    EntryKind("recording", RecordingTaken, "names a recording that is taken in"),
    EntryKind("engine", EngineUsed, "names what hears the calls, and the grammar"),
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
    EntryKind("phone_revoked", PhoneRevoked, "ends a phone's pairing"),
    EntryKind("phone_asked", PhoneAsked, "is an order of a phone, before it is taken"),
    EntryKind("phone_codes_guessed", Nothing, "notes that somebody guessed at the page's code"),
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
    kind = KINDS.get(entry.kind)
    if kind is None:
        raise JournalError(
            f"entry {entry.sequence} is of a kind that this calllog does not know ({entry.kind})",
            next_step=NEWER_NEXT,
        )
    return checked(kind, entry.body, f"entry {entry.sequence}")


def checked(kind: EntryKind, text: str, what: str) -> Frozen:
    """Read the text of a body of a kind.

    Raises:
        JournalError: it is not what the kind has.
    """
    try:
        return kind.body.model_validate_json(text)
    except ValidationError as error:
        raise JournalError(
            f"{what} is no {kind.name}: {error.errors()[0]['msg']}",
            next_step="`calllog rescue JOB` makes a new job of what stands before it",
        ) from error


def described() -> str:
    """Write the table of kinds in Markdown."""
    rows = [
        f"| `{kind.name}` | {'follows: ' if kind.follows else ''}{kind.does}"
        f" | {', '.join(kind.body.model_fields) or '-'} | {kind.since} |"
        for kind in KINDS.values()
    ]
    head = ["| kind | what it does | body | since format |", "|---|---|---|---|"]
    return "\n".join([*head, *rows]) + "\n"
