"""What is typed so far and one more key in, what it makes out (an entry, or why not); pure.

The key language is the table `ROWS`: what is acted on, what is refused and what is printed for
the crew all come from it. Hundredths are always typed with both digits; nothing is guessed. A key
that does not belong is told at once, and spoils the entry until Enter or minus, so that the rest
of a mistyped entry can never pass for another one.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from calllog.units import said_in
from calllog.values import Expectation, Kind, ReadingUnit

ENTER = "\n"
BACKSPACE = "\b"
OTHER = "?"
"""Stands for any key that is none of a keypad's, such as the digits without Num Lock."""
_SAME = {"\r": ENTER, "\x7f": BACKSPACE, ",": "."}
"""Other characters for the same keys; many keypads have a comma for the point."""
_KEYS = frozenset("0123456789.+-*/")
_MOST = 24
"""Longer than anything that can be meant; more is not kept [keys]."""


@dataclass(frozen=True, slots=True)
class Row:
    """One thing that can be typed."""

    keys: str
    """An example, as it is typed; it ends in " Enter" if Enter is needed."""
    words: str
    """What it does, in the crew's words."""
    name: str = ""
    """Name of the command or condition; empty for what is neither."""
    least: int = 0
    greatest: int | None = None
    """What a condition may state; None for what states no amount."""
    unit: str = ""
    places: int = 0
    """How many digits the amount may have after a point: all of them or none."""

    @property
    def is_command(self) -> bool:
        """Whether it acts at its last key, without Enter."""
        return bool(self.name) and self.greatest is None


ROWS = (
    Row("15 Enter", "the foot or the hundredths, whichever you are to call"),
    Row("15. Enter", "a whole foot, whatever is expected"),
    Row(".42 Enter", "hundredths, whatever is expected; always both digits: .05, .50"),
    Row("15.42 Enter", "a full reading"),
    Row("Enter", "say again"),
    Row("-", "strike the last call; while something is typed: clear it", "scratch"),
    Row("Backspace", "clear the last key"),
    Row("+", "switch ends", "switch"),
    Row("1/", "keep the first", "first"),
    Row("2/", "keep the second", "check"),
    Row("0/", "measure again", "again"),
    Row("3/", "next pull", "next"),
    Row("9/", "line finished", "finish"),
    Row("1*68 Enter", "temperature; 1*-5 below zero", "temperature", -60, 160, "degF"),
    Row("2*20 Enter", "tension", "tension", 1, 99, "lb"),
    Row("3*1 Enter", "support: 0 throughout, 1 ends only, or equal spans", "spans", 0, 20),
    Row("4*2 Enter", "held at: 0 ground, 1 knee, 2 waist, 3 chest", "position", 0, 3),
    Row("5*1.25 Enter", "rise between the ends; 5*0 for level", "rise", 0, 100, "ft", places=2),
    Row("6*1 Enter", "foot mark that the other end holds", "hold", 0, 100, "ft"),
    Row("7*2 Enter", "another tape, by its number", "tape", 1, 99),
    Row("8*3 Enter", "another line, by its number", "line", 1, 999),
    Row("9*", "a remark, kept as sound", "remark"),
    Row("1+25/18.4 Enter", "a note: at station 1+25, right 18.4 ft"),
    Row("1+25-18.4 Enter", "a note: at station 1+25, left 18.4 ft"),
)
"""The key language. Tenths go for the offset of a note, which is no reading of this tape."""
_METRIC = {
    "temperature": ("1*20 Enter", -50, 70),
    "tension": ("2*50 Enter", 1, 400),
    "rise": ("5*1.25 Enter", 0, 100),
    "hold": ("6*1 Enter", 0, 100),
}
"""What differs on a metric tape: example, least and greatest, in Celsius, newtons and metres."""


def rows(unit: ReadingUnit = ReadingUnit.FOOT) -> tuple[Row, ...]:
    """Give the key language on a tape of a unit."""
    return _ROWS[unit]


def _metric(row: Row) -> Row:
    metre = ReadingUnit.METRE
    keys, least, greatest = _METRIC.get(row.name, (row.keys, row.least, row.greatest))
    words, stated = said_in(row.words, metre), said_in(row.unit, metre)
    return replace(row, keys=keys, words=words, least=least, greatest=greatest, unit=stated)


_ROWS = {ReadingUnit.FOOT: ROWS, ReadingUnit.METRE: tuple(map(_metric, ROWS))}

