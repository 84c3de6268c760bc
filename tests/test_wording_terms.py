"""One word for one thing: first, check, pull and recorded, wherever the program tells of them."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from typing import Any

import click
import pytest
from fluent.runtime import FluentResource
from fluent.syntax import ast as fluent
from typer.main import get_command

from calllog.cli import app
from calllog.report.columns import Column
from calllog.report.notes_csv import NOTE_COLUMNS
from calllog.report.segments_csv import SEGMENT_COLUMNS
from calllog.resources import PACKAGE
from calllog.wording import HERE

FORBIDDEN = {
    "en": re.compile(
        r"\b(un)?book(s|ed|ing)?\b"
        r"|\b(the|a|each|its|of) take\b|\btake (and check|kept)\b|^takes?$"
        r"|\bkeeps? (the )?second\b|\bsecond kept\b",
        re.IGNORECASE,
    ),
    "es": re.compile(r"\b(la|una|de) toma\b|\bapuntad[oa]s?\b|\bregistrad[oa]s?\b", re.IGNORECASE),
}
"""Second words for the first measurement, for the check, and for what is recorded."""
PHRASES = re.compile(r"`[^`]*`|\"[^\"]*\"|“[^”]*”|--[a-z-]+|\*\*[^*]*\*\*")
"""Names of options and columns, and what a crew says: these stand as they are."""
README = PACKAGE.parent / "README.md"


def texts(node: object) -> Iterator[str]:
    """List the texts of a message; the names of variants and facts are left out."""
    if isinstance(node, fluent.TextElement | fluent.StringLiteral):
        yield node.value
    elif isinstance(node, list):
        for each in node:
            yield from texts(each)
    elif isinstance(node, fluent.BaseNode):
        yield from texts([each for name, each in vars(node).items() if name != "span"])


def wrong(language: str, told: str) -> bool:
    """Tell whether a text has a second word for something."""
    return bool(FORBIDDEN[language].search(PHRASES.sub("", told).strip()))


@pytest.mark.parametrize("language", sorted(FORBIDDEN))
def test_no_message_has_a_second_word(language: str) -> None:
    """What the crew, the chief and the office read and hear."""
    body = FluentResource((HERE / f"{language}.ftl").read_text("utf-8")).body
    messages = [each for each in body if isinstance(each, fluent.Message)]
    assert len(messages) > 600
    told = {each.id.name: list(texts(each)) for each in messages}
    assert not {code: each for code, each in told.items() if any(wrong(language, t) for t in each)}


def commands(command: Any) -> Iterator[Any]:  # noqa: ANN401 - typer brings its own classes
    """List a command and all under it."""
    yield command
    for name in getattr(command, "commands", {}):
        context = click.Context(command)
        yield from commands(command.resolve_command(context, [name])[1])


def test_no_help_has_a_second_word() -> None:
    """Of every command, and of every option."""
    told = [
        text
        for each in commands(get_command(app))
        for text in (each.help, *(getattr(option, "help", None) for option in each.params))
        if text
    ]
    assert len(told) > 150
    assert not [each for each in told if wrong("en", each)]


def test_no_column_is_described_by_a_second_word() -> None:
    """The names of columns are a promise and stay; what they mean is told in today's words."""
    columns: tuple[Column[Any], ...] = (*SEGMENT_COLUMNS, *NOTE_COLUMNS)
    told = [each.description for each in columns]
    assert not [each for each in told if wrong("en", each)]


def test_nothing_printed_has_a_second_word() -> None:
    """Sentences inside the commands and reports, and on the phone."""
    found = [
        (path.name, node.value)
        for room in ("commands", "report", "page", "panel", "server", "phone", "live")
        for path in (PACKAGE / room).glob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.JoinedStr | ast.Call | ast.List | ast.Dict | ast.Tuple)
        for node in ast.walk(node)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and " " in node.value
    ]
    assert len(found) > 300
    assert not [each for each in found if wrong("en", each[1])]
    page = (PACKAGE / "server" / "static" / "phone.html").read_text("utf-8")
    assert not [each for each in re.findall(r">([^<>]+)<", page) if wrong("en", each)]


def test_readme_has_no_second_word() -> None:
    """What the README shows and says; spoken phrases, options and pictures' names apart."""
    lines = README.read_text("utf-8").splitlines()
    assert not [each for each in lines if wrong("en", each)]
