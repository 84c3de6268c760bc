"""Two lengths that do not agree in, the code of the blunder that fits out; pure.

Lines of the first edition of the pairing name a blunder by this alone; later ones know more (see
`calllog.pairing.signatures`).

The signatures are common practice, no published source, except where a source is named. The
first that fits is named; a signature is a hint to the crew, never a correction.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from calllog.values import HUNDREDTHS, ReadingUnit

INCHES = 12
INCH_CODE = "inches"
"""Code of a blunder that there is on a tape in feet alone."""
TEENS = {ten + unit: 10 * unit for ten in (10,) for unit in range(3, 10)}
"""Thirteen and thirty, fourteen and forty, and so on."""
SOUND_ALIKE = ({5, 9}, {0, 4}, {1, 7})


@dataclass(frozen=True, slots=True)
class PairOfLengths:
    """Two lengths or readings, and the tape's nominal length, in units of their last digits."""

    first: int
    second: int
    nominal: int
    one: int = HUNDREDTHS
    """How many of these are one foot or metre."""

    @classmethod
    def of(cls, first: int, second: int, nominal: int, unit: ReadingUnit) -> PairOfLengths:
        """Take all three in least counts of a tape."""
        step = unit.step
        return cls(first * step, second * step, nominal * step, 10**unit.digits)

    @property
    def difference(self) -> int:
        """How far apart they are."""
        return abs(self.first - self.second)

    @property
    def feet(self) -> tuple[int, int]:
        """Their whole units."""
        return self.first // self.one, self.second // self.one

    @property
    def parts(self) -> tuple[int, int]:
        """What they have beside those, after the point."""
        return self.first % self.one, self.second % self.one

    def one_differs(self) -> tuple[int, int] | None:
        """Give the pair of feet or of hundredths that differs, if only one of them does."""
        differing = [pair for pair in (self.feet, self.parts) if pair[0] != pair[1]]
        return differing[0] if len(differing) == 1 else None


def _swapped(pair: PairOfLengths) -> bool:
    differing = pair.one_differs()
    if differing is None:
        return False
    if pair.one == HUNDREDTHS or differing == pair.feet:
        return f"{differing[0]:02d}" == f"{differing[1]:02d}"[::-1]
    first, second = (f"{each:03d}" for each in differing)
    apart = [(a, b) for a, b in zip(first, second, strict=True) if a != b]
    return len(apart) == 2 and apart[0] == apart[1][::-1]  # noqa: PLR2004 - the two digits


def _digits_in(pair: PairOfLengths, sets: tuple[set[int], ...]) -> bool:
    width = len(str(max(pair.first, pair.second)))
    digits = [
        {int(a), int(b)}
        for a, b in zip(f"{pair.first:0{width}d}", f"{pair.second:0{width}d}", strict=True)
        if a != b
    ]
    return len(digits) == 1 and digits[0] in sets


def _teens(pair: PairOfLengths) -> bool:
    differing = pair.one_differs()
    if differing is None:
        return False
    first, second = differing
    if pair.one != HUNDREDTHS and differing == pair.parts:
        if first // HUNDREDTHS != second // HUNDREDTHS:
            return False
        first, second = first % HUNDREDTHS, second % HUNDREDTHS
    return TEENS.get(first) == second or TEENS.get(second) == first


def _inches(pair: PairOfLengths) -> bool:
    """Tell whether one's hundredths are the other's taken for inches, twelve to the foot."""
    low, high = sorted(pair.parts)
    if pair.one != HUNDREDTHS:
        return False
    return (
        pair.feet[0] == pair.feet[1]
        and 0 < low < INCHES
        and round(low * HUNDREDTHS / INCHES) == high
    )


Signature = tuple[Callable[[PairOfLengths], bool], str]
"""How a blunder looks, and its code."""
OF_DIGITS: tuple[Signature, ...] = (
    (_swapped, "swapped"),
    (lambda p: _digits_in(p, ({6, 9},)), "six-nine"),
    (_teens, "teen-ty"),
    (lambda p: _digits_in(p, SOUND_ALIKE), "sound-alike"),
    (lambda p: 10 * p.difference == p.one, "one-tenth"),
    (_inches, INCH_CODE),
)
"""What is seen in the digits alone, the surest first."""
SIGNATURES: tuple[Signature, ...] = (
    (lambda p: p.difference == p.one, "one-foot"),
    (lambda p: p.difference == 10 * p.one, "ten-feet"),
    (lambda p: p.difference == p.nominal, "tape-length"),
    (lambda p: p.first + p.second == p.nominal and p.difference > 0, "tape-complement"),
    (
        lambda p: sum(p.parts) == p.one and abs(p.feet[0] - p.feet[1]) <= 1 and p.difference > 0,
        "foot-complement",
    ),
    *OF_DIGITS,
)
"""What each blunder looks like, the surest first."""
NO_BLUNDER = "differs"
_IN_METRES = {
    "one-foot": "one-metre",
    "ten-feet": "ten-metres",
    "foot-complement": "metre-complement",
}


def code_in(code: str, unit: ReadingUnit) -> str:
    """Give the code of a blunder on a tape of a unit.

    Example:
        >>> code_in("one-foot", ReadingUnit.METRE)
        'one-metre'
    """
    return code if unit.is_feet else _IN_METRES.get(code, code)


def diagnose(first: int, second: int, nominal: int, unit: ReadingUnit = ReadingUnit.FOOT) -> str:
    """Name the first blunder that two lengths of a pull look like [counts], or `NO_BLUNDER`."""
    pair = PairOfLengths.of(first, second, nominal, unit)
    return _first_that_fits(SIGNATURES, pair, unit) or NO_BLUNDER


def digit_blunder(pair: PairOfLengths, unit: ReadingUnit) -> str:
    """Name the blunder that two numbers look like digit by digit, as called; empty if none."""
    return _first_that_fits(OF_DIGITS, pair, unit)


def _first_that_fits(
    signatures: tuple[Signature, ...], pair: PairOfLengths, unit: ReadingUnit
) -> str:
    for fits, code in signatures:
        if fits(pair) and (unit.is_feet or code != INCH_CODE):
            return code_in(code, unit)
    return ""
