"""Phone: the job in, what the chief's page shows of it out: one moment, numbered, and its past.

Only what has changed is told. Whether the chief may hear the crew is part of it.
"""

import json
from collections.abc import Iterator
from dataclasses import asdict, replace

from calllog.journal import has_changed_sound
from calllog.panel import ViewText
from calllog.phone.cards import Cards
from calllog.phone.page_process import PageProcess
from calllog.phone.plain import plain_all
from calllog.phone.shown import Shown, shown
from calllog.server.messages import PhoneState, ToPage
from calllog.session import CHIEF, Job, Replay
from calllog.values import ReadingUnit
from calllog.wording import Words


class Showing:
    """What the page shows of a job.

    Args:
        job: the job, with its line begun.
        sitting: number of the sitting, which tells its states from those before.
        page: what is told.
        words: of the crew.
    """

    def __init__(self, job: Job, sitting: int, page: PageProcess, words: Words) -> None:
        self._job = job
        self._sitting = sitting
        self._page = page
        self._words = words
        self._cards = Cards(words)
        self._number = 0
        self._shown: tuple[Shown, int] | None = None
        self.is_sound_genuine = not has_changed_sound(job.folder, job.replay.calls)
        """Whether every sound is the one that was recorded."""

    @property
    def unit(self) -> ReadingUnit:
        """What the tapes of the job are graduated in."""
        state = self._job.replay.state
        return ReadingUnit.FOOT if state is None else state.settings.unit

    @property
    def may_hear(self) -> bool:
        """Whether the chief may listen: all agreed, and every sound is the one recorded."""
        return self.is_sound_genuine and self._job.replay.voices.all_allow(CHIEF)

    def anew(self) -> Iterator[ToPage]:
        """Give the past of the job to a page that has just begun."""
        yield from self._cards.all()
        yield from self._cards.follow(self._job.replay, self.unit, may_hear=self.may_hear)

    def show(self, view: ViewText, replay: Replay) -> None:
        """Show the job, if anything on the page has changed."""
        self._page.tell(*self._cards.follow(replay, self.unit, may_hear=self.may_hear))
        self._tell(shown(view, replay, self._words, may_hear=self.may_hear))

    def withhold(self, view: ViewText) -> None:
        """Show the job as it was shown last, with a stop: what followed is not on disk."""
        if self._shown is None:
            return
        self._tell(
            replace(
                self._shown[0],
                sign=view.sign.value,
                sign_told=self._words("screen-sign", sign=view.sign.name),
                verdict=view.verdict,
                remedy=view.remedy,
                notices=view.notices,
                choices=(),
                scratch="",
                can_repeat=False,
                values=(),
            )
        )

    def _tell(self, moment: Shown) -> None:
        seen = (moment, self._cards.changes)
        if seen == self._shown:
            self._page.send()
            return
        self._shown = seen
        self._number += 1
        state = f"{self._sitting}-{self._number}"
        content = {**asdict(moment), "past": self._cards.changes, "id": state}
        text = json.dumps(plain_all(content), ensure_ascii=False, separators=(",", ":"))
        self._page.show(PhoneState(self._sitting, self._number, text))
