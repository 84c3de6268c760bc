"""Panel: views in, the terminal's screen out, or a plain log where there is no terminal; shell.

The screen is drawn by a thread of its own, at most eight times a second however often a view is
shown, so that taking in calls never waits for a slow line. A terminal that goes away is drawn on
no more; the job goes on without it.
"""

import signal
import threading
from contextlib import suppress
from types import FrameType
from typing import Any, Self

from rich.console import Console
from rich.live import Live

from calllog import system
from calllog.panel.draw import PanelDrawing
from calllog.panel.view import View
from calllog.panel.worded import ViewText, lines_of, say_view
from calllog.wording import ENGLISH, Words

SHORTEST_S = 1 / 8
"""Between two drawings."""
LONGEST_S = 1.0
"""Without a new view: a terminal that was resized is drawn anew by then."""


class Panel:
    """Shows views while it is open, and gives the terminal back as it was.

    Args:
        console: where to; anything but a terminal that can be drawn on gets a log.
        words: the language that it is shown in.
    """

    def __init__(self, console: Console, words: Words = ENGLISH) -> None:
        self._console = console
        self._words = words
        self._is_drawn = console.is_terminal and not console.is_dumb_terminal
        self._view: ViewText | None = None
        self._changed = threading.Event()
        self._closing = threading.Event()
        self._wrong: Exception | None = None
        self._live: Live | None = None
        self._thread: threading.Thread | None = None
        self._told = 0
        self._noticed: tuple[str, ...] = ()
        self._phones = ""
        self._before: dict[signal.Signals, Any] = {}

    def show(self, view: View) -> None:
        """Show a view; a log prints what has happened since the last one.

        The first view of a log opens it: what happened before that is not told again.
        """
        if self._wrong is not None:
            raise self._wrong
        before, self._view = self._view, say_view(view, self._words)
        if self._is_drawn:
            self._changed.set()
        else:
            self._log(view, self._view, is_first=before is None)

    def __enter__(self) -> Self:
        """Take the terminal's other screen."""
        if self._is_drawn:
            self._mind_ends()
            self._live = Live(
                console=self._console,
                screen=True,
                auto_refresh=False,
                get_renderable=self._drawing,
            )
            self._live.start()
            self._thread = threading.Thread(target=self._draw, name="panel", daemon=True)
            self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        """Give the terminal back."""
        self._closing.set()
        self._changed.set()
        if self._thread is not None:
            self._thread.join(LONGEST_S)
        is_stuck = self._thread is not None and self._thread.is_alive()
        if self._live is not None and not is_stuck:
            with suppress(OSError):
                self._live.stop()
        for number, handler in self._before.items():
            signal.signal(number, handler)

    def _mind_ends(self) -> None:
        """Leave by way of `__exit__` where a signal would end the program at once."""
        if threading.current_thread() is not threading.main_thread():
            return
        for number in system.SYSTEM.ends:
            is_taken = number is signal.SIGINT or signal.getsignal(number) is not signal.SIG_DFL
            if not is_taken:
                self._before[number] = signal.signal(number, _leave)

    def _drawing(self) -> PanelDrawing | str:
        return "" if self._view is None else PanelDrawing(self._view, self._words)

    def _draw(self) -> None:
        while not self._closing.is_set():
            self._changed.wait(LONGEST_S)
            self._changed.clear()
            if self._live is None or self._closing.is_set():
                return
            try:
                self._live.refresh()
            except OSError:
                return
            except Exception as error:  # noqa: BLE001 - told to the one who shows the next view
                self._wrong = error
                return
            self._closing.wait(SHORTEST_S)

    def _log(self, view: View, told: ViewText, *, is_first: bool) -> None:
        words = self._words.measured_in(view.unit)
        lines = []
        if is_first:
            facts = {"line": told.line, "expected": told.expected}
            lines.append(words("screen-begun", pull=told.pull, **facts))
            sign = words("screen-sign", sign=told.sign.name)
            lines += [f"{sign}: {told.verdict}"] if told.verdict else []
        else:
            news = (each for each in view.happened if each.number > self._told)
            lines += [line for each in news for line in lines_of(each, words)]
        if told.phones != self._phones:
            lines.append(f"{words('screen-label-phones')}: {told.phones}")
        lines += [f"! {each}" for each in told.notices if each not in self._noticed]
        self._told = view.happened[-1].number if view.happened else 0
        self._noticed, self._phones = told.notices, told.phones
        for line in lines:
            self._console.print(line, markup=False, highlight=False, soft_wrap=True)


def _leave(number: int, _: FrameType | None) -> None:
    raise SystemExit(128 + number)
