"""The card: every phrase of the grammar and every key is on it, and it stands alone."""

from __future__ import annotations

import re
from html import unescape
from html.parser import HTMLParser
from pathlib import Path

import pytest
from typer.testing import CliRunner

from calllog.cli import app
from calllog.commands.card import COMMANDS, CONDITIONS, SLOTS, TONES, card_html
from calllog.errors import ConfigError, ReportError
from calllog.keypad import ROWS
from calllog.readback import Tone
from calllog.readback.tones import TONES as NOTES
from calllog.spoken import Grammar, Meaning, Parser
from calllog.spoken.grammar import COMMAND_NAMES, CONDITION_NAMES
from calllog.values import Expectation, Kind, OffsetNote, Side
from calllog.wording import ENGLISH


def plain(html: str) -> str:
    """Strip the marks of HTML and its style."""
    return unescape(re.sub(r"<style>.*?</style>|<[^>]+>", "", html, flags=re.DOTALL))


def quoted(html: str) -> list[str]:
    """List what is shown as something to say."""
    return [plain(each) for each in re.findall(r"<q>(.*?)</q>", html)]


def test_every_command_and_condition_is_on_it(grammar: Grammar) -> None:
    """The phrases come from the grammar, all of them, and what each does stands beside."""
    html = card_html(grammar)
    shown = quoted(html)
    for phrases in grammar.commands.values():
        assert set(phrases) <= set(shown)
    for condition in grammar.conditions:
        for phrase in condition.phrases:
            said = phrase
            for slot, code in SLOTS.items():
                said = said.replace(slot, ENGLISH(code))
            assert said in shown
    assert set(COMMAND_NAMES) <= COMMANDS.keys()
    assert set(CONDITION_NAMES) <= CONDITIONS.keys()


def test_phrases_follow_the_grammar(grammar: Grammar) -> None:
    """Other words in the grammar are other words on the card, in its rules too."""
    other = grammar.model_copy(update={"commands": {**grammar.commands, "scratch": ("undo it",)}})
    html = card_html(other)
    assert "strike that" not in html
    assert html.count("<q>undo it</q>") == 2


def test_numbers_shown_mean_what_they_stand_beside(grammar: Grammar, parser: Parser) -> None:
    """Each example is understood as its value, so that the card teaches nothing wrong."""
    html = card_html(grammar)
    for label, expects, kind, value in (
        ("whole foot, 15", Expectation.WHOLE, Kind.WHOLE, 1500),
        ("hundredths, .42", Expectation.FRACTION, Kind.FRACTION, 42),
        ("below ten, .05", Expectation.FRACTION, Kind.FRACTION, 5),
        ("all in one, 15.42", Expectation.READING, Kind.READING, 1542),
    ):
        cell = html.split(f"<td>{label}</td>")[1].split("</tr>")[0]
        phrases = quoted(cell)
        assert len(phrases) == 2
        for phrase in phrases:
            found = parser.parse(phrase, expects, 10_000)
            assert (found.kind, found.value) == (kind, value), phrase  # type: ignore[union-attr]


def test_note_shown_is_a_note(grammar: Grammar, parser: Parser) -> None:
    """The example of a note is understood as the note that is typed beside it, 1+25 right 18.4."""
    (phrase,) = quoted(card_html(grammar).split("<td>a note, 1+25</td>")[1].split("</tr>")[0])
    found = parser.parse(phrase, Expectation.ANY, 10_000)
    assert isinstance(found, Meaning)
    assert found.note == OffsetNote(station=12_500, side=Side.RIGHT, offset=1_840)


def test_every_key_is_on_it_once(grammar: Grammar) -> None:
    """What is typed stands beside what is said for the same; the rest has a part of its own."""
    html = card_html(grammar)
    keys = [plain(each) for each in re.findall(r"<kbd>(.*?)</kbd>", html)]
    assert sorted(keys) == sorted(row.keys.replace("Enter", "↵") for row in ROWS)
    assert "(↵ is Enter)" in html
    switch = next(each for each in html.split("<tr>")[1:] if "<q>switch ends</q>" in each)
    assert "<kbd>+</kbd>" in switch


def test_no_keypad_no_keys(grammar: Grammar) -> None:
    """Without keys the page is the voice protocol alone."""
    html = card_html(grammar, keys=())
    assert "<kbd>" not in html
    assert "Keypad" not in html


