"""Phone: messages to the page in, what the page's own process tells out; shell.

The process is never waited for: no more than a few messages are under way at once, of states only
the newest is kept, and a process that dies is begun again with the same sockets, so that a phone
that asks meanwhile only waits.
"""

import time
from collections import deque
from collections.abc import Callable, Iterable, Sequence
from multiprocessing.connection import Connection, Pipe
from typing import Protocol

from pydantic import ValidationError

from calllog import children
from calllog.errors import ConfigError
from calllog.server.messages import (
    FROM_PAGE,
    Beat,
    FromPage,
    Got,
    PhoneState,
    Ready,
    ToPage,
    for_page,
)

SERVING = "calllog.server.serving"
BEAT_S = 0.7
"""How often the page is told that the loop is at work."""
UNDER_WAY = 65_536
"""Bytes that the page may not have taken yet: less than the pipe holds."""
READY_S = 20.0
AGAIN_S = 1.0
"""Between two beginnings of a process that dies; twice as long each time that it dies at once."""
MOST_AGAIN_S = 64.0
MOST_BYTES = 8192
"""Of a message of the page."""
AT_ONCE = 16
"""Messages of the page taken in one turn."""
CLOSE_S = 2.0


class Child(Protocol):
    """A process that was begun (see `subprocess.Popen`)."""

    pid: int

    def kill(self) -> None:
        """End it."""

    def wait(self, timeout: float | None = None) -> int:
        """Wait for its end; give its exit code."""


Begin = Callable[[Sequence[str], Sequence[int]], Child]
"""Begins a process by words that it is given, and descriptors that it gets."""


def begin_page(words: Sequence[str], handed: Sequence[int]) -> Child:
    """Begin the process that serves the page (`calllog.server.serving`)."""
    return children.begin_python("-m", SERVING, *words, handed=handed)


class PageProcess:
    """Tells the page's process what there is to tell.

    Args:
        given: tells by what words a process is begun behind its pipe, and which descriptors it gets
            as well.
        anew: gives what a process must be told first.
        on_begun: told each time that a process has been begun, and has what it was handed.
        on_lost: told the exit code of a process that died.
        begin: begins one.
        clock: the monotonic clock [s].
    """

    def __init__(
        self,
        given: Callable[[], tuple[Sequence[str], Sequence[int]]],
        anew: Callable[[], Iterable[ToPage]],
        on_begun: Callable[[], None],
        on_lost: Callable[[int], None],
        *,
        begin: Begin = begin_page,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._given, self._anew = given, anew
        self._on_begun, self._on_lost = on_begun, on_lost
        self._begins, self._clock = begin, clock
        self._state: PhoneState | None = None
        self._is_state_due = False
        self._waiting: deque[ToPage] = deque()
        """All but states and beats, in order."""
        self._under_way: deque[int] = deque()
        """Sizes of what was sent and is not taken yet [bytes]."""
        self._held = b""
        """What does not fit yet."""
        self._again_s = AGAIN_S
        self._told_s = self._begun_s = clock()
        self._is_open = self._is_ready = False

    @property
    def is_ready(self) -> bool:
        """The process takes what it is told."""
        return self._is_open and self._is_ready

    def begin(self, *, is_waited_for: bool = True) -> None:
        """Begin the first process, and wait until it serves, unless `wait` is called later.

        Raises:
            ConfigError: it does not.
        """
        self._begin()
        if is_waited_for:
            self.wait()

    def wait(self) -> None:
        """Wait until the first process serves; ConfigError if it does not."""
        try:
            if not self._pipe.poll(READY_S):
                raise TimeoutError
            self._note(FROM_PAGE.validate_json(self._pipe.recv_bytes(MOST_BYTES)))
        except (EOFError, OSError, ValidationError) as error:
            self.close()
            raise ConfigError(
                "the page's process did not start",
                where="--page",
                next_step="free some memory and try again",
            ) from error

    def tell(self, *messages: ToPage) -> None:
        """Tell something, in order; nobody waits for it."""
        self._waiting.extend(messages)
        self.send()

    def show(self, state: PhoneState) -> None:
        """Show a state; one that waits still is shown no more."""
        self._state, self._is_state_due = state, True
        self.send()

    def read(self) -> list[FromPage]:
        """Give what the page has told; a process that died is begun again when it is time."""
        told: list[FromPage] = []
        try:
            for _ in range(AT_ONCE):
                if not self._pipe.poll(0.0):
                    break
                sent = FROM_PAGE.validate_json(self._pipe.recv_bytes(MOST_BYTES))
                if not self._note(sent):
                    told.append(sent)
        except (EOFError, OSError, ValidationError):
            self._lose()
        if not self._is_open and self._clock() - self._begun_s > self._again_s:
            self._begin()
        self.send()
        return told

    def send(self) -> None:
        """Send what waits, as far as the page has taken what was sent before."""
        if not self.is_ready:
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

    def close(self) -> None:
        """End it; closing twice does no harm."""
        self._is_open = False
        self._pipe.close()
        try:
            self._process.wait(CLOSE_S)
        except children.TimeoutExpired:
            self._process.kill()
            self._process.wait()

    def _begin(self) -> None:
        """Begin a process, and tell it everything."""
        words, handed = self._given()
        self._pipe, theirs = Pipe()
        self._process = self._start(theirs, words, handed)
        theirs.close()
        self._on_begun()
        self._begun_s = self._clock()
        self._is_open, self._is_ready, self._held = True, False, b""
        self._under_way.clear()
        self._waiting = deque(self._anew())
        self._is_state_due = self._state is not None

    def _start(self, theirs: Connection, words: Sequence[str], handed: Sequence[int]) -> Child:
        pipe = theirs.fileno()
        return self._begins((str(pipe), *words), (pipe, *handed))

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
        self._on_lost(code)

    def _note(self, sent: FromPage) -> bool:
        """Take what is about the process itself; tell whether it was."""
        match sent:
            case Ready():
                self._is_ready = True
            case Got():
                self._under_way.popleft()
            case _:
                return False
        return True

    def _hold_next(self) -> bool:
        told = self._next()
        self._held = b"" if told is None else for_page(told)
        return told is not None

    def _next(self) -> ToPage | None:
        """Give what is to be told next; a beat only if nothing else is."""
        if self._waiting:
            return self._waiting.popleft()
        if self._is_state_due and self._state is not None:
            self._is_state_due = False
            return self._state
        return Beat() if self._clock() - self._told_s >= BEAT_S else None
