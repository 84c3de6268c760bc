"""What somebody who enrolls is to say: numbers, then two pulls with the program as the other one.

The person is the head, the program the rear. The first pull agrees. In the second the program
swaps two digits in the check, so that the pull stops; it is measured again and agrees. What the
program answers is what it answers on the line: the calls go into a job that is thrown away.
"""

from dataclasses import dataclass

from calllog.spoken import Grammar, say
from calllog.values import HUNDREDTHS, Expectation, Kind

WHOLE, FRACTION = Expectation.WHOLE, Expectation.FRACTION


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


Step = tuple[str, int | str]
"""Who calls which part, and its value; or the name of the command that we give."""
SHOWN = (
    *((FRACTION, 42), (FRACTION, 17), (WHOLE, 93), (FRACTION, 85), (FRACTION, 6), (FRACTION, 20)),
    *((WHOLE, 16), (WHOLE, 60), (WHOLE, 13), (WHOLE, 30), (FRACTION, 59), (FRACTION, 73)),
    *((WHOLE, 88), (FRACTION, 68), (WHOLE, 17), (WHOLE, 74), (FRACTION, 91), (FRACTION, 35)),
)
"""Each figure three times and more, teens and tys."""
PLAYED: tuple[Step, ...] = (
    *(("we", "add"), ("whole", 15), ("yours", 42), ("we", "switch")),
    *(("your whole", 15), ("fraction", 42)),
    *(("whole", 90), ("yours", 13), ("we", "switch"), ("your whole", 90), ("fraction", 31)),
    *(("we", "again"), ("whole", 90), ("yours", 31), ("we", "switch")),
    *(("your whole", 90), ("fraction", 31)),
)
"""How the tape is read, two pulls with a check each, and a stop."""


def numbers(grammar: Grammar) -> tuple[Yours, ...]:
    """Give the numbers that are shown first, in words of a grammar; hundredths digit by digit."""
    return tuple(
        Yours(expects, _whole(value, grammar) if expects is WHOLE else _digits(value, grammar))
        for expects, value in SHOWN
    )


def pulls(grammar: Grammar) -> tuple[Yours | Ours, ...]:
    """Give what both do in the two pulls, in words of a grammar."""
    return tuple(_step(who, what, grammar) for who, what in PLAYED)


def _step(who: str, what: int | str, grammar: Grammar) -> Yours | Ours:
    if isinstance(what, str):
        return Ours(grammar.commands[what][0], Kind.COMMAND, name=what)
    match who:
        case "whole":
            return Ours(_whole(what, grammar), Kind.WHOLE, what * HUNDREDTHS)
        case "fraction":
            return Ours(_digits(what, grammar), Kind.FRACTION, what)
        case "your whole":
            return Yours(WHOLE, _whole(what, grammar))
        case _:
            return Yours(FRACTION, _digits(what, grammar))


def _whole(value: int, grammar: Grammar) -> str:
    return say(grammar, Kind.WHOLE, value * HUNDREDTHS)


def _digits(value: int, grammar: Grammar) -> str:
    """Say hundredths digit by digit; a zero in front by its shortest word."""
    tens, units = (grammar.digits[figure] for figure in f"{value:02d}")
    return f"{min(tens, key=len) if value < 10 else tens[0]} {units[0]}"  # noqa: PLR2004 - digits
