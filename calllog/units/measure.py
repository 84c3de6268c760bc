"""Lengths and areas as people write them in, exact values out, and back in print; pure.

Which foot: a unit that names its foot (``ift``, ``usft``, "US survey chains") has that one; all
others that are made of feet (``ft``, ``'``, ``in``, ``ch``, ``lk``, ``rd``, ``ac`` ...) have the
foot in use, which is the international one unless it is said otherwise. What is printed names its
foot, and is read again as what it was.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import ClassVar

from calllog.errors import ConfigError
from calllog.units.foot import Foot
from calllog.units.numbers import NUMBER, exact, mended, plain, rounded
from calllog.units.table import UNITS, Dimension, Unit, find_unit

_PART = re.compile(rf" ?({NUMBER}) ?([^0-9]*?)(?= ?\.?[0-9]|$)")
"""A number, then what stands before the next number (or the end)."""
_SQUARED = re.compile(r"([a-z])\^?2(?![0-9a-z./'\"]|,[0-9])")
"""The 2 of ft2, which is no number of its own."""
_NAMED_FOOT = re.compile(r" ?\((international|us survey) foot\)$")
_MEGA = re.compile(r"(?<![A-Za-z])Mm(?![A-Za-z])")
FINEST = 1000
"""Parts of a unit that a fraction may be printed in."""
_ONE_VALUE = "state a number and its unit, such as 529.81 ft or 12 ch 45 lk"


@dataclass(frozen=True)
class Measure:
    """A length or an area, exact, with the foot that it was stated in."""

    dimension: ClassVar[Dimension]

    size: Fraction
    """[m or m2]."""
    foot: Foot | None
    """None for what was stated in metric units."""

    def count(self, unit: Unit) -> Fraction:
        """Say how many of a unit it is, exactly; ConfigError if the unit measures another thing."""
        if unit.dimension is not self.dimension:
            raise ConfigError(
                f"{unit.name} is a unit of {unit.dimension}, not of {self.dimension}",
                next_step=f"state a unit of {self.dimension}",
            )
        return self.size / unit.size


@dataclass(frozen=True)
class Length(Measure):
    """A length, exact [m]."""

    dimension = Dimension.LENGTH

    def feet(self, foot: Foot) -> Fraction:
        """Say how many of these feet it is, exactly."""
        return self.size / foot.metres


@dataclass(frozen=True)
class Area(Measure):
    """An area, exact [m2]."""

    dimension = Dimension.AREA


@dataclass(frozen=True, slots=True)
class Form:
    """How a measure is printed: its units, the larger before the smaller."""

    units: tuple[Unit, ...]
    steps: int | None = None
    """Parts of the last unit that are printed as a fraction (16 for inches and sixteenths)."""


def parse_measure(text: str, foot: Foot = Foot.INTERNATIONAL) -> Length | Area:
    """Read a length or an area: a number and its unit, or several, the larger before the smaller.

    Only the last number may have a fraction, and each is less than one of the unit before it, so
    that "12 ch 145 lk" is asked about and not taken. A minus before all of it counts for all.
    A dash between feet and inches (``12'-6"``) is no minus.

    Args:
        text: such as "529.81 ft", "12 ch 45 lk", "12 ft 6 1/2 in", "1,234.5 usft", "3.5 ac",
            "12 ch 45 lk (US survey foot)"; quotes for feet and inches.
        foot: the foot in use, for units that do not name theirs.

    Raises:
        ConfigError: a number has no unit, a unit is not known, the parts do not go together, or it
            cannot be read at all.

    Example:
        >>> parse_measure("12 ch 45 lk", Foot.US_SURVEY).count(find_unit("usft"))
        Fraction(8217, 10)
    """
    negative, parts = _read(text, foot)
    size = sum((count * unit.size for count, unit in parts), Fraction(0))
    kind = Length if parts[0][1].dimension is Dimension.LENGTH else Area
    return kind(-size if negative else size, parts[0][1].foot)


def form_of(text: str, foot: Foot = Foot.INTERNATIONAL) -> Form:
    """Give the form that a value is written in, to print another one beside it.

    Args:
        text: as for `parse_measure`.
        foot: the foot in use, for units that do not name theirs.

    Raises:
        ConfigError: as `parse_measure`.

    Example:
        >>> show(parse_length("821.7 ft"), form_of("12 ch 40 lk"))
        '12 ch 45.00 lk (international foot)'
    """
    return Form(tuple(unit for _, unit in _read(text, foot)[1]))


def _read(text: str, foot: Foot) -> tuple[bool, list[tuple[Fraction, Unit]]]:
    """Read a value: whether it is negative, and its numbers with their units."""
    where = repr(text)
    _refuse_megameters(text, where)
    words = plain(text).casefold()
    named = _NAMED_FOOT.search(words)
    if named:
        foot = Foot(named[1].replace(" ", "-"))
        words = words[: named.start()]
    negative = words.startswith("-")
    parts = [
        (exact(number, where=where), _unit(word, number, foot, where))
        for number, word in _split(words.removeprefix("-"), where)
    ]
    if named and any(unit.foot not in (foot, None) for _, unit in parts):
        raise ConfigError(
            "a unit is of another foot than the value", where=where, next_step="name one foot"
        )
    _refuse_what_does_not_go_together(parts, where)
    return negative, parts


def _refuse_megameters(text: str, where: str) -> None:
    """Ask about a unit whose capital makes a thousand million of it."""
    if found := _MEGA.search(text):
        raise ConfigError(
            f"{found[0]!r} may be millimeters or megameters",
            where=where,
            next_step="say mm for millimeters, or meters with their number",
        )


def parse_length(text: str, foot: Foot = Foot.INTERNATIONAL) -> Length:
    """Read a length; see `parse_measure`.

    Raises:
        ConfigError: it cannot be read, or is an area.

    Example:
        >>> float(parse_length("161.49 m").feet(Foot.US_SURVEY))
        529.821775
    """
    measure = parse_measure(text, foot)
    if not isinstance(measure, Length):
        raise ConfigError(
            "an area, where a length is wanted", where=repr(text), next_step=_ONE_VALUE
        )
    return measure


def _split(words: str, where: str) -> Iterable[tuple[str, str]]:
    """Take a value apart into numbers and what follows each."""
    words = _SQUARED.sub(r"\1²", words)
    if unclear := re.search(r"[a-z]\.[0-9]", words):
        raise ConfigError(
            f"the point in {unclear[0]!r} may end the unit or begin the number",
            where=where,
            next_step="put a space after the unit, and a 0 before the point",
        )
    at = 0
    while at < len(words):
        part = _PART.match(words, at)
        if part is None:
            raise ConfigError(
                f"{words[at:].strip()!r} cannot be read",
                where=where,
                next_step=mended(words, _ONE_VALUE),
            )
        yield part[1], part[2]
        at = part.end()
    if not words:
        raise ConfigError("there is no value", where=where, next_step=_ONE_VALUE)


def _unit(word: str, number: str, foot: Foot, where: str) -> Unit:
    name = "'" if word == "'-" else word.strip(" ,;").removesuffix(" and")
    if name.endswith("-"):
        raise ConfigError(
            "a part of a value cannot be negative",
            where=where,
            next_step="set the minus before all of it, or take the part away by hand",
        )
    if not name:
        raise ConfigError(
            f"{number} has no unit", where=where, next_step=f"state it, such as {number} ft"
        )
    return find_unit(name, foot, where=where)


def _refuse_what_does_not_go_together(parts: list[tuple[Fraction, Unit]], where: str) -> None:
    for (count, unit), (next_count, smaller) in pairwise(parts):
        wrong = next_step = ""
        if unit.dimension is not smaller.dimension:
            wrong = f"{unit.name} and {smaller.name} cannot be added: {unit.dimension} and"
            wrong += f" {smaller.dimension}"
            next_step = "state a length or an area"
        elif unit.foot is not smaller.foot:
            wrong = f"{unit.name} and {smaller.name} are not made of the same foot"
            next_step = "state the value in one foot, or in metric units"
        elif smaller.size >= unit.size:
            wrong = f"{smaller.name} after {unit.name}: the larger unit comes first"
            next_step = "put the larger unit first, each unit once"
        elif count.denominator != 1:
            wrong = f"a part of a {unit.name} and {smaller.name} as well"
            next_step = "give a fraction to the last unit only"
        elif next_count * smaller.size >= unit.size:
            wrong = f"{float(next_count):.10g} {smaller.symbol} are a {unit.name} or more"
            wholes, rest = divmod(next_count * smaller.size, unit.size)
            whole, part = float(count + wholes), float(rest / smaller.size)
            said = f"{whole:.10g} {unit.symbol} {part:.10g} {smaller.symbol}"
            next_step = f"look at the number again, or say {said}"
        if wrong:
            raise ConfigError(wrong, where=where, next_step=next_step)


def parse_form(text: str, foot: Foot = Foot.INTERNATIONAL) -> Form:
    """Read how a measure is to be printed.

    Args:
        text: one unit ("usft", "sq rods"), or several symbols, the larger first ("ch lk"); /N
            after the last prints it in whole N-ths ("ft in/16").
        foot: the foot in use, for units that do not name theirs.

    Raises:
        ConfigError: a unit is not known, or they do not go together.

    Example:
        >>> [unit.symbol for unit in parse_form("ch lk").units]
        ['ch', 'lk']
    """
    where = repr(text)
    _refuse_megameters(text, where)
    words, slash, steps = plain(text).partition("/")
    if slash and not (steps.isdecimal() and 1 < int(steps) <= FINEST):
        raise ConfigError(
            f"{steps!r} is no number of parts", where=where, next_step="say one such as ft in/16"
        )
    first, *rest = words.casefold().split() or [""]
    names = [first, *rest] if rest and first in UNITS[foot] else [words]
    units = tuple(find_unit(name, foot, where=where) for name in names)
    _refuse_what_does_not_go_together([(Fraction(0), unit) for unit in units], where)
    return Form(units, int(steps) if slash else None)


def show(measure: Measure, form: Form, decimals: int = 2) -> str:
    """Print a measure, with the foot named where there is one.

    The last unit is rounded, half to even, on the exact value; what is rounded up to a whole of
    the unit before it is carried.

    Args:
        measure: what to print.
        form: the units to print it in.
        decimals: of the last unit; not used where the form has steps.

    Returns:
        The text, which `parse_measure` reads.

    Raises:
        ConfigError: the units measure something else.

    Example:
        >>> show(parse_length("821.7 ft"), parse_form("ch lk"))
        '12 ch 45.00 lk (international foot)'
        >>> show(parse_length("12.53125 ft"), parse_form("ft in/16"))
        '12 ft 6 3/8 in (international foot)'
    """
    *larger, last = form.units
    measure.count(last)
    step = Fraction(1, form.steps or 10**decimals)
    counts, left = _whole(abs(measure.size), larger)
    number = round(left / last.size / step) * step
    if larger and number * last.size >= larger[-1].size:
        counts, _ = _whole(abs(measure.size) - left + larger[-1].size, larger)
        number = Fraction(0)
    words = [f"{count} {unit.symbol}" for count, unit in zip(counts, larger, strict=True)]
    words.append(f"{_in_steps(number) if form.steps else rounded(number, decimals)} {last.symbol}")
    sign = "-" if measure.size < 0 and (number or any(counts)) else ""
    return sign + " ".join(words) + (f" ({last.foot.words})" if last.foot else "")


def _whole(size: Fraction, units: list[Unit]) -> tuple[list[int], Fraction]:
    """Take whole units out of a size, the largest first; give their counts and what is left."""
    counts = []
    for unit in units:
        count, size = divmod(size, unit.size)
        counts.append(count)
    return counts, size


def _in_steps(number: Fraction) -> str:
    whole, part = divmod(number, 1)
    return f"{whole} {part}" if whole and part else f"{part or whole}"
