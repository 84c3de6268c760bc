"""The key language: every row does what it says, every value is what its digits say."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from calllog.keypad import (
    OTHER,
    ROWS,
    Cleared,
    KeyedEntry,
    KeyRow,
    Mistyped,
    Refused,
    Repeat,
    Result,
    Ticked,
    press,
)
from calllog.keypad.strokes import BACKSPACE, ENTER
from calllog.pairing.conditions import apply_condition
from calllog.spoken import Grammar, Meaning, Parser, say
from calllog.values import Call, Conditions, Expectation, Kind, Outcome, Role, message
from calllog.wording import ENGLISH

LIMIT = 10099
"""An add tape of 100 ft."""


def results(keys: str, expects: Expectation = Expectation.ANY, limit: int = LIMIT) -> list[Result]:
    """Type keys one by one; nothing may be left typed at the end."""
    typed, made = "", []
    for key in keys:
        typed, result = press(typed, key, expects, limit)
        made.append(result)
    assert not typed, f"{keys!r} leaves {typed!r}"
    return made


def last(keys: str, expects: Expectation = Expectation.ANY, limit: int = LIMIT) -> Result:
    """Type keys and give the last result."""
    return results(keys, expects, limit)[-1]


def entered(row: KeyRow) -> str:
    """Turn the keys of a row into characters."""
    if row.keys == "Backspace":
        return f"1{BACKSPACE}"
    return row.keys.removesuffix("Enter").rstrip() + (ENTER if row.keys.endswith("Enter") else "")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.keys)
def test_every_row_of_the_table_does_what_it_says(row: KeyRow) -> None:
    """What is printed for the crew works as printed: the command or condition it names."""
    result = last(entered(row))
    if row.keys == "Enter":
        assert result == Repeat()
    elif row.keys == "Backspace":
        assert result == Cleared()
    else:
        assert isinstance(result, KeyedEntry)
        assert result.text == row.keys.removesuffix(" Enter")
        assert result.name == row.name
        kinds = {True: Kind.COMMAND, False: Kind.CONDITION}
        assert not row.name or result.kind is kinds[row.is_command]


def test_names_are_those_that_are_spoken(grammar: Grammar) -> None:
    """A command or condition by keys is the same as by voice; only some are for keys alone."""
    spoken = set(grammar.commands) | {each.name for each in grammar.conditions}
    typed = {row.name for row in ROWS if row.name}
    assert spoken - typed <= {"repeat", "who", "caller-holds"}
    assert typed - spoken <= {"tape", "line", "remark", "head-holds", "rear-holds"}


@pytest.mark.parametrize(
    ("keys", "changed"),
    [
        ("1*-5", {"temperature_degf": -5.0}),
        ("2*20", {"tension_lb": 20.0}),
        ("3*0", {"spans": 0}),
        ("3*2", {"spans": 2}),
        ("4*0", {"position": "ground", "spans": 0}),
        ("4*3", {"position": "chest", "spans": 1}),
        ("5*1.25", {"rise_ft": 1.25}),
        ("5*0", {"rise_ft": 0.0}),
        ("6*1", {"hold": 100}),
    ],
)
def test_conditions_reach_the_pull(keys: str, changed: dict[str, object]) -> None:
    """A typed condition changes what the pairing keeps as in force, in its units."""
    entry = last(keys + ENTER)
    assert isinstance(entry, KeyedEntry)
    assert entry.kind is Kind.CONDITION
    call = Call(
        number=1,
        source="keypad",
        role=Role.UNSAID,
        expects=Expectation.ANY,
        kind=entry.kind,
        text=entry.text,
        value=entry.value,
        name=entry.name,
        amount=entry.amount,
        probability=1.0,
        alternatives=(),
        outcome=Outcome.CALL,
        reason=None,
        start_s=0.0,
        end_s=0.0,
        clip="",
        is_keyed=True,
    )
    before = Conditions()
    assert apply_condition(before, call) == before.model_copy(update=changed)


@pytest.mark.parametrize("expects", Expectation)
def test_every_reading_typed_comes_out_equal(expects: Expectation) -> None:
    """Each value from 0.00 to 100.00, as a reading or as two parts, is itself under all."""
    for value in range(10001):
        feet, part = divmod(value, 100)
        reading = last(f"{feet}.{part:02d}{ENTER}", expects)
        assert reading == KeyedEntry(f"{feet}.{part:02d}", Kind.READING, value)
        whole = last(f"{feet}.{ENTER}", expects)
        fraction = last(f".{part:02d}{ENTER}", expects)
        assert whole == KeyedEntry(f"{feet}.", Kind.WHOLE, feet * 100)
        assert fraction == KeyedEntry(f".{part:02d}", Kind.FRACTION, part)


def test_bare_numbers_mean_what_they_mean_spoken(grammar: Grammar, parser: Parser) -> None:
    """Under each expectation a typed number is taken as the same call as the spoken one."""
    cases = [
        *((Expectation.WHOLE, Kind.WHOLE, f"{n}", n * 100) for n in range(101)),
        *((Expectation.FRACTION, Kind.FRACTION, f"{n:02d}", n) for n in range(100)),
        *((Expectation.ANY, Kind.WHOLE, f"{n}", n * 100) for n in range(101)),
        *((Expectation.ANY, Kind.FRACTION, f"{n:02d}", n) for n in range(100)),
    ]
    for expects, kind, keys, value in cases:
        typed = last(keys + ENTER, expects)
        spoken = parser.parse(say(grammar, kind, value), expects, LIMIT)
        assert isinstance(typed, KeyedEntry)
        assert isinstance(spoken, Meaning)
        if keys == "00":  # "zero" alone is one digit; two typed zeros can only be hundredths
            assert (typed.kind, typed.value) == (Kind.FRACTION, 0)
        else:
            assert (typed.kind, typed.value) == (spoken.kind, spoken.value), (expects, keys)


def test_two_digits_off_a_short_tape_are_hundredths() -> None:
    """On a 50 ft tape 75 can only be hundredths where either part may be meant."""
    assert last("75\n", Expectation.ANY, 5000) == KeyedEntry("75", Kind.FRACTION, 75)
    assert last("50\n", Expectation.ANY, 5000) == KeyedEntry("50", Kind.NUMBER, 50)
    assert last("75\n", Expectation.WHOLE, 5000) == Refused(
        message("words-beyond-tape", said="75", tape=50)
    )


@pytest.mark.parametrize(
    ("keys", "expects", "reason"),
    [
        ("5", "fraction", "5 may be .05 or .50; type both digits"),
        (".5", "whole", ".5 may be .05 or .50; type both digits"),
        ("15.5", "any", "15.5 may be 15.05 or 15.50; type both digits"),
        ("15.420", "reading", "15.420 has 3 digits after the point; type two"),
        (".", "any", "a point alone is not a number"),
        ("15", "reading", "15 has no point; type feet, point and both digits"),
        (
            "1542",
            "reading",
            "1542 is beyond this 100 ft tape; type feet, point and both digits",
        ),
        ("101", "whole", "101 is beyond this 100 ft tape"),
        ("154", "any", "154 is beyond this 100 ft tape"),
        ("101.", "any", "101 is beyond this 100 ft tape"),
        ("101.00", "reading", "101.00 is beyond this 100 ft tape"),
        ("100", "fraction", "100 is not hundredths; type two digits, or 100. for a foot"),
        ("05", "whole", "05 begins with a zero; type .05 for hundredths, 5 for a foot"),
        ("015", "any", "015 begins with a zero; type .15 for hundredths, 15 for a foot"),
        ("2*0", "any", "tension cannot be 0; 1 to 99 lb"),
        ("1*161", "any", "temperature cannot be 161; -60 to 160 degF"),
        ("1*-61", "any", "temperature cannot be -61; -60 to 160 degF"),
        ("4*7", "any", "position cannot be 7; 0 to 3"),
        ("5*1.2", "any", "5*1.2: type both digits after the point"),
        ("1*68.50", "any", "1*68.50 has a point; temperature is typed in whole numbers"),
        ("1*", "any", "1* needs a number: temperature -60 to 160 degF"),
        (
            "0*3",
            "any",
            (
                "0* states nothing; 1* temperature, 2* tension, 3* spans, 4* position, 5* rise,"
                " 6* hold, 7* tape, 8* line"
            ),
        ),
        (
            "1+25",
            "any",
            "1+25 is not a note; type it like 1+25/18.4 for right, 1+25-18.4 for left",
        ),
        (
            "1+5/18",
            "any",
            "1+5/18 is not a note; type it like 1+25/18.4 for right, 1+25-18.4 for left",
        ),
        ("15..42", "any", "15..42 is not an entry; type it again"),
        ("*68", "any", "*68 is not an entry; type it again"),
        ("12/", "any", "12/ is not an entry; type it again"),
        (
            "1D5.42",
            "any",
            "that key is not on the keypad; is Num Lock on? type it again",
        ),
    ],
)
def test_what_is_not_taken_says_why_and_is_gone(keys: str, expects: str, reason: str) -> None:
    """A refused entry clears what was typed and gives a reason in plain words."""
    made = results(keys + ENTER, Expectation(expects))
    refused = made[-1]
    assert isinstance(refused, Refused)
    assert ENGLISH.say(refused.reason) == reason
    assert all(isinstance(each, Ticked | Mistyped) for each in made[:-1])


@pytest.mark.parametrize("keys", ["/", "6/"])
def test_step_that_there_is_not_is_refused_at_once(keys: str) -> None:
    """A slash that makes no step lists the steps that there are."""
    result = last(keys)
    assert isinstance(result, Refused)
    assert ENGLISH.say(result.reason) == (
        f"{keys} means nothing; 1/ keep the first, 2/ keep the check, 0/ and Enter measure again,"
        " 3/ next pull, 4/ head holds the foot, 5/ rear holds the foot, 9/ line finished,"
        " 7/ this tape cuts, 8/ this tape adds"
    )


@pytest.mark.parametrize(
    "keys", ["15..42\n", "*15.42\n", "125/18.42\n", "15/42\n", "B15.42\n", "1\x005.42\n", "9+*15\n"]
)
def test_rest_of_a_mistyped_entry_never_passes_for_one(keys: str) -> None:
    """After a key that does not belong nothing is taken until Enter, which refuses it all."""
    made = results(keys)
    wrong = next(i for i, each in enumerate(made) if isinstance(each, Mistyped))
    assert all(isinstance(each, Mistyped) for each in made[wrong:-1])
    assert isinstance(made[-1], Refused)


@pytest.mark.parametrize(
    ("keys", "expected"),
    [
        ("15-", Cleared()),
        ("15..-", Cleared()),
        ("A-", Cleared()),
        ("1*--", Cleared()),
        ("2*-", Cleared()),
        ("1+2-", Cleared()),
        ("1+25--", Cleared()),
        ("9" * 40 + "-", Cleared()),
        ("15-16.\n", KeyedEntry("16.", Kind.WHOLE, 1600)),
        ("15.43\b2\n", KeyedEntry("15.42", Kind.READING, 1542)),
        ("15..\x7f42\r", KeyedEntry("15.42", Kind.READING, 1542)),
        ("15,42\n", KeyedEntry("15.42", Kind.READING, 1542)),
        ("\b", Refused(message("key-nothing-typed"))),
        ("\n", Repeat()),
    ],
)
def test_clearing_and_other_characters_for_the_same_keys(keys: str, expected: Result) -> None:
    """Minus clears all, backspace one key; comma is the point, a return is Enter."""
    assert last(keys) == expected


@pytest.mark.parametrize(
    ("keys", "note"),
    [
        ("1+25/18.4", (12500, "right", 1840)),
        ("1+25-18.4", (12500, "left", 1840)),
        ("0+00/0", (0, "right", 0)),
        ("12+34.5-7.05", (123450, "left", 705)),
        ("3+50.25/120", (35025, "right", 12000)),
    ],
)
def test_notes_state_station_side_and_offset(keys: str, note: tuple[int, str, int]) -> None:
    """A note is in hundredths, tenths count as tens of them, and it is no number of the pull."""
    entry = last(keys + ENTER)
    assert isinstance(entry, KeyedEntry)
    assert (entry.text, entry.kind, entry.value, entry.note) == (keys, None, None, note)


STROKES = st.text(alphabet=st.sampled_from("0123456789.+-*/\n\b05./*+-A")) | st.text()


@example(keys="0--\n", expects=Expectation.WHOLE, limit=5000)
@given(keys=STROKES, expects=st.sampled_from(Expectation), limit=st.sampled_from((5000, LIMIT)))
def test_any_keys_make_only_what_they_say(keys: str, expects: Expectation, limit: int) -> None:
    """No stream of keys is an error, and each entry is exactly what its digits say."""
    typed = ""
    for key in keys:
        before = typed
        typed, result = press(typed, key, expects, limit)
        assert len(typed) <= 24
        if isinstance(result, KeyedEntry | Refused | Repeat):
            assert not typed
        if isinstance(result, KeyedEntry):
            assert result.text == before + ("" if key in "\n\r" else key)
            assert OTHER not in result.text
            check_entry(result, limit)


def check_entry(entry: KeyedEntry, limit: int) -> None:
    """Work the value of an entry out again, from the decimal number that was typed."""
    match entry.kind:
        case Kind.READING | Kind.WHOLE:
            assert entry.value == Decimal(entry.text) * 100
            assert Decimal(entry.text) * 100 <= limit
        case Kind.FRACTION:
            assert len(entry.text.removeprefix(".")) == 2
            assert entry.value == Decimal(entry.text.removeprefix("."))
        case Kind.NUMBER:
            assert entry.value == Decimal(entry.text) < 100
        case Kind.CONDITION:
            assert entry.amount == float(entry.text.split("*")[1])
        case None:
            assert entry.note is not None
            station, side, offset = entry.note
            mark = "/" if side == "right" else "-"
            hundreds, _, rest = entry.text.partition("+")
            feet, _, away = rest.partition(mark)
            assert station == Decimal(hundreds) * 10000 + Decimal(feet) * 100
            assert offset == Decimal(away) * 100
        case _:
            assert entry.kind is Kind.COMMAND
            assert entry.text in {row.typed for row in ROWS if row.name == entry.name}


@pytest.mark.parametrize(("keys", "name"), [("-", "scratch"), ("0/", "again")])
def test_what_strikes_asks_for_enter(keys: str, name: str) -> None:
    """A stray press strikes nothing and reopens no pull; minus or backspace takes it back."""
    typed = ""
    for key in keys:
        typed, result = press(typed, key, Expectation.ANY, LIMIT)
        assert result == Ticked()
    assert typed == keys
    assert press(typed, ENTER, Expectation.ANY, LIMIT) == (
        "",
        KeyedEntry(keys, Kind.COMMAND, name=name),
    )
    assert press(typed, "-", Expectation.ANY, LIMIT) == ("", Cleared())
    assert press(typed, BACKSPACE, Expectation.ANY, LIMIT)[1] == Cleared()
    assert isinstance(press(typed, "5", Expectation.ANY, LIMIT)[1], Mistyped)
