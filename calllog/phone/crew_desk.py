"""Phone: what crew phones tell in, their consent journalled, what the crew must know of them out.

It stands between the desk, which serves the pages, and the sound, keys and ears of the crew's
phones; shell.
"""

import json
import socket
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date

from calllog.panel import ViewText
from calllog.phone.authority import AuthorityPapers
from calllog.phone.crew import CrewPhones, Idle
from calllog.phone.ears import Ears, Lexicon
from calllog.phone.guests import Guests
from calllog.phone.place import Place
from calllog.phone.plain import plain_all
from calllog.server.messages import Agreed, Began, Fares, Joined, Keyed, Parted
from calllog.server.offered import Offered
from calllog.session import Consent, Job, Person, Replay
from calllog.session.consent import EVERYONE
from calllog.session.kinds import content_of
from calllog.values import Message, Role, message
from calllog.wording import Words, language_words

MUTE, WAKE = '{"mute":true}', '{"mute":false}'


@dataclass(frozen=True, slots=True)
class Aloud:
    """Something that the crew must hear."""

    told: Message
    ear: Role = Role.UNSAID
    """In whose ear; in all if unsaid."""


@dataclass(frozen=True, slots=True)
class CrewTerms:
    """What is kept of who agrees on a phone."""

    keeps: bool = True
    """Clips of calls are kept at all."""
    until: date | None = None
    """The last day on which they are; None for no end."""
    listeners: tuple[str, ...] = EVERYONE


