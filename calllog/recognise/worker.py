"""A recogniser in a process of its own: utterances in, their hypotheses out later; shell.

An engine holds the interpreter for as long as it searches, some tenths of a second. In the process
that takes sound in, the microphone would overflow meanwhile and the read-back would stutter.
"""

from __future__ import annotations

import contextlib
import gc
import signal
import time
from collections.abc import Callable
from multiprocessing.connection import Connection

import numpy as np

from calllog import children, system
from calllog.audio import RATE_HZ, Utterance
from calllog.closing import Closes
from calllog.errors import CalllogError, ModelError
from calllog.recognise.engine import Hypothesis, Recogniser, set_aside_by
from calllog.values import Expectation

START_S = 180.0
"""How long an engine may take to load its model; a large one is tried for two minutes first."""
STUCK_S = 30.0
"""An engine that has not answered by then never will: 8 s of sound take it 2 s."""
MOST_DEATHS = 2
"""An utterance at which the engine died as often is answered with nothing."""
CLOSE_S = 2.0

WARMING = Utterance(
    np.zeros(RATE_HZ // 2, np.float32), np.zeros(0, np.float32), 0.0, 0.5, 0, "", is_cut=False
)
"""Heard before the first call, which would otherwise take twice as long as those after it."""

Answer = tuple[int, tuple[Hypothesis, ...]]


class Worker(Closes):
    """Hears one utterance after the other, in the order in which it was asked.

    The engine is given the next one when it has answered, so that nobody waits for a full pipe. If
    its process dies, or is stuck, it is begun again, and what it owed is asked anew.

    Args:
        make: makes the recogniser, in the other process; a function of a module, or a partial one.
        is_waited_for: wait until it is there; else whoever first needs it does, and until then
            other things can be got ready.

    Raises:
        ModelError: the recogniser cannot be made.
    """

    def __init__(self, make: Callable[[], Recogniser], *, is_waited_for: bool = True) -> None:
        self._make = make
        self._owed: dict[int, tuple[Utterance, Expectation]] = {}
        self._deaths: dict[int, int] = {}
        self._given: int | None = None
        """What the engine is at work on."""
        self._given_s = 0.0
        self._asked = 0
        self.restarts = 0
        """How often the engine's process died and was begun again."""
        self.set_aside: tuple[str, ...] = ()
        """Names of voices that a channel was said to be, and does not sound like."""
        self._is_closed = False
        self._identity = ""
        """Empty until the recogniser is there."""
        self._begin()
        if is_waited_for:
            self._wait()

    @property
    def identity(self) -> str:
        """Name and version of engine and model; waited for if need be.

        Raises:
            ModelError: the recogniser cannot be made.
        """
        if not self._identity:
            self._wait()
        return self._identity

    def ask(self, utterance: Utterance, expects: Expectation) -> int:
        """Ask what may have been said; give the number under which the answer comes.

        Raises:
            ModelError: the worker was closed.
        """
        if self._is_closed:
            raise ModelError("the recognizer is closed", next_step="open a new one")
        if not self._identity:
            self._wait()
        self._asked += 1
        self._owed[self._asked] = (utterance, expects)
        self._give_next()
        return self._asked

    def answers(self, timeout_s: float = 0.0) -> tuple[Answer, ...]:
        """Give the answers that have come, in the order asked; wait for the first if need be."""
        came: list[Answer] = []
        wait_s = timeout_s
        while self._owed:
            self._give_next()
            if time.monotonic() - self._given_s > STUCK_S:
                self._process.kill()
            try:
                if not self._pipe.poll(wait_s):
                    break
                number, hypotheses, self.set_aside = self._pipe.recv()
            except (EOFError, OSError):
                came += self._restart()
                continue
            wait_s = 0.0
            self._given = None
            self._owed.pop(number, None)
            self._deaths.pop(number, None)
            came.append((number, hypotheses))
        return tuple(came)

    def _begin(self) -> None:
        context = children.spawning()
        self._pipe, theirs = context.Pipe()
        self._process = context.Process(
            target=_serve, args=(theirs, self._make), name="recogniser", daemon=True
        )
        self._process.start()
        theirs.close()

    def _wait(self) -> None:
        """Wait until the recogniser is made."""
        try:
            ready = self._pipe.recv() if self._pipe.poll(START_S) else None
        except (EOFError, OSError):
            ready = None
        if not isinstance(ready, str):
            self._process.kill()
            self._pipe.close()
            if isinstance(ready, CalllogError):
                raise ready
            raise ModelError(
                "the recognizer's process did not start",
                next_step="free some memory and try again, or run `calllog doctor`",
            )
        self._identity = ready

    def _give_next(self) -> None:
        """Give the engine the next utterance, unless it is at work."""
        if self._given is not None or not self._owed:
            return
        self._given, self._given_s = min(self._owed), time.monotonic()
        with contextlib.suppress(OSError):  # it died: found out where answers are fetched
            self._pipe.send((self._given, *self._owed[self._given]))

    def _restart(self) -> list[Answer]:
        """Begin the process again, to be asked anew what it owes; give up what kills it."""
        self.restarts += 1
        self._process.kill()
        self._process.join()
        self._pipe.close()
        fatal, self._given = self._given, None
        self._begin()
        self._wait()
        if fatal is None:
            return []
        self._deaths[fatal] = self._deaths.get(fatal, 0) + 1
        if self._deaths[fatal] < MOST_DEATHS:
            return []
        del self._owed[fatal], self._deaths[fatal]
        return [(fatal, ())]

    def close(self) -> None:
        """End the process; closing twice does no harm."""
        if self._is_closed:
            return
        self._is_closed = True
        self._pipe.close()
        self._process.join(CLOSE_S if self._identity else 0.0)
        if self._process.is_alive():
            self._process.kill()
            self._process.join()
        self._process.close()


def _serve(pipe: Connection, make: Callable[[], Recogniser]) -> None:
    """Answer until the other side is gone."""
    for number in set(system.SYSTEM.ends) - {signal.SIGTERM}:  # the other side ends it
        signal.signal(number, signal.SIG_IGN)
    try:
        recogniser = make()
    except CalllogError as error:
        pipe.send(error)
        return
    with recogniser, contextlib.suppress(EOFError, OSError):  # until the other side is gone
        recogniser.recognise(WARMING, Expectation.WHOLE)
        gc.freeze()  # what is loaded stays: to look through it in the middle of a call takes 0.1 s
        pipe.send(recogniser.identity)
        while True:
            number, utterance, expects = pipe.recv()
            heard = recogniser.recognise(utterance, expects)
            pipe.send((number, heard, set_aside_by(recogniser)))
