"""What a crew says, types and writes: words, keys, values of the command line."""

from __future__ import annotations

import contextlib
import math
from collections import deque
from collections.abc import Callable, Iterator

from calllog.commands.course_options import line_ends
from calllog.commands.stated import spans_ft, support_spans
from calllog.errors import CalllogError
from calllog.keypad import KeyedEntry, press, rows
from calllog.keypad.strokes import ENTER
from calllog.keypad.terminal import TerminalKeys
from calllog.lines import parse_class
from calllog.resources import grammar_folder, read_grammar
from calllog.spoken import Meaning, Parser, Rejection, normalise, spoken_forms
from calllog.spoken import words as words_of
from calllog.spoken.grammar import COMMAND_NAMES, CONDITION_NAMES, SLOT, STYLE_NAMES
from calllog.spoken.notes import FULL_STATION, GREATEST_OFFSET
from calllog.units import (
    Foot,
    parse_force_lbf,
    parse_form,
    parse_length,
    parse_measure,
    parse_slope_rad,
    parse_temperature_degf,
    show,
)
from calllog.values import Expectation, Kind, Outcome, ReadingUnit
from tests.torture.fuzz.target import Draw, Target

LIMITS = (10_000, 10_099, 5_000, 3_000, 100)
"""Greatest readings of tapes."""
EXPECTED = tuple(Expectation)
GRAMMARS = tuple(read_grammar(each.stem) for each in sorted(grammar_folder().glob("*.toml")))
PARSERS = tuple(map(Parser, GRAMMARS))
WORDS = tuple(sorted(words_of(each)) for each in GRAMMARS)
NAMING = tuple(
    {word for unit in each.units for word in (*unit.one, *unit.more)} for each in GRAMMARS
)
"""Words that name what a number counts; forms of a value are without."""
RANGES = {Kind.WHOLE: (100, 0), Kind.FRACTION: (1, 99), Kind.READING: (1, 0), Kind.NUMBER: (1, 99)}
"""What a value is a multiple of, and the greatest; 0 stands for the tape's."""
MOST_STATIONS = 100
"""What is said before the plus of a station stays below it."""


def speak(data: bytes) -> None:
    """Parse a text: words of the grammar, or anything."""
    draw = Draw(data)
    place, expects, limit = draw.number() % len(PARSERS), draw.one_of(EXPECTED), draw.one_of(LIMITS)
    if draw.number() % 4:
        chosen: list[str] = []
        while draw and len(chosen) < 24:
            chosen.append(draw.one_of(WORDS[place]))
        text = " ".join(chosen)
    else:
        text = draw.text()
    found = PARSERS[place].parse(text, expects, limit)
    if isinstance(found, Rejection):
        assert found.words == normalise(text)
        assert 0 <= found.index <= len(found.words)
        assert found.reason
        assert found.outcome in (Outcome.ASK, Outcome.IGNORED)
        return
    assert PARSERS[place].parse(" ".join(normalise(text)), expects, limit) == found
    _check_meaning(found, limit, GRAMMARS[place].unit.base)
    is_part = found.kind in (Kind.WHOLE, Kind.FRACTION, Kind.READING) and not found.name
    if is_part and NAMING[place].isdisjoint(normalise(text)):
        _check_said(place, found, normalise(text), limit)


def _check_meaning(found: Meaning, limit: int, base: ReadingUnit) -> None:
    if (kept := RANGES.get(found.kind)) is not None:
        step, greatest = kept
        assert found.value is not None
        assert found.value % step == 0
        assert 0 <= found.value <= (greatest or limit), found
        assert found.kind is not Kind.NUMBER or found.value * 100 <= limit, found
    elif found.kind is Kind.COMMAND:
        assert found.name in (*COMMAND_NAMES, *STYLE_NAMES)
    elif found.kind is Kind.CONDITION:
        assert found.name in CONDITION_NAMES
        assert found.amount is not None
        assert math.isfinite(found.amount)
    elif found.kind is Kind.NOTE:
        assert found.note is not None
        assert 0 <= found.note.station < MOST_STATIONS * FULL_STATION[base]
        assert 0 <= found.note.offset <= GREATEST_OFFSET
    else:
        assert found.kind is Kind.CHATTER