@dataclass(eq=False)
class CrewDesk:
    """Serves head's and rear's phones.

    Args:
        phones: their sound and keys.
        words: what they keep of it.
        terms: what is kept of their sound.
        language: of the crew.
        door: where the certificate is explained; None where none of ours is used.
        papers: that certificate.
    """

    phones: CrewPhones
    words: Lexicon
    terms: CrewTerms
    language: str
    door: Place | None = None
    papers: AuthorityPapers | None = None
    news: list[Message | Aloud] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._tell: Callable[[Role, str], None] = lambda _role, _text: None
        self.ears = Ears(self.phones.phones, self.words, self.tell, self.phones.clock)
        self._theirs: socket.socket | None = None
        self._job: Job | None = None
        self._guests: Guests | None = None
        self._calls = 0
        self._connected: set[str] = set()
        self._holders: dict[Role, tuple[str, bool]] = {}
        """Of each role, the phone that is its, and whether that is connected."""
        self._shown: dict[Role, object] = {}
        self._file = tempfile.TemporaryFile()  # noqa: SIM115 - closed with the desk
        self._file.write(self.words.wav)
        self._file.flush()
        self._door = None if self.door is None else self.door.listen()
        if self.door is not None and self.papers is not None:
            told = {"address": self.door.origin, "fingerprint": self.papers.fingerprint}
            self.news.append(message("device-phone-trust", **told))

    def tell(self, role: Role, text: str) -> None:
        """Bring JSON to the phone of a role."""
        self._tell(role, text)

    def open(self, job: Job, guests: Guests, tell: Callable[[Role, str], None]) -> None:
        """Begin to serve; `tell` brings JSON to the phone of a role."""
        self._job, self._guests, self._tell = job, guests, tell
        self._calls = len(job.replay.calls)

    def may_hear(self, listener: str) -> bool:
        """Tell whether somebody may listen to what is kept of who agrees here."""
        return listener in self.terms.listeners

    def hand_over(self) -> tuple[str, tuple[int, ...]]:
        """Give what the page's process needs, as JSON, and the descriptors that it gets."""
        self._theirs = self.phones.hand_over()
        offered = Offered(
            roles=tuple(self.phones.phones),
            language=self.language,
            keeps=self.terms.keeps,
            until=self.terms.until.isoformat() if self.terms.until else "",
            listeners=self.terms.listeners,
            words=self.words.index,
            words_in=self._file.fileno(),
            words_bytes=len(self.words.wav),
            words_sha256=self.words.sha256,
        )
        door = -1 if self._door is None else self._door.fileno()
        handed = {
            "offered": json.loads(offered.model_dump_json()),
            "sound": self._theirs.fileno(),
            "door": door,
            "certificate": self.papers.authority if self.papers else "",
            "door_origin": self.door.origin if self.door else "",
        }
        descriptors = (self._theirs.fileno(), self._file.fileno(), *((door,) if door >= 0 else ()))
        return json.dumps(handed), descriptors

    def handed_over(self) -> None:
        """Let go of what the page's process has by now."""
        if self._theirs is not None:
            self._theirs.close()
        self._connected.clear()
        self._settle()

    def close(self) -> None:
        """End it."""
        self.phones.close()
        self._file.close()
        if self._door is not None:
            self._door.close()

    def states(self, words: Words) -> str:
        """Tell how each phone stands, for the logger's screen."""
        return "; ".join(self._state(role, words) for role in self.phones.phones)

    def _state(self, role: Role, words: Words) -> str:
        holder = self._guests.holder(role) if self._guests else None
        named = words("crew-role", role=role.value)
        if holder is None:
            return words("phones-no-phone", role=named)
        if self.phones.is_muted(role):
            return words("phones-muted", role=named, name=holder.name)
        heard = "yes" if self.phones.is_heard(role) else "no"
        return words("phones-heard", role=named, name=holder.name, heard=heard)

    def follow(self, replay: Replay) -> None:
        """Note who called."""
        calls = replay.calls
        for call in calls[self._calls :]:
            self.phones.called(call.role, call.number)
        self._calls = len(calls)

    def show(self, view: ViewText) -> None:
        """Show each phone where the work stands, if that has changed or the phone is new."""
        shown = {
            "line": view.line,
            "sign": language_words(self.language)("screen-sign", sign=view.sign.name),
            "verdict": view.verdict,
            "expected": view.expected,
        }
        text = json.dumps({"show": plain_all(shown)}, ensure_ascii=False, separators=(",", ":"))
        for role in self.phones.phones:
            seen = (text, self._holders.get(role))
            if seen != self._shown.get(role) and self._holders.get(role, ("", False))[1]:
                self._shown[role] = seen
                self.tell(role, text)

    def take(
        self, sent: Joined | Parted | Agreed | Keyed | Fares | Began
    ) -> Sequence[Message | Aloud]:
        """Take what a phone tells; give what the crew must know of it."""
        if self._guests is None:
            return ()
        paired = self._guests.guest(sent.phone)
        if isinstance(sent, Agreed):
            if paired is not None and paired.role in self.phones.phones:
                self._agree(paired.name, paired.role, paired.who, keeps=sent.keeps)
            return ()
        if isinstance(sent, Joined | Parted):
            (self._connected.add if isinstance(sent, Joined) else self._connected.discard)(
                sent.phone
            )
            self._settle()
            return ()
        role = self._guests.role_of(sent.phone)
        if role is None or paired is None or role not in self.phones.phones:
            return ()
        match sent:
            case Keyed(key=key):
                if self.phones.press(role, key):
                    self.tell(role, WAKE)
            case Fares(battery=battery, is_dead=is_dead):
                return self._fare(role, paired.who, battery, is_dead=is_dead)
        return ()

    def due(self) -> Sequence[Message | Aloud]:
        """Give what the crew must know by now: a phone that nobody calls with is asked, muted."""
        self._settle()
        told: list[Message | Aloud] = []
        for role, what in self.phones.due():
            if what == Idle.MUTE:
                self.tell(role, MUTE)
                told.append(Aloud(message("device-phone-muted", role=role), role))
            else:
                told.append(Aloud(message("device-phone-idle", role=role), role))
        return told

    def _settle(self) -> None:
        """Follow whose phones are whose, and which are connected."""
        for role in self.phones.phones:
            holder = self._guests.holder(role) if self._guests else None
            phone = "" if holder is None else holder.phone
            now = (phone, phone in self._connected)
            before = self._holders.get(role, ("", False))
            if now == before:
                continue
            self._holders[role] = now
            self._shown.pop(role, None)
            if before[1]:
                self.phones.part(role)
            if holder is not None and now[1]:
                self.phones.name(role, holder.who)
                self.phones.join(role, is_other=phone != before[0])
                if self.phones.is_muted(role):
                    self.tell(role, MUTE)

    def _fare(
        self, role: Role, who: str, battery: int | None, *, is_dead: bool
    ) -> Sequence[Message | Aloud]:
        is_low, is_now_dead = self.phones.fare(role, battery, is_dead=is_dead)
        told: list[Message | Aloud] = []
        if is_low:
            told.append(Aloud(message("device-phone-battery", role=role), role))
            told.append(message("device-phone-battery-of", name=who, percent=battery or 0))
        if is_now_dead:
            told.append(Aloud(message("device-phone-dead", role=role)))
        return told

    def _agree(self, name: str, role: Role, who: str, *, keeps: bool) -> None:
        """Record what somebody answered on their phone, unless it stands already."""
        if self._job is None or not self.terms.keeps:
            return
        voices, today = self._job.replay.voices, self._job.today
        known = voices.people.get(name)
        stands = known is not None and known.holds(today)
        worn = voices.wearers.get(role, ())
        if keeps == stands and (not keeps or name in worn):
            return
        consent = Consent(
            people=(Person(name=name, role=role),),
            by=who,
            until=self.terms.until,
            listeners=self.terms.listeners,
            is_withdrawn=not keeps,
        )
        if keeps or known is not None:
            self._job.note("consent", content_of(consent))