_COMMANDS = {row.keys: row for row in ROWS if row.is_command}
_STATED = {
    unit: {row.keys[0]: row for row in known if row.greatest is not None}
    for unit, known in _ROWS.items()
}
_CONDITIONS = _STATED[ReadingUnit.FOOT]
"""By their first keys, which are the same on every tape, as are the forms of their amounts."""
_STEPS = ", ".join(f"{keys} {row.words}" for keys, row in _COMMANDS.items() if keys[1:] == "/")
_NUMBER = re.compile(r"([0-9]*)(?:(\.)([0-9]*))?")
_CONDITION = re.compile(r"([0-9]+)\*(?:(-?[0-9]+)(?:\.([0-9]*))?)?")
_NOTE = re.compile(r"([0-9]+)\+([0-9]{2})(?:\.([0-9]{1,2}))?([/-])([0-9]+)(?:\.([0-9]{1,2}))?")
_PART = r"(?:\.[0-9]{0,2})?"
_BEGINNING = re.compile(
    "|".join(
        (
            rf"[0-9]{{0,4}}{_PART}",
            *(
                rf"{code}\*{'-?' if row.least < 0 else ''}"
                rf"[0-9]{{0,3}}{rf'(?:[.][0-9]{{0,{row.places}}})?' if row.places else ''}"
                for code, row in _CONDITIONS.items()
            ),
            rf"[0-9]{{1,4}}\+(?:[0-9]?|[0-9]{{2}}{_PART}(?:[/-](?:[0-9]{{1,4}}{_PART})?)?)",
        )
    )
)
"""What may still become an entry."""


@dataclass(frozen=True, slots=True)
class Ticked:
    """The key was taken; the entry goes on."""


@dataclass(frozen=True, slots=True)
class Mistyped:
    """The key does not belong here: the entry can only be cleared now, or is refused at Enter."""

    reason: str


@dataclass(frozen=True, slots=True)
class Cleared:
    """What was typed is cleared: all of it by minus, the last key by backspace."""


@dataclass(frozen=True, slots=True)
class Repeat:
    """Enter alone: say again what was read back."""


@dataclass(frozen=True, slots=True)
class Refused:
    """What was typed is not taken, and gone."""

    reason: str
    """Why, in plain words, fit to be spoken."""


@dataclass(frozen=True, slots=True)
class Entry:
    """What was typed, complete."""

    text: str
    """The keys as typed, without Enter."""
    kind: Kind | None
    """Number, command or condition; None for a station and offset note."""
    value: int | None = None
    """Hundredths of the unit; for a bare number the number itself."""
    name: str = ""
    """Name of the command or condition."""
    amount: float | None = None
    """What a condition states, in the unit of its row."""
    note: tuple[int, Literal["left", "right"], int] | None = None
    """Station, side and offset of a note; station and offset in hundredths of the unit."""


Result = Ticked | Mistyped | Cleared | Repeat | Refused | Entry


def press(  # noqa: PLR0911 - one way out for each kind of key
    typed: str,
    key: str,
    expects: Expectation,
    limit: int,
    unit: ReadingUnit = ReadingUnit.FOOT,
) -> tuple[str, Result]:
    """Take one key.

    Args:
        typed: what was typed before it, empty at first; the text that this function returned.
        key: one character; a carriage return counts as Enter, a comma as the point, and all that
            is no key of a keypad as `OTHER`.
        expects: what the one who types is expected to call.
        limit: the greatest reading on this tape, hundredths of its unit; the whole units of it are
            the tape's nominal length.
        unit: what the tape is graduated in.

    Returns:
        What is typed now, and what the key made.

    Example:
        >>> press("15.4", "2", Expectation.READING, 10000)
        ('15.42', Ticked())
        >>> press("15.42", ENTER, Expectation.READING, 10000)[1].value
        1542
    """
    key = _SAME.get(key, key)
    if key == ENTER:
        return "", _in_unit(_enter(typed, expects, limit, unit), unit)
    if key == BACKSPACE:
        nothing = Refused("nothing is typed; minus strikes the last call")
        return typed[:-1], Cleared() if typed else nothing
    after = (typed + (key if key in _KEYS else OTHER))[:_MOST]
    if (row := _COMMANDS.get(after)) is not None:
        return "", Entry(after, Kind.COMMAND, name=row.name)
    if _BEGINNING.fullmatch(after):
        return after, Ticked()
    if key == "-":
        return "", Cleared()
    if key == "/" and len(after) <= 2:  # noqa: PLR2004 - one figure and the slash
        return "", Refused(f"{after} means nothing; {_STEPS}")
    return after, Mistyped(_spoilt(after))


def _in_unit(made: Entry | Repeat | Refused, unit: ReadingUnit) -> Entry | Repeat | Refused:
    """Say why something is refused in the unit of the tape."""
    return Refused(said_in(made.reason, unit)) if isinstance(made, Refused) else made


def describe_keys(unit: ReadingUnit = ReadingUnit.FOOT) -> str:
    """Print the key language, one line for each thing that can be typed."""
    known = rows(unit)
    width = max(len(row.keys) for row in known)
    lines = []
    for row in known:
        amounts = "" if row.greatest is None else f" ({_range(row)})"
        lines.append(f"{row.keys:{width}}  {row.words}{amounts}")
    return "\n".join(lines)


