"""A job's folder and what is known of it elsewhere in, what may be said of the job out; reads only.

A journal that is consistent in itself says nothing about who wrote it: whoever can write the
folder can write all of it anew, hashes, sign-offs and all. Three things from elsewhere can say
more: a hash that was noted, the signers' public keys, and an authority that stamped a hash with the
time.
"""

from base64 import b64decode
from binascii import Error as NotBase64
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import islice
from pathlib import Path

from cryptography.x509 import Certificate

from calllog.errors import ConfigError
from calllog.journal import Journal, Verification
from calllog.office.stamping import Seen, check_response, require_library
from calllog.office.summary import verify_job
from calllog.session.keys import Signer
from calllog.session.kinds import SignOff, Stamp
from calllog.session.replay import Replay, replay

HARMLESS = ("signed", "stamped")
"""Kinds of entries that change nothing of what stands before them."""


class Signature(StrEnum):
    """What may be said of a sign-off's signature; a bad one makes the job wrong."""

    NONE = "none"
    GOOD = "good"
    """It fits; whose key it is was not asked."""
    SIGNER = "good, by a signer"
    """It fits, and the key is that of the signer named."""
    UNKNOWN = "key not among the signers"
    OTHER = "key not that of this signer"
    """The signers have another key for this name, or another name for this key."""


@dataclass(frozen=True, slots=True)
class Signed:
    """A sign-off, and what may be said of its signature."""

    sign_off: SignOff
    signature: Signature
    later: tuple[tuple[int, str], ...]
    """Sequence and kind of the entries after it that it does not cover."""


@dataclass(frozen=True, slots=True)
class Stamped:
    """A time stamp, and what came of checking it."""

    stamp: Stamp
    is_checked: bool
    wrong: str = ""
    """Why it does not hold; empty if it does, or was not checked."""


@dataclass(frozen=True, slots=True)
class Standing:
    """What may be said of a job."""

    found: Verification
    """Whether it is consistent in itself, and which entry has the hash noted."""
    replay: Replay | None
    """What it says; None if it is not consistent."""
    since_noted: tuple[tuple[int, str], ...] = ()
    """Sequence and kind of the entries after the one noted."""
    signed: tuple[Signed, ...] = ()
    stamped: tuple[Stamped, ...] = ()
    asks_signers: bool = False
    asks_authority: bool = False

    @property
    def later_than_noted(self) -> tuple[tuple[int, str], ...]:
        """The entries after the one noted that are neither sign-offs nor time stamps."""
        return tuple(each for each in self.since_noted if each[1] not in HARMLESS)

    @property
    def is_signed(self) -> bool:
        """Tell whether a signer has signed all but sign-offs and stamps, and nobody pretends."""
        kinds = [each.signature for each in self.signed]
        covered = any(each.signature is Signature.SIGNER and not each.later for each in self.signed)
        return covered and Signature.OTHER not in kinds

    @property
    def is_stamped(self) -> bool:
        """Tell whether there is a time stamp and all hold."""
        return bool(self.stamped) and not any(each.wrong for each in self.stamped)

    @property
    def is_as_asked(self) -> bool:
        """Tell whether all holds that was asked for."""
        return (
            self.found.ok
            and not self.later_than_noted
            and (self.is_signed or not self.asks_signers)
            and (self.is_stamped or not self.asks_authority)
        )


def standing(
    folder: Path,
    *,
    head: str | None = None,
    signers: Sequence[Signer] | None = None,
    authorities: Sequence[Certificate] | None = None,
) -> Standing:
    """Find what may be said of a job.

    Args:
        folder: the job.
        head: any 8 digits or more, in a row, of a hash that was noted elsewhere; None for none.
        signers: whose keys are known; None asks for no signer.
        authorities: certificates that are trusted for time stamps; None checks none.

    Raises:
        ConfigError: the hash noted is none or fits more than one entry, or time stamps cannot be
            checked here.
        JournalError: the folder is no job.
    """
    if authorities is not None:
        require_library()
    found = verify_job(folder, head=head)
    if not found.ok:
        return Standing(found, None)
    with Journal.open(folder, read_only=True) as journal:
        entries = tuple(islice(journal.entries(), found.entries))
    again = replay(entries)
    noted = found.entries if found.noted is None else found.noted
    return Standing(
        found=found,
        replay=again,
        since_noted=tuple((entry.sequence, entry.kind) for entry in entries[noted:]),
        signed=sign_offs(again, signers),
        stamped=tuple(_stamped(one, authorities) for one in again.stamps),
        asks_signers=signers is not None,
        asks_authority=authorities is not None,
    )


def sign_offs(again: Replay, signers: Sequence[Signer] | None = None) -> tuple[Signed, ...]:
    """Judge the sign-offs of a consistent job, so that signatures fit where there are any."""
    return tuple(Signed(one, _signature(one, signers), again.later(one)) for one in again.signed)


def _signature(one: SignOff, signers: Sequence[Signer] | None) -> Signature:
    if not one.is_signed:
        return Signature.NONE
    if signers is None:
        return Signature.GOOD
    by_name = [one.by in each.names for each in signers]
    by_key = [one.public_key == each.public for each in signers]
    if any(name and key for name, key in zip(by_name, by_key, strict=True)):
        return Signature.SIGNER
    return Signature.OTHER if any(by_name) or any(by_key) else Signature.UNKNOWN


def _stamped(one: Stamp, authorities: Sequence[Certificate] | None) -> Stamped:
    if authorities is None:
        return Stamped(one, is_checked=False)
    try:
        seen = check_response(b64decode(one.response, validate=True), authorities)
    except NotBase64:
        return Stamped(one, is_checked=True, wrong="it is no response of a time stamp authority")
    except ConfigError as error:
        return Stamped(one, is_checked=True, wrong=error.what)
    stated = Seen(one.state_hash, one.time_utc, one.authority)
    wrong = "" if seen == stated else "the entry says something else than the time stamp in it"
    return Stamped(one, is_checked=True, wrong=wrong)
