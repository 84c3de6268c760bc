"""A terminal in, keys out: what a keypad types where calllog was started; shell.

Each key arrives at once and without echo meanwhile, and Ctrl-C still interrupts; how, is the
system's (`calllog.system.RawKeys`). Key sequences: "XTerm Control Sequences" (Moy, Gildea,
Dickey), tables of the VT220-style and PC-style application keypad; their general form is that of
ECMA-48.
"""

import os
import re
import time
from collections import deque

from calllog import system
from calllog.closing import Closes
from calllog.errors import KeypadError
from calllog.keypad.source import Link
from calllog.keypad.strokes import ENTER, OTHER
from calllog.system import RawKeys

SEQUENCE_S = 0.5
"""A key sequence is complete by then; until then its rest may still be under way (ssh)."""
_APPLICATION = {chr(ord("p") + digit): str(digit) for digit in range(10)} | {
    "M": ENTER,
    "j": "*",
    "k": "+",
    "l": ".",
    "m": "-",
    "n": ".",
    "o": "/",
}
"""The last character of SS3 sequences, which a keypad in application mode sends."""
_TOKEN = re.compile(
    r"""
    (?P<reply> \x1b\[[<=>?][0-?]*[ -/]*[@-~] | \x1b[]PX^_].*?(?:\x07|\x1b\\) )
    | \x1bO(?P<keypad>[ @-~])
    | (?P<other> \x1b\[\[[@-~] | \x1b\[[0-?]*[ -/]*[@-Z\\-~] | \x1bO[0-9;]+[ @-~]
               | \x1b[ -/]*[0-NQ-WYZ\\`-~] | \x1b(?=[^ -~]) )
    | (?P<plain> [^\x1b] )
    """,
    re.VERBOSE | re.DOTALL,
)
"""A reply of the terminal, which is no key; a key of the keypad; another key's sequence (Linux's
own "ESC [ [ A" and Alt with a key among them); a character."""


class TerminalKeys(Closes):
    """The keys typed into a terminal, one at a time; a context manager.

    Keys typed before it was opened are dropped, and so is what was not read when it is closed.

    Raises:
        KeypadError: it is no terminal.
    """

    def __init__(self, fd: int = 0) -> None:
        if not os.isatty(fd):
            raise KeypadError(
                "there is no terminal to type into",
                next_step="start calllog in a terminal, or name a keypad of its own",
            )
        self._is_lost = False
        self._keys: deque[str] = deque()
        self._begun = ""
        self._late_s = 0.0
        try:
            self._raw: RawKeys | None = system.SYSTEM.keys(fd)
        except OSError as error:
            raise KeypadError(
                f"the terminal gives no single keys ({error.strerror})",
                next_step="start calllog in another terminal, or name a keypad of its own",
            ) from error

    @property
    def name(self) -> str:
        """What it is called in the journal."""
        return "terminal"

    def close(self) -> None:
        """Put the terminal back as it was, at once; closing twice does no harm."""
        if self._raw is not None:
            raw, self._raw = self._raw, None
            raw.close()

    def read(self, timeout_s: float) -> str | Link | None:
        """Wait for one key (see `KeySource.read`); a terminal that is lost does not return.

        Raises:
            KeypadError: the terminal was closed.
        """
        if self._raw is None:
            raise KeypadError("the terminal was put back", next_step="open it again")
        until_s = time.monotonic() + timeout_s
        while not self._keys:
            wake_s = min(until_s, self._late_s) if self._begun else until_s
            wait_s = max(0.0, wake_s - time.monotonic())
            if self._is_lost:
                time.sleep(wait_s)
                return None
            typed = self._raw.read(wait_s)
            if typed == "":
                self._is_lost, self._begun = True, ""
                return Link.LOST
            if typed is not None:
                self._take(typed)
            elif self._begun and wake_s == self._late_s:
                self._break_off()
            else:
                return None
        return self._keys.popleft()

    def _break_off(self) -> None:
        """Take a sequence that did not end: the escape for a key, its rest as it stands."""
        rest, self._begun = self._begun[1:], ""
        self._keys.append(OTHER)
        self._take(rest)

    def _take(self, received: str) -> None:
        """Turn what was received into keys; keep the beginning of a sequence for later."""
        text = self._begun + received
        place = 0
        while token := _TOKEN.match(text, place):
            place = token.end()
            match token.lastgroup:
                case "reply":
                    continue
                case "keypad":
                    self._keys.append(_APPLICATION.get(token["keypad"], OTHER))
                case "plain":
                    self._keys.append(token["plain"])
                case _:
                    self._keys.append(OTHER)
        if place or not self._begun:
            self._late_s = time.monotonic() + SEQUENCE_S
        self._begun = text[place:]
