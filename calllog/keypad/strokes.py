"""What is typed so far and one more key in, what it makes out (an entry, or why not); pure.

The key language is the table `ROWS`: what is acted on, what is refused and what is printed for
the crew all come from it. Hundredths are always typed with both digits; nothing is guessed. A key
that does not belong is told at once, and spoils the entry until Enter or minus, so that the rest
of a mistyped entry can never pass for another one. What strikes a call acts at Enter alone: a
single stray key reopens no pull.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from calllog.values import Expectation, Fact, Kind, Message, ReadingUnit, message

ENTER = "\n"
BACKSPACE = "\b"
OTHER = "?"
"""Stands for any key that is none of a keypad's, such as the digits without Num Lock."""
_SAME = {"\r": ENTER, "\x7f": BACKSPACE, ",": "."}
"""Other characters for the same keys; many keypads have a comma for the point."""
_KEYS = frozenset("0123456789.+-*/")
ENTERED = " Enter"
"""How a row ends that needs Enter."""
ENTER_SIGN = "↵"
_MOST = 24
"""Longer than anything that can be meant; more is not kept [keys]."""


@dataclass(frozen=True, slots=True)
class KeyRow:
    """One thing that can be typed."""

    keys: str
    """An example, as it is typed; it ends in " Enter" if Enter is needed."""
    does: str
    """Code of the message that says what it does."""
    name: str = ""
    """Name of the command or condition; empty for what is neither."""
    least: int = 0
    greatest: int | None = None
    """What a condition may state; None for what states no amount."""
    unit: str = ""
    """Symbol of what it is stated in; empty for what is counted."""
    places: int = 0
    """How many digits the amount may have after a point: all of them or none."""

    @property
    def is_command(self) -> bool:
        """Whether it is a command: it states nothing, and acts at its last key."""
        return bool(self.name) and self.greatest is None

    @property
    def typed(self) -> str:
        """The keys without Enter."""
        return self.keys.removesuffix(ENTERED)

    @property
    def short(self) -> str:
        """The keys where there is little room: Enter as its sign."""
        return self.keys.replace(ENTERED, ENTER_SIGN)

    @property
    def is_strike(self) -> bool:
        """Whether it strikes what was called: it acts at Enter, not at a stray key."""
        return self.is_command and self.keys.endswith(ENTERED)


ROWS = (
    KeyRow("15 Enter", "keys-part"),
    KeyRow("15. Enter", "keys-whole"),
    KeyRow(".42 Enter", "keys-hundredths"),
    KeyRow("15.42 Enter", "keys-reading"),
    KeyRow("Enter", "keys-repeat"),
    KeyRow("- Enter", "keys-scratch", "scratch"),
    KeyRow("Backspace", "keys-clear"),
    KeyRow("+", "keys-switch", "switch"),
    KeyRow("1/", "keys-first", "first"),
    KeyRow("2/", "keys-check", "check"),
    KeyRow("0/ Enter", "keys-again", "again"),
    KeyRow("3/", "keys-next", "next"),
    KeyRow("4/", "keys-head-holds", "head-holds"),
    KeyRow("5/", "keys-rear-holds", "rear-holds"),
    KeyRow("9/", "keys-finish", "finish"),
    KeyRow("7/", "keys-cut", "cut"),
    KeyRow("8/", "keys-add", "add"),
    KeyRow("1*68 Enter", "keys-temperature", "temperature", -60, 160, "degF"),
    KeyRow("2*20 Enter", "keys-tension", "tension", 1, 99, "lb"),
    KeyRow("3*1 Enter", "keys-spans", "spans", 0, 20),
    KeyRow("4*2 Enter", "keys-position", "position", 0, 3),
    KeyRow("5*1.25 Enter", "keys-rise", "rise", 0, 100, "ft", places=2),
    KeyRow("6*1 Enter", "keys-hold", "hold", 0, 100, "ft"),
    KeyRow("7*2 Enter", "keys-tape", "tape", 1, 99),
    KeyRow("8*3 Enter", "keys-line", "line", 1, 999),
    KeyRow("9*", "keys-remark", "remark"),
    KeyRow("1+25/18.4 Enter", "keys-note-right"),
    KeyRow("1+25-18.4 Enter", "keys-note-left"),
)
"""The key language. Tenths go for the offset of a note, which is no reading of this tape."""
_METRIC = {
    "temperature": ("1*20 Enter", -50, 70, "degC"),
    "tension": ("2*50 Enter", 1, 400, "N"),
    "rise": ("5*1.25 Enter", 0, 100, "m"),
    "hold": ("6*1 Enter", 0, 100, "m"),
}
"""What differs on a metric tape: example, least, greatest and the symbol of the unit."""
_METRIC_NOTES = {
    "keys-note-right": "1+234/18.4 Enter",
    "keys-note-left": "1+234-18.4 Enter",
}
"""Stations of a metric line have kilometres before the plus, so three digits after it."""
_FINE = {
    ReadingUnit.FINE_FOOT: {
        "keys-hundredths": (".425 Enter", "keys-half-hundredths"),
        "keys-reading": ("15.425 Enter", "keys-reading"),
    },
    ReadingUnit.FINE_METRE: {
        "keys-hundredths": (".346 Enter", "keys-millimetres"),
        "keys-reading": ("15.346 Enter", "keys-reading"),
    },
}
"""What is typed on tapes that are read more finely: example, and code of what it does."""


