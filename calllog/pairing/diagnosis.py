"""Two lengths that do not agree in, the code of the blunder that fits out; pure.

Lines of the first edition of the pairing name a blunder by this alone; later ones know more (see
`calllog.pairing.signatures`).

The signatures are common practice, no published source, except where a source is named. The
first that fits is named; a signature is a hint to the crew, never a correction.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from calllog.values import ReadingUnit

FOOT = 100
TENTH = 10
INCHES = 12
INCH_CODE = "inches"
"""Code of a blunder that there is on a tape in feet alone."""
TEENS = {ten + unit: 10 * unit for ten in (10,) for unit in range(3, 10)}
"""Thirteen and thirty, fourteen and forty, and so on."""
SOUND_ALIKE = ({5, 9}, {0, 4}, {1, 7})


@dataclass(frozen=True, slots=True)
class PairOfLengths:
    """Two lengths or readings in hundredths, and the tape's nominal length in hundredths."""

    first: int
    second: int
    nominal: int

    @property
    def difference(self) -> int:
        """How far apart they are."""
        return abs(self.first - self.second)

    @property
    def feet(self) -> tuple[int, int]:
        """Their whole units."""
        return self.first // FOOT, self.second // FOOT

    @property
    def parts(self) -> tuple[int, int]:
        """Their hundredths beside those."""
        return self.first % FOOT, self.second % FOOT

    def one_differs(self) -> tuple[int, int] | None:
        """Give the pair of feet or of hundredths that differs, if only one of them does."""
        differing = [pair for pair in (self.feet, self.parts) if pair[0] != pair[1]]
        return differing[0] if len(differing) == 1 else None


def _swapped(pair: PairOfLengths) -> bool:
    differing = pair.one_differs()
    return differing is not None and f"{differing[0]:02d}" == f"{differing[1]:02d}"[::-1]


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
    return differing is not None and (
        TEENS.get(differing[0]) == differing[1] or TEENS.get(differing[1]) == differing[0]
    )


def _inches(pair: PairOfLengths) -> bool:
    """Tell whether one's hundredths are the other's taken for inches, twelve to the foot."""
    low, high = sorted(pair.parts)
    return pair.feet[0] == pair.feet[1] and 0 < low < INCHES and round(low * FOOT / INCHES) == high


Signature = tuple[Callable[[PairOfLengths], bool], str]
"""How a blunder looks, and its code."""
OF_DIGITS: tuple[Signature, ...] = (
    (_swapped, "swapped"),
    (lambda p: _digits_in(p, ({6, 9},)), "six-nine"),
    (_teens, "teen-ty"),
    (lambda p: _digits_in(p, SOUND_ALIKE), "sound-alike"),
    (lambda p: p.difference == TENTH, "one-tenth"),
    (_inches, INCH_CODE),
)
"""What is seen in the digits alone, the surest first."""
SIGNATURES: tuple[Signature, ...] = (
    (lambda p: p.difference == FOOT, "one-foot"),
    (lambda p: p.difference == 10 * FOOT, "ten-feet"),
    (lambda p: p.difference == p.nominal, "tape-length"),
    (lambda p: p.first + p.second == p.nominal and p.difference > 0, "tape-complement"),
    (
        lambda p: sum(p.parts) == FOOT and abs(p.feet[0] - p.feet[1]) <= 1 and p.difference > 0,
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
    return _IN_METRES.get(code, code) if unit is ReadingUnit.METRE else code


def diagnose(first: int, second: int, nominal: int, unit: ReadingUnit = ReadingUnit.FOOT) -> str:
    """Name the blunder that two lengths of one pull look like.

    Args:
        first: length of the first, hundredths of the unit.
        second: length of the check, hundredths of the unit.
        nominal: nominal length of the tape, hundredths of the unit.
        unit: what the tape is graduated in.

    Returns:
        Code of the first signature that fits, or `NO_BLUNDER`.
    """
    pair = PairOfLengths(first, second, nominal)
    return _first_that_fits(SIGNATURES, pair, unit) or NO_BLUNDER


def digit_blunder(pair: PairOfLengths, unit: ReadingUnit) -> str:
    """Name the blunder that two numbers look like digit by digit; empty if none fits.

    Args:
        pair: both as they were called, hundredths of the unit.
        unit: what the tape is graduated in.
    """
    return _first_that_fits(OF_DIGITS, pair, unit)


def _first_that_fits(
    signatures: tuple[Signature, ...], pair: PairOfLengths, unit: ReadingUnit
) -> str:
    for fits, code in signatures:
        if fits(pair) and (unit is ReadingUnit.FOOT or code != INCH_CODE):
            return code_in(code, unit)
    return ""
