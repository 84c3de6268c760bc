"""Two lengths that do not agree in, the blunder that fits out, in plain words; pure.

The signatures are common practice, no published source, except where a source is named. The
first that fits is named; a signature is a hint to the crew, never a correction.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import astuple, dataclass

from calllog.units import said_in
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
class Diagnosis:
    """A blunder's name, what it looks like and what to do; here as on a tape in feet."""

    code: str
    words: str
    remedy: str


@dataclass(frozen=True, slots=True)
class _Pair:
    """Two lengths in hundredths, and the tape's nominal length in hundredths."""

    first: int
    second: int
    nominal: int

    @property
    def difference(self) -> int:
        return abs(self.first - self.second)

    @property
    def feet(self) -> tuple[int, int]:
        return self.first // FOOT, self.second // FOOT

    @property
    def parts(self) -> tuple[int, int]:
        return self.first % FOOT, self.second % FOOT

    def one_differs(self) -> tuple[int, int] | None:
        """Give the pair of feet or of hundredths that differs, if only one of them does."""
        differing = [pair for pair in (self.feet, self.parts) if pair[0] != pair[1]]
        return differing[0] if len(differing) == 1 else None


def _swapped(pair: _Pair) -> bool:
    differing = pair.one_differs()
    return differing is not None and f"{differing[0]:02d}" == f"{differing[1]:02d}"[::-1]


def _digits_in(pair: _Pair, sets: tuple[set[int], ...]) -> bool:
    width = len(str(max(pair.first, pair.second)))
    digits = [
        {int(a), int(b)}
        for a, b in zip(f"{pair.first:0{width}d}", f"{pair.second:0{width}d}", strict=True)
        if a != b
    ]
    return len(digits) == 1 and digits[0] in sets


def _teens(pair: _Pair) -> bool:
    differing = pair.one_differs()
    return differing is not None and (
        TEENS.get(differing[0]) == differing[1] or TEENS.get(differing[1]) == differing[0]
    )


def _inches(pair: _Pair) -> bool:
    """Tell whether one's hundredths are the other's taken for inches, twelve to the foot."""
    low, high = sorted(pair.parts)
    return pair.feet[0] == pair.feet[1] and 0 < low < INCHES and round(low * FOOT / INCHES) == high


SIGNATURES: tuple[tuple[Callable[[_Pair], bool], Diagnosis], ...] = (
    (
        lambda p: p.difference == FOOT,
        Diagnosis(
            "one-foot",
            "exactly one foot apart: a foot added where the tape cuts, or the held foot forgotten",
            "look which foot mark is held and measure again",
        ),
    ),
    (
        lambda p: p.difference == 10 * FOOT,
        Diagnosis(
            "ten-feet",
            "exactly ten feet apart: a ten-foot mark misread",
            "read the tens at the mark and measure again",
        ),
    ),
    (
        lambda p: p.difference == p.nominal,
        Diagnosis(
            "tape-length",
            "exactly one tape length apart: a pull dropped or counted twice",
            "count the pulls and measure again",
        ),
    ),
    (
        lambda p: p.first + p.second == p.nominal and p.difference > 0,
        Diagnosis(
            "tape-complement",
            "the two add up to the tape: one was read from the other end",
            "look which way the numbers run and measure again",
        ),
    ),
    (
        lambda p: sum(p.parts) == FOOT and abs(p.feet[0] - p.feet[1]) <= 1 and p.difference > 0,
        Diagnosis(
            "foot-complement",
            "the hundredths add up to a foot: one was read from the wrong side of the mark",
            "read the hundredths from the zero side and measure again",
        ),
    ),
    (
        _swapped,
        Diagnosis("swapped", "two digits swapped", "say the digits one by one and measure again"),
    ),
    (
        lambda p: _digits_in(p, ({6, 9},)),
        Diagnosis("six-nine", "six and nine: a figure read upside down", "read it again upright"),
    ),
    (
        _teens,
        Diagnosis("teen-ty", "sound-alikes, as thirteen and thirty", "say the digits one by one"),
    ),
    (
        lambda p: _digits_in(p, SOUND_ALIKE),
        Diagnosis("sound-alike", "sound-alike digits", "say the digits one by one"),
    ),
    (
        lambda p: p.difference == TENTH,
        Diagnosis("one-tenth", "exactly one tenth apart: a tenth misread", "read the tenths again"),
    ),
    (
        _inches,
        Diagnosis(
            INCH_CODE,
            "feet and inches: one was read with twelve inches to the foot",
            "read the tenths and hundredths and measure again",
        ),
    ),
)


def diagnose(
    first: int, second: int, nominal: int, unit: ReadingUnit = ReadingUnit.FOOT
) -> Diagnosis:
    """Name the blunder that two lengths of one pull look like.

    Args:
        first: length of the take, hundredths of the unit.
        second: length of the check, hundredths of the unit.
        nominal: nominal length of the tape, hundredths of the unit.
        unit: what the tape is graduated in.

    Returns:
        The first signature that fits, or one that names none.
    """
    pair = _Pair(first, second, nominal)
    for fits, diagnosis in SIGNATURES:
        if fits(pair) and (unit is ReadingUnit.FOOT or diagnosis.code != INCH_CODE):
            return Diagnosis(*(said_in(each, unit) for each in astuple(diagnosis)))
    return Diagnosis("differs", "no known blunder fits", "measure again")
