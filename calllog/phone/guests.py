"""Phone: the pairings that a journal tells of in, who may look and decide now out; shell.

Anybody can write a pairing into a journal, so one counts only with the seal of this computer, for
this job, this phone and this secret; and it lets in only in the sitting in which the code was
given, or after the one at the logger has said yes in this one.
"""

import hashlib
import hmac
import json
import secrets

from calllog.server.messages import Guest
from calllog.server.names import is_free
from calllog.session import Job, PhonePaired
from calllog.values import Role

LETTERS = "bcdfghjkmnpqrstvwxz23456789"
"""Of what a phone is known by: no vowels, so no words, and nothing that looks like another."""
LENGTH = 4


def seal(
    key: bytes,
    origin: str,
    name: str,
    phone: str,
    secret_sha256: str,
    *,
    role: Role = Role.UNSAID,
) -> str:
    """Seal a pairing: HMAC-SHA256 (RFC 2104) of everything that it says.

    Args:
        key: this computer's.
        origin: the job's (`calllog.session.Replay`).
        name: given by the phone's owner.
        phone: what the phone is known by.
        secret_sha256: of the phone's secret.
        role: whose it is to be; the chief's page if unsaid, as all were before there were others.
    """
    said = [] if role is Role.UNSAID else [role.value]
    text = json.dumps(["phone paired", origin, name, phone, secret_sha256, *said])
    return hmac.new(key, text.encode(), hashlib.sha256).hexdigest()


class Guests:
    """The phones of a job that is at work.

    Args:
        job: the job.
        key: this computer's.
        can_ask: whether the one at the logger can say yes to those that were paired before; else
            they pair again.
    """

    def __init__(self, job: Job, key: bytes, *, can_ask: bool = True) -> None:
        self._job = job
        self._key = key
        paired = tuple(job.replay.phones.values())
        self._waiting = {each.phone: each for each in paired if can_ask and self._counts(each)}
        self._inside: dict[str, PhonePaired] = {}
        self._holders: dict[Role, str] = {}
        self.strange = len(paired) - len(self._waiting)
        """How many pairings do not count in this sitting."""

    @property
    def inside(self) -> tuple[PhonePaired, ...]:
        """Those that may look and decide."""
        return tuple(self._inside.values())

    @property
    def waiting(self) -> tuple[PhonePaired, ...]:
        """Those that were paired in an earlier sitting, and wait for the logger's yes."""
        return tuple(self._waiting.values())

    @property
    def known(self) -> dict[str, Guest]:
        """All of them, as the page is told."""
        return {
            each.phone: Guest(
                each.name,
                each.secret_sha256,
                is_in=each.phone in self._inside,
                role=each.role,
                holds=self._holders.get(each.role) == each.phone,
            )
            for each in (*self.inside, *self.waiting)
        }

    def holder(self, role: Role) -> PhonePaired | None:
        """Give the phone that is head's or rear's; None while there is none."""
        return self._inside.get(self._holders.get(role, ""))

    def role_of(self, phone: str) -> Role | None:
        """Tell whose microphone, ear and keys a phone is now; None if it is nobody's."""
        held = (role for role, holder in self._holders.items() if holder == phone)
        return next(held, None) if phone in self._inside else None

    @property
    def rivals(self) -> tuple[PhonePaired, ...]:
        """Those that want to be what another phone is: they wait for the logger's yes."""
        return tuple(
            each
            for each in self.inside
            if each.role is not Role.UNSAID and self._holders.get(each.role) != each.phone
        )

    def take_over(self) -> tuple[PhonePaired, ...]:
        """Let the newest rival of each role take it: the one at the logger has said yes."""
        newest = {each.role: each for each in self.rivals}
        for each in newest.values():
            self._hold(each)
        return tuple(newest.values())

    def guest(self, phone: str) -> PhonePaired | None:
        """Give a phone that may decide at this moment; None if it may not."""
        paired = self._inside.get(phone)
        return paired if self._job.replay.phones.get(phone) is paired else None

    def may_have(self, name: str) -> bool:
        """Tell whether a phone may be paired under a name."""
        return is_free(name, [each.name for each in (*self.inside, *self.waiting)])

    def pair(self, name: str, secret_sha256: str, role: Role = Role.UNSAID) -> PhonePaired:
        """Pair a phone, and let it in; it is head's or rear's at once where no other is."""
        replay = self._job.replay
        phone = _new_phone()
        while phone in replay.phones or phone in replay.revoked:
            phone = _new_phone()
        sealed = seal(self._key, replay.origin, name, phone, secret_sha256, role=role)
        content = {"name": name, "phone": phone, "secret_sha256": secret_sha256, "seal": sealed}
        if role is not Role.UNSAID:
            content["role"] = role.value
        self._job.note("phone_paired", dict(content))
        self._inside[phone] = replay.phones[phone]
        self._fill(role)
        return self._inside[phone]

    def let_in(self) -> tuple[PhonePaired, ...]:
        """Let in those that wait: the one at the logger has said yes."""
        waiting, self._waiting = self._waiting, {}
        for phone, each in waiting.items():
            self._job.note("phone_let_in", {"name": each.name, "phone": phone})
            self._inside[phone] = each
        for role, phone in dict(self._job.replay.holding).items():
            if phone in waiting and role not in self._holders:
                self._hold(waiting[phone])
        for each in waiting.values():
            self._fill(each.role)
        return tuple(waiting.values())

    def revoke(self, phone: str, by: str) -> str:
        """Revoke a phone, by itself or "logger"; give who it was, empty if there is none such."""
        paired = self._inside.pop(phone, None) or self._waiting.pop(phone, None)
        if paired is None:
            return ""
        self._job.note("phone_revoked", {"name": paired.name, "phone": phone, "by": by})
        if self._holders.get(paired.role) == phone:
            del self._holders[paired.role]
            self._fill(paired.role)
        return paired.who

    def _fill(self, role: Role) -> None:
        """Let the newest phone of a role be head's or rear's where no other is."""
        wanting = [each for each in self.inside if each.role is role]
        if role is not Role.UNSAID and role not in self._holders and wanting:
            self._hold(wanting[-1])

    def _hold(self, paired: PhonePaired) -> None:
        said = {"name": paired.name, "phone": paired.phone, "role": paired.role.value}
        self._job.note("phone_holds", dict(said))
        self._holders[paired.role] = paired.phone

    def _counts(self, paired: PhonePaired) -> bool:
        """Tell whether a pairing was made here, for this job, and is as it was made."""
        made = seal(
            self._key,
            self._job.replay.origin,
            paired.name,
            paired.phone,
            paired.secret_sha256,
            role=paired.role,
        )
        given = paired.seal.encode("utf-8", "replace")
        return bool(paired.phone) and hmac.compare_digest(given, made.encode())


def _new_phone() -> str:
    return "".join(secrets.choice(LETTERS) for _ in range(LENGTH))
