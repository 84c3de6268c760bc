"""Finds what the program says at the terminal: its source in, English sentences out.

A sentence is what an error or a check of the doctor is made with, where it stands as a text: with
``{}`` for each part that is put in. What is made elsewhere and handed on is not found.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

from calllog.resources import PACKAGE

MADE = re.compile(r"(Config|Grammar|Audio|Model|Keypad|Journal|Report|Calllog)Error|Check")
PARTS = ("what", "next_step", "where", "words")
PRINTED = frozenset(("print", "add_column"))
"""Calls whose first text is printed."""
WORDS = re.compile(r"[A-Za-z]{2}")
SENTENCE = re.compile(r"[a-z] ")
"""A place is a sentence where it has two words; else it is a name or an option."""
Known = Mapping[str, tuple[str, ...]]


def forms(node: ast.expr | None, known: Known) -> tuple[str, ...]:
    """List the texts that an expression may be, with ``{}`` for what is put in."""
    match node:
        case ast.Constant(value=str(text)):
            return (text,)
        case ast.JoinedStr(values=values):
            return ("".join(_piece(each) for each in values),)
        case ast.IfExp(body=one, orelse=other) | ast.BoolOp(values=[one, other]):
            return (*forms(one, known), *forms(other, known))
        case ast.BinOp(left=left, op=ast.Add(), right=right):
            ends = forms(right, known) or ("{}",)
            return tuple(a + b for a in forms(left, known) or ("{}",) for b in ends)
        case ast.Name(id=name):
            return known.get(name, ())
        case _:
            return ()


def _piece(node: ast.expr) -> str:
    if isinstance(node, ast.Constant):
        return str(node.value).replace("{", "").replace("}", "")
    return "{}"


def _named(body: ast.AST, known: Known) -> dict[str, tuple[str, ...]]:
    """Read the texts that names stand for in a function."""
    found = dict(known)
    for node in ast.walk(body):
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            name, texts = node.targets[0].id, forms(node.value, found)
            found[name] = tuple(dict.fromkeys((*found.get(name, ()), *texts)))
    return found


def _sentences(node: ast.AST, known: Known) -> Iterator[str]:
    for child in ast.iter_child_nodes(node):
        inner = _named(child, known) if isinstance(child, ast.FunctionDef) else known
        if isinstance(child, ast.Call):
            name = getattr(child.func, "id", getattr(child.func, "attr", ""))
            if MADE.fullmatch(name):
                yield from _of_call(child, name, known)
        yield from _sentences(child, inner)


def _of_call(call: ast.Call, name: str, known: Known) -> Iterator[str]:
    first = 2 if name == "Check" else 0
    parts = [("what", each) for each in call.args[first : first + (2 if first else 1)]]
    parts += [(each.arg, each.value) for each in call.keywords if each.arg in PARTS]
    for part, value in parts:
        for form in forms(value, known):
            bare = form.replace("{}", "")
            if WORDS.search(bare) and (part != "where" or SENTENCE.search(bare)):
                yield form


@cache
def trees() -> tuple[tuple[Path, ast.Module], ...]:
    """Parse the program."""
    paths = sorted(PACKAGE.rglob("*.py"))
    return tuple((path, ast.parse(path.read_text("utf-8"))) for path in paths)


def sentences() -> dict[str, Path]:
    """Find the sentences of errors and checks, and where each stands first."""
    found: dict[str, Path] = {}
    for path, tree in trees():
        if path.name in ("errors.py", "check.py"):
            continue
        top = _named(ast.Module([n for n in tree.body if isinstance(n, ast.Assign)], []), {})
        for each in _sentences(tree, top):
            found.setdefault(each, path)
    return found


def printed() -> dict[str, Path]:
    """Find the lines and heads of columns that commands and the field table print; where first."""
    found: dict[str, Path] = {}
    for path, tree in trees():
        if path.parent.name != "commands" and path.name != "field_table.py":
            continue
        top = _named(ast.Module([n for n in tree.body if isinstance(n, ast.Assign)], []), {})
        for each in _printed(tree, top):
            found.setdefault(each, path)
    return found


def _printed(node: ast.AST, known: Known) -> Iterator[str]:
    for child in ast.iter_child_nodes(node):
        inner = _named(child, known) if isinstance(child, ast.FunctionDef) else known
        if isinstance(child, ast.Call):
            name = getattr(child.func, "attr", getattr(child.func, "id", ""))
            texts: tuple[str, ...] = ()
            if name in PRINTED and child.args:
                texts = forms(child.args[0], inner)
            elif name == "counted":
                one, *more = (forms(each, inner) for each in child.args[1:])
                texts = (*(f"{{}} {each}" for each in one), *(f"{{}} {e}" for f in more for e in f))
                texts += () if more else tuple(f"{{}} {each}s" for each in one)
            yield from (each for each in texts if WORDS.search(each.replace("{}", "")))
        yield from _printed(child, inner)


def constants() -> frozenset[str]:
    """List all pieces of text that the program has."""
    return frozenset(
        re.sub(r"\s+", " ", node.value)
        for _, tree in trees()
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    )
