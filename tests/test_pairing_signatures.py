"""What a stop tells of a blunder: style by difference by who called it, with the sentence.

The blunders are common practice, no published source.
"""

from __future__ import annotations

import pytest

from calllog.pairing import start
from calllog.pairing.edition import EDITION
from calllog.pairing.signatures import blunder_between
from calllog.spoken import Parser
from calllog.values import (
    CalledFirst,
    Conditions,
    Finding,
    LineSettings,
    Observation,
    ReadingUnit,
    Role,
    Style,
)
from calllog.wording import ENGLISH, language_words, languages
from tests.crew import Crew, settings

ADD, CUT, FULL, INSET = Style.ADD, Style.CUT, Style.FULL, Style.INSET
BY_FOOT = "; the foot mark was called by rear in the first measurement, by head in the check"
BY_HEAD = "; the foot mark was called by head in the first measurement, by rear in the check"
BY_PART = "; the hundredths were called by head in the first measurement, by rear in the check"
BY_READ = "; the reading was called by head in the first measurement, by rear in the check"


def line(style: Style, **changes: object) -> LineSettings:
    """State a line of today's edition."""
    return settings(style, pairing=EDITION, **changes)


def stopped(crew: Crew, *said: str) -> Finding:
    """Let a crew call the first and the check, and give what stopped it."""
    crew.say(*said)
    (found,) = [each for each in crew.followed if isinstance(each, Finding)]
    return found


def parts(first: str, check: str) -> tuple[str, ...]:
    """Call the foot at the rear and the hundredths at the head, then turned round."""
    (foot, part), (foot_again, part_again) = first.split(" + "), check.split(" + ")
    switch = "r: switch ends"
    return f"r: {foot}", f"h: {part}", switch, f"h: {foot_again}", f"r: {part_again}"


def read(first: str, check: str) -> tuple[str, ...]:
    """Call one reading at the head, then at the other end."""
    return f"h: {first}", "r: switch ends", f"r: {check}"


TABLE = [
    (
        *(ADD, parts("fifteen + forty two", "sixteen + forty two"), "foot-mark"),
        "first 15.42, check 16.42: exactly one foot apart: another mark was held, or called",
        f"see which mark is held, call it as it stands, and measure again{BY_FOOT}",
    ),
    (
        *(CUT, parts("sixteen + fifty eight", "fifteen + fifty eight"), "foot-mark"),
        (
            "first 15.42, check 14.42: exactly one foot apart: another mark was held, or one was"
            " called as if it were cut already"
        ),
        (
            "see which mark is held, call it as it stands, never subtract, and measure again"
            f"{BY_FOOT}"
        ),
    ),
    (
        *(INSET, read("sixteen forty two", "fifteen forty two"), "foot-mark"),
        (
            "first 15.42, check 14.42: exactly one foot apart: another mark was read, or the held"
            " mark was already taken off"
        ),
        (
            "see which mark is held and which is read, call it as it stands, and measure again"
            f"{BY_READ}"
        ),
    ),
    (
        *(FULL, read("fifteen forty two", "sixteen forty two"), "foot-mark"),
        (
            "first 15.42, check 16.42: exactly one foot apart: another mark was read, or a mark"
            " was held and not zero"
        ),
        f"see whether zero is held and which mark is read, and measure again{BY_READ}",
    ),
    (
        *(CUT, parts("sixteen + fifty eight", "twenty six + fifty eight"), "ten-feet"),
        "first 15.42, check 25.42: exactly ten feet apart: a ten-foot mark misread",
        f"read the tens at the mark and measure again{BY_FOOT}",
    ),
    (
        *(CUT, parts("sixteen + fifty eight", "fifteen + forty two"), "already-cut"),
        (
            "first 15.42, check 14.58: the check looks as if the hundredths were already cut off by"
            " the one who called it"
        ),
        (
            "this tape cuts: call the mark held and the hundredths as they stand, never subtract,"
            " and measure again"
        ),
    ),
    (
        *(CUT, parts("fifteen + forty two", "sixteen + fifty eight"), "already-cut"),
        (
            "first 14.58, check 15.42: the first looks as if the hundredths were already cut off by"
            " the one who called it"
        ),
        (
            "this tape cuts: call the mark held and the hundredths as they stand, never subtract,"
            " and measure again"
        ),
    ),
    (
        *(ADD, parts("fifteen + forty two", "fourteen + fifty eight"), "taken-off"),
        "first 15.42, check 14.58: the check looks as if the hundredths were taken off",
        "this tape adds: call the mark held and the hundredths as they stand, and measure again",
    ),
    *(
        (
            *(style, said, "foot-complement"),
            (
                f"first {first}, check {check}: the hundredths add up to a foot: one was read from"
                " the wrong side of the mark"
            ),
            f"read the hundredths from the zero side and measure again{by}",
        )
        for style, said, first, check, by in (
            (
                *(ADD, parts("fifteen + forty two", "fifteen + fifty eight")),
                *("15.42", "15.58", BY_PART),
            ),
            (
                *(CUT, parts("sixteen + fifty eight", "sixteen + forty two")),
                *("15.42", "15.58", BY_PART),
            ),
            (FULL, read("fifteen forty two", "fourteen fifty eight"), "15.42", "14.58", BY_READ),
            (INSET, read("sixteen forty two", "sixteen fifty eight"), "15.42", "15.58", BY_READ),
        )
    ),
    (
        *(CUT, parts("sixteen + twenty four", "sixteen + forty two"), "swapped"),
        "first 15.76, check 15.58: two digits swapped",
        f"say the digits one by one and measure again{BY_PART}",
    ),
    (
        *(CUT, parts("sixteen + thirteen", "sixteen + thirty"), "teen-ty"),
        "first 15.87, check 15.70: sound-alikes, such as thirteen and thirty",
        f"say the digits one by one and measure again{BY_PART}",
    ),
    (
        *(CUT, parts("sixteen + sixty one", "sixteen + ninety one"), "six-nine"),
        "first 15.39, check 15.09: six and nine: a figure read upside down",
        f"turn the tape upright and measure again{BY_PART}",
    ),
    (
        *(CUT, parts("sixteen + fifty eight", "sixteen + seventy six"), "differs"),
        "first 15.42, check 15.24: no known blunder fits",
        f"look at both marks and measure again{BY_PART}",
    ),
    (
        *(INSET, read("sixteen forty two", "sixty one forty two"), "swapped"),
        "first 15.42, check 60.42: two digits swapped",
        f"say the digits one by one and measure again{BY_READ}",
    ),
    (
        *(ADD, parts("fifteen + forty two", "fifteen + fifty two"), "one-tenth"),
        "first 15.42, check 15.52: exactly one tenth apart: a tenth misread",
        f"read the tenths at the mark and measure again{BY_PART}",
    ),
    (
        *(ADD, parts("zero + forty two", "one hundred + forty two"), "tape-length"),
        (
            "first 0.42, check 100.42: exactly one tape length apart: zero and the far end of the"
            " tape were taken for each other"
        ),
        f"see which end of the tape is at which mark and measure again{BY_FOOT}",
    ),
]


