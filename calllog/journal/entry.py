"""Journal: a JSON value in, a sealed `Entry` out, and the fault of an entry; no files touched."""

import json
import math
import re
from datetime import datetime
from hashlib import sha256
from json.encoder import encode_basestring as _quoted

from pydantic import JsonValue
from pydantic_core import from_json

from calllog.errors import Fault, JournalError
from calllog.values import Frozen

ENTRY_VERSION = 2
"""Format written into every entry: 2 keeps codes and facts where 1 kept English sentences."""
READABLE = frozenset({1, ENTRY_VERSION})

NO_PREVIOUS = "0" * 64
"""What the first entry names as the hash before it."""

MOST_DEEP = 64
"""Values inside one another; more could exhaust whoever reads them."""
MOST_DIGITS = 100
"""Of a whole number; more than 308 overflow a float, more than 4,300 cannot even be printed."""

_KIND = re.compile(r"[a-z][a-z_]*")


class Entry(Frozen):
    """One entry of the journal, as it stands in the database."""

    sequence: int
    """1 for the first entry of a job, then without a gap."""
    time_utc: str
    """When it was written, ISO 8601 with its zone, as the caller stated it."""
    monotonic_s: float
    """The caller's monotonic clock, seconds; for intervals within one session only."""
    kind: str
    """What it records: opened, line, tape, condition, call, void, question, finding, ..."""
    version: int
    """Version of the entry's form."""
    body: str
    """Canonical JSON text (see `canonical`)."""
    previous: str
    """SHA-256 of the entry before it, 64 hexadecimal digits; zeros for the first."""
    hash: str
    """SHA-256 over all other fields, 64 hexadecimal digits."""

    @property
    def content(self) -> JsonValue:
        """The body as a fresh JSON value."""
        return _value(self.body)


def canonical(body: JsonValue) -> str:
    """Write a JSON value in its one canonical form: sorted keys, no blanks, no escapes for letters.

    Args:
        body: null, bool, int of up to 100 digits, finite float, str, list, or dict with str keys;
            up to 64 inside one another.

    Raises:
        JournalError: the value would not read back equal: a float that is not finite, a tuple, a
            key that is not a str, a lone surrogate, nesting too deep for the reader.

    Example:
        >>> canonical({"value": 1542, "text": "fünfzehn"})
        '{"text":"fünfzehn","value":1542}'
    """
    try:
        text = json.dumps(
            body, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False
        )
        text.encode()
        is_faithful = _read(text) == body
    except (TypeError, ValueError, RecursionError) as error:
        raise _refusal(str(error)) from error
    if not is_faithful:
        raise _refusal("it would not read back equal (tuples, or keys that are not text)")
    return text


def seal(
    kind: str, body: JsonValue, *, time_utc: str, monotonic_s: float, after: Entry | None
) -> Entry:
    """Make the entry that follows another one.

    Args:
        kind: what it records; lower-case letters and underscores.
        body: any JSON value (see `canonical`).
        time_utc: ISO 8601 date and time with a zone.
        monotonic_s: the caller's monotonic clock [s], finite.
        after: the entry before it; None makes the first one.

    Raises:
        JournalError: one of the fields cannot be kept.
    """
    if not _KIND.fullmatch(kind):
        raise JournalError(
            f"kind {kind!r} is no entry kind",
            where="new journal entry",
            next_step="use lower-case letters and underscores",
        )
    if not math.isfinite(monotonic_s):
        raise JournalError(
            f"monotonic time {monotonic_s} is not finite",
            where="new journal entry",
            next_step="pass the reading of a monotonic clock in seconds",
        )
    if not _has_zone(time_utc):
        raise JournalError(
            f"time {time_utc!r} is not ISO 8601 with a zone",
            where="new journal entry",
            next_step="pass a time such as 2031-05-04T15:30:00+00:00",
        )
    unsealed = Entry(
        sequence=after.sequence + 1 if after else 1,
        time_utc=time_utc,
        monotonic_s=monotonic_s + 0.0,  # the database keeps no negative zero
        kind=kind,
        version=ENTRY_VERSION,
        body=canonical(body),
        previous=after.hash if after else NO_PREVIOUS,
        hash="",
    )
    return unsealed.model_copy(update={"hash": entry_hash(unsealed)})


def entry_hash(entry: Entry) -> str:
    """Hash an entry: SHA-256 of what `hashed_bytes` gives."""
    return sha256(hashed_bytes(entry)).hexdigest()