def rows(unit: ReadingUnit = ReadingUnit.FOOT) -> tuple[KeyRow, ...]:
    """Give the key language on a tape of a unit."""
    return _ROWS[unit]


def _metric(row: KeyRow) -> KeyRow:
    if row.name not in _METRIC:
        return replace(row, keys=_METRIC_NOTES.get(row.does, row.keys))
    keys, least, greatest, unit = _METRIC[row.name]
    return replace(row, keys=keys, least=least, greatest=greatest, unit=unit)


def _rows(unit: ReadingUnit) -> tuple[KeyRow, ...]:
    known = ROWS if unit.is_feet else tuple(map(_metric, ROWS))
    fine = _FINE.get(unit, {})
    return tuple(
        replace(row, keys=fine[row.does][0], does=fine[row.does][1]) if row.does in fine else row
        for row in known
    )


_ROWS = {unit: _rows(unit) for unit in ReadingUnit}

_COMMANDS = {row.keys: row for row in ROWS if row.is_command and not row.is_strike}
_STRIKES = {row.typed: row for row in ROWS if row.is_strike}
_TYPED = {row.name: row.typed for row in ROWS if row.is_command}
_STATED = {
    unit: {row.keys[0]: row for row in known if row.greatest is not None}
    for unit, known in _ROWS.items()
}
_CONDITIONS = _STATED[ReadingUnit.FOOT]
"""By their first keys, which are the same on every tape, as are the forms of their amounts."""
_NUMBER = re.compile(r"([0-9]*)(?:(\.)([0-9]*))?")
_CONDITION = re.compile(r"([0-9]+)\*(?:(-?[0-9]+)(?:\.([0-9]*))?)?")
_PART = r"(?:\.[0-9]{0,2})?"
_OFFSET = r"([/-])([0-9]+)(?:\.([0-9]{1,2}))?"
_AFTER_PLUS = {ReadingUnit.FOOT: 2, ReadingUnit.METRE: 3}
"""Digits after the plus of a station."""
_NOTE = {
    unit: re.compile(rf"([0-9]+)\+([0-9]{{{digits}}})(?:\.([0-9]{{1,2}}))?{_OFFSET}")
    for unit, digits in _AFTER_PLUS.items()
}


def _beginning(unit: ReadingUnit) -> re.Pattern[str]:
    digits = _AFTER_PLUS[unit.base]
    station, offset = rf"[0-9]{{{digits}}}{_PART}", rf"[0-9]{{1,4}}{_PART}"
    return re.compile(
        "|".join(
            (
                rf"[0-9]{{0,4}}(?:\.[0-9]{{0,{unit.digits}}})?",
                *(
                    rf"{code}\*{'-?' if row.least < 0 else ''}"
                    rf"[0-9]{{0,3}}{rf'(?:[.][0-9]{{0,{row.places}}})?' if row.places else ''}"
                    for code, row in _CONDITIONS.items()
                ),
                rf"[0-9]{{1,4}}\+(?:[0-9]{{0,{digits - 1}}}|{station}(?:[/-](?:{offset})?)?)",
            )
        )
    )


_BEGINNING = {unit: _beginning(unit) for unit in ReadingUnit}
"""What may still become an entry."""


@dataclass(frozen=True, slots=True)
class Ticked:
    """The key was taken; the entry goes on."""


@dataclass(frozen=True, slots=True)
class Mistyped:
    """The key does not belong here: the entry can only be cleared now, or is refused at Enter."""

    reason: Message


@dataclass(frozen=True, slots=True)
class Cleared:
    """What was typed is cleared: all of it by minus, the last key by backspace."""


