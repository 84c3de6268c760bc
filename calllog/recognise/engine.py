"""The protocol of a recogniser: an utterance and an expectation in, hypotheses out; shell."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol, Self, runtime_checkable

from calllog.audio import Utterance
from calllog.values import Expectation

AT_ONCE = "+"
"""Stands where two people spoke at once; no word of any grammar."""


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One thing that may have been said."""

    text: str
    """Words of the grammar, lower case, single blanks; empty for "no call", `AT_ONCE` for two
    people at once, of whom the others tell what one of them may have said."""
    probability: float
    """From 0 to 1; those of one utterance add up to 1 at most."""


class Recogniser(Protocol):
    """Listens to one utterance at a time; what may be said is an argument of each."""

    @property
    def identity(self) -> str:
        """Name and version of engine and model, for the journal."""
        ...

    def recognise(self, utterance: Utterance, expects: Expectation) -> tuple[Hypothesis, ...]:
        """List what may have been said, likeliest first, without repetitions; none for silence.

        Raises:
            ModelError: the recogniser was closed.
        """
        ...

    def close(self) -> None:
        """Release what the engine holds; closing twice does no harm."""
        ...

    def __enter__(self) -> Self:
        """Use the recogniser in a ``with`` statement."""
        ...

    def __exit__(self, *_: object) -> None:
        """Close it."""
        ...


@runtime_checkable
class KnowsVoices(Protocol):
    """A recogniser that may know voices."""

    @property
    def set_aside(self) -> tuple[str, ...]:
        """Names of voices that a channel was said to be, and does not sound like."""


def set_aside_by(recogniser: object) -> tuple[str, ...]:
    """Name the voices that a recogniser set aside; none where it knows none."""
    return recogniser.set_aside if isinstance(recogniser, KnowsVoices) else ()