def test_every_tone_is_on_it(grammar: Grammar) -> None:
    """Each tone that can sound is told by its rhythm, in words of its own."""
    assert set(TONES) == set(Tone)
    html = card_html(grammar)
    told = [(ENGLISH(sound), ENGLISH(means)) for sound, means in TONES.values()]
    assert len(set(told)) == len(Tone)
    assert all(f"<td>{sound}</td><td>{means}</td>" in html for sound, means in told)
    counts = {"one": 1, "a": 1, "two": 2, "three": 3, "four": 4}
    for tone, (sound, _) in TONES.items():
        assert len(NOTES[tone]) == counts[ENGLISH(sound).split()[0].rstrip(",")], tone


@pytest.mark.parametrize(
    "words",
    [
        "silence is consent",
        "overhead lines",
        "Both ears open",
        "Tape under tension",
        "Crew and bystanders must consent",
        "Local safety rules and licensed practice come first",
        "heard: it is in the journal",
        "first and check agree",
        "a question",
        "STOP: first and check differ",
        "a key was taken",
    ],
)
def test_rules_tones_and_cautions_are_on_it(grammar: Grammar, words: str) -> None:
    """What keeps the crew safe and in step is in plain words."""
    assert words in plain(card_html(grammar))


def test_page_stands_alone_and_is_for_print(grammar: Grammar) -> None:
    """No file, script or address is fetched; dark on white; margins for the printer."""
    html = card_html(grammar)
    assert not re.search(r"https?:|src=|href=|url\(|<script|@import", html)
    assert "@page" in html
    assert "background: #fff; color: #000" in html
    colours = set(re.findall(r"#[0-9a-f]{3,6}", html))
    assert colours == {"#fff", "#000", "#999"}, "nothing is told by colour"


def test_html_is_well_formed(grammar: Grammar) -> None:
    """Every element that is opened is closed, in order."""

    class Reader(HTMLParser):
        def __init__(self) -> None:
            super().__init__()
            self.opened: list[str] = []

        def handle_starttag(self, tag: str, _: list[tuple[str, str | None]]) -> None:
            if tag != "meta":
                self.opened.append(tag)

        def handle_endtag(self, tag: str) -> None:
            assert self.opened.pop() == tag

    reader = Reader()
    reader.feed(card_html(grammar))
    assert not reader.opened


def test_text_is_escaped(grammar: Grammar) -> None:
    """Marks of HTML in a name or a key stay text."""
    row = ROWS[0]
    odd = type(row)(keys="<b>&", does='"<i>"')
    html = card_html(grammar.model_copy(update={"name": "<x>"}), keys=[odd])
    assert "&lt;b&gt;&amp;" in html
    assert "&#34;&lt;i&gt;&#34;" in html
    assert "&lt;x&gt;" in html


def test_command_writes_the_page(tmp_path: Path, grammar: Grammar) -> None:
    """It writes the file, whole, and says where."""
    path = tmp_path / "card.html"
    done = CliRunner().invoke(app, ["card", "--out", str(path)], catch_exceptions=False)
    assert done.exit_code == 0
    assert path.read_text("utf-8") == card_html(grammar)
    assert f"written: {path}" in done.stdout.replace("\n", "")


def test_nothing_but_a_card_is_written_over(tmp_path: Path) -> None:
    """Neither a certificate nor a journal, whose name is quickly typed in place of another."""
    other, card = tmp_path / "tape.toml", tmp_path / "card.html"
    other.write_text("identity = 'T-1'", "utf-8")
    with pytest.raises(ConfigError, match="no card, and is not written over"):
        CliRunner().invoke(app, ["card", "--out", str(other)], catch_exceptions=False)
    assert other.read_text("utf-8") == "identity = 'T-1'"
    for grammar in ("en-us-feet", "es-metric"):
        words = ["card", "--grammar", grammar, "--out", str(card)]
        assert CliRunner().invoke(app, words, catch_exceptions=False).exit_code == 0
    assert "metros" in card.read_text("utf-8")


def test_folder_that_is_not_there_is_told(tmp_path: Path) -> None:
    """An expected error, with what to do."""
    with pytest.raises(ReportError, match="check that its folder exists"):
        CliRunner().invoke(
            app, ["card", "--out", str(tmp_path / "no" / "card.html")], catch_exceptions=False
        )