@dataclass(frozen=True, slots=True)
class Repeat:
    """Enter alone: say again what was read back."""


@dataclass(frozen=True, slots=True)
class Refused:
    """What was typed is not taken, and gone."""

    reason: Message
    """Why, fit to be spoken."""


@dataclass(frozen=True, slots=True)
class KeyedEntry:
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


Result = Ticked | Mistyped | Cleared | Repeat | Refused | KeyedEntry


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
        limit: the greatest reading on this tape, least counts of it; the whole units of it are the
            tape's nominal length.
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
        return "", read_entry(typed, expects, limit, unit)
    if key == BACKSPACE:
        return typed[:-1], Cleared() if typed else _refused("key-nothing-typed")
    after = (typed + (key if key in _KEYS else OTHER))[:_MOST]
    if (row := _COMMANDS.get(after)) is not None:
        return "", KeyedEntry(after, Kind.COMMAND, name=row.name)
    if after in _STRIKES or _BEGINNING[unit].fullmatch(after):
        return after, Ticked()
    if key == "-":
        return "", Cleared()
    if key == "/" and len(after) <= 2:  # noqa: PLR2004 - one figure and the slash
        return "", _refused("key-means-nothing", typed=after)
    return after, Mistyped(_spoilt(after))


def _range(row: KeyRow, greatest: int) -> Message:
    return message("key-range", least=row.least, greatest=greatest, symbol=row.unit or "none")


def _refused(code: str, /, **facts: Fact) -> Refused:
    return Refused(message(code, **facts))


def _spoilt(typed: str) -> Message:
    if OTHER in typed:
        return message("key-none-of-keypad")
    return message("key-no-entry", typed=typed)


def command_entry(name: str) -> KeyedEntry:
    """Give a command as an entry, as if its keys had been typed.

    Raises:
        KeyError: there is none of that name.
    """
    return KeyedEntry(_TYPED[name], Kind.COMMAND, name=name)


def read_entry(  # noqa: PLR0911 - one way out for each kind of entry
    typed: str, expects: Expectation, limit: int, unit: ReadingUnit = ReadingUnit.FOOT
) -> KeyedEntry | Repeat | Refused:
    """Read an entry that is complete: what Enter makes of what was typed.

    Args:
        typed: the keys without Enter.
        expects: what the one who gives it is expected to call.
        limit: the greatest reading on this tape, least counts of it.
        unit: what the tape is graduated in.

    Example:
        >>> read_entry(".42", Expectation.ANY, 10000).value
        42
    """
    if not typed:
        return Repeat()
    if (row := _STRIKES.get(typed)) is not None:
        return KeyedEntry(typed, Kind.COMMAND, name=row.name)
    if number := _NUMBER.fullmatch(typed):
        whole, point, part = number.groups()
        if point:
            return _pointed(typed, (whole, part), limit, unit)
        return _bare(typed, expects, limit, unit)
    if condition := _CONDITION.fullmatch(typed):
        code, whole, part = condition.groups()
        return _condition(typed, (code, whole, part), _STATED[unit])
    if note := _NOTE[unit.base].fullmatch(typed):
        hundreds, feet, part, side, offset, tenths = note.groups()
        station = int(hundreds + feet + (part or "").ljust(2, "0"))
        away = int(offset + (tenths or "").ljust(2, "0"))
        return KeyedEntry(typed, None, note=(station, "right" if side == "/" else "left", away))
    if "+" in typed and OTHER not in typed:
        return _refused("key-no-note", typed=typed)
    return Refused(_spoilt(typed))


def _pointed(
    typed: str, parts: tuple[str, str], limit: int, unit: ReadingUnit
) -> KeyedEntry | Refused:
    """Read a number with a point: what it states is plain from where the point stands."""
    whole, part = parts
    if not whole and not part:
        return _refused("key-point-alone")
    counts = _after_point(typed, parts, unit) if part else 0
    if isinstance(counts, Refused):
        return counts
    if not whole:
        return KeyedEntry(typed, Kind.FRACTION, counts)
    value = int(whole) * unit.counts + counts
    if value > limit:
        return _beyond("words-beyond-tape", typed.removesuffix("."), limit, unit)
    return KeyedEntry(typed, Kind.READING if part else Kind.WHOLE, value)