def _check_said(place: int, found: Meaning, said: tuple[str, ...], limit: int) -> None:
    """A value has a spoken form, and the very words are one of them; they mean it alone."""
    assert found.value is not None
    kind = found.kind
    forms = spoken_forms(GRAMMARS[place], kind, found.value)
    without_role = " ".join(said if " ".join(said) in forms else said[1:])
    assert without_role in forms, (said, found)
    first = PARSERS[place].parse(forms[0], Expectation(kind.value), limit)
    assert isinstance(first, Meaning)
    assert (first.kind, first.value) == (kind, found.value)


def _spoken_seeds() -> Iterator[bytes]:
    for place, grammar in enumerate(GRAMMARS):
        known = {word: at for at, word in enumerate(WORDS[place])}
        size = 1 if len(known) <= 256 else 2
        phrases = [
            *(form for kind, value in SAID for form in spoken_forms(grammar, kind, value)[:6]),
            *(phrase for each in grammar.commands.values() for phrase in each),
            *(SLOT.sub("", phrase) for each in grammar.conditions for phrase in each.phrases),
            *(SLOT.sub("", phrase) for phrase in grammar.chatter.phrases),
            *(phrases[0] for phrases in (grammar.roles.head, grammar.notes.station)),
        ]
        for number, phrase in enumerate(phrases):
            words = b"".join(known[word].to_bytes(size, "big") for word in phrase.split())
            yield bytes((place, number % len(EXPECTED), number % len(LIMITS), 1)) + words
        yield bytes((place, 0, 0, 0)) + b"Fifteen-Forty two"


SAID = (
    (Kind.WHOLE, 1_500), (Kind.WHOLE, 10_000), (Kind.FRACTION, 42), (Kind.FRACTION, 5),
    (Kind.READING, 1_542), (Kind.READING, 2_005), (Kind.READING, 10_000), (Kind.READING, 3_300),
)  # fmt: skip


def type_keys(data: bytes) -> None:
    """Take a stream of keys as a terminal sends them."""
    draw = Draw(data)
    expects, limit, unit = draw.one_of(EXPECTED), draw.one_of(LIMITS), draw.one_of(UNITS)
    terminal = TerminalKeys.__new__(TerminalKeys)
    terminal._keys, terminal._begun, terminal._late_s = deque(), "", 0.0
    stream = draw.rest()
    half = len(stream) // 2
    for part in (stream[:half], stream[half:]):
        terminal._take(part.decode("utf-8", "replace"))
    while terminal._begun:
        terminal._break_off()
    typed = ""
    for key in terminal._keys:
        typed, made = press(typed, key, expects, limit, unit)
        assert len(typed) <= 24
        if isinstance(made, KeyedEntry):
            assert not typed
            _check_entry(made, expects, limit, unit)


UNITS = tuple(ReadingUnit)
COMMANDS = {row.name: row for row in rows() if row.is_command}


def _range_typed(kind: Kind, unit: ReadingUnit) -> tuple[int, int] | None:
    """Give the same as `RANGES`, in least counts of a tape that may be read more finely."""
    finely = {Kind.WHOLE: (unit.counts, 0), Kind.FRACTION: (1, unit.counts - 1)}
    return finely.get(kind, RANGES.get(kind))


def _check_entry(made: KeyedEntry, expects: Expectation, limit: int, unit: ReadingUnit) -> None:
    """What was typed is in range, and typed again it is the same."""
    if made.kind is not None and (kept := _range_typed(made.kind, unit)) is not None:
        step, greatest = kept
        assert made.value is not None
        assert made.value % step == 0
        assert 0 <= made.value <= (greatest or limit), made
        assert made.kind is not Kind.NUMBER or made.value * unit.counts <= limit, made
    elif made.kind is Kind.COMMAND:
        assert made.name in COMMANDS
    elif made.kind is Kind.CONDITION:
        assert made.name in CONDITION_NAMES
        assert made.amount is not None
        assert abs(made.amount) <= 999
    else:
        assert made.note is not None
    typed, again = "", None
    acts_alone = made.kind is Kind.COMMAND and not COMMANDS[made.name].is_strike
    for key in made.text if acts_alone else made.text + ENTER:
        typed, again = press(typed, key, expects, limit, unit)
    assert again == made


