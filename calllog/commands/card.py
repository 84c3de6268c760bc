"""The command `card`: the crew's voice protocol on one printable page, from the grammar itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
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
from calllog.values import Kind, OffsetNote, Side
from calllog.wording import Words

out = Terminal(soft_wrap=True, highlight=False, emoji=False)


FORMS = 2
"""Ways to say a number that are shown."""
ENTER = "↵"
TALK = 4
"""Phrases of crew talk that are shown."""
COMMANDS = {
    "switch": "card-does-switch",
    "scratch": "card-does-scratch",
    "again": "card-does-again",
    "first": "card-does-first",
    "check": "card-does-check",
    "next": "card-does-next",
    "finish": "card-does-finish",
    "remark": "card-does-remark",
    "cut": "card-does-cut",
    "add": "card-does-add",
    "repeat": "card-does-repeat",
    "who": "card-does-who",
    "caller-holds": "card-does-caller-holds",
}
"""What each command does; here and below: codes of messages."""
CONDITIONS = {
    "temperature": "card-states-temperature",
    "tension": "card-states-tension",
    "spans": "card-states-spans",
    "position": "card-states-position",
    "rise": "card-states-rise",
    "hold": "card-states-hold",
    "tape": "card-states-tape",
    "line": "card-states-line",
}
"""What each condition states."""
SLOTS = {
    "{number}": "card-slot-number",
    "{decimal}": "card-slot-number",
    "{whole}": "card-slot-whole",
    "{reading}": "card-slot-reading",
}
TONES = {
    Tone.HEARD: ("card-tone-heard", "card-tone-heard-means"),
    Tone.AGREES: ("card-tone-agrees", "card-tone-agrees-means"),
    Tone.QUESTION: ("card-tone-question", "card-tone-question-means"),
    Tone.STOP: ("card-tone-stop", "card-tone-stop-means"),
    Tone.TICK: ("card-tone-tick", "card-tone-tick-means"),
    Tone.ERROR: ("card-tone-error", "card-tone-error-means"),
    Tone.CLEARED: ("card-tone-cleared", "card-tone-cleared-means"),
    Tone.WARN: ("card-tone-warn", "card-tone-warn-means"),
}
"""The tones, and what they mean."""
PULL = ("card-pull-take", "card-pull-check", "card-pull-booked", "card-pull-cut")
LOOP = (
    "card-loop-call",
    "card-loop-right",
    "card-loop-wrong",
    "card-loop-asked",
    "card-loop-stop",
)
CAUTIONS = (
    "card-caution-power",
    "card-caution-traffic",
    "card-caution-tension",
    "card-caution-recording",
    "card-caution-rules",
)
"""These three are HTML."""
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
    words = grammar.words
    keys = rows(grammar.unit) if keys is None else keys
    first = {name: _said(phrases[:1], words) for name, phrases in grammar.commands.items()}
    typed = {each.name: each for each in keys if each.name}
    said = {*grammar.commands, *(each.name for each in grammar.conditions)}
    sections = [
        _section(words("card-pull"), _list("ol", (words(each, **first) for each in PULL))),
        _section(words("card-loop"), _list("ol", (words(each, **first) for each in LOOP))),
        _section(words("card-numbers"), _table(_numbers(grammar))),
        _section(words("card-commands"), _table(_commands(grammar, typed))),
        _section(words("card-conditions"), _table(_conditions(grammar, typed))),
        _section(
            words("card-tones"),
            _table((escape(words(each)) for each in row) for row in TONES.values()),
        ),
    ]
    if keys:
        shown = ([_key(each), escape(words(each.does))] for each in keys if each.name not in said)
        sections.append(_section(words("card-keypad", enter=ENTER), _table(shown)))
    title = words("card-title")
    footer = words(
        "card-footer",
        talk=_said(grammar.chatter.phrases[:TALK], words),
        version=escape(__version__),
        grammar=escape(grammar.name),
    )
    body = "\n".join(sections)
    return f"""<!doctype html>
<html lang="{escape(words.language)}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>{title}</title>
<style>{STYLE}</style>
</head>
<body>
<h1>{title}</h1>
<div class="cautions">{_list("ul", map(words, CAUTIONS))}</div>
<main>
{body}
</main>
<footer>{footer}</footer>
</body>
</html>
"""


def _said(phrases: Iterable[str], words: Words) -> str:
    """Quote phrases; what stands for a number is in italics."""
    quoted = []
    for phrase in phrases:
        text = escape(phrase)
        for slot, code in SLOTS.items():
            text = text.replace(slot, f"<i>{words(code)}</i>")
        quoted.append(f"<q>{text}</q>")
    return ", ".join(quoted)


def _key(row: Row | None) -> str:
    return f"<kbd>{escape(row.keys.replace('Enter', ENTER))}</kbd>" if row else ""


def _numbers(grammar: Grammar) -> list[list[str]]:
    def forms(kind: Kind, value: int) -> str:
        return _said(spoken_forms(grammar, kind, value)[:FORMS], words)

    words, roles = grammar.words, grammar.roles
    head, rear = _said(roles.head, words), _said(roles.rear, words)
    never = words("card-number-below-ten-forms", forms=forms(Kind.FRACTION, 5))
    return [
        [words("card-number-whole"), forms(Kind.WHOLE, 1500)],
        [words("card-number-hundredths"), forms(Kind.FRACTION, 42)],
        [words("card-number-below-ten"), never],
        [words("card-number-reading"), forms(Kind.READING, 1542)],
        [words("card-number-full-tape"), _said(grammar.terms.full_tape, words)],
        [
            words("card-number-one-microphone"),
            words("card-number-one-microphone-forms", head=head, rear=rear),
        ],
        [words("card-number-note"), _note(grammar)],
    ]


def _note(grammar: Grammar) -> str:
    """Give an example of a station and offset note; its offset is read to tenths."""
    station = 12_500 if grammar.unit.is_feet else 123_400
    note = OffsetNote(station=station, side=Side.RIGHT, offset=1_840)
    return _said(note_forms(grammar, note)[:1], grammar.words)


def _commands(grammar: Grammar, typed: Mapping[str, Row]) -> list[list[str]]:
    words = grammar.words
    return [
        [_said(phrases, words), _key(typed.get(name)), escape(words(COMMANDS[name]))]
        for name, phrases in grammar.commands.items()
    ]


def _conditions(grammar: Grammar, typed: Mapping[str, Row]) -> list[list[str]]:
    """Give each condition its phrases, and what it states; a key's words say its figures too."""
    words = grammar.words
    said: dict[str, list[str]] = {}
    for condition in grammar.conditions:
        said.setdefault(condition.name, []).extend(condition.phrases)
    return [
        [
            _said(phrases, words),
            _key(typed.get(name)),
            escape(words(typed[name].does if name in typed else CONDITIONS[name])),
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