def _after_point(typed: str, parts: tuple[str, str], unit: ReadingUnit) -> int | Refused:
    """Read the digits after the point [least counts]; the number of them is what is trusted."""
    whole, part = parts
    if unit is ReadingUnit.FINE_METRE and len(part) < unit.digits:
        return _refused("key-three-digits", typed=typed)
    if len(part) == 1:
        return _refused("key-one-digit", typed=typed, whole=whole, digit=int(part))
    if len(part) > unit.digits:
        return _refused("key-many-digits", typed=typed, digits=len(part))
    counts, rest = divmod(int(part.ljust(unit.digits, "0")), unit.step)
    return _refused("key-least-count", typed=typed) if rest else counts


def _beyond(code: str, typed: str, limit: int, unit: ReadingUnit) -> Refused:
    return _refused(code, said=typed, tape=limit // unit.counts)


def _bare(  # noqa: C901, PLR0911 - one way out for each expectation and length
    typed: str, expects: Expectation, limit: int, unit: ReadingUnit
) -> KeyedEntry | Refused:
    """Read a number without a point by what is expected.

    Where either part may be meant, two digits that begin with a zero, or are no foot of this
    tape, can only be hundredths.
    """
    number, digits = int(typed), len(typed)
    is_padded = digits > 1 and typed[0] == "0"
    is_beyond = number * unit.counts > limit
    if unit.is_fine and expects in (Expectation.FRACTION, Expectation.ANY):
        fine = _fine(typed, expects, unit, is_mark=not (is_padded or is_beyond))
        if fine is not None:
            return fine
    if expects is Expectation.FRACTION:
        if digits == 1:
            return _refused("key-one-digit", typed=typed, whole="", digit=number)
        if digits == 2:  # noqa: PLR2004 - hundredths
            return KeyedEntry(typed, Kind.FRACTION, unit.of_hundredths(number))
        return _refused("key-no-hundredths", typed=typed, whole=number)
    if expects is Expectation.READING and is_beyond:
        return _beyond("key-beyond-tape", typed, limit, unit)
    if expects is Expectation.READING:
        return _refused("key-no-point", typed=typed)
    if expects is Expectation.ANY and digits == 2 and (is_padded or is_beyond):  # noqa: PLR2004
        return KeyedEntry(typed, Kind.FRACTION, unit.of_hundredths(number))
    if is_padded:
        return _refused("key-zero-first", typed=typed, part=typed[-2:], whole=number)
    if is_beyond:
        return _beyond("words-beyond-tape", typed, limit, unit)
    if expects is Expectation.ANY and digits <= 2:  # noqa: PLR2004 - may be hundredths
        return KeyedEntry(typed, Kind.NUMBER, number)
    return KeyedEntry(typed, Kind.WHOLE, number * unit.counts)


def _fine(
    typed: str, expects: Expectation, unit: ReadingUnit, *, is_mark: bool
) -> KeyedEntry | Refused | None:
    """Read a number on a tape that is read more finely than to hundredths.

    Three digits are what stands after the point. Where that is millimetres, fewer are a mark or
    nothing.

    Args:
        typed: digits alone.
        expects: the part after the point, or either part.
        unit: what the tape is graduated in.
        is_mark: it may be a whole mark of this tape.

    Returns:
        None where it is read as on any tape.
    """
    if len(typed) == unit.digits:
        if is_mark and expects is Expectation.ANY:
            return _refused("key-mark-or-part", typed=typed)
        counts, rest = divmod(int(typed), unit.step)
        if rest:
            return _refused("key-least-count", typed=typed)
        return KeyedEntry(typed, Kind.FRACTION, counts)
    if unit is not ReadingUnit.FINE_METRE:
        return None
    is_short = expects is Expectation.FRACTION or not is_mark
    return _refused("key-three-digits", typed=typed) if is_short else None


def _condition(
    typed: str, parts: tuple[str, str | None, str | None], known: Mapping[str, KeyRow]
) -> KeyedEntry | Refused:
    """Read a condition of its code, its whole number and what stands after the point."""
    code, whole, part = parts
    row = known.get(code)
    if row is None or row.greatest is None:
        return _refused("key-states-nothing", code=code)
    name = message("crew-condition", name=row.name)
    given = _range(row, row.greatest)
    if whole is None:
        return _refused("key-number-needed", typed=typed, name=name, range=given)
    if part is not None and not row.places:
        return _refused("key-whole-number", typed=typed, name=name)
    if part is not None and len(part) != row.places:
        return _refused("key-both-digits", typed=typed)
    amount = int(whole + (part or "00")) / 100
    if not row.least <= amount <= row.greatest:
        return _refused("key-does-not-go", name=name, amount=amount, range=given)
    return KeyedEntry(typed, Kind.CONDITION, name=row.name, amount=amount)
