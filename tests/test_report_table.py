"""The field page for the terminal: fits, says everything without colour, takes text as text."""

from __future__ import annotations

import io

import pytest
from rich.console import Console

from calllog.report import field_table
from calllog.resources import PACKAGE
from calllog.values import Booking, CorrectedSegment, Finding, Severity
from calllog.wording import ENGLISH
from tests.catalogues import messages_in
from tests.golden.make_segments import SEGMENTS

WIDTH = 100
FINDINGS = {
    each
    for each in messages_in((PACKAGE / "wording" / "en.ftl").read_text("utf-8"))
    if each.startswith("finding-") and each != "finding-called-by"
}
SHORT = sorted(each for each in FINDINGS if each.endswith(".short"))


def shown(*segments: CorrectedSegment, colour: bool = False) -> str:
    """Print a field table as a terminal of 100 columns would."""
    console = Console(
        file=io.StringIO(),
        width=WIDTH,
        force_terminal=colour,
        color_system="standard" if colour else None,
        legacy_windows=False,
    )
    console.print(field_table(segments))
    assert isinstance(console.file, io.StringIO)
    return console.file.getvalue()


def changed(**values: object) -> CorrectedSegment:
    """Change fields of the first golden segment itself."""
    first = SEGMENTS[0]
    return first.model_copy(update={"segment": first.segment.model_copy(update=values)})


def test_rows_say_what_the_segments_say() -> None:
    """The numbers of a row stand under their names, in order."""
    lines = shown(*SEGMENTS).splitlines()
    header = next(line for line in lines if "pull" in line)
    names = ["pull", "first", "check", "diff", "read", "sum", "horizontal", "total", "remarks"]
    assert header.split() == names
    first, second = (line.split() for line in lines if "15.4204" in line or "99.0730" in line)
    assert first == ["1", "15.42", "15.41", "-0.01", "15.420", "+0.0004", "15.4204", "15.4204"]
    assert second[:5] == ["2", "99.07", "98.07", "-1.00", "99.070"]
    assert second[5:10] == ["+0.0030*", "99.0730", "sl", "114.4933", "sl"]
    caption = " ".join("\n".join(lines[-3:]).split())
    assert "sl = slope distance, not horizontal" in caption
    assert "where first and check agree, the first is recorded" in caption


def test_pulls_of_several_lines_stand_below_the_name_of_theirs() -> None:
    """Each line, and each run of one, is named above its pulls; a single line is not."""
    first = changed(pull=3)
    back = changed(pull=4, line_from="Alder", line_to="Heron")
    again = back.model_copy(update={"run": 2})
    lines = shown(first, back, again).splitlines()
    table = [line.strip() for line in lines if "15.4204" in line or "Alder" in line]
    assert table[::2] == ["Heron:Alder", "Alder:Heron", "Alder:Heron run 2"]
    assert [line.split()[0] for line in table[1::2]] == ["3", "4", "4"]
    assert "Alder" not in shown(first, changed(pull=4))


@pytest.mark.parametrize("scale", [1, 30])
def test_the_table_fits_100_columns_with_whole_numbers(scale: int) -> None:
    """Long tapes, long lines and long remarks fit 100 columns, no number cut."""
    row = SEGMENTS[1]
    observation = row.segment.take.model_copy(update={"length": 29_999})
    wide = row.model_copy(
        update={
            "segment": row.segment.model_copy(
                update={
                    "pull": 1999,
                    "take": observation,
                    "check": observation,
                    "difference": 29_999,
                    "length_read_ft": 299.99,
                    "decided_by": "word" * scale,
                }
            ),
            "corrections": row.corrections.model_copy(update={"sum_ft": -12.3456}),
            "horizontal_ft": 299.99,
            "running_total_ft": 199_999.9876,
        }
    )
    text = shown(*SEGMENTS, wide)
    assert max(len(line) for line in text.splitlines()) <= WIDTH
    for number in ("1999", "299.99", "+299.99", "299.990", "-12.3456*", "299.9900", "199999.9876"):
        assert f" {number} " in text
    assert "…" not in text


def test_colour_is_never_the_only_sign() -> None:
    """A stop carries an exclamation mark and a note does not, with and without colour."""
    for colour in (False, True):
        text = shown(*SEGMENTS, colour=colour)
        assert "! one foot" in text
        assert "! long" not in text
        assert "long" in text
        assert ("\x1b[" in text) == colour


@pytest.mark.parametrize(
    ("booking", "words"),
    [
        (Booking.FIRST, "first kept by chief"),
        (Booking.CHECK, "check kept by chief"),
        (Booking.UNCHECKED, "not checked"),
        (Booking.AGREED, ""),
    ],
)
def test_bookings_are_told_in_words(booking: Booking, words: str) -> None:
    """Why a segment stands is told, unless take and check agreed."""
    (line,) = (
        line
        for line in shown(changed(booking=booking, decided_by="chief")).splitlines()
        if "15.420" in line
    )
    assert line.rstrip().endswith(words or "15.4204")


def test_findings_are_named_in_words_that_are_not_broken() -> None:
    """Beside the widest numbers each word of a name stands whole on its line, and no code does."""
    codes = [each.removesuffix(".short") for each in SHORT]
    assert codes == sorted(each for each in FINDINGS if "." not in each), "one has no short name"
    found = tuple(
        Finding(
            code=code.removeprefix("finding-"),
            severity=Severity.NOTE,
            pull=1,
            first=1542,
            second=1642,
            calls=(),
            facts={"seconds": 40, "why": "x"},
        )
        for code in codes
    )
    row = changed(findings=found)
    wide = row.model_copy(update={"running_total_ft": 199_999.9876})
    lines = [each[-24:] for each in shown(wide).splitlines()]
    words = {word.strip(";") for line in lines for word in line.split()}
    for each in found:
        named = ENGLISH.short(each)
        assert set(named.split()) <= words, (each.code, named)
        assert "-" not in named


def test_a_sum_with_an_unknown_correction_is_marked() -> None:
    """An asterisk tells a partial sum from a whole one."""
    assert "+0.0030*" in shown(SEGMENTS[1])
    assert "+0.0004 " in shown(SEGMENTS[0])


def test_text_is_taken_as_text() -> None:
    """Markup and control characters in a name neither style nor steer the terminal."""
    text = shown(changed(booking=Booking.FIRST, decided_by="[bold]A\x1b[2J\x07[/]"))
    assert "[bold]A" in text
    assert "\x1b" not in text
    assert "\x07" not in text
