"""What somebody who enrolls is to say: numbers, then two pulls with the program as the other one.

The person is the head, the program the rear. The first pull agrees. In the second the program
swaps two digits in the check, so that the pull stops; it is measured again and agrees. What the
program answers is what it answers on the line: the calls go into a job that is thrown away.
"""

from __future__ import annotations

from dataclasses import dataclass

from calllog.values import Expectation, Kind

WHOLE, FRACTION, READING = Expectation.WHOLE, Expectation.FRACTION, Expectation.READING


@dataclass(frozen=True, slots=True)
class Yours:
    """What the person calls."""

    expects: Expectation
    text: str


@dataclass(frozen=True, slots=True)
class Ours:
    """What the program does as the other person: a number, or a command."""

    text: str
    kind: Kind
    value: int | None = None
    """Hundredths."""
    name: str = ""
    """Name of the command."""


NUMBERS = (
    Yours(FRACTION, "four two"),
    Yours(FRACTION, "one seven"),
    Yours(WHOLE, "ninety three"),
    Yours(FRACTION, "eight five"),
    Yours(FRACTION, "oh six"),
    Yours(FRACTION, "two zero"),
    Yours(WHOLE, "sixteen"),
    Yours(WHOLE, "sixty"),
    Yours(WHOLE, "thirteen"),
    Yours(WHOLE, "thirty"),
    Yours(FRACTION, "five nine"),
    Yours(FRACTION, "seven three"),
    Yours(WHOLE, "eighty eight"),
    Yours(FRACTION, "six eight"),
    Yours(WHOLE, "seventeen"),
    Yours(WHOLE, "seventy four"),
    Yours(FRACTION, "nine one"),
    Yours(FRACTION, "three five"),
)
"""Each figure three times and more, teens and tys."""
SWITCH = Ours("switch ends", Kind.COMMAND, name="switch")
PULLS: tuple[Yours | Ours, ...] = (
    Ours("add tape", Kind.COMMAND, name="add"),
    Ours("fifteen", Kind.WHOLE, 1500),
    Yours(FRACTION, "four two"),
    SWITCH,
    Yours(WHOLE, "fifteen"),
    Ours("four two", Kind.FRACTION, 42),
    Ours("ninety", Kind.WHOLE, 9000),
    Yours(FRACTION, "one three"),
    SWITCH,
    Yours(WHOLE, "ninety"),
    Ours("three one", Kind.FRACTION, 31),
    Ours("measure again", Kind.COMMAND, name="again"),
    Ours("ninety", Kind.WHOLE, 9000),
    Yours(FRACTION, "three one"),
    SWITCH,
    Yours(WHOLE, "ninety"),
    Ours("three one", Kind.FRACTION, 31),
)
"""How the tape is read, two pulls with a check each, and a stop."""
