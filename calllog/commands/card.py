"""The command `card`: the crew's voice protocol on one printable page, from the grammar itself."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from html import escape
from pathlib import Path
from typing import Annotated

import typer

from calllog import __version__
from calllog.commands.engine import GrammarOption
from calllog.commands.terminal import Terminal
from calllog.keypad import Row, rows
from calllog.readback import Tone
from calllog.report import write_whole
from calllog.resources import DEFAULT_GRAMMAR, read_grammar
from calllog.spoken import Grammar, note_forms, spoken_forms
from calllog.units import said_in
from calllog.values import Kind, OffsetNote, Side

out = Terminal(soft_wrap=True, highlight=False, emoji=False)


FORMS = 2
"""Ways to say a number that are shown."""
ENTER = "↵"
TALK = 4
"""Phrases of crew talk that are shown."""
COMMANDS = {
    "switch": "change ends; the check follows",
    "scratch": "strikes the last number",
    "again": "the pull from its start; the log keeps both",
    "first": "at a stop: the first stands",
    "check": "at a stop: the second stands",
    "next": "goes on without a check, where none is needed",
    "finish": "closes the line",
    "remark": "what is said next is kept as sound",
}
"""What each command does."""
CONDITIONS = {
    "temperature": "of the tape, degrees Fahrenheit",
    "tension": "pounds",
    "spans": "how the tape is supported",
    "position": "where the tape is held",
    "rise": "height between the two ends, feet",
    "hold": "foot mark at the other end",
    "tape": "another tape",
    "line": "another line",
}
"""What each condition states."""
SLOTS = {"{number}": "number", "{whole}": "foot", "{reading}": "feet point hundredths"}
TONES = {
    Tone.HEARD: ("one short beep", "heard: it is in the log"),
    Tone.AGREES: ("two quick, rising", "take and check agree: booked"),
    Tone.QUESTION: ("two, the second long", "a question: say it again"),
    Tone.STOP: ("three long, low", "STOP: take and check differ"),
    Tone.TICK: ("a click", "a key was taken"),
    Tone.ERROR: ("one very long, low", "the key means nothing here"),
    Tone.CLEARED: ("two, falling", "what was typed is cleared"),
    Tone.WARN: ("four quick, very high", "look at the screen: device or noise"),
}
"""The tones in words."""
PULL = (
    "<b>Take.</b> One end calls the whole foot, the other the hundredths; or one calls it all.",
    "{switch}, change ends, and both call again: this is the <b>check</b>.",
    "Within the tolerance it is booked; the next call begins the next pull.",
    "A tape that <b>cuts</b>: call the mark held and the hundredths apart, never subtract.",
)
LOOP = (
    "<b>Call</b>, then wait for tone or read-back: while it speaks, it does not hear you.",
    "<b>Right?</b> Say nothing: <b>silence is consent.</b>",
    "<b>Wrong?</b> Say {scratch}, and call again.",
    "<b>Asked?</b> Say it again, both digits, one by one.",
    "<b>STOP?</b> Nobody moves on. Look at the marks, say {again}, or the chief decides.",
)
CAUTIONS = (
    "<b>Overhead lines:</b> steel conducts. Keep clear, also of electric fences, rails, storms.",
    "<b>Traffic:</b> follow the local traffic control. <b>Both ears open</b>, whatever you wear.",
    "<b>Tape under tension</b> whips. Gloves, eye protection, face aside. Plumb bobs have points.",
    "<b>Recording:</b> sound of calls is kept. Crew and bystanders must consent, as the law asks.",
    "<b>Local safety rules and licensed practice come first.</b>",
)
STYLE = """
@page { margin: 9mm }
* { box-sizing: border-box }
body { margin: 0 auto; max-width: 198mm; background: #fff; color: #000;
  font: 9.4pt/1.2 Arial, Helvetica, "Liberation Sans", sans-serif }