def hashed_bytes(entry: Entry) -> bytes:
    """Give what the hash of an entry is over: a JSON list of all its other fields, in UTF-8.

    The list holds sequence, time_utc, monotonic_s, kind, version, body (as text) and previous, in
    this order, without blanks; floats in their shortest form that reads back equal.
    """
    text = (
        f"[{entry.sequence},{_quoted(entry.time_utc)},{entry.monotonic_s!r},"
        f"{_quoted(entry.kind)},{entry.version},{_quoted(entry.body)},{_quoted(entry.previous)}]"
    )
    return text.encode()


def fault_of(entry: Entry, after: Entry | None) -> str:
    """Say in one clause what is wrong with an entry after a sound one; empty if nothing is."""
    expected = after.sequence + 1 if after else 1
    if entry.sequence != expected:
        words = f"gap in sequence: entry {expected} expected, entry {entry.sequence} found"
        return Fault(words, "fault-gap", entry=expected, found=entry.sequence)
    if entry.hash != entry_hash(entry):
        words = f"entry {entry.sequence} was changed after it was written: its hash does not fit"
        return Fault(words, "fault-changed", entry=entry.sequence)
    if entry.previous != (after.hash if after else NO_PREVIOUS):
        words = f"entry {entry.sequence} does not follow from what stands before it"
        return Fault(f"hash chain broken: {words}", "fault-chain", entry=entry.sequence)
    if entry.version not in READABLE:
        words = (
            f"entry {entry.sequence} has version {entry.version}, which this program cannot read"
        )
        return Fault(words, "fault-version", entry=entry.sequence, version=entry.version)
    return _body_fault(entry)


def _body_fault(entry: Entry) -> str:
    try:
        _read(entry.body)
    except json.JSONDecodeError:
        words = f"the body of entry {entry.sequence} is not JSON"
        return Fault(words, "fault-body", entry=entry.sequence)
    except (ValueError, RecursionError):
        words = f"the body of entry {entry.sequence} is beyond what an entry holds"
        return Fault(words, "fault-body", entry=entry.sequence)
    return ""


def is_newer(entry: Entry) -> bool:
    """Tell whether an entry is sound, and of a form that a later program has made."""
    return entry.version > ENTRY_VERSION and entry.hash == entry_hash(entry)


def _read(text: str) -> object:
    """Read JSON that nobody who computes with it stumbles over.

    Raises:
        ValueError: it is no JSON, has a number that is not finite or too long, or is too deep.
        RecursionError: it is far too deep.
    """
    value: object = _CAREFUL.decode(text) if _is_suspect(text) else _value(text)
    if text.count("[") + text.count("{") <= MOST_DEEP:
        return value
    level = [value]
    for _ in range(MOST_DEEP):
        inside = [each for each in level if isinstance(each, (dict, list))]
        level = [
            one for each in inside for one in (each.values() if isinstance(each, dict) else each)
        ]
        if not level:
            return value
    message = f"more than {MOST_DEEP} values inside one another"
    raise ValueError(message)


def _value(text: str) -> JsonValue:
    """Parse JSON as `json.loads` does, in half its time: a day has thousands of entries."""
    try:
        value: JsonValue = from_json(text)
    except ValueError:  # half a surrogate pair, a million digits: what `json` says, counts
        value = json.loads(text)
    return value


def _is_suspect(text: str) -> bool:
    """Tell whether a number may be too long or not finite; nearly no entry has such signs."""
    signs = text.encode(errors="surrogatepass").translate(_DIGITS_ALIKE, b"+")
    return _LONG in signs or _GREAT in signs or "NaN" in text or "Infinity" in text


def _finite(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        message = f"{text} is not finite"
        raise ValueError(message)
    return value


def _whole_number(text: str) -> int:
    if len(text.lstrip("-")) > MOST_DIGITS:
        message = f"a whole number of more than {MOST_DIGITS} digits"
        raise ValueError(message)
    return int(text)


_CAREFUL = json.JSONDecoder(parse_constant=_finite, parse_float=_finite, parse_int=_whole_number)
_DIGITS_ALIKE = bytes.maketrans(b"123456789E", b"000000000e")
_LONG = b"0" * MOST_DIGITS
_GREAT = b"0e000"


def _has_zone(time: str) -> bool:
    try:
        return datetime.fromisoformat(time).tzinfo is not None
    except ValueError:
        return False


def _refusal(reason: str) -> JournalError:
    return JournalError(
        f"a body cannot be kept as JSON: {reason}",
        where="new journal entry",
        next_step="pass plain JSON values, for example model_dump(mode='json')",
    )
