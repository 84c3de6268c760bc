"""What the disk does in, what the crew hears and sees of it out; shell.

While anything is not on disk, nothing that followed from it is told, read back or shown: the crew
hears a stop with the number of calls that are not safe, and sees the job as it is on disk. What was
to be said is said when all is on disk.
"""

import math
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace

from calllog.panel import Sign, View
from calllog.readback import Notice, Saying, Tone, Verbosity, notice, unsaved
from calllog.session import Job
from calllog.spoken import Grammar
from calllog.values import Message, Outcome, message

RETRY_S = 1.0
"""How often the disk is tried again."""
WORDS_S = 3.0
"""The number of calls is said no oftener than this; between, the tone of a stop alone."""
REMIND_S = 20.0
SLOW_S = 3.0
"""A write that takes longer than this is told."""
SLOW_AGAIN_S = 30.0
LOOK_S = 0.5
EVENTS = ("call", "decision", "condition")


class Safety:
    """Follows whether a job's entries are on disk, and tells the crew.

    Args:
        job: the job; from now on what its disk refuses waits in memory.
        grammar: whose words are spoken.
        verbosity: how much is spoken.
        say: lets the crew hear something; also called by another thread.
        show: shows a notice for a while.
        clock: monotonic [s].
    """

    def __init__(
        self,
        job: Job,
        grammar: Grammar,
        verbosity: Verbosity,
        *,
        say: Callable[[Saying], None],
        show: Callable[[Message], None],
        clock: Callable[[], float],
    ) -> None:
        job.kept.is_patient = True
        self._job = job
        self._kept = job.kept
        self._grammar = grammar
        self._verbosity = verbosity
        self._say = say
        self._show = show
        self._clock = clock
        self._held: list[Saying] = []
        self._failed_s: float | None = None
        self._due_s: dict[str, float] = {}
        self._safe_view: View | None = None
        """What was shown last while all was on disk."""

    @property
    def is_safe(self) -> bool:
        """Everything is on disk."""
        return self._kept.is_safe

    @property
    def told(self) -> Message | None:
        """Tell what is not on disk; None if all is."""
        return None if self.is_safe else message("device-unsaved", calls=_calls(self._job))

    def hold(self, saying: Saying) -> None:
        """Keep what is to be said until all is on disk, and warn the crew in its place."""
        if not saying.is_silent:
            self._held.append(saying)
            self._warn()

    def remind(self) -> None:
        """Say again what is not on disk."""
        self._due_s.pop("words", None)
        self._warn()

    def follow(self) -> tuple[Saying, ...]:
        """Try the disk again if need be; give what was held once all is on disk."""
        self._tell_slow()
        if self._job.jumped is not None:
            self._show(self._job.jumped)
            self._job.jumped = None
        if self.is_safe:
            return ()
        if self._failed_s is None:
            self._failed_s = self._clock()
            self._due_s["retry"] = self._failed_s + RETRY_S
            self._job.note("disk_failed", {"reason": self._kept.why})
            self._show(message("device-disk-takes-nothing", reason=self._kept.why))
            if not self._held:
                self._warn()
        elif self._is_due("retry", RETRY_S) and self._kept.save():
            return self._go_on(self._clock() - self._failed_s)
        elif self._is_due("remind", REMIND_S):
            self._warn()
        return ()

    def veil(self, view: View) -> View:
        """Give a view as it may be shown: without what is not on disk."""
        safe, told = self._safe_view, self.told
        if told is None or safe is None:
            self._safe_view = view
            return view
        return replace(
            safe,
            microphones=view.microphones,
            typed=view.typed,
            notices=(told, *view.notices),
            phones=view.phones,
            invitation=view.invitation,
            sign=Sign.STOP,
            verdict=(told,),
            remedy=message("device-unsaved-next"),
            may=(),
        )

    def look(self) -> None:
        """Warn of a write that is under way too long; called by a thread of its own."""
        if self._kept.busy_s > SLOW_S and self._is_due("slow", SLOW_AGAIN_S):
            self._say(self._noticed(Notice.DISK_SLOW))

    @contextmanager
    def watched(self) -> Iterator[None]:
        """Look after the disk by a thread while the work goes on: who writes cannot tell."""
        is_over = threading.Event()

        def work() -> None:
            while not is_over.wait(LOOK_S):
                self.look()

        thread = threading.Thread(target=work, name="disk", daemon=True)
        thread.start()
        try:
            yield
        finally:
            is_over.set()
            thread.join()

    def _go_on(self, after_s: float) -> tuple[Saying, ...]:
        """Tell that all is on disk."""
        self._failed_s = None
        self._due_s.pop("words", None)
        self._job.note("disk_back", {"seconds": round(after_s, 1)})
        held, self._held = tuple(self._held), []
        if self.is_safe:
            self._show(message("device-disk-safe"))
            self._say(self._noticed(Notice.DISK_BACK))
            return held
        self._held.extend(held)
        return ()

    def _tell_slow(self) -> None:
        slowest_s = self._kept.slowest_s()
        if slowest_s <= SLOW_S or not self._is_due("noted", SLOW_AGAIN_S):
            return
        self._show(message("device-disk-slow-by", seconds=round(slowest_s)))
        if self._is_due("slow", SLOW_AGAIN_S):
            self._say(self._noticed(Notice.DISK_SLOW))
        self._job.note("disk_slow", {"seconds": round(slowest_s, 1)})
        self._kept.slowest_s()  # how slow that note was is not told once more

    def _warn(self) -> None:
        saying = unsaved(self._grammar, _calls(self._job), verbosity=self._verbosity)
        is_worded = self._is_due("words", WORDS_S)
        self._due_s["remind"] = self._clock() + REMIND_S
        self._say(saying if is_worded else Saying(Tone.STOP, ""))

    def _noticed(self, what: Notice) -> Saying:
        return notice(self._grammar, what, verbosity=self._verbosity)

    def _is_due(self, what: str, every_s: float) -> bool:
        now_s = self._clock()
        if now_s < self._due_s.get(what, -math.inf):
            return False
        self._due_s[what] = now_s + every_s
        return True


def _calls(job: Job) -> int:
    """Count the calls, decisions and conditions that are not on disk; talk is none."""
    return sum(
        entry.kind in EVENTS
        and isinstance(entry.content, dict)
        and entry.content.get("outcome") != Outcome.IGNORED.value
        for entry in job.kept.unsaved
    )
