"""The crew's nouns as frozen values, shared by all rooms; pure.

Readings are integers in the tape's least count, hundredths of a foot: 1542 means 15.42 ft.
Probabilities are plain floats from 0 to 1. Times belong to the shell and are strings here.
"""

from __future__ import annotations

from enum import StrEnum

from pydantic import BaseModel, ConfigDict


class Frozen(BaseModel):
    """Base of every value that may touch disk: frozen, strict, no unknown fields."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class Role(StrEnum):
    """Who called: the end of the tape as it lies in the *take*; a microphone keeps its role."""

    HEAD = "head"
    REAR = "rear"
    UNSAID = "unsaid"


class Expectation(StrEnum):
    """What the one who may speak is expected to call; picks the grammar of an utterance."""

    WHOLE = "whole"
    FRACTION = "fraction"
    READING = "reading"
    ANY = "any"


class Kind(StrEnum):
    """What an utterance turned out to be."""

    WHOLE = "whole"
    """A whole foot mark; value in hundredths is a multiple of 100."""
    FRACTION = "fraction"
    """Hundredths, 0 to 99."""
    READING = "reading"
    """A full reading, feet and hundredths."""
    NUMBER = "number"
    """A bare number from 0 to 99 heard where either a foot or hundredths may be meant."""
    COMMAND = "command"
    CONDITION = "condition"
    CHATTER = "chatter"
    """Crew talk that is none of the above; heard and ignored."""
    UNCLEAR = "unclear"
    """Heard as a call, but not one that may be taken: ask again."""


class Outcome(StrEnum):
    """What becomes of an utterance."""

    CALL = "call"
    ASK = "ask"
    IGNORED = "ignored"
