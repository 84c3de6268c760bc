"""Phone: the field loop's side of the page: the job in, orders and news of phones out; shell.

It brings together who gets in (`calllog.phone.reception`), what is shown (`calllog.phone.showing`),
the crew's own phones (`calllog.phone.crew_desk`) and the process that serves all of them
(`calllog.phone.page_process`).
"""

import importlib.util
import os
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from calllog.closing import Closes
from calllog.errors import ConfigError
from calllog.panel import ViewText
from calllog.phone.computer import computer_key
from calllog.phone.crew_desk import Aloud, CrewDesk
from calllog.phone.guests import Guests
from calllog.phone.page_process import Begin, PageProcess, begin_page
from calllog.phone.place import Place
from calllog.phone.reception import Reception
from calllog.phone.showing import Showing
from calllog.server.messages import (
    Agreed,
    Began,
    Fares,
    FromPage,
    Joined,
    Keyed,
    Knock,
    Left,
    OrderAnswer,
    Ordered,
    OrderTold,
    Parted,
    Speak,
    Spent,
    ToPage,
)
from calllog.session import CHIEF, Job, PhonePaired, Replay
from calllog.values import Message, Role, message
from calllog.wording import ENGLISH, Words

NEEDS = ("starlette", "uvicorn", "segno")
CREW_NEEDS = ("websockets",)

News = Ordered | Message | Aloud


class Desk(Closes):
    """Serves the chief's page of a job while it is open.

    Args:
        job: the job, with its line begun.
        sitting: number of the sitting, which tells its states from those before.
        place: where.
        clock: the monotonic clock [s].
        key: this computer's (`calllog.phone.computer`); read or made if left out.
        crew: head's and rear's phones; None where there are to be none.
        has_keys: whether there is a keyboard of the logger's own, to let phones in by.
        words: of the crew, that the pages are in.
        begin: begins the process that serves.
        is_waited_for: wait until that serves; else `wait` does, and until then other things can be
            got ready.

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
        words: Words = ENGLISH,
        crew: CrewDesk | None = None,
        begin: Begin = begin_page,
        is_waited_for: bool = True,
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
        self._place = place
        self._crew = crew
        self._words = words
        kept = computer_key() if key is None else key
        self._guests = Guests(job, kept, can_ask=has_keys)
        self._page = PageProcess(
            self._given, self._anew, self._begun, self._lost, begin=begin, clock=clock
        )
        self._reception = Reception(
            job, self._guests, place.origin, self._page.tell, clock, words=words
        )
        self._showing = Showing(job, sitting, self._page, words)
        self._news: list[Message | Aloud] = []
        self._socket = place.listen()
        if crew is not None:
            crew.open(job, self._guests, self.speak)
            self._news += crew.news
        if not self._showing.is_sound_genuine:
            self._news.append(message("device-sound-changed"))
        if place.is_open_to_others and place.certificate is None:
            self._news.append(message("device-page-unencrypted"))
        try:
            self._page.begin(is_waited_for=is_waited_for)
        except ConfigError:
            self._let_go()
            raise

    def wait(self) -> None:
        """Wait until the page is served; ConfigError if it is not."""
        self._page.wait()

    @property
    def is_served(self) -> bool:
        """Whether the page's process takes what it is told."""
        return self._page.is_ready

    @property
    def words(self) -> str:
        """Tell how a phone gets in, which are, and which wait for the logger's yes."""
        return self._reception.words("" if self._crew is None else self._crew.states(self._words))

    @property
    def invitation(self) -> tuple[str, ...]:
        """The code to be photographed, and the phones that may be struck; empty unless wanted."""
        return self._reception.invitation

    def press(self, key: str) -> bool:
        """Take a key of the logger's keyboard; tell whether it was for the phones."""
        return self._reception.press(key)

    def guest(self, phone: str) -> PhonePaired | None:
        """Give a phone that may decide at this moment; None if it may not."""
        return self._guests.guest(phone)

    def show(self, view: ViewText, replay: Replay) -> None:
        """Show the job, if anything on the page has changed."""
        if self._crew is not None:
            self._crew.follow(replay)
        self._showing.show(view, replay)

    def show_crew(self, view: ViewText) -> None:
        """Show the crew's own phones, in their language, where the work stands."""
        if self._crew is not None:
            self._crew.show(view)

    def withhold(self, view: ViewText) -> None:
        """Show the job as it was shown last, with a stop: what followed is not on disk."""
        self._showing.withhold(view)

    def speak(self, role: Role, text: str) -> None:
        """Bring JSON to the phone of a role, or nowhere while there is none."""
        self._page.tell(Speak(role, text))

    def read(self) -> tuple[News, ...]:
        """Give the orders that have come, and what else the crew must know."""
        orders: list[Ordered] = []
        for sent in self._page.read():
            self._take(sent, orders)
        self._news += self._reception.news()
        if self._crew is not None:
            self._news += self._crew.due()
        news, self._news = self._news, []
        return (*news, *orders)

    def answer(self, ordered: Ordered, answer: OrderAnswer) -> None:
        """Tell a phone what became of its order."""
        self._page.tell(OrderTold(ordered.phone, answer))

    def close(self) -> None:
        """End the page; closing twice does no harm."""
        self._page.close()
        self._let_go()

    def _let_go(self) -> None:
        if self._crew is not None:
            self._crew.close()
        self._socket.close()

    def _take(self, sent: FromPage, orders: list[Ordered]) -> None:
        match sent:
            case Ordered():
                orders.append(sent)
            case Knock() | Left() | Spent():
                self._reception.take(sent)
            case Joined() | Parted() | Agreed() | Keyed() | Fares() | Began():
                if self._crew is not None:
                    self._news += self._crew.take(sent)

    def _given(self) -> tuple[Sequence[str], Sequence[int]]:
        """Tell by what a process serves, and which descriptors it gets."""
        is_kept_from_chief = self._crew is not None and not self._crew.may_hear(CHIEF)
        may_hear = self._showing.may_hear and not is_kept_from_chief
        sounds_in = self._job.folder.resolve() if may_hear else Path(os.devnull)
        papers = [str(each) for each in (self._place.certificate, self._place.key) if each]
        about = (self._place.origin, str(sounds_in), self._showing.unit.value, self._words.language)
        crew, more = ("", ()) if self._crew is None else self._crew.hand_over()
        listening = self._socket.fileno()
        return (str(listening), *about, crew, *papers), (listening, *more)

    def _anew(self) -> Iterator[ToPage]:
        """Give what a process must be told first."""
        yield self._reception.entry
        yield from self._showing.anew()

    def _begun(self) -> None:
        if self._crew is not None:
            self._crew.handed_over()

    def _lost(self, code: int) -> None:
        self._job.note("page_lost", {"exit_code": code})
        self._news.append(message("device-page-lost"))