def _key_seeds() -> Iterator[bytes]:
    typed = (
        b"15\n.42\n+15\n.42\n3/9/",
        b"15,42\r-\b1*68\n1*-5\n5*1.25\n7*2\n9*",
        b"1+25/18.4\n1+25-18\n",
        b"\x1bOq\x1bOu\x1bOM\x1b[A\x1b[[A\x1b[?1;2c\x1b]0;x\x07\x1bOn",
        b"1\xc2\xb2\xe2\x82\xac\xff15.4\n",
    )
    for number, keys in enumerate(typed):
        for expects in range(len(EXPECTED)):
            yield bytes((expects, number, number % 2)) + keys


def _convert(text: str) -> None:
    value, _, to = text.partition("|")
    measure = parse_measure(value)
    printed = show(measure, parse_form(to or "ft"), 4)
    again = show(parse_measure(printed), parse_form(to or "ft"), 4)
    assert again == printed, (text, printed)


def _temperature(text: str) -> None:
    assert math.isfinite(parse_temperature_degf(text))


def _force(text: str) -> None:
    assert 0 <= parse_force_lbf(text) < math.inf


def _slope(text: str) -> None:
    assert abs(parse_slope_rad(text)) < math.pi / 2


def _length(text: str) -> None:
    assert math.isfinite(float(parse_length(text, Foot.US_SURVEY).feet(Foot.US_SURVEY)))


def _spans(text: str) -> None:
    assert all(map(math.isfinite, spans_ft(text, Foot.INTERNATIONAL)))


def _support(text: str) -> None:
    assert support_spans(text) >= 0


VALUES: dict[Callable[[str], object], tuple[str, ...]] = {
    _temperature: ("50F", "-4 degC", "10 °C", "41 fahrenheit"),
    _force: ("15lb", "66.7 N", "6.8 kgf", "15 1/2 ounces"),
    _slope: ("2.5%", "3deg", "15 deg 25 min 30 sec", "-1 in 10", "1:10", "3° 4' 5\""),
    _length: ("15.42 ft", "12 ch 45 lk", "1,234.5 usft", "12'-6 1/2\"", "161.49 m", "12½ in"),
    _convert: (
        "12 ch 45 lk (US survey foot)|ft in/16",
        "3.5 ac|m2",
        "-529.81 ft|ch lk",
        "1 m2|ft2",
    ),
    _spans: ("100,100,36.48ft", "12 ft, 3 m,  4", "100"),
    _support: ("throughout", "ends", "4"),
    parse_class: ("1:5000", "1:10,000"),
    line_ends: ("Spring:Oak", " a : b ", "a:b:c"),
}
"""Readers of the command line's values, each with such values."""
READERS = tuple(VALUES)


def write_value(data: bytes) -> None:
    """Read a value of the command line."""
    draw = Draw(data)
    reader = draw.one_of(READERS)
    is_long, text = not draw.number(), draw.text()
    with contextlib.suppress(CalllogError):
        reader(text[:1] * 6_000 + text if is_long else text)


def _value_seeds() -> Iterator[bytes]:
    for place, examples in enumerate(VALUES.values()):
        for example in examples:
            yield bytes((place, 1)) + example.encode()
        yield bytes((place, 0)) + examples[0].encode()


TARGETS = (
    Target("spoken text", 3_800_000, speak, _spoken_seeds, longest=32),
    Target("keypad streams", 3_000_000, type_keys, _key_seeds, longest=32),
    Target("values of the command line", 1_000_000, write_value, _value_seeds, longest=48),
)
