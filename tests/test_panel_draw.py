"""The page: readable at arm's length, on any terminal, never by colour alone."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from rich.cells import cell_len
from rich.console import Console

from calllog.panel import CallStanding, Sign
from calllog.panel.draw import PanelDrawing
from calllog.panel.glyphs import DOTS, ROWS, can_enlarge, columns, enlarge
from calllog.panel.worded import WayText
from tests.crew import settings
from tests.panel import AGREED, MICROPHONES, STOPPED, page, seen

LOST = ("microphone head is lost: plug it in again",)
LARGE = {"8": ("███", "█ █", "███", "█ █", "███"), "7": ("███", "  █", "  █", "  █", "  █")}


def doubled(rows: tuple[str, ...]) -> list[str]:
    """Draw each dot two columns wide."""
    return ["".join(dot * 2 for dot in row) for row in rows]


def test_figures_are_drawn_in_dots() -> None:
    """A digit is five rows high, every dot two columns wide; twice as large at scale two."""
    assert enlarge("7") == tuple(doubled(LARGE["7"]))
    assert enlarge("7", 2) == tuple(
        "".join(dot * 2 for dot in row) for row in doubled(LARGE["7"]) for _ in range(2)
    )
    assert columns("100.00") == 37


def test_no_two_glyphs_look_alike() -> None:
    """Each sign differs from each other in two dots at least, and is five rows of one width."""
    for sign, rows in DOTS.items():
        assert len(rows) == ROWS
        assert len({len(row) for row in rows}) == 1, sign
    digits = ["".join(DOTS[sign]) for sign in "0123456789"]
    for number, one in enumerate(digits):
        for other in digits[number + 1 :]:
            assert one != other
    assert set("0123456789.+-: ") <= DOTS.keys()
    assert not can_enlarge("switch")
    assert not can_enlarge("")


def test_phones_are_told_how_to_get_in() -> None:
    """Address and code stand on the screen; while a phone is let in, the picture alone does."""
    view = replace(seen(*AGREED[:2]), phones="http://10.42.0.1:8421  code 1234 5678")
    assert "phones   http://10.42.0.1:8421  code 1234 5678" in "\n".join(page(view))
    rows = ("http://10.42.0.1:8421  code 1234 5678", "p: back", *["█▀▄ " * 8] * 30)
    lines = page(replace(view, invitation=rows))
    assert tuple(lines[:3]) == rows[:3]
    assert len(lines) == 24


def test_last_two_calls_are_large() -> None:
    """The newest on the right, the one before on the left, five rows high at 80x24."""
    lines = page(seen(*AGREED[:2]))
    eighty_seven = [
        f"{a} {b}" for a, b in zip(doubled(LARGE["8"]), doubled(LARGE["7"]), strict=True)
    ]
    top = next(number for number, line in enumerate(lines) if eighty_seven[0] in line)
    for row, line in zip(eighty_seven, lines[top:], strict=False):
        assert row in line[40:]
        assert "█" in line[:40]
    assert "rear: thirty three" in lines[top - 1][:40]
    assert "head: eighty seven" in lines[top - 1][40:]


def test_command_is_shown_in_words() -> None:
    """What has no figures stands in capitals where they would be."""
    assert any("SWITCH ENDS" in line for line in page(seen(*AGREED[:3])))


@pytest.mark.parametrize(
    ("said", "line"),
    [
        (AGREED, r"= AGREES pull 1: 33\.87 ft, difference 0\.00"),
        (STOPPED, r"! STOP   first 33\.87, check 32\.87"),
        (("r: fifteen", "h: four"), r"\? ASKED  head: four may be \.04 or \.40"),
    ],
)
def test_outcome_is_a_sign_and_a_word(said: tuple[str, ...], line: str) -> None:
    """Without any colour or style, agreement, stop and question are told apart."""
    assert any(re.search(line, each) for each in page(seen(*said)))


def test_stop_is_whole_even_on_a_small_terminal() -> None:
    """At 60x18, with a lost device, all that a decision needs is there beside large figures."""
    text = "\n".join(page(seen(*STOPPED, microphones=MICROPHONES, notices=LOST), 60, 18))
    flat = " ".join(text.split())
    for words in (
        "A:B PULL 1",
        "first 33 + .87 = 33.87 check 32 + .87 = 32.87",
        "another foot mark was held, read or called",
        "see which foot mark is held and which is read, and measure again",
        '"keep the first" 1/ keeps 33.87',
        '"keep the second" 2/ keeps 32.87',
        '"measure again" 0/↵ measures this pull again',
        '"strike that" -↵ strikes the last number',
        "microphone head is lost: plug it in again",
    ):
        assert words in flat, text
    assert text.count("██ ██████     ██") == 1, "the last row of a large .87"


def test_older_notices_make_room_for_large_figures() -> None:
    """On a small terminal the newest notice stays; the ones before it go before the figures."""
    text = "\n".join(page(seen(*STOPPED, notices=("lost " * 30, "back", "quiet")), 60, 18))
    assert "quiet" in text
    assert "lost" not in text
    assert "██ ██████     ██" in text


@pytest.mark.parametrize(
    "size", [(80, 24), (60, 18), (120, 34), (200, 60), (40, 10), (20, 5), (1, 1)]
)
@pytest.mark.parametrize("said", [(), AGREED, STOPPED, (*STOPPED, "r: fifty", "h: twenty")])
def test_page_fits_the_terminal(size: tuple[int, int], said: tuple[str, ...]) -> None:
    """No line is wider, no page higher than the terminal, at any size."""
    lines = page(seen(*said, typed="15.4", microphones=MICROPHONES, notices=LOST), *size)
    assert len(lines) <= size[1]
    assert max(map(cell_len, lines)) <= size[0]


def test_large_terminal_gets_larger_figures() -> None:
    """Twice the size where the width allows; the newest call grows first."""
    tops = {
        size: max(line.count("█") for line in page(seen("r: eighty eight"), *size))
        for size in ((80, 24), (120, 36), (250, 60))
    }
    assert tops[80, 24] == 12
    assert tops[120, 36] == 24
    assert tops[250, 60] > 24


def test_normal_page_has_all_parts() -> None:
    """Nothing of the view is left out at 80x24 when nothing is wrong."""
    view = seen(*AGREED[:1], microphones=MICROPHONES, typed="15.4")
    flat = " ".join(" ".join(page(view)).split())
    for words in (
        "A:B PULL 1 0 recorded, 0.00 ft read",
        "tape T-1, 100 ft, add; temperature 41 F, tension 20 lb, ends only, rise ?, at the waist",
        "pull first 33 + .__ check --",
        "next head: the hundredths of the first",
        '"strike that" [-↵]',
        "typed 15.4_",
        "head #######----- -23 dB noise -52 dB",
        "rear ###########- -3 dB ! clipping: hold it further away noise -31 dB",
    ):
        assert words in flat


def test_level_stays_on_its_meter() -> None:
    """Below the lowest level the meter is empty, above full scale it is full."""
    levels = tuple(replace(MICROPHONES[0], level_dbfs=level) for level in (-90.0, 0.0, 3.0))
    text = "\n".join(page(seen(microphones=levels)))
    assert re.findall(r"[#-]{12}", text) == ["-" * 12, "#" * 12, "#" * 12]


def test_struck_call_is_marked_and_faint() -> None:
    """A struck number keeps its place, with a mark, the word and other dots."""
    lines = page(seen("r: fifteen", "h: forty two", "h: strike that"))
    text = "\n".join(lines)
    assert re.search(r"x head: forty two .* struck", text)
    assert "▒▒" in text
    assert seen("r: fifteen", "r: strike that").calls[0].standing is CallStanding.STRUCK


def test_struck_observations_stay_in_sight() -> None:
    """A pull measured again shows what was struck."""
    assert any("struck 33.87, 32.87" in line for line in page(seen(*STOPPED, "r: measure again")))


def test_terminal_without_unicode_gets_ascii() -> None:
    """Every sign can be written, names of points with other letters included."""
    view = seen(
        *STOPPED,
        line=settings(line_from="Čapí", line_to="草"),
        microphones=MICROPHONES,
        notices=LOST,
    )
    text = "\n".join(page(view, encoding="ascii"))
    assert text.isascii()
    assert "######" in text
    assert "?ap?:?" in text


def test_control_signs_in_names_do_nothing() -> None:
    """A name cannot move the cursor or change the colours."""
    view = seen(line=settings(line_from="A\x1b[31m\x07", line_to="B\r"))
    text = "\n".join(page(view))
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f]", text)


def test_wide_letters_keep_the_width() -> None:
    """Letters that take two columns do not push a line over the edge."""
    view = seen(*AGREED, line=settings(line_from="草" * 30, line_to="B"))
    assert max(map(cell_len, page(view))) <= 80


def test_no_colour_where_none_is_wanted(monkeypatch: pytest.MonkeyPatch) -> None:
    """With NO_COLOR no colour code is written, and the words are the same."""

    def drawn() -> str:
        console = Console(width=80, height=24, force_terminal=True, color_system="standard")
        with console.capture() as captured:
            console.print(PanelDrawing(seen(*STOPPED)))
        return captured.get()

    monkeypatch.delenv("NO_COLOR", raising=False)
    coloured = drawn()
    monkeypatch.setenv("NO_COLOR", "1")
    plain = drawn()
    code = re.compile(r"\x1b\[([\d;]*)m")
    colours = {str(number) for number in (*range(30, 38), *range(40, 48))}
    assert any(colours & set(each.split(";")) for each in code.findall(coloured))
    assert not any(colours & set(each.split(";")) for each in code.findall(plain))
    assert code.sub("", plain) == code.sub("", coloured)


def test_booked_otherwise_has_its_own_word() -> None:
    """What was not found to agree never shows the word for it."""
    view = replace(seen(*AGREED), sign=Sign.BOOKED)
    text = "\n".join(page(view))
    assert "= KEPT" in text
    assert "AGREES" not in text


def test_key_without_a_phrase_says_what_it_does() -> None:
    """Who holds the foot is said by the one who does; a key names the person."""
    ways = (
        WayText("rear-holds", "rear holds the foot", "", "5/"),
        WayText("next", "", "next pull", "3/"),
    )
    lines = page(replace(seen(*AGREED[:2]), may=ways))
    assert any('rear holds the foot [5/]; "next pull" [3/]' in line for line in lines)
