"""Questions in, answers out, worked on by a copy of this process meanwhile; shell.

The copy is forked, so that what both only read, such as a model, is in memory once.
"""

from __future__ import annotations

import os
import signal
from collections.abc import Callable
from multiprocessing.connection import Connection, Pipe
from typing import Generic, NoReturn, Self, TypeVar

from calllog.audio import Utterance
from calllog.recognise.engine import Hypothesis, Recogniser
from calllog.values import Expectation

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


class HearsBeside:
    """A recogniser that hears in a copy of this process, while this one does something else.

    Args:
        recogniser: what hears; only the copy uses it from now on, and this closes it.
    """

    def __init__(self, recogniser: Recogniser) -> None:
        self._recogniser = recogniser
        self._beside: Beside[tuple[Utterance, Expectation], tuple[Hypothesis, ...]] = Beside(
            lambda question: recogniser.recognise(*question)
        )
        self._is_begun = False
        self._is_closed = False

    @property
    def identity(self) -> str:
        """That of what hears."""
        return self._recogniser.identity

    def begin(self, utterance: Utterance, expects: Expectation) -> None:
        """Let the copy begin with an utterance; `recognise` gives its answer to the same."""
        if self._is_begun:  # nobody fetched the answer to the last one
            self._beside.answer()
        self._beside.ask((utterance, expects))
        self._is_begun = True

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """List what may have been said (see `calllog.recognise.Recogniser`)."""
        if not self._is_begun:
            self.begin(utterance, expects)
        answer = self._beside.answer()
        self._is_begun = False
        return answer

    def close(self) -> None:
        """End the copy; closing twice does no harm."""
        if not self._is_closed:
            self._is_closed = True
            self._beside.close()
            self._recogniser.close()

    def __enter__(self) -> Self:
        """Use the recogniser in a ``with`` statement."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close it."""
        self.close()


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
