"""Questions in, answers out, worked on by a copy of this process meanwhile; shell.

The copy is forked, so that what both only read, such as a model, is in memory once.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable
from multiprocessing.connection import Connection, Pipe
from typing import Generic, NoReturn, TypeVar

Question = TypeVar("Question")
Answer = TypeVar("Answer")

_KEPT = 3
"""Standard input, output and error stay open in the copy, and its pipe."""
_MOST_OPEN = 65_536


class Beside(Generic[Question, Answer]):
    """A copy of this process as it is now, which answers one question after the other.

    Args:
        work: answers a question; what it changes is changed in the copy alone.
    """

    def __init__(self, work: Callable[[Question], Answer]) -> None:
        self._pipe, theirs = Pipe()
        self._process = os.fork()
        if not self._process:
            _serve(theirs, work)
        theirs.close()

    def ask(self, question: Question) -> None:
        """Let the copy begin; never waits.

        Raises:
            OSError: the copy died.
        """
        self._pipe.send(question)

    def answer(self) -> Answer:
        """Wait for the answer.

        Raises:
            EOFError: the copy died.
            OSError: likewise.
        """
        answer: Answer = self._pipe.recv()
        return answer

    def close(self) -> None:
        """End the copy once it has answered."""
        self._pipe.close()
        os.waitpid(self._process, 0)


def _serve(pipe: Connection, work: Callable[[Question], Answer]) -> NoReturn:
    """Answer until the other side is gone, and end without a farewell to what is not ours."""
    try:
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        os.closerange(_KEPT, pipe.fileno())
        os.closerange(pipe.fileno() + 1, _MOST_OPEN)
        while True:
            pipe.send(work(pipe.recv()))
    except (EOFError, OSError):
        os._exit(0)
    finally:
        os._exit(1)
