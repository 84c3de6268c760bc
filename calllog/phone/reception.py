"""Phone: knocks and the logger's keys in, who gets in and how, out; shell.

Each pairing, revoking and letting in is an entry of the journal before the page is told of it.
"""

import secrets
import time
from collections.abc import Callable, Iterable

from calllog.phone.guests import Guests
from calllog.server.messages import Admission, Admitted, Knock, Left, Spent, ToPage
from calllog.session import Job, PhonePaired
from calllog.values import Message, message
from calllog.wording import ENGLISH, Words

CODE_DIGITS = 8
INVITED_S = 60.0
"""How long the invitation stands in the panel's place."""
INVITES = "p"
"""The key that shows the invitation, or puts it away."""
TAKES_OVER = "t"
"""The key that lets a phone be head's or rear's in the place of another."""
YES = "y"
"""The key that lets in the phones that were paired before."""
LOGGER = "logger"
"""Who revokes a phone by the logger's keyboard, as it is journalled."""


class Reception:
    """Lets phones in."""

    def __init__(
        self,
        job: Job,
        guests: Guests,
        origin: str,
        tell: Callable[[ToPage], None],
        clock: Callable[[], float] = time.monotonic,
        *,
        words: Words = ENGLISH,
    ) -> None:
        self._job = job
        self._words = words
        self._guests = guests
        self._origin = origin
        self._tell = tell
        self._clock = clock
        self._code = _new_code()
        self._news: list[Message] = []
        self._invited_s: float | None = None
        self._invitation: tuple[str, ...] = ()
        if strange := guests.strange:
            self._news.append(message("device-phones-strange", count=strange))

    @property
    def entry(self) -> Admission:
        """Who may come in, and by which code, as the page is told."""
        return Admission(self._code, self._guests.known)

    @property
    def invitation(self) -> tuple[str, ...]:
        """The code to be photographed, and the phones that may be struck; empty unless wanted."""
        if self._invited_s is None or self._clock() - self._invited_s > INVITED_S:
            return ()
        return self._invitation

    def words(self, crew: str = "") -> str:
        """Tell how a phone gets in, which are, and which wait for the logger's yes.

        Args:
            crew: how the crew's own phones stand.
        """
        say = self._words
        paired = _listed(self._guests.inside) or say("phones-none")
        told = [
            self._origin,
            say("phones-code", code=_spaced(self._code)),
            say("phones-paired", phones=paired),
            say("phones-invite", key=INVITES),
            crew,
        ]
        if rivals := _listed(self._guests.rivals):
            told.append(say("phones-rivals", phones=rivals, key=TAKES_OVER))
        if waiting := _listed(self._guests.waiting):
            told.append(say("phones-waiting", phones=waiting, key=YES))
        return "  ".join(filter(None, told))

    def news(self) -> list[Message]:
        """Give what the crew must know, once."""
        news, self._news = self._news, []
        return news

    def press(self, key: str) -> bool:
        """Take a key of the logger's keyboard; tell whether it was for the phones.

        ``p`` shows the invitation or puts it away; while it is shown, a phone's letter revokes it.
        ``y`` lets in the phones that were paired in an earlier sitting, ``t`` lets a phone be
        head's or rear's in the place of another.
        """
        if key == INVITES:
            self._invited_s = None if self.invitation else self._clock()
            self._invite()
            return True
        if key == YES and self._guests.waiting:
            self._let_in()
            return True
        if key == TAKES_OVER and self._guests.rivals:
            self._take_over()
            return True
        phones = list(self._guests.known)
        place = ord(key) - ord("A") if len(key) == 1 else -1
        if not self.invitation or not 0 <= place < len(phones):
            return False
        self._revoke(phones[place], LOGGER)
        return True

    def take(self, sent: Knock | Left | Spent) -> None:
        """Take what the page tells of who is at the door."""
        match sent:
            case Knock():
                self._pair(sent)
            case Left(phone=phone):
                self._revoke(phone, phone)
            case Spent():
                self._job.note("phone_codes_guessed", {})
                self._news.append(message("device-page-code-guessed"))
                self._renew()

    def _pair(self, knock: Knock) -> None:
        # the page has looked at both, but may not have heard yet of who came just before
        if knock.code != self._code or not self._guests.may_have(knock.name):
            self._tell(Admitted(knock.number, ""))
            return
        paired = self._guests.pair(knock.name, knock.secret_sha256, knock.role)
        self._news.append(message("device-phone-paired", name=paired.who))
        self._invited_s = None
        self._renew()
        self._tell(Admitted(knock.number, paired.phone))

    def _take_over(self) -> None:
        self._news += [
            message("device-phone-took-over", name=each.who, role=each.role)
            for each in self._guests.take_over()
        ]
        self._tell(self.entry)

    def _let_in(self) -> None:
        let_in = self._guests.let_in()
        self._news += [message("device-phone-let-in", name=each.who) for each in let_in]
        self._tell(self.entry)
        self._invite()

    def _revoke(self, phone: str, by: str) -> None:
        who = self._guests.revoke(phone, by)
        if not who:
            return
        self._news.append(message("device-phone-revoked", name=who))
        self._tell(self.entry)
        self._invite()

    def _renew(self) -> None:
        self._code = _new_code()
        self._tell(self.entry)
        self._invite()

    def _invite(self) -> None:
        if self._invited_s is None:
            return
        from calllog.phone.invitation import rows  # noqa: PLC0415 - of an optional extra

        inside, waiting = self._guests.inside, self._guests.waiting
        self._invitation = rows(
            f"{self._origin}/#{self._code}",
            self._origin,
            _spaced(self._code),
            tuple(each.who for each in (*inside, *waiting)),
            waiting=len(waiting),
            yes=YES,
            words=self._words,
        )


def _new_code() -> str:
    return f"{secrets.randbelow(10**CODE_DIGITS):0{CODE_DIGITS}}"


def _listed(phones: Iterable[PhonePaired]) -> str:
    return ", ".join(each.who for each in phones)


def _spaced(code: str) -> str:
    return f"{code[:4]} {code[4:]}"
