"""What is said of a call in a blind check: tones until take and check are in, then both; pure."""

from collections.abc import Sequence
from dataclasses import replace

from calllog.readback.figures import say_length
from calllog.readback.words import Saying
from calllog.spoken import Grammar
from calllog.values import NUMBERS, Call, Consequence, Finding, Segment, Severity


def blinded(
    grammar: Grammar, saying: Saying, call: Call | None, consequences: Sequence[Consequence]
) -> Saying:
    """Leave out the words of a number that was taken; say both measurements once both are in."""
    if not saying.words:
        return saying
    saying = replace(saying, number="")
    for each in consequences:
        pair = _pair(each)
        if pair is not None:
            take, check = (say_length(grammar, length) for length in pair)
            both = grammar.words("told-both", take=take, check=check)
            parts = (both, saying.words) if isinstance(each, Segment) else (saying.words, both)
            return replace(saying, words=". ".join(parts))
    if saying.is_read_back and call is not None and call.kind in NUMBERS:
        return replace(saying, words="")
    return saying


def _pair(consequence: Consequence) -> tuple[int, int] | None:
    """Give the two lengths of a pull whose check is complete [hundredths]; None before that."""
    if isinstance(consequence, Segment) and consequence.check is not None:
        return consequence.take.length, consequence.check.length
    if not isinstance(consequence, Finding) or consequence.severity is not Severity.STOP:
        return None
    if consequence.code == "repeat-differs" or consequence.first is None:
        return None
    return consequence.first, consequence.second or 0
