"""The screen: a real pseudo-terminal is drawn on and given back; a file gets a log."""

from __future__ import annotations

import fcntl
import io
import os
import pty
import signal
import struct
import subprocess
import sys
import termios
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from rich.console import Console

from calllog.panel import Panel, ViewText
from calllog.panel import screen as screen_module
from calllog.panel.draw import PanelDrawing
from calllog.values import message
from calllog.wording import Words
from tests.panel import AGREED, STOPPED, view_after

ALTERNATE, BACK = "\x1b[?1049h", "\x1b[?1049l"
HIDDEN, SHOWN = "\x1b[?25l", "\x1b[?25h"
ROOT = Path(__file__).parent.parent


@contextmanager
def terminal() -> Iterator[tuple[Console, list[str]]]:
    """Open a pseudo-terminal of 80x24; give a console on it, and what was written to it."""
    leader, follower = pty.openpty()
    fcntl.ioctl(follower, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    written: list[str] = []

    def read() -> None:
        while True:
            try:
                data = os.read(leader, 65_536)
            except OSError:
                return
            written.append(data.decode("utf-8", "replace"))

    thread = threading.Thread(target=read)
    thread.start()
    with os.fdopen(follower, "w", encoding="utf-8") as file:
        environment = {"TERM": "xterm-256color", "COLUMNS": "80", "LINES": "24"}
        try:
            yield Console(file=file, force_terminal=True, _environ=environment), written
        finally:
            file.close()
            thread.join()
            os.close(leader)


def test_terminal_is_drawn_on_and_given_back() -> None:
    """The other screen is taken, the cursor hidden, and both are undone at the end."""
    with terminal() as (console, written), Panel(console) as panel:
        panel.show(view_after(*STOPPED))
        time.sleep(0.3)
    text = "".join(written)
    assert "STOP" in text
    assert text.index(ALTERNATE) < text.index("STOP") < text.rindex(BACK)
    assert text.index(HIDDEN) < text.rindex(SHOWN)


def test_terminal_is_given_back_after_an_error() -> None:
    """An error inside does not leave the crew with a dead screen, and goes on its way."""
    logs: list[list[str]] = []

    def fail_inside() -> None:
        message = "inside"
        with terminal() as (console, written), Panel(console) as panel:
            logs.append(written)
            panel.show(view_after())
            raise RuntimeError(message)

    with pytest.raises(RuntimeError, match="inside"):
        fail_inside()
    text = "".join(logs[0])
    assert text.rindex(BACK) > text.index(ALTERNATE)
    assert text.rindex(SHOWN) > text.rindex(HIDDEN)


SLEEPER = """
import sys, time
from rich.console import Console
from calllog.panel import Panel
from tests.panel import view_after
with Panel(Console(force_terminal=True)) as panel:
    panel.show(view_after())
    time.sleep(30)
"""


@pytest.mark.slow
@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP, signal.SIGINT])
def test_terminal_is_given_back_when_the_program_is_ended(number: signal.Signals) -> None:
    """A signal that ends the program ends it by way of giving the screen back."""
    environment = {**os.environ, "TERM": "xterm", "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(
        [sys.executable, "-c", SLEEPER],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        cwd=ROOT,
        env=environment,
    ) as child:
        assert child.stdout is not None
        os.set_blocking(child.stdout.fileno(), True)
        begun = b""
        while b"PULL" not in begun:
            begun += os.read(child.stdout.fileno(), 65_536)
        child.send_signal(number)
        rest = begun + child.stdout.read()
        code = child.wait()
    assert code != 0
    assert BACK.encode() in rest
    assert SHOWN.encode() in rest


def test_handlers_of_signals_are_put_back() -> None:
    """After the panel the signals do what they did before."""
    before = signal.getsignal(signal.SIGTERM)
    with terminal() as (console, _), Panel(console):
        assert signal.getsignal(signal.SIGTERM) is not before
    assert signal.getsignal(signal.SIGTERM) is before


