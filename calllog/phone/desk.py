"""Phone: the field loop's side of the page: states out, orders in, phones journalled; shell.

The page is served by a process of its own, which is never waited for: no more than a few messages
are under way at once, of states only the newest is kept, and a process that dies is begun again
with the same socket, so that a phone that asks meanwhile only waits.
"""

from __future__ import annotations

import importlib.util
import json
import os
import secrets
import time
from collections import deque
from collections.abc import Callable, Iterable
from dataclasses import asdict, replace
from multiprocessing.connection import Pipe
from pathlib import Path
from types import TracebackType
from typing import Self

from pydantic import ValidationError

from calllog import children
from calllog.errors import ConfigError
from calllog.journal import has_changed_sound
from calllog.panel import ViewText
from calllog.phone.computer import computer_key
from calllog.phone.crew_desk import Aloud, CrewDesk
from calllog.phone.guests import Guests
from calllog.phone.messages import (
    FROM_PAGE,
    Admission,
    Admitted,
    Agreed,
    Beat,
    Began,
    Fares,
    FromPage,
    Got,
    Joined,
    Keyed,
    Knock,
    Left,
    OrderAnswer,
    Ordered,
    OrderTold,
    Parted,
    Past,
    PhoneState,
    Ready,
    Speak,
    Spent,
    ToPage,
    for_page,
)
from calllog.phone.place import Place
from calllog.phone.plain import plain_all
from calllog.phone.shown import Shown, card, shown
from calllog.session import CHIEF, Job, PhonePaired, Replay
from calllog.values import Message, ReadingUnit, Role, Segment, message

SERVING = "calllog.phone.serving"
NEEDS = ("starlette", "uvicorn", "segno")
CREW_NEEDS = ("websockets",)
CODE_DIGITS = 8
BEAT_S = 0.7
"""How often the page is told that the loop is at work."""
UNDER_WAY = 65_536
"""Bytes that the page may not have taken yet: less than the pipe holds."""
CARDS = 8
"""Booked pulls sent at once."""
INVITED_S = 60.0
"""How long the invitation stands in the panel's place."""
READY_S = 20.0
AGAIN_S = 1.0
"""Between two beginnings of a process that dies; twice as long each time that it dies at once."""
MOST_AGAIN_S = 64.0
MOST_BYTES = 8192
"""Of a message of the page."""
AT_ONCE = 16
"""Messages of the page taken in one turn."""
CLOSE_S = 2.0
TAKES_OVER = "t"
"""The key that lets a phone be head's or rear's in the place of another."""
YES = "y"
"""The key that lets in the phones that were paired before."""
LOGGER = "logger"
"""Who revokes a phone by the logger's keyboard, as it is journalled."""


News = Ordered | Message | Aloud


