"""Shared fixtures: the grammar and its parser; no test may open a socket."""

from __future__ import annotations

import socket

import pytest

from calllog.resources import grammar_text
from calllog.spoken import Grammar, Parser, load_grammar


@pytest.fixture(autouse=True)
def _no_network(monkeypatch: pytest.MonkeyPatch) -> None:
    """Refuse every connection: nothing that calllog does may need a network."""

    def refuse(*_: object) -> None:
        message = "a test reached for the network"
        raise AssertionError(message)

    monkeypatch.setattr(socket.socket, "connect", refuse)


@pytest.fixture(scope="session")
def grammar() -> Grammar:
    """Load the shipped grammar."""
    text, path = grammar_text()
    return load_grammar(text, str(path))


@pytest.fixture(scope="session")
def parser(grammar: Grammar) -> Parser:
    """Build the parser of the shipped grammar."""
    return Parser(grammar)
