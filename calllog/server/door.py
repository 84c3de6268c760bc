"""Server: codes, secrets and times in, who may come in out; pure but for comparing in secret.

A code lets one phone in and is then replaced. A phone keeps a secret of 256 bits, of which only
the SHA-256 is kept here and in the journal.
"""

import hashlib
import hmac
import math
from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

from calllog.server.messages import Guest
from calllog.server.names import is_like, is_reserved, read_name

GUESSES = 5
"""Wrong codes that one address may try within `PAUSE_S`."""
PAUSE_S = 60.0
SPENT = 20
"""Wrong codes of all addresses after which a code is replaced, and the next counts only after
`PAUSE_S`: else many addresses could guess at thousands of codes a minute."""
ADDRESSES = 256
"""Addresses of which wrong codes are remembered."""


class Entrance(Enum):
    """What becomes of a code that was tried; the code of the message that says so."""

    OPEN = "open"
    WRONG = "door-wrong"
    WAIT = "door-wait"
    SPENT = "door-spent"
    TAKEN = "door-taken"
    NAMELESS = "door-nameless"
    RESERVED = "door-reserved"


def secret_sha256(secret: str) -> str:
    """Hash a phone's secret, as it is kept."""
    return hashlib.sha256(secret.encode()).hexdigest()


def token_of(secret: str) -> str:
    """Make what a page shows that it was given by this server, for one phone."""
    return hmac.new(secret.encode(), b"calllog page", hashlib.sha256).hexdigest()


def _refuse(name: str) -> Entrance | None:
    """Tell why no phone may be called so, whoever else is paired; None if it may."""
    if not name or read_name(name) != name:
        return Entrance.NAMELESS
    return Entrance.RESERVED if is_reserved(name) else None


@dataclass
class Door:
    """Lets phones in by the code, and knows them by their secrets."""

    code: str = ""
    """The code that counts; empty while none does."""
    phones: Mapping[str, Guest] = field(default_factory=dict)
    """Those that are paired, each by what the logger knows it by."""
    wrong: dict[str, deque[float]] = field(default_factory=dict)
    """When an address tried wrong codes, of the last `ADDRESSES` that did [s]."""
    _spent: int = 0
    _shut_until_s: float = -math.inf

    def renew(self, code: str, phones: Mapping[str, Guest]) -> None:
        """Let the next phone in by a code; a new one has not been guessed at."""
        if code != self.code:
            self.code, self._spent = code, 0
        self.phones = dict(phones)

    def try_code(self, code: str, name: str, address: str, now_s: float) -> Entrance:
        """Try a code; the one that lets in counts no more, one that does not still counts.

        Whether a phone is called so already is told to no one but who has the code.

        Args:
            code: what was typed; blanks do not count.
            name: what the phone is to be called, as `read_name` gives it.
            address: where it was typed.
            now_s: the monotonic clock [s].
        """
        wrong = self.wrong.get(address, deque(maxlen=GUESSES))
        while wrong and now_s - wrong[0] > PAUSE_S:
            wrong.popleft()
        if len(wrong) >= GUESSES or now_s < self._shut_until_s:
            return Entrance.WAIT
        if (refused := _refuse(name)) is not None:
            return refused
        given = "".join(code.split()).encode("utf-8", "replace")
        if self.code and hmac.compare_digest(given, self.code.encode()):
            if any(is_like(name, each.name) for each in self.phones.values()):
                return Entrance.TAKEN
            self.code = ""
            self.wrong.pop(address, None)
            return Entrance.OPEN
        return self._count_wrong(wrong, address, now_s)

    def knows(self, secret: str) -> str:
        """Name the phone that a secret is of by what it is known by; empty if it may not in."""
        phone = self._of(secret)
        return phone if phone and self.phones[phone].is_in else ""

    def awaits(self, secret: str) -> bool:
        """Tell whether a secret is of a phone that waits for the logger's yes."""
        phone = self._of(secret)
        return bool(phone) and not self.phones[phone].is_in

    def guest(self, secret: str) -> Guest | None:
        """Give the phone that a secret is of, let in or not; None if there is none."""
        return self.phones.get(self._of(secret))

    def _of(self, secret: str) -> str:
        digest = secret_sha256(secret)
        known = self.phones.items()
        return next((phone for phone, each in known if each.secret_sha256 == digest), "")

    def _count_wrong(self, wrong: deque[float], address: str, now_s: float) -> Entrance:
        wrong.append(now_s)
        self.wrong[address] = wrong
        while len(self.wrong) > ADDRESSES:
            del self.wrong[next(iter(self.wrong))]
        self._spent += 1
        if self._spent >= SPENT:
            self.code = ""
            self._shut_until_s = now_s + PAUSE_S
            return Entrance.SPENT
        return Entrance.WRONG
