"""Names tell what is meant: each class has one of its own; what documents a name is below it."""

from __future__ import annotations

import ast
from collections import defaultdict
from itertools import pairwise
from pathlib import Path

from tests.test_architecture import MODULES, tree_of

OWNERS = ast.Module | ast.ClassDef | ast.FunctionDef


def test_every_class_has_a_name_of_its_own() -> None:
    """No two classes of the program have the same name, private ones neither."""
    owners: dict[str, list[str]] = defaultdict(list)
    for path in MODULES:
        for node in ast.walk(tree_of(path)):
            if isinstance(node, ast.ClassDef):
                owners[node.name].append(f"{path.name}, line {node.lineno}")
    assert len(owners) > 300
    assert not {name: places for name, places in owners.items() if len(places) > 1}


def below_nothing(tree: ast.AST) -> list[int]:
    """List the lines of texts that stand alone and document no name above them."""
    return [
        text.lineno
        for node in ast.walk(tree)
        for above, text in pairwise(node.body if isinstance(node, OWNERS) else ())
        if isinstance(text, ast.Expr)
        and isinstance(text.value, ast.Constant)
        and isinstance(text.value.value, str)
        and not (isinstance(above, ast.Assign | ast.AnnAssign) and text.lineno == _next(above))
    ]


def _next(above: ast.stmt) -> int:
    return (above.end_lineno or 0) + 1


def test_every_text_documents_what_is_above_it() -> None:
    """None is left over from a name that went."""
    tests = Path(__file__).parent.rglob("*.py")
    found = {path: lines for path in (*MODULES, *tests) if (lines := below_nothing(tree_of(path)))}
    assert not found
    for left_over in ("A = 1\n\n'x'", "A = 1\n'x'\n'y'", "def f(): ...\n'x'", "import a\n'x'"):
        assert below_nothing(ast.parse(left_over)), left_over
    assert not below_nothing(ast.parse("'x'\nA = 1\n'y'\nclass B:\n    'z'\n    c: int\n    'd'"))