class Desk:
    """Serves the chief's page of a job while it is open.

    Args:
        job: the job, with its line begun.
        sitting: number of the sitting, which tells its states from those before.
        place: where.
        clock: the monotonic clock [s].
        key: this computer's (`calllog.phone.computer`); read or made if left out.
        crew: head's and rear's phones; None where there are to be none.
        has_keys: whether there is a keyboard of the logger's own, to let phones in by.

    Raises:
        ConfigError: what the page needs is not installed, it cannot be served there, or the
            computer's key cannot be kept.
    """

    def __init__(
        self,
        job: Job,
        sitting: int,
        place: Place,
        clock: Callable[[], float] = time.monotonic,
        key: bytes | None = None,
        *,
        has_keys: bool = True,
        crew: CrewDesk | None = None,
    ) -> None:
        needs = NEEDS if crew is None else (*NEEDS, *CREW_NEEDS)
        missing = [each for each in needs if importlib.util.find_spec(each) is None]
        if missing:
            raise ConfigError(
                f"{', '.join(missing)} is not installed",
                where="--page",
                next_step="pip install 'calllog[phone]'",
            )
        self._job = job
        self._sitting = sitting
        self._place = place
        self._clock = clock
        self._crew = crew
        self._code = _new_code()
        kept = computer_key() if key is None else key
        self._guests = Guests(job, kept, can_ask=has_keys)
        self._number = 0
        self._shown: tuple[Shown, int] | None = None
        self._state: PhoneState | None = None
        self._booked: list[Segment] = []
        self._cards: list[str] = []
        """The booked pulls as they are sent."""
        self._past = 0
        """How often the booked pulls have changed."""
        self._waiting: deque[ToPage] = deque()
        """All but states and beats, in order."""
        self._is_state_due = False
        self._under_way: deque[int] = deque()
        """Sizes of what was sent and is not taken yet [bytes]."""
        self._held = b""
        """What does not fit yet."""
        self._told_s = self._begun_s = clock()
        self._is_ready = False
        self._is_open = True
        self._again_s = AGAIN_S
        self._news: list[Message | Aloud] = []
        self._invited_s: float | None = None
        self._invitation: tuple[str, ...] = ()
        self._is_sound_genuine = not has_changed_sound(job.folder, job.replay.calls)
        self._socket = place.listen()
        if crew is not None:
            crew.open(job, self._guests, self.speak)
            self._news += crew.news
        if not self._is_sound_genuine:
            self._news.append(message("device-sound-changed"))
        if place.is_open_to_others and place.certificate is None:
            self._news.append(message("device-page-unencrypted"))
        if strange := self._guests.strange:
            self._news.append(message("device-phones-strange", count=strange))
        self._begin()
        self._await_ready()

    @property
    def _unit(self) -> ReadingUnit:
        """What the tapes of the job are graduated in."""
        state = self._job.replay.state
        return ReadingUnit.FOOT if state is None else state.settings.unit

    @property
    def _may_hear(self) -> bool:
        """Whether the chief may listen: all agreed, and every sound is the one recorded."""
        return self._is_sound_genuine and self._job.replay.voices.all_allow(CHIEF)

    @property
    def words(self) -> str:
        """Tell how a phone gets in, which are, and which wait for the logger's yes."""
        paired = _listed(self._guests.inside) or "none yet"
        waiting = _listed(self._guests.waiting)
        told = f"{self._place.origin}  code {_spaced(self._code)}  paired: {paired}  (p: QR)"
        if self._crew is not None:
            told = f"{told}  {self._crew.states}"
        if rivals := _listed(self._guests.rivals):
            told = f"{told}  {rivals} - {TAKES_OVER} lets them take over"
        return f"{told}  paired before: {waiting} - {YES} lets them in" if waiting else told

    @property
    def invitation(self) -> tuple[str, ...]:
        """The code to be photographed, and the phones that may be struck; empty unless wanted."""
        if self._invited_s is None or self._clock() - self._invited_s > INVITED_S:
            return ()
        return self._invitation

    def press(self, key: str) -> bool:
        """Take a key of the logger's keyboard; tell whether it was for the phones.

        ``p`` shows the invitation or puts it away; while it is shown, a phone's letter revokes it.
        ``y`` lets in the phones that were paired in an earlier sitting, ``t`` lets a phone be
        head's or rear's in the place of another.
        """
        if key == "p":
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

    def guest(self, phone: str) -> PhonePaired | None:
        """Give a phone that may decide at this moment; None if it may not."""
        return self._guests.guest(phone)

    def show(self, view: ViewText, replay: Replay) -> None:
        """Show the job, if anything on the page has changed."""
        self._follow_past(replay)
        if self._crew is not None:
            self._crew.follow(replay)
        self._tell_shown(shown(view, replay, may_hear=self._may_hear))

    def show_crew(self, view: ViewText) -> None:
        """Show the crew's own phones, in their language, where the work stands."""
        if self._crew is not None:
            self._crew.show(view)

    def withhold(self, view: ViewText) -> None:
        """Show the job as it was shown last, with a stop: what followed is not on disk.

        Args:
            view: says so.
        """
        if self._shown is None:
            return
        self._tell_shown(
            replace(
                self._shown[0],
                sign=view.sign.value,
                verdict=view.verdict,
                remedy=view.remedy,
                notices=view.notices,
                choices=(),
                scratch="",
                can_repeat=False,
                values=(),
            )
        )

    def _tell_shown(self, moment: Shown) -> None:
        seen = (moment, self._past)
        if seen != self._shown:
            self._shown = seen
            self._number += 1
            content = {**asdict(seen[0]), "past": self._past, "id": self._state_id}
            text = json.dumps(plain_all(content), ensure_ascii=False, separators=(",", ":"))
            self._state = PhoneState(self._sitting, self._number, text)
            self._is_state_due = True
        self._send()

    def speak(self, role: Role, text: str) -> None:
        """Bring JSON to the phone of a role, or nowhere while there is none."""
        self._waiting.append(Speak(role, text))
        self._send()

    def read(self) -> tuple[News, ...]:
        """Give the orders that have come, and what else the crew must know."""
        orders: list[News] = []
        try:
            for _ in range(AT_ONCE):
                if not self._pipe.poll(0.0):
                    break
                told = self._pipe.recv_bytes(MOST_BYTES)
                self._take(FROM_PAGE.validate_json(told), orders)
        except (EOFError, OSError, ValidationError):
            self._lose()
        if not self._is_open and self._clock() - self._begun_s > self._again_s:
            self._begin()
        if self._crew is not None:
            self._news += self._crew.due()
        self._send()
        news, self._news = self._news, []
        return (*news, *orders)

    def answer(self, ordered: Ordered, answer: OrderAnswer) -> None:
        """Tell a phone what became of its order."""
        self._waiting.append(OrderTold(ordered.phone, answer))
        self._send()

    def close(self) -> None:
        """End the page; closing twice does no harm."""
        self._is_open = False
        self._pipe.close()
        if self._crew is not None:
            self._crew.close()
        try:
            self._process.wait(CLOSE_S)
        except children.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        self._socket.close()

    def __enter__(self) -> Self:
        """Use the desk in a ``with`` statement."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """End the page."""
        self.close()

    def _await_ready(self) -> None:
        try:
            if not self._pipe.poll(READY_S):
                raise TimeoutError
            self._take(FROM_PAGE.validate_json(self._pipe.recv_bytes(MOST_BYTES)), [])
        except (EOFError, OSError, ValidationError) as error:
            self.close()
            raise ConfigError(
                "the page's process did not start",
                where="--page",
                next_step="free some memory and try again",
            ) from error

    @property
    def _state_id(self) -> str:
        return f"{self._sitting}-{self._number}"

    def _begin(self) -> None:
        """Begin the process, and tell it everything."""
        is_kept_from_chief = self._crew is not None and not self._crew.may_hear(CHIEF)
        may_hear = self._may_hear and not is_kept_from_chief
        sounds_in = self._job.folder.resolve() if may_hear else Path(os.devnull)
        self._pipe, theirs = Pipe()
        handed = (theirs.fileno(), self._socket.fileno())
        papers = [str(each) for each in (self._place.certificate, self._place.key) if each]
        about = (self._place.origin, str(sounds_in), self._unit.value)
        crew, more = ("", ()) if self._crew is None else self._crew.hand_over()
        words = (*map(str, handed), *about, crew, *papers)
        self._process = children.begin_python("-m", SERVING, *words, handed=(*handed, *more))
        theirs.close()
        if self._crew is not None:
            self._crew.handed_over()
        self._begun_s = self._clock()
        self._is_open, self._is_ready, self._held = True, False, b""
        self._under_way.clear()
        self._waiting.clear()
        self._waiting.append(self._entry)
        self._send_cards(0)
        self._follow_past(self._job.replay)
        self._is_state_due = self._state is not None

    @property
    def _entry(self) -> Admission:
        return Admission(self._code, self._guests.known)

    def _lose(self) -> None:
        """Take it that the process is gone."""
        if not self._is_open:
            return
        self._is_open = False
        self._process.kill()
        code = self._process.wait()
        self._pipe.close()
        lived_s = self._clock() - self._begun_s
        longer_s = min(2 * self._again_s, MOST_AGAIN_S)
        self._again_s = AGAIN_S if lived_s > MOST_AGAIN_S else longer_s
        self._job.note("page_lost", {"exit_code": code})
        self._news.append(message("device-page-lost"))

    def _take(self, sent: FromPage, orders: list[News]) -> None:
        match sent:
            case Ready():
                self._is_ready = True
            case Got():
                self._under_way.popleft()
            case Ordered():
                orders.append(sent)
            case Knock():
                self._pair(sent)
            case Left(phone=phone):
                self._revoke(phone, phone)
            case Spent():
                self._job.note("phone_codes_guessed", {})
                self._news.append(message("device-page-code-guessed"))
                self._renew()
            case Joined() | Parted() | Agreed() | Keyed() | Fares() | Began():
                if self._crew is not None:
                    self._news += self._crew.take(sent)

    def _pair(self, knock: Knock) -> None:
        # the page has looked at both, but may not have heard yet of who came just before
        if knock.code != self._code or not self._guests.may_have(knock.name):
            self._waiting.append(Admitted(knock.number, ""))
            return
        paired = self._guests.pair(knock.name, knock.secret_sha256, knock.role)
        self._news.append(message("device-phone-paired", name=paired.who))
        self._invited_s = None
        self._renew()
        self._waiting.append(Admitted(knock.number, paired.phone))

    def _take_over(self) -> None:
        self._news += [
            message("device-phone-took-over", name=each.who, role=each.role)
            for each in self._guests.take_over()
        ]
        self._waiting.append(self._entry)
        self._send()

    def _let_in(self) -> None:
        let_in = self._guests.let_in()
        self._news += [message("device-phone-let-in", name=each.who) for each in let_in]
        self._waiting.append(self._entry)
        self._invite()
        self._send()

    def _revoke(self, phone: str, by: str) -> None:
        who = self._guests.revoke(phone, by)
        if not who:
            return
        self._news.append(message("device-phone-revoked", name=who))
        self._waiting.append(self._entry)
        self._invite()
        self._send()

    def _renew(self) -> None:
        self._code = _new_code()
        self._waiting.append(self._entry)
        self._invite()

    def _invite(self) -> None:
        if self._invited_s is not None:
            address = f"{self._place.origin}/#{self._code}"
            inside, waiting = self._guests.inside, self._guests.waiting
            phones = tuple(each.who for each in (*inside, *waiting))
            from calllog.phone.invitation import rows  # noqa: PLC0415 - of an optional extra

            code = _spaced(self._code)
            self._invitation = rows(
                address, self._place.origin, code, phones, waiting=len(waiting), yes=YES
            )

    def _follow_past(self, replay: Replay) -> None:
        """Send what has changed of the booked pulls."""
        known, now = self._booked, replay.segments
        while known and (len(known) > len(now) or known[-1] is not now[len(known) - 1]):
            known.pop()
        if len(known) < len(self._cards):
            del self._cards[len(known) :]
            self._waiting.append(Past(len(known), ()))
            self._past += 1
        if (first := len(known)) < len(now):
            for segment in now[first:]:
                before = known[-1] if known else None
                heard = card(
                    segment, before, replay.calls, may_hear=self._may_hear, unit=self._unit
                )
                seen = plain_all(asdict(heard))
                self._cards.append(json.dumps(seen, ensure_ascii=False, separators=(",", ":")))
                known.append(segment)
            self._send_cards(first)
            self._past += 1

    def _send_cards(self, first: int) -> None:
        for place in range(first, len(self._cards), CARDS):
            self._waiting.append(Past(place, tuple(self._cards[place : place + CARDS])))

    def _send(self) -> None:
        """Send what waits, as far as the page has taken what was sent before."""
        if not (self._is_open and self._is_ready):
            return
        try:
            while self._held or self._hold_next():
                if self._under_way and sum(self._under_way) + len(self._held) > UNDER_WAY:
                    return
                self._pipe.send_bytes(self._held)
                self._under_way.append(len(self._held))
                self._held, self._told_s = b"", self._clock()
        except OSError:
            self._lose()

    def _hold_next(self) -> bool:
        told = self._next()
        self._held = b"" if told is None else for_page(told)
        return told is not None

    def _next(self) -> ToPage | None:
        """Give what is to be told next; a beat only if nothing is under way."""
        if self._waiting:
            return self._waiting.popleft()
        if self._is_state_due and self._state is not None:
            self._is_state_due = False
            return self._state
        return Beat() if self._clock() - self._told_s >= BEAT_S else None


def _new_code() -> str:
    return f"{secrets.randbelow(10**CODE_DIGITS):0{CODE_DIGITS}}"


def _listed(phones: Iterable[PhonePaired]) -> str:
    return ", ".join(each.who for each in phones)


def _spaced(code: str) -> str:
    return f"{code[:4]} {code[4:]}"
