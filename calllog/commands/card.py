"""The command `card`: the crew's voice protocol on one printable page, from the grammar itself."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from markupsafe import Markup, escape

from calllog import __version__
from calllog.commands.engine import GrammarOption
from calllog.commands.terminal import out
from calllog.errors import ConfigError
from calllog.keypad import KeyRow, rows
from calllog.readback import Tone
from calllog.report import write_whole
from calllog.resources import DEFAULT_GRAMMAR, read_grammar
from calllog.spoken import Grammar, named_forms, note_forms, spoken_forms
from calllog.values import Kind, OffsetNote, Side
from calllog.wording import Words

if TYPE_CHECKING:
    from jinja2 import Template


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
MARK, BEGINNING = b'<meta name="generator" content="calllog card">', 500
"""What a card has in its first bytes."""


def card(
    path: Annotated[Path, typer.Option("--out", help="The file to write, HTML.")] = Path(
        "card.html"
    ),
    grammar: GrammarOption = None,
) -> None:
    """Write what the crew says, types and hears on one page to print, letter or A4.

    Example: calllog card --out card.html
    """
    _refuse_what_is_no_card(path)
    write_whole(path, card_html(read_grammar(grammar or DEFAULT_GRAMMAR)))
    out.print(f"written: {path}; open it in a browser and print it on one page")


def _refuse_what_is_no_card(path: Path) -> None:
    """Let a card be written over alone: a slip must cost no certificate, and no journal."""
    if not path.is_file():
        return
    with path.open("rb") as file:
        if MARK in file.read(BEGINNING):
            return
    raise ConfigError(
        "what stands there is no card, and is not written over",
        where=str(path),
        next_step="name a new file with --out, such as card.html",
    )


def card_html(grammar: Grammar, keys: Sequence[KeyRow] | None = None) -> str:
    """Write the page.

    Args:
        grammar: whose phrases are shown, every command and condition.
        keys: what can be typed; no keypad part without any; all that there is if left out.
    """
    words = grammar.words
    keys = rows(grammar.unit) if keys is None else keys
    first = {name: _said(phrases[:1], words) for name, phrases in grammar.commands.items()}
    typed = {each.name: each for each in keys if each.name}
    said = {*grammar.commands, *(each.name for each in grammar.conditions)}
    tables = [
        (words("card-numbers"), _numbers(grammar)),
        (words("card-commands"), _commands(grammar, typed)),
        (words("card-conditions"), _conditions(grammar, typed)),
        (words("card-tones"), [[words(each) for each in row] for row in TONES.values()]),
    ]
    if keys:
        shown = [[_key(each), words(each.does)] for each in keys if each.name not in said]
        tables.append((words("card-keypad", enter=ENTER), shown))
    return _template().render(
        language=words.language,
        title=words("card-title"),
        cautions=[_html(words(each)) for each in CAUTIONS],
        lists=[
            (words(title), [_html(words(each, **first)) for each in steps])
            for title, steps in (("card-pull", PULL), ("card-loop", LOOP))
        ],
        tables=tables,
        footer=_html(
            words(
                "card-footer",
                talk=_said(grammar.chatter.phrases[:TALK], words),
                version=escape(__version__),
                grammar=escape(grammar.name),
            )
        ),
    )


def _template() -> Template:
    from jinja2 import Environment, PackageLoader, StrictUndefined  # noqa: PLC0415 - heavy

    environment = Environment(
        loader=PackageLoader("calllog.commands", ""),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        keep_trailing_newline=True,
    )
    return environment.get_template("card.html.j2")


def _html(text: str) -> Markup:
    """Take a message that is HTML, whose facts are escaped already."""
    return Markup(text)  # noqa: S704 - the catalogue's own marks


def _said(phrases: Iterable[str], words: Words) -> Markup:
    """Quote phrases; what stands for a number is in italics."""
    quoted = []
    for phrase in phrases:
        text = escape(phrase)
        for slot, code in SLOTS.items():
            text = text.replace(slot, _html(f"<i>{words(code)}</i>"))
        quoted.append(Markup("<q>{}</q>").format(text))
    return Markup(", ").join(quoted)


def _key(row: KeyRow | None) -> str:
    return Markup("<kbd>{}</kbd>").format(row.keys.replace("Enter", ENTER)) if row else ""


def _numbers(grammar: Grammar) -> list[list[str]]:
    def forms(kind: Kind, value: int) -> Markup:
        return _said(spoken_forms(grammar, kind, value)[:FORMS], words)

    words, roles = grammar.words, grammar.roles
    head, rear = _said(roles.head, words), _said(roles.rear, words)
    never = _html(words("card-number-below-ten-forms", forms=forms(Kind.FRACTION, 5)))
    return [
        [words("card-number-whole"), forms(Kind.WHOLE, 1500)],
        [words("card-number-hundredths"), forms(Kind.FRACTION, 42)],
        [words("card-number-below-ten"), never],
        [words("card-number-reading"), forms(Kind.READING, 1542)],
        *([[words("card-number-named"), _said(_named(grammar), words)]] if grammar.units else []),
        [words("card-number-full-tape"), _said(grammar.terms.full_tape, words)],
        [
            words("card-number-one-microphone"),
            _html(words("card-number-one-microphone-forms", head=head, rear=rear)),
        ],
        [words("card-number-note"), _note(grammar)],
    ]


def _named(grammar: Grammar) -> Iterator[str]:
    """Give examples of calls that name what they count."""
    for kind, value in ((Kind.WHOLE, 1500), (Kind.FRACTION, 5), (Kind.READING, 1542)):
        yield named_forms(grammar, kind, value)[0]


def _note(grammar: Grammar) -> str:
    """Give an example of a station and offset note; its offset is read to tenths."""
    station = 12_500 if grammar.unit.is_feet else 123_400
    note = OffsetNote(station=station, side=Side.RIGHT, offset=1_840)
    return _said(note_forms(grammar, note)[:1], grammar.words)


def _commands(grammar: Grammar, typed: Mapping[str, KeyRow]) -> list[list[str]]:
    words = grammar.words
    return [
        [_said(phrases, words), _key(typed.get(name)), words(COMMANDS[name])]
        for name, phrases in grammar.commands.items()
    ]


def _conditions(grammar: Grammar, typed: Mapping[str, KeyRow]) -> list[list[str]]:
    """Give each condition its phrases, and what it states; a key's words say its figures too."""
    words = grammar.words
    said: dict[str, list[str]] = {}
    for condition in grammar.conditions:
        said.setdefault(condition.name, []).extend(condition.phrases)
    return [
        [
            _said(phrases, words),
            _key(typed.get(name)),
            words(typed[name].does if name in typed else CONDITIONS[name]),
        ]
        for name, phrases in said.items()
    ]