h1 { font-size: 17pt; margin: 0 0 1mm }
h2 { font-size: 11.5pt; margin: 0 0 0.8mm; border-bottom: 1.5pt solid #000 }
main { columns: 2; column-gap: 6mm }
section { break-inside: avoid; margin: 0 0 2.2mm }
table { border-collapse: collapse; width: 100% }
td { vertical-align: top; padding: 0.35mm 0; border-bottom: 0.5pt solid #999 }
td + td { padding-left: 2mm }
td:first-child { font-weight: bold }
td:first-child:nth-last-child(2) { width: 1%; white-space: nowrap }
td:first-child:nth-last-child(3) { width: 44% }
td:nth-child(2):nth-last-child(2) { width: 1% }
ol, ul { margin: 0; padding-left: 4.5mm }
li { margin-bottom: 0.4mm }
.cautions { border: 2pt solid #000; padding: 1.5mm 2mm; margin-bottom: 2.4mm }
q { quotes: "\\201c" "\\201d"; font-weight: bold }
kbd { white-space: nowrap; font: bold 1em "Liberation Mono", "DejaVu Sans Mono", monospace }
i { font-weight: normal }
footer { font-size: 8pt }
"""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(card)


def card(
    path: Annotated[Path, typer.Option("--out", help="The file to write, HTML.")] = Path(
        "card.html"
    ),
    grammar: GrammarOption = None,
) -> None:
    """Write what the crew says, types and hears on one page to print, letter or A4.

    Example: calllog card --out card.html
    """
    write_whole(path, card_html(read_grammar(grammar or DEFAULT_GRAMMAR)))
    out.print(f"written: {path}; open it in a browser and print it on one page", markup=False)


def card_html(grammar: Grammar, keys: Sequence[Row] | None = None) -> str:
    """Write the page.

    Args:
        grammar: whose phrases are shown, every command and condition.
        keys: what can be typed; no keypad part without any; all that there is if left out.

    Returns:
        HTML that stands alone.
    """
    tell = _tell(grammar)
    keys = rows(grammar.unit) if keys is None else keys
    first = {name: _said(phrases[:1], tell) for name, phrases in grammar.commands.items()}
    typed = {each.name: each for each in keys if each.name}
    said = {*grammar.commands, *(each.name for each in grammar.conditions)}
    sections = [
        _section(tell("A pull"), _list("ol", (tell(each).format_map(first) for each in PULL))),
        _section(tell("Closed loop"), _list("ol", (tell(each).format_map(first) for each in LOOP))),
        _section(tell("Numbers"), _table(_numbers(grammar))),
        _section(tell("Commands"), _table(_commands(grammar, typed))),
        _section(tell("Conditions, from then on"), _table(_conditions(grammar, typed))),
        _section(
            tell("Tones"), _table((escape(tell(words)) for words in row) for row in TONES.values())
        ),
    ]
    if keys:
        shown = ([_key(each), escape(tell(each.words))] for each in keys if each.name not in said)
        heading = grammar.texts.fill("Keypad, at any moment ({enter} is Enter)", enter=ENTER)
        sections.append(_section(heading, _table(shown)))
    talk = _said(grammar.chatter.phrases[:TALK], tell)
    title = tell("Voice protocol for taping crews")
    footer = grammar.texts.fill(
        "Crew talk is not taken: {talk} and the like. calllog {version}, grammar {grammar}.",
        talk=talk,
        version=escape(__version__),
        grammar=escape(grammar.name),
    )
    body = "\n".join(sections)
    return f"""<!doctype html>
<html lang="{escape(grammar.texts.language)}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>{title}</title>
<style>{STYLE}</style>
</head>
<body>
<h1>{title}</h1>
<div class="cautions">{_list("ul", map(tell, CAUTIONS))}</div>
<main>
{body}
</main>
<footer>{footer}</footer>
</body>
</html>
"""


def _tell(grammar: Grammar) -> Callable[[str], str]:
    """Give what tells a text in the language of the crew and the unit that it calls."""
    return lambda text: grammar.texts.tell(said_in(text, grammar.unit))


def _said(phrases: Iterable[str], tell: Callable[[str], str]) -> str:
    """Quote phrases; what stands for a number is in italics."""
    quoted = []
    for phrase in phrases:
        text = escape(phrase)
        for slot, words in SLOTS.items():
            text = text.replace(slot, f"<i>{tell(words)}</i>")
        quoted.append(f"<q>{text}</q>")
    return ", ".join(quoted)


def _key(row: Row | None) -> str:
    return f"<kbd>{escape(row.keys.replace('Enter', ENTER))}</kbd>" if row else ""


def _numbers(grammar: Grammar) -> list[list[str]]:
    def forms(kind: Kind, value: int) -> str:
        return _said(spoken_forms(grammar, kind, value)[:FORMS], tell)

    tell, roles = _tell(grammar), grammar.roles
    either = grammar.texts.fill(
        "{head} or {rear} first", head=_said(roles.head, tell), rear=_said(roles.rear, tell)
    )
    never = grammar.texts.fill("{forms}; never one digit", forms=forms(Kind.FRACTION, 5))
    return [
        [tell("whole foot, 15"), forms(Kind.WHOLE, 1500)],
        [tell("hundredths, .42"), forms(Kind.FRACTION, 42)],
        [tell("below ten, .05"), never],
        [tell("all in one, 15.42"), forms(Kind.READING, 1542)],
        [tell("the whole tape"), _said(grammar.terms.full_tape, tell)],
        [tell("one microphone"), either],
        [tell("a note, 1+25"), _note(grammar)],
    ]


def _note(grammar: Grammar) -> str:
    """Give an example of a station and offset note; its offset is read to tenths."""
    note = OffsetNote(station=12_500, side=Side.RIGHT, offset=1_840)
    return _said(note_forms(grammar, note)[:1], _tell(grammar))


def _commands(grammar: Grammar, typed: Mapping[str, Row]) -> list[list[str]]:
    tell = _tell(grammar)
    return [
        [_said(phrases, tell), _key(typed.get(name)), escape(tell(COMMANDS[name]))]
        for name, phrases in grammar.commands.items()
    ]


def _conditions(grammar: Grammar, typed: Mapping[str, Row]) -> list[list[str]]:
    """Give each condition its phrases, and what it states; a key's words say its figures too."""
    tell = _tell(grammar)
    said: dict[str, list[str]] = {}
    for condition in grammar.conditions:
        said.setdefault(condition.name, []).extend(condition.phrases)
    return [
        [
            _said(phrases, tell),
            _key(typed.get(name)),
            escape(tell(typed[name].words if name in typed else CONDITIONS[name])),
        ]
        for name, phrases in said.items()
    ]


def _section(title: str, content: str) -> str:
    return f"<section><h2>{escape(title)}</h2>{content}</section>"


def _list(kind: str, items: Iterable[str]) -> str:
    return f"<{kind}>{''.join(f'<li>{each}</li>' for each in items)}</{kind}>"


def _table(rows: Iterable[Iterable[str]]) -> str:
    """Lay rows out; the cells are HTML already."""
    cells = ("".join(f"<td>{cell}</td>" for cell in row) for row in rows)
    return f"<table>{''.join(f'<tr>{each}</tr>' for each in cells)}</table>"
