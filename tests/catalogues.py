"""What stands in a catalogue of messages, whole: what the tests of the wording ask."""

from __future__ import annotations

import functools
from collections.abc import Mapping

from fluent.runtime import FluentResource
from fluent.syntax import ast


@functools.cache
def messages_in(text: str) -> Mapping[str, frozenset[str]]:
    """List the messages of a catalogue and the facts that each asks for, attributes as ``id.name``.

    Read once, since that takes longer than most tests.

    Raises:
        ValueError: something in it is no message.
    """
    found: dict[str, frozenset[str]] = {}
    for entry in FluentResource(text).body:
        if isinstance(entry, ast.Junk):
            message = f"no message: {(entry.content or '').strip().partition(chr(10))[0]}"
            raise ValueError(message)  # noqa: TRY004 - the text is wrong, not a type
        if isinstance(entry, ast.Message):
            if entry.value is not None:
                found[entry.id.name] = frozenset(_variables(entry.value))
            for each in entry.attributes:
                found[f"{entry.id.name}.{each.id.name}"] = frozenset(_variables(each.value))
    return found


def _variables(node: object) -> set[str]:
    if isinstance(node, ast.VariableReference):
        return {node.id.name} - {"unit"}
    if isinstance(node, list):
        return set().union(*map(_variables, node)) if node else set()
    if isinstance(node, ast.BaseNode):
        return _variables([value for name, value in vars(node).items() if name != "span"])
    return set()