def test_many_views_are_drawn_a_few_times_and_the_last_one_always(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Of views that come a hundred times a second few are drawn, the last always."""
    drawn: list[ViewText] = []

    def count(view: ViewText, words: Words) -> PanelDrawing:
        drawn.append(view)
        return PanelDrawing(view, words)

    monkeypatch.setattr(screen_module, "PanelDrawing", count)
    views = [view_after(typed=str(number)) for number in range(50)]
    with terminal() as (console, _), Panel(console) as panel:
        for view in views:
            panel.show(view)
            time.sleep(0.01)
        time.sleep(0.3)
    assert drawn[-1].typed == views[-1].typed
    assert 1 < len(drawn) < len(views) // 2


def test_terminal_that_goes_away_does_not_stop_the_work(monkeypatch: pytest.MonkeyPatch) -> None:
    """A closed line is drawn on no more; views may still be shown."""
    with terminal() as (console, _), Panel(console) as panel:

        def gone(*_: object) -> None:
            raise OSError(5, "Input/output error")

        monkeypatch.setattr(console, "print", gone)
        for _number in range(3):
            panel.show(view_after())
            time.sleep(0.15)
        monkeypatch.undo()


def test_fault_in_drawing_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """A fault of ours is not swallowed by the thread that draws."""

    def broken(_: ViewText, _words: Words) -> PanelDrawing:
        message = "broken"
        raise ValueError(message)

    monkeypatch.setattr(screen_module, "PanelDrawing", broken)
    with terminal() as (console, _):
        panel = Panel(console)
        with panel:
            panel.show(view_after())
            time.sleep(0.3)
            with pytest.raises(ValueError, match="broken"):
                panel.show(view_after())


def test_file_gets_one_line_a_call_and_consequence() -> None:
    """Without a terminal there is a log: each event once, in order, and no control signs."""
    file = io.StringIO()
    with Panel(Console(file=file, width=40)) as panel:
        for count in range(len(AGREED) + 1):
            panel.show(view_after(*AGREED[:count]))
            panel.show(view_after(*AGREED[:count]))
    assert file.getvalue().splitlines() == [
        "A:B, pull 1; next: rear: the whole foot, head: the hundredths of the first",
        "     0.0 s  rear    thirty three                 100%",
        "     3.0 s  head    eighty seven                 100%",
        "     6.0 s  head    switch ends                  100%",
        "     9.0 s  head    thirty three                 100%",
        "    12.0 s  rear    eighty seven                 100%",
        "            = pull 1 recorded: 33.87 ft (agreed)",
    ]


def test_log_of_a_job_taken_up_again_begins_now() -> None:
    """What was logged before a restart is not logged twice; a stop that stands is told."""
    file = io.StringIO()
    with Panel(Console(file=file, width=200)) as panel:
        panel.show(view_after(*STOPPED))
        panel.show(view_after(*STOPPED, "h: wait a minute"))
    first, stop, talk = file.getvalue().splitlines()
    assert first == "A:B, pull 1; next: a decision of the chief"
    assert stop.startswith("STOP: first 33.87, check 32.87")
    assert "wait a minute" in talk


def test_log_tells_how_a_phone_gets_in_when_it_changes() -> None:
    """Without a terminal the code stands in the log, each one once."""
    file = io.StringIO()
    with Panel(Console(file=file, width=80)) as panel:
        for code in ("1234", "1234", "5678"):
            panel.show(replace(view_after(), phones=f"code {code}"))
    told = [line for line in file.getvalue().splitlines() if line.startswith("phones: ")]
    assert told == ["phones: code 1234", "phones: code 5678"]


def test_log_tells_a_notice_once() -> None:
    """A lost device is told when it is lost, and again only if it is lost again."""
    file = io.StringIO()
    lost = (message("as-told", words="microphone head is lost"),)
    with Panel(Console(file=file, width=200)) as panel:
        for notices in ((), lost, lost, (), lost):
            panel.show(view_after(notices=notices))
    assert file.getvalue().count("! microphone head is lost") == 2


def test_dumb_terminal_gets_the_log(monkeypatch: pytest.MonkeyPatch) -> None:
    """A terminal that cannot move its cursor is not drawn on."""
    monkeypatch.setenv("TERM", "dumb")
    file = io.StringIO()
    with Panel(Console(file=file, width=200, force_terminal=True)) as panel:
        panel.show(view_after())
    assert ALTERNATE not in file.getvalue()
    assert "next: rear: the whole foot" in file.getvalue()
