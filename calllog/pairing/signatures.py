"""Two observations of one pull that do not agree in, the blunder that fits out; pure.

Common practice, no published source. Lengths are compared where the blunder moves the length, and
digits as they were called, since a tape that cuts turns .24 into .76. A blunder is a hint to the
crew, never a correction.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from calllog.pairing.diagnosis import NO_BLUNDER, PairOfLengths, code_in, digit_blunder
from calllog.pairing.parts import PART_NAMES, Parts
from calllog.pairing.state import State
from calllog.values import Call, Fact, LineSettings, Observation, Role, Style

FOOT_MARK = "foot-mark"
HELD_MARK = "held-mark"
HUNDRED = "hundred-feet"
ALREADY = {Style.CUT: "already-cut", Style.ADD: "taken-off"}
"""One was called as if the other kind of tape were in hand, or worked out by the caller."""


@dataclass(frozen=True, slots=True)
class Blunder:
    """What two observations look like."""

    code: str
    facts: dict[str, Fact]
    """What its words need: ``style``; what was called otherwise (``part``: whole, fraction or
    reading), and who called that (``first_by``, ``check_by``: head, rear or unsaid)."""


def blunder_between(
    state: State, take: Observation, check: Observation, history: Sequence[Call]
) -> Blunder:
    """Name the blunder that two observations of one pull look like, and who called what."""
    one = state.settings.unit.counts
    called = (_called(take, one), _called(check, one))
    code, facts = _signature(state.settings, take, check)
    part = _part(called)
    roles = {each.number: each.role for each in reversed(history)}
    return Blunder(
        code,
        {
            **facts,
            "style": state.settings.style.value,
            "part": "reading" if take.reading is not None else part,
            "first_by": _caller(state.take_parts, part, roles).value,
            "check_by": _caller(state.parts, part, roles).value,
        },
    )


def _called(observation: Observation, one: int) -> tuple[int, int]:
    """Give the whole units, of `one` least counts, and the hundredths as they were called."""
    if observation.reading is not None:
        return divmod(observation.reading, one)
    return (observation.whole or 0) // one, observation.fraction or 0


def _signature(
    settings: LineSettings, take: Observation, check: Observation
) -> tuple[str, dict[str, Fact]]:
    unit, one = settings.unit, settings.unit.counts
    if (held := _held(take, check, one)) is not None:
        return HELD_MARK, held
    if code := _of_length(settings, take.length, check.length):
        return code, {}
    called = (_called(take, one), _called(check, one))
    if (turned := _complement(settings, *called)) is not None:
        return turned
    first, second = (feet * one + part for feet, part in called)
    pair = PairOfLengths.of(first, second, settings.nominal * one, unit)
    return digit_blunder(pair, unit) or NO_BLUNDER, {}


def _of_length(settings: LineSettings, first: int, check: int) -> str:
    """Name the blunder that is seen in the two lengths alone; empty if none fits."""
    unit, one = settings.unit, settings.unit.counts
    nominal = settings.nominal * one
    difference = abs(check - first)
    signatures = (
        (difference == one, FOOT_MARK),
        (difference == 10 * one, code_in("ten-feet", unit)),
        (difference == 100 * one < nominal and unit.is_feet, HUNDRED),
        (difference == nominal, "tape-length"),
        (first + check == nominal, "tape-complement"),
    )
    return next((code for fits, code in signatures if fits), "")


def _held(take: Observation, check: Observation, one: int) -> dict[str, Fact] | None:
    """Tell the held marks where they alone are what the two lengths differ by."""
    if take.reading is None or check.reading is None:
        return None
    held: dict[str, Fact] = {"held_first": take.hold, "held_check": check.hold}
    if take.hold != check.hold:
        return {**held, "held": "differs"} if take.reading == check.reading else None
    is_forgotten = abs(take.reading - check.reading) == take.hold != one
    return {**held, "held": "alike"} if is_forgotten else None


def _complement(
    settings: LineSettings, first: tuple[int, int], check: tuple[int, int]
) -> tuple[str, dict[str, Fact]] | None:
    """Tell hundredths that add up to one whole: read from the wrong side, or worked out."""
    apart = abs(first[0] - check[0])
    if first[1] + check[1] != settings.unit.counts or apart > 1 or first == check:
        return None
    if apart and settings.style in ALREADY:
        return ALREADY[settings.style], {"odd": "first" if first < check else "check"}
    return code_in("foot-complement", settings.unit), {}


def _part(called: tuple[tuple[int, int], tuple[int, int]]) -> str:
    """Tell which part was called otherwise; ``reading`` where both were."""
    (first_feet, first_part), (feet, part) = called
    if first_part == part:
        return "whole"
    return "fraction" if first_feet == feet else "reading"


def _caller(parts: Parts, part: str, roles: dict[int, Role]) -> Role:
    """Tell who called a part first; unsaid where it is not one person."""
    wanted = PART_NAMES if part == "reading" else (part,)
    callers = {
        next((roles.get(one.call, Role.UNSAID) for one in parts.stated if one.part == each), None)
        for each in wanted
    }
    return callers.pop() or Role.UNSAID if len(callers) == 1 else Role.UNSAID