def _range(row: Row) -> str:
    return f"{row.least} to {row.greatest} {row.unit}".rstrip()


def _spoilt(typed: str) -> str:
    if OTHER in typed:
        return "a key that is none of the keypad's; is Num Lock on? type it again"
    return f"{typed} is no entry; type it again"


def _enter(  # noqa: PLR0911 - one way out for each kind of entry
    typed: str, expects: Expectation, limit: int, unit: ReadingUnit
) -> Entry | Repeat | Refused:
    if not typed:
        return Repeat()
    if number := _NUMBER.fullmatch(typed):
        whole, point, part = number.groups()
        if point:
            return _pointed(typed, whole, part, limit)
        return _bare(typed, expects, limit)
    if condition := _CONDITION.fullmatch(typed):
        code, whole, part = condition.groups()
        return _condition(typed, (code, whole, part), _STATED[unit])
    if note := _NOTE.fullmatch(typed):
        hundreds, feet, part, side, offset, tenths = note.groups()
        station = int(hundreds + feet + (part or "").ljust(2, "0"))
        away = int(offset + (tenths or "").ljust(2, "0"))
        return Entry(typed, None, note=(station, "right" if side == "/" else "left", away))
    if "+" in typed and OTHER not in typed:
        return Refused(f"{typed} is no note; type it like 1+25/18.4 for right, 1+25-18.4 for left")
    return Refused(_spoilt(typed))


def _pointed(typed: str, whole: str, part: str, limit: int) -> Entry | Refused:
    """Read a number with a point: what it states is plain from where the point stands."""
    if not whole and not part:
        return Refused("a point alone is no number")
    if len(part) == 1:
        return Refused(f"{typed} may be {whole}.0{part} or {whole}.{part}0; type both digits")
    if len(part) > 2:  # noqa: PLR2004 - hundredths
        return Refused(f"{typed} has {len(part)} digits after the point; type two")
    if not whole:
        return Entry(typed, Kind.FRACTION, int(part))
    value = int(whole + part.ljust(2, "0"))
    if value > limit:
        return Refused(_beyond(typed.removesuffix("."), limit))
    return Entry(typed, Kind.READING if part else Kind.WHOLE, value)


def _beyond(typed: str, limit: int) -> str:
    return f"{typed} is beyond this {limit // 100} ft tape"


def _bare(  # noqa: PLR0911 - one way out for each expectation and length
    typed: str, expects: Expectation, limit: int
) -> Entry | Refused:
    """Read a number without a point by what is expected.

    Where either part may be meant, two digits that begin with a zero, or are no foot of this
    tape, can only be hundredths.
    """
    number, digits = int(typed), len(typed)
    is_padded = digits > 1 and typed[0] == "0"
    is_beyond = number * 100 > limit
    if expects is Expectation.FRACTION:
        if digits == 1:
            return Refused(f"{typed} may be .0{typed} or .{typed}0; type both digits")
        if digits == 2:  # noqa: PLR2004 - hundredths
            return Entry(typed, Kind.FRACTION, number)
        return Refused(f"{typed} is no hundredths; type two digits, or {number}. for a foot")
    if expects is Expectation.READING:
        start = _beyond(typed, limit) if is_beyond else f"{typed} has no point"
        return Refused(f"{start}; type feet, point and both digits")
    if expects is Expectation.ANY and digits == 2 and (is_padded or is_beyond):  # noqa: PLR2004
        return Entry(typed, Kind.FRACTION, number)
    if is_padded:
        return Refused(
            f"{typed} begins with a zero; type .{typed[-2:]} for hundredths, {number} for a foot"
        )
    if is_beyond:
        return Refused(_beyond(typed, limit))
    if expects is Expectation.ANY and digits <= 2:  # noqa: PLR2004 - may be hundredths
        return Entry(typed, Kind.NUMBER, number)
    return Entry(typed, Kind.WHOLE, number * 100)


def _condition(
    typed: str, parts: tuple[str, str | None, str | None], known: Mapping[str, Row]
) -> Entry | Refused:
    """Read a condition of its code, its whole number and what stands after the point."""
    code, whole, part = parts
    row = known.get(code)
    if row is None or row.greatest is None:
        codes = ", ".join(f"{each}* {row.name}" for each, row in known.items())
        return Refused(f"{code}* states nothing; {codes}")
    if whole is None:
        return Refused(f"{typed} needs a number: {row.name} {_range(row)}")
    if part is not None and not row.places:
        return Refused(f"{typed} has a point; {row.name} is typed in whole numbers")
    if part is not None and len(part) != row.places:
        return Refused(f"{typed}: type both digits after the point")
    amount = int(whole + (part or "00")) / 100
    if not row.least <= amount <= row.greatest:
        return Refused(f"{row.name} {amount:g} does not go; {_range(row)}")
    return Entry(typed, Kind.CONDITION, name=row.name, amount=amount)
