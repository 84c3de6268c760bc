"""The tests keep their own rules: no inner parts, no clocks, none that cannot fail."""

from __future__ import annotations

import ast
import functools
from collections.abc import Iterator
from pathlib import Path

FOLDER = Path(__file__).parent
FILES = sorted(FOLDER.glob("test_*.py"))
CLOCKS = frozenset({"monotonic", "perf_counter", "process_time", "time", "thread_time"})
OPEN = frozenset({"_replace", "_fields", "_asdict", "_exit"})
"""Names of the library that begin with an underscore and are for all."""
STILL_INSIDE = {"test_wording": 1}
"""How often a file still reaches inside; a number only gets smaller."""


@functools.cache
def tree(path: Path) -> ast.Module:
    """Read a file of tests, once for all rules."""
    return ast.parse(path.read_text("utf-8"))


def reaches_inside(module: ast.Module) -> Iterator[str]:
    """Give what is asked for that begins with an underscore, but of the test's own classes."""
    own = {
        each.name
        for part in ast.walk(module)
        if isinstance(part, ast.ClassDef)
        for each in part.body
        if isinstance(each, ast.FunctionDef)
    }
    for part in ast.walk(module):
        if not isinstance(part, ast.Attribute) or part.attr in own | OPEN:
            continue
        if part.attr.startswith("_") and not part.attr.endswith("__"):
            if isinstance(part.value, ast.Name) and part.value.id in ("self", "cls"):
                continue
            yield f"{ast.unparse(part)}, line {part.lineno}"


def functions(module: ast.Module) -> Iterator[ast.FunctionDef]:
    """Give the tests of a file."""
    for part in ast.walk(module):
        if isinstance(part, ast.FunctionDef) and part.name.startswith("test_"):
            yield part


def all_tests() -> Iterator[tuple[str, ast.FunctionDef]]:
    """Give each test with the name of its file."""
    for path in FILES:
        yield from ((path.stem, test) for test in functions(tree(path)))


def reads_clock(part: ast.AST) -> bool:
    """Tell whether a clock is read in it."""
    return any(
        isinstance(each, ast.Call)
        and isinstance(each.func, ast.Attribute)
        and each.func.attr in CLOCKS
        and isinstance(each.func.value, ast.Name)
        and each.func.value.id == "time"
        for each in ast.walk(part)
    )


def measures_time(test: ast.FunctionDef) -> bool:
    """Tell whether an assertion needs how long something took: a difference of two readings."""
    if not reads_clock(test):
        return False
    timed = {
        target.id
        for part in ast.walk(test)
        if isinstance(part, ast.Assign) and reads_clock(part.value)
        for target in part.targets
        if isinstance(target, ast.Name)
    }
    differences = (
        each
        for part in ast.walk(test)
        if isinstance(part, ast.Assert)
        for each in ast.walk(part)
        if isinstance(each, ast.BinOp) and isinstance(each.op, ast.Sub)
    )
    return any(
        reads_clock(each) or any(isinstance(n, ast.Name) and n.id in timed for n in ast.walk(each))
        for each in differences
    ) or bool(
        {
            target.id
            for part in ast.walk(test)
            if isinstance(part, ast.Assign)
            for target in part.targets
            if isinstance(target, ast.Name)
            and isinstance(part.value, ast.BinOp)
            and isinstance(part.value.op, ast.Sub)
            and reads_clock(part.value)
        }
        & {
            name.id
            for part in ast.walk(test)
            if isinstance(part, ast.Assert)
            for name in ast.walk(part)
            if isinstance(name, ast.Name)
        }
    )


def can_fail(test: ast.FunctionDef) -> bool:
    """Tell whether a test claims something that is not true anyway, or calls what may raise."""
    body = [each for part in test.body for each in ast.walk(part)]
    claims = [each for each in body if isinstance(each, ast.Assert)]
    if claims:
        return not all(isinstance(each.test, ast.Constant) for each in claims)
    return any(isinstance(each, ast.Call | ast.Raise) for each in body)


def test_no_test_reaches_inside() -> None:
    """What a test needs has a name for all; those left from before only grow fewer."""
    found = {path.stem: list(reaches_inside(tree(path))) for path in FILES}
    assert [
        (name, inside) for name, inside in found.items() if len(inside) > STILL_INSIDE.get(name, 0)
    ] == []


def test_no_test_measures_time() -> None:
    """How long something takes is a benchmark's: a busy computer is no fault."""
    assert [f"{path}: {test.name}" for path, test in all_tests() if measures_time(test)] == []


def test_every_test_can_fail() -> None:
    """It claims or calls something."""
    assert [f"{path}: {test.name}" for path, test in all_tests() if not can_fail(test)] == []


def test_rules_would_notice() -> None:
    """Each rule finds what it is for."""
    module = ast.parse(
        "import time\n"
        "def test_a():\n    start_s = time.monotonic()\n    assert time.monotonic() - start_s < 1\n"
        "def test_b():\n    began = time.monotonic()\n    lasted = time.monotonic() - began\n"
        "    assert lasted < 3\n"
        "def test_c():\n    assert thing._inner == 1\n"
        "def test_d():\n    assert True\n"
        "def test_e():\n    pass\n"
    )
    a, b, c, d, e = functions(module)
    assert [measures_time(each) for each in (a, b, c)] == [True, True, False]
    assert list(reaches_inside(module)) == ["thing._inner, line 10"]
    assert [can_fail(each) for each in (c, d, e)] == [True, False, False]
