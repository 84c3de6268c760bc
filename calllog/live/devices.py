"""What a field loop stands between: sound in, words, screen and phones out, as protocols; shell."""

from collections.abc import Callable
from typing import Protocol, runtime_checkable

from calllog.audio.echo import LeftBlock
from calllog.audio.endpoint import Samples
from calllog.audio.events import Event
from calllog.errors import AudioError
from calllog.panel import View, ViewText
from calllog.phone.crew_desk import Aloud
from calllog.readback import Saying
from calllog.server.messages import OrderAnswer, Ordered
from calllog.session import PhonePaired, Replay, Told
from calllog.session.live import LiveCrew
from calllog.values import Message


class SoundSource(Protocol):
    """Where sound comes from (see `calllog.audio.microphone.Microphone`)."""

    def read(self, timeout_s: float) -> Event | None:
        """Return what came next, waiting for it if need be."""


@runtime_checkable
class KeepsSound(Protocol):
    """A source that keeps what came late (see `calllog.phone.crew.CrewPhones`)."""

    def sound(self, channel: int, begin_s: float, end_s: float) -> Samples:
        """Give all that is known of a stretch of a channel by now, on the monotonic clock [s]."""


class Speaker(Protocol):
    """What says sayings (see `calllog.readback.Player`)."""

    def say(self, saying: Saying) -> None:
        """Say something as soon as may be; never waits."""

    def stop(self) -> None:
        """Be silent at once."""

    def give_way(self) -> Saying | None:
        """Break off read-backs; give the last whose words had not all come out."""

    def loudness(self, begin_s: float, end_s: float) -> float:
        """Give the greatest power of sound that came out in a stretch of the clock [s]."""

    def left(self) -> tuple[LeftBlock, ...]:
        """Give all sound that left since that was asked last (see `calllog.readback.Player`)."""

    def was_out(self, begin_s: float, end_s: float) -> bool:
        """Tell whether words came out at any moment of a stretch of the clock [s]."""

    def fault(self) -> str | None:
        """Tell once that the output was lost."""

    @property
    def is_idle(self) -> bool:
        """Nothing sounds and nothing waits."""


class Screen(Protocol):
    """What shows views (see `calllog.panel.Panel`)."""

    def show(self, view: View) -> None:
        """Show a view."""


class Phones(Protocol):
    """The chief's page (see `calllog.phone.desk.Desk`)."""

    @property
    def words(self) -> str:
        """How a phone gets in."""

    @property
    def invitation(self) -> tuple[str, ...]:
        """What is shown in place of all else; empty if nothing is."""

    def press(self, key: str) -> bool:
        """Take a key that is for the phones; tell whether it is."""

    def guest(self, phone: str) -> PhonePaired | None:
        """Give a phone that may decide at this moment; None if it may not."""

    def show(self, view: ViewText, replay: Replay) -> None:
        """Show the job."""

    def show_crew(self, view: ViewText) -> None:
        """Show the crew's own phones, in their language, where the work stands."""

    def withhold(self, view: ViewText) -> None:
        """Show the job as it was shown last, since what followed is not on disk."""

    def read(self) -> tuple[Ordered | Message | Aloud, ...]:
        """Give the orders that have come, and what else the crew must know."""

    def answer(self, ordered: Ordered, answer: OrderAnswer) -> None:
        """Tell a phone what became of its order."""


class MakeCrew(Protocol):
    """Makes the crew that a loop runs."""

    def __call__(
        self,
        on_told: Callable[[Told], None],
        on_window: Callable[[Samples, tuple[bool, ...]], None],
        on_unkept: Callable[[AudioError], None],
    ) -> LiveCrew:
        """Make it, given what is told calls, windows, and sound that cannot be written."""
