"""What words say, or why they are not taken, as values; pure."""

from dataclasses import dataclass
from enum import StrEnum

from calllog.values import Kind, Message, OffsetNote, Outcome, Role


@dataclass(frozen=True, slots=True)
class Meaning:
    """What the words say."""

    kind: Kind
    value: int | None = None
    """Hundredths of a foot or meter for numbers, else None."""
    name: str = ""
    """Name of the command or condition, ``full tape``, or the style said before a number."""
    amount: float | None = None
    """What a condition states."""
    role: Role = Role.UNSAID
    note: OffsetNote | None = None
    """What a note states, else None."""


class Why(StrEnum):
    """Why words are no call."""

    EMPTY = "empty"
    UNKNOWN_WORD = "unknown word"
    NO_CALL = "no call"
    SINGLE_DIGIT = "single digit"
    AMBIGUOUS = "ambiguous"
    OFF_TAPE = "off the tape"
    WRONG_PART = "wrong part"
    MENDED = "mended"
    TOO_MANY = "too many figures"


ASKED = frozenset(
    {Why.SINGLE_DIGIT, Why.AMBIGUOUS, Why.OFF_TAPE, Why.WRONG_PART, Why.MENDED, Why.TOO_MANY},
)


@dataclass(frozen=True, slots=True)
class Rejection:
    """Why the words are not taken, and which word failed."""

    why: Why
    words: tuple[str, ...]
    index: int
    """Position of the word that failed, from 0; the number of words if one is missing."""
    reason: Message

    @property
    def outcome(self) -> Outcome:
        """Ask again (it was meant as a call) or ignore (it was none)."""
        return Outcome.ASK if self.why in ASKED else Outcome.IGNORED