@pytest.mark.parametrize(("style", "said", "code", "words", "remedy"), TABLE)
def test_stop_names_the_blunder_of_this_style_and_who_looks_at_what(
    parser: Parser, style: Style, said: tuple[str, ...], code: str, words: str, remedy: str
) -> None:
    """Digits count as they were called; the sentence says what to look at, and who called it."""
    hold = Conditions(hold=100) if style is INSET else Conditions()
    found = stopped(Crew(parser, line(style), hold), *said)
    assert (found.code, ENGLISH.finding(found), ENGLISH.remedy(found)) == (code, words, remedy)


@pytest.mark.parametrize(
    ("first", "check", "by"),
    [("r", "h", BY_FOOT), ("h", "r", BY_HEAD), ("u", "u", ""), ("r", "u", ""), ("u", "h", "")],
)
def test_nobody_is_named_who_did_not_say_who_calls(
    parser: Parser, first: str, check: str, by: str
) -> None:
    """With one microphone the sentence says what to look at, and leaves the people out."""
    roles = {"r": "h", "h": "r", "u": "u"}
    whole_by = {"r": Role.REAR, "h": Role.HEAD, "u": Role.UNSAID}[first]
    crew = Crew(parser, line(ADD, whole_by=whole_by, called_first=CalledFirst.WHOLE))
    said = (f"{first}: fifteen", f"{roles[first]}: forty two", "r: switch ends")
    found = stopped(crew, *said, f"{check}: sixteen", f"{roles[check]}: forty two")
    assert found.code == "foot-mark"
    assert ENGLISH.remedy(found).partition("measure again")[2] == by


def test_two_held_marks_are_named(parser: Parser) -> None:
    """The same reading with another mark held, or the held mark taken off already."""
    crew = Crew(parser, line(FULL)).say(
        "h: fifteen forty two", "r: switch ends", "r: holding three", "r: fifteen forty two"
    )
    (found,) = [each for each in crew.followed if isinstance(each, Finding)]
    assert ENGLISH.finding(found) == (
        "first 15.42, check 12.42: the same was read, but 0.00 was held in the first"
        " measurement and 3.00 in"
        " the check"
    )
    held = Crew(parser, line(FULL), Conditions(hold=200))
    found = stopped(held, "h: fifteen forty two", "r: switch ends", "r: thirteen forty two")
    assert ENGLISH.finding(found) == (
        "first 13.42, check 11.42: apart by the held 2.00: in one of them it was already taken off"
    )


def test_hundred_left_out_of_a_long_tape_is_no_whole_tape() -> None:
    """A tape of 300 ft has three hundreds to miss; one of 100 ft has none beside its end."""
    first, check = (
        Observation(whole=None, fraction=None, reading=each, hold=0, length=each, calls=())
        for each in (542, 10_542)
    )
    long = start(line(FULL, nominal=300, limit=30_000))
    assert blunder_between(long, first, check, ()).code == "hundred-feet"
    assert blunder_between(start(line(FULL)), first, check, ()).code == "tape-length"


def test_lines_of_the_first_edition_keep_their_codes(parser: Parser) -> None:
    """An old journal leads to the codes that it holds, with no word of who called."""
    said = parts("sixteen + twenty four", "sixteen + forty two")
    found = stopped(Crew(parser, settings(CUT)), *said)
    assert (found.code, found.facts) == ("differs", {})
    again = stopped(Crew(parser, settings()), *parts("fifteen + forty two", "sixteen + forty two"))
    assert (again.code, again.facts) == ("one-foot", {})


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("unit", list(ReadingUnit))
def test_each_blunder_is_told_in_each_language(
    parser: Parser, language: str, unit: ReadingUnit
) -> None:
    """No sentence lacks a fact, and none counts pulls between two readings of one."""
    words = language_words(language).measured_in(unit)
    for style, said, *_ in TABLE:
        hold = Conditions(hold=100) if style is INSET else Conditions()
        found = stopped(Crew(parser, line(style), hold), *said)
        for told in (words.finding(found), words.remedy(found)):
            assert " " in told
            assert "finding-" not in told
            assert "count the pulls" not in told
